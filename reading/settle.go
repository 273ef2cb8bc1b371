package reading

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading/law"
	"elbowroom/span"
)

// Read reads what a person typed about a check of this guide: Parse, and then
// the check decides which values are the reading and which its conditions, and
// whether their units can be right. The error is a span.List.
func Read(r *guide.Resolved, text string) (Reading, error) {
	rd, err := Parse(text)
	if err != nil {
		return Reading{}, helped(r, text, err)
	}
	check := r.Check(rd.Check)
	if check == nil {
		return Reading{}, span.List{unknownCheck(r, rd.Check)}
	}
	rd = Settle(r, check, rd)
	if list := unsettled(r, check, rd); len(list) > 0 {
		return Reading{}, list
	}
	return rd, nil
}

// helped names the unit that was most likely meant where one is not known: one
// of the kind that the check is read in and that begins alike.
func helped(r *guide.Resolved, text string, err error) error {
	var list span.List
	head, _, _ := strings.Cut(text, ":")
	name, _, _ := strings.Cut(strings.TrimSpace(head), " ")
	check := r.Check(guide.ID(name))
	if !errors.As(err, &list) || check == nil {
		return err
	}
	kinds := kindsOf(r, check)
	for i, f := range list {
		if f.Rule != "unknown-unit" || f.Text == "" {
			continue
		}
		first, _ := utf8.DecodeRuneInString(f.Text)
		for _, unit := range quantity.Units() {
			begins, _ := utf8.DecodeRuneInString(unit)
			if before, _, ok := strings.Cut(f.Do, " "+nearest(f)); ok && begins == first && kinds[quantity.Value{Unit: unit}.Dimension()] {
				list[i].Do, list[i].Nearest = before+" "+unit, []string{unit}
				break
			}
		}
	}
	return list
}

func nearest(f span.Finding) string {
	if len(f.Nearest) == 0 {
		return "a unit that is known"
	}
	return f.Nearest[0]
}

func unknownCheck(r *guide.Resolved, id guide.ID) span.Finding {
	var known []string
	for _, c := range r.Guide.Checks {
		known = append(known, string(c.ID))
	}
	return span.Finding{
		Pos: span.Pos{Line: 1, Col: 1}, Rule: "unknown-check", Text: string(id), Says: "no check of this guide",
		Expect: "the name of a check", Nearest: span.Nearest(string(id), known), Do: "write the name of a check before the colon",
	}
}

// Settle returns the reading with its values sorted into the reading and its
// conditions, as the check has them, with the items that the names mean and
// the measuring point. A reading that is settled already stays as it is.
func Settle(r *guide.Resolved, check *guide.Check, rd Reading) Reading {
	s := settler{r: r, check: check, kinds: kindsOf(r, check)}
	out := rd
	out.Parts, out.Stated = nil, nil
	for _, p := range rd.Parts {
		st := p.stated()
		if clause := s.clauseFor(st); clause != nil || s.correction(st) {
			out.Stated = append(out.Stated, named(st, clause))
			continue
		}
		p.Item = s.item(p)
		out.Parts = append(out.Parts, p)
	}
	for _, st := range rd.Stated {
		clause := s.clauseFor(st)
		switch {
		case st.Value.Zero():
			if at, ok := s.point(st.Text); ok && out.Point == "" {
				out.Point = at
				continue
			}
			out.Stated = append(out.Stated, st)
		case clause == nil && !s.correction(st) && s.kinds[st.Value.Dimension()] && !s.said(st):
			p := st.part("")
			p.Item = s.item(p)
			out.Parts = append(out.Parts, p)
		default:
			out.Stated = append(out.Stated, named(st, clause))
		}
	}
	slices.SortStableFunc(out.Parts, func(a, b Part) int { return a.Column - b.Column })
	out.Parts = repeated(out.Parts, comparesParts(check) || slices.Contains(content(check.Name), "minus"))
	return out
}

// named gives a value without a name the subject of the one condition that it
// can belong to.
func named(st Stated, clause *guide.Clause) Stated {
	if clause != nil && st.Subject == "" {
		st.Subject = clause.Subject
	}
	return st
}

type settler struct {
	r     *guide.Resolved
	check *guide.Check
	kinds map[quantity.Dimension]bool
}

// kindsOf returns what a reading of the check is measured in.
func kindsOf(r *guide.Resolved, check *guide.Check) map[quantity.Dimension]bool {
	kinds := map[quantity.Dimension]bool{}
	for i := range check.Limits {
		m := &check.Limits[i]
		for _, v := range []quantity.Value{m.Low, m.High, m.Nominal} {
			if !v.Zero() {
				kinds[v.Dimension()] = true
			}
		}
		if c := curveOf(r.Guide, m.Law); c != nil {
			kinds[quantity.Value{Unit: c.OfUnit()}.Dimension()] = true
		}
		for _, claim := range claimsOf(m.Words) {
			if !claim.value().Zero() {
				kinds[claim.value().Dimension()] = true
			}
		}
	}
	if slices.ContainsFunc(check.Limits, relative) && len(kinds) == 1 {
		for _, d := range []quantity.Dimension{quantity.Voltage, quantity.Current, quantity.Pressure} {
			kinds[d] = true // what the ratio or the share is of
		}
	}
	return kinds
}

