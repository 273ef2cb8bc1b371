package vet

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/cite"
	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/span"
)

const minute = time.Minute

// share is a pointer to a probability.
func share(p float64) *float64 { return &p }

func nm(n float64) []guide.Stage { return []guide.Stage{{Torque: quantity.Of(n, "N·m")}} }

// clean is a small guide with which nothing is wrong. Every case below changes
// one thing in it.
func clean() *guide.Guide {
	return &guide.Guide{
		Format: 1, ID: "small", Source: "bench",
		Sources: []cite.Source{{ID: "bench", Grade: cite.FirstHand, Who: "I. Pellow"}, {ID: "talk", Grade: cite.Hearsay}},
		Axes:    []guide.Axis{{ID: "drive", Question: "On which side is the wheel?", Values: []guide.AxisValue{{ID: "LHD"}, {ID: "RHD"}}}},
		Places:  []guide.Place{{ID: "top", Name: "from above"}},
		Conditions: []guide.Condition{
			{
				ID: "engine", Name: "Engine", Start: "hot", End: guide.AnyEnd, Values: []guide.Value{{ID: "hot"}, {ID: "cold"}},
				Changes: []guide.Change{{From: "hot", To: "cold", Wait: 30 * minute}},
			},
			{
				ID: "running", Name: "Running", Start: "no", Values: []guide.Value{{ID: "no"}, {ID: "yes", Fitted: []guide.ID{"DUCT"}}},
				Changes: []guide.Change{{From: "no", To: "yes", Minutes: minute}, {From: "yes", To: "no", Minutes: minute}},
			},
		},
		Tools:    []guide.Tool{{ID: "wrench", Name: "wrench A", Lowest: quantity.Of(5, "N·m"), Highest: quantity.Of(60, "N·m")}},
		Parts:    []guide.Part{{ID: "ring", Name: "sealing ring", Price: 120, SingleUse: true}},
		Cautions: []guide.Caution{{ID: "burn", Text: "Hot parts.", Authority: "ISO 13732-1", Safe: []guide.Req{{Condition: "engine", Value: "cold"}}}},
		Kinds:    []guide.Kind{{ID: "coil", Name: "Ignition coil", Joints: []guide.Joint{{Count: 1, Thread: "M6", Class: "8.8", State: guide.Dry, Torque: guide.Given, Stages: nm(9)}}}},
		Items: []guide.Item{
			{ID: "COVER", Name: "Top cover", At: box(0), Ways: []guide.Way{{Do: guide.Off, From: "top", Out: minute, Back: minute}}},
			{ID: "DUCT", Name: "Air duct", At: box(0), Ways: []guide.Way{{Do: guide.Off, From: "top", Needs: []guide.Need{{Item: "COVER"}}, Out: 3 * minute, Back: 4 * minute}}},
			{ID: "COIL", Name: "Coil, left", Kind: "coil", Side: guide.Left, At: box(200), Ways: []guide.Way{
				{Do: guide.Replace, From: "top", Needs: []guide.Need{{Item: "COVER"}}, With: []guide.Req{{Condition: "running", Value: "no"}}, Out: 4 * minute},
				{Do: guide.Measure, From: "top", Needs: []guide.Need{{Item: "COVER"}}, Out: 2 * minute},
			}},
		},
		Circuits: []guide.Circuit{{
			ID: "feed", Name: "Coil feed", Nodes: []guide.Node{{ID: "B", Sort: guide.SupplyNode}, {ID: "F1", Sort: guide.FuseNode}, {ID: "L", Sort: guide.LoadNode}},
			Wires: []guide.Wire{{From: "B", To: "F1"}, {From: "F1", To: "L"}},
		}},
		Checks: []guide.Check{{
			ID: "T1", Name: "coil resistance", On: []guide.ID{"COIL"}, At: "coil connector", Point: "COIL", With: []guide.Req{{Condition: "running", Value: "no"}},
			Limits: []guide.Limit{{Low: quantity.Of(0.5, "Ω"), High: quantity.Of(0.6, "Ω")}}, Minutes: 2 * minute,
			Fails: []guide.Odds{{Fault: "F1", P: 0.9}}, Otherwise: share(0.02),
		}},
		Faults: []guide.Fault{{
			ID: "F1", On: "COIL", Name: "coil open", Weight: 3, Codes: []string{"P0351", "P0351-P0356"}, FoundBy: []guide.ID{"T1"},
			Task: &guide.TaskID{Verb: guide.Replace, On: "COIL"},
		}},
		Notes: []guide.Note{{On: "COIL", Text: "Comes out easily."}},
		Tests: []guide.Test{{ID: "one", Tasks: []guide.TaskID{{Verb: guide.Replace, On: "COIL"}}, Start: []string{"COVER", "engine=cold"}, Steps: []guide.ID{"COVER"}}},
	}
}

