package guide

import (
	"slices"
	"strings"

	"elbowroom/quantity"
)

const expectWire = "from -> to; length; section; capacitance; colour, like F14 -> X1-12; 1.4 m; 2.5 mm²; red-white"

// ReadShort reads "F14 -> X1-12; 1.4 m; 2.5 mm²; red-white"; length, section,
// capacitance and colour may be missing.
func (w *Wire) ReadShort(text string) error {
	*w = Wire{}
	p := whole(text)
	parts := p.split(";")
	ends := parts[0].split("->")
	if len(ends) != 2 {
		return p.errorf("not a wire", expectWire)
	}
	var errs, more FormErrors
	w.From, errs = ends[0].id()
	w.To, more = ends[1].id()
	errs = append(errs, more...)
	for _, c := range parts[1:] {
		errs = append(errs, w.readClause(c)...)
	}
	return errs.orNil()
}

func (w *Wire) readClause(p piece) FormErrors {
	v, err := quantity.Parse(p.s)
	switch {
	case err == nil && v.Dimension() == quantity.Length && w.Length.Zero() && v.Number >= 0:
		w.Length = v
	case err == nil && v.Dimension() == quantity.Area && w.Section.Zero() && v.Number > 0:
		w.Section = v
	case err == nil && v.Dimension() == quantity.Capacitance && w.Farad.Zero() && v.Number >= 0:
		w.Farad = v
	case err != nil && w.Colour == "" && p.s != "" && !decimalStart(p.s):
		w.Colour = p.s
	default:
		return p.errorf("neither a length, nor a section, nor a capacitance, nor a colour", expectWire)
	}
	return nil
}

// Short returns the wire as ReadShort reads it.
func (w Wire) Short() (string, bool) {
	l := &line{sep: "; "}
	l.add(string(w.From) + " -> " + string(w.To))
	for _, v := range []quantity.Value{w.Length, w.Section, w.Farad} {
		if !v.Zero() {
			l.add(v.String())
		}
	}
	l.text("", w.Colour, ";")
	s, ok := l.done()
	back, err := Parse[Wire](s)
	return s, ok && err == nil && back == w
}

// String prints the wire in its short form.
func (w Wire) String() string { s, _ := w.Short(); return s }

// bounds is what can be said of a number: a range, one bound or both.
type bounds struct{ low, high quantity.Value }

const expectBounds = "a range like 90..100 °C, a bound like >= 80 °C, or 750 ± 50 rpm"

// readBounds reads ">= 80 °C", "<= 0.3 V", "= 5 V", "90..100 °C" or
// "750 ± 50 rpm".
func readBounds(p piece) (bounds, FormErrors) {
	for _, op := range []string{">=", "≥", "<=", "≤", "=", ">", "<"} {
		rest, found := strings.CutPrefix(p.s, op)
		if !found {
			continue
		}
		v, errs := readValue(piece{rest, p.off + len(op)}.trim())
		switch op {
		case ">", "<":
			return bounds{}, p.errorf("a bound belongs to the range", op+"= instead of "+op)
		case ">=", "≥":
			return bounds{low: v}, errs
		case "<=", "≤":
			return bounds{high: v}, errs
		}
		return bounds{v, v}, errs
	}
	if parts := p.split(".."); len(parts) == 2 {
		return readRange(parts[0], parts[1])
	}
	if parts := splitPlusMinus(p); len(parts) == 2 {
		mid, tol, errs := readPair(parts[0], parts[1])
		b := bounds{mid, mid}
		b.low.Number -= tol.Number
		b.high.Number += tol.Number
		if errs == nil && (tol.Unit != mid.Unit || tol.Number < 0) {
			errs = parts[1].errorf("tolerance in another unit", "the unit of the value before ±")
		}
		return b, errs
	}
	return bounds{}, p.errorf("neither a range nor a bound", expectBounds)
}

func splitPlusMinus(p piece) []piece {
	if strings.Contains(p.s, "+-") {
		return p.split("+-")
	}
	return p.split("±")
}

func readRange(a, b piece) (bounds, FormErrors) {
	low, high, errs := readPair(a, b)
	if errs != nil {
		return bounds{}, errs
	}
	if c, err := low.Compare(high); err != nil {
		return bounds{}, b.errorf("units of different kind in one range", "one unit, written once at the end")
	} else if c > 0 {
		return bounds{}, a.errorf("the range runs downwards", "the lower value first")
	}
	return bounds{low, high}, nil
}

// readPair reads two values, the first taking the unit of the second when it
// has none.
func readPair(a, b piece) (quantity.Value, quantity.Value, FormErrors) {
	second, errs := readValue(b)
	if errs != nil {
		return quantity.Value{}, second, errs
	}
	if decimal.MatchString(a.s) && second.Unit != "1" {
		n, errs := a.number()
		return quantity.Value{Number: n, Unit: second.Unit}, second, errs
	}
	first, errs := readValue(a)
	return first, second, errs
}

