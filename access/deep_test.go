package access_test

import (
	"fmt"
	"sync/atomic"
	"testing"
	"time"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/plan"
)

// deepMachine has n items, each with one way, in the shape that needs returns:
// the items that have to be out of the way of item i. The task is on the last.
func deepMachine(n int, needs func(i int) []int) (*guide.Guide, plan.Request) {
	g := &guide.Guide{Format: guide.Format, ID: "deep", Currency: "EUR"}
	for i := range n {
		w := guide.Way{Do: guide.Off, Out: time.Minute, Back: time.Minute}
		for _, k := range needs(i) {
			w.Needs = append(w.Needs, guide.Need{Item: deepID(k)})
		}
		it := guide.Item{ID: deepID(i), Name: "item", Ways: []guide.Way{w}}
		if i == n-1 {
			w.Do = guide.Replace
			it.Ways = append(it.Ways, w)
		}
		g.Items = append(g.Items, it)
	}
	return g, plan.Request{Tasks: []plan.Task{{Verb: guide.Replace, On: deepID(n - 1)}}, By: plan.ByMinutes}
}

func deepID(i int) guide.ID { return guide.ID(fmt.Sprintf("D%d", i)) }

// deepShapes are machines of which the best plan clears every item but the
// last.
var deepShapes = []struct {
	name  string
	needs func(i, n int) []int
}{
	{"chain", func(i, _ int) []int {
		if i == 0 {
			return nil
		}
		return []int{i - 1}
	}},
	{"turned chain", func(i, n int) []int { // the same, listed from the inside
		switch i {
		case n - 1:
			return []int{0}
		case n - 2:
			return nil
		}
		return []int{i + 1}
	}},
	{"tree", func(i, n int) []int { // a heap turned round
		var list []int
		for _, k := range []int{2*(n-1-i) + 1, 2*(n-1-i) + 2} {
			if k < n {
				list = append(list, n-1-k)
			}
		}
		return list
	}},
	{"wide", func(i, n int) []int {
		if i < n-1 {
			return nil
		}
		list := make([]int, n-1)
		for k := range list {
			list[k] = k
		}
		return list
	}},
}

// TestDeep plans machines of thousands of items, deep or wide, to the proof.
func TestDeep(t *testing.T) {
	for _, shape := range deepShapes {
		for _, n := range []int{2, 1001, 3000, 20_000} {
			t.Run(fmt.Sprint(shape.name, n), func(t *testing.T) {
				g, req := deepMachine(n, func(i int) []int { return shape.needs(i, n) })
				r := resolved(t, g, "")
				got, err := planner(t, r).Plan(req, access.Limits{})
				if err != nil {
					t.Fatal(err)
				}
				if want := time.Duration(2*(n-1)+1) * time.Minute; got.Outcome != plan.Optimal || got.Cost.Total() != want || len(got.Steps) != 2*n-1 {
					t.Errorf("%s, %v in %d steps, want %v in %d", got.Outcome, got.Cost.Total(), len(got.Steps), want, 2*n-1)
				}
				audited(t, r, req, got)
			})
		}
	}
}

// awkward is a deep machine with four places, three tools, conditions and
// waits, so that its order has to be searched for.
func awkward(n int, needs func(i int) []int) engines.Case {
	g, req := deepMachine(n, needs)
	other := engines.Adversarial(1).Guide
	g.Setup, g.Places, g.Tools, g.Conditions = other.Setup, other.Places, other.Tools, other.Conditions
	for c := range g.Conditions {
		for v := range g.Conditions[c].Values {
			g.Conditions[c].Values[v].Fitted = nil
		}
	}
	for i := range g.Items {
		w := &g.Items[i].Ways[0]
		w.From, w.Tools = other.Places[i*i%7%4].ID, []guide.ID{other.Tools[i*7%5%3].ID}
		if i%11 == 3 {
			w.With = append(w.With, guide.Req{Condition: "engine", Value: "cold"})
		}
		if i%13 == 3 {
			w.With = append(w.With, guide.Req{Condition: "raised", Value: "yes"})
		}
	}
	return engines.Case{Name: fmt.Sprint("awkward ", n), Guide: g, Request: req}
}

// TestStopAnywhere stops planning at some question or other, on machines that
// take minutes to plan to the proof: it ends then, does not ask again, and
// what it has found holds.
func TestStopAnywhere(t *testing.T) {
	cases := []engines.Case{engines.Adversarial(0), engines.Adversarial(3), engines.Hard(0, 300), engines.Like(1, 1000)}
	for _, shape := range deepShapes {
		cases = append(cases, awkward(600, func(i int) []int { return shape.needs(i, 600) }))
	}
	bounded := 0
	for _, c := range cases {
		r, err := c.Resolve()
		if err != nil {
			t.Fatal(err)
		}
		p := planner(t, r)
		for _, at := range []int64{1, 2, 7, 40, 300} {
			s := &stopper{at: at}
			got, err := p.Plan(c.Request, access.Limits{Stop: s.ask})
			if err != nil {
				t.Fatal(err)
			}
			audited(t, r, c.Request, got)
			s.check(t, c.Name+" plan")
			if got.Outcome == plan.Bounded {
				bounded++
			}
			for what, ask := range map[string]func(lim access.Limits) error{
				"runners-up": func(lim access.Limits) error { _, err := p.RunnersUp(c.Request, 3, lim); return err },
				"holds":      func(lim access.Limits) error { _, err := p.Holds(c.Request, lim); return err },
				"reach":      func(lim access.Limits) error { _, err := p.Reach(c.Request, lim); return err },
			} {
				s := &stopper{at: at}
				if err := ask(access.Limits{Stop: s.ask}); err != nil {
					t.Fatal(err)
				}
				s.check(t, c.Name+" "+what)
			}
		}
	}
	if bounded < 10 {
		t.Errorf("only %d plans had to be left unproved: nothing was stopped", bounded)
	}
}

// reachAtOnce is how many rows of the table are priced at a time: each may
// have asked already when one hears that it is time.
const reachAtOnce = 4

// stopper says stop when it is asked for the at-th time and from then on.
type stopper struct {
	at    int64
	asked atomic.Int64
}

func (s *stopper) ask() bool { return s.asked.Add(1) >= s.at }

func (s *stopper) check(t *testing.T, what string) {
	t.Helper()
	if n := s.asked.Load(); n >= s.at+reachAtOnce {
		t.Errorf("%s: asked %d times after it was told to stop", what, n-s.at)
	}
}
