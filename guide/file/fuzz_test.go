package file

import (
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"

	"elbowroom/internal/corpus"
)

// slowest is far longer than any file of the fuzzer may take.
const slowest = 20 * time.Second

// FuzzRead reads any text as a file of a guide. It must end soon and without
// panic, point at places inside the file, and give back what it accepts after
// printing.
func FuzzRead(f *testing.F) {
	f.Add(string(corpus.Read(f, "testdata/base.yaml")))
	for _, name := range corpus.Files(f, frozen+"/*.yaml") {
		f.Add(string(corpus.Read(f, name)))
	}
	cases, err := corpus.Parse(string(corpus.Read(f, "testdata/errors.txt")))
	if err != nil {
		f.Fatal(err)
	}
	for _, c := range cases {
		f.Add("format: 1\nguide: x\n" + c.Input)
	}
	f.Fuzz(func(t *testing.T, text string) {
		began := time.Now()
		g, places, list := Read(fstest.MapFS{"g.yaml": {Data: []byte(text)}}, "g.yaml")
		if took := time.Since(began); took > slowest {
			t.Fatalf("reading took %v", took)
		}
		lines := strings.Count(text, "\n") + 1
		for _, x := range list {
			if x.Pos.File != "g.yaml" || x.Pos.Line < 0 || x.Pos.Line > lines || x.Says == "" {
				t.Fatalf("a finding outside the file: %+v", x)
			}
		}
		if g == nil {
			if len(list) == 0 {
				t.Fatal("neither a guide nor a finding")
			}
			return
		}
		_ = places.At("items.PN01.ways[0]")
		treeHolds(t, "g.yaml", []byte(text))
		once := Print(g)
		g2 := again(t, map[string][]byte{"g.yaml": once})
		if diff := cmp.Diff(g, g2); diff != "" {
			t.Fatalf("printed and read again differs:\n%s\n%s", diff, once)
		}
		if twice := Print(g2); string(twice) != string(once) {
			t.Fatalf("printing is not stable:\n%s", cmp.Diff(string(once), string(twice)))
		}
	})
}

// TestHostileFilesEndSoon reads files made to cost time or memory.
func TestHostileFilesEndSoon(t *testing.T) {
	for name, text := range map[string]string{
		"brackets never closed":       "items: " + strings.Repeat("[", 20_000),
		"braces never closed":         "items: " + strings.Repeat("{a: ", 20_000),
		"brackets over many lines":    "items:\n" + strings.Repeat("  - [\n", 20_000),
		"dashes":                      "items: \n  " + strings.Repeat("- ", 20_000),
		"questions":                   strings.Repeat("? ", 20_000),
		"deeper and deeper":           deeper(1200),
		"one key again and again":     strings.Repeat("a: 1\n", 20_000),
		"one entry without end":       "about: \"" + strings.Repeat("long ", 300_000),
		"many small errors":           "items:\n" + strings.Repeat("  1: {}\n", 10_000),
		"anchors":                     "a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\nd: [*c, *c]\n",
		"quotes":                      "items: " + strings.Repeat("'", 50_001),
		"colons":                      strings.Repeat(":", 50_000),
		"one long line of an entry":   "items: {X1: {name: x, ways: off" + strings.Repeat("; a", 50_000) + "}}",
		"one line of many words":      "about: [" + strings.Repeat("é, ", 100_000) + "x]",
		"lines of many wrong texts":   "items:\n  X1: {name: x, ways: [" + strings.Repeat("é; a; b; c,\n    ", 5_000) + "]}",
		"names that resemble nothing": "items: {X1: {name: x, ways: \"off; 1/1 min; needs " + strings.Repeat("AA, ", 20_000) + "B\"}}",
	} {
		began := time.Now()
		g, _, list := Read(fstest.MapFS{"g.yaml": {Data: []byte("format: 1\nguide: x\n" + text)}}, "g.yaml")
		if g != nil || len(list) == 0 {
			t.Errorf("%s: accepted", name)
		}
		if took := time.Since(began); took > slowest {
			t.Errorf("%s: took %v", name, took)
		} else {
			t.Logf("%s: %v, %d findings", name, took, len(list))
		}
	}
}

// deeper nests n mappings by indentation.
func deeper(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.String()
}

// TestAllNamesUnknown reads a large guide in which every name is unknown.
func TestAllNamesUnknown(t *testing.T) {
	began := time.Now()
	fsys := large(2000)
	text := strings.ReplaceAll(string(fsys["g.yaml"].Data), "needs IT", "needs ITX")
	g, _, list := Read(fstest.MapFS{"g.yaml": {Data: []byte(text)}}, ".")
	if g != nil || len(list) != MaxFindings+1 || len(list[0].Nearest) == 0 {
		t.Errorf("got %d findings, the first %v", len(list), list[0])
	}
	if took := time.Since(began); took > slowest {
		t.Errorf("took %v", took)
	}
}

func TestTooLargeFilesAreNotParsed(t *testing.T) {
	fsys := fstest.MapFS{"g.yaml": {Data: []byte("format: 1\nguide: x\n" + strings.Repeat("# more\n", MaxFileSize/7))}}
	if g, _, list := Read(fsys, "."); g != nil || len(list) != 1 || list[0].Rule != "file-size" {
		t.Errorf("got %v, %v", g, list)
	}
}