func readValue(p piece) (quantity.Value, FormErrors) {
	v, err := quantity.Parse(p.s)
	if err != nil {
		return v, p.errorf("not a value with a unit", "a number and a unit, like 12.4 V")
	}
	return v, nil
}

func (b bounds) String() string {
	switch {
	case b.low.Zero():
		return "<= " + b.high.String()
	case b.high.Zero():
		return ">= " + b.low.String()
	case b.low == b.high:
		return "= " + b.low.String()
	case b.low.Unit != b.high.Unit:
		return b.low.String() + ".." + b.high.String()
	}
	return formatNumber(b.low.Number) + ".." + b.high.String()
}

// ReadShort reads "coolant >= 80 °C", "oil 90..100 °C" or words.
func (c *Clause) ReadShort(text string) error {
	*c = Clause{}
	p := whole(text)
	if p.s == "" {
		return p.errorf("empty condition", `words, or a subject with its range like "coolant >= 80 °C"`)
	}
	i := boundsAt(p.s)
	if i < 0 {
		c.Words = p.s
		return nil
	}
	subject := piece{p.s[:i], p.off}.trim()
	if subject.s == "" {
		return p.errorf("what the range is of is missing", "a subject before the range, like oil 90..100 °C")
	}
	b, errs := readBounds(piece{p.s[i:], p.off + i}.trim())
	c.Subject, c.Low, c.High = subject.s, b.low, b.high
	return errs.orNil()
}

// boundsAt returns where a comparison or a range of numbers begins, -1 when
// the text has none.
func boundsAt(s string) int {
	if i := strings.IndexAny(s, "<>=≤≥"); i >= 0 {
		return i
	}
	sep := strings.Index(s, "..")
	for _, mark := range []string{"±", "+-"} {
		if i := strings.Index(s, mark); i >= 0 && (sep < 0 || i < sep) {
			sep = i
		}
	}
	if sep <= 0 {
		return -1
	}
	head := strings.TrimRight(s[:sep], " ")
	for i := strings.LastIndexByte(head, ' ') + 1; ; {
		if decimalStart(s[i:]) {
			return i
		}
		// the number may be parted from its unit: "-10 °C..5 °C"
		j := strings.LastIndexByte(strings.TrimRight(s[:i], " "), ' ') + 1
		if j >= i || !decimalStart(s[j:]) {
			return -1
		}
		i = j
	}
}

// Short returns the clause as ReadShort reads it.
func (c Clause) Short() (string, bool) {
	s := c.String()
	back, err := Parse[Clause](s)
	return s, err == nil && back == c && plain(s, ";")
}

// String prints the clause in its short form.
func (c Clause) String() string {
	if c.Words != "" {
		return c.Words
	}
	return c.Subject + " " + bounds{c.Low, c.High}.String()
}

// Complete reports a clause that says nothing or two things at once.
func (c Clause) Complete() error {
	numbers := c.Subject != "" && !(c.Low.Zero() && c.High.Zero())
	if numbers == (c.Words != "") {
		return FormErrors{{Says: "a condition is either a subject with its range or words", Expect: `"coolant >= 80 °C" or words`}}
	}
	return nil
}

// LimitOf lists what a limit can be of, besides the reading itself.
var LimitOf = []string{"spread", "left-right", "rate", "sum", "before-after", "ratio"}

// ShortKey is the key under which a mapping may hold a whole short form.
func (Limit) ShortKey() string { return "limit" }

const expectLimit = "12.4..12.8 V, <= 0.3 V, 1.55 Ω ± 0.1 Ω, law NAME ± 5 %, spread <= 0.12 Ω, or words: …"

// ReadShort reads one of the forms given at Limit, and after semicolons "for"
// and a selector or "when" and a clause.
func (m *Limit) ReadShort(text string) error {
	*m = Limit{}
	parts := whole(text).split(";")
	errs := m.readMain(parts[0])
	for _, p := range parts[1:] {
		if rest, ok := p.after("for"); ok && m.For == nil {
			errs = append(errs, shift(m.For.ReadShort(rest.s), rest.off)...)
			continue
		}
		rest, ok := p.after("when")
		if !ok {
			errs = append(errs, p.errorf("unexpected words in a limit", `"when" and a condition, or "for" and a variant`)...)
			continue
		}
		var c Clause
		errs = append(errs, shift(c.ReadShort(rest.s), rest.off)...)
		m.When = append(m.When, c)
	}
	return errs.orNil()
}