func box(y float64) []guide.Shape {
	return []guide.Shape{{Form: guide.Box, Centre: guide.Point{Y: y}, Size: guide.Point{X: 10, Y: 10, Z: 10}}}
}

func TestCleanGuideHasNoFindings(t *testing.T) {
	if l := Check(clean(), nil, Options{}); len(l) > 0 {
		t.Errorf("findings on a clean guide:\n%v", l)
	}
}

// vetCase changes the clean guide so that exactly the findings of one rule
// come up.
type vetCase struct {
	name   string // and reason
	rule   string
	change func(g *guide.Guide, o *Options)
	where  string // of the first finding
	says   string // part of the first finding
	count  int    // 0 means 1
}

func (c vetCase) run(t *testing.T) {
	t.Helper()
	g, o := clean(), Options{}
	c.change(g, &o)
	l := Check(g, nil, o)
	for _, f := range l {
		if f.Rule != c.rule {
			t.Errorf("%s: finding of another rule: %s: %v", c.name, f.Rule, f)
		}
		if f.Do == "" || f.Says == "" || f.Where == "" {
			t.Errorf("%s: finding without where, what or what to do: %+v", c.name, f)
		}
	}
	if len(l) != max(c.count, 1) {
		t.Fatalf("%s: %d findings, want %d:\n%v", c.name, len(l), max(c.count, 1), l)
	}
	if !strings.Contains(l[0].Says, c.says) || l[0].Where != c.where {
		t.Errorf("%s: found %q at %s; want %q at %s", c.name, l[0].Says, l[0].Where, c.says, c.where)
	}
}

func way(g *guide.Guide, item, n int) *guide.Way { return &g.Items[item].Ways[n] }

// The places of things in the clean guide.
const (
	cover, duct, coil = 0, 1, 2
	engine, running   = 0, 1
)

func cases() []vetCase {
	return slices.Concat(wayCases(), jointCases(), checkCases(), wordCases(), sourceCases())
}

func TestEveryRule(t *testing.T) {
	tested := map[string]bool{}
	for _, c := range cases() {
		tested[c.rule] = true
		t.Run(c.rule+"/"+strings.ReplaceAll(c.name, " ", "-"), c.run)
	}
	for _, r := range Rules {
		if !tested[r.ID] {
			t.Errorf("rule %s has no case", r.ID)
		}
		if r.Says == "" || r.look == nil {
			t.Errorf("rule %s says nothing or looks at nothing", r.ID)
		}
	}
}

