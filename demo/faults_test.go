package demo

import (
	"math"
	"regexp"
	"slices"
	"testing"

	"elbowroom/guide"
)

// families are the codes of faults.csv that are no code but a family, and how
// the guide writes them: the last places of a code are hexadecimal
// (SAE J2012).
var families = map[string]string{"U0xxx": "U0000-U0FFF", "P01xx": "P0100-P01FF", "P250x": "P2500-P250F"}

var code = regexp.MustCompile(`[PU][0-9A-Fx]{4}(?:-[PU][0-9A-F]{4})?`)

// TestFaults compares every row of faults.csv.
func TestFaults(t *testing.T) {
	g := load(t)
	rows := table(t, "faults", 54)
	if len(g.Faults) < len(rows) {
		t.Fatalf("%d faults, want %d", len(g.Faults), len(rows))
	}
	for _, f := range g.Faults[len(rows):] {
		if f.Source != fromCases {
			t.Errorf("%s is neither in the table nor from the customer cases", f.ID)
		}
	}
	for i, row := range rows {
		f := g.Faults[i]
		if string(f.ID) != row["id"] {
			t.Fatalf("fault %d is %s, want %s", i, f.ID, row["id"])
		}
		on := guide.ID(row["item"])
		if on == "engine" || on == "tank" {
			on = ""
		}
		if f.On != on || f.Weight != row.number(t, "weight") {
			t.Errorf("%s on %q weighs %v, want %v", f.ID, f.On, f.Weight, row)
		}
		if !slices.Equal(f.FoundBy, ids(row["confirmed_by"])) {
			t.Errorf("%s is found by %v, want %s", f.ID, f.FoundBy, row["confirmed_by"])
		}
		var codes []string
		for _, c := range code.FindAllString(row["codes"], -1) {
			if family := families[c]; family != "" {
				c = family
			}
			codes = append(codes, c)
		}
		if !sameStrings(f.Codes, codes) {
			t.Errorf("%s sets %v, want %s", f.ID, f.Codes, row["codes"])
		}
		if len(f.Signs) == 0 || f.Repair == "" || f.Name == "" {
			t.Errorf("%s lacks a sign, its repair or its name", f.ID)
		}
		for _, n := range figures(row["repair"]) {
			if !slices.Contains(figures(f.Repair), n) {
				t.Errorf("%s: %v of %q is not in %q", f.ID, n, row["repair"], f.Repair)
			}
		}
	}
}

// fromCases is the source of what the customer cases add to the tables:
// suspects that only they name, and the ways of their repairs.
const fromCases guide.ID = "cases"

// caseWeights are the shares that the customer cases give to suspects that the
// table of faults does not have, beside one that it has.
var caseWeights = []struct {
	fault, beside guide.ID
	share, of     float64
}{
	{"F55", "F35", .10, .30},
	{"F56", "F35", .02, .30},
	{"F57", "F35", .12, .30},
	{"F58", "F14", .09, .45},
	{"F59", "F14", .04, .45},
	{"F60", "F47", .08, .22},
	{"F61", "F47", .04, .22},
}

// TestCaseFaults holds the weights of the added faults to the proportions of
// the cases, within one in the last figure written.
func TestCaseFaults(t *testing.T) {
	weight := map[guide.ID]float64{}
	for _, f := range load(t).Faults {
		weight[f.ID] = f.Weight
	}
	for _, c := range caseWeights {
		want := weight[c.beside] * c.share / c.of
		if got := weight[c.fault]; math.Abs(got-want) > 0.1 {
			t.Errorf("%s weighs %v, want %.2f", c.fault, got, want)
		}
	}
}

func sameStrings(a, b []string) bool {
	return slices.Equal(slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b)))
}

// TestRepairTasks: a fault that names a task names one that has a way on both
// drive sides.
func TestRepairTasks(t *testing.T) {
	named := 0
	for _, drive := range []guide.ID{"LHD", "RHD"} {
		r := seen(t, drive)
		for _, f := range r.Guide.Faults {
			if f.Task == nil {
				continue
			}
			named++
			it := r.Item(f.Task.On)
			if it == nil || !slices.ContainsFunc(it.Ways, func(w guide.Way) bool { return w.Do == f.Task.Verb && r.Fits(w.For) }) {
				t.Errorf("%s: %s has no way on %s", f.ID, f.Task, drive)
			}
		}
	}
	if named < 2*30 {
		t.Errorf("only %d repair tasks were looked at", named)
	}
}
