package access_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// bench is a machine of two items for what goes wrong: cover P in front of
// sensor S.
func bench() *guide.Guide {
	return &guide.Guide{
		Format: 1, ID: "bench", Currency: "EUR",
		Tools:    []guide.Tool{{ID: "puller", Name: "puller"}},
		Cautions: []guide.Caution{{ID: "charge", Text: "stored charge", Ask: "discharge time"}},
		Conditions: []guide.Condition{{
			ID: "power", Name: "power", Start: "on", Values: []guide.Value{{ID: "on"}, {ID: "off"}},
			Changes: []guide.Change{{From: "on", To: "off", Minutes: time.Minute}, {From: "off", To: "on", Minutes: time.Minute}},
		}},
		Items: []guide.Item{
			{ID: "P", Name: "cover", Ways: []guide.Way{{Do: guide.Off, Out: 2 * time.Minute, Back: 3 * time.Minute}}},
			{ID: "S", Name: "sensor", Ways: []guide.Way{{Do: guide.Replace, Out: 4 * time.Minute, Needs: []guide.Need{{Item: "P"}}}}},
		},
	}
}

// TestBlockers: an impossible visit names a smallest set of facts in its way,
// and taking them away makes it possible.
func TestBlockers(t *testing.T) {
	replaceS := plan.Request{Tasks: tasksOf("replace:S"), By: plan.ByMinutes}
	for _, c := range []struct {
		name, reason string
		spoil        func(g *guide.Guide, req *plan.Request)
		want         plan.Blocker // Says is a part of the sentence
	}{
		{"tool", "the only way needs a tool that is not there", func(g *guide.Guide, req *plan.Request) {
			g.Items[0].Ways[0].Tools, req.Missing = []guide.ID{"puller"}, []guide.ID{"puller"}
		}, plan.Blocker{Tool: "puller", Says: "not at hand"}},
		{"caution", "a value that only the maker knows", func(g *guide.Guide, _ *plan.Request) {
			g.Items[1].Ways[0].Cautions = []guide.ID{"charge"}
		}, plan.Blocker{Caution: "charge", Says: "discharge time"}},
		{"wait", "only the maker knows how long it takes", func(g *guide.Guide, _ *plan.Request) {
			g.Items[1].Ways[0].With = []guide.Req{{Condition: "power", Value: "off"}}
			g.Conditions[0].Changes[0].WaitUnknown = true
		}, plan.Blocker{Condition: "power", Says: "only the maker knows"}},
		{"people", "two are needed", func(g *guide.Guide, _ *plan.Request) {
			g.Items[0].Ways[0].People = 2
		}, plan.Blocker{Says: "2 people"}},
		{"stuck", "nothing clears the cover", func(g *guide.Guide, _ *plan.Request) {
			g.Items[0].Ways = nil
		}, plan.Blocker{Item: "P", Says: "nothing takes it"}},
		{"verb", "no way with the verb", func(_ *guide.Guide, req *plan.Request) {
			req.Tasks = tasksOf("clean:S")
		}, plan.Blocker{Item: "S", Says: "no way of this variant does clean:S; there are ways to replace it"}},
		{"no way back", "power must come on again and cannot", func(g *guide.Guide, _ *plan.Request) {
			g.Items[1].Ways[0].With = []guide.Req{{Condition: "power", Value: "off"}}
			g.Conditions[0].Changes = g.Conditions[0].Changes[:1]
		}, plan.Blocker{Condition: "power", Says: "has to be off and no change leads there"}},
		{"end", "it has to end where no change leads", func(g *guide.Guide, _ *plan.Request) {
			g.Conditions[0].End, g.Conditions[0].Changes = "off", nil
		}, plan.Blocker{Condition: "power", Says: "where it has to end"}},
		{"clash", "the power has to be on while the cover is on", func(g *guide.Guide, _ *plan.Request) {
			g.Conditions[0].Values[0].Fitted, g.Conditions[0].Values[1].Fitted = []guide.ID{"P"}, []guide.ID{"P"}
		}, plan.Blocker{Item: "S", Says: "cannot be done"}},
		{"circle", "each task waits for the other", func(_ *guide.Guide, req *plan.Request) {
			req.Tasks = []plan.Task{{Verb: "replace", On: "S", After: []int{1}}, {Verb: "replace", On: "S", After: []int{0}}}
		}, plan.Blocker{Item: "S", Says: "waits for tasks that wait for it"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			g, req := bench(), replaceS
			c.spoil(g, &req)
			r := resolved(t, g, "")
			got, err := planner(t, r).Plan(req, access.Limits{})
			if err != nil {
				t.Fatal(err)
			}
			audited(t, r, req, got)
			if got.Outcome != plan.Impossible || len(got.Blockers) != 1 {
				t.Fatalf("%s %v, want one blocker: %s", got.Outcome, got.Blockers, c.reason)
			}
			b, says := got.Blockers[0], got.Blockers[0].Says
			b.Says = c.want.Says
			if b != c.want || !strings.Contains(says, c.want.Says) {
				t.Errorf("blocker %+v (%s), want %+v: %s", b, says, c.want, c.reason)
			}
		})
	}
}

