package suspect

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
)

// phrase is a sign as the guide writes it, with the faults that bring it.
type phrase struct {
	text  string
	words []string // concepts
	hyps  []int
}

// phrases lists the signs of the guide in its order. Signs of the same words
// ("power loss", "loss of power") are one.
func (m *model) phrases() []phrase {
	var out []phrase
	for h := range m.hyps[:m.other()] {
		for _, text := range m.hyps[h].fault.Signs {
			words := concepts(text)
			i := slices.IndexFunc(out, func(p phrase) bool {
				return p.text == text || len(words) > 0 && slices.Equal(p.words, words)
			})
			if i < 0 {
				i = len(out)
				out = append(out, phrase{text: text, words: words})
			}
			if !slices.Contains(out[i].hyps, h) {
				out[i].hyps = append(out[i].hyps, h)
			}
		}
	}
	return out
}

// complaint makes a sign of every clause of the complaint and of the
// conditions that matches signs of the guide, and of every sign that a person
// ticked.
func (m *model) complaint() {
	all := m.phrases()
	used := make([]bool, len(all))
	ticked := m.ticked(all)
	said := clauses(m.c.Complaint)
	for _, c := range m.c.Conditions {
		said = append(said, clauses(c)...)
	}
	for _, clause := range said {
		m.clause(clause, all, used, ticked)
	}
	for i, p := range all {
		if a, ok := ticked[i]; ok && !used[i] {
			m.found = append(m.found, Match{Sign: p.text, Faults: m.names(p.hyps), Is: a})
			switch a {
			case Present:
				m.present(p.text, p.hyps)
			case Absent:
				m.absent(p)
			}
		}
	}
}

// clause makes signs of what one clause matches. Signs of the guide that the
// same words match are one sign; signs matched by other words of the clause
// ("misfire on 6 in wet weather") are another.
func (m *model) clause(clause string, all []phrase, used []bool, ticked map[int]Answer) {
	words := concepts(clause)
	var hits []phrase
	for i, p := range all {
		if used[i] || matches(p.words, words) < matchNeeded {
			continue
		}
		used[i] = true
		is := Present
		if a, ok := ticked[i]; ok {
			is = a
		}
		m.found = append(m.found, Match{Sign: p.text, Words: clause, Faults: m.names(p.hyps), Is: is})
		switch is {
		case Present:
			hits = append(hits, p)
		case Absent:
			m.absent(p)
		}
	}
	for len(hits) > 0 {
		var one, rest []phrase
		one, rest = together(hits, words)
		var hyps []int
		var texts []string
		for _, p := range one {
			hyps = append(hyps, p.hyps...)
			texts = append(texts, p.text)
		}
		m.present(fmt.Sprintf("“%s” (%s)", clause, strings.Join(texts, ", ")), hyps)
		hits = rest
	}
}

// together splits off the phrases that share matched words with the first one,
// directly or through others.
func together(hits []phrase, words []string) (one, rest []phrase) {
	shared := func(p, q phrase) bool {
		return slices.ContainsFunc(p.words, func(w string) bool { return slices.Contains(words, w) && slices.Contains(q.words, w) })
	}
	one, rest = hits[:1:1], slices.Clone(hits[1:])
	for grown := true; grown; {
		grown = false
		for i, p := range rest {
			if slices.ContainsFunc(one, func(q phrase) bool { return shared(p, q) }) {
				one, rest, grown = append(one, p), slices.Delete(rest, i, i+1), true
				break
			}
		}
	}
	return one, rest
}

// ticked returns what people settled, by phrase.
func (m *model) ticked(all []phrase) map[int]Answer {
	out := map[int]Answer{}
	for _, t := range m.c.Ticks {
		words := concepts(t.Sign)
		i := slices.IndexFunc(all, func(p phrase) bool { return p.text == t.Sign || len(words) > 0 && slices.Equal(p.words, words) })
		if i >= 0 {
			out[i] = t.Is
		}
	}
	return out
}

func (m *model) names(hyps []int) []guide.ID {
	out := make([]guide.ID, len(hyps))
	for i, h := range hyps {
		out[i] = m.hyps[h].id
	}
	return out
}

// present adds a sign that is there: any of the faults brings it.
func (m *model) present(says string, hyps []int) {
	slices.Sort(hyps)
	hyps = slices.Compact(hyps)
	m.open(ComplaintSign, says, hyps, func(present []int, s setting) float64 {
		return 1 - m.none(present, hyps, s.given(groupSigns, m.a.SignGiven), s.leak(groupSigns, m.a.SignLeak), s)
	})
}

// absent adds a sign that is not there.
func (m *model) absent(p phrase) {
	hyps := p.hyps
	m.open(ComplaintSign, "not there: "+p.text, hyps, func(present []int, s setting) float64 {
		return m.none(present, hyps, s.given(groupSigns, m.a.SignGiven), s.leak(groupSigns, m.a.SignLeak), s)
	})
}

// none is the probability that a sign does not show: neither by the leak, nor
// by any of the faults present, nor by what is not listed.
func (m *model) none(present, hyps []int, given, leak float64, s setting) float64 {
	out := 1 - leak
	for _, h := range present {
		switch {
		case h == m.other():
			out *= 1 - s.leak(groupUnlisted, m.a.UnlistedSign)
		case contains(hyps, h):
			out *= 1 - given
		}
	}
	return out
}

func contains(sorted []int, x int) bool {
	_, ok := slices.BinarySearch(sorted, x)
	return ok
}

// open adds a sign known at arrival, which depends on the given suspects and
// on what is not listed.
func (m *model) open(sort SignSort, says string, about []int, like likelihood) {
	about = append(slices.Clone(about), m.other())
	slices.Sort(about)
	m.steps = append(m.steps, step{
		sign:    Sign{Sort: sort, Event: -1, Says: says, Assumed: true},
		opening: true,
		about:   slices.Compact(about),
		like:    like,
	})
}
