package guide

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
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
		if d := EditDistance(h, w); d <= allowed && (best < 0 || d < best) {
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

// EditDistance returns the number of letters to insert, delete, replace or
// swap with their neighbour to get from a to b.
func EditDistance(a, b string) int {
	x, y := []rune(a), []rune(b)
	rows := make([][]int, len(x)+1)
	for i := range rows {
		rows[i] = make([]int, len(y)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			same := 1
			if x[i-1] == y[j-1] {
				same = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+same)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(x)][len(y)]
}

// Nearest returns up to n of the known names that are close to name, closest
// first, never one that is further away than half the longer of the two.
func Nearest(name string, known []string, n int) []string {
	type near struct {
		name  string
		d     int
		alike int // letters in common at the beginning
	}
	var all []near
	for _, k := range known {
		d := EditDistance(strings.ToLower(name), strings.ToLower(k))
		if 2*d <= max(len(name), len(k)) {
			all = append(all, near{k, d, commonPrefix(name, k)})
		}
	}
	slices.SortStableFunc(all, func(a, b near) int {
		return cmp.Or(cmp.Compare(a.d, b.d), cmp.Compare(b.alike, a.alike), cmp.Compare(a.name, b.name))
	})
	var out []string
	for i := 0; i < len(all) && i < n; i++ {
		out = append(out, all[i].name)
	}
	return out
}

// commonPrefix returns how many bytes a and b share at their beginning.
func commonPrefix(a, b string) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}
