package capture

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"elbowroom/capture/lexicon"
)

// amount is a number or a range with its unit as said. Low and high are equal
// for a single value.
type amount struct {
	low, high float64
	unit      string // printed unit, "turn", or empty when none was said
	bound     string // ">=", "<=", "<", ">" or empty
	hedged    bool
	over      float64 // denominator when said as a fraction
	year      bool
	factor    float64 // by which the number was multiplied, such as 0.001 for thousandths of an inch
	said      bool    // the unit was said, not taken from elsewhere
}

// threadSizes are the nominal diameters of ISO 261 up to M30 that engines use.
var threadSizes = []float64{3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20, 22, 24, 27, 30}

// Sizes of hexalobular drives, inside (ISO 10664) and outside.
var (
	insideSizes  = []float64{6, 7, 8, 9, 10, 15, 20, 25, 27, 30, 35, 40, 45, 50, 55, 60, 70, 80}
	outsideSizes = []float64{4, 5, 6, 7, 8, 10, 11, 12, 14, 16, 18, 20, 24}
)

// size reads the longest number at word i that is one of the sizes; a plural
// ("M eights") counts.
func (p *parser) size(i int, sizes []float64) (float64, int) {
	if i >= len(p.words) || !p.run(i) {
		return 0, 0
	}
	if p.words[i].digits {
		if slices.Contains(sizes, p.words[i].num) {
			n := 1
			if p.next(i+1) == "s" {
				n++
			}
			return p.words[i].num, n
		}
		return 0, 0
	}
	if u := ones[singularNumber(p.next(i+1))]; tens[p.text(i)] > 0 && u > 0 {
		if v := tens[p.text(i)] + u; slices.Contains(sizes, v) {
			return v, 2
		}
	}
	w := singularNumber(p.text(i))
	for _, m := range []map[string]float64{ones, teens, tens} {
		if v, ok := m[w]; ok && slices.Contains(sizes, v) {
			return v, 1
		}
	}
	return 0, 0
}

// singularNumber turns eights into eight, sixes into six.
func singularNumber(s string) string {
	for _, cut := range []string{"es", "s"} {
		if stem, ok := strings.CutSuffix(s, cut); ok && (ones[stem] > 0 || teens[stem] > 0 || tens[stem] > 0) {
			return stem
		}
	}
	if stem, ok := strings.CutSuffix(s, "ies"); ok && tens[stem+"y"] > 0 {
		return stem + "y"
	}
	return s
}

// pitchShare tells a pitch from a length: no pitch of ISO 261 exceeds it.
const pitchShare = 0.3

// mostScrew is the longest screw that is believed, in millimetres.
const mostScrew = 400

// thread reads "M eight", "M10x1.25", "M ten by one point two five".
func (p *parser) thread(i int) chunk {
	if p.text(i) != "m" {
		return chunk{}
	}
	d, n := p.size(i+1, threadSizes)
	if n == 0 {
		return chunk{}
	}
	c := chunk{sort: threadChunk, to: i + 1 + n, text: "M" + formatNumber(d)}
	if w := p.next(c.to); w == "x" || w == "by" || w == "×" {
		if x := p.number(c.to + 1); x.n > 0 && x.value > 0 && (x.value <= pitchShare*d || x.value >= d/2 && x.value <= mostScrew) {
			c.text += "x" + formatNumber(x.value)
			c.to += 1 + x.n
		}
	}
	return c
}

func formatNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// driveAt reads "T thirty", "nineteen hex", "hex key six", "five-eighths
// socket", "thirteen mil spanner".
func (p *parser) driveAt(i int) chunk {
	if t := p.term(i, lexicon.Drive); t != nil {
		if c := p.driveBefore(i, t); c.to > i {
			return c
		}
	}
	x := p.number(i)
	if x.n == 0 || x.value <= 0 || x.halfUnit {
		return chunk{}
	}
	at := i + x.n
	unit := ""
	if u := p.term(at, lexicon.Unit); u != nil && p.run(at) && (u.Value == "mm" || u.Value == "in") {
		unit = u.Value
		at += len(u.Words)
	}
	if !p.run(at) {
		return chunk{}
	}
	t := p.term(at, lexicon.Drive)
	if t == nil || t.Value != "hex" && t.Value != "hex key" && t.Value != "square" {
		return chunk{}
	}
	text, ok := driveText(t.Value, x, unit)
	if !ok {
		return chunk{}
	}
	return chunk{sort: driveChunk, to: at + len(t.Words), text: text}
}