func wayCases() []vetCase {
	return []vetCase{
		{"needs an item that has no way off", "unreachable-item", func(g *guide.Guide, _ *Options) {
			g.Items = append(g.Items, guide.Item{ID: "RAIL", Name: "Frame", At: box(0)})
			way(g, duct, 0).Needs = []guide.Need{{Item: "RAIL"}}
		}, "items.DUCT", "no way off or aside", 0},
		{"can stand aside but is needed off", "unreachable-item", func(g *guide.Guide, _ *Options) {
			g.Items = append(g.Items, guide.Item{ID: "HOSE", Name: "Hose", At: box(0), Ways: []guide.Way{{Do: guide.Aside, Out: minute, Back: minute}}})
			way(g, duct, 0).Needs = []guide.Need{{Item: "HOSE", Off: true}}
		}, "items.DUCT", "no way off", 0},
		{"only on one variant", "unreachable-item", func(g *guide.Guide, _ *Options) {
			way(g, duct, 0).For = guide.Selector{{Values: []guide.ID{"LHD"}}}
			w := *way(g, duct, 0)
			w.For = guide.Selector{{Values: []guide.ID{"RHD"}}}
			w.Needs = []guide.Need{{Item: "COIL"}}
			g.Items[duct].Ways = append(g.Items[duct].Ways, w)
		}, "items.DUCT", "on RHD", 0},
		{"two covers each under the other", "only-in-a-circle", func(g *guide.Guide, _ *Options) {
			g.Items = append(g.Items,
				guide.Item{ID: "A", Name: "Panel A", At: box(0), Ways: []guide.Way{{Do: guide.Off, Needs: []guide.Need{{Item: "B"}}, Out: minute, Back: minute}}},
				guide.Item{ID: "B", Name: "Panel B", At: box(0), Ways: []guide.Way{{Do: guide.Off, Needs: []guide.Need{{Item: "A"}}, Out: minute, Back: minute}}})
		}, "items.A", "A needs B needs A", 0},
		{"a task behind an item that nobody can clear", "no-way", func(g *guide.Guide, _ *Options) {
			g.Items = append(g.Items, guide.Item{ID: "RAIL", Name: "Frame", At: box(0)})
			way(g, coil, 0).Needs = []guide.Need{{Item: "RAIL"}}
		}, "items.COIL", "nobody can replace", 0},
		{"a task that one variant lacks", "no-way", func(g *guide.Guide, _ *Options) {
			way(g, coil, 0).For = guide.Selector{{Axis: "drive", Values: []guide.ID{"RHD"}}}
		}, "items.COIL", "no way to replace Coil, left (COIL) on LHD", 0},
		{"a repair that no way does", "no-way", func(g *guide.Guide, _ *Options) {
			g.Faults[0].Task = &guide.TaskID{Verb: guide.Clean, On: "COIL"}
		}, "faults.F1.task", "no way does that", 0},
		{"a check whose point has no way", "no-way", func(g *guide.Guide, _ *Options) { g.Checks[0].Point = "DUCT" }, "checks.T1.point", "no way leads there", 0},
		{"two values of one condition", "contradiction", func(g *guide.Guide, _ *Options) {
			way(g, coil, 0).With = append(way(g, coil, 0).With, guide.Req{Condition: "running", Value: "yes"})
		}, "items.COIL.ways[0]", "the way asks for both running=no and running=yes", 0},
		{"a value and its opposite", "contradiction", func(g *guide.Guide, _ *Options) {
			way(g, coil, 0).With = append(way(g, coil, 0).With, guide.Req{Condition: "running", Value: "no", Not: true})
		}, "items.COIL.ways[0]", "forbids it", 0},
		{"every value forbidden", "contradiction", func(g *guide.Guide, _ *Options) {
			way(g, coil, 0).With = []guide.Req{{Condition: "running", Value: "no", Not: true}, {Condition: "running", Value: "yes", Not: true}}
		}, "items.COIL.ways[0]", "every value of running", 0},
		{
			"needs off what must be fitted", "contradiction", func(g *guide.Guide, _ *Options) { way(g, coil, 0).Fitted = []guide.ID{"COVER"} },
			"items.COIL.ways[0]", "must be out of the way", 0,
		},
		{"running asks for what the way takes off", "contradiction", func(g *guide.Guide, _ *Options) {
			way(g, coil, 0).With = []guide.Req{{Condition: "running", Value: "yes"}}
			way(g, coil, 0).Needs = []guide.Need{{Item: "DUCT"}}
		}, "items.COIL.ways[0]", "running=yes asks for it", 0},
		{"a caution's safe condition against the way", "contradiction", func(g *guide.Guide, _ *Options) {
			way(g, coil, 0).Cautions = []guide.ID{"burn"}
			way(g, coil, 0).With = []guide.Req{{Condition: "engine", Value: "hot"}}
		}, "items.COIL.ways[0]", "caution burn", 0},
		{"a closed check behind a cover", "contradiction", func(g *guide.Guide, _ *Options) { g.Checks[0].Closed = true }, "checks.T1", "no way to the measuring point", 0},
		{"a value that can never hold", "contradiction", func(g *guide.Guide, _ *Options) {
			g.Conditions[running].Values[1].With = []guide.Req{{Condition: "running", Value: "no"}}
		}, "conditions.running.values[1]", "never hold", 0},
		{"a change that contradicts itself", "contradiction", func(g *guide.Guide, _ *Options) {
			g.Conditions[running].Changes[0].With = []guide.Req{{Condition: "engine", Value: "hot"}, {Condition: "engine", Value: "cold"}}
		}, "conditions.running.changes[0]", "the change contradicts itself", 0},
		{"releasing asks for what it releases", "contradiction", func(g *guide.Guide, _ *Options) {
			g.Conditions[engine].Changes[0].Cautions = []guide.ID{"burn"}
			g.Conditions[engine].Start = "cold"
			g.Conditions[engine].Changes = append(g.Conditions[engine].Changes, guide.Change{From: "cold", To: "hot", Wait: minute})
		}, "conditions.engine.changes[0]", "caution burn", 0},
		{"needs itself", "own-item", func(g *guide.Guide, _ *Options) {
			g.Items[duct].Ways = append(g.Items[duct].Ways, guide.Way{Do: guide.Aside, Needs: []guide.Need{{Item: "DUCT"}}, Out: minute, Back: minute})
		}, "items.DUCT.ways[1]", "DUCT itself", 0},
		{"a value nobody can bring about", "unattainable-value", func(g *guide.Guide, _ *Options) {
			g.Conditions[engine].Values = append(g.Conditions[engine].Values, guide.Value{ID: "frozen"})
			g.Checks[0].With = append(g.Checks[0].With, guide.Req{Condition: "engine", Value: "frozen"})
		}, "conditions.engine.values[2]", "no change brings engine to frozen", 0},
		{
			"raised and never lowered", "no-way-back", func(g *guide.Guide, _ *Options) { g.Conditions[running].Changes = g.Conditions[running].Changes[:1] },
			"conditions.running.changes[0]", "no change leads back to no", 0,
		},
		{"eleven hours for one cover", "absurd-minutes", func(g *guide.Guide, _ *Options) { way(g, cover, 0).Out = 660 * minute }, "items.COVER.ways[0]", "longer than any one step", 0},
		{"no time to go back", "absurd-minutes", func(g *guide.Guide, _ *Options) { way(g, cover, 0).Back = 0 }, "items.COVER.ways[0]", "goes back in no time", 0},
		{"no time at all", "absurd-minutes", func(g *guide.Guide, _ *Options) { way(g, cover, 0).Out, way(g, cover, 0).Back = 0, 0 }, "items.COVER.ways[0]", "in no time", 0},
		{"negative", "absurd-minutes", func(g *guide.Guide, _ *Options) { way(g, cover, 0).Out = -minute }, "items.COVER.ways[0]", "negative", 0},
		{"a task in no time", "absurd-minutes", func(g *guide.Guide, _ *Options) { way(g, coil, 0).Out = 0 }, "items.COIL.ways[0]", "takes no time", 0},
		{"a wait of a week", "absurd-minutes", func(g *guide.Guide, _ *Options) { g.Conditions[engine].Changes[0].Wait = 168 * time.Hour }, "conditions.engine.changes[0]", "longer than any visit", 0},
		{"a check in no time", "absurd-minutes", func(g *guide.Guide, _ *Options) { g.Checks[0].Minutes = 0 }, "checks.T1.minutes", "takes 0s", 0},
	}
}

