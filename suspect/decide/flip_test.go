package decide_test

import (
	"errors"
	"testing"

	"elbowroom/suspect/decide"
)

// twoParts is a problem that can be worked out on paper: part X (share s) is
// replaced for 100, part Y for 300, and a check for 20 shows X bad with chance
// seen if it is, and never if Y is bad. The proof costs nothing.
//
// Asking first costs 20 + 100 s + 300 (1-s) if the check sees everything,
// replacing X unseen 100 + 300 (1-s), replacing Y unseen 300 + 100 s. So X comes
// first from a share of .8 on, Y below 1/15.
func twoParts(s, seen float64) decide.Problem {
	p := cures([]float64{s, 1 - s}, [][]int{{0}, {1}}, []int64{100, 300})
	p.Checks = []decide.Check{{Action: 2, Chance: [][]float64{{1 - seen, 1, 1}, {seen, 0, 0}}}}
	p.Ground = decide.Prices{100, 300, 20}
	return p
}

const precision = 1e-4

func TestShareFlip(t *testing.T) {
	f, err := decide.ShareFlip(twoParts(.5, 1), decide.Limits{}, []int{0}, precision)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "now", f.Now, .5, 1e-12)
	near(t, "below", f.Below.At, 1.0/15, precision)
	near(t, "above", f.Above.At, .8, precision)
	if !f.Certain || f.First.Kind != decide.Ask || !f.Below.Step.Same(decide.Step{Kind: decide.Mend, Index: 1}) || !f.Above.Step.Same(decide.Step{Kind: decide.Mend, Index: 0}) {
		t.Errorf("got %+v; want Y first below, X first above, asking between", f)
	}
	if _, err := decide.ShareFlip(twoParts(.5, 1), decide.Limits{}, []int{0, 1}, precision); !errors.Is(err, decide.ErrNoShare) {
		t.Errorf("the share of all worlds cannot move: got %v", err)
	}
	if _, err := decide.ShareFlip(twoParts(.5, 1), decide.Limits{}, []int{7}, precision); !errors.Is(err, decide.ErrNoShare) {
		t.Errorf("a world that does not exist: got %v", err)
	}
	if _, err := decide.ShareFlip(twoParts(.5, 1), decide.Limits{}, []int{0}, 0); !errors.Is(err, decide.ErrPrecision) {
		t.Errorf("a precision of nothing: got %v", err)
	}
}

func TestBreakEven(t *testing.T) {
	turn, err := decide.BreakEven(twoParts(.3, 1), decide.Limits{}, 0, precision)
	if err != nil || !turn.Found {
		t.Fatalf("got %+v, %v", turn, err)
	}
	near(t, "X without a check", turn.At, .8, precision)
	turn, err = decide.BreakEven(twoParts(.3, 1), decide.Limits{}, 1, precision)
	if err != nil || !turn.Found {
		t.Fatalf("got %+v, %v", turn, err)
	}
	near(t, "Y without a check", turn.At, 14.0/15, precision)
	free := twoParts(.3, 1)
	free.Ground = decide.Prices{100, 300, 0}
	if turn, err = decide.BreakEven(free, decide.Limits{}, 0, precision); err != nil || turn.Found {
		t.Errorf("with a check that costs nothing and sees all, no repair goes unseen: got %+v, %v", turn, err)
	}
	if _, err := decide.BreakEven(twoParts(.3, 1), decide.Limits{}, 2, precision); err == nil {
		t.Error("a repair that does not exist is accepted")
	}
}

// TestChanceFlip: with equal shares, asking costs 370 - 150 seen and X unseen
// 250, so that asking pays from .8 on.
func TestChanceFlip(t *testing.T) {
	b := decide.Bracket{Check: 0, Outcome: 1, Worlds: []int{0}, Low: .5, High: 1}
	f, err := decide.ChanceFlip(twoParts(.5, .95), decide.Limits{}, b, precision)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "now", f.Now, .95, 1e-12)
	near(t, "below", f.Below.At, .8, precision)
	if f.Above.Found || !f.Below.Step.Same(decide.Step{Kind: decide.Mend, Index: 0}) {
		t.Errorf("got %+v; want only X first below", f)
	}
}

func TestBrackets(t *testing.T) {
	p := twoParts(.5, .95)
	p.Unsure = []decide.Bracket{
		{Check: 0, Outcome: 1, Worlds: []int{0}, Low: .7, High: 1},
		{Check: 0, Outcome: 1, Worlds: []int{0}, Low: .9, High: 1},
	}
	e, err := decide.Brackets(p, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "wide, low", e[0].Low.Expected, 250, 1e-9)
	near(t, "wide, high", e[0].High.Expected, 220, 1e-9)
	near(t, "narrow, low", e[1].Low.Expected, 370-150*.9, 1e-9)
	if !e[0].Changes || e[1].Changes {
		t.Errorf("the wide bracket changes the first step, the narrow one does not: got %v and %v", e[0].Changes, e[1].Changes)
	}
}

// TestReferring: when nothing that helps is worth its price the first step is
// to refer on, and the answer says what going on would cost.
func TestReferring(t *testing.T) {
	p := twoParts(.5, 1)
	p.Escapes = []decide.Escape{{Price: 130}}
	a, err := decide.Solve(p, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	up, ok := a.RunnerUp()
	if a.First.Kind != decide.Refer || a.Expected != 130 || !ok {
		t.Fatalf("got %+v", a)
	}
	// Asking first and then referring on if Y is bad: 20 + .5*100 + .5*130.
	near(t, "runner-up", up.Expected, 135, 1e-9)
}