// driveBefore reads a drive whose word stands before its size.
func (p *parser) driveBefore(i int, t *lexicon.Term) chunk {
	at := i + len(t.Words)
	switch t.Value {
	case "T", "E":
		sizes := insideSizes
		if t.Value == "E" {
			sizes = outsideSizes
		}
		if v, n := p.size(at, sizes); n > 0 {
			return chunk{sort: driveChunk, to: at + n, text: t.Value + formatNumber(v)}
		}
	case "hex", "hex key", "PH":
		if p.words[i].text == "head" || p.words[i].text == "socket" || !p.run(at) {
			return chunk{}
		}
		if x := p.number(at); x.n > 0 && x.value >= 1 && x.value <= mostAcrossFlats && x.over == 0 && !p.unitFollows(at+x.n) {
			return chunk{sort: driveChunk, to: at + x.n, text: strings.TrimSuffix(t.Value+" "+formatNumber(x.value), " ")}
		}
	case "slot":
		if p.run(at) && p.term(at, lexicon.Tool) != nil {
			return chunk{}
		}
		return chunk{sort: driveChunk, to: at, text: "slot"}
	}
	return chunk{}
}

// unitFollows reports whether a unit other than millimetres stands at a word.
func (p *parser) unitFollows(at int) bool {
	u := p.term(at, lexicon.Unit)
	return p.run(at) && u != nil && u.Value != "mm"
}

// Across flats: the largest hexagon that is believed, in millimetres and in
// inches.
const (
	mostAcrossFlats   = 60
	leastAcrossFlats  = 3
	mostInchFlats     = 2.0
	finestInchDivisor = 32
)

// driveText writes a drive as a guide does: "hex 19", "hex 9/16 in".
func driveText(kind string, x number, unit string) (string, bool) {
	switch {
	case x.over > 0 && (unit == "" || unit == "in"):
		if x.value > mostInchFlats {
			return "", false
		}
		return kind + " " + inchFraction(x.value) + " in", true
	case unit == "in":
		return kind + " " + inchFraction(x.value) + " in", x.value <= mostInchFlats && strings.ContainsAny(inchFraction(x.value), "/123456789") && !strings.Contains(inchFraction(x.value), ".")
	case x.value < leastAcrossFlats-1 || x.value > mostAcrossFlats:
		return "", false
	}
	return kind + " " + formatNumber(x.value), true
}

// inchFraction writes a share of an inch as a fraction: 9/16, 1 1/8.
func inchFraction(v float64) string {
	for den := 1.0; den <= finestInchDivisor; den *= 2 {
		if n := v * den; n == math.Trunc(n) {
			whole, rest := math.Trunc(v), n-math.Trunc(v)*den
			switch {
			case rest == 0:
				return formatNumber(whole)
			case whole == 0:
				return formatNumber(n) + "/" + formatNumber(den)
			}
			return formatNumber(whole) + " " + formatNumber(rest) + "/" + formatNumber(den)
		}
	}
	return formatNumber(v)
}