func jointed(j guide.Joint) func(*guide.Guide, *Options) {
	return func(g *guide.Guide, _ *Options) { g.Items[cover].Joints = append(g.Items[cover].Joints, j) }
}

func jointCases() []vetCase {
	m6 := guide.Joint{Count: 4, Thread: "M6", Class: "8.8", State: guide.Dry, Torque: guide.Given, Stages: nm(9)}
	with := func(change func(j *guide.Joint)) guide.Joint {
		j := m6
		change(&j)
		return j
	}
	return []vetCase{
		{"said to be unknown", "torque-unknown", jointed(guide.Joint{Count: 1, Thread: "M6", Torque: guide.Unknown}), "items.COVER.joints[0]", "nobody has written down", 0},
		{"nothing said", "torque-unknown", jointed(guide.Joint{Count: 1, Thread: "M6"}), "items.COVER.joints[0]", "nothing is said", 0},
		{"90 for 9", "torque-implausible", jointed(with(func(j *guide.Joint) { j.Stages = nm(60) })), "items.COVER.joints[0]", "above the 15.7 N·m", 0},
		{"0.9 for 9", "torque-implausible", func(g *guide.Guide, o *Options) {
			jointed(with(func(j *guide.Joint) { j.Stages = nm(0.9) }))(g, o)
			o.Wrenches = []Wrench{{"driver", quantity.Of(0.5, "N·m"), quantity.Of(6, "N·m")}}
		}, "items.COVER.joints[0]", "nearly idle", 0},
		{"no such thread", "thread-form", jointed(with(func(j *guide.Joint) { j.Thread = "M6x4" })), "items.COVER.joints[0]", "cannot be judged", 0},
		{
			"ten millimetres in aluminium", "short-engagement", jointed(guide.Joint{Count: 2, Thread: "M8", Lengths: []float64{10}, Class: "8.8", Into: "aluminium", Stages: nm(25)}),
			"items.COVER.joints[0]", "of thread in aluminium", 0,
		},
		{"above every wrench", "no-wrench", jointed(guide.Joint{Count: 1, Thread: "M14x1.5", Class: "10.9", Stages: nm(140)}), "items.COVER.joints[0]", "no torque wrench", 0},
		{"twice in one item", "torque-conflict", func(g *guide.Guide, _ *Options) {
			g.Items[cover].Joints = []guide.Joint{m6, with(func(j *guide.Joint) { j.Stages = nm(10) })}
		}, "items.COVER.joints[1]", "9 N·m dry and 10 N·m dry", 0},
		{"item and kind", "torque-conflict", func(g *guide.Guide, _ *Options) {
			j := g.Kinds[0].Joints[0]
			j.Stages = nm(8)
			g.Items[coil].Joints = []guide.Joint{j}
		}, "items.COIL.joints[0]", "its kind coil says 9 N·m dry", 0},
		{
			"the old value written once more", "superseded-in-use", jointed(with(func(j *guide.Joint) { j.Was = []guide.Was{{Value: "9 N·m", Reason: "leads broke"}} })),
			"items.COVER.joints[0].was[0]", "still its present value", 0,
		},
		{
			"old for no reason", "superseded-bare", jointed(with(func(j *guide.Joint) { j.Was = []guide.Was{{Value: "11 N·m"}} })),
			"items.COVER.joints[0].was[0]", "nobody says why", 0,
		},
		{"nothing to replace them", "single-use-part", jointed(with(func(j *guide.Joint) { j.Reuse = guide.SingleUse })), "items.COVER.joints[0]", "no part replaces them", 0},
		{"turned by angle and used again", "angle-reused", jointed(with(func(j *guide.Joint) {
			j.Reuse, j.Stages = guide.Reusable, append(nm(6), guide.Stage{Angle: 90})
		})), "items.COVER.joints[0]", "tightened by angle", 0},
		{"a gasket in words", "unpriced-use", func(g *guide.Guide, _ *Options) { way(g, cover, 0).Uses = []guide.Use{{Words: "cover gasket"}} }, "items.COVER.ways[0].uses[0]", "no price", 0},
	}
}

