package span

import (
	"errors"
	"slices"
	"testing"
)

func TestPosString(t *testing.T) {
	for _, c := range []struct {
		pos  Pos
		want string
	}{
		{Pos{"items.yaml", 12, 7}, "items.yaml:12:7"},
		{Pos{"", 12, 7}, "12:7"},
		{Pos{"items.yaml", 0, 0}, "items.yaml"},
		{Pos{}, ""},
	} {
		if got := c.pos.String(); got != c.want {
			t.Errorf("%+v prints %q, want %q", c.pos, got, c.want)
		}
	}
}

func TestFindingSaysWhatWhereAndWhatToDo(t *testing.T) {
	f := Finding{
		Pos: Pos{"a.yaml", 3, 5}, Severity: Warning, Rule: "r", Says: "unknown item", Text: "PM02",
		Expect: "an item", Nearest: []string{"PN02", "PN01"}, Do: "correct it",
	}
	const want = `a.yaml:3:5: warning: unknown item: "PM02"; expected an item; nearest known: PN02, PN01; correct it`
	if got := f.String(); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if got := (Finding{Says: "nothing"}).String(); got != "error: nothing" {
		t.Errorf("a bare finding prints %q", got)
	}
}

func TestListIsSortedByPlace(t *testing.T) {
	at := func(file string, line, col int, s Severity) Finding {
		return Finding{Pos: Pos{file, line, col}, Severity: s, Rule: "r"}
	}
	l := List{at("b", 1, 1, Error), at("a", 2, 1, Advice), at("a", 2, 1, Error), at("a", 1, 9, Error), at("a", 1, 2, Error)}
	l.Sort()
	want := List{at("a", 1, 2, Error), at("a", 1, 9, Error), at("a", 2, 1, Error), at("a", 2, 1, Advice), at("b", 1, 1, Error)}
	for i := range want {
		if l[i].Pos != want[i].Pos || l[i].Severity != want[i].Severity {
			t.Fatalf("sorted as %v", l)
		}
	}
}

func TestListHas(t *testing.T) {
	l := List{{Severity: Advice}, {Severity: Warning}}
	if l.Has(Error) || !l.Has(Warning) || !l.Has(Advice) || (List{}).Has(Advice) {
		t.Error("Has must report the given severity or a graver one, and nothing for an empty list")
	}
	var err error = l
	if got := (List{}); !errors.As(err, &got) || len(got) != 2 {
		t.Error("a list is an error that can be taken apart")
	}
}

func TestSeverityText(t *testing.T) {
	for s, want := range map[Severity]string{Error: "error", Warning: "warning", Advice: "advice"} {
		if b, err := s.MarshalText(); err != nil || string(b) != want {
			t.Errorf("%d is %q, %v", s, b, err)
		}
	}
}

func TestNearest(t *testing.T) {
	known := []string{"PN01", "PN02", "SE13", "engine", "coolant", "needs", "name", "Zündung"}
	for _, c := range []struct {
		name   string
		want   []string
		reason string
	}{
		{"PM02", []string{"PN02"}, "one letter differs"},
		{"PN20", []string{"PN02"}, "two neighbours swapped count once"},
		{"egnine", []string{"engine"}, "a swap in a long word"},
		{"colant", []string{"coolant"}, "a letter is missing"},
		{"nam", []string{"name"}, "a short word may differ in one letter"},
		{"ENGINE", []string{"engine"}, "capitals do not count"},
		{"zundung", []string{"Zündung"}, "a letter without its dots"},
		{"elephant", nil, "nothing is near"},
		{"", nil, "nothing was written"},
		{"x", nil, "one letter, and no name is as short"},
	} {
		if got := Nearest(c.name, known); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q gives %v, want %v", c.reason, c.name, got, c.want)
		}
	}
	long := make([]byte, 200)
	for i := range long {
		long[i] = 'a'
	}
	if got := Nearest(string(long), []string{string(long)}); got != nil {
		t.Errorf("a name of 200 letters is not compared, got %v", got)
	}
	if got := Nearest("AA1", []string{"AA2", "AA3", "AA4", "AA5", "AA2"}); !slices.Equal(got, []string{"AA2", "AA3", "AA4"}) {
		t.Errorf("at most three, each once, in order: %v", got)
	}
}

// FuzzNearest compares with the plain definition of the distance.
func FuzzNearest(f *testing.F) {
	f.Add("PM02", "PN02")
	f.Add("egnine", "engine")
	f.Add("ab", "ba")
	f.Fuzz(func(t *testing.T, a, b string) {
		s, t1 := []rune(a), []rune(b)
		if len(s) > 12 || len(t1) > 12 {
			return
		}
		want := plainDistance(s, t1)
		for allowed := range 4 {
			got := distance(s, t1, allowed)
			if got != want && (got <= allowed || want <= allowed) {
				t.Fatalf("distance of %q and %q with %d allowed is %d, want %d", a, b, allowed, got, want)
			}
		}
		Nearest(a, []string{b})
	})
}

// plainDistance is the definition of the optimal string alignment distance,
// with all rows kept.
func plainDistance(s, t []rune) int {
	d := make([][]int, len(s)+1)
	for i := range d {
		d[i] = make([]int, len(t)+1)
		d[i][0] = i
	}
	for j := range t {
		d[0][j+1] = j + 1
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			cost := 1
			if s[i-1] == t[j-1] {
				cost = 0
			}
			d[i][j] = min(d[i-1][j]+1, d[i][j-1]+1, d[i-1][j-1]+cost)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(s)][len(t)]
}
