package capture

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"elbowroom/cite"
	"elbowroom/guide"
)

// Namer finds what a narrator's name means in a guide.
type Namer interface {
	// Named returns the items that a name may mean, best first; none when the
	// guide has nothing like it.
	Named(name, side string, number int) []guide.ID
}

// What lowers the confidence in a fact, each by this much.
const (
	lessHedged  = 0.25 // "I'd say six"
	lessHearsay = 0.35
	lessUnit    = 0.25 // the unit was not said
	lessTook    = 0.05 // corrected in the same breath: the narrator paid attention
	lessSame    = 0.1  // "same on the other side"
	lessGauge   = 0.1  // words, not a number
	leastSure   = 0.1
)

// finish gives facts their names, confidence and order, and draws up
// questions and contradictions.
func (l *listener) finish(n Namer) *Report {
	r := l.report
	l.nameFacts(n)
	l.questions()
	for _, f := range l.facts {
		f.Confidence = confidence(f)
		r.Facts = append(r.Facts, *f)
	}
	slices.SortStableFunc(r.Facts, func(a, b Fact) int { return cmp.Compare(l.order(&a), l.order(&b)) })
	l.conflicts()
	for i := range r.Conflicts {
		c := &r.Conflicts[i]
		a, b := r.Fact(c.A), r.Fact(c.B)
		a.Contradict, b.Contradict = append(a.Contradict, b.ID), append(b.Contradict, a.ID)
	}
	for i := range l.p.t.Cues {
		if s := l.p.t.Cues[i].Speaker; s != "" && !slices.Contains(r.Speakers, s) {
			r.Speakers = append(r.Speakers, s)
		}
	}
	r.Items = l.items(n)
	slices.SortStableFunc(r.Questions, func(a, b Question) int { return cmp.Compare(cueOf(a), cueOf(b)) })
	return r
}

func cueOf(q Question) int {
	if q.At == nil {
		return 1 << 30
	}
	return q.At.Cue
}

// order is the place of a fact in the narration.
func (l *listener) order(f *Fact) int { return f.word }

// nameFacts fills in items and IDs.
func (l *listener) nameFacts(n Namer) {
	seen := map[string]int{}
	for _, f := range l.facts {
		f.Item = itemOf(f.of, n)
		id := strings.ReplaceAll(f.Item.Name, " ", "-") + "/" + string(f.Kind)
		if f.For != "" {
			id += "/" + strings.ReplaceAll(f.For, " ", "-")
		}
		seen[id]++
		f.ID = id
		if seen[id] > 1 {
			f.ID = fmt.Sprintf("%s.%d", id, seen[id])
		}
	}
}

func itemOf(e *entity, n Namer) Item {
	i := Item{Name: e.shown(), Side: e.side, Bare: e.raw, Number: e.number, Class: e.class, Gauge: e.gauge}
	if n != nil && !e.gauge {
		i.Guide = n.Named(e.raw, e.side, e.number)
	}
	return i
}

// items lists what facts speak of, in the order of naming.
func (l *listener) items(n Namer) []Item {
	var list []Item
	seen := map[*entity]bool{}
	for _, f := range l.facts {
		if !seen[f.of] && f.of != &everything {
			seen[f.of] = true
			list = append(list, itemOf(f.of, n))
		}
	}
	return list
}

// confidence weighs how a fact was said.
func confidence(f *Fact) float64 {
	c := 1.0
	lower := func(by float64, why string) {
		c -= by
		if why != "" && !slices.Contains(f.Because, why) {
			f.Because = append(f.Because, why)
		}
	}
	switch f.Grade {
	case cite.Hearsay:
		lower(lessHearsay, "told by "+f.Who)
	case cite.Guess:
		lower(lessHedged, "said as a guess")
	}
	if slices.Contains(f.Because, "the unit was not said") {
		lower(lessUnit, "")
	}
	if f.TookBack != "" {
		lower(lessTook, "corrected from "+f.TookBack)
	}
	if slices.ContainsFunc(f.Because, func(s string) bool { return strings.HasPrefix(s, "said to be the same") }) {
		lower(lessSame, "")
	}
	if f.Kind.Wordy() {
		lower(lessGauge, "words, taken as they were said")
	}
	return float64(int(max(c, leastSure)*100+0.5)) / 100
}