// Not every difference is a finding.
func TestQuietJoints(t *testing.T) {
	rhd, lhd := guide.Selector{{Values: []guide.ID{"RHD"}}}, guide.Selector{{Values: []guide.ID{"LHD"}}}
	for name, joints := range map[string][]guide.Joint{
		"not applicable is a fact":          {{Count: 2, What: "clip", Torque: guide.NotApplicable}},
		"out of scope is a fact":            {{Count: 4, Thread: "M8", Torque: guide.OutOfScope}},
		"clips are not tightened":           {{Count: 2, What: "clip"}},
		"a plug seals with little":          {{Count: 1, Thread: "M12x1.5", What: "cap", Stages: nm(6)}},
		"plastic has no class":              {{Count: 1, Thread: "M8", Class: "plastic", Stages: nm(5)}},
		"an angle after a low torque":       {{Count: 6, Thread: "M10", Class: "10.9", Stages: append(nm(5), guide.Stage{Angle: 90})}},
		"two variants, two torques":         {{Count: 4, Thread: "M6", For: rhd, Stages: nm(9)}, {Count: 4, Thread: "M6", For: lhd, Stages: nm(8)}},
		"dry and oiled, two torques":        {{Count: 4, Thread: "M6", State: guide.Dry, Stages: nm(9)}, {Count: 4, Thread: "M6", State: guide.Oiled, Stages: nm(7)}},
		"two places, two torques":           {{Count: 4, Thread: "M6", Stages: nm(9)}, {Count: 2, Thread: "M6", Stages: nm(8)}},
		"single-use with its part":          {{Count: 2, Thread: "M8", Reuse: guide.SingleUse, Part: "ring", Stages: nm(22)}},
		"light covers on M6 without class":  {{Count: 3, Thread: "M6", Stages: nm(5)}},
		"inch threads are not judged":       {{Count: 1, Thread: "G1/4", What: "plug", Stages: nm(20)}},
		"long enough in aluminium":          {{Count: 1, Thread: "M8", Lengths: []float64{30}, Into: "aluminium", Stages: nm(20)}},
		"a torque tool at the very mark":    {{Count: 1, Thread: "M10", Class: "10.9", Stages: nm(60)}},
		"oiled stainless within its bounds": {{Count: 1, Thread: "M6", Class: "A2-70", State: guide.Oiled, Stages: nm(7)}},
	} {
		g := clean()
		g.Items[cover].Joints = joints
		if l := Check(g, nil, Options{}); len(l) > 0 {
			t.Errorf("%s:\n%v", name, l)
		}
	}
}

