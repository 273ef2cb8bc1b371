package reading

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// claim is one part of a limit in words: a number with its bound, or words;
// with a meaning where the limit lists outcomes ("stays = not the valve").
type claim struct {
	text      string
	subject   string
	low, high quantity.Value
	means     string
}

// value returns a bound of the claim, zero for words.
func (c claim) value() quantity.Value {
	if c.low.Zero() {
		return c.high
	}
	return c.low
}

var span2 = regexp.MustCompile(`([0-9.]+)(?:\s*(?:to|\.\.)\s*)([0-9.]+\s*\S+)`)

// claimsOf takes a limit in words apart: "square wave, low at most 0.5 V" are
// two claims.
func claimsOf(words string) (out []claim) {
	if words == "" {
		return nil
	}
	for _, text := range strings.Split(words, ",") {
		c := claim{text: strings.TrimSpace(text)}
		if left, right, ok := strings.Cut(c.text, " = "); ok {
			c.text, c.means = strings.TrimSpace(left), strings.TrimSpace(right)
		}
		if c.text != "" {
			c.number()
			out = append(out, c)
		}
	}
	return out
}

// number finds the bounds that a claim sets: "low at most 0.5 V", "reached in
// 0.20 to 0.30 ms".
func (c *claim) number() {
	if m := span2.FindStringSubmatchIndex(c.text); m != nil {
		high, err := quantity.Parse(c.text[m[4]:m[5]])
		if err == nil && high.Unit != "1" {
			n, err := strconv.ParseFloat(c.text[m[2]:m[3]], 64)
			if err == nil {
				c.low, c.high = quantity.Value{Number: n, Unit: high.Unit}, high
				c.subject = c.text[:m[0]]
			}
			return
		}
	}
	f, ok := find(c.text)
	if !ok || f.bare {
		return
	}
	before := strings.TrimSpace(c.text[:f.start])
	for _, word := range []string{"at most", "<=", "≤", "under", "below"} {
		if s, ok := strings.CutSuffix(before, word); ok {
			c.subject, c.high = s, f.value
			return
		}
	}
	for _, word := range []string{"at least", ">=", "≥", "over", "above"} {
		if s, ok := strings.CutSuffix(before, word); ok {
			c.subject, c.low = s, f.value
			return
		}
	}
}

// patternFiller are words that a pattern can be told without.
var patternFiller = []string{"and", "per", "turn", "with", "then", "each", "only"}

// wordsLimit judges the claims of a limit in words.
func (j *judge) wordsLimit(m *guide.Limit) {
	claims := claimsOf(m.Words)
	if slices.ContainsFunc(claims, func(c claim) bool { return c.means != "" }) {
		j.listed(m, claims)
		return
	}
	for _, c := range claims {
		if !c.value().Zero() {
			j.numberClaim(c)
			continue
		}
		j.wordClaim(c)
	}
}

// numberClaim holds a value against a claim with a number.
func (j *judge) numberClaim(c claim) {
	hit := false
	for _, q := range j.measured {
		named := q.part.Name != "" && sameSubject(c.subject, q.part.Name)
		lone := q.part.Name == "" && j.onlyClaim(c)
		if (named || lone) && q.dim == c.value().Dimension() {
			hit = true
			j.add(j.hold(c.text, q, interval{low: siOr(c.low, -1), high: siOr(c.high, 1)}))
		}
	}
	if !hit {
		j.unjudged(c.text, "measure "+strings.TrimSpace(c.subject)+" in "+c.value().Unit)
	}
}

// onlyClaim reports whether no other limit of the check is of that kind, so
// that a value without a name is meant.
func (j *judge) onlyClaim(c claim) bool {
	n := 0
	for i := range j.check.Limits {
		m := &j.check.Limits[i]
		for _, v := range []quantity.Value{m.Low, m.High, m.Nominal} {
			if !v.Zero() && v.Dimension() == c.value().Dimension() {
				return false
			}
		}
		for _, other := range claimsOf(m.Words) {
			if other.value().Dimension() == c.value().Dimension() && !other.value().Zero() {
				n++
			}
		}
	}
	return n == 1
}