// amountAt reads a number or a range with its bound and its unit; "ten-way" is
// read too. A number without unit is a numberChunk.
func (p *parser) amountAt(i int) chunk {
	var a amount
	at := i
	for {
		if t := p.term(at, lexicon.Bound); t != nil && !strings.HasPrefix(t.Value, "after") && (at == i || p.run(at)) && p.run(at+len(t.Words)) {
			a.bound = t.Value
			at += len(t.Words)
			continue
		}
		if t := p.term(at, lexicon.About); t != nil && (at == i || p.run(at)) && p.run(at+len(t.Words)) {
			a.hedged = true
			at += len(t.Words)
			continue
		}
		if w := p.text(at); (w == "between" || w == "from") && (at == i || p.run(at)) && p.run(at+1) {
			at++
			continue
		}
		break
	}
	x := p.number(at)
	if w := p.text(at); x.n == 0 && (w == "a" || w == "an") && p.run(at+1) && p.term(at+1, lexicon.Unit) != nil && len(p.text(at+1)) > 1 {
		x = number{value: 1, n: 1} // "a litre and a half"
	}
	if x.n == 0 || at > i && !p.run(at) {
		return chunk{}
	}
	a.low, a.high, a.over, a.year = x.value, x.value, x.over, x.year
	at += x.n
	if w := p.next(at); w == "way" || w == "pin" || w == "pole" {
		return chunk{sort: waysChunk, to: at + 1, text: formatNumber(x.value) + "-way"}
	}
	at, firstUnit, factor := p.unitAt(at)
	if more := p.andPart(at, number{value: a.low}); firstUnit != "" && more.n > 0 {
		a.low, a.high = more.value, more.value
		at += more.n
	}
	at = p.rangeAt(at, &a, firstUnit, factor)
	at = p.boundAfter(at, &a)
	c := chunk{sort: amountChunk, to: at, amount: a, hedged: a.hedged, count: -1}
	if a.unit == "" {
		c.sort = numberChunk
	}
	return c
}

// unitAt reads a unit and its factor.
func (p *parser) unitAt(at int) (next int, unit string, factor float64) {
	if p.next(at) == "of" && p.next(at+1) == "a" || p.next(at) == "of" && p.next(at+1) == "an" {
		if u := p.term(at+2, lexicon.Unit); u != nil && p.run(at+2) {
			at += 2
		}
	}
	u := p.term(at, lexicon.Unit)
	if u == nil || !p.run(at) {
		return at, "", 1
	}
	name, f, has := strings.Cut(u.Value, " ")
	factor = 1
	if has {
		factor, _ = strconv.ParseFloat(f, 64)
	}
	return at + len(u.Words), name, factor
}

// rangeAt reads "to five bar" after the first number and settles the unit.
func (p *parser) rangeAt(at int, a *amount, unit string, factor float64) int {
	w := p.next(at)
	hyphen := at < len(p.words) && p.words[at].glued && p.words[at].digits && p.run(at)
	if w == "to" || w == "till" || w == "until" || hyphen || w == "and" && unit == "" && p.betweenBefore(at) {
		from := at + 1
		if hyphen {
			from = at
		}
		if x := p.number(from); x.n > 0 && (p.run(from) || hyphen) && x.value > a.low {
			end, second, f := p.unitAt(from + x.n)
			if second == "" {
				second, f = unit, factor
			}
			if unit == "" || unit == second {
				a.high, a.over = x.value, max(a.over, x.over)
				unit, factor, at = second, f, end
			} else { // "half an ohm to one kilohm": two units, kept apart
				return p.settle(at, a, unit, factor)
			}
		}
	}
	return p.settle(at, a, unit, factor)
}

func (p *parser) settle(at int, a *amount, unit string, factor float64) int {
	a.unit, a.said, a.factor = unit, unit != "", factor
	if factor != 1 {
		a.low, a.high = round(a.low*factor), round(a.high*factor)
	}
	return at
}

// round takes away what binary arithmetic adds after the tenth digit.
func round(v float64) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 10, 64), 64)
	return r
}

// betweenBefore reports whether "between" opened the range that goes on at a
// word.
func (p *parser) betweenBefore(at int) bool {
	for k := at - 1; k >= 0 && k > at-6; k-- {
		if p.words[k].text == "between" {
			return true
		}
		if p.words[k].stop != 0 && k < at-1 {
			return false
		}
	}
	return false
}

// boundAfter reads "minimum" or "or more" after a value.
func (p *parser) boundAfter(at int, a *amount) int {
	if !p.run(at) {
		return at
	}
	t := p.term(at, lexicon.Bound)
	if t == nil || !strings.HasPrefix(t.Value, "after") {
		if t := p.term(at, lexicon.About); t != nil && (t.Single == "or so" || t.Single == "ish" || t.Single == "give or take" || t.Single == "more or less") {
			a.hedged = true
			return at + len(t.Words)
		}
		return at
	}
	a.bound = strings.TrimPrefix(t.Value, "after ")
	return at + len(t.Words)
}
