package span

import (
	"cmp"
	"slices"
	"strings"
	"unicode/utf8"
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
// neighbours counts once, and the case of letters does not count.
func Nearest(name string, known []string) []string {
	type near struct {
		name string
		far  int
	}
	want := strings.ToLower(name)
	n := utf8.RuneCountInString(want)
	if n == 0 || n > longestCompared {
		return nil
	}
	allowed := max(1, n/3)
	var found []near
	for _, k := range known {
		if m := utf8.RuneCountInString(k); m-n > allowed || n-m > allowed {
			continue
		}
		if d := distance(want, strings.ToLower(k)); d <= allowed {
			found = append(found, near{k, d})
		}
	}
	slices.SortFunc(found, func(a, b near) int { return cmp.Or(cmp.Compare(a.far, b.far), cmp.Compare(a.name, b.name)) })
	var names []string
	for _, f := range found {
		if len(names) < mostNearest && !slices.Contains(names, f.name) {
			names = append(names, f.name)
		}
	}
	return names
}

// distance is the optimal string alignment distance: insertions, deletions,
// replacements and swaps of neighbours.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	before, row, next := make([]int, len(t)+1), make([]int, len(t)+1), make([]int, len(t)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(s); i++ {
		next[0] = i
		for j := 1; j <= len(t); j++ {
			change := 1
			if s[i-1] == t[j-1] {
				change = 0
			}
			next[j] = min(row[j]+1, next[j-1]+1, row[j-1]+change)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
		}
		before, row, next = row, next, before
	}
	return row[len(t)]
}
