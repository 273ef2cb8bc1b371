package app

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/joint"
)

// usualDeviation is that of a torque wrench of which nothing is known, so that
// the spread of the preload has one (ISO 6789:2003 type II class A).
const usualDeviation = 0.04

// fill works out everything about one joint, given for one or several states
// of its threads.
func (m *torqueMaker) fill(l *TorqueLine, given []guide.Joint) {
	l.Joint = given[0]
	j, refused := joint.ForState(m.state, given)
	if j != nil {
		l.Joint = *j
	} else if tightening(given) {
		l.add(OtherState, "not tightened with "+string(m.state)+" threads: "+refused, "clean the threads to the state that the guide names, or ask the maker for the value")
		l.Joint.Stages = nil
	}
	for i := range given {
		if s := torqueStages(&given[i]); s != "" && (j == nil || given[i].State != l.Joint.State) {
			l.Others = append(l.Others, s)
		}
	}
	l.Fastener = fastenerText(&l.Joint)
	l.Layout = joint.Lay(l.Joint.Pattern, l.Joint.Count)
	l.Next = joint.NextTime(l.Joint.Reuse, given[0].Stages)
	l.Source = SourceText(m.r.Guide, firstID(l.Joint.Source, l.Item.Source))
	l.Was = wasLines(m.r.Guide, given)
	l.Part = m.part(l)
	m.known(l)
	m.stages(l)
	m.assess(l)
	m.aftercare(l)
}

// tightening reports whether any of the joints is one that is tightened.
func tightening(given []guide.Joint) bool {
	return slices.ContainsFunc(given, func(j guide.Joint) bool { return len(j.Stages) > 0 })
}

func (l *TorqueLine) add(sort TorqueFindingSort, says, do string) {
	l.Findings = append(l.Findings, TorqueFinding{sort, says, do})
}

// fastenerText prints count and fastener: "4 × M6x35 T30 8.8 into aluminium".
func fastenerText(j *guide.Joint) string {
	head := guide.Joint{Count: j.Count, Thread: j.Thread, Lengths: j.Lengths, Drive: j.Drive, What: j.What, Class: j.Class, Into: j.Into}
	return strings.Replace(head.String(), " x ", " × ", 1)
}

func firstID(ids ...guide.ID) guide.ID { return cmp.Or(ids...) }

func wasLines(g *guide.Guide, given []guide.Joint) []WasLine {
	var out []WasLine
	for _, j := range given {
		for _, w := range j.Was {
			line := WasLine{Value: w.Value, Until: w.Until, Date: revisionDate(g, w.Until), Reason: w.Reason}
			if w.Source != "" {
				line.Source = SourceText(g, w.Source)
			}
			out = append(out, line)
		}
	}
	return out
}

// revisionDate returns the date of a revision that is named "revision 3", "r3"
// or "3"; "" when it is none of those of the guide.
func revisionDate(g *guide.Guide, name string) string {
	short := func(s string) string {
		s = strings.TrimSpace(strings.TrimPrefix(strings.ToLower(s), "revision"))
		return strings.TrimPrefix(s, "r")
	}
	for _, r := range g.Revisions {
		if name != "" && short(string(r.ID)) == short(name) {
			return r.Date
		}
	}
	return ""
}

// part returns what replaces the fasteners.
func (m *torqueMaker) part(l *TorqueLine) *PartLine {
	if l.Joint.Part == "" {
		return nil
	}
	p := partLine(m.r, guide.Use{Count: float64(l.Joint.Count), What: l.Joint.Part})
	return &p
}

