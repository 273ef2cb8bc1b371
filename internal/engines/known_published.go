package engines

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"strconv"

	"elbowroom/guide"
	"elbowroom/plan"
)

//go:embed testdata/published.json
var publishedData []byte

// published is the form of testdata/published.json.
type published struct {
	Tutorial struct {
		Source string                `json:"source"`
		Ops    map[string]tutorialOp `json:"ops"`
		Rates  struct {
			PerSecond    float64 `json:"per_second"`
			PerKilojoule float64 `json:"per_kilojoule"`
			ToolChange   float64 `json:"tool_change"`
			Turn         float64 `json:"turn"`
		} `json:"rates"`
		Targets []int   `json:"targets"`
		Optimum float64 `json:"optimum"`
		Order   []int   `json:"order"`
	} `json:"tutorial"`
	WorstGreedy opsInstance `json:"worst_greedy"`
	WeakLMCut   opsInstance `json:"weak_lmcut"`
}

type tutorialOp struct {
	Tool       guide.ID `json:"tool"`
	Direction  guide.ID `json:"direction"`
	Seconds    float64  `json:"seconds"`
	Kilojoules float64  `json:"kilojoules"`
	After      []int    `json:"after"`
}

// opsInstance is a set of operations, each with a cost and sets of operations
// of which one must be complete before it.
type opsInstance struct {
	Source string `json:"source"`
	Ops    []struct {
		Cost         float64 `json:"cost"`
		Alternatives [][]int `json:"alternatives"`
	} `json:"ops"`
	Targets []int   `json:"targets"`
	Optimum float64 `json:"optimum"`
}

func publishedCases() []KnownCase {
	var p published
	if err := json.Unmarshal(publishedData, &p); err != nil {
		panic(fmt.Sprintf("engines: testdata/published.json: %v", err))
	}
	cases := []KnownCase{
		tutorial(&p),
		removals("seed 278", "sharing decides: a greedy choice is 61 % dearer", &p.WorstGreedy),
		removals("seed 253", "disjoint landmarks reach only 18.2 of the 25.1: the rest must be searched", &p.WeakLMCut),
	}
	return append(cases, brackets()...)
}

// tutorialMinutes is how many minutes stand for one unit of the tutorial's
// money, so that its three decimals are whole minutes.
const tutorialMinutes = 1000

// tutorial writes the published example by minutes: an hour of labour, a
// kilojoule, a tool change and a turn become minutes that stand for money.
// Only the removal is priced there, so everything is left open.
func tutorial(p *published) KnownCase {
	t := &p.Tutorial
	g := guide.Guide{Setup: guide.Setup{Move: mins(t.Rates.Turn * tutorialMinutes), Tool: mins(t.Rates.ToolChange * tutorialMinutes)}}
	for _, id := range []string{"1", "2", "3", "4", "5", "6"} {
		op := t.Ops[id]
		cost := op.Seconds*t.Rates.PerSecond + op.Kilojoules*t.Rates.PerKilojoule
		w := from(op.Direction, off(cost*tutorialMinutes, 0))
		w.Tools = []guide.ID{op.Tool}
		for _, k := range op.After {
			w.Needs = append(w.Needs, guide.Need{Item: removal(k)})
		}
		number, _ := strconv.Atoi(id) // the ids are the six literals above
		g.Items = append(g.Items, part(removal(number), w))
	}
	req := wantRemoved(&g, t.Targets)
	k := known("tutorial", "the set is small and the set-ups are most of the cost", t.Optimum*tutorialMinutes, g, req)
	k.Source = t.Source
	for _, n := range t.Order {
		k.Clears = append(k.Clears, removal(n))
	}
	return k
}

func removal(n int) guide.ID { return guide.ID("R" + strconv.Itoa(n)) }

// wantRemoved asks for items to be off: the task that does it takes no time and
// everything may stay open.
func wantRemoved(g *guide.Guide, targets []int) plan.Request {
	req := plan.Request{LeaveOpen: []guide.ID{"all"}, By: plan.ByMinutes}
	for i := range g.Items {
		it := &g.Items[i]
		it.Ways = append(it.Ways, guide.Way{Do: guide.Measure, Needs: []guide.Need{{Item: it.ID, Off: true}}})
	}
	for _, n := range targets {
		req.Tasks = append(req.Tasks, plan.Task{Verb: guide.Measure, On: removal(n)})
	}
	return req
}

// removals writes operations as items whose ways are the alternatives.
func removals(name, reason string, p *opsInstance) KnownCase {
	var g guide.Guide
	for i, op := range p.Ops {
		it := part(removal(i))
		for _, alternative := range op.Alternatives {
			w := off(op.Cost, 0)
			for _, k := range alternative {
				w.Needs = append(w.Needs, guide.Need{Item: removal(k)})
			}
			it.Ways = append(it.Ways, w)
		}
		g.Items = append(g.Items, it)
	}
	req := wantRemoved(&g, p.Targets)
	k := known(name, reason, p.Optimum, g, req)
	k.Source = p.Source
	return k
}

// brackets is one machine with three requests: a bracket that three groups of
// parts give access to, a sensor behind it and a loom clip.
func brackets() []KnownCase {
	const source = "constructed, optimum by brute force; costs of removal only"
	var p opsInstance
	p.Source = source
	add := func(cost float64, alternatives ...[]int) {
		p.Ops = append(p.Ops, struct {
			Cost         float64 `json:"cost"`
			Alternatives [][]int `json:"alternatives"`
		}{cost, alternatives})
	}
	add(1, nil)                          // 0 engine cover
	add(4, []int{0})                     // 1 intake duct
	add(6, []int{1})                     // 2 air box
	add(5, nil)                          // 3 battery
	add(4, []int{3})                     // 4 battery tray
	add(9, nil)                          // 5 front wheel
	add(5, []int{5})                     // 6 arch liner
	add(2, []int{2}, []int{4}, []int{6}) // 7 bracket
	add(1.5, []int{7}, []int{6})         // 8 sensor
	add(1, []int{1, 3})                  // 9 loom clip
	var cases []KnownCase
	for _, c := range []struct {
		name    string
		reason  string
		targets []int
		best    float64
	}{
		{"bracket, sensor", "battery 5, tray 4, bracket 2, sensor 1.5 beat the air box and the wheel", []int{8}, 12.5},
		{"bracket, clip", "cover 1, duct 4, battery 5, clip 1", []int{9}, 11},
		{"bracket, both", "the battery serves both: 18.5 and not 12.5 + 11", []int{8, 9}, 18.5},
	} {
		p.Targets, p.Optimum = c.targets, c.best
		cases = append(cases, removals(c.name, c.reason, &p))
	}
	return cases
}
