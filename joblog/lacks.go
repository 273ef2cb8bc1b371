package joblog

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/plan"
)

// lacks works out everything that keeps the job from being closed, who signed
// for what, and whether the job is closed.
func (f *folding) lacks() {
	if g := f.rig; g != nil {
		f.trayLacks(g)
		f.partLacks(g)
		f.conditionLacks(g)
	}
	f.planLacks()
	f.proofLacks()
	for _, c := range f.s.Conflicts {
		if c.Blocking {
			f.lack(c.Key, c.Says, f.latest(c.Events))
		}
	}
	for _, r := range f.s.Refused {
		f.lack(fmt.Sprintf("refused %s: %s", r.Event, r.Why), "an event does not count: "+r.Says, f.byID[r.Event])
	}
	for _, g := range f.s.Gaps {
		f.lack(fmt.Sprintf("gap %s %d-%d", g.Device, g.First, g.Last), g.String(), nil)
	}
	f.sign()
	f.close()
}

func (f *folding) lack(key, says string, since *placed) {
	f.s.Lacks = append(f.s.Lacks, Lack{Key: key, Says: says, since: since})
}

func (f *folding) latest(ids []ID) *placed {
	var last *placed
	for _, id := range ids {
		if p := f.byID[id]; p != nil && (last == nil || p.pos > last.pos) {
			last = p
		}
	}
	return last
}

// trayLacks: what is off, and fasteners that are not in.
func (f *folding) trayLacks(g *rig) {
	for _, l := range f.s.Tray {
		if l.Stands != "" && !l.Left {
			f.lack("item "+string(l.Item), fmt.Sprintf("the %s is still %s%s", l.Name, l.Stands, lies(l.Lies)), g.removed[l.Item])
		}
	}
	for _, j := range f.s.Joints {
		if len(j.Missing) == 0 || g.left(j.Item) && g.state.Standing(j.Item) != "" {
			continue
		}
		key := fmt.Sprintf("joint %s/%d: %s", j.Item, j.Joint, numbers(j.Missing))
		says := fmt.Sprintf("%s, %s: %d of %d in; not ticked: %s", itemName(g.r, j.Item), j.Says, j.In, j.Count, numbers(j.Missing))
		f.lack(key, says, g.openings[j.Item].since)
	}
}

func lies(where string) string {
	if where == "" {
		return ""
	}
	return " (" + where + ")"
}

// partLacks: single-use parts that nobody recorded as new. An item that stays
// off needs none.
func (f *folding) partLacks(g *rig) {
	for i, p := range f.s.Parts {
		if p.New >= p.Need || g.left(p.On) && g.state.Standing(p.On) != "" {
			continue
		}
		key := fmt.Sprintf("part %s %s/%d: %d", p.On, p.Part, p.Joint, p.Need-p.New)
		says := fmt.Sprintf("%s, single-use: %d of %d recorded as new (%s)", p.Says, p.New, p.Need, itemName(g.r, p.On))
		f.lack(key, says, g.needs[i].since)
	}
}

// conditionLacks: conditions that are not as they must be in the end.
func (f *folding) conditionLacks(g *rig) {
	for _, c := range f.s.Conditions {
		if c.End != "" && c.Value != c.End {
			f.lack("condition "+string(c.Condition), fmt.Sprintf("%s; it must be %s", c.Says, valueWords(g.r, c.Condition, c.End)), nil)
		}
	}
}

// planLacks: tasks of the present plan that are not done. Proofs have rules of
// their own.
func (f *folding) planLacks() {
	if f.s.Plan == nil {
		return
	}
	for _, st := range f.s.Plan.Steps {
		s := f.now.body.Steps[st.Step-1]
		if st.Act.Kind == plan.Do && !st.Done && !f.now.body.Request.Tasks[s.Task].Proof {
			f.lack(fmt.Sprintf("task %s:%s", st.Act.Verb, st.Act.Item), guide.Uncapital(st.Says)+": not done", nil)
		}
	}
}

// proofLacks: proofs that the plan asks for, and one at least where work was
// done.
func (f *folding) proofLacks() {
	asked := false
	if f.now != nil {
		for _, t := range f.now.body.Request.Tasks {
			if t.Proof {
				asked = true
				f.proofLack(t.On)
			}
		}
	}
	good := slices.ContainsFunc(f.s.Proofs, func(p Proof) bool { return f.proves(p) == "" })
	if f.rig != nil && f.rig.worked && !asked && !good {
		f.lack("proof", "work was done and nothing proves the complaint gone", f.rig.touched)
	}
}

func (f *folding) proofLack(on guide.ID) {
	why := "not made"
	for _, p := range f.s.Proofs {
		if p.Check != on {
			continue
		}
		if why = f.proves(p); why == "" {
			return
		}
	}
	var since *placed
	if f.rig != nil {
		since = f.rig.touched
	}
	f.lack("proof "+string(on), fmt.Sprintf("proof %s: %s", on, why), since)
}

// proves says why a proof proves nothing, "" when it does.
func (f *folding) proves(p Proof) string {
	switch {
	case p.Verdict != Conforming:
		return "it came out " + string(p.Verdict)
	case p.Stale:
		return "something was taken off or put back after it"
	}
	for _, id := range p.Readings {
		if r := f.reading(id); r != nil && len(r.Judged) > 0 && r.Verdict() != Conforming {
			return fmt.Sprintf("its reading %q is not judged conforming", r.Text)
		}
	}
	return ""
}

// sign finds the deviation that covers each lack: it names the key and was
// signed after the lack came about.
func (f *folding) sign() {
	for i := range f.s.Lacks {
		l := &f.s.Lacks[i]
		for _, d := range f.s.Deviations {
			at := f.byID[d.ID]
			if slices.Contains(d.Lacks, l.Key) && (l.since == nil || at.pos > l.since.pos) {
				stamp := at.stamp()
				l.Signed, l.Reason = &stamp, d.Reason
			}
		}
	}
}

// close says whether the job is closed, or why not.
func (f *folding) close() {
	if f.closed.disputed() {
		f.s.Conflicts = append(f.s.Conflicts, Conflict{
			Sort: Disputed, Key: "close", Events: f.closed.events(), Blocking: true,
			Says: people(f.closed) + " closed and reopened the job, neither knowing of the other; it counts as open",
		})
		return
	}
	if is, ok := f.closed.agreed(); !ok || !is {
		return
	}
	at := f.closed[0].at
	if why := f.s.Unclosable(); why != "" {
		f.refuse(at, NotFinished, "%s", why)
		return
	}
	f.s.Closed = &Closing{at.stamp(), at.body.(*Closed).Says}
}

// Unclosable says in one text everything that keeps the job from being closed
// and that nobody signed for, "" when nothing does.
func (s State) Unclosable() string {
	var lines []string
	for _, l := range s.Lacks {
		if l.Signed == nil {
			lines = append(lines, l.Says)
		}
	}
	if len(lines) == 0 {
		return ""
	}
	head := "the job cannot be closed"
	if s.Fasteners.In < s.Fasteners.Out || s.Connectors.In < s.Connectors.Out {
		head += ": " + counts(s.Fasteners, s.Connectors)
	}
	return head + "\n- " + strings.Join(lines, "\n- ")
}

// counts says "41 fasteners out, 40 in; 2 connectors apart, 2 together".
func counts(fasteners, connectors Count) string {
	s := fmt.Sprintf("%d fasteners out, %d in", fasteners.Out, fasteners.In)
	if connectors.Out > 0 {
		s += fmt.Sprintf("; %d connectors apart, %d together", connectors.Out, connectors.In)
	}
	return s
}