func checkCases() []vetCase {
	limit := func(l guide.Limit) func(*guide.Guide, *Options) {
		return func(g *guide.Guide, _ *Options) { g.Checks[0].Limits = []guide.Limit{l} }
	}
	return []vetCase{
		{"no condition", "limit-without-conditions", func(g *guide.Guide, _ *Options) { g.Checks[0].With = nil }, "checks.T1.limits[0]", "depends on the conditions", 0},
		{"upside down", "limit-empty", limit(guide.Limit{Low: quantity.Of(2, "Ω"), High: quantity.Of(1, "Ω")}), "checks.T1.limits[0]", "no reading", 0},
		{"pressure in volts", "impossible-unit", func(g *guide.Guide, _ *Options) {
			g.Checks[0].Name = "oil pressure"
			g.Checks[0].Limits[0] = guide.Limit{High: quantity.Of(2, "V")}
		}, "checks.T1.limits[0]", "speaks of pressure and its limit is a voltage", 0},
		{"a difference in degrees Celsius", "impossible-unit", func(g *guide.Guide, _ *Options) {
			g.Checks[0].Name = "housing temperature minus reading"
			g.Checks[0].Limits[0] = guide.Limit{High: quantity.Of(4, "°C")}
		}, "checks.T1.limits[0]", "difference of two temperatures", 0},
		{"nothing makes it fail", "idle-check", func(g *guide.Guide, _ *Options) {
			c := g.Checks[0]
			c.ID, c.Fails = "T2", nil
			g.Checks = append(g.Checks, c)
		}, "checks.T2", "no fault makes check T2", 0},
		{"nothing finds it", "hidden-fault", func(g *guide.Guide, _ *Options) {
			g.Faults = append(g.Faults, guide.Fault{ID: "F2", On: "DUCT", Name: "split", Weight: 1})
		}, "faults.F2", "no check can find fault F2", 0},
		{"a probability of 90", "odds", func(g *guide.Guide, _ *Options) { g.Checks[0].Fails[0].P = 90 }, "checks.T1.fails[0]", "no probability", 0},
		{"a weight of nothing", "odds", func(g *guide.Guide, _ *Options) { g.Faults[0].Weight = 0 }, "faults.F1.weight", "never be suspected", 0},
		{"a life in bar", "wear", func(g *guide.Guide, _ *Options) {
			g.Faults[0].Wear = &guide.Wear{Life: quantity.Of(3, "bar"), Shape: 2}
		}, "faults.F1.wear.life", "neither a distance nor a time", 0},
		{"a life of nothing", "wear", func(g *guide.Guide, _ *Options) {
			g.Faults[0].Wear = &guide.Wear{Life: quantity.Of(0, "km"), Shape: 2}
		}, "faults.F1.wear.life", "is none", 0},
		{"a shape of nothing", "wear", func(g *guide.Guide, _ *Options) {
			g.Faults[0].Wear = &guide.Wear{Life: quantity.Of(180000, "km")}
		}, "faults.F1.wear.shape", "no part has a life", 0},
		{"a code with a letter too many", "code-form", func(g *guide.Guide, _ *Options) { g.Faults[0].Codes = []string{"P01xx"} }, "faults.F1.codes[0]", "not the form", 0},
		{"a range that runs backwards", "code-form", func(g *guide.Guide, _ *Options) { g.Faults[0].Codes = []string{"P0304-P0301"} }, "faults.F1.codes[0]", "backwards", 0},
		{"a range across letters", "code-form", func(g *guide.Guide, _ *Options) { g.Faults[0].Codes = []string{"B0301-P0304"} }, "faults.F1.codes[0]", "one letter to another", 0},
		{"a node nobody wired", "open-circuit", func(g *guide.Guide, _ *Options) {
			g.Circuits[0].Nodes = append(g.Circuits[0].Nodes, guide.Node{ID: "G", Sort: guide.GroundNode})
		}, "circuits.feed.nodes.G", "nothing is connected", 0},
		{"a fuse with one side", "open-circuit", func(g *guide.Guide, _ *Options) { g.Circuits[0].Wires[1].From = "B" }, "circuits.feed.nodes.F1", "does not leave it", 0},
		{"a test of an item that is gone", "test-unknown", func(g *guide.Guide, _ *Options) { g.Tests[0].Tasks[0].On = "XX" }, "tests.one.tasks[0]", "no such item", 0},
		{"a test step that is gone", "test-unknown", func(g *guide.Guide, _ *Options) { g.Tests[0].Steps[0] = "XX" }, "tests.one.steps[0]", "waits for a step on XX", 0},
		{"a test that starts nowhere", "test-unknown", func(g *guide.Guide, _ *Options) { g.Tests[0].Start = []string{"engine=lukewarm", "YY aside"} }, "tests.one.start[0]", "no value of a condition", 2},
	}
}

