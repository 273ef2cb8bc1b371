package capture

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"elbowroom/capture/lexicon"
	"elbowroom/capture/transcript"
	"elbowroom/internal/corpus"
)

// expected is what a person who read a narration says it holds: the text
// beside it, one fact a line,
//
//	0:33 knock sensor: torque 20 N·m; hearsay Tomasz [off: top cover]
//
// a question "? item: gap", a contradiction "! 0:50 1:12 item: kind", and a
// passage that must be rejected "x 4:27". Words in quotes need only be among
// those that were taken.
type expected struct {
	facts     []want
	questions []string
	conflicts []string
	garbled   []string
}

type want struct {
	line  int
	clock string
	item  string
	kind  Kind
	rest  string
	quote string
	off   string
	text  string
}

func readExpected(t testing.TB, name string) expected {
	t.Helper()
	var e expected
	for i, line := range strings.Split(string(corpus.Read(t, name)), "\n") {
		line = strings.TrimSpace(line)
		switch {
		case line == "" || line[0] == '#':
		case line[0] == '?':
			e.questions = append(e.questions, strings.TrimSpace(line[1:]))
		case line[0] == '!':
			e.conflicts = append(e.conflicts, strings.TrimSpace(line[1:]))
		case line[0] == 'x':
			e.garbled = append(e.garbled, strings.TrimSpace(line[1:]))
		default:
			e.facts = append(e.facts, readWant(t, name, i+1, line))
		}
	}
	if len(e.facts) == 0 {
		t.Fatalf("%s: no fact is expected", name)
	}
	return e
}

func readWant(t testing.TB, name string, n int, line string) want {
	w := want{line: n, text: line}
	clock, rest, ok := strings.Cut(line, " ")
	item, says, ok2 := strings.Cut(rest, ": ")
	if !ok || !ok2 {
		t.Fatalf("%s:%d: not a fact: %s", name, n, line)
	}
	if says2, off, ok := strings.Cut(says, " [off: "); ok {
		says, w.off = says2, strings.TrimSuffix(off, "]")
	}
	kind, value, _ := strings.Cut(says, " ")
	w.clock, w.item, w.kind, w.rest = clock, lexicon.Default().Name(lexicon.Fold(item)), Kind(kind), value
	if !slices.Contains(Kinds, w.kind) {
		t.Fatalf("%s:%d: no such kind: %s", name, n, kind)
	}
	if strings.HasPrefix(value, `"`) {
		w.quote = lexicon.Fold(strings.Trim(strings.SplitN(value, `"`, 3)[1], `"`))
		w.rest = strings.TrimSpace(strings.SplitN(value, `"`, 3)[2])
	}
	return w
}

// fits reports whether a fact says what is expected.
func (w *want) fits(f *Fact) bool {
	if w.kind != f.Kind || w.item != lexicon.Default().Name(lexicon.Fold(f.Item.Name)) || w.clock != clockOf(f.At) {
		return false
	}
	says := strings.TrimPrefix(f.Statement(), string(f.Kind)+" ")
	if w.quote == "" {
		return strings.EqualFold(strings.ReplaceAll(w.rest, "-", " "), strings.ReplaceAll(says, "-", " "))
	}
	have := lexicon.Fold(strings.ReplaceAll(f.Value.Text, ",", ""))
	quote := strings.ReplaceAll(w.quote, ",", "")
	more := strings.TrimPrefix(strings.TrimPrefix(says, f.Value.Text), " ")
	if more != w.rest {
		return false
	}
	return strings.Contains(have, quote) || strings.Contains(quote, have) && len(strings.Fields(have))*2 >= len(strings.Fields(quote))
}

func clockOf(m Moment) string {
	if m.Timed {
		return transcript.Clock(m.Start)
	}
	return fmt.Sprintf("%d:%02d", m.Pos.Line/60, m.Pos.Line%60)
}

