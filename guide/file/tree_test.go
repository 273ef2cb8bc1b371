package file

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"elbowroom/guide"
	"elbowroom/internal/corpus"
	"elbowroom/span"
)

// samples returns the text of every sample that can be read: ours and the
// demonstration guide.
func samples(t testing.TB) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	for _, pattern := range []string{"testdata/base.yaml", frozen + "/*.yaml", demoGuide + "/*.yaml"} {
		for _, name := range corpus.Files(t, pattern) {
			out[name] = corpus.Read(t, name)
		}
	}
	return out
}

const demoGuide = "../../demo/guide"

type failer interface {
	Helper()
	Errorf(string, ...any)
	Fatalf(string, ...any)
}

// placesHold checks that every key and every text stands where its node says.
func placesHold(t failer, n *node, lines []string) {
	t.Helper()
	for _, f := range n.fields {
		if rest := from(lines, f.pos); !strings.HasPrefix(strings.TrimLeft(rest, `"'`), strings.SplitN(f.name, "\n", 2)[0]) && !strings.HasPrefix(rest, `"`) {
			t.Errorf("key %q is not at %v: %q", f.name, f.pos, rest)
		}
		placesHold(t, f.value, lines)
	}
	for _, it := range n.items {
		placesHold(t, it, lines)
	}
	if n.kind != scalar {
		return
	}
	rest := from(lines, n.pos)
	want := map[style]string{single: "'", double: `"`, plain: strings.Fields(n.text + " x")[0]}[n.style]
	if n.style == block {
		if !strings.HasPrefix(rest, "|") && !strings.HasPrefix(rest, ">") {
			t.Errorf("block %q is not at %v: %q", n.text, n.pos, rest)
		}
		lettersHold(t, n, lines)
		return
	}
	if !strings.HasPrefix(rest, want) {
		t.Errorf("text %q is not at %v: %q", n.text, n.pos, rest)
	}
	lettersHold(t, n, lines)
}

// lettersHold checks the place of every letter of a text.
func lettersHold(t failer, n *node, lines []string) {
	t.Helper()
	for i, c := range n.text {
		if strings.ContainsRune(" \n'\"\\\u00a0", c) {
			continue
		}
		if rest := from(lines, n.at(i)); !strings.HasPrefix(rest, string(c)) {
			t.Errorf("letter %q of %q is not at %v: %q", c, n.text, n.at(i), rest)
			return
		}
	}
}

// from returns the text of the file from a place to the end of its line.
func from(lines []string, p span.Pos) string {
	if p.Line < 1 || p.Line > len(lines) {
		return ""
	}
	s := lines[p.Line-1]
	for range p.Col - 1 {
		_, size := utf8.DecodeRuneInString(s)
		s = s[size:]
	}
	return s
}

// same reports the first difference between two trees.
func same(a, b *node, at string) string {
	if a.kind != b.kind || a.text != b.text || len(a.fields) != len(b.fields) || len(a.items) != len(b.items) {
		return at + ": " + a.kind.String() + " " + a.text + " and " + b.kind.String() + " " + b.text
	}
	for i := range a.fields {
		if a.fields[i].name != b.fields[i].name {
			return at + ": keys " + a.fields[i].name + " and " + b.fields[i].name
		}
		if d := same(a.fields[i].value, b.fields[i].value, at+"."+a.fields[i].name); d != "" {
			return d
		}
	}
	for i := range a.items {
		if d := same(a.items[i], b.items[i], at+"[]"); d != "" {
			return d
		}
	}
	return ""
}

// treeHolds parses a text entry by entry, as Read does, and as a whole, as any
// other program would, and compares; then it checks the places.
func treeHolds(t failer, name string, text []byte) {
	t.Helper()
	p := parse(name, text)
	if len(p.list) > 0 {
		t.Fatalf("%s: %v", name, p.list)
	}
	s := scan(name, text)
	b := builder{src: s.src}
	whole := b.parse(strings.Join(s.src.lines, "\n"))
	if whole == nil || len(b.list) > 0 {
		t.Fatalf("%s: as a whole: %v", name, b.list)
	}
	if d := same(p.root, whole, name); d != "" {
		t.Errorf("read entry by entry and as a whole differ: %s", d)
	}
	placesHold(t, p.root, s.src.lines)
}

