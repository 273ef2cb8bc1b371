package desk

import (
	"context"
	"slices"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/plan"
	"elbowroom/store"
)

// Sheet returns everything that a phone needs of a job.
func (d *Desk) Sheet(ctx context.Context, who Who, job joblog.Job) (*Sheet, error) {
	o, err := d.open(ctx, who, job)
	if err != nil {
		return nil, err
	}
	f := line(o.row)
	s := &Sheet{
		Job: job, Title: f.Title, Machine: f.Name, Stands: o.row.Stands, Me: who.ID, MayWrite: who.MayWrite(),
		People: o.sheetPeople(), State: o.state, Has: o.log.Has(), Latest: o.latest(), Cursor: o.cursor, At: d.now(),
	}
	if n := len(o.state.Arrivals); n > 0 {
		s.Complaint = o.state.Arrivals[n-1].Complaint
	}
	if m, err := d.keep.Machine(ctx, who.Place, o.row.Machine); err == nil {
		s.Machine, s.Plate, s.Variant = m.Name, m.Plate, m.Variant
	} else if store.CodeOf(err) != store.NotFound {
		return nil, err
	}
	t := o.taken()
	if t == nil {
		return s, nil
	}
	return s, d.sheetPlan(ctx, o, t, s)
}

func (o *opened) sheetPeople() []SheetPerson {
	var list []SheetPerson
	for _, p := range o.people {
		if !p.Disabled {
			list = append(list, SheetPerson{ID: p.ID, Name: p.Name})
		}
	}
	return list
}

// sheetPlan adds the plan to a sheet.
func (d *Desk) sheetPlan(ctx context.Context, o *opened, t *joblog.PlanTaken, s *Sheet) error {
	r, err := o.resolved(t)
	if err != nil {
		return err
	}
	req, err := t.Asked()
	if err != nil {
		return err
	}
	a, err := d.App(ctx, o.who.Place)
	if err != nil {
		return err
	}
	ans := app.Describe(r, req, plan.Plan{Outcome: plan.Bounded, Steps: t.Plan()})
	s.Plan, s.Variant, s.Revision, s.Deference = o.state.Plan.ID, ans.Variant, t.Pin.String(), ans.Deference
	walk, err := o.walk(t)
	if err != nil {
		return err
	}
	torque, err := a.TorqueOf(ans, app.TorqueAsk{})
	if err != nil {
		return err
	}
	m := stepMaker{r: r, req: req, where: app.DescribeWhere(ans), torque: torque}
	for i, l := range ans.Steps {
		s.Steps = append(s.Steps, m.step(i, l, walk))
	}
	for _, st := range walk {
		s.MustNot = append(s.MustNot, mustNot(st.MustNot))
	}
	s.Wrench = m.sheetWrenches()
	s.Newer, err = d.newer(ctx, o, t)
	return err
}

func mustNot(list []joblog.Prohibition) []MustNot {
	out := []MustNot{}
	for _, p := range list {
		out = append(out, MustNot{Says: p.Says, Because: p.Because})
	}
	return out
}

// walker is the device in whose name a plan is walked through ahead of time.
const walker joblog.Device = "ahead"

// walk carries out the plan from its beginning on paper and returns how the
// job stands after so many steps, 0 to all, every fastener ticked as soon as
// its item is back and every part recorded as new.
func (o *opened) walk(t *joblog.PlanTaken) ([]joblog.State, error) {
	began := o.state.Plan.ID
	l := joblog.NewLog(o.row.ID)
	for _, r := range o.log.Records() {
		if r.Event.ID.Compare(began) <= 0 {
			if _, err := l.Add(r); err != nil {
				return nil, err
			}
		}
	}
	w := &ahead{log: l, basis: o.basis, last: began, author: o.state.Plan.By, seen: l.Has()}
	w.state = joblog.Fold(l, o.basis)
	states := []joblog.State{w.state}
	for n := 1; n <= len(t.Steps); n++ {
		if err := w.step(began, n); err != nil {
			return nil, err
		}
		states = append(states, w.state)
	}
	return states, nil
}

// ahead is a walk through a plan on paper.
type ahead struct {
	log    *joblog.Log
	basis  joblog.Basis
	last   joblog.ID
	seq    int64
	author joblog.Person
	seen   map[joblog.Device]int64
	state  joblog.State
}

func (w *ahead) say(b joblog.Body) error {
	w.seq++
	w.last = joblog.NextID(w.last, w.last.Time(), [10]byte{})
	_, err := w.log.Add(joblog.Record{Received: w.last.Time(), Event: joblog.Event{
		Schema: joblog.Schema, ID: w.last, Job: w.log.Job(), Author: w.author, Device: walker, Seq: w.seq, At: w.last.Time(),
		Seen: w.seen, Kind: joblog.KindOf(b), Body: b,
	}})
	w.seen = nil // said once, holds on
	return err
}

// step ticks a step, then everything that is back on.
func (w *ahead) step(of joblog.ID, n int) error {
	if err := w.say(&joblog.StepDone{Plan: of, Step: n}); err != nil {
		return err
	}
	w.state = joblog.Fold(w.log, w.basis)
	settled := true
	for _, j := range w.state.Joints {
		if len(j.Missing) > 0 && !stands(&w.state, j.Item) {
			settled = false
			if err := w.say(&joblog.Ticked{Fastener: joblog.Fastener{Item: j.Item, Joint: j.Joint}}); err != nil {
				return err
			}
		}
	}
	if !settled {
		must := w.state
		w.state = joblog.Fold(w.log, w.basis)
		w.state.Joints = markNew(must.Joints, w.state.Joints)
	}
	return nil
}

