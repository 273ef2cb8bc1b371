package demo

import (
	"io/fs"
	"slices"
	"strings"
	"testing"

	"elbowroom/cite"
	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/plan"
	"elbowroom/plan/audit"
	"elbowroom/quantity"
	"elbowroom/workshop"
)

// TestReadsWithoutAFinding: not even a warning.
func TestReadsWithoutAFinding(t *testing.T) {
	g, _, list := file.Read(FS(), GuideDir)
	for _, f := range list {
		t.Error(f)
	}
	if g == nil {
		t.Fatal("no guide")
	}
	data, err := fs.ReadFile(FS(), WorkshopFile)
	if err != nil {
		t.Fatal(err)
	}
	if _, list := file.Decode(WorkshopFile, data, &workshop.Workshop{}); len(list) > 0 {
		t.Error(list)
	}
}

// TestCounts holds the size of the demonstration.
func TestCounts(t *testing.T) {
	g, r := load(t), seen(t, "LHD")
	for what, n := range map[string][2]int{
		"items":         {len(g.Items), 152},
		"clearing ways": {countWays(r, guide.Verb.Clears), 31},
		"task ways":     {countWays(r, func(v guide.Verb) bool { return !v.Clears() }), 73},
		"checks":        {len(g.Checks), 76 + 1},
		"faults":        {len(g.Faults), 54 + 8},
		"revisions":     {len(g.Revisions), 3},
		"axes":          {len(g.Axes), 2},
	} {
		if n[0] != n[1] {
			t.Errorf("%d %s, want %d", n[0], what, n[1])
		}
	}
}

// TestFluids holds the quantities by engine version.
func TestFluids(t *testing.T) {
	want := map[guide.ID]string{
		"coolant": "11.2 L full, 6.8 L at the radiator tap",
		"oil":     "6.3 L with filter for A, 6.6 L with filter for B",
	}
	for _, f := range load(t).Fluids {
		var got []string
		for _, a := range f.Amounts {
			text := a.Quantity.String() + " " + a.What
			if len(a.For) > 0 {
				text += " for " + a.For.String()
			}
			got = append(got, text)
		}
		if text := strings.Join(got, ", "); text != want[f.ID] {
			t.Errorf("%s: %q, want %q", f.ID, text, want[f.ID])
		}
	}
}

// TestNotes holds how the notes came to be known: six first-hand, three
// hearsay, two superseded, two in conflict.
func TestNotes(t *testing.T) {
	g := load(t)
	grade := map[guide.ID]cite.Grade{}
	for _, s := range g.Sources {
		grade[guide.ID(s.ID)] = s.Grade
	}
	conflict := map[int]bool{}
	for i, n := range g.Notes {
		if other := n.Contradict; other > 0 && grade[n.Source] == grade[g.Notes[other-1].Source] {
			conflict[i], conflict[other-1] = true, true
		}
	}
	count := map[string]int{}
	for i, n := range g.Notes {
		switch {
		case conflict[i]:
			count["in conflict"]++
		case strings.HasPrefix(n.Text, "Superseded"):
			count["superseded"]++
		case n.Source != "":
			count[string(grade[n.Source])]++
		}
	}
	for what, want := range map[string]int{"first-hand": 6, "hearsay": 3, "superseded": 2, "in conflict": 2} {
		if count[what] != want {
			t.Errorf("%d notes are %s, want %d", count[what], what, want)
		}
	}
	hearsay := slices.IndexFunc(g.Notes, func(n guide.Note) bool { return grade[n.Source] == cite.Hearsay && n.Contradict > 0 })
	if hearsay < 0 || grade[g.Notes[g.Notes[hearsay].Contradict-1].Source] != cite.FirstHand {
		t.Error("no hearsay note contradicts a first-hand one")
	}
}

// TestDamage holds how often things broke.
func TestDamage(t *testing.T) {
	r := seen(t, "LHD")
	for id, want := range map[guide.ID][2]int{"PN03": {3, 11}, "X2": {2, 9}, "PN10": {4, 7}} {
		var got [][2]int
		for _, w := range r.Item(id).Ways {
			for _, risk := range w.Risks {
				got = append(got, [2]int{risk.Times, risk.Of})
			}
		}
		if !slices.Equal(got, [][2]int{want}) {
			t.Errorf("%s broke %v, want %v", id, got, want)
		}
	}
}