// known says what stands in the way of tightening at all.
func (m *torqueMaker) known(l *TorqueLine) {
	j := &l.Joint
	switch {
	case j.Torque == guide.Unknown, j.Torque == "" && len(j.Stages) == 0 && len(l.Findings) == 0 && (j.Thread != "" || joint.Tightened(j.What)):
		l.add(TorqueMissing, "nobody has written down the torque", "ask the maker; until then this joint stays open on the sheet")
	case len(j.Stages) > 0 && j.State == "" && j.Thread != "":
		l.add(StateUnsaid, "nobody has written down whether the torque is for dry or for oiled threads", "leave the threads as they came; find out and write it into the guide")
	}
	if l.Layout.Wrong != "" {
		l.add(OrderWrong, l.Layout.Wrong, "ask for the order; the guide has to be corrected")
	}
}

// stages finds the tool for each stage.
func (m *torqueMaker) stages(l *TorqueLine) {
	for _, s := range l.Joint.Stages {
		st := TorqueStage{Text: s.String(), Angle: s.Angle}
		switch {
		case s.Angle != 0:
			m.angleTool(l, &st)
		case !s.Torque.Zero():
			m.torqueTool(l, &st, s)
		}
		l.Stages = append(l.Stages, st)
	}
}

// angleGauge is the tool that turns an angle, as guides name it.
const angleGauge guide.ID = "angle-gauge"

func (m *torqueMaker) angleTool(l *TorqueLine, st *TorqueStage) {
	st.Set = degrees(st.Angle)
	if m.shop == nil {
		return
	}
	for _, t := range m.shop.Tools {
		if t.Is == angleGauge || t.ID == angleGauge {
			st.Tool = t.Name
			return
		}
	}
	l.add(NoTool, "no angle gauge is owned for the stage of "+st.Text, "mark head and part with paint and turn by the marks, or get an angle gauge")
}

// torqueTool chooses the wrench for a torque and says what to set.
func (m *torqueMaker) torqueTool(l *TorqueLine, st *TorqueStage, s guide.Stage) {
	t, err := joint.TorqueIn(s.Torque)
	if err != nil {
		return
	}
	st.Torque = t
	if m.unit != "" && m.unit != s.Torque.Unit {
		st.Also = joint.Show(t, m.unit).String()
	}
	if len(m.owned) == 0 {
		return
	}
	st.Choice = joint.Choose(m.owned, t, m.adapter(l, st), m.day)
	best := st.Choice.Best()
	if best == nil {
		l.add(NoTool, "no torque tool here reaches "+s.Torque.String()+": "+reachTexts(st.Choice), "use "+strings.Join(st.Choice.Would, "; or "))
		return
	}
	st.Tool = best.Wrench.Name
	st.setting(best, s.Torque.Unit)
	if st.Choice.Use == joint.Overdue {
		l.add(ToolOverdue, best.Says, "use "+strings.Join(st.Choice.Would, "; or "))
	}
}

// adapter returns what stands between wrench and fastener: the adapter asked
// for, or the workshop's own where the pipe of a union lets nothing else on.
func (m *torqueMaker) adapter(l *TorqueLine, st *TorqueStage) joint.Adapter {
	if m.asked && (m.line == 0 || m.line == l.Number) {
		return m.via
	}
	if m.shop == nil || !strings.Contains(l.Joint.What, "union") {
		return joint.Adapter{}
	}
	tool, a := m.shop.Adapter(l.Joint.Drive)
	st.Foot = tool
	return a
}

// setting says what to set, in the unit of the scale, and the marks on both
// sides where it lies between two.
func (st *TorqueStage) setting(f *joint.Fit, unit string) {
	low, _ := joint.TorqueIn(f.Wrench.Lowest)
	high, _ := joint.TorqueIn(f.Wrench.Highest)
	bounds := []joint.NewtonMetres{low, high}
	for _, m := range f.Marks {
		if t, err := joint.TorqueIn(m.Mark); err == nil {
			bounds = append(bounds, t)
		}
		st.Marks = append(st.Marks, fmt.Sprintf("%s gives %s", m.Mark, joint.Show(m.Gives, unit, st.Torque)))
	}
	st.Set = joint.Show(f.Setting, f.Wrench.Lowest.Unit, bounds...).String()
}

