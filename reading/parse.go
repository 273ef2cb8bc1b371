package reading

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/span"
)

// Bounds of what is read; no person types more.
const (
	longestText = 4000 // bytes
	mostClauses = 100
)

// Parse reads what a person typed:
//
//	T35: right 38 kΩ, left > 10 MΩ, unplugged, meter 50 V, ambient 18 °C, dry
//
// It is the check, a colon, and clauses parted by commas or semicolons, in any
// order. A clause is a value with its unit, a name before or behind it where
// there are several, ">" or "<" before it where the display showed a bound
// ("OL" for over range), "± 2 °C" behind it for what is known of it; or words.
// These clauses have a meaning of their own: "at X3" the measuring point, which
// may stand behind the check as well ("T35 at X3: 38 kΩ"), "using low-ohm" the instrument, "by Ines", "2026-03-16", "picture a.jpg".
//
// Which values are the reading and which its conditions is settled by the
// check: see Read. Parse alone takes the first value and those of its kind
// with a side, an item or no name for the reading.
//
// The error is a span.List with every fault and its column.
func Parse(text string) (Reading, error) {
	p := &parser{text: text}
	if len(text) > longestText {
		p.fail(0, "too-long", text[:40], "a reading this long cannot be right", "one line of text", "split it into one reading per check")
		return Reading{}, p.list
	}
	body := p.check()
	clauses := p.split(body)
	if len(clauses) > mostClauses {
		p.fail(body, "too-long", "", "too many clauses", "a reading and its conditions", "split it into one reading per check")
		return Reading{}, p.list
	}
	for _, c := range clauses {
		p.clause(c)
	}
	if len(p.list) == 0 && len(p.rd.Parts) == 0 && len(p.rd.Stated) == 0 {
		p.fail(body, "no-value", "", "nothing was read", "a value with its unit, or what was seen", "write it behind the colon: T35: 38 kΩ")
	}
	if len(p.list) > 0 {
		p.list.Sort()
		return Reading{}, p.list
	}
	return p.rd, nil
}

type parser struct {
	text string
	rd   Reading
	list span.List
}

// piece is a clause with the offset at which it begins.
type piece struct {
	s   string
	off int
}

// column counts characters from 1.
func (p *parser) column(off int) int { return utf8.RuneCountInString(p.text[:off]) + 1 }

func (p *parser) fail(off int, rule, text, says, expect, do string, nearest ...string) {
	p.list = append(p.list, span.Finding{Pos: span.Pos{Line: 1, Col: p.column(off)}, Rule: rule, Text: text, Says: says, Expect: expect, Nearest: nearest, Do: do})
}

// check reads what stands before the colon and returns where the rest begins.
func (p *parser) check() int {
	if !utf8.ValidString(p.text) {
		p.fail(0, "not-text", "", "not readable text", "UTF-8", "type the reading again")
		p.text = strings.ToValidUTF8(p.text, "\ufffd")
	}
	head, _, ok := strings.Cut(p.text, ":")
	name, at, elsewhere := strings.Cut(strings.TrimSpace(head)+" ", " at ")
	id := guide.ID(strings.TrimSpace(name))
	switch {
	case !ok:
		p.fail(0, "no-check", "", "the check is missing", "the name of the check, a colon, and what was read", "write it first: T35: 38 kΩ")
		return 0
	case id.Check() != nil:
		p.fail(0, "no-check", string(id), "not the name of a check", "a name like T35 before the colon", "write the check first: T35: 38 kΩ")
	case elsewhere && strings.TrimSpace(at) == "":
		p.fail(strings.Index(p.text, " at"), "no-point", strings.TrimSpace(head), "the measuring point is missing", "an item behind at", "write T35 at X3: 38 kΩ")
	default:
		p.rd.Check, p.rd.Point = id, strings.TrimSpace(at)
	}
	return len(head) + 1
}