func wordCases() []vetCase {
	name := func(s string) func(*guide.Guide, *Options) {
		return func(g *guide.Guide, _ *Options) { g.Items[cover].Name = s }
	}
	return []vetCase{
		{"bare plug", "bare-word", name("Plug"), "items.COVER.name", "spark plug", 0},
		{"bare plug on the side of something", "bare-word", func(g *guide.Guide, _ *Options) { g.Checks[0].At = "at the plug, back-probed" }, "checks.T1.at", "connector", 0},
		{"left without a place", "side-open", func(g *guide.Guide, _ *Options) { g.Items[cover].Name, g.Items[cover].At = "Left cover", nil }, "items.COVER.name", "left or right of what", 0},
		{"left on the right", "side-wrong", func(g *guide.Guide, _ *Options) { g.Items[coil].At = box(-200) }, "items.COIL.at", "lies at y = -200", 0},
		{"named left, recorded right", "side-wrong", func(g *guide.Guide, _ *Options) { g.Items[coil].Side = guide.Right }, "items.COIL.side", "named for one side", 0},
		{"warm without a number", "vague-condition", func(g *guide.Guide, _ *Options) { g.Checks[0].When = []guide.Clause{{Words: "warm"}} }, "checks.T1.when[0]", "coolant", 0},
		{"ok is no limit", "vague-condition", func(g *guide.Guide, _ *Options) { g.Checks[0].Limits = []guide.Limit{{Words: "OK"}} }, "checks.T1.limits[0]", "no value", 0},
	}
}

func TestWordsThatAreClear(t *testing.T) {
	for _, s := range []string{"Spark plug 3", "Drain plug", "plug holes", "2-pin plug, unplugged", "EL01 plug", "Hose clip", "crankcase vent", "sensor plug"} {
		if d, ok := bareWord(s); ok {
			t.Errorf("%q: %s taken for bare", s, d.word)
		}
	}
	for _, s := range []string{"plug", "Plugs, left", "at the plug", "left plug", "a clip"} {
		if _, ok := bareWord(s); !ok {
			t.Errorf("%q: passed as clear", s)
		}
	}
}

func sourceCases() []vetCase {
	return []vetCase{
		{"nobody says so", "no-source", func(g *guide.Guide, _ *Options) {
			g.Source = ""
			for i := range g.Items[:2] {
				g.Items[i].Source = "bench"
			}
			g.Kinds[0].Source, g.Checks[0].Source, g.Faults[0].Source, g.Notes[0].Source = "bench", "bench", "bench", "bench"
			g.Conditions[0].Source = "bench"
		}, "conditions.running", "no source", 1},
		{"two notes, better source second", "notes-conflict", func(g *guide.Guide, _ *Options) {
			g.Notes = append(g.Notes, guide.Note{On: "COIL", Text: "Never comes out.", Contradict: 1, Source: "talk"})
		}, "notes[1]", "disagrees with", 0},
		{"a note against itself", "notes-conflict", func(g *guide.Guide, _ *Options) { g.Notes[0].Contradict = 1 }, "notes[0]", "not another note", 0},
		{"a waiting time of the maker", "maker-value", func(g *guide.Guide, _ *Options) { g.Cautions[0].Ask = "waiting time" }, "cautions.burn", "nobody has answered", 0},
		{"a wait of unknown length", "maker-value", func(g *guide.Guide, _ *Options) { g.Conditions[engine].Changes[0].WaitUnknown = true }, "conditions.engine.changes[0]", "only the maker can say", 0},
		{"a caution on nobody's word", "no-authority", func(g *guide.Guide, _ *Options) { g.Cautions[0].Authority = "" }, "cautions.burn", "no authority", 0},
		{"two boxes in one place", "overlap", func(_ *guide.Guide, o *Options) {
			o.Overlaps = func(guide.Selector) []Overlap { return []Overlap{{"COVER", "DUCT", 12}} }
		}, "items.DUCT.at", "12 mm deep", 0},
	}
}

