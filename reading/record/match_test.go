package record

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

var matching = Matching{Judged: "rail pressure", By: []Bin{{"speed", 250, "rpm"}, {"load", 10, "%"}}}

// recorded returns the blocks of a drive of so many seconds in which the
// engine is held at random speeds and loads for ten seconds each: the speed
// between the two bounds, the pressure by speed and load plus an offset and
// noise that hangs together over a second or so.
func recorded(t *testing.T, seed uint64, seconds int, low, high, offset float64) Blocks {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 3))
	var b strings.Builder
	b.WriteString("time (s);speed (rpm);load (%);rail pressure (bar)\n")
	noise, speed, load := 0.0, low, 20.0
	for i := range seconds * 10 {
		if i%100 == 0 {
			speed, load = low+(high-low)*rng.Float64(), 15+60*rng.Float64()
		}
		noise = 0.9*noise + 0.5*rng.NormFloat64()
		pressure := 40 + 0.02*speed + 0.3*load + offset + noise
		fmt.Fprintf(&b, "%.1f;%.0f;%.1f;%.2f\n", float64(i)/10, speed, load, pressure)
	}
	m := Mapping{Channels: []Channel{{"speed", "rpm", 1, "speed", "rpm", ""}, {"load", "%", 1, "load", "%", ""}, {"rail pressure", "bar", 1, "rail pressure", "bar", ""}}}
	rec := Read(strings.NewReader(b.String()), Request{Mapping: m, Match: &matching})
	if rec.Outcome != Whole {
		t.Fatalf("%s: %s", rec.Outcome, rec.Findings)
	}
	return *rec.Blocks
}

func TestChangeIsFoundUnderMatchedConditions(t *testing.T) {
	// After the repair the engine was driven faster, which alone raises the
	// mean pressure by about 20 bar.
	before, after := recorded(t, 1, 3000, 1000, 2500, 0), recorded(t, 2, 3000, 1800, 3500, 3)
	d := Compare(before, after)
	if d.Outcome != Compared || math.Abs(d.Mean-3) > 3*d.Uncertainty || d.Uncertainty > 0.6 {
		t.Errorf("%s: %g ± %g, the change is 3", d.Outcome, d.Mean, d.Uncertainty)
	}
	if naive := mean(after) - mean(before); naive < 10 {
		t.Errorf("the means differ by %g: the case shows nothing", naive)
	}
	if s := d.Before; s.Matched <= 0 || s.Matched >= s.Seconds || s.Used >= s.Blocks || math.Abs(s.Seconds-3000) > 60 {
		t.Errorf("before: %+v", s)
	}
	weights := 0.0
	for _, b := range d.Bins {
		weights += b.Weight
		if b.NBefore == 0 || b.NAfter == 0 || len(b.Low) != 2 || math.Mod(b.Low[0], 250) != 0 {
			t.Errorf("bin %+v", b)
		}
	}
	if math.Abs(weights-1) > 1e-9 {
		t.Errorf("the weights sum up to %g", weights)
	}
	if !strings.Contains(d.Says, "bar") {
		t.Errorf("%s", d.Says)
	}
}

func mean(b Blocks) float64 {
	sum, n := 0.0, 0
	for _, k := range b.Blocks {
		sum += k.Mean * float64(k.N)
		n += k.N
	}
	return sum / float64(n)
}

// TestUncertaintyOfADifference repeats the same comparison with other noise:
// the differences must scatter as claimed.
func TestUncertaintyOfADifference(t *testing.T) {
	const runs = 60
	covered, claimed, squares := 0, 0.0, 0.0
	for i := range uint64(runs) {
		d := Compare(recorded(t, 100+i, 600, 1500, 2000, 0), recorded(t, 1000+i, 600, 1500, 2000, 1))
		if d.Outcome != Compared {
			t.Fatal(d.Outcome)
		}
		if math.Abs(d.Mean-1) <= 2*d.Uncertainty {
			covered++
		}
		claimed += d.Uncertainty * d.Uncertainty / runs
		squares += (d.Mean - 1) * (d.Mean - 1) / runs
	}
	if ratio := math.Sqrt(claimed / squares); ratio < 0.75 || ratio > 1.5 || covered < runs*88/100 {
		t.Errorf("claims %.2f of the real scatter; %d of %d within two standard uncertainties", ratio, covered, runs)
	}
}

func TestNoComparison(t *testing.T) {
	a := recorded(t, 1, 300, 1000, 1200, 0)
	other := a
	other.Unit = "psi"
	bins := a
	bins.Matching.By = []Bin{{"speed", 100, "rpm"}}
	lost := a
	lost.Missing = []string{"load: no channel of the recording is known to be it"}
	for _, c := range []struct {
		reason        string
		before, after Blocks
		want          string
	}{
		{"nothing in common", a, recorded(t, 2, 300, 3000, 3200, 0), "too little in common"},
		{"one is empty", a, Blocks{Matching: matching, Unit: "bar"}, "too little in common"},
		{"another unit", a, other, "psi"},
		{"other bins", a, bins, "same bins"},
		{"a channel is missing", a, lost, "load"},
	} {
		if d := Compare(c.before, c.after); d.Outcome == Compared || !strings.Contains(d.Says, c.want) || d.Mean != 0 {
			t.Errorf("%s: %q, %s", c.reason, d.Outcome, d.Says)
		}
	}
}

func TestUnevenChangeShows(t *testing.T) {
	before, after := recorded(t, 1, 2000, 1000, 3000, 0), recorded(t, 2, 2000, 1000, 3000, 0)
	if d := Compare(before, after); d.Uneven > 2*float64(d.UnevenFreedom)+10 {
		t.Errorf("no change: %.0f with %d degrees of freedom", d.Uneven, d.UnevenFreedom)
	}
	for i := range after.Blocks { // a change at high speed only
		if after.Blocks[i].Cell[0] >= 8 {
			after.Blocks[i].Mean += 10
		}
	}
	if d := Compare(before, after); d.Uneven < 4*float64(d.UnevenFreedom) {
		t.Errorf("an uneven change: %.0f with %d degrees of freedom", d.Uneven, d.UnevenFreedom)
	}
}

func TestMatcherWithoutChannels(t *testing.T) {
	rec := Read(bytes.NewReader([]byte("time (s),a (V)\n0,1\n1,2\n")), Request{Match: &matching})
	if len(rec.Blocks.Missing) != 3 || len(rec.Blocks.Blocks) != 0 {
		t.Errorf("%+v", rec.Blocks)
	}
}
