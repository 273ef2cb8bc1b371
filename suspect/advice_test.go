package suspect

import (
	"math"
	"slices"
	"strings"
	"testing"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/suspect/decide"
)

// advise must succeed, with the plain workshop of the tests.
func advise(t testing.TB, k Case, w Work) *Advice {
	t.Helper()
	a, err := Next(k, &bench{r: k.Guide, refer: 250_00}, w)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func demoCases(t testing.TB) map[string]Case {
	return map[string]Case{
		"A": caseA(t), "A, one code": oneCode(caseA(t)), "B": caseB(t), "C": caseC(t), "D": caseD(t), "E": caseE(t),
		"A, code alone": {Guide: engine(t, "LHD", "A"), Codes: []Code{{Code: "P0327"}}},
	}
}

const cent = 2 // that figures rounded one by one may differ by

// TestAdviceAddsUp: what a step costs and what remains after each result make
// the expected cost; results and runner-up are in order.
func TestAdviceAddsUp(t *testing.T) {
	cases := demoCases(t)
	delete(cases, "A, code alone") // the search takes long, and shows nothing more
	for name, k := range cases {
		a := advise(t, k, Work{})
		sum, remains := 0.0, float64(a.Step.Cost)
		for _, e := range a.Results {
			sum += e.Chance
			remains += e.Chance * float64(e.Remains)
		}
		if math.Abs(sum-1) > 1e-9 || math.Abs(remains-float64(a.Expected)) > cent {
			t.Errorf("%s: results have %v, cost and remains make %.0f, expected %s", name, sum, remains, a.Expected)
		}
		if a.RunnerUp == nil || a.RunnerUp.Loses < 0 || a.RunnerUp.Expected < a.Expected {
			t.Errorf("%s: runner-up %+v against %s", name, a.RunnerUp, a.Expected)
		}
		for _, o := range a.Offers {
			if o.Loses < 0 || o.Cost <= 0 && o.Sort != StepRefer {
				t.Errorf("%s: %+v", name, o)
			}
		}
		if a.Falls == nil || a.Falls.Tenth > a.Falls.Half || a.Falls.Half > a.Falls.NineTenths || a.Falls.NineTenths < a.Expected/2 {
			t.Errorf("%s: falls %+v", name, a.Falls)
		}
		if !strings.Contains(a.Reason, a.Expected.String()) || strings.Count(a.Reason, ". ") > 1 {
			t.Errorf("%s: the reason is no sentence that names %s: %s", name, a.Expected, a.Reason)
		}
		tree(t, name, *a.Tree, 2)
	}
}

// tree holds every branch to the sum of what follows it, down to the depth
// that was asked for.
func tree(t *testing.T, name string, b Branch, depth int) {
	t.Helper()
	if b.More != (depth == 0 && len(b.Branches) == 0 && b.Step != "the job is done" && !strings.HasPrefix(b.Step, "refer")) {
		t.Errorf("%s: %q says that there is more: %v", name, b.Step, b.More)
	}
	if len(b.Branches) == 0 {
		return
	}
	remains := float64(b.Cost)
	for _, x := range b.Branches {
		remains += x.Chance * float64(x.Remains)
		tree(t, name, x, depth-1)
	}
	if math.Abs(remains-float64(b.Remains)) > cent {
		t.Errorf("%s: after %q %q, cost and remains make %.0f, not %s", name, b.Result, b.Step, remains, b.Remains)
	}
}

// TestObviousRepairIsNeverFirst: the obvious repair is not the next step when
// cases A to C come in, also where nothing is said but the code, and whatever
// referring on costs. TestStories holds the same for every later step.
func TestObviousRepairIsNeverFirst(t *testing.T) {
	for name, wrong := range map[string]string{"A": "replace:SE13", "B": "replace:CO02", "C": "replace:FU01"} {
		k := demoCases(t)[name]
		bare := Case{Guide: k.Guide, Codes: oneCode(k).Codes}
		for _, refer := range []money.Amount{250_00, 900_00} {
			for _, k := range []Case{k, bare} {
				p, err := Frame(k, &bench{r: k.Guide, refer: refer}, Work{})
				if err != nil {
					t.Fatal(err)
				}
				answer, err := decide.Solve(p.Decide, decide.Limits{Nodes: 2000, FirstOnly: true})
				if err != nil {
					t.Fatal(err)
				}
				if o := p.offer(answer.First); o.Action != nil && o.Action.Task != nil && o.Action.Task.String() == wrong {
					t.Errorf("%s, %q, referring on for %s: advises %s", name, k.Complaint, refer, o.Says)
				}
			}
		}
	}
}

// TestFlips: the step changes where the advice says that it does.
func TestFlips(t *testing.T) {
	k := caseB(t)
	a := advise(t, k, Work{Flips: true})
	i := slices.IndexFunc(a.Holds, func(h Hold) bool { return h.Fault == "F13" })
	if i < 0 {
		t.Fatalf("nothing is said of F13: %+v", a.Holds)
	}
	h := a.Holds[i]
	if !(h.Low < h.Now && h.Now < h.High) || h.Below == "" || h.Above == "" || !strings.Contains(h.Says, "holds while") {
		t.Fatalf("%+v", h)
	}
	p := a.Problem
	in := func(w int) bool { return slices.Contains(p.Worlds[w], guide.ID("F13")) }
	firstAt := func(share float64) decide.Step {
		q := p.Decide
		q.Worlds = slices.Clone(q.Worlds)
		for w := range q.Worlds {
			if in(w) {
				q.Worlds[w] *= share / h.Now
			} else {
				q.Worlds[w] *= (1 - share) / (1 - h.Now)
			}
		}
		answer, err := decide.Solve(q, decide.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		return answer.First
	}
	const aside = 0.02
	for _, share := range []float64{h.Low + aside, h.Now, h.High - aside} {
		if st := firstAt(share); !st.Same(a.First) {
			t.Errorf("at %v the step is %s, said to hold from %v to %v", share, p.offer(st).Says, h.Low, h.High)
		}
	}
	if st := firstAt(h.Low - aside); p.offer(st).Says != h.Below {
		t.Errorf("below, the step is %s, said to be %s", p.offer(st).Says, h.Below)
	}
	if st := firstAt(h.High + aside); p.offer(st).Says != h.Above {
		t.Errorf("above, the step is %s, said to be %s", p.offer(st).Says, h.Above)
	}
	if a.Stop.Replace == nil || math.Abs(a.Stop.BreakEven-h.High) > aside || !strings.Contains(a.Stop.Says, "pays from") {
		t.Errorf("the repair comes first from %v on, and pays from %v: %s", h.High, a.Stop.BreakEven, a.Stop.Says)
	}
}

// TestAssumedOddsOfTheStep: where the step's own odds are assumed, the advice
// says how far they may move.
func TestAssumedOddsOfTheStep(t *testing.T) {
	a := advise(t, caseE(t), Work{Flips: true})
	if a.Step.Action == nil || len(a.Step.Action.Assumed) == 0 {
		t.Fatalf("%s has odds of its own; take another case", a.Step.Says)
	}
	if !slices.ContainsFunc(a.Holds, func(h Hold) bool { return h.Check == a.Step.Action.Check && h.Low <= h.Now && h.Now <= h.High }) {
		t.Errorf("nothing is said of the odds of %s: %+v", a.Step.Action.Check, a.Holds)
	}
	if !slices.ContainsFunc(a.Depends, func(s string) bool { return strings.Contains(s, "no odds") }) {
		t.Errorf("depends on %q", a.Depends)
	}
}

// TestLearned: with the valley connector open, its other half costs no opening
// any more, and speaks of another suspect.
func TestLearned(t *testing.T) {
	k := demoCases(t)["A, code alone"]
	k.Events = []Event{
		verdict("T01", 1), parts("T35", "", Part{"right", 0}, Part{"left", 1}),
		parts("T40", "", Part{"right", 1}, Part{"left", 1}), parts("T39", "", Part{"right", 1}, Part{"left", 1}),
	}
	a := advise(t, k, Work{})
	if a.Step.Action == nil || a.Step.Action.Check != "T37" {
		t.Fatalf("the step is %s", a.Step.Says)
	}
	i := slices.IndexFunc(a.Learned, func(l Learned) bool { return l.Check == "T36" })
	if i < 0 {
		t.Fatalf("learned %+v", a.Learned)
	}
	if l := a.Learned[i]; l.Cost >= l.Before || !slices.Contains(l.About, "F35") {
		t.Errorf("%+v", l)
	}
}

// TestStops: quoting, proving and referring on are said as such.
func TestStops(t *testing.T) {
	if a := advise(t, caseD(t), Work{}); !a.Stop.Quote || a.Step.Sort != StepRepair {
		t.Errorf("D: %+v", a.Stop)
	}
	k := caseD(t)
	k.Events = []Event{{Repair: &Repair{Task: &guide.TaskID{Verb: guide.Repair, On: "AC03"}}}}
	if a := advise(t, k, Work{}); a.Step.Sort != StepProof || a.Stop.Quote || !strings.Contains(a.Reason, "right with") {
		t.Errorf("D, repaired: %s: %s", a.Step.Says, a.Reason)
	}
	k = Case{Guide: engine(t, "LHD", "A"), Codes: []Code{{Code: "C0035"}}}
	a, err := Next(k, &bench{r: k.Guide, refer: 10_00}, Work{})
	if err != nil {
		t.Fatal(err)
	}
	if !a.Stop.Refer || a.Step.Sort != StepRefer {
		t.Errorf("a code of the brakes, and referring on costs ten: %s", a.Step.Says)
	}
}

// TestLimitsAreSaid: an answer that was stopped says so, and what another
// course could save at most.
func TestLimitsAreSaid(t *testing.T) {
	a := advise(t, caseE(t), Work{Limits: decide.Limits{Nodes: 1}})
	full := advise(t, caseE(t), Work{})
	if a.Outcome != Bounded || a.Gap <= 0 || a.Expected < full.Expected-cent || a.Expected-a.Gap > full.Expected+cent {
		t.Errorf("stopped: %s %s, gap %s; in full %s", a.Outcome, a.Expected, a.Gap, full.Expected)
	}
}

func BenchmarkNextDemo(b *testing.B) {
	for _, name := range []string{"A", "B", "C", "D", "E"} {
		k := demoCases(b)[name]
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if a := advise(b, k, Work{}); a.Outcome != Advised {
					b.Fatal(a.Outcome)
				}
			}
		})
	}
}

// BenchmarkNextWide is 200 faults and 300 checks.
func BenchmarkNextWide(b *testing.B) {
	r, err := guide.Resolve(wide(200, 300), nil)
	if err != nil {
		b.Fatal(err)
	}
	k := Case{Guide: r, Complaint: "aarattle, barattle, carattle", Codes: []Code{{Code: "P0102"}, {Code: "P0203"}}, CodesRead: true}
	for b.Loop() {
		if a := advise(b, k, Work{}); a.Outcome == Impossible || len(a.Offers) < 3 {
			b.Fatal(a.Outcome)
		}
	}
}
