package reading

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// conditions looks at every clause and state that the check asks for.
func (j *judge) conditions() {
	for i := range j.check.When {
		j.v.Conditions = append(j.v.Conditions, j.clause(&j.check.When[i]))
	}
	for _, req := range j.check.With {
		j.v.Conditions = append(j.v.Conditions, j.state(req))
	}
	if j.check.Closed {
		j.v.Conditions = append(j.v.Conditions, Condition{Clause: "everything fitted", State: Assumed})
	}
}

// clause says how one clause stands.
func (j *judge) clause(c *guide.Clause) Condition {
	out := Condition{Clause: c.String(), State: Unknown}
	if c.Words != "" {
		j.words(c.Words, &out)
		return out
	}
	for i, st := range j.rd.Stated {
		if st.Value.Zero() || !sameSubject(c.Subject, st.Subject) || clauseKind(c) != st.Value.Dimension() {
			continue
		}
		j.used[i] = true
		out.Stated = st.Text
		out.State, out.Off = holds(c, st)
		return out
	}
	return out
}

// holds compares a stated value with the range of a clause. A bound settles a
// clause only where every value beyond it does.
func holds(c *guide.Clause, st Stated) (Holding, string) {
	if st.Moved {
		return holdsThroughout(c, st)
	}
	v := st.Value.SI()
	slack := unitSlack * math.Abs(v)
	low, high := siOr(c.Low, -1), siOr(c.High, 1)
	switch {
	case v < low-slack && st.Bound != Above:
		return NotMet, offBy(low-v, c.Low, "below", st)
	case v > high+slack && st.Bound != Below:
		return NotMet, offBy(v-high, c.High, "above", st)
	case st.Bound == Above && (v < low-slack || !math.IsInf(high, 1)),
		st.Bound == Below && (v > high+slack || !math.IsInf(low, -1)):
		return Unknown, ""
	}
	if half := st.Within.Number * scale(st.Within.Unit); !st.Within.Zero() && (v-half < low || v+half > high) {
		return Met, fmt.Sprintf("met, but known within %s only, which reaches beyond the bound", show(st.Within))
	}
	return Met, ""
}

// holdsThroughout asks that both ends hold between which a value moved.
func holdsThroughout(c *guide.Clause, st Stated) (Holding, string) {
	half := st.Within
	st.Moved, st.Within = false, quantity.Value{}
	mid := st.Value.Number
	for _, end := range []float64{mid - half.Number, mid + half.Number} {
		st.Value.Number = end
		if state, off := holds(c, st); state != Met {
			return state, off
		}
	}
	return Met, ""
}

// siOr returns the SI value, or infinity with the sign when not given.
func siOr(v quantity.Value, sign int) float64 {
	if v.Zero() {
		return math.Inf(sign)
	}
	return v.SI()
}

func offBy(si float64, bound quantity.Value, side string, st Stated) string {
	s := fmt.Sprintf("%s %s %s", show(difference(si, bound.Unit)), side, show(bound))
	if !st.Within.Zero() && st.Within.Number*scale(st.Within.Unit) >= si {
		s += fmt.Sprintf(", less than the %s by which it is known", show(st.Within))
	}
	return s
}

// words looks for what was said of a clause in words.
func (j *judge) words(want string, out *Condition) {
	if strings.Contains(strings.Join(content(want), " "), "zeroed") && j.zeroedOtherwise(out) {
		return
	}
	for i, st := range j.rd.Stated {
		state, off := said(want, st)
		if state == Unknown {
			continue
		}
		j.used[i] = true
		out.State, out.Stated, out.Off = state, st.Text, off
		return
	}
	if j.opt.Assume {
		out.State = Assumed
	}
}

// zeroedOtherwise reports whether what zeroing the leads is for was done in
// another way: four wires, or their resistance was measured and is taken off.
func (j *judge) zeroedOtherwise(out *Condition) bool {
	if m := j.instrument; m != nil && m.FourWire {
		out.State, out.Stated = Met, m.Name+" measures with four wires"
		return true
	}
	if m := j.instrument; m != nil && m.Zeroed {
		out.State, out.Stated = Met, "the leads of "+m.Name+" were zeroed"
		return true
	}
	if st, ok := j.stated(subjectLeads, quantity.Resistance); ok {
		out.State, out.Stated = Met, st.Text+", taken off"
		return true
	}
	for i, st := range j.rd.Stated {
		switch compareWords("leads zeroed", st.Text) {
		case same:
			out.State, out.Stated, j.used[i] = Met, st.Text, true
			return true
		case contrary:
			out.State, out.Stated, out.Off, j.used[i] = NotMet, st.Text, "they were not", true
			return true
		}
	}
	return false
}

// said compares a statement with a clause in words: the same words, the first
// words of a clause that explains itself behind a comma, a number where the
// clause has one, or the uncertainty of a value that the clause asks for.
func said(want string, st Stated) (Holding, string) {
	if !st.Value.Zero() && sameWords(want, st) {
		return numberInWords(want, st)
	}
	if h, off := knownWithin(want, st); h != Unknown {
		return h, off
	}
	head, _, explained := strings.Cut(want, ",")
	switch compareWords(want, st.Text) {
	case same:
		return Met, ""
	case contrary:
		return NotMet, "it is the other way: " + st.Text
	}
	if explained && len(content(head)) > 1 {
		switch compareWords(head, st.Text) {
		case same:
			return Met, ""
		case contrary:
			return NotMet, "it is the other way: " + st.Text
		}
	}
	for _, either := range strings.Split(want, " or ") {
		if either != want && compareWords(either, st.Text) == same {
			return Met, ""
		}
	}
	return Unknown, ""
}

