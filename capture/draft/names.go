package draft

import (
	"slices"
	"strconv"
	"strings"

	"elbowroom/capture/lexicon"
	"elbowroom/guide"
)

// Names finds what a narrator's words mean in a guide.
type Names struct {
	entries []entry
	lex     *lexicon.Lexicon
}

// entry is one name of one item.
type entry struct {
	id    guide.ID
	words []string
	head  string
}

// most is the largest number of items that one name is taken to mean.
const most = 12

// NewNames reads the names of a guide; a nil guide has none.
func NewNames(g *guide.Guide, lex *lexicon.Lexicon) *Names {
	n := &Names{lex: lex}
	if n.lex == nil {
		n.lex = lexicon.Default()
	}
	if g == nil {
		return n
	}
	for i := range g.Items {
		it := &g.Items[i]
		for _, name := range append([]string{it.Name}, it.Also...) {
			n.add(it, name)
		}
	}
	return n
}

func (n *Names) add(it *guide.Item, name string) {
	before, _, _ := strings.Cut(name, "(")
	main, _, _ := strings.Cut(before, ",")
	words := n.words(before)
	if it.Side != "" && !slices.Contains(words, string(it.Side)) {
		words = append(words, string(it.Side))
	}
	if len(words) == 0 {
		return
	}
	e := entry{id: it.ID, words: words}
	if m := n.words(main); len(m) > 0 {
		e.head = m[len(m)-1]
		if _, err := strconv.Atoi(e.head); err == nil && len(m) > 1 {
			e.head = m[len(m)-2]
		}
	}
	n.entries = append(n.entries, e)
}

// words folds a name into the words that are compared.
func (n *Names) words(name string) []string {
	folded := lexicon.Fold(strings.NewReplacer(",", " ", "(", " ", ")", " ", "/", " ").Replace(name))
	return strings.Fields(n.lex.Name(folded))
}

// Named implements capture.Namer: the items whose names fit best, in guide
// order. A name fits when it has every word that was said, or a word that
// begins with it; names that end alike and have fewer further words fit
// better. A single word means everything that
// ends with it.
func (n *Names) Named(name, side string, number int) []guide.ID {
	want := n.words(name)
	if len(want) == 0 {
		return nil
	}
	head := want[len(want)-1]
	if side != "" {
		want = append(want, side)
	}
	if number > 0 {
		want = append(want, strconv.Itoa(number))
	}
	if out := n.bare(want); out != nil {
		return out
	}
	best, out := -1, []guide.ID(nil)
	for i := range n.entries {
		score := n.entries[i].score(want, head)
		switch {
		case score < 0 || best >= 0 && score > best:
			continue
		case best < 0 || score < best:
			best, out = score, nil
		}
		if !slices.Contains(out, n.entries[i].id) {
			out = append(out, n.entries[i].id)
		}
	}
	if len(out) > most {
		return nil
	}
	return out
}

// bare finds what a single word can mean: the things whose name it ends, and
// where that is at most one also those whose name it begins. Nil when there is
// neither.
func (n *Names) bare(want []string) []guide.ID {
	if len(want) != 1 {
		return nil
	}
	var ends, begins []guide.ID
	for i := range n.entries {
		e := &n.entries[i]
		switch {
		case e.head == want[0] && !slices.Contains(ends, e.id):
			ends = append(ends, e.id)
		case e.words[0] == want[0] && !slices.Contains(begins, e.id):
			begins = append(begins, e.id)
		}
	}
	for _, id := range begins {
		if len(ends) > 1 {
			break
		}
		if !slices.Contains(ends, id) {
			ends = append(ends, id)
		}
	}
	if len(ends) > most {
		return nil
	}
	return ends
}

// What each difference between a name and what was said costs.
const (
	costExtra = 2   // a word that was not said
	costBegin = 1   // a word of which only the begin was said
	costHead  = 100 // another head: "brake-servo vacuum hose" for "servo"
	leastStem = 3   // letters of a begin
)

// score is the cost of taking a name for what was said; -1 does not fit.
func (e *entry) score(want []string, head string) int {
	cost := 0
	for _, w := range want {
		switch {
		case slices.Contains(e.words, w):
		case slices.ContainsFunc(e.words, func(h string) bool { return len(w) >= leastStem && strings.HasPrefix(h, w) }):
			cost += costBegin
		default:
			return -1
		}
	}
	if e.head != head {
		cost += costHead
	}
	return cost + costExtra*max(len(e.words)-len(want), 0)
}