// A note that contradicts says which source weighs more.
func TestConflictWeighsSources(t *testing.T) {
	g := clean()
	g.Notes = append(g.Notes, guide.Note{On: "COIL", Text: "Never.", Contradict: 1, Source: "talk"})
	l := Check(g, nil, Options{})
	if len(l) != 1 || !strings.Contains(l[0].Do, "the second weighs more, being first-hand") {
		t.Errorf("%v", l)
	}
}

// places knows some paths of a text.
type places map[string]span.Pos

func (p places) At(path string) span.Pos { return p[path] }

// A finding stands where the value was written, or at the nearest thing
// around it.
func TestFindingsHavePlaces(t *testing.T) {
	g := clean()
	way(g, cover, 0).Back = 0
	g.Cautions[0].Authority = ""
	pos := places{"items.COVER": {File: "items.yaml", Line: 7, Col: 3}, "cautions.burn": {File: "a.yaml", Line: 2, Col: 1}}
	l := Check(g, pos, Options{})
	if len(l) != 2 || l[0].Pos.String() != "a.yaml:2:1" || l[1].Pos.String() != "items.yaml:7:3" {
		t.Errorf("%v", l)
	}
}

// The same guide gives the same findings in the same order.
func TestSameFindingsEveryTime(t *testing.T) {
	g := tangle(40)
	first := Check(g, nil, Options{}).Error()
	for range 5 {
		if again := Check(g, nil, Options{}).Error(); again != first {
			t.Fatalf("findings differ:\n%s\n--\n%s", first, again)
		}
	}
}

// tangle is a guide of n items in one long circle.
func tangle(n int) *guide.Guide {
	g := &guide.Guide{ID: "tangle", Source: "x"}
	for i := range n {
		g.Items = append(g.Items, guide.Item{ID: guide.ID(fmt.Sprintf("I%d", i)), Name: fmt.Sprintf("Panel %d", i), Ways: []guide.Way{{
			Do: guide.Off, Needs: []guide.Need{{Item: guide.ID(fmt.Sprintf("I%d", (i+1)%n))}}, Out: minute, Back: minute,
		}}})
	}
	return g
}

// Vetting stays in step with the size of the guide, also on one long circle.
func TestLargeGuide(t *testing.T) {
	began := time.Now()
	l := Check(tangle(50_000), nil, Options{})
	if len(l) != 1 || l[0].Rule != "only-in-a-circle" || !strings.Contains(l[0].Says, "49992 more") {
		t.Fatalf("%d findings, first %v", len(l), l[:min(len(l), 1)])
	}
	const patience = 20 * time.Second // seconds where a quadratic rule takes hours
	if took := time.Since(began); took > patience {
		t.Errorf("took %v", took)
	}
}

func TestVariants(t *testing.T) {
	axis := func(id string, n int) guide.Axis {
		a := guide.Axis{ID: guide.ID(id)}
		for i := range n {
			a.Values = append(a.Values, guide.AxisValue{ID: guide.ID(fmt.Sprintf("%s%d", id, i))})
		}
		return a
	}
	for _, c := range []struct {
		name string
		axes []guide.Axis
		want int
	}{
		{"no axes, one variant", nil, 1},
		{"two by three", []guide.Axis{axis("a", 2), axis("b", 3)}, 6},
		{"an axis without values changes nothing", []guide.Axis{axis("a", 2), axis("b", 0)}, 2},
		{"too many to combine: the first and every departure", []guide.Axis{axis("a", 5), axis("b", 5), axis("c", 5)}, 13},
	} {
		if got := variants(c.axes); len(got) != c.want {
			t.Errorf("%s: %d variants, want %d: %v", c.name, len(got), c.want, got)
		}
	}
}

func BenchmarkCheck(b *testing.B) {
	g := tangle(3000)
	for b.Loop() {
		if l := Check(g, nil, Options{}); len(l) != 1 {
			b.Fatalf("%d findings", len(l))
		}
	}
}