// numberInWords compares the number in a clause in words with that of a
// statement of the same words.
func numberInWords(want string, st Stated) (Holding, string) {
	f, _ := find(want)
	if f.value.Dimension() != st.Value.Dimension() {
		return Unknown, ""
	}
	asked, have := f.value.SI(), st.Value.SI()
	tail := strings.TrimSpace(want[:f.start])
	slack := unitSlack * math.Abs(asked)
	half := f.step / 2 * scale(f.value.Unit)
	switch {
	case hasSuffix(tail, "within", "at most", "up to", "under"):
		if have > asked+slack {
			return NotMet, fmt.Sprintf("%s more than %s", show(difference(have-asked, f.value.Unit)), show(f.value))
		}
	case hasSuffix(tail, "at least", "for", "over"):
		if have < asked-slack {
			return NotMet, fmt.Sprintf("%s less than %s", show(difference(asked-have, f.value.Unit)), show(f.value))
		}
	case math.Abs(have-asked) > half+slack:
		return NotMet, fmt.Sprintf("%s away from %s", show(difference(math.Abs(have-asked), f.value.Unit)), show(f.value))
	}
	return Met, ""
}

func hasSuffix(s string, suffixes ...string) bool {
	return slices.ContainsFunc(suffixes, func(x string) bool { return strings.HasSuffix(s, x) })
}

// knownWithin: "body temperature known within 2 K" is settled by
// "body 90 °C ± 1 K".
func knownWithin(want string, st Stated) (Holding, string) {
	subject, tail, ok := strings.Cut(want, "known within")
	f, is := find(tail)
	if !ok || !is || st.Within.Zero() || st.Within.Dimension() != f.value.Dimension() || !sameSubject(subject, st.Subject) {
		return Unknown, ""
	}
	have, asked := st.Within.Number*scale(st.Within.Unit), f.value.Number*scale(f.value.Unit)
	if have > asked*(1+unitSlack) {
		return NotMet, fmt.Sprintf("it is known within %s only", show(st.Within))
	}
	return Met, ""
}

// state says how a state of the machine stands that the check asks for. It
// counts as brought about unless the reading names another value of it.
func (j *judge) state(req guide.Req) Condition {
	out := Condition{Clause: reqWords(req), State: Assumed}
	cond := j.r.Condition(req.Condition)
	if cond == nil {
		return out
	}
	for i, st := range j.rd.Stated {
		for _, v := range cond.Values {
			if !namesValue(cond, v, st) {
				continue
			}
			j.used[i] = true
			out.Stated = st.Text
			if (v.ID == req.Value) == req.Not {
				out.State, out.Off = NotMet, "it is "+string(req.Condition)+"="+string(v.ID)
				return out
			}
			out.State = Met
		}
	}
	return out
}

func reqWords(req guide.Req) string {
	if req.Not {
		return string(req.Condition) + "!=" + string(req.Value)
	}
	return string(req.Condition) + "=" + string(req.Value)
}

// namesValue reports whether a statement names a value of a condition: "key=on",
// "key on" or the value's own name.
func namesValue(c *guide.Condition, v guide.Value, st Stated) bool {
	if !st.Value.Zero() {
		return false
	}
	text := strings.ToLower(strings.TrimSpace(st.Text))
	for _, form := range []string{string(c.ID) + "=" + string(v.ID), string(c.ID) + " " + string(v.ID), v.Name} {
		if form != "" && strings.ToLower(form) == text {
			return len(content(form)) > 1 || strings.Contains(form, "=")
		}
	}
	return false
}

// limitHolds says whether a limit that has conditions of its own applies to a
// part: a name of the part settles a clause in words.
func (j *judge) limitHolds(m *guide.Limit, p Part) Condition {
	worst := Condition{State: Met}
	for i := range m.When {
		c := &m.When[i]
		one := Condition{Clause: c.String(), State: Unknown}
		if p.Name != "" && c.Words != "" && compareLoose(c.Words, p.Name) == same {
			one.State, one.Stated = Met, p.Name
		} else if p.Name == "" || c.Subject != "" || !j.namesOther(m, p) {
			one = j.clause(c)
		} else {
			one.State = NotMet
		}
		one.Limit = m.String()
		if rank(one.State) > rank(worst.State) {
			worst = one
		}
	}
	return worst
}

// namesOther reports whether the name of a part is the condition of another
// limit of the check: the closed position is not judged by the open one.
func (j *judge) namesOther(m *guide.Limit, p Part) bool {
	for i := range j.check.Limits {
		other := &j.check.Limits[i]
		for _, c := range other.When {
			if other != m && c.Words != "" && compareLoose(c.Words, p.Name) == same {
				return true
			}
		}
	}
	return false
}

func rank(h Holding) int { return slices.Index([]Holding{Met, Assumed, Unknown, NotMet}, h) }
