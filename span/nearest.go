package span

import (
	"cmp"
	"slices"
	"unicode"
)

const (
	// mostNearest is how many names Nearest offers: more is no help.
	mostNearest = 3
	// longestCompared is the longest name that Nearest compares, in characters.
	longestCompared = 64
)

// Nearest returns the known names that a person may have meant by name: at
// most three, the nearest first, none when nothing is near. Near means that
// at most a third of the characters differ (at least one may); a swap of two
// neighbours counts once, and the case of letters does not count. Of equally
// near names the one that begins alike comes first.
func Nearest(name string, known []string) []string {
	type near struct {
		name  string
		far   int
		alike int // characters in common at the beginning
	}
	var room, other [longestCompared]rune
	want, ok := lower(name, room[:0])
	if !ok || len(want) == 0 {
		return nil
	}
	allowed := max(1, len(want)/3)
	var found []near
	for _, k := range known {
		have, ok := lower(k, other[:0])
		if !ok || len(have)-len(want) > allowed || len(want)-len(have) > allowed {
			continue
		}
		if d := distance(want, have, allowed); d <= allowed {
			found = append(found, near{k, d, commonStart(want, have)})
		}
	}
	slices.SortFunc(found, func(a, b near) int {
		return cmp.Or(cmp.Compare(a.far, b.far), cmp.Compare(b.alike, a.alike), cmp.Compare(a.name, b.name))
	})
	var names []string
	for _, f := range found {
		if len(names) < mostNearest && !slices.Contains(names, f.name) {
			names = append(names, f.name)
		}
	}
	return names
}

// commonStart returns how many characters s and t share at their beginning.
func commonStart(s, t []rune) int {
	n := 0
	for n < len(s) && n < len(t) && s[n] == t[n] {
		n++
	}
	return n
}

// Distance returns how many insertions, deletions, replacements and swaps of
// neighbours lead from one text to the other, allowed+1 or more when that is
// above allowed or a text is longer than Nearest compares.
func Distance(a, b string, allowed int) int {
	var room, other [longestCompared]rune
	s, ok := lower(a, room[:0])
	t, fits := lower(b, other[:0])
	if !ok || !fits {
		return allowed + 1
	}
	return distance(s, t, allowed)
}

// lower returns the characters of s in lower case, in the room given; false
// when there are too many.
func lower(s string, room []rune) ([]rune, bool) {
	for _, c := range s {
		if len(room) == cap(room) {
			return nil, false
		}
		room = append(room, unicode.ToLower(c))
	}
	return room, true
}

// distance is the optimal string alignment distance: insertions, deletions,
// replacements and swaps of neighbours. It stops with a number above allowed
// as soon as the distance must exceed it. Neither text may be longer than
// longestCompared.
func distance(s, t []rune, allowed int) int {
	var rows [3][longestCompared + 1]int
	before, row, next := &rows[0], &rows[1], &rows[2]
	for j := range len(t) + 1 {
		row[j] = j
	}
	least := 0 // of the row before
	for i := 1; i <= len(s); i++ {
		next[0] = i
		lowest := i
		for j := 1; j <= len(t); j++ {
			change := 1
			if s[i-1] == t[j-1] {
				change = 0
			}
			d := min(row[j]+1, next[j-1]+1, row[j-1]+change)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				d = min(d, before[j-2]+1)
			}
			next[j] = d
			lowest = min(lowest, d)
		}
		if lowest > allowed && least > allowed {
			return lowest
		}
		least = lowest
		before, row, next = row, next, before
	}
	return row[len(t)]
}
