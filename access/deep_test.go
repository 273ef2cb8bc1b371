package access_test

import (
	"fmt"
	"testing"
	"time"

	"elbowroom/access"
	"elbowroom/guide"
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
		for _, n := range []int{2, 1001, 5000} {
			t.Run(fmt.Sprint(shape.name, n), func(t *testing.T) {
				g, req := deepMachine(n, func(i int) []int { return shape.needs(i, n) })
				r := resolved(t, g, "")
				p := planner(t, r)
				start := time.Now()
				got, err := p.Plan(req, access.Limits{})
				t.Log(time.Since(start))
				if err != nil {
					t.Fatal(err)
				}
				if want := time.Duration(2*(n-1)+1) * time.Minute; got.Outcome != plan.Optimal || got.Cost.Total() != want || len(got.Steps) != 2*n-1 {
					t.Errorf("%s, %v in %d steps, want %v in %d", got.Outcome, got.Cost.Total(), len(got.Steps), want, 2*n-1)
				}
				start = time.Now()
				audited(t, r, req, got)
				t.Log("audit", time.Since(start))
			})
		}
	}
}
