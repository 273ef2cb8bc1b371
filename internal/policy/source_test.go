package policy

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Sizes that code keeps to (habits of this code base, see ARCHITECTURE.md).
const (
	maxFileLines = 500 // of a file that is no test
	maxFuncLines = 60  // nine functions in ten
	hardFunc     = 120 // every function
	medianFunc   = 20  // half of all functions
)

// long names files and functions that may be longer, with the reason.
var long = map[string]string{}

// files returns every Go file of the module that git knows or would add.
func files(t *testing.T) []string {
	t.Helper()
	out, err := exec.Command("git", "-C", "../..", "ls-files", "--cached", "--others", "--exclude-standard", "*.go").Output()
	if err != nil {
		t.Fatalf("git ls-files: %v", err)
	}
	var names []string
	for _, f := range strings.Fields(string(out)) {
		if _, err := os.Stat(filepath.Join("../..", f)); err == nil {
			names = append(names, f)
		}
	}
	if len(names) < 30 {
		t.Fatalf("only %d Go files found", len(names))
	}
	return names
}

func TestSizes(t *testing.T) {
	var lengths []int
	over := 0
	for _, name := range files(t) {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		data, err := os.ReadFile(filepath.Join("../..", name))
		if err != nil {
			t.Fatal(err)
		}
		if n := bytes.Count(data, []byte("\n")); n > maxFileLines && long[name] == "" {
			t.Errorf("%s has %d lines; more than %d needs a reason in this test", name, n, maxFileLines)
		}
		fset := token.NewFileSet()
		f, err := parser.ParseFile(fset, name, data, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || fn.Body == nil {
				continue
			}
			n := fset.Position(fn.End()).Line - fset.Position(fn.Pos()).Line + 1
			lengths = append(lengths, n)
			if n > maxFuncLines {
				over++
			}
			if n > hardFunc && long[name+":"+fn.Name.Name] == "" {
				t.Errorf("%s: %s has %d lines; more than %d needs a reason in this test", name, fn.Name.Name, n, hardFunc)
			}
		}
	}
	slices.Sort(lengths)
	if m := lengths[len(lengths)/2]; m > medianFunc {
		t.Errorf("the median function has %d lines; keep it at %d", m, medianFunc)
	}
	if over*10 > len(lengths) {
		t.Errorf("%d of %d functions are longer than %d lines; keep it at one in ten", over, len(lengths), maxFuncLines)
	}
}

func TestEveryPackageExplainsItselfOnce(t *testing.T) {
	docs := map[string][]string{}
	seen := map[string]bool{}
	for _, name := range files(t) {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		dir := filepath.Dir(name)
		seen[dir] = true
		f, err := parser.ParseFile(token.NewFileSet(), filepath.Join("../..", name), nil, parser.ParseComments|parser.PackageClauseOnly)
		if err != nil {
			t.Fatal(err)
		}
		if f.Doc != nil && len(strings.TrimSpace(f.Doc.Text())) > 0 {
			docs[dir] = append(docs[dir], name)
			if text := f.Doc.Text(); len(strings.Fields(text)) < 20 && f.Name.Name != "main" {
				t.Errorf("%s: the package comment says too little to be a guide: %q", name, text)
			}
		}
	}
	for dir := range seen {
		if len(docs[dir]) != 1 {
			t.Errorf("package in %s has %d package comments (%s); exactly one", dir, len(docs[dir]), strings.Join(docs[dir], ", "))
		}
	}
}

func TestArchitectureNamesEveryPackage(t *testing.T) {
	text, err := os.ReadFile("../../ARCHITECTURE.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range packages(t) {
		name := strings.TrimPrefix(p.ImportPath, module+"/")
		if !bytes.Contains(text, []byte("`"+name+"`")) {
			t.Errorf("ARCHITECTURE.md does not name package `%s`", name)
		}
	}
}

// vague are names under which everything ends up.
var vague = []string{"util", "utils", "common", "helpers", "helper", "misc", "shared", "lib"}

func TestNoVaguePackages(t *testing.T) {
	for _, p := range packages(t) {
		if last := p.ImportPath[strings.LastIndex(p.ImportPath, "/")+1:]; slices.Contains(vague, last) {
			t.Errorf("%s: a package is named for what it knows", p.ImportPath)
		}
	}
}

func TestNoSkippedTests(t *testing.T) {
	skip := []byte("t." + "Skip")
	for _, name := range files(t) {
		data, err := os.ReadFile(filepath.Join("../..", name))
		if err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(data, skip) {
			t.Errorf("%s skips a test; a test that cannot run must fail and say what is missing", name)
		}
	}
}