func TestTreesOfSamples(t *testing.T) {
	for name, text := range samples(t) {
		treeHolds(t, name, text)
	}
}

func TestDemoReads(t *testing.T) {
	g, _, list := Read(os.DirFS("../.."), "demo/guide")
	if g == nil || len(list) > 0 {
		t.Fatal(list)
	}
	if len(g.Items) < 100 || len(g.Checks) < 50 {
		t.Errorf("only %d items and %d checks", len(g.Items), len(g.Checks))
	}
}

// TestLettersOfAFile reads the same guide in the spellings that editors and
// systems leave behind.
func TestLettersOfAFile(t *testing.T) {
	const text = "format: 1\nguide: x\nabout: |\n  first\n  second\nitems:\n  X1: {name: Bolt}\n"
	for name, c := range map[string]struct {
		text string
		rule string // of the finding; empty when it reads
		at   string
	}{
		"as it is":                  {text, "", ""},
		"lines that end as in DOS":  {strings.ReplaceAll(text, "\n", "\r\n"), "", ""},
		"with a byte order mark":    {"\ufeff" + text, "", ""},
		"without the last line end": {strings.TrimSuffix(text, "\n"), "", ""},
		"with a document marker":    {"---\n" + text, "", ""},
		"not UTF-8":                 {strings.Replace(text, "Bolt", "B\xf6lt", 1), "encoding", "g.yaml:7:15"},
		"UTF-16":                    {"\xff\xfef\x00o\x00", "encoding", "g.yaml:1:1"},
		"a zero byte":               {strings.Replace(text, "Bolt", "B\x00lt", 1), "character", "g.yaml:7:15"},
		"a lone carriage return":    {strings.Replace(text, "Bolt", "B\rlt", 1), "character", "g.yaml:7:15"},
		"a line separator":          {strings.Replace(text, "Bolt", "B\u2028lt", 1), "character", "g.yaml:7:15"},
	} {
		g, _, list := Read(fstest.MapFS{"g.yaml": {Data: []byte(c.text)}}, "g.yaml")
		switch {
		case c.rule == "" && (g == nil || g.Items[0].Name != "Bolt" || !strings.HasPrefix(g.About, "first\nsecond")):
			t.Errorf("%s: %v", name, list)
		case c.rule != "" && (g != nil || len(list) != 1 || list[0].Rule != c.rule || list[0].Pos.String() != c.at):
			t.Errorf("%s: got %v, want %s at %s", name, list, c.rule, c.at)
		}
	}
}

// otherDocument is another kind of document than a guide, such as a workshop.
type otherDocument struct {
	Name  string     `yaml:"name"`
	Rate  float64    `yaml:"rate,omitempty"`
	Tools []owned    `yaml:"tools,omitempty"`
	Open  []guide.ID `yaml:"open,omitempty"`
}

type owned struct {
	ID  guide.ID `yaml:",key"`
	Due string   `yaml:"due,omitempty"`
	Had bool     `yaml:"had,omitempty"`
}

func TestDecodeOtherDocuments(t *testing.T) {
	w := otherDocument{Name: "before"}
	places, list := Decode("w.yaml", []byte("name: Marrow Lane\nrate: 84\ntools:\n  wrench: 2026-05-01\n  mirror: {had: true}\nopen: a, b\n"), &w)
	if len(list) > 0 || w.Name != "Marrow Lane" || len(w.Tools) != 2 || w.Tools[0].Due != "2026-05-01" || len(w.Open) != 2 {
		t.Fatalf("%+v, %v", w, list)
	}
	if got := places.At("tools.mirror").String(); got != "w.yaml:5:3" {
		t.Errorf("mirror is at %s", got)
	}
	if back := (otherDocument{}); true {
		if _, list := Decode("w.yaml", Encode(w), &back); len(list) > 0 || back.Tools[1] != w.Tools[1] {
			t.Errorf("printed and read again %+v, %v", back, list)
		}
	}
	_, list = Decode("w.yaml", []byte("nmae: x\ntools:\n  wrench: {had: yes}\n"), &w)
	if len(list) != 3 || w.Name != "Marrow Lane" {
		t.Errorf("a faulty document must change nothing and show every fault: %+v\n%v", w, list)
	}
	defer func() {
		if recover() == nil {
			t.Error("Decode into something else than a pointer to a struct is a mistake of the program")
		}
	}()
	Decode("w.yaml", nil, w)
}