// markNew keeps, in the lines after ticking, what was missing before it.
func markNew(before, after []joblog.JointLine) []joblog.JointLine {
	for i := range after {
		k := slices.IndexFunc(before, func(j joblog.JointLine) bool { return j.Item == after[i].Item && j.Joint == after[i].Joint })
		if k >= 0 && len(before[k].Missing) > 0 {
			after[i].Missing = before[k].Missing
		}
	}
	return after
}

// stands reports whether an item is off or aside.
func stands(s *joblog.State, id guide.ID) bool {
	return slices.ContainsFunc(s.Tray, func(l joblog.OffLine) bool { return l.Item == id && l.Stands != "" })
}

// stepMaker puts steps into the form of a sheet.
type stepMaker struct {
	r      *guide.Resolved
	req    plan.Request
	where  []string
	torque *app.TorqueSheet
}

func (m *stepMaker) step(i int, l app.StepLine, walk []joblog.State) SheetStep {
	before, after := &walk[i], &walk[i+1]
	s := SheetStep{
		Step: l.Number, Kind: string(l.Step.Kind), Phase: string(l.Step.Phase), Title: l.Title, Where: m.where[i],
		Place: l.Place, Sight: l.Sight, Hands: l.Hands, Minutes: l.Step.Hands.Minutes(), Wait: l.Step.Wait.Minutes(),
		Tools: l.Tools, Notes: l.Notes, Risks: l.Risks, Undoes: l.Mirror,
	}
	if l.Item != nil {
		s.Item, s.Name = l.Item.ID, l.Item.Name
	}
	for _, c := range l.Cautions {
		text := c.Text
		if c.Answer != "" {
			text += " (" + c.Answer + ")"
		}
		s.Cautions = append(s.Cautions, SheetCaution{ID: c.ID, Text: text, Authority: c.Authority})
	}
	m.moved(&s, before, after)
	m.joints(&s, before, after)
	m.parts(&s, before, after)
	m.task(&s, l.Step)
	return s
}

// moved says which items leave their place and which come back.
func (m *stepMaker) moved(s *SheetStep, before, after *joblog.State) {
	for _, t := range after.Tray {
		if t.Stands != "" && !stands(before, t.Item) {
			s.Off, s.Names = append(s.Off, t.Item), append(s.Names, t.Name)
		}
	}
	for _, t := range before.Tray {
		if t.Stands != "" && !stands(after, t.Item) {
			s.On, s.Names = append(s.On, t.Item), append(s.Names, t.Name)
		}
	}
}

// joints adds what is opened in the step and what is to be ticked.
func (m *stepMaker) joints(s *SheetStep, before, after *joblog.State) {
	for _, j := range after.Joints {
		if len(j.Missing) == 0 {
			continue
		}
		k := slices.IndexFunc(before.Joints, func(o joblog.JointLine) bool { return o.Item == j.Item && o.Joint == j.Joint })
		off := stands(after, j.Item)
		switch {
		case off && (k < 0 || !stands(before, j.Item)): // opened now
		case !off && (k < 0 || stands(before, j.Item)): // closed now
		case !off && k >= 0 && len(before.Joints[k].Missing) == 0: // opened and closed
		default:
			continue
		}
		s.Joints = append(s.Joints, m.joint(j, !off))
	}
}

func (m *stepMaker) joint(l joblog.JointLine, closing bool) SheetJoint {
	s := SheetJoint{Item: l.Item, Name: l.Name, Joint: l.Joint, Count: l.Count, Says: l.Says}
	it := m.r.Item(l.Item)
	if it == nil {
		return s
	}
	if l.Joint == 0 {
		s.Says = "connector"
		if it.Connector != nil {
			s.Trick = it.Connector.Trick
			if it.Connector.Lock != "" {
				s.Says += ", " + it.Connector.Lock
			}
		}
		return s
	}
	if l.Joint > len(it.Joints) {
		return s
	}
	m.tightened(&s, it, &it.Joints[l.Joint-1], closing)
	return s
}

// parts adds the single-use parts that are fitted in the step: those that are
// needed and whose item is back, or that belong to no item.
func (m *stepMaker) parts(s *SheetStep, before, after *joblog.State) {
	for _, p := range after.Parts {
		k := slices.IndexFunc(before.Parts, func(o joblog.PartLine) bool { return o.On == p.On && o.Part == p.Part && o.Joint == p.Joint })
		asked := k < 0 || before.Parts[k].Need != p.Need
		if back := stands(before, p.On) && !stands(after, p.On); back || asked && !stands(after, p.On) {
			s.Parts = append(s.Parts, SheetPart{On: p.On, Part: p.Part, Joint: p.Joint, Says: p.Says, Count: p.Need})
		}
	}
}

// task adds what a check wants.
func (m *stepMaker) task(s *SheetStep, st plan.Step) {
	if st.Kind != plan.Do || st.Task < 0 || st.Task >= len(m.req.Tasks) {
		return
	}
	t := m.req.Tasks[st.Task]
	s.Proof = t.Proof
	c := m.r.Check(t.On)
	if c == nil {
		return
	}
	s.Check = c.ID
	for _, l := range c.Limits {
		if s.Limit != "" {
			s.Limit += "; "
		}
		s.Limit += l.String()
	}
}
