package file

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"elbowroom/guide"
	"elbowroom/internal/corpus"
)

// again reads a guide that was printed.
func again(t interface {
	Helper()
	Fatalf(string, ...any)
}, files map[string][]byte,
) *guide.Guide {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, data := range files {
		fsys[name] = &fstest.MapFile{Data: data}
	}
	g, _, list := Read(fsys, ".")
	if g == nil || len(list) > 0 {
		t.Fatalf("what was printed cannot be read:\n%v\n%s", list, files["g.yaml"])
	}
	return g
}

func TestSamplesReadBack(t *testing.T) {
	for _, name := range []string{"testdata/base.yaml", frozen} {
		g, _, list := Read(os.DirFS("."), name)
		if g == nil {
			t.Fatal(list)
		}
		once := Print(g)
		g2 := again(t, map[string][]byte{"g.yaml": once})
		if diff := cmp.Diff(g, g2); diff != "" {
			t.Errorf("%s: read, printed and read again differs:\n%s\n%s", name, diff, once)
		}
		if twice := Print(g2); string(twice) != string(once) {
			t.Errorf("%s: printing is not stable:\n%s", name, cmp.Diff(string(once), string(twice)))
		}
		if diff := cmp.Diff(g, again(t, PrintFolder(g))); diff != "" {
			t.Errorf("%s: printed as a folder and read again differs:\n%s", name, diff)
		}
	}
}

// TestPrintedForm shows how the frozen sample looks when it is printed.
func TestPrintedForm(t *testing.T) {
	g, _, list := Read(os.DirFS("."), frozen)
	if g == nil {
		t.Fatal(list)
	}
	got := Print(g)
	golden := "testdata/printed.golden"
	if corpus.Rewriting() {
		if err := os.WriteFile(golden, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if diff := cmp.Diff(string(corpus.Read(t, golden)), string(got)); diff != "" {
		t.Errorf("the frozen sample prints differently:\n%s", diff)
	}
	for i, line := range strings.Split(string(got), "\n") {
		if width(line) > Width {
			t.Errorf("line %d has %d columns: %s", i+1, width(line), line)
		}
	}
}
