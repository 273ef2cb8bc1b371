package suspect

import (
	"math"
	"os"
	"testing"

	"elbowroom/guide"
	"elbowroom/guide/file"
)

// tableGuide reads one guide of testdata.
func tableGuide(t testing.TB, name string) *guide.Resolved {
	t.Helper()
	g, _, list := file.Read(os.DirFS("testdata"), name)
	if g == nil {
		t.Fatal(list)
	}
	r, err := guide.Resolve(g, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// share returns the share of one suspect.
func share(t testing.TB, b *Belief, id guide.ID) float64 {
	t.Helper()
	for _, s := range b.Suspects {
		if s.Fault == id {
			return s.Share
		}
	}
	t.Fatalf("no suspect %s", id)
	return 0
}

func verdict(check guide.ID, conforms float64) Event {
	return Event{Verdict: &Verdict{Check: check, Conforms: conforms}}
}

// tableAssumptions leaves nothing to assumptions: the tables list everything.
func tableAssumptions() *Assumptions {
	a := Default()
	a.Unlisted = Exactly(0)
	return &a
}

// believe must succeed.
func believe(t testing.TB, c Case, o Options) *Belief {
	t.Helper()
	b, err := Believe(c, o)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

const thirdDigit = 0.0005 // half of the last printed digit of the tables

// TestCaseTables reproduces the posteriors of the demonstration's three cases
// from their own simple tables: suspects with weights, one fault at a time,
// and odds of the checks.
func TestCaseTables(t *testing.T) {
	type want struct {
		after guide.ID
		fails bool
		share map[guide.ID]float64
	}
	for _, c := range []struct {
		name string
		want []want
	}{
		{"case-a.yaml", []want{
			{"T35", true, map[guide.ID]float64{"x3": .504}},
			{"T36", false, map[guide.ID]float64{"x3": .860}},
			{"T37", true, map[guide.ID]float64{"x3": .996}},
		}},
		{"case-b.yaml", []want{
			{"T13", false, map[guide.ID]float64{"plug": .234}},
			{"T15", false, map[guide.ID]float64{"plug": .444}},
			{"T14", true, map[guide.ID]float64{"plug": .698}},
			{"T12", true, map[guide.ID]float64{"plug": .987}},
		}},
		{"case-c.yaml", []want{
			{"T50", true, map[guide.ID]float64{"feed": .362, "high-pump": .020}},
			{"T52", true, map[guide.ID]float64{"feed": .958, "high-pump": .001}},
		}},
	} {
		k := Case{Guide: tableGuide(t, c.name)}
		for _, w := range c.want {
			conforms := 1.0
			if w.fails {
				conforms = 0
			}
			k.Events = append(k.Events, verdict(w.after, conforms))
			b := believe(t, k, Options{Assume: tableAssumptions(), Combine: Never})
			for id, p := range w.share {
				if got := share(t, b, id); math.Abs(got-p) > thirdDigit {
					t.Errorf("%s after %s: %s has %.4f, want %.3f", c.name, w.after, id, got, p)
				}
			}
		}
	}
}

// TestCarWillNotStart holds the engine against a published Bayesian network:
// public repository arianacarnielli/P-androide (Sorbonne, 2019/20) at commit
// 98faa5063ac5, code/simpleCar2.bif; the posteriors given "will not
// start" are worked out from its tables by P(cause)/P(will not start), with
// P(battery flat) = 0.0334767 and P(will not start) = 0.0555276.
func TestCarWillNotStart(t *testing.T) {
	k := Case{Guide: tableGuide(t, "car-start.yaml"), Complaint: "Will not start."}
	odds, leak := 0.0, 0.001/0.999
	for _, f := range k.Guide.Guide.Faults {
		odds += f.Weight
	}
	a := Default()
	a.SignGiven, a.SignLeak, a.UnlistedSign = Exactly(1), Exactly(0), Exactly(1)
	a.Unlisted = Exactly(leak / (odds + leak))
	a.Further = Exactly(odds + leak)
	b := believe(t, k, Options{Assume: &a, Combine: Always})
	for _, w := range []struct {
		id guide.ID
		p  float64
	}{{"flat", .6029}, {"oil", .1801}, {"tank", .1081}, {"fuel", .0720}, {"starter", .0360}, {Unlisted, .0180}} {
		if got := share(t, b, w.id); math.Abs(got-w.p) > 0.00005 {
			t.Errorf("%s has %.5f, want %.4f", w.id, got, w.p)
		}
	}
}
