package corpus

import (
	"strings"
	"testing"
)

// silent is a testing.TB that notes failure instead of failing.
type silent struct {
	testing.TB
	failed bool
}

func (s *silent) Helper() {}

func (s *silent) Fatal(...any) { s.failed = true; panic(s) }

func (s *silent) Fatalf(string, ...any) { s.failed = true; panic(s) }

func fails(f func(t testing.TB)) (failed bool) {
	s := &silent{}
	defer func() { _ = recover(); failed = s.failed }()
	f(s)
	return s.failed
}

func TestNothingToDoFails(t *testing.T) {
	if !fails(func(t testing.TB) { Files(t, "testdata/no such file*") }) {
		t.Error("a pattern that matches nothing passed")
	}
	if !fails(func(t testing.TB) { Read(t, "testdata/empty.txt") }) {
		t.Error("an empty file passed")
	}
	if !fails(func(t testing.TB) { Read(t, "testdata/missing.txt") }) {
		t.Error("a missing file passed")
	}
	if fails(func(t testing.TB) { Files(t, "*.go") }) {
		t.Error("a pattern that matches failed")
	}
}

func TestParseRefuses(t *testing.T) {
	for name, text := range map[string]string{
		"no case at all":         "\n\n",
		"a case without reason":  "read\nx\n----\ny\n",
		"a reason without case":  "# why\n\n",
		"a case without dashes":  "# why\nread\nx\n",
		"a comment that is void": "#\nread\n----\n",
	} {
		if cases, err := Parse(text); err == nil {
			t.Errorf("%s: read as %+v", name, cases)
		}
	}
}

func TestParse(t *testing.T) {
	text := "# Reason of\n# two lines.\nread one file\na\n\nb\n----\nout\n\n# Second.\nread\n----\nx\ny\n"
	cases, err := Parse(text)
	if err != nil || len(cases) != 2 {
		t.Fatalf("%+v, %v", cases, err)
	}
	want := Case{Line: 3, Reason: "Reason of two lines.", Command: "read", Args: "one file", Input: "a\n\nb", Want: "out"}
	if cases[0] != want || cases[1].Want != "x\ny" || cases[1].Input != "" {
		t.Errorf("got %+v", cases)
	}
	again, err := Parse(cases[0].String() + "\n" + cases[1].String())
	if err != nil || len(again) != 2 || again[1].Input != cases[1].Input || again[0].Want != "out" {
		t.Errorf("printed cases read back as %+v, %v", again, err)
	}
}

func TestRun(t *testing.T) {
	ran := 0
	Run(t, "testdata/upper.txt", func(t *testing.T, c Case) string {
		ran++
		return strings.ToUpper(c.Input)
	})
	if ran != 2 {
		t.Errorf("%d cases ran, want 2", ran)
	}
}