// relative reports whether a limit is a share of values of another kind: a
// ratio, or a spread in per cent of the greatest.
func relative(m guide.Limit) bool {
	return m.Of == "ratio" || m.Of == "spread" && m.High.Unit == "%"
}

// curveOf returns the curve of a law, nil when there is none or it cannot be
// used.
func curveOf(g *guide.Guide, id guide.ID) *law.Curve {
	i := slices.IndexFunc(g.Laws, func(l guide.Law) bool { return l.ID == id })
	if i < 0 || id == "" {
		return nil
	}
	c, err := law.New(&g.Laws[i])
	if err != nil {
		return nil
	}
	return c
}

// clauses returns every numeric clause of the check and its limits.
func clauses(check *guide.Check) (out []*guide.Clause) {
	for i := range check.When {
		out = append(out, &check.When[i])
	}
	for i := range check.Limits {
		for j := range check.Limits[i].When {
			out = append(out, &check.Limits[i].When[j])
		}
	}
	return slices.DeleteFunc(out, func(c *guide.Clause) bool { return c.Subject == "" })
}

// clauseFor returns the condition that a value is of: the one with its
// subject; for a value without a name that cannot be the reading, the only one
// of its kind.
func (s *settler) clauseFor(st Stated) *guide.Clause {
	if st.Value.Zero() {
		return nil
	}
	var alike []*guide.Clause
	for _, c := range clauses(s.check) {
		alikeKind := clauseKind(c) == st.Value.Dimension()
		if st.Subject != "" && sameSubject(c.Subject, st.Subject) && (alikeKind || sameWhole(c.Subject, st.Subject)) {
			return c
		}
		if alikeKind {
			alike = append(alike, c)
		}
	}
	if st.Subject == "" && len(alike) == 1 && !s.kinds[st.Value.Dimension()] {
		return alike[0]
	}
	return nil
}

func clauseKind(c *guide.Clause) quantity.Dimension {
	if !c.Low.Zero() {
		return c.Low.Dimension()
	}
	return c.High.Dimension()
}

// corrections are subjects that say something of the measurement, never the
// reading itself.
var corrections = []string{subjectLeads, subjectSupply, subjectCable, subjectAltitude, subjectBarometer, subjectAmbient, subjectTime}

// Subjects that a value is corrected by.
const (
	subjectLeads     = "leads"
	subjectSupply    = "supply"
	subjectCable     = "cable"
	subjectAltitude  = "altitude"
	subjectBarometer = "barometer"
	subjectAmbient   = "ambient"
	subjectTime      = "over"
)

func (s *settler) correction(st Stated) bool {
	return st.Subject != "" && slices.ContainsFunc(corrections, func(c string) bool { return strings.EqualFold(c, st.Subject) })
}

// said reports whether a value with words is what a clause in words asks for,
// such as "body temperature known within 2 K".
func (s *settler) said(st Stated) bool {
	return slices.ContainsFunc(s.check.When, func(c guide.Clause) bool {
		return c.Words != "" && sameWords(c.Words, st)
	})
}

// sameWords reports whether a clause in words and a statement are the same but
// for the number in them.
func sameWords(words string, st Stated) bool {
	f, ok := find(words)
	if !ok {
		return false
	}
	subject := strings.TrimSpace(words[:f.start] + " " + words[f.end:])
	return slices.Equal(content(subject), content(st.Subject)) && len(content(subject)) > 0
}

// item returns the item that the name of a part means: its ID, an item of the
// check on that side, or the item found by the words.
func (s *settler) item(p Part) guide.ID {
	if p.Item != "" || p.Name == "" {
		return p.Item
	}
	if it := s.r.Item(guide.ID(p.Name)); it != nil {
		return it.ID
	}
	var on []guide.ID
	for _, id := range s.check.On {
		if it := s.r.Item(id); it != nil && strings.EqualFold(string(it.Side), p.Name) {
			on = append(on, id)
		}
	}
	if len(on) == 1 {
		return on[0]
	}
	var hits []guide.ID
	for _, h := range s.r.Find(p.Name) {
		if h.Exact() && slices.Contains(s.check.On, h.Item.ID) {
			hits = append(hits, h.Item.ID)
		}
	}
	if len(hits) == 1 {
		return hits[0]
	}
	return ""
}

