package estimate_test

import (
	"math/rand/v2"
	"testing"

	"elbowroom/estimate"
)

// TestNowThresholds: R8 as a decision. A part alone, got at for nothing: now is
// right while part/(part+overhead) is below the difference of the failure
// probabilities. The count of failures adds the few that come twice, so the
// threshold moves by some per cent and no more.
func TestNowThresholds(t *testing.T) {
	l := estimate.Life{Scale: 1000, Shape: 2.5}
	for age, threshold := range map[float64]float64{300: 0.157017, 600: 0.339016, 900: 0.506600} {
		for _, c := range []struct {
			share float64
			now   bool
		}{{threshold * 0.97, true}, {threshold * 1.06, false}} {
			part := estimate.Sum(10_000)
			later := estimate.Sum(float64(part) / c.share)
			d := estimate.Decide([]estimate.Exposed{{Life: l, Age: age, Part: part, Later: later, Horizon: 300}},
				func([]int) (estimate.Sum, bool) { return 0, true })
			if d.Verdicts[0].Now != c.now {
				t.Errorf("age %g, part/(part+overhead) %.4f (threshold %.4f): now %t", age, c.share, threshold, d.Verdicts[0].Now)
			}
		}
	}
}

// TestTogether: two parts, neither worth its way in alone, both worth it
// together because they share it.
func TestTogether(t *testing.T) {
	l := estimate.Life{Scale: 100, Shape: 4}
	parts := []estimate.Exposed{
		{Name: "a", Life: l, Age: 90, Part: 2000, Later: 30_000, Horizon: 20},
		{Name: "b", Life: l, Age: 90, Part: 2000, Later: 30_000, Horizon: 20},
	}
	gain := int64(float64(parts[0].Later)*(l.Failures(90, 20)-l.Failures(0, 20))) - 2000
	shared := estimate.Sum(gain * 3 / 2) // more than one gains, less than two do
	d := estimate.Decide(parts, func(set []int) (estimate.Sum, bool) { return shared, true })
	if !d.Verdicts[0].Now || !d.Verdicts[1].Now || d.Cost >= d.None {
		t.Fatalf("%+v", d)
	}
	if d.Verdicts[0].Access != 0 {
		t.Errorf("once the other is done, getting at it costs %d", d.Verdicts[0].Access)
	}
	alone := estimate.Decide(parts[:1], func(set []int) (estimate.Sum, bool) { return shared, true })
	if alone.Verdicts[0].Now {
		t.Errorf("alone it does not pay: %+v", alone.Verdicts[0])
	}
}

// TestDecideIsBest: on random parts with a random way in that never gets
// cheaper by doing more, no other set costs less, and the break-even life is
// where the decision for a lone part turns.
func TestDecideIsBest(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	chosen := 0
	for range 60 {
		n := 1 + r.IntN(4)
		var parts []estimate.Exposed
		var ways [][]int // each part needs some of eight things out of the way
		price := make([]estimate.Sum, 8)
		for i := range price {
			price[i] = estimate.Sum(r.IntN(4000))
		}
		for range n {
			parts = append(parts, estimate.Exposed{
				Life: estimate.Life{Scale: 50 + 100*r.Float64(), Shape: 1 + 3*r.Float64()}, Age: 120 * r.Float64(),
				Part: estimate.Sum(r.IntN(15_000)), Later: estimate.Sum(10_000 + r.IntN(60_000)), Horizon: 40,
			})
			ways = append(ways, []int{r.IntN(8), r.IntN(8)})
		}
		access := func(set []int) (sum estimate.Sum, ok bool) {
			seen := map[int]bool{}
			for _, i := range set {
				for _, k := range ways[i] {
					if !seen[k] {
						seen[k], sum = true, sum+price[k]
					}
				}
			}
			return sum, true
		}
		const horizon = 40
		d := estimate.Decide(parts, access)
		least := estimate.Sum(1 << 60)
		for set := range 1 << n {
			var list []int
			cost := 0.0
			for i, p := range parts {
				if set>>i&1 == 1 {
					list = append(list, i)
					cost += float64(p.Part) + float64(p.Later)*p.Life.Failures(0, horizon)
				} else {
					cost += float64(p.Later) * p.Life.Failures(p.Age, horizon)
				}
			}
			w, _ := access(list)
			least = min(least, estimate.Sum(cost+0.5)+w)
		}
		if d.Cost > least+1 {
			t.Fatalf("chose %d, best is %d: %+v", d.Cost, least, d)
		}
		for _, v := range d.Verdicts {
			if v.Now {
				chosen++
			}
			if v.Now != (v.Saving() > 0) && v.Saving() != 0 {
				t.Errorf("now %t with a saving of %d", v.Now, v.Saving())
			}
			if v.BreakEven > 0 && v.Now != (v.Life.Typical() < v.BreakEven) && lone(v) {
				t.Errorf("now %t, typical life %.1f, break-even %.1f", v.Now, v.Life.Typical(), v.BreakEven)
			}
		}
	}
	if chosen < 10 || chosen > 150 {
		t.Errorf("%d parts chosen: the problems are all of one kind", chosen)
	}
}

// lone leaves out what lies below the lives for which the gain falls again: a
// part so short-lived that a new one fails within the horizon too.
func lone(v estimate.Verdict) bool { return v.Life.Typical() > 40 && v.Saving() > 500 }

// TestDecideEdges: no parts, too many, a set that cannot be priced, what was
// chosen anyway.
func TestDecideEdges(t *testing.T) {
	free := func([]int) (estimate.Sum, bool) { return 0, true }
	if d := estimate.Decide(nil, free); len(d.Verdicts) != 0 || d.Cost != 0 || !d.Complete {
		t.Errorf("nothing exposed: %+v", d)
	}
	worn := estimate.Exposed{Life: estimate.Life{Scale: 10, Shape: 3}, Age: 12, Part: 1, Later: 1000, Horizon: 5}
	many := make([]estimate.Exposed, estimate.MostExposed+1)
	for i := range many {
		many[i] = worn
	}
	if d := estimate.Decide(many, free); d.Complete || len(d.Verdicts) != estimate.MostExposed {
		t.Errorf("%d verdicts, complete %t", len(d.Verdicts), d.Complete)
	}
	never := func([]int) (estimate.Sum, bool) { return 0, false }
	if d := estimate.Decide([]estimate.Exposed{worn}, never); d.Verdicts[0].Now || d.Complete {
		t.Errorf("no way in, and still %+v", d)
	}
	young := estimate.Exposed{Life: estimate.Life{Scale: 1000, Shape: 3}, Age: 1, Part: 500, Later: 1000, Horizon: 5, Chosen: true}
	if d := estimate.Decide([]estimate.Exposed{young}, free); !d.Verdicts[0].Now || d.Verdicts[0].Saving() >= 0 || d.Verdicts[0].BreakEven >= 1000 {
		t.Errorf("chosen anyway: %+v", d.Verdicts[0])
	}
}