// TestWorkshop holds the cast, the machines and the tools that matter.
func TestWorkshop(t *testing.T) {
	w, err := Workshop()
	if err != nil {
		t.Fatal(err)
	}
	if w.Rate.String() != "84.00" || w.VAT != 20 || w.Currency != "EUR" || len(w.People) != 4 {
		t.Errorf("rate %s, VAT %v, %s, %d people", w.Rate, w.VAT, w.Currency, len(w.People))
	}
	km := map[guide.ID]float64{"V1": 214300, "V2": 131800, "V3": 188450, "V4": 96100, "V5": 143000}
	if len(w.Machines) != len(km) {
		t.Fatalf("%d machines, want %d", len(w.Machines), len(km))
	}
	g := load(t)
	for _, m := range w.Machines {
		if m.Distance != quantity.Of(km[m.ID], "km") {
			t.Errorf("%s has gone %s", m.ID, m.Distance)
		}
		if (m.Guide == "") != (m.ID == "V5") {
			t.Errorf("%s has the guide %q", m.ID, m.Guide)
			continue
		}
		if m.Guide == "" {
			continue
		}
		r, err := guide.Resolve(g, m.Variant)
		if err != nil {
			t.Errorf("%s: %v", m.ID, err)
			continue
		}
		engine := guide.ID("B")
		if m.Built < "2018-03" {
			engine = "A"
		}
		if r.Variant["engine"] != engine {
			t.Errorf("%s, built %s, has the engine %s", m.ID, m.Built, r.Variant["engine"])
		}
		for _, task := range m.Next {
			if r.Item(task.On) == nil && r.Check(task.On) == nil {
				t.Errorf("%s: next task %s is on nothing", m.ID, task)
			}
		}
	}
}

// TestToolsServe: every tool of the guide is owned or can be hired, with a
// range that is not wider than the guide's, and every torque of the guide has
// a tool.
func TestToolsServe(t *testing.T) {
	w, err := Workshop()
	if err != nil {
		t.Fatal(err)
	}
	g := load(t)
	owned := map[guide.ID]workshop.Tool{}
	for _, tool := range w.Tools {
		if tool.Is == "" && tool.Drive != "" {
			continue // an adapter for a drive, which guides do not name
		}
		if !slices.ContainsFunc(g.Tools, func(x guide.Tool) bool { return x.ID == tool.Is }) {
			t.Errorf("%s serves as %q, which the guide does not know", tool.ID, tool.Is)
		}
		owned[tool.Is] = tool
	}
	for _, tool := range g.Tools {
		if mine, ok := owned[tool.ID]; !ok && tool.Hire == nil {
			t.Errorf("%s is neither owned nor for hire", tool.ID)
		} else if ok && (mine.Lowest != tool.Lowest || mine.Highest != tool.Highest) {
			t.Errorf("%s ranges from %s to %s here, from %s to %s in the guide", tool.ID, mine.Lowest, mine.Highest, tool.Lowest, tool.Highest)
		}
	}
	for _, it := range seen(t, "LHD").Items {
		for _, j := range it.Joints {
			for _, s := range j.Stages {
				if !slices.ContainsFunc(w.Tools, func(x workshop.Tool) bool { return covers(x, s.Torque) }) {
					t.Errorf("%s: no tool for %s", it.ID, s.Torque)
				}
			}
		}
	}
}

func covers(tool workshop.Tool, v quantity.Value) bool {
	low, e1 := tool.Lowest.Compare(v)
	high, e2 := tool.Highest.Compare(v)
	return e1 == nil && e2 == nil && low <= 0 && high >= 0
}

// TestTraps holds the traps that live in the data: each must be there for the
// program to notice.
func TestTraps(t *testing.T) {
	w, err := Workshop()
	if err != nil {
		t.Fatal(err)
	}
	r := seen(t, "LHD")
	tool := func(id guide.ID) workshop.Tool {
		i := slices.IndexFunc(w.Tools, func(x workshop.Tool) bool { return x.ID == id })
		return w.Tools[max(i, 0)]
	}
	v1 := w.Machines[0]
	for _, trap := range []struct {
		name string
		set  bool
	}{
		{"V1 has an A engine with a B oil pan", v1.Variant.String() == "LHD A" && len(v1.Exceptions) == 2 && v1.Exceptions[0].Item == "ST07" && v1.Exceptions[0].Variant.String() == "B"},
		{"an older list says 22 N·m for the knock sensors", r.Item("SE13").Joints[0].Was[0].Value == "22 N·m"},
		{"wrench B is overdue", tool("wrench-b").Due != "" && tool("wrench-b").Due < Day},
		{"only wrench B is overdue", !slices.ContainsFunc(w.Tools, func(x workshop.Tool) bool { return x.ID != "wrench-b" && x.Due != "" && x.Due < Day })},
		{"the bleed screw lies below wrench A", !covers(tool("wrench-a"), r.Item("CO09").Joints[0].Stages[0].Torque) && covers(tool("driver"), r.Item("CO09").Joints[0].Stages[0].Torque)},
		{"a resistance of a sensor asks for its temperature", hasClause(r.Check("T11"), "body")},
		{"the metering valve asks for zeroed leads", hasWords(r.Check("T58"), "leads zeroed together")},
		{"the drop over F14 is judged, not its looks", r.Check("T52").Point == "EL05" && r.Check("T53").Point == "EL05"},
		{"the outlet is judged when the coolant reaches 85 °C", hasClause(r.Check("T15"), "coolant")},
		{"the maker's wait for the air bag is not known", unanswered(r.Guide, "pyrotechnics")},
	} {
		if !trap.set {
			t.Errorf("not so: %s", trap.name)
		}
	}
}

