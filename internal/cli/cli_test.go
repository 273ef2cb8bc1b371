package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/span"
	"elbowroom/workshop"
)

func TestExitOfErrors(t *testing.T) {
	for _, c := range []struct {
		name string
		err  error
		want Exit
	}{
		{"no error", nil, Done},
		{"bad command", fmt.Errorf("%w: x", errUsage), BadInput},
		{"bad question", fmt.Errorf("%w: x", app.ErrInput), BadInput},
		{"unknown machine", fmt.Errorf("machine %w", app.ErrUnknown), BadInput},
		{"findings of a text", fmt.Errorf("guide: %w", span.List{{Says: "x"}}), BadInput},
		{"audit, even of a bad question", fmt.Errorf("%w: %w", app.ErrAudit, app.ErrInput), Refused},
		{"anything else is our fault", errFault, Internal},
	} {
		if got := exitOf(c.err); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}

// Every outcome has a status of its own, and every status a row in -h.
func TestExitOfOutcomes(t *testing.T) {
	seen := map[Exit]plan.Outcome{}
	for _, o := range []plan.Outcome{plan.Optimal, plan.Bounded, plan.Impossible, plan.Limit, plan.BadInput} {
		code := exitOfOutcome(o)
		if old, ok := seen[code]; ok {
			t.Errorf("%s and %s both exit with %d", old, o, code)
		}
		seen[code] = o
		if nameOf(code) == "" {
			t.Errorf("status %d has no name", code)
		}
	}
	if exitOfOutcome("surprise") != Internal {
		t.Error("an unknown outcome passes for something else")
	}
	for i, s := range statuses {
		if int(s.code) != i || s.says == "" || !strings.Contains(exitHelp(), s.says) {
			t.Errorf("row %d of the table: %+v", i, s)
		}
	}
}

// The flags arrive in the question as they were typed.
func TestFlagsBecomeTheQuestion(t *testing.T) {
	f := &fake{err: errFault}
	with(f, nil, "plan", "--variant", "LHD A", "--before", "check:X3", "--proof=check:T40", "--order", "check:X3<replace:SE13",
		"--start", "PN03,CO01 aside", "--start", "engine=hot", "--leave", "PN01", "--missing", "torx", "--people", "2", "--by", "minutes",
		"--rate", "90.50", "--budget", "3s", "replace:SE13", "replace:right knock sensor, long")
	want := app.Ask{
		Guide: "demo", Variant: "LHD A", Tasks: []string{"replace:SE13", "replace:right knock sensor, long"}, Before: []string{"check:X3"},
		Proof: []string{"check:T40"}, Order: []string{"check:X3<replace:SE13"}, Start: []string{"PN03", "CO01 aside", "engine=hot"},
		Leave: []string{"PN01"}, Missing: []string{"torx"}, People: 2, By: "minutes", Rate: "90.50", Budget: 3 * time.Second,
	}
	if !reflect.DeepEqual(f.asked, want) {
		t.Errorf("asked\n%+v\nwant\n%+v", f.asked, want)
	}
}

// Tasks and flags can be typed in any order.
func TestOrderOfWords(t *testing.T) {
	for _, c := range []struct {
		name string
		args []string
		want []string
	}{
		{"flags before tasks", []string{"plan", "--machine", "V1", "a:b", "c:d"}, []string{"a:b", "c:d"}},
		{"flags between tasks", []string{"plan", "a:b", "--machine=V1", "c:d"}, []string{"a:b", "c:d"}},
		{"flags before the command", []string{"--json", "plan", "a:b", "--explain", "c:d"}, []string{"a:b", "c:d"}},
		{"a task called as a command", []string{"plan", "a:b", "vet"}, []string{"a:b", "vet"}},
		{"what stands behind --", []string{"plan", "a:b", "--", "--machine"}, []string{"a:b", "--machine"}},
	} {
		f := &fake{err: errFault}
		if with(f, nil, c.args...); !slices.Equal(f.asked.Tasks, c.want) {
			t.Errorf("%s: tasks %q, want %q", c.name, f.asked.Tasks, c.want)
		}
	}
	f := &fake{err: errFault}
	if with(f, nil, "plan", "--rate", "-3", "a:b"); f.asked.Rate != "-3" {
		t.Errorf("a negative rate arrives as %q", f.asked.Rate)
	}
}

func TestStartNoneIsEverythingFitted(t *testing.T) {
	f := &fake{err: errFault}
	with(f, nil, "plan", "--start", "none", "replace:SE13")
	if f.asked.Start == nil || len(f.asked.Start) != 0 {
		t.Errorf("start is %#v, want empty and not nil", f.asked.Start)
	}
}

func TestTasksInViewOfAMachine(t *testing.T) {
	f := &fake{err: errFault, home: []app.MachineLine{{Machine: workshop.Machine{ID: "V2"}, Ask: app.Ask{Tasks: []string{"check:T13"}}}}}
	with(f, nil, "plan", "--machine", "V2")
	if !slices.Equal(f.asked.Tasks, []string{"check:T13"}) || f.asked.Guide != "" {
		t.Errorf("asked %+v", f.asked)
	}
}

// What goes wrong stands on standard error, nothing on standard output.
func TestErrorsAreSaidOnce(t *testing.T) {
	list := span.List{{Pos: span.Pos{File: "a.yaml", Line: 3, Col: 7}, Rule: "unknown-item", Text: "SE99", Says: "no such item", Expect: "an item", Nearest: []string{"SE09"}, Do: "correct it"}}
	f := &fake{err: fmt.Errorf("%w: guide x:\n%w", app.ErrInput, list)}
	r := with(f, utf8Env, "plan", "replace:SE13")
	want := `elbowroom: bad input: guide x
  a.yaml:3:7: error, unknown-item
    no such item: "SE99"
    expected: an item
    nearest known: SE09
    > correct it
`
	if r.code != BadInput || r.out != "" || r.err != want {
		t.Errorf("status %d, out %q, err:\n%s", r.code, r.out, r.err)
	}
	r = with(f, utf8Env, "plan", "--json", "replace:SE13")
	if !strings.Contains(r.err, `"code": "bad-input"`) || !strings.Contains(r.err, `"line": 3`) || !json.Valid([]byte(r.err)) || r.out != "" {
		t.Errorf("JSON error: %s", r.err)
	}
}

func TestLongListsAreCut(t *testing.T) {
	var list span.List
	for i := range 50 {
		list = append(list, span.Finding{Says: fmt.Sprint("wrong ", i)})
	}
	r := with(&fake{err: fmt.Errorf("%w", list)}, utf8Env, "plan", "x:y")
	if n := strings.Count(r.err, "wrong"); n != mostFindings || !strings.Contains(r.err, "and 30 more") {
		t.Errorf("%d findings shown:\n%s", n, r.err)
	}
}

func TestFaultsSayTheyAreOurs(t *testing.T) {
	r := with(&fake{err: errFault}, utf8Env, "plan", "x:y")
	if r.code != Internal || !strings.Contains(r.err, "fault of the program") {
		t.Errorf("%d %s", r.code, r.err)
	}
}

type panics struct{ fake }

func (panics) Plan(app.Ask) (*app.Answer, error) { panic("the floor is gone") }

func TestPanicsEndAsFaults(t *testing.T) {
	r := with(&panics{}, utf8Env, "plan", "x:y")
	if r.code != Internal || !strings.Contains(r.err, "the floor is gone") {
		t.Errorf("%d %s", r.code, r.err)
	}
}

// A file that could not be written whole is not there, nor is anything else.
func TestNothingHalfWritten(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "p.mps")
	if r := with(&fake{err: app.ErrInput}, nil, "plan", "--mps", name, "x:y"); r.code != BadInput {
		t.Errorf("status %d: %s", r.code, r.err)
	}
	if n := leftovers(t, dir); n != 0 {
		t.Errorf("%d files left behind", n)
	}
	if r := with(&fake{}, nil, "plan", "--mps", name, "--lp", filepath.Join(dir, "p.lp"), "x:y"); r.code != Done {
		t.Errorf("status %d: %s", r.code, r.err)
	}
	if n := leftovers(t, dir); n != 2 {
		t.Errorf("%d files, want the two", n)
	}
	r := with(&fake{}, nil, "plan", "--lp", filepath.Join(dir, "no", "p.lp"), "x:y")
	if r.code != BadInput || !strings.Contains(strings.Join(strings.Fields(r.err), " "), "cannot be written: no such file") {
		t.Errorf("a folder that is not there: %d %s", r.code, r.err)
	}
	if r := with(&fake{}, nil, "plan", "--lp", "-", "x:y"); r.out != "lp half" {
		t.Errorf("standard output: %q", r.out)
	}
}

