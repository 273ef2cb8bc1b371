package audit_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/money"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// FuzzCheck: no plan, however odd, and no guide, however broken, makes the
// audit panic, and nothing but a plan that holds is accepted.
func FuzzCheck(f *testing.F) {
	for seed := range uint64(40) {
		f.Add(seed, seed*7919, seed%3 == 0)
	}
	f.Fuzz(func(t *testing.T, machine, garbage uint64, broken bool) {
		c := engines.Small(machine)
		d := rand.New(rand.NewPCG(garbage, 0xf022))
		if broken {
			breakGuide(d, c.Guide)
			breakRequest(d, &c.Request)
		}
		r, err := c.Resolve()
		if err != nil {
			return // an unsettled variant is not the audit's matter
		}
		p := garbagePlan(d, c.Guide)
		rep := audit.Check(r, c.Request, p)
		if broken || !rep.OK() || len(p.Steps) == 0 {
			return
		}
		if right, allowed := replay(r, c.Request, p); !allowed || !same(p, right) {
			t.Errorf("accepted: %+v", p)
		}
	})
}

// TestGarbage runs more of what the fuzz test runs.
func TestGarbage(t *testing.T) {
	checked := 0
	for seed := range uint64(3000) {
		c := engines.Small(seed % 300)
		d := rand.New(rand.NewPCG(seed, 0x6a5b))
		breakGuide(d, c.Guide)
		breakRequest(d, &c.Request)
		r, err := guide.Resolve(c.Guide, c.Request.Variant)
		if err != nil {
			continue
		}
		checked++
		audit.Check(r, c.Request, garbagePlan(d, c.Guide))
	}
	if checked < 1000 {
		t.Errorf("only %d broken machines were checked", checked)
	}
}

// odd returns a number that few people would write.
func odd(d *rand.Rand) int {
	return []int{-1, 0, 1, 2, 3, 1 << 20, -1 << 40, math.MaxInt, math.MinInt}[d.IntN(9)]
}

func oddID(d *rand.Rand, g *guide.Guide) guide.ID {
	ids := []guide.ID{"", "all", "nobody", "{a}"}
	for _, it := range g.Items {
		ids = append(ids, it.ID)
	}
	for _, c := range g.Conditions {
		ids = append(ids, c.ID, "v0", "v1")
	}
	for _, k := range g.Checks {
		ids = append(ids, k.ID)
	}
	return ids[d.IntN(len(ids))]
}

func garbagePlan(d *rand.Rand, g *guide.Guide) plan.Plan {
	outcomes := []plan.Outcome{plan.Optimal, plan.Bounded, plan.Impossible, plan.Limit, plan.BadInput, "?"}
	p := plan.Plan{Outcome: outcomes[d.IntN(len(outcomes))], Bound: int64(odd(d)), Cost: plan.Cost{Objective: int64(odd(d))}}
	kinds := []plan.StepKind{plan.Clear, plan.Refit, plan.Change, plan.Await, plan.Do, "?"}
	for range d.IntN(12) {
		s := plan.Step{
			Kind: kinds[d.IntN(len(kinds))], Item: oddID(d, g), Condition: oddID(d, g), From: oddID(d, g), To: oddID(d, g),
			Way: d.IntN(4) - 1, Task: d.IntN(3), Change: d.IntN(4), Hands: time.Duration(odd(d)), Wait: time.Duration(odd(d)),
		}
		if d.IntN(6) == 0 {
			s.Way, s.Task, s.Change = odd(d), odd(d), odd(d)
		}
		p.Steps = append(p.Steps, s)
	}
	for range d.IntN(4) {
		l := plan.Landmark{Weight: int64(odd(d))}
		for range d.IntN(4) {
			a := plan.Act{Item: oddID(d, g), Verb: guide.Off, Way: odd(d), Back: d.IntN(4) == 0}
			switch d.IntN(3) {
			case 0:
				a = plan.Act{Condition: oddID(d, g), Change: odd(d)}
			case 1:
				a = plan.Act{Tool: "T2"}
			}
			l.Acts = append(l.Acts, a)
		}
		p.Certificate.Landmarks = append(p.Certificate.Landmarks, l)
	}
	p.Certificate.Base, p.Certificate.Cases = int64(odd(d)), int64(odd(d))
	return p
}