// TestAvoided: where there is another way, an unknown value does not stop the
// plan and is mentioned.
func TestAvoided(t *testing.T) {
	g := bench()
	g.Items[1].Ways = append(g.Items[1].Ways, guide.Way{Do: guide.Replace, Out: time.Minute, Cautions: []guide.ID{"charge"}})
	r := resolved(t, g, "")
	p, req := planner(t, r), plan.Request{Tasks: tasksOf("replace:S"), By: plan.ByMinutes}
	got, err := p.Plan(req, access.Limits{})
	if err != nil || got.Outcome != plan.Optimal || got.Cost.Total() != 9*time.Minute {
		t.Fatalf("%s %v %v, want the 9 minutes by the known way", got.Outcome, got.Cost.Total(), err)
	}
	list, err := p.Avoided(req)
	if err != nil || len(list) != 1 || list[0].Caution != "charge" {
		t.Errorf("%v %v, want the caution mentioned", list, err)
	}
}

// TestBadInput: every fault of a request is reported, with the field and the
// nearest names.
func TestBadInput(t *testing.T) {
	p := planner(t, resolved(t, bench(), ""))
	for _, c := range []struct {
		name string
		req  plan.Request
		want []string // parts of the message
	}{
		{"unknown item", plan.Request{Tasks: tasksOf("replace:SS")}, []string{"no item or check", "nearest known: S"}},
		{"clearing", plan.Request{Tasks: tasksOf("off:P")}, []string{"not a task"}},
		{"no verb", plan.Request{Tasks: tasksOf(":P")}, []string{"no verb"}},
		{"after", plan.Request{Tasks: []plan.Task{{Verb: "replace", On: "S", After: []int{3}}}}, []string{"tasks 0 to 0"}},
		{"found", plan.Request{Found: []plan.Standing{{Item: "Q"}, {Item: "P"}, {Item: "P"}}}, []string{"no such item", "named twice"}},
		{"given", plan.Request{Given: []plan.Setting{{Condition: "powr", Value: "on"}, {Condition: "power", Value: "of"}, {Condition: "power", Value: "on"}}}, []string{"no such condition", "nearest known: power", "no such value", "cannot be both"}},
		{"open", plan.Request{LeaveOpen: []guide.ID{"Z"}}, []string{"no item or condition"}},
		{"tool", plan.Request{Missing: []guide.ID{"puler"}}, []string{"no such tool", "puller"}},
		{"objective", plan.Request{By: "speed"}, []string{"money or by minutes"}},
		{"people", plan.Request{People: -1}, []string{"people"}},
		{"rate", plan.Request{Rate: -5}, []string{"minor units"}},
		{"waiting", plan.Request{Rate: 5, WaitRate: 6}, []string{"cannot cost more"}},
		{"variant", plan.Request{Variant: guide.Selector{{Values: []guide.ID{"LHD"}}}}, []string{"another variant"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := p.Plan(c.req, access.Limits{})
			var bad *access.InputError
			if !errors.As(err, &bad) {
				t.Fatalf("error is %v, want an InputError", err)
			}
			for _, w := range c.want {
				if !strings.Contains(err.Error(), w) {
					t.Errorf("%q does not say %q", err, w)
				}
			}
		})
	}
	if list := p.Remarks(plan.Request{Tasks: tasksOf("replace:S replace:S")}); len(list) != 1 {
		t.Errorf("remarks on a repeated task: %v", list)
	}
}