func TestOpenNamesThePlace(t *testing.T) {
	for _, c := range []struct{ name, guide, shop, says string }{
		{"no such guide", "nowhere", "", "--guide nowhere: there is no such folder"},
		{"no such workshop", "demo", "nowhere", "--workshop nowhere: there is no such file"},
		{"a folder for a workshop", "demo", ".", "--workshop .: there is no such file"},
	} {
		_, err := Open(time.Now, Demo{}, []string{c.guide}, c.shop)
		if !errors.Is(err, app.ErrInput) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestCandidates(t *testing.T) {
	a := demoApp(t)
	for _, c := range []struct {
		name string
		line []string
		want []string // must be among them
		not  []string
	}{
		{"commands", []string{""}, []string{"plan", "reach", "where", "vet", "completion"}, []string{"complete"}},
		{"beginning of a command", []string{"pl"}, []string{"plan"}, []string{"reach"}},
		{"verbs and items", []string{"plan", "replace:SE1"}, []string{"replace:SE13", "replace:SE12"}, []string{"check:X3"}},
		{"checks", []string{"plan", "check:T3"}, []string{"check:T35"}, nil},
		{"after a flag with a value", []string{"plan", "--machine", ""}, []string{"V1", "V2"}, []string{"replace:SE13"}},
		{"flag and value in one", []string{"plan", "--variant=L"}, []string{"--variant=LHD"}, []string{"--variant=RHD"}},
		{"flags", []string{"plan", "--r"}, []string{"--rate", "--runners-up"}, []string{"--machine"}},
		{"starting states", []string{"plan", "--start", "engine="}, []string{"engine=hot"}, nil},
		{"tools", []string{"plan", "--missing", ""}, []string{"torque-wrench-small"}, nil},
		{"shells", []string{"completion", ""}, []string{"bash", "fish", "zsh"}, nil},
		{"commands of guide", []string{"guide", ""}, []string{"print", "schema", "test"}, []string{"plan"}},
		{"nothing typed", nil, []string{"plan"}, nil},
		{"unknown guide", []string{"--guide", "nowhere", "plan", "re"}, nil, nil},
	} {
		r := with(a, utf8Env, append([]string{"complete", "--"}, c.line...)...)
		var words []string
		for _, line := range strings.Split(r.out, "\n") {
			word, _, _ := strings.Cut(line, "\t")
			words = append(words, word)
		}
		for _, w := range c.want {
			if !slices.Contains(words, w) {
				t.Errorf("%s: %s is not offered:\n%s", c.name, w, r.out)
			}
		}
		for _, w := range c.not {
			if slices.Contains(words, w) {
				t.Errorf("%s: %s is offered", c.name, w)
			}
		}
		if r.code != Done || r.err != "" {
			t.Errorf("%s: status %d, %s", c.name, r.code, r.err)
		}
	}
}

// Whatever is typed, the run ends with a status of the table, says something
// when it fails, and does not panic.
func FuzzRun(f *testing.F) {
	for _, s := range []string{
		"plan\x00replace:SE13", "plan\x00--order\x00a<b\x00--start\x00=\x00:\x00", "reach\x00--within\x00NaN", "where\x00\x00", "vet\x00--only\x00,",
		"plan\x00--json\x00--people\x009999999999", "schema\x00error", "complete\x00--\x00plan\x00--", "guide\x00test\x00--help", "--guide\x00\x00plan", "-h", "--",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		args := strings.Split(line, "\x00")
		if slices.Contains(args, "serve") || slices.ContainsFunc(args, func(s string) bool { return strings.HasPrefix(s, "--mps") || strings.HasPrefix(s, "--lp") }) {
			return // opens a port, or writes a file
		}
		r := with(&fake{err: app.ErrInput}, utf8Env, args...)
		if nameOf(r.code) == "" || r.code == Internal || r.code != Done && r.err == "" {
			t.Errorf("%q: status %d, %q", args, r.code, r.err)
		}
	})
}

// Task strings are read with the real guide.
func FuzzTask(f *testing.F) {
	a := demoApp(f)
	for _, s := range []string{"replace:SE13", "check:X3", "replace:right knock sensor", ":", "a:b:c", "replace:\xff", "ersetze:Zündkerze", strings.Repeat("x", 300)} {
		f.Add(s)
	}
	_, r, err := a.Scene(app.Ask{Guide: "demo", Variant: "LHD A"})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, s string) {
		task, err := app.ParseTask(r, s)
		switch {
		case err != nil && !errors.Is(err, app.ErrInput):
			t.Errorf("%q: %v", s, err)
		case err == nil && r.Item(task.On) == nil && r.Check(task.On) == nil:
			t.Errorf("%q names %q, which is neither item nor check", s, task.On)
		case err == nil && guide.Verb(strings.TrimSpace(strings.SplitN(s, ":", 2)[0])) != task.Verb:
			t.Errorf("%q became verb %q", s, task.Verb)
		}
	})
}
