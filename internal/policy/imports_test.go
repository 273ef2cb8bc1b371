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
// any of Not, directly or (unless Direct) through others.
type rule struct {
	From   string
	Not    []string
	Reason string
	But    []string // under Not, and allowed
	Direct bool     // only what the package itself imports counts
}

// pure lists what no engine may touch: the world outside its arguments.
var pure = []string{"os", "net", "net/http", "log", "log/slog", "math/rand", "math/rand/v2", "time/tzdata", "os/exec"}

var rules = []rule{
	{From: "quantity", Not: []string{"elbowroom"}, Reason: "a leaf: units know nothing of engines"},
	{From: "money", Not: []string{"elbowroom"}, Reason: "a leaf"},
	{From: "cite", Not: []string{"elbowroom"}, Reason: "a leaf"},
	{From: "span", Not: []string{"elbowroom"}, Reason: "a leaf"},
	{From: "guide", Not: []string{"elbowroom/plan", "elbowroom/access", "elbowroom/app", "elbowroom/bay", "elbowroom/internal"}, Reason: "the vocabulary knows no engine and no shell"},
	{From: "bay", Not: []string{"elbowroom/access", "elbowroom/app", "elbowroom/internal"}, Reason: "shapes know no planner and no shell"},
	{From: "joint", Not: []string{"elbowroom/access", "elbowroom/app", "elbowroom/internal"}, Reason: "joints know no planner and no shell"},
	{From: "reading", Not: []string{"elbowroom/access", "elbowroom/plan", "elbowroom/app", "elbowroom/workshop", "elbowroom/internal"}, Reason: "a verdict knows limits, not the way in, the shop or a shell"},
	{From: "reading/law", Not: []string{"elbowroom/reading", "elbowroom/plan", "elbowroom/app", "elbowroom/internal"}, Reason: "curves know no verdict"},
	{From: "reading/record", Not: []string{"elbowroom/access", "elbowroom/plan", "elbowroom/app", "elbowroom/workshop", "elbowroom/internal"}, Reason: "a recording is handed in as a stream; it knows no shop and no shell"},
	{From: "circuit", Not: []string{"elbowroom/access", "elbowroom/plan", "elbowroom/suspect", "elbowroom/app", "elbowroom/internal"}, Reason: "minutes to a measuring point come from the caller; wiring knows no planner"},
	{From: "plan", Not: []string{"elbowroom/access", "elbowroom/app", "elbowroom/internal"}, Reason: "a plan is data; its checker must not lean on its maker"},
	{From: "plan/audit", Not: []string{"elbowroom/access", "elbowroom/app", "elbowroom/internal"}, Reason: "the independent checker never sees the planner"},
	{From: "internal/oracle", Not: []string{"elbowroom/access", "elbowroom/app"}, Reason: "brute force must not share the planner's mistakes"},
	{From: "access", Not: []string{"elbowroom/app", "elbowroom/plan/audit", "elbowroom/internal"}, Reason: "the planner never sees its checker or a shell"},
	{From: "access/andor", Not: []string{"elbowroom/guide", "elbowroom/plan", "elbowroom/app"}, Reason: "a general engine: it knows operations and facts only"},
	{From: "suspect/decide", Not: []string{"elbowroom"}, Reason: "a leaf: worlds, checks and prices, no engine; nothing of this module at all"},
	{From: "guide/compare", Not: []string{"elbowroom/plan", "elbowroom/access", "elbowroom/app", "elbowroom/internal"}, Reason: "it compares what is written and knows no job"},
	{From: "joblog", Not: []string{"elbowroom/access", "elbowroom/app", "elbowroom/internal"}, Reason: "a log is read the same by everybody; it knows no planner and no shell"},
	{From: "estimate", Not: []string{"elbowroom/plan", "elbowroom/access", "elbowroom/joblog", "elbowroom/workshop", "elbowroom/app", "elbowroom/internal"}, Reason: "operations, prices and ages come from the caller; it knows no planner, no shop and no shell"},
	{From: "report", Not: []string{"elbowroom/guide", "elbowroom/plan", "elbowroom/joblog", "elbowroom/app", "elbowroom/internal"}, Reason: "a paper is words and lines; what they mean its composer knows"},
	{From: "report/pdf", Not: []string{"elbowroom"}, Reason: "a leaf: pages, letters and lines"},
	{From: "workshop", Not: []string{"elbowroom/access", "elbowroom/app", "elbowroom/internal"}, Reason: "data"},
	{From: "internal/cli", Not: []string{"elbowroom/store/relational", "elbowroom/store/sqlite", "elbowroom/store/postgres"}, Reason: "a shell never imports a store", Direct: true},
	{From: "internal/web", Not: []string{"elbowroom/store/relational", "elbowroom/store/sqlite", "elbowroom/store/postgres"}, Reason: "a shell never imports a store; the words of the contract it may know", Direct: true},
	{From: "app", Not: []string{"elbowroom/store/relational", "elbowroom/store/sqlite", "elbowroom/store/postgres", "database/sql"}, Reason: "use cases declare the few methods of a store that they need"},
	{From: "store/relational", Not: []string{"elbowroom/store/sqlite", "elbowroom/store/postgres", "elbowroom/app"}, Reason: "what is the same in every database knows none of them"},
	{From: "store", Not: []string{"database/sql", "elbowroom/store/sqlite", "elbowroom/store/postgres", "elbowroom/access", "elbowroom/app", "elbowroom/internal"}, Reason: "a contract in words knows no database, no use case and no shell"},
	{From: "suspect", Not: []string{"elbowroom/access", "elbowroom/app", "elbowroom/plan", "elbowroom/internal"}, Reason: "beliefs know prices only through the ground that is passed in"},
	{From: "codes", Not: []string{"elbowroom/guide", "elbowroom/access", "elbowroom/app", "elbowroom/internal"}, Reason: "public structure of codes: knows no engine and no shell"},
	{From: "codes/dump", Not: []string{"elbowroom/guide", "elbowroom/reading", "elbowroom/access", "elbowroom/app", "elbowroom/internal"}, Reason: "reaches every package of codes: public layouts know no engine and no shell"},
	{From: "capture", Not: []string{"elbowroom/access", "elbowroom/plan", "elbowroom/app", "elbowroom/workshop", "elbowroom/internal"}, Reason: "it knows words and facts, no planner and no shell"},
	{From: "capture/draft", Not: []string{"elbowroom/access", "elbowroom/plan", "elbowroom/app", "elbowroom/internal"}, Reason: "a draft is data beside a guide"},
	{From: "app", Not: []string{"elbowroom/internal/cli", "elbowroom/internal/web"}, Reason: "use cases know no shell"},
	{From: "app/desk", Not: []string{"database/sql", "elbowroom/store/sqlite", "elbowroom/store/postgres", "elbowroom/internal"}, But: []string{"database/sql/driver"}, Reason: "it knows the contract of a store, not which one it is, and no shell; google/uuid brings the interfaces of drivers"},
	{From: "internal/cli", Not: []string{"elbowroom/access", "elbowroom/plan/audit"}, Reason: "a shell goes through app", Direct: true},
	{From: "internal/web", Not: []string{"elbowroom/access", "elbowroom/plan/audit", "elbowroom/guide/vet"}, Reason: "a shell goes through app", Direct: true},
	{From: "internal/web", Not: []string{"elbowroom/internal/cli"}, Reason: "only the command line starts the server, never the other way round"},
}

// engines must not import what pure lists, directly; what the standard
// library does behind fmt is not their business.
var engines = []string{"quantity", "money", "cite", "span", "guide", "guide/vet", "bay", "joint", "reading", "reading/law", "reading/record", "plan", "plan/audit", "access", "access/andor", "circuit", "suspect/decide", "suspect", "codes", "codes/live", "codes/answer", "codes/can", "codes/dump", "joblog", "guide/compare", "estimate", "report", "report/pdf", "capture", "capture/transcript", "capture/lexicon", "capture/draft"}

func TestImportRules(t *testing.T) {
	all := packages(t)
	for _, r := range rules {
		found := false
		for _, p := range all {
			if p.ImportPath != module+"/"+r.From {
				continue
			}
			found = true
			deps := p.Deps
			if r.Direct {
				deps = p.Imports
			}
			for _, dep := range deps {
				for _, not := range r.Not {
					if (dep == not || strings.HasPrefix(dep, not+"/")) && dep != p.ImportPath && !slices.Contains(r.But, dep) {
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