// reachTexts says of each tool why it does not reach.
func reachTexts(c joint.Choice) string {
	var words []string
	for _, f := range c.Fits {
		words = append(words, f.Says)
	}
	return strings.Join(words, "; ")
}

// assess reckons what the last torque does to the fastener.
func (m *torqueMaker) assess(l *TorqueLine) {
	torques := joint.Torques(l.Joint.Stages)
	f, err := joint.Of(&l.Joint)
	if err != nil || len(torques) == 0 {
		return
	}
	deviation := usualDeviation
	for _, st := range l.Stages {
		if b := st.Choice.Best(); b != nil {
			deviation = b.Wrench.Permissible()
		}
	}
	a := joint.Assess(f, torques[len(torques)-1], l.Joint.State, joint.Angled(l.Joint.Stages), l.Joint.Into, deviation)
	if a.Place == joint.NoVerdict {
		return // a material of no known strength, whose friction is not known either
	}
	l.Use = &a
	if says := a.Finding(lastUnit(&l.Joint)); says != "" {
		l.add(TorqueDoubtful, says, "do not tighten to it before somebody has checked value and unit")
	}
	if len(l.Joint.Lengths) > 0 {
		if says := a.Short(joint.Millimetres(slices.Min(l.Joint.Lengths))); says != "" {
			l.add(ThreadShort, says, "check length and torque; with a steel thread insert the guide has to say so")
		}
	}
}

// lastUnit is the unit that the last torque of a joint is written in.
func lastUnit(j *guide.Joint) string {
	unit := joint.Units[0]
	for _, s := range j.Stages {
		if !s.Torque.Zero() {
			unit = s.Torque.Unit
		}
	}
	return unit
}

// aftercare says what is open about using the fasteners again.
func (m *torqueMaker) aftercare(l *TorqueLine) {
	j := &l.Joint
	switch {
	case j.Torque == guide.NotApplicable, j.Torque == guide.OutOfScope:
	case l.Next.Differ:
		l.add(ReuseDoubtful, "the guide calls fasteners reusable that are tightened by angle", "fit new ones, or ask the maker how often they may be used again")
	case l.Next.Renew && l.Part == nil && !m.renewed(l.Item):
		l.add(PartMissing, "the fasteners are used once, and no part of the guide replaces them", "order "+l.Fastener)
	case !l.Next.Known && !l.Next.Renew && len(j.Stages) > 0:
		l.add(ReuseDoubtful, l.Next.Says, "look at them; fit new ones where threads or heads are worn")
	}
}

// renewed reports whether replacing the item or some way of it takes a
// single-use part, which may be the fasteners.
func (m *torqueMaker) renewed(it *guide.Item) bool {
	uses := slices.Clone(it.Parts)
	for _, w := range it.Ways {
		uses = append(uses, w.Uses...)
	}
	return slices.ContainsFunc(uses, func(u guide.Use) bool { return partLine(m.r, u).SingleUse })
}

// done finishes the sheet.
func (m *torqueMaker) done() (*TorqueSheet, error) {
	if m.asked && m.line == 0 && len(m.s.Joints) > 1 {
		return nil, fmt.Errorf("%w: adapter: the sheet has %d joints; say the number of the one that it is for", ErrInput, len(m.s.Joints))
	}
	if m.line < 0 || m.line > len(m.s.Joints) {
		return nil, fmt.Errorf("%w: joint: the sheet has %d joints, so there is no number %d", ErrInput, len(m.s.Joints), m.line)
	}
	for _, w := range m.owned {
		t := TorqueTool{Wrench: w, Overdue: w.Due != "" && w.Due < m.day}
		for _, l := range m.s.Joints {
			if slices.ContainsFunc(l.Stages, func(st TorqueStage) bool { return st.Tool == w.Name && st.Choice.Best() != nil }) {
				t.Lines = append(t.Lines, l.Number)
			}
		}
		m.s.Tools = append(m.s.Tools, t)
	}
	return m.s, nil
}
