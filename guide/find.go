package guide

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"elbowroom/span"
)

// Hit is one item found by words, best first by Score (lower is better).
type Hit struct {
	Item  *Item
	By    string // the name that matched
	Score int
}

// Scores of a match, from best to worst. Letter errors are added to scoreNear.
const (
	scoreID     = 0
	scoreName   = 10
	scorePrefix = 20
	scoreWords  = 30
	scoreKind   = 40
	scoreNear   = 60
)

// Exact reports whether the words were the ID or a whole name of the item.
func (h Hit) Exact() bool { return h.Score <= scoreName }

// Find returns the items whose ID, name, other name or kind matches the words:
// first exact matches, then names that begin with the words, then names that
// contain every word (or the beginning of it) in any order, then names with a
// letter or two wrong. Equal scores keep guide order. No words find nothing.
func (r *Resolved) Find(words string) []Hit {
	want := fold(words)
	if want == "" {
		return nil
	}
	kinds := map[ID]string{}
	for _, k := range r.Guide.Kinds {
		kinds[k.ID] = k.Name
	}
	var hits []Hit
	for i := range r.Items {
		it := &r.Items[i]
		best := Hit{Item: it, Score: -1}
		try := func(name string, score int) {
			if score >= 0 && (best.Score < 0 || score < best.Score) {
				best.By, best.Score = name, score
			}
		}
		if fold(string(it.ID)) == want {
			try(string(it.ID), scoreID)
		}
		for _, name := range append([]string{it.Name}, it.Also...) {
			try(name, matchName(fold(name), want))
		}
		if k := kinds[it.Kind]; k != "" && matchName(fold(k), want) >= 0 {
			try(k, scoreKind)
		}
		if best.Score >= 0 {
			hits = append(hits, best)
		}
	}
	slices.SortStableFunc(hits, func(a, b Hit) int { return cmp.Compare(a.Score, b.Score) })
	return hits
}

// matchName scores one folded name against the folded words; -1 is no match.
func matchName(name, want string) int {
	switch {
	case name == want:
		return scoreName
	case strings.HasPrefix(name, want):
		return scorePrefix
	}
	have := strings.Fields(name)
	near := 0
	for _, w := range strings.Fields(want) {
		switch d := nearestWord(have, w); {
		case d < 0:
			return -1
		default:
			near += d
		}
	}
	if near == 0 {
		return scoreWords
	}
	return scoreNear + near
}

// nearestWord returns 0 when some word begins with w, the number of wrong
// letters when few enough, else -1.
func nearestWord(have []string, w string) int {
	allowed := 0
	if len(w) >= 4 {
		allowed = 1
	}
	if len(w) >= 8 {
		allowed = 2
	}
	best := -1
	for _, h := range have {
		if strings.HasPrefix(h, w) {
			return 0
		}
		if d := span.Distance(h, w, allowed); d <= allowed && (best < 0 || d < best) {
			best = d
		}
	}
	return best
}

// fold lowers case and turns everything but letters and digits into single
// spaces.
func fold(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(c rune) bool {
		return !unicode.IsLetter(c) && !unicode.IsDigit(c)
	}), " ")
}
