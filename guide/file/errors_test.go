package file

import (
	"strings"
	"testing"
	"testing/fstest"

	"elbowroom/internal/corpus"
	"elbowroom/span"
)

// TestErrors shows every message as a person sees it. The command "guide"
// reads its input as one more file of the guide in base.yaml, "files" as
// several files, "alone" as the only file.
func TestErrors(t *testing.T) {
	base := string(corpus.Read(t, "testdata/base.yaml"))
	corpus.Run(t, "testdata/errors.txt", func(t *testing.T, c corpus.Case) string {
		g, _, list := Read(filesOf(t, base, c), ".")
		if g != nil || !list.Has(span.Error) {
			t.Fatalf("line %d: accepted", c.Line)
		}
		for _, f := range list {
			if f.Pos.File == "" || f.Rule == "" || f.Says == "" {
				t.Errorf("line %d: a finding without place, rule or message: %+v", c.Line, f)
			}
		}
		return list.Error()
	})
}

// filesOf puts the input of a case into files.
func filesOf(t *testing.T, base string, c corpus.Case) fstest.MapFS {
	t.Helper()
	files := fstest.MapFS{}
	add := func(name, text string) { files[name] = &fstest.MapFile{Data: []byte(text)} }
	if c.Command != "alone" && !strings.Contains(c.Input, "format:") {
		add("base.yaml", base)
	}
	switch c.Command {
	case "guide", "alone":
		add("g.yaml", c.Input)
	case "files":
		for _, part := range strings.Split("\n"+c.Input, "\n== ")[1:] {
			name, text, _ := strings.Cut(part, "\n")
			add(name, text)
		}
	default:
		t.Fatalf("unknown command %q", c.Command)
	}
	return files
}

func TestBaseIsGood(t *testing.T) {
	base := corpus.Read(t, "testdata/base.yaml")
	if g, _, list := Read(fstest.MapFS{"g.yaml": {Data: base}}, "g.yaml"); g == nil || len(list) > 0 {
		t.Fatal(list)
	}
}