// point returns the measuring point that words name: "at the battery posts"
// where the check is at the battery posts.
func (s *settler) point(text string) (string, bool) {
	rest, ok := strings.CutPrefix(text, "at ")
	if !ok {
		return "", false
	}
	if within(content(rest), content(s.check.At)) {
		return rest, true
	}
	for _, c := range s.r.Guide.Checks {
		if c.At != "" && slices.Equal(content(rest), content(c.At)) {
			return rest, true
		}
	}
	return "", false
}

// comparesParts reports whether a limit of the check compares parts, so that
// several values are several parts and not one value read several times.
func comparesParts(check *guide.Check) bool {
	return slices.ContainsFunc(check.Limits, func(m guide.Limit) bool { return m.Of != "" })
}

// repeated joins values of the same name into their mean, with the standard
// deviation of one of them (GUM 4.2.2). Values without a name stay apart where
// the check compares parts.
func repeated(parts []Part, compares bool) []Part {
	var out []Part
	for i, p := range parts {
		if slices.ContainsFunc(parts[:i], func(q Part) bool { return mayJoin(p, q, compares) }) {
			continue
		}
		var all []float64
		for _, q := range parts[i:] {
			if mayJoin(p, q, compares) {
				v, _ := q.Value.In(p.Value.Unit)
				all = append(all, v.Number)
			}
		}
		if len(all) > 1 {
			mean, deviation := spreadOf(all)
			p.Text = ""
			p.Value.Number, p.Repeats = mean, &Repeats{Number: len(all), Deviation: deviation}
		}
		out = append(out, p)
	}
	return out
}

func mayJoin(p, q Part, compares bool) bool {
	return p.Name == q.Name && (p.Name != "" || !compares) && p.Bound == Exact && q.Bound == Exact && p.Repeats == nil && q.Repeats == nil &&
		!p.Value.Zero() && p.Value.Dimension() == q.Value.Dimension() && p.Pressure == q.Pressure
}

// unsettled returns what is wrong with the units of a settled reading.
func unsettled(r *guide.Resolved, check *guide.Check, rd Reading) (list span.List) {
	kinds := kindsOf(r, check)
	fail := func(col int, rule, text, says, expect, do string) {
		list = append(list, span.Finding{Pos: span.Pos{Line: 1, Col: max(1, col)}, Rule: rule, Text: text, Says: says, Expect: expect, Do: do})
	}
	for _, p := range rd.Parts {
		of := p.Value.Dimension()
		if p.Value.Zero() || len(kinds) == 0 || kinds[of] || slices.Contains(guide.LimitOf, strings.ToLower(p.Name)) {
			continue
		}
		text, in := p.String(), kindWords(r, check)
		if p.Value.Unit == "1" {
			fail(p.Column, "unit-missing", text, "the unit is missing", "a value in "+in, "write the unit behind the number")
			continue
		}
		fail(p.Column, "unit-impossible", text, fmt.Sprintf("%s is %s, and %s is read in %s", p.Value.Unit, of, check.ID, in), "a value in "+in, "check the unit, or name what the value is of, like coolant 90 °C")
	}
	for _, st := range rd.Stated {
		for _, c := range clauses(check) {
			if st.Value.Zero() || st.Subject == "" || !sameWhole(c.Subject, st.Subject) || clauseKind(c) == st.Value.Dimension() {
				continue
			}
			fail(st.Column, "unit-impossible", st.Text, fmt.Sprintf("%s cannot be %s", c.Subject, kindOrNone(st.Value)), "a value as in "+c.String(), "write it with its unit")
			break
		}
	}
	if len(rd.Parts) == 0 && len(rd.Stated) == 0 {
		fail(1, "no-value", "", "nothing was read", "a value in "+kindWords(r, check), "write it behind the colon")
	} else if len(rd.Parts) == 0 && len(kinds) > 0 && !slices.ContainsFunc(check.Limits, func(m guide.Limit) bool { return m.Words != "" }) {
		fail(1, "no-value", "", "no value that "+string(check.ID)+" asks for", "a value in "+kindWords(r, check), "write what the instrument showed")
	}
	return list
}

func kindOrNone(v quantity.Value) string {
	if v.Unit == "1" {
		return "a number without a unit"
	}
	return v.String()
}

// kindWords names what a check is read in, by the units of its limits.
func kindWords(r *guide.Resolved, check *guide.Check) string {
	var units []string
	add := func(u string) {
		if u == "1" {
			u = "a plain number"
		}
		if u != "" && !slices.Contains(units, u) {
			units = append(units, u)
		}
	}
	for i := range check.Limits {
		m := &check.Limits[i]
		for _, v := range []quantity.Value{m.Low, m.High, m.Nominal} {
			add(v.Unit)
		}
		if c := curveOf(r.Guide, m.Law); c != nil {
			add(c.OfUnit())
		}
		for _, claim := range claimsOf(m.Words) {
			add(claim.value().Unit)
		}
	}
	if len(units) == 0 {
		return "words"
	}
	return strings.Join(units, " or ")
}