// TestGuideRefused: numbers that cannot be planned with are refused with the
// place where they stand.
func TestGuideRefused(t *testing.T) {
	for name, spoil := range map[string]func(g *guide.Guide){
		"P.ways[0].out":            func(g *guide.Guide) { g.Items[0].Ways[0].Out = -time.Minute },
		"P.ways[0].back":           func(g *guide.Guide) { g.Items[0].Ways[0].Back = 10_000 * time.Hour },
		"power.start":              func(g *guide.Guide) { g.Conditions[0].Start = "dim" },
		"power.end":                func(g *guide.Guide) { g.Conditions[0].End = "dim" },
		"power.changes[1].minutes": func(g *guide.Guide) { g.Conditions[0].Changes[1].Minutes = -1 },
		"puller.hire":              func(g *guide.Guide) { h := money.Amount(-1); g.Tools[0].Hire = &h },
		"setup.move":               func(g *guide.Guide) { g.Setup.Move = -1 },
	} {
		g := bench()
		spoil(g)
		_, err := access.New(resolved(t, g, ""))
		if !errors.Is(err, access.ErrGuide) || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: error is %v", name, err)
		}
	}
}

// TestWriteChoice: the written program names its unit and constant, and a
// general-purpose solver (under the build tag solvers) finds the cost of the plan.
func TestWriteChoice(t *testing.T) {
	p := planner(t, resolved(t, demoGuide(t), "LHD"))
	for _, words := range []string{"replace:IG03 replace:SE02 replace:AC15", "replace:FU09 replace:FU12", "replace:SE12"} {
		req := plan.Request{Tasks: tasksOf(words), By: plan.ByMinutes}
		want, err := p.Plan(req, access.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		var mps, lp bytes.Buffer
		if err := errors.Join(p.WriteMPS(&mps, req), p.WriteLP(&lp, req)); err != nil {
			t.Fatal(err)
		}
		m := regexp.MustCompile(`Objective of the plan = (\d+) \* \(optimum of this program\) \+ (\d+)\.`).FindStringSubmatch(mps.String())
		if m == nil || !strings.Contains(lp.String(), m[0]) {
			t.Fatalf("%s: the head does not say how to read the optimum", words)
		}
		if withSolvers {
			unit, _ := strconv.ParseInt(m[1], 10, 64)
			base, _ := strconv.ParseInt(m[2], 10, 64)
			for _, f := range []struct{ flag, text string }{{"--freemps", mps.String()}, {"--lp", lp.String()}} {
				if got := solved(t, f.flag, f.text); unit*got+base != want.Cost.Objective {
					t.Errorf("%s %s: the solver finds %d, the plan costs %d", words, f.flag, unit*got+base, want.Cost.Objective)
				}
			}
		}
	}
}

// solved runs the solver and returns the optimum it reports.
func solved(t *testing.T, form, text string) int64 {
	t.Helper()
	in, out := filepath.Join(t.TempDir(), "in"), filepath.Join(t.TempDir(), "out")
	if err := os.WriteFile(in, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	if msg, err := exec.Command("glpsol", form, in, "-w", out).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, msg)
	}
	data, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(data), "\n") {
		var rows, cols int64
		var status, dual string
		var best float64
		if n, _ := fmt.Sscanf(line, "s mip %d %d %s %g", &rows, &cols, &status, &best); n == 4 && status == "o" {
			return int64(best)
		}
		if n, _ := fmt.Sscanf(line, "s bas %d %d %s %s %g", &rows, &cols, &status, &dual, &best); n == 5 && status == "f" && dual == "f" {
			return int64(best)
		}
	}
	t.Fatalf("no optimum reported:\n%s", data)
	return 0
}

// TestWriteFull: the whole problem written as a flow has, by a general-purpose
// solver (under the build tag solvers), the optimum of the planner, on machines where order,
// set-ups and waits matter.
func TestWriteFull(t *testing.T) {
	cases, best := smallCases(t, 9000, 12)
	written := 0
	for i, c := range cases {
		r, _ := c.Resolve()
		var lp bytes.Buffer
		err := planner(t, r).WriteFullLP(&lp, c.Request)
		if errors.Is(err, access.ErrTooLarge) {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		m := regexp.MustCompile(`Objective of the plan = (\d+) \* \(optimum of this program\) \+ 0\.`).FindStringSubmatch(lp.String())
		if m == nil {
			t.Fatalf("%s: the head does not say how to read the optimum", c.Name)
		}
		written++
		if withSolvers && lp.Len() < 200_000 {
			unit, _ := strconv.ParseInt(m[1], 10, 64)
			if got := solved(t, "--lp", lp.String()); unit*got != best[i] {
				t.Errorf("%s: the solver finds %d, the best plan costs %d", c.Name, unit*got, best[i])
			}
		}
	}
	if written == 0 {
		t.Error("nothing was small enough to be written")
	}
}
