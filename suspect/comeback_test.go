package suspect

import (
	"math"
	"testing"

	"elbowroom/money"
	"elbowroom/suspect/decide"
)

// TestComeback: without a price for coming back the proof misses nothing; with
// one, the dearer coming back is the more the job is expected to cost and the
// less often the machine comes back. What coming back costs on average is part
// of what is expected.
func TestComeback(t *testing.T) {
	priced := 0
	for name, k := range map[string]Case{"A": caseA(t), "B": caseB(t), "C": caseC(t), "D": caseD(t), "E": caseE(t)} {
		var before *Advice
		for _, price := range []money.Amount{0, 260_00, 600_00, 2000_00} {
			a, err := Next(k, &bench{r: k.Guide, refer: 250_00}, Work{Comeback: price, Limits: decide.Limits{Nodes: 200_000}})
			if err != nil || a.Outcome != Advised {
				t.Fatal(name, price, err, a)
			}
			if (a.Comeback != nil) != (price > 0) {
				t.Errorf("%s at %s: %+v", name, price, a.Comeback)
			}
			if a.Comeback == nil {
				before = a
				continue
			}
			priced++
			c := a.Comeback
			if c.Price != price || math.Abs(float64(c.Costs)-c.Chance*float64(price)) > 1 || c.Costs > a.Expected {
				t.Errorf("%s: %+v, %s is expected", name, c, a.Expected)
			}
			if a.Expected < before.Expected || before.Comeback != nil && c.Chance > before.Comeback.Chance+1e-9 {
				t.Errorf("%s at %s: %s and %+v, cheaper by coming back %s and %+v", name, price, a.Expected, c, before.Expected, before.Comeback)
			}
			before = a
		}
	}
	if priced == 0 {
		t.Error("nothing was priced")
	}
}

// TestComebackOfOneRepair: with one fault left over by share s, a proof that
// misses m of what is left and nothing else to ask, the job is expected to cost
// the proof, and then m s times coming back or (1-m) s times referring on; by
// hand.
func TestComebackOfOneRepair(t *testing.T) {
	const s, m, proof, back, refer = .3, .08, 20, 900, 500
	p := decide.Problem{
		Worlds:  []float64{s, 1 - s},
		Right:   []bool{false, true},
		Proof:   decide.Proof{Action: 0, Pass: []float64{m, 1}, Comeback: back},
		Escapes: []decide.Escape{{Price: refer}},
		Ground:  decide.Prices{proof},
	}
	a, err := decide.Solve(p, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if want := proof + m*s*back + (1-m)*s*refer; math.Abs(a.Expected-want) > 1e-9 || math.Abs(a.Missed()-m*s) > 1e-12 {
		t.Errorf("%v and missed %v, want %v and %v", a.Expected, a.Missed(), want, m*s)
	}
}