// score counts what was right.
type score struct{ right, found, wanted int }

func (s score) precision() float64 { return share(s.right, s.found) }
func (s score) recall() float64    { return share(s.right, s.wanted) }
func (s score) f1() float64        { return share(2*s.right, s.found+s.wanted) }

func share(a, b int) float64 {
	if b == 0 {
		return 1
	}
	return float64(a) / float64(b)
}

// compare scores a report against what is expected and says every difference.
func compare(e expected, r *Report) (kinds map[Kind]score, said []string) {
	kinds = map[Kind]score{}
	taken := make([]bool, len(r.Facts))
	for i := range e.facts {
		w := &e.facts[i]
		s := kinds[w.kind]
		s.wanted++
		hit := -1
		for k := range r.Facts {
			if !taken[k] && w.fits(&r.Facts[k]) {
				hit = k
				break
			}
		}
		switch {
		case hit < 0:
			said = append(said, "missing  "+w.text)
		default:
			taken[hit] = true
			s.right++
			if off := strings.Join(r.Facts[hit].In, ", "); w.off != "" && off != w.off {
				said = append(said, fmt.Sprintf("state    %s: off is %s", w.text, off))
			}
		}
		kinds[w.kind] = s
	}
	for k := range r.Facts {
		f := &r.Facts[k]
		s := kinds[f.Kind]
		s.found++
		kinds[f.Kind] = s
		if !taken[k] {
			said = append(said, fmt.Sprintf("extra    %s %s", clockOf(f.At), f))
		}
	}
	return kinds, append(said, compareOpen(e, r)...)
}

// compareOpen says which questions, contradictions and rejections are missing.
func compareOpen(e expected, r *Report) (said []string) {
	for _, q := range e.questions {
		item, gap, _ := strings.Cut(q, ": ")
		ok := slices.ContainsFunc(r.Questions, func(q Question) bool {
			return strings.HasSuffix(lexicon.Fold(q.Item), lexicon.Fold(item)) && q.Gap == gap
		})
		if !ok {
			said = append(said, "unasked  "+q)
		}
	}
	for _, c := range e.conflicts {
		ok := slices.ContainsFunc(r.Conflicts, func(x Conflict) bool {
			a, b := r.Fact(x.A), r.Fact(x.B)
			kind := b.Kind
			if a.Kind != Was {
				kind = a.Kind
			}
			return c == fmt.Sprintf("%s %s %s: %s", clockOf(a.At), clockOf(b.At), a.Item.Name, kind)
		})
		if !ok {
			said = append(said, "unlisted "+c)
		}
	}
	for _, x := range e.garbled {
		if !slices.ContainsFunc(r.Garbled, func(p Passage) bool { return clockOf(p.At) == x }) {
			said = append(said, "believed "+x)
		}
	}
	for _, p := range r.Garbled {
		if !slices.Contains(e.garbled, clockOf(p.At)) {
			said = append(said, fmt.Sprintf("rejected %s %s", clockOf(p.At), p.At.Said))
		}
	}
	return said
}

func listenTo(t testing.TB, name string) *Report {
	t.Helper()
	tr, list := transcript.Read(filepath.Base(name), corpus.Read(t, name))
	if tr == nil {
		t.Fatal(list)
	}
	return Listen(tr, Options{})
}

// narrations returns the narrations of a set; each must have its facts.
func narrations(t testing.TB, set string) []string {
	t.Helper()
	var out []string
	for _, f := range corpus.Files(t, filepath.Join("testdata", set, "*.facts")) {
		stem := strings.TrimSuffix(f, ".facts")
		found := ""
		for _, ext := range []string{".txt", ".vtt", ".srt", ".csv"} {
			if m, _ := filepath.Glob(stem + ext); len(m) > 0 {
				found = m[0]
			}
		}
		if found == "" {
			t.Fatalf("%s has no narration beside it", f)
		}
		out = append(out, found)
	}
	return out
}
