package joblog

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/plan"
)

// planStates lists the plans with their steps, and the steps of no plan.
func (f *folding) planStates() {
	for _, p := range f.order {
		t := f.plans[p.ID]
		if t == nil || p.body == nil {
			continue
		}
		ps := PlanState{Stamp: p.stamp(), Pin: t.body.Pin, Variant: t.body.Request.Variant}
		for i := range t.body.Steps {
			key := stepKey{plan: p.ID, step: i + 1}
			ps.Steps = append(ps.Steps, f.stepState(f.steps[key], t, i+1, t.body.act(i)))
		}
		if t == f.now {
			f.s.Plan = &ps
		} else {
			f.s.Earlier = append(f.s.Earlier, ps)
		}
	}
	for _, key := range f.keys {
		if t := f.steps[key]; key.step == 0 {
			f.s.Extra = append(f.s.Extra, f.stepState(t, t.plan, 0, t.act))
		}
	}
}

func (f *folding) stepState(t *ticked, in *taken, n int, a Act) StepState {
	s := StepState{Step: n, Act: a, Says: actWords(in.r, a)}
	if n > 0 && a.Kind == plan.Await && in.r != nil {
		s.Says = "Wait for " + valueWords(in.r, a.Condition, in.body.Steps[n-1].To)
	}
	if t == nil {
		return s
	}
	s.Counts = t.counts && (len(t.refused) == 0 || t.signed != nil)
	s.Disputed = t.heads.disputed()
	s.Done = s.Counts && !s.Disputed
	s.Refused, s.Early = t.refused, t.early
	if t.signed != nil {
		stamp := t.signed.stamp()
		s.Signed = &stamp
	}
	for _, h := range t.heads {
		s.Ticks = append(s.Ticks, Tick{Stamp: h.at.stamp(), Done: h.value})
		if b, ok := h.at.body.(*StepDone); ok && b.Lies != "" {
			s.Lies = b.Lies
		}
	}
	return s
}

// rigState says how the machine stands.
func (f *folding) rigState() {
	if f.rig == nil {
		return
	}
	for _, key := range f.keys {
		t := f.steps[key]
		if !t.heads.disputed() && (len(t.refused) == 0 || t.signed != nil) {
			continue
		}
		switch t.act.Kind {
		case plan.Clear, plan.Refit:
			f.rig.unsure[t.act.Item] = true
		case plan.Change, plan.Await:
			f.rig.unsure[t.act.Condition] = true
		}
	}
	f.s.Tray = f.rig.trayLines()
	f.s.Joints, f.s.Fasteners, f.s.Connectors = f.rig.jointLines()
	f.s.Parts = f.rig.partLines()
	f.s.Conditions = f.rig.conditionStates()
	f.s.MustNot = f.rig.prohibitions()
	f.fastenerConflicts()
}

func fastenerKey(item guide.ID, joint, index int) string {
	return fmt.Sprintf("fastener %s/%d/%d", item, joint, index)
}

func (f *folding) fastenerConflicts() {
	for _, id := range f.rig.order {
		for _, j := range f.rig.openings[id].joints {
			for i, h := range j.ticks {
				if len(h) < 2 {
					continue
				}
				c := Conflict{Sort: Twice, Key: fastenerKey(id, j.number, i+1), Events: h.events()}
				c.Says = fmt.Sprintf("fastener %d of joint %d of the %s was ticked by %s, neither knowing of the other", i+1, j.number, itemName(f.rig.r, id), people(h))
				if h.disputed() {
					c.Sort, c.Blocking = Disputed, true
					c.Says = fmt.Sprintf("fastener %d of joint %d of the %s: %s do not say the same (%s); until somebody settles it, it counts as not in",
						i+1, j.number, itemName(f.rig.r, id), people(h), opinions(h))
				}
				f.s.Conflicts = append(f.s.Conflicts, c)
			}
		}
	}
}

func opinions(h heads[mark]) string {
	words := make([]string, len(h))
	for i, o := range h {
		switch {
		case !o.value.in:
			words[i] = "not in"
		case o.value.value == "" && o.value.wrench == "":
			words[i] = "in"
		default:
			words[i] = strings.TrimSpace("in, " + o.value.value + " " + string(o.value.wrench))
		}
	}
	return strings.Join(words, "; ")
}

// next finds the first step of the present plan that is not done.
func (f *folding) next() {
	if f.s.Plan == nil {
		return
	}
	for _, st := range f.s.Plan.Steps {
		if st.Done {
			continue
		}
		f.s.Present = &Present{Plan: f.s.Plan.ID, Step: st.Step, Says: st.Says}
		if f.rig == nil || f.now.r == nil {
			f.s.Present.Why = []string{"the guide is not at hand"}
		} else {
			f.s.Present.Why = f.rig.try(st.Act)
		}
		return
	}
}

// staleProofs marks the proofs after which something was taken off or put back.
func (f *folding) staleProofs() {
	if f.rig == nil || f.rig.touched == nil {
		return
	}
	for i := range f.s.Proofs {
		f.s.Proofs[i].Stale = f.byID[f.s.Proofs[i].ID].pos < f.rig.touched.pos
	}
}

// May says whether an act is possible by the guide in this state, with the
// reasons when it is not. Without a plan nothing is known to be impossible.
func (s State) May(a Act) []string {
	if s.rig == nil {
		return nil
	}
	return s.rig.try(a)
}

// Possible lists the numbers of the steps of the present plan that are not
// done and are possible now, in the order of the plan.
func (s State) Possible() []int {
	if s.Plan == nil || s.rig == nil {
		return nil
	}
	var list []int
	for _, st := range s.Plan.Steps {
		if !st.Counts && len(s.rig.try(st.Act)) == 0 {
			list = append(list, st.Step)
		}
	}
	return slices.Clip(list)
}