// breakGuide spoils a few facts of a guide.
func breakGuide(d *rand.Rand, g *guide.Guide) {
	for range 1 + d.IntN(3) {
		it := &g.Items[d.IntN(len(g.Items))]
		breakItem(d, g, it)
		if len(g.Conditions) > 0 {
			breakCondition(d, g, &g.Conditions[d.IntN(len(g.Conditions))])
		}
		k := &g.Checks[d.IntN(len(g.Checks))]
		switch d.IntN(4) {
		case 0:
			k.Point = oddID(d, g)
		case 1:
			k.With = []guide.Req{{Condition: oddID(d, g), Value: oddID(d, g), Not: true}}
		case 2:
			k.Minutes = time.Duration(odd(d))
		}
	}
}

func breakItem(d *rand.Rand, g *guide.Guide, it *guide.Item) {
	if len(it.Ways) == 0 {
		return
	}
	w := &it.Ways[d.IntN(len(it.Ways))]
	breakers := []func(){
		func() { it.ID = oddID(d, g) },
		func() { it.Ways = nil },
		func() { w.Do = guide.Verb(oddID(d, g)) },
		func() { w.Out, w.Back = time.Duration(odd(d)), time.Duration(odd(d)) },
		func() { w.Needs = append(w.Needs, guide.Need{Item: oddID(d, g), Off: true}) },
		func() { w.Together = []guide.ID{oddID(d, g), oddID(d, g), it.ID} },
		func() { w.Fitted = []guide.ID{oddID(d, g)} },
		func() { w.With = []guide.Req{{Condition: oddID(d, g), Value: oddID(d, g)}} },
		func() { w.People = odd(d) },
		func() { w.Risks = []guide.Risk{{Times: odd(d), Of: odd(d), Price: money.Amount(odd(d))}} },
		func() { w.Uses = []guide.Use{{Count: math.Inf(1), What: "seal"}, {Count: math.NaN(), What: "seal"}} },
		func() { w.Cautions, w.Tools = []guide.ID{oddID(d, g), "charge"}, []guide.ID{oddID(d, g)} },
	}
	breakers[d.IntN(len(breakers))]()
}

func breakCondition(d *rand.Rand, g *guide.Guide, c *guide.Condition) {
	breakers := []func(){
		func() { c.ID = oddID(d, g) },
		func() { c.Values = nil },
		func() { c.Start = oddID(d, g) },
		func() { c.End = guide.End(oddID(d, g)) },
		func() { c.Changes = append(c.Changes, guide.Change{From: oddID(d, g), To: oddID(d, g)}) },
		func() { c.Values = append(c.Values, guide.Value{ID: oddID(d, g), Fitted: []guide.ID{"all", "nobody"}}) },
	}
	breakers[d.IntN(len(breakers))]()
}

func breakRequest(d *rand.Rand, req *plan.Request) {
	switch d.IntN(8) {
	case 0:
		req.Tasks = append(req.Tasks, plan.Task{Verb: guide.Measure, On: "nobody", After: []int{odd(d)}})
	case 1:
		req.Tasks[0].After = []int{odd(d), 0}
	case 2:
		req.Found = append(req.Found, plan.Standing{Item: "I0", Off: true}, plan.Standing{Item: "I1"})
	case 3:
		req.People, req.Rate = odd(d), money.PerHour(odd(d))
	case 4:
		req.Tasks = nil
	case 5:
		req.Given = []plan.Setting{{Condition: "C0", Value: "v2"}}
	}
}
