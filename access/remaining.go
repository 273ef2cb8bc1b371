package access

import "elbowroom/access/andor"

// query states what is left to do from s.
func (x *relaxation) query(s state) andor.Query {
	w, f := x.w, &x.facts
	var q andor.Query
	for i := range w.layout.items {
		q.Start = x.standingFacts(q.Start, s, int32(i))
		if w.mustReturn[i] && s[i] != standsOn {
			q.Goals = append(q.Goals, perItem*int32(i)+factOn)
		}
	}
	for c := range w.model.conds {
		v := s[w.condAt+c]
		if v < 0 {
			v = w.changes[-1-v].to
		}
		q.Start = x.gained(q.Start, int32(c), v)
		if end := w.model.conds[c].end; end != none && end != v {
			q.Goals = append(q.Goals, f.has(int32(c), end))
		}
	}
	for t := range int32(w.layout.tasks) {
		if w.done(s, t) {
			q.Start = append(q.Start, f.task+t)
		} else {
			q.Goals = append(q.Goals, f.task+t)
		}
	}
	for h := range int32(w.layout.hires) {
		if w.hired(s, h) {
			q.Start = append(q.Start, f.hire+h)
		}
	}
	if p := w.place(s); p != none {
		q.Start = append(q.Start, f.place+p)
	}
	if t := w.tool(s); t != none {
		q.Start = append(q.Start, f.tool+t)
	}
	return q
}

func (x *relaxation) standingFacts(facts []int32, s state, i int32) []int32 {
	f, at := &x.facts, perItem*i
	switch code := s[i]; {
	case code == standsOn:
		return append(facts, at+factOn, at+factReady)
	case code == standsFound:
		facts = append(facts, at+factAway, f.found+i)
		if x.w.model.items[i].found == off {
			facts = append(facts, at+factOff)
		}
		return facts
	case code < 0:
		return append(facts, at+factAway, at+factOff)
	default:
		facts = append(facts, at+factAway, f.stack+x.w.topWay(s, i))
		if low := x.w.lowWay(s, i); low != none {
			facts = append(facts, f.stack+low)
		}
		if x.w.stands(s, i) == off {
			return append(facts, at+factOff)
		}
		return append(facts, at+factReady)
	}
}

// base returns what every way to the end from s costs beside the operations:
// the cheapest ways of the tasks, the refits of what is cleared, and the
// cheapest way of every condition to its end. It is far when a condition
// cannot come to its end.
func (x *relaxation) base(s state) int64 {
	w := x.w
	sum := int64(0)
	for i := range w.layout.items {
		if !w.mustReturn[i] {
			continue
		}
		if n := w.topWay(s, int32(i)); n != none {
			sum += x.costs.back[n]
		}
		if n := w.lowWay(s, int32(i)); n != none {
			sum += x.costs.back[n]
		}
	}
	for c := range w.model.conds {
		v := s[w.condAt+c]
		if v < 0 {
			v = w.changes[-1-v].to
		}
		if b := x.costs.toEnd[c][v]; b >= far {
			return far
		} else {
			sum += b
		}
	}
	for t := range int32(w.layout.tasks) {
		if !w.done(s, t) {
			sum += x.costs.least[t]
		}
	}
	return sum
}

// firstFree is what the relaxation charges too much in s: the first place and
// the first tool cost nothing.
func (x *relaxation) firstFree(s state) int64 {
	free := int64(0)
	if x.setups && x.w.place(s) == none {
		free += x.w.move
	}
	if x.setups && x.w.tool(s) == none {
		free += x.w.swap
	}
	return free
}