func hasClause(c *guide.Check, subject string) bool {
	return slices.ContainsFunc(c.When, func(x guide.Clause) bool { return x.Subject == subject && !x.Low.Zero() })
}

func hasWords(c *guide.Check, words string) bool {
	return slices.ContainsFunc(c.When, func(x guide.Clause) bool { return x.Words == words })
}

func unanswered(g *guide.Guide, id guide.ID) bool {
	return slices.ContainsFunc(g.Cautions, func(c guide.Caution) bool { return c.ID == id && c.Ask != "" && c.Answer == "" })
}

// TestRefusals tries steps that must not be possible.
func TestRefusals(t *testing.T) {
	r := seen(t, "LHD")
	intake := []plan.Standing{{Item: "PN01", Off: true}, {Item: "PN02", Off: true}, {Item: "AR02", Off: true}, {Item: "AR04", Off: true}, {Item: "AR06", Off: true}, {Item: "AR07", Off: true}, {Item: "AR08", Off: true}, {Item: "AR09", Off: true}}
	for _, c := range []struct {
		name  string
		task  plan.Task
		found []plan.Standing
		given []plan.Setting
		step  plan.Step
	}{
		{
			"key on with the crossover pipe off",
			plan.Task{Verb: guide.Measure, On: "T09"},
			append(intake, plan.Standing{Item: "FU03", Off: true}),
			[]plan.Setting{{Condition: "fuel-pressure", Value: "released"}},
			plan.Step{Kind: plan.Change, Condition: "key", Change: 0},
		},
		{
			"coolant drained at 78 °C",
			plan.Task{Verb: guide.Replace, On: "CO02"},
			[]plan.Standing{{Item: "PN07", Off: true}},
			[]plan.Setting{{Condition: "engine", Value: "warm"}, {Condition: "position", Value: "raised"}},
			plan.Step{Kind: plan.Change, Condition: "coolant", Change: 0},
		},
		{
			"coil 6 of an LHD through the hatch",
			plan.Task{Verb: guide.Replace, On: "IG06"},
			[]plan.Standing{{Item: "PN01", Off: true}, {Item: "PN03", Off: true}},
			nil,
			plan.Step{Kind: plan.Do, Task: 0, Way: 1},
		},
		{
			"a union opened under pressure",
			plan.Task{Verb: guide.Replace, On: "FU01"},
			[]plan.Standing{{Item: "PN03", Off: true}},
			nil,
			plan.Step{Kind: plan.Clear, Item: "FU02", Way: 0},
		},
		{
			"lowered without its wheel",
			plan.Task{Verb: guide.Replace, On: "SE17"},
			[]plan.Standing{{Item: "PN11", Off: true}},
			[]plan.Setting{{Condition: "position", Value: "raised"}},
			plan.Step{Kind: plan.Change, Condition: "position", Change: 1},
		},
		{
			"started with the oil out",
			plan.Task{Verb: guide.Measure, On: "T20"},
			nil,
			[]plan.Setting{{Condition: "oil", Value: "drained"}, {Condition: "key", Value: "on"}},
			plan.Step{Kind: plan.Change, Condition: "running", Change: 0},
		},
		{
			"started with the air duct off",
			plan.Task{Verb: guide.Measure, On: "T29"},
			[]plan.Standing{{Item: "AR02", Off: true}},
			[]plan.Setting{{Condition: "key", Value: "on"}},
			plan.Step{Kind: plan.Change, Condition: "running", Change: 0},
		},
	} {
		state, err := audit.NewState(r, plan.Request{Tasks: []plan.Task{c.task}, Variant: variant(r), Found: c.found, Given: c.given})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if _, err := state.Apply(c.step); err == nil {
			t.Errorf("%s is possible", c.name)
		} else {
			t.Logf("%s: %v", c.name, err)
		}
	}
}
