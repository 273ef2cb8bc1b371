package suspect

import (
	"fmt"
	"slices"

	"elbowroom/guide"
)

// events adds the verdicts, repairs and proofs in order.
func (m *model) events() {
	last := map[guide.ID]int{} // check to its step, while no repair can have changed its answer
	for i, e := range m.c.Events {
		switch {
		case e.Verdict != nil:
			m.verdict(i, *e.Verdict, last)
		case e.Repair != nil:
			m.repair(i, *e.Repair, last)
		case e.Proof != nil:
			m.proof(i, *e.Proof)
		}
	}
	m.asked = map[guide.ID]bool{}
	for id := range last {
		m.asked[id] = true
	}
}

// verdict adds one verdict. The same check made again, with nothing repaired
// between that could change its answer, replaces the earlier verdict: whatever
// made the first one wrong makes the second one wrong too.
func (m *model) verdict(i int, v Verdict, last map[guide.ID]int) {
	k := m.checkOf(v.Check)
	says := string(v.Check)
	if v.Says != "" {
		says += ": " + v.Says
	}
	if v.NotComparable {
		m.note("%s: not comparable, so it speaks for nobody", says)
		return
	}
	o := m.observe(k, v)
	if old, ok := last[v.Check]; ok {
		o = merged(*m.steps[old].seen, o)
		m.steps[old].like, m.steps[old].sign.Event = nil, -1
		m.note("%s was made again with nothing repaired between: the later verdict replaces the earlier one, it is no further news", v.Check)
	}
	if !k.named {
		m.note("%s: no fault of the guide names this check, so it tells the suspects apart only by its leak", v.Check)
	}
	about := make([]int, len(k.links))
	for i, l := range k.links {
		about[i] = l.hyp
	}
	last[v.Check] = len(m.steps)
	m.steps = append(m.steps, step{
		sign:  Sign{Sort: VerdictSign, Event: i, Check: v.Check, Says: says, Assumed: k.assumed},
		about: about, seen: &o, like: o.like,
	})
}

// observe turns a verdict into what the odds of its check are asked for. Parts
// whose names mean none of the items of the check make it a verdict of the
// whole.
func (m *model) observe(k *checkModel, v Verdict) observed {
	o := observed{k: k, conforms: v.Conforms}
	if len(v.Parts) == 0 {
		return o
	}
	whole := 1.0
	type read struct {
		part int
		each float64
	}
	var reads []read
	for _, p := range v.Parts {
		whole = min(whole, p.Conforms)
		if at := m.partOf(k, p.Name); at >= 0 {
			reads = append(reads, read{at, p.Conforms})
		}
	}
	if len(reads) != len(v.Parts) {
		o.conforms = whole
		return o
	}
	slices.SortStableFunc(reads, func(a, b read) int { return a.part - b.part })
	for _, r := range reads {
		if n := len(o.parts); n > 0 && o.parts[n-1] == r.part {
			o.each[n-1] = min(o.each[n-1], r.each)
			continue
		}
		o.parts = append(o.parts, r.part)
		o.each = append(o.each, r.each)
	}
	return o
}

// merged lets a later verdict of the same check replace an earlier one, part
// by part where both speak of parts.
func merged(old, now observed) observed {
	if len(old.parts) == 0 || len(now.parts) == 0 {
		return now
	}
	out := observed{k: now.k}
	for part := range len(now.k.parts) {
		from := now
		i := slices.Index(now.parts, part)
		if i < 0 {
			from, i = old, slices.Index(old.parts, part)
		}
		if i >= 0 {
			out.parts = append(out.parts, part)
			out.each = append(out.each, from.each[i])
		}
	}
	return out
}

// repair adds a repair: its faults are gone from then on, and checks whose
// answer it can have changed may speak anew.
func (m *model) repair(i int, r Repair, last map[guide.ID]int) {
	hyps := m.repaired(r)
	for id := range last {
		if k := m.checks[id]; slices.ContainsFunc(k.links, func(l link) bool { return contains(hyps, l.hyp) }) {
			delete(last, id)
		}
	}
	says := r.Says
	switch {
	case says != "":
	case r.Task != nil:
		says = r.Task.String()
	default:
		says = "repaired " + string(r.Fault)
	}
	m.steps = append(m.steps, step{sign: Sign{Sort: RepairDone, Event: i, Says: says}, repairs: hyps})
}

// repaired returns the faults that a repair takes out: the one named, and
// every fault that is repaired by the same task.
func (m *model) repaired(r Repair) []int {
	task := r.Task
	if h, ok := m.byID[r.Fault]; ok && task == nil {
		task = m.hyps[h].fault.Task
	}
	var out []int
	for h := range m.hyps[:m.other()] {
		f := m.hyps[h].fault
		if f.ID == r.Fault || task != nil && f.Task != nil && *f.Task == *task {
			out = append(out, h)
		}
	}
	return out
}

// proof adds the outcome of a closing proof.
func (m *model) proof(i int, p Proof) {
	says := "the proof failed"
	if p.Passed {
		says = "the proof passed"
	}
	if p.Says != "" {
		says += ": " + p.Says
	}
	all := make([]int, len(m.hyps))
	for h := range all {
		all[h] = h
	}
	m.steps = append(m.steps, step{
		sign:  Sign{Sort: ProofSign, Event: i, Says: says, Assumed: true},
		about: all,
		like: func(present []int, s setting) float64 {
			pass := 1 - s.leak(groupProof, m.a.ProofFailed)
			if len(present) > 0 {
				pass = s.leak(groupProof, m.a.ProofMissed)
			}
			if p.Passed {
				return pass
			}
			return 1 - pass
		},
	})
}

func (m *model) note(format string, args ...any) {
	m.notes = append(m.notes, fmt.Sprintf(format, args...))
}