// wordClaim looks for words that say whether a claim holds.
func (j *judge) wordClaim(c claim) {
	var all []string
	for i, st := range j.rd.Stated {
		if !st.Value.Zero() && j.used[i] {
			continue
		}
		switch said := comparePattern(c.text, st.Text); said {
		case same, contrary:
			j.used[i] = true
			j.add(judgedWords(c.text, st.Text, said == same))
			return
		}
		if n, _ := countDenials(content(st.Text)); n == 0 && st.Value.Zero() {
			all = append(all, st.Text)
		}
	}
	if comparePattern(c.text, strings.Join(all, " ")) == same && len(all) > 1 {
		for i, st := range j.rd.Stated {
			if slices.Contains(all, st.Text) && within(content(st.Text), content(c.text)) {
				j.used[i] = true
			}
		}
		j.add(judgedWords(c.text, strings.Join(all, ", "), true))
		return
	}
	j.unjudged(c.text, "say whether it is so: "+c.text)
}

func judgedWords(limit, said string, good bool) Judged {
	d := Judged{Limit: "words: " + limit, Outcome: Conforming, Probability: 1, Says: fmt.Sprintf("%s, as it should be", said)}
	if !good {
		d.Outcome, d.Probability, d.Says = NonConforming, 0, fmt.Sprintf("%s, and it should be: %s", said, limit)
	}
	return d
}

// answers are words that answer a claim as a whole.
var answers = map[string]likeness{"yes": same, "as it should be": same, "as described": same, "as written": same, "no": contrary}

// comparePattern is compareWords for what was seen: "yes" and "no" answer, a
// count of the same things must be the same number, and a wheel of 60-2 has 58
// pulses and a gap.
func comparePattern(claim, said string) likeness {
	if a, ok := answers[strings.ToLower(strings.Trim(said, " ."))]; ok {
		return a
	}
	said = wheel(said)
	for thing, want := range countsIn(claim) {
		if have, ok := countsIn(said)[thing]; ok && have != want {
			return contrary
		}
	}
	strip := func(s string) string {
		return strings.Join(slices.DeleteFunc(content(s), func(w string) bool { return slices.Contains(patternFiller, w) }), " ")
	}
	return compareWords(strip(claim), strip(said))
}

var counted = regexp.MustCompile(`([0-9]+)\s+(\p{L}+)`)

// countsIn returns the numbers of things in a text: 58 pulses.
func countsIn(s string) map[string]int {
	m := map[string]int{}
	for _, hit := range counted.FindAllStringSubmatch(strings.ToLower(s), -1) {
		if n, err := strconv.Atoi(hit[1]); err == nil {
			m[hit[2]] = n
		}
	}
	return m
}

var toothed = regexp.MustCompile(`\b([0-9]{1,3})\s?[-−]\s?([0-9])\b`)

// wheel spells out the pattern of a wheel with missing teeth: 60-2.
func wheel(s string) string {
	m := toothed.FindStringSubmatchIndex(s)
	if m == nil {
		return s
	}
	teeth, err := strconv.Atoi(s[m[2]:m[3]])
	missing, err2 := strconv.Atoi(s[m[4]:m[5]])
	if err != nil || err2 != nil || missing >= teeth || missing == 0 {
		return s
	}
	return s[:m[0]] + strconv.Itoa(teeth-missing) + " pulses and a gap per turn" + s[m[1]:]
}

// listed judges a limit that lists outcomes with their meaning. A meaning that
// begins with "not" clears what the check examines, any other finds it.
func (j *judge) listed(m *guide.Limit, claims []claim) {
	for _, want := range []likeness{same, contrary} {
		for _, c := range claims {
			for i, st := range j.rd.Stated {
				if compareLoose(c.text, st.Text) != want {
					continue
				}
				j.used[i] = true
				cleared := strings.HasPrefix(c.means, "not ")
				d := judgedWords(c.text, st.Text, cleared == (want == same))
				d.Limit = m.String()
				d.Says = st.Text + ": " + c.means
				if want == contrary {
					d.Says = st.Text + ": the other way round than " + c.text + " = " + c.means
				}
				j.add(d)
				return
			}
		}
	}
	var texts []string
	for _, c := range claims {
		texts = append(texts, c.text)
	}
	j.unjudged(m.String(), "say which was seen: "+strings.Join(texts, "; "))
}

// compareLoose is compareWords for a few words that stand for a longer
// outcome: "stays" for "the fault stays".
func compareLoose(outcome, said string) likeness {
	if c := comparePattern(outcome, said); c != unrelated {
		return c
	}
	want, have := content(outcome), content(said)
	no, have := countDenials(have)
	differs := 0
	for _, h := range have {
		switch {
		case slices.Contains(want, h):
		case slices.ContainsFunc(want, func(w string) bool { return opposite(w, h) }):
			differs++
		default:
			return unrelated
		}
	}
	switch {
	case len(have) == 0:
		return unrelated
	case (no+differs)%2 == 1:
		return contrary
	}
	return same
}
