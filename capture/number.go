package capture

import (
	"math"
	"strconv"
	"strings"
)

// The words of numbers.
var (
	ones = map[string]float64{
		"zero": 0, "nought": 0, "naught": 0, "oh": 0, "nil": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
	}
	teens = map[string]float64{
		"ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19,
	}
	tens = map[string]float64{
		"twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
	}
	parts = map[string]float64{
		"half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fourth": 4, "fourths": 4, "eighth": 8, "eighths": 8,
		"tenth": 10, "tenths": 10, "sixteenth": 16, "sixteenths": 16, "hundredth": 100, "hundredths": 100,
	}
	signs = map[rune]float64{'½': 0.5, '¼': 0.25, '¾': 0.75}
)

// number is a number as it was said.
type number struct {
	value    float64
	n        int     // words taken; 0 is no number
	over     float64 // denominator of a fraction that was said as one, else 0
	year     bool    // said as a year is: nineteen ninety four
	halfUnit bool    // "half a litre": the article stands before the unit
}

// digitValue reads a number written in digits, a fraction or a sign.
func digitValue(s string) (float64, bool) {
	whole := 0.0
	for _, r := range s {
		if v, ok := signs[r]; ok {
			rest := strings.ReplaceAll(s, string(r), "")
			if rest != "" {
				w, err := strconv.ParseFloat(rest, 64)
				if err != nil {
					return 0, false
				}
				whole = w
			}
			return whole + v, true
		}
	}
	if a, b, ok := strings.Cut(s, "/"); ok {
		x, errX := strconv.ParseFloat(a, 64)
		y, errY := strconv.ParseFloat(b, 64)
		return x / y, errX == nil && errY == nil && y != 0
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && !math.IsInf(v, 0)
}

// run reports whether the word at i goes on from the word before it.
func (p *parser) run(i int) bool {
	return i < len(p.words) && i > 0 && p.words[i-1].stop == 0 && !p.words[i].fresh
}

func (p *parser) text(i int) string {
	if i < len(p.words) {
		return p.words[i].text
	}
	return ""
}

// next returns the word at i when it goes on from the one before.
func (p *parser) next(i int) string {
	if p.run(i) {
		return p.words[i].text
	}
	return ""
}

// number reads the number at word i.
func (p *parser) number(i int) number {
	if i >= len(p.words) {
		return number{}
	}
	if p.words[i].digits {
		return p.digits(i)
	}
	if x := p.fraction(i); x.n > 0 {
		return x
	}
	x := p.whole(i)
	if x.n == 0 && p.text(i) == "point" {
		x = number{value: 0}
	} else if x.n == 0 {
		return number{}
	}
	x = p.decimals(i, x)
	if x.n == 0 {
		return x
	}
	return p.andPart(i, x)
}

// digits reads a number that was written, with what may follow it.
func (p *parser) digits(i int) number {
	w := &p.words[i]
	x := number{value: w.num, n: 1}
	if _, under, ok := strings.Cut(w.text, "/"); ok {
		x.over, _ = strconv.ParseFloat(under, 64)
		return x
	}
	if p.run(i+1) && p.words[i+1].digits && strings.Contains(p.words[i+1].text, "/") && w.num == math.Trunc(w.num) {
		return number{value: w.num + p.words[i+1].num, n: 2, over: x.over}
	}
	if f, ok := parts[p.next(i+1)]; ok && f > 2 && w.num < f {
		return number{value: w.num / f, n: 2, over: f}
	}
	if m, ok := map[string]float64{"hundred": 100, "thousand": 1000}[p.next(i+1)]; ok {
		x = number{value: w.num * m, n: 2}
	}
	return p.andPart(i, x)
}

// fraction reads "half", "half a", "a quarter", "three quarters", "five
// eighths", "half an".
func (p *parser) fraction(i int) number {
	at, top := i, 1.0
	switch w := p.text(i); {
	case w == "half" && (p.next(i+1) == "a" || p.next(i+1) == "an"):
		return number{value: 0.5, n: 2, over: 2, halfUnit: true}
	case w == "half":
		return number{value: 0.5, n: 1, over: 2}
	case w == "quarter":
		return number{value: 0.25, n: 1, over: 4}
	case w == "a" || w == "an":
		at = i + 1
	default:
		x := p.below100(i)
		if x.n == 0 {
			return number{}
		}
		top, at = x.value, i+x.n
	}
	under, ok := parts[p.next(at)]
	if !ok || top >= under && under > 2 || top == 0 {
		return number{}
	}
	return number{value: top / under, n: at + 1 - i, over: under}
}

// below100 reads "seven", "seventeen", "seventy", "seventy seven".
func (p *parser) below100(i int) number {
	w := p.text(i)
	if i < len(p.words) && p.words[i].digits {
		if v := p.words[i].num; v == math.Trunc(v) && v >= 0 && v < 100 && !strings.Contains(w, "/") {
			return number{value: v, n: 1}
		}
		return number{}
	}
	if v, ok := ones[w]; ok {
		return number{value: v, n: 1}
	}
	if v, ok := teens[w]; ok {
		return number{value: v, n: 1}
	}
	if v, ok := tens[w]; ok {
		if u := ones[p.next(i+1)]; u > 0 {
			return number{value: v + u, n: 2}
		}
		return number{value: v, n: 1}
	}
	return number{}
}

// whole reads a whole number in words: "a hundred and ten", "thirty six
// hundred", "seven fifty", "two thousand four hundred".
func (p *parser) whole(i int) number {
	x := p.hundreds(i)
	if x.n == 0 {
		return x
	}
	if p.next(i+x.n) == "thousand" {
		x.value, x.n, x.year = x.value*1000, x.n+1, false
		at := i + x.n
		if p.next(at) == "and" {
			at++
		}
		if p.run(at) {
			if rest := p.hundreds(at); rest.n > 0 && rest.value < 1000 && (at == i+x.n || rest.value < 100) {
				x.value, x.n = x.value+rest.value, at+rest.n-i
			}
		}
	}
	return x
}

// hundreds reads a number below ten thousand, in hundreds or spoken by pairs.
func (p *parser) hundreds(i int) number {
	x := p.below100(i)
	if x.n == 0 {
		if (p.text(i) != "a" && p.text(i) != "the") || p.next(i+1) != "hundred" && p.next(i+1) != "thousand" {
			return x
		}
		x = number{value: 1, n: 1}
	}
	if p.next(i+x.n) == "hundred" {
		x.value, x.n = x.value*100, x.n+1
		at := i + x.n
		if p.next(at) == "and" {
			at++
		}
		if p.run(at) {
			if rest := p.below100(at); rest.n > 0 {
				x.value, x.n = x.value+rest.value, at+rest.n-i
			}
		}
		return x
	}
	return p.pairs(i, x)
}

// pairs reads "seven fifty", "one oh five", and years such as "nineteen ninety
// four".
func (p *parser) pairs(i int, x number) number {
	at := i + x.n
	if !p.run(at) || p.words[at].digits {
		return x
	}
	second := p.below100(at)
	switch {
	case x.value >= 1 && x.value <= 9 && p.text(at) == "oh" && p.run(at+1) && ones[p.text(at+1)] > 0:
		return number{value: x.value*100 + ones[p.text(at+1)], n: x.n + 2}
	case second.n == 0 || second.value < 10:
		return x
	case x.value >= 1 && x.value <= 9 && second.value >= 20 && math.Mod(second.value, 10) == 0:
		return number{value: x.value*100 + second.value, n: x.n + second.n}
	case x.value >= 18 && x.value <= 20 && x.n == 1:
		return number{value: x.value*100 + second.value, n: x.n + second.n, year: true}
	}
	return x
}

// decimals reads "point eight", "point one two five".
func (p *parser) decimals(i int, x number) number {
	at := i + x.n
	if p.text(at) != "point" || x.n > 0 && !p.run(at) {
		return x
	}
	at++
	scale, frac, some := 0.1, "", false
	for p.run(at) {
		w := p.text(at)
		d, ok := ones[w]
		if p.words[at].digits && !some && !strings.ContainsAny(w, "./") {
			frac, some = w, true
			at++
			break
		}
		if v := p.below100(at); !ok && v.n > 0 && !some {
			frac, some = strconv.Itoa(int(v.value)), true
			at += v.n
			break
		}
		if !ok {
			break
		}
		frac += strconv.Itoa(int(d))
		scale /= 10
		some = true
		at++
	}
	if !some {
		return number{}
	}
	v, err := strconv.ParseFloat(strconv.FormatFloat(x.value, 'f', -1, 64)+"."+frac, 64)
	if err != nil {
		return number{}
	}
	return number{value: v, n: at - i}
}

// andPart reads "and a half" after a whole number.
func (p *parser) andPart(i int, x number) number {
	at := i + x.n
	if x.value != math.Trunc(x.value) || p.next(at) != "and" || !p.run(at+1) {
		return x
	}
	f := p.fraction(at + 1)
	if f.n == 0 || f.halfUnit {
		return x
	}
	return number{value: x.value + f.value, n: at + 1 + f.n - i, over: f.over}
}
