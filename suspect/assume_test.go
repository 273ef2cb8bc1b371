package suspect_test

import (
	"math"
	"strings"
	"testing"

	"elbowroom/suspect"
)

func TestFiguresAreSetByName(t *testing.T) {
	all := suspect.Default().Figures()
	if len(all) != 17 {
		t.Fatalf("%d figures; every field of Assumptions has a name", len(all))
	}
	for _, f := range all {
		a := suspect.Default()
		want := suspect.Range{Low: 0, Middle: 0.3, High: 0.9}
		if err := a.Set(f.Name, want); err != nil {
			t.Errorf("%s: %v", f.Name, err)
		}
		changed := 0
		for i, g := range a.Figures() {
			if g.Range != all[i].Range {
				changed++
				if g.Name != f.Name || g.Range != want {
					t.Errorf("%s changed %s to %v", f.Name, g.Name, g.Range)
				}
			}
		}
		if changed != 1 || f.Says == "" {
			t.Errorf("%s (%s) changed %d figures", f.Name, f.Says, changed)
		}
	}
	for _, c := range []struct {
		name, figure string
		r            suspect.Range
		want         string
	}{
		{"no such name", "code-givn", suspect.Exactly(0.5), "nearest: code-given"},
		{"above one", "code-given", suspect.Range{Low: 0.5, Middle: 0.7, High: 1.2}, "within 0 to 1"},
		{"not rising", "code-given", suspect.Range{Low: 0.8, Middle: 0.7, High: 0.9}, "rise"},
		{"no number", "code-given", suspect.Exactly(math.NaN()), "rise"},
	} {
		a := suspect.Default()
		err := a.Set(c.figure, c.r)
		if err == nil || !strings.Contains(err.Error(), c.want) || a != suspect.Default() {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// TestCounted: the ends p of Wilson's interval are where the share that was seen
// lies just 1.96 standard deviations of a binomial share away: (p̂-p)² =
// z² p(1-p)/n, by which the interval is defined.
func TestCounted(t *testing.T) {
	const z = 1.959964
	for _, c := range []struct{ seen, of int }{{0, 10}, {1, 3}, {41, 66}, {10, 10}, {250, 1000}} {
		r := suspect.Counted(c.seen, c.of)
		p, n := float64(c.seen)/float64(c.of), float64(c.of)
		if r.Middle != p || !(0 <= r.Low && r.Low <= p && p <= r.High && r.High <= 1) {
			t.Errorf("%d of %d: %v", c.seen, c.of, r)
		}
		for _, end := range []float64{r.Low, r.High} {
			if end > 1e-12 && end < 1-1e-12 && math.Abs((p-end)*(p-end)-z*z*end*(1-end)/n) > 1e-9 {
				t.Errorf("%d of %d: the end %v does not satisfy its equation", c.seen, c.of, end)
			}
		}
	}
}
