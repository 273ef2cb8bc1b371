package vet_test

import (
	"testing"

	"elbowroom/bay"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/guide/vet"
)

// planted are the doubts that the demonstration guide has on purpose, by rule
// and place in the guide.
var planted = map[string]string{
	"torque-unknown items.AC13.joints[0]": "a torque that nobody has written down, beside three that are not applicable",
	"torque-unknown items.DR03.joints[0]": "tightened by an angle whose stages nobody has written down",
	"maker-value cautions.pyrotechnics":   "only the maker knows how long to wait",
	"notes-conflict notes[6]":             "hearsay against first-hand",
	"notes-conflict notes[12]":            "two technicians, both first-hand",
}

// known are gaps of the demonstration that no story needs filled: checks whose
// faults are not among the ones it models.
var known = []string{"idle-check"}

func TestDemoShowsWhatIsPlanted(t *testing.T) {
	g, pos, list := file.Read(demo.FS(), demo.GuideDir)
	if g == nil {
		t.Fatal(list)
	}
	shop, err := demo.Workshop()
	if err != nil {
		t.Fatal(err)
	}
	o := vet.Options{Overlaps: overlaps(t, g)}
	for _, tool := range shop.Tools {
		o.Wrenches = append(o.Wrenches, vet.Wrench{Name: tool.Name, Lowest: tool.Lowest, Highest: tool.Highest})
	}
	seen := map[string]bool{}
	for _, f := range vet.Check(g, pos, o) {
		key := f.Rule + " " + f.Where
		seen[key] = true
		switch {
		case f.Pos.Line == 0:
			t.Errorf("no place in the text: %v", f)
		case planted[key] == "" && f.Rule != known[0]:
			t.Errorf("not planted: %s: %v", key, f)
		}
	}
	for key, why := range planted {
		if !seen[key] {
			t.Errorf("not noticed: %s (%s)", key, why)
		}
	}
}

func overlaps(t *testing.T, g *guide.Guide) func(guide.Selector) []vet.Overlap {
	return func(v guide.Selector) []vet.Overlap {
		r, err := guide.Resolve(g, v)
		if err != nil {
			t.Fatal(err)
		}
		var out []vet.Overlap
		for _, p := range bay.New(r).Overlaps() {
			out = append(out, vet.Overlap{A: p.A, B: p.B, Millimetres: float64(p.Millimetres)})
		}
		return out
	}
}
