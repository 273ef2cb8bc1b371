package policy

import (
	"encoding/json"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// listed is what the go command says of one package.
type listed struct {
	ImportPath  string
	Dir         string
	Imports     []string
	TestImports []string
	Deps        []string
	Standard    bool
	GoFiles     []string
}

const module = "elbowroom"

// packages returns every package of the module, ours only.
func packages(t *testing.T) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Dir,Imports,TestImports,Deps,Standard,GoFiles", module+"/...")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	dec := json.NewDecoder(strings.NewReader(string(out)))
	for dec.More() {
		var p listed
		if err := dec.Decode(&p); err != nil {
			t.Fatalf("go list: %v", err)
		}
		all = append(all, p)
	}
	if len(all) < 10 {
		t.Fatalf("only %d packages found; the rules below would check nothing", len(all))
	}
	return all
}

// rule forbids imports: a package under From must not reach a package under
// any of Not, directly or through others.
type rule struct {
	From   string
	Not    []string
	Reason string
}

// pure lists what no engine may touch: the world outside its arguments.
var pure = []string{"os", "net", "net/http", "log", "log/slog", "math/rand", "math/rand/v2", "time/tzdata", "os/exec"}

var rules = []rule{
	{"quantity", []string{"elbowroom"}, "a leaf: units know nothing of engines"},
	{"money", []string{"elbowroom"}, "a leaf"},
	{"cite", []string{"elbowroom"}, "a leaf"},
	{"span", []string{"elbowroom"}, "a leaf"},
	{"guide", []string{"elbowroom/plan", "elbowroom/access", "elbowroom/app", "elbowroom/bay", "elbowroom/internal"}, "the vocabulary knows no engine and no shell"},
	{"bay", []string{"elbowroom/access", "elbowroom/app", "elbowroom/internal"}, "shapes know no planner and no shell"},
	{"joint", []string{"elbowroom/access", "elbowroom/app", "elbowroom/internal"}, "joints know no planner and no shell"},
	{"plan", []string{"elbowroom/access", "elbowroom/app", "elbowroom/internal"}, "a plan is data; its checker must not lean on its maker"},
	{"plan/audit", []string{"elbowroom/access", "elbowroom/app", "elbowroom/internal"}, "the independent checker never sees the planner"},
	{"internal/oracle", []string{"elbowroom/access", "elbowroom/app"}, "brute force must not share the planner's mistakes"},
	{"access", []string{"elbowroom/app", "elbowroom/plan/audit", "elbowroom/internal"}, "the planner never sees its checker or a shell"},
	{"access/andor", []string{"elbowroom/guide", "elbowroom/plan", "elbowroom/app"}, "a general engine: it knows operations and facts only"},
	{"workshop", []string{"elbowroom/access", "elbowroom/app", "elbowroom/internal"}, "data"},
	{"app", []string{"elbowroom/internal/cli", "elbowroom/internal/web"}, "use cases know no shell"},
	{"internal/cli", []string{"elbowroom/access", "elbowroom/plan/audit"}, "a shell goes through app"},
	{"internal/web", []string{"elbowroom/internal/cli"}, "shells never import each other"},
}

// engines must not import what pure lists, directly; what the standard
// library does behind fmt is not their business.
var engines = []string{"quantity", "money", "cite", "span", "guide", "guide/vet", "bay", "joint", "plan", "plan/audit", "access", "access/andor"}

func TestImportRules(t *testing.T) {
	all := packages(t)
	for _, r := range rules {
		found := false
		for _, p := range all {
			if p.ImportPath != module+"/"+r.From {
				continue
			}
			found = true
			for _, dep := range p.Deps {
				for _, not := range r.Not {
					if (dep == not || strings.HasPrefix(dep, not+"/")) && dep != p.ImportPath {
						t.Errorf("%s reaches %s: %s", p.ImportPath, dep, r.Reason)
					}
				}
			}
		}
		if !found {
			t.Errorf("no package %s: the rule about it checks nothing", r.From)
		}
	}
}

func TestEnginesArePure(t *testing.T) {
	all := packages(t)
	for _, name := range engines {
		i := slices.IndexFunc(all, func(p listed) bool { return p.ImportPath == module+"/"+name })
		if i < 0 {
			t.Errorf("no engine %s", name)
			continue
		}
		for _, imp := range all[i].Imports {
			if slices.Contains(pure, imp) {
				t.Errorf("engine %s imports %s: same input must give the same output, whatever the world outside", name, imp)
			}
		}
	}
}

func TestCommandIsWiringOnly(t *testing.T) {
	for _, p := range packages(t) {
		if p.ImportPath == module+"/cmd/elbowroom" && len(p.GoFiles) > 2 {
			t.Errorf("%s has %d files; it only wires", p.ImportPath, len(p.GoFiles))
		}
	}
}