func (m *Limit) readMain(p piece) FormErrors {
	first, rest := p.word()
	if first.s == "words:" {
		m.Words = rest.s
		if rest.s == "" {
			return p.errorf("words are missing", "text after words:")
		}
		return nil
	}
	if slices.Contains(LimitOf, first.s) {
		m.Of, p = first.s, rest
		first, rest = p.word()
	}
	if m.Of == "rate" {
		if parts := p.split(" per "); len(parts) == 2 {
			per, errs := readValue(parts[1])
			if errs != nil {
				return errs
			}
			m.Per, p = per, parts[0]
		}
	}
	if first.s == "law" {
		return m.readLaw(rest)
	}
	if parts := splitPlusMinus(p); len(parts) == 2 {
		return m.readNominal(parts[0], parts[1])
	}
	if p.s == "" || !decimalStart(p.s) && !strings.ContainsAny(p.s[:1], "<>=") && !strings.HasPrefix(p.s, "≤") && !strings.HasPrefix(p.s, "≥") {
		return FormErrors{{Offset: p.off, Text: p.s, Says: "not a limit", Expect: expectLimit, Known: append([]string{"law"}, LimitOf...)}}
	}
	b, errs := readBounds(p)
	m.Low, m.High = b.low, b.high
	for i := range errs {
		errs[i].Expect = expectLimit
	}
	return errs
}

// readLaw reads "ntc-2k5 ± 5 %".
func (m *Limit) readLaw(p piece) (errs FormErrors) {
	parts := splitPlusMinus(p)
	m.Law, errs = parts[0].id()
	if len(parts) > 2 {
		return p.errorf("two tolerances", expectLimit)
	}
	if len(parts) == 2 {
		tol, more := readTolerance(parts[1])
		m.Within, errs = tol.String(), append(errs, more...)
	}
	return errs
}

func (m *Limit) readNominal(a, b piece) FormErrors {
	mid, tol, errs := readPair(a, b)
	if decimal.MatchString(a.s) && tol.Unit == "%" {
		return a.errorf("the unit is missing", expectLimit)
	}
	if errs == nil {
		_, errs = readTolerance(b)
	}
	if errs == nil && tol.Unit != "%" && tol.Dimension() != mid.Dimension() {
		errs = b.errorf("tolerance of another kind than the value", "the same unit, or %")
	}
	m.Nominal, m.Within = mid, tol.String()
	return errs
}

func readTolerance(p piece) (quantity.Value, FormErrors) {
	v, errs := readValue(p)
	if errs == nil && v.Number < 0 {
		errs = p.errorf("negative tolerance", "a number above 0")
	}
	return v, errs
}

// Short returns the limit as ReadShort reads it.
func (m Limit) Short() (string, bool) {
	s := m.String()
	back, err := Parse[Limit](s)
	if err != nil || !slices.Equal(back.When, m.When) || !slices.EqualFunc(back.For, m.For, Choice.same) {
		return s, false
	}
	return s, back.plainSame(m)
}

func (m Limit) plainSame(n Limit) bool {
	return m.Of == n.Of && m.Per == n.Per && m.Low == n.Low && m.High == n.High && m.Nominal == n.Nominal &&
		m.Law == n.Law && m.Within == n.Within && m.Words == n.Words
}

// String prints the limit in its short form.
func (m Limit) String() string {
	l := &line{sep: "; "}
	main := m.mainString()
	if m.Of != "" {
		main = m.Of + " " + main
	}
	if !m.Per.Zero() {
		main += " per " + m.Per.String()
	}
	l.add(main)
	if len(m.For) > 0 {
		l.add("for " + m.For.String())
	}
	for _, c := range m.When {
		l.add("when " + c.String())
	}
	s, _ := l.done()
	return s
}

func (m Limit) mainString() string {
	within := ""
	if m.Within != "" {
		within = " ± " + m.Within
	}
	switch {
	case m.Words != "":
		return "words: " + m.Words
	case m.Law != "":
		return "law " + string(m.Law) + within
	case !m.Nominal.Zero():
		return m.Nominal.String() + within
	}
	return bounds{m.Low, m.High}.String()
}

// Complete reports a limit that limits nothing or says two things at once.
func (m Limit) Complete() error {
	bad := func(says string) error { return FormErrors{{Says: says, Expect: expectLimit}} }
	ways := 0
	for _, said := range []bool{m.Words != "", m.Law != "", !m.Nominal.Zero(), !m.Low.Zero() || !m.High.Zero()} {
		if said {
			ways++
		}
	}
	switch {
	case ways == 0:
		return bad("a limit that limits nothing")
	case ways > 1:
		return bad("a limit is either a range, a value with its tolerance, a law or words")
	case !m.Nominal.Zero() && m.Within == "":
		return bad("a value without its tolerance")
	case m.Of != "" && !slices.Contains(LimitOf, m.Of):
		return FormErrors{{Field: "of", Text: m.Of, Says: "unknown comparison", Expect: "one of " + strings.Join(LimitOf, ", "), Known: LimitOf}}
	}
	if !m.Per.Zero() && (m.Of != "rate" || m.Per.Dimension() != quantity.Time || m.Per.Number <= 0) {
		return FormErrors{{Field: "per", Text: m.Per.String(), Says: "a time belongs to a rate and is above 0", Expect: "rate <= 30 hPa per 30 s"}}
	}
	if m.Within != "" {
		if _, errs := readTolerance(whole(m.Within)); errs != nil {
			return FormErrors{{Field: "within", Text: m.Within, Says: errs[0].Says, Expect: "a tolerance like 5 % or 0.1 Ω"}}
		}
	}
	return nil
}