// split cuts the rest at commas and semicolons. A comma between two digits is
// a decimal comma and an error.
func (p *parser) split(from int) (out []piece) {
	start := from
	add := func(end int) {
		s := p.text[start:end]
		left := strings.TrimLeftFunc(s, unicode.IsSpace)
		if c := (piece{strings.TrimRightFunc(left, unicode.IsSpace), start + len(s) - len(left)}); c.s != "" {
			out = append(out, c)
		}
	}
	for i := from; i < len(p.text); i++ {
		c := p.text[i]
		if c != ',' && c != ';' {
			continue
		}
		if c == ',' && i > from && i+1 < len(p.text) && isDigit(p.text[i-1]) && isDigit(p.text[i+1]) {
			p.fail(i, "decimal-comma", around(p.text, i), "a comma between two digits", "a decimal point, or a space after a comma that parts two clauses", "write 2.71 V, or 2 V, 71 V")
			continue
		}
		add(i)
		start = i + 1
	}
	add(len(p.text))
	return out
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// around returns the digits on both sides of a comma.
func around(s string, i int) string {
	a, b := i, i+1
	for a > 0 && isDigit(s[a-1]) {
		a--
	}
	for b < len(s) && isDigit(s[b]) {
		b++
	}
	return s[a:b]
}

var isoDate = regexp.MustCompile(`^(?:on )?([0-9]{4}-[0-9]{2}-[0-9]{2})$`)

// clause reads one clause.
func (p *parser) clause(c piece) {
	if m := isoDate.FindStringSubmatch(c.s); m != nil {
		p.once(c, &p.rd.Day, m[1])
		return
	}
	for word, to := range map[string]*string{"using ": &p.rd.Tool, "by ": &p.rd.By, "picture ": &p.rd.Picture} {
		if rest, ok := strings.CutPrefix(c.s, word); ok {
			p.once(c, to, strings.TrimSpace(rest))
			return
		}
	}
	if rest, ok := strings.CutPrefix(c.s, "at "); ok && isPoint(rest) {
		p.once(c, &p.rd.Point, strings.TrimSpace(rest))
		return
	}
	if name, ok := overRange(c.s); ok {
		p.rd.Parts = append(p.rd.Parts, Part{Name: name, Bound: Above, Text: c.s, Column: p.column(c.off)})
		return
	}
	f, ok := find(c.s)
	if !ok || f.bare && f.broken != "" && !p.unit(c, f) {
		p.words(c)
		return
	}
	if f.broken == "" || !f.bare {
		p.value(c, f)
	}
}

func (p *parser) once(c piece, to *string, s string) {
	if *to != "" && *to != s {
		p.fail(c.off, "twice", c.s, "said twice, and differently", "once", "keep the one that is right")
		return
	}
	*to = s
}

// isPoint reports whether words after "at" name a measuring point: the first
// of them has a capital letter and a digit, as items have.
func isPoint(s string) bool {
	first, _, _ := strings.Cut(strings.TrimSpace(s), " ")
	return strings.IndexFunc(first, unicode.IsUpper) >= 0 && strings.IndexFunc(first, unicode.IsDigit) >= 0 && guide.ID(first).Check() == nil
}

// shown are what displays show above their range.
var shown = []string{"ol", "o.l", "o.l.", "0l", "over range", "overrange", "over-range", "out of range", "infinite", "∞"}

// overRange reads "left OL".
func overRange(s string) (name string, ok bool) {
	low := strings.ToLower(s)
	for _, w := range shown {
		if low == w {
			return "", true
		}
		if strings.HasSuffix(low, " "+w) && len(low) == len(s) {
			return strings.TrimSpace(s[:len(s)-len(w)]), true
		}
	}
	return "", false
}

// unit judges a number that is followed by a word that is no unit: false when
// the clause is plain words, such as 58 pulses and a gap.
func (p *parser) unit(c piece, f found) bool {
	rest := strings.TrimSpace(c.s[f.end:])
	near := nearestUnit(f.broken)
	if rest != f.broken || len(near) == 0 && utf8.RuneCountInString(f.broken) > longestUnit {
		return false
	}
	do := "write a unit that is known"
	if len(near) > 0 {
		do = "write " + c.s[f.start:f.end] + " " + near[0]
	}
	p.fail(c.off+f.end, "unknown-unit", f.broken, "unknown unit", "a unit like V, mV, kΩ, °C or bar", do, near...)
	return true
}

// longestUnit is the length up to which a strange word after a number is taken
// for a unit.
const longestUnit = 4

// noValue are words that record nothing.
var noValue = []string{"ok", "okay", "good", "fine", "pass", "passed", "fail", "failed", "bad", "normal", "in order"}

func (p *parser) words(c piece) {
	if slices.Contains(noValue, strings.ToLower(strings.Trim(c.s, ". !"))) {
		p.fail(c.off, "no-value", c.s, "a judgement is no reading", "the value with its unit, or what was seen", "write what the instrument showed")
		return
	}
	p.rd.Stated = append(p.rd.Stated, Stated{Text: c.s, Column: p.column(c.off)})
}

// value reads a clause with a value in it.
func (p *parser) value(c piece, f found) {
	before, bound := strings.TrimSpace(c.s[:f.start]), Exact
	for _, b := range bounds {
		if rest, ok := strings.CutSuffix(before, b.sign); ok {
			before, bound = strings.TrimSpace(rest), b.is
			break
		}
	}
	s := Stated{Value: f.value, Bound: bound, Step: f.step, Text: c.s, Column: p.column(c.off)}
	after, pressure, ok := p.behind(c, f, &s)
	if !ok {
		return
	}
	s.Subject = strings.TrimSpace(before + " " + after)
	if p.isPart(s) {
		p.rd.Parts = append(p.rd.Parts, s.part(pressure))
		return
	}
	p.rd.Stated = append(p.rd.Stated, s)
}

// bounds are the signs before a value, longer ones first.
var bounds = []struct {
	sign string
	is   Bound
}{{">=", Above}, {"<=", Below}, {">", Above}, {"≥", Above}, {"<", Below}, {"≤", Below}, {"=", Exact}, {"~", Exact}}

// pressures are words behind a pressure that say against what it is.
var pressures = map[string]Pressure{
	"absolute": AbsolutePressure, "abs": AbsolutePressure, "abs.": AbsolutePressure, "(a)": AbsolutePressure, "a": AbsolutePressure,
	"gauge": GaugePressure, "(g)": GaugePressure, "g": GaugePressure, "above the air": GaugePressure,
}

// behind reads what follows a value: "± 2 °C", "..760 rpm", "absolute" or a
// name.
func (p *parser) behind(c piece, f found, s *Stated) (after string, pressure Pressure, ok bool) {
	rest := strings.TrimSpace(c.s[f.end:])
	if tail, is := strings.CutPrefix(rest, ".."); is {
		return p.rangeTo(c, f, s, strings.TrimSpace(tail))
	}
	for _, sign := range []string{"±", "+-", "+/-"} {
		tail, is := strings.CutPrefix(rest, sign)
		if !is {
			continue
		}
		g, is := valueAt(strings.TrimSpace(tail))
		if g.bare && is && g.broken == "" {
			g.value.Unit = f.value.Unit
		}
		switch {
		case !is || g.value.Number < 0 || g.bare && !f.bare && g.broken != "":
			p.fail(c.off+f.end, "tolerance", rest, "not a tolerance", "a number and a unit behind ±", "write 18 °C ± 2 K")
			return "", "", false
		case f.bare && !g.bare: // 18 ± 2 °C
			s.Value.Unit = g.value.Unit
		case g.value.Unit == "%" && f.value.Unit != "%":
			g.value = quantity.Value{Number: g.value.Number / 100 * absolute(f.value.Number), Unit: f.value.Unit}
		case g.value.Dimension() != f.value.Dimension():
			p.fail(c.off+f.end, "tolerance", rest, "a tolerance of another kind than the value", "the same kind of unit", "write 18 °C ± 2 K")
			return "", "", false
		}
		s.Within = g.value
		rest = strings.TrimSpace(strings.TrimSpace(tail)[g.end:])
		break
	}
	if s.Value.Dimension() == quantity.Pressure {
		if kind, is := pressures[strings.ToLower(rest)]; is {
			return "", kind, true
		}
	}
	return rest, "", true
}

// rangeTo reads the upper end of a value that moved: 740..760 rpm.
func (p *parser) rangeTo(c piece, f found, s *Stated, tail string) (string, Pressure, bool) {
	g, ok := valueAt(tail)
	if ok && f.bare {
		f.value.Unit = g.value.Unit
	}
	if c, err := f.value.Compare(g.value); !ok || err != nil || c > 0 {
		ok = false
	}
	if !ok {
		p.fail(c.off+f.start, "range", c.s[f.start:], "not a range", "the lower value, .. and the upper with its unit", "write 740..760 rpm")
		return "", "", false
	}
	high, _ := g.value.In(f.value.Unit)
	s.Value = quantity.Value{Number: (f.value.Number + high.Number) / 2, Unit: f.value.Unit}
	s.Within, s.Moved = quantity.Value{Number: (high.Number - f.value.Number) / 2, Unit: f.value.Unit}, true
	return strings.TrimSpace(tail[g.end:]), "", true
}

func absolute(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}

// sides are names of parts that need no item.
var sides = []string{"right", "left", "before", "after", "start", "end", "low", "high"}

// isPart reports whether a value is taken for the reading before the check has
// its say: the first, and those of its kind with a side, an item or no name.
func (p *parser) isPart(s Stated) bool {
	if len(p.rd.Parts) == 0 {
		return true
	}
	first := p.rd.Parts[0].Value
	alike := first.Zero() || first.Dimension() == s.Value.Dimension()
	name := strings.ToLower(s.Subject)
	return alike && (name == "" || slices.Contains(sides, name) || slices.Contains(guide.LimitOf, name) || isPoint(s.Subject))
}

// part makes a part of what was stated.
func (s Stated) part(pressure Pressure) Part {
	return Part{Name: s.Subject, Value: s.Value, Bound: s.Bound, Within: s.Within, Step: s.Step, Pressure: pressure, Text: s.Text, Column: s.Column}
}

// stated makes a statement of a part.
func (p Part) stated() Stated {
	return Stated{Subject: p.Name, Value: p.Value, Bound: p.Bound, Within: p.Within, Step: p.Step, Text: p.written(), Column: p.Column}
}
