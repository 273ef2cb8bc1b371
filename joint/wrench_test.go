package joint

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"elbowroom/guide"
	"elbowroom/quantity"
)

func nm(n float64) quantity.Value { return quantity.Of(n, "N·m") }

// board is a set of tools like that of a small workshop: invented.
var board = []Wrench{
	{Name: "driver", Lowest: nm(1), Highest: nm(6), Mark: nm(0.1), Due: "2026-09-01"},
	{Name: "A", Lowest: nm(5), Highest: nm(25), Mark: nm(0.5), Arm: 260, Due: "2026-10-14"},
	{Name: "B", Lowest: nm(20), Highest: nm(100), Mark: nm(1), Arm: 400, Due: "2026-01-14"},
	{Name: "C", Lowest: nm(60), Highest: nm(320), Mark: nm(2), Arm: 560, Due: "2026-08-20"},
}

const day = "2026-03-16"

func TestChoose(t *testing.T) {
	for _, c := range []struct {
		name, why string
		want      NewtonMetres
		through   Adapter
		use       Use
		best      string
		would     string // part of the first thing that would do
	}{
		{"middle", "only A reaches 9 N·m", 9, Adapter{}, Serves, "A", ""},
		{"two reach", "the driver's scale is the finer", 5.5, Adapter{}, Serves, "driver", ""},
		{"at the lowest mark", "ISO 6789:2017: the range begins at the lowest marked value", 5, Adapter{}, Serves, "driver", ""},
		{"at full scale", "full scale is inside", 320, Adapter{}, Serves, "C", ""},
		{"under the lowest mark", "wrench A begins at 5 N·m: a 1.5 N·m screw is the driver's", 1.5, Adapter{}, Serves, "driver", ""},
		{"under everything", "no tool begins below 1 N·m", 0.8, Adapter{}, Below, "", "a torque wrench with 0.8 N·m between"},
		{"overdue only", "B alone reaches 48 N·m and is two months late", 48, Adapter{}, Overdue, "B", "B, once it has been checked"},
		{"overdue beside a good one", "C reaches 80 N·m and is in date", 80, Adapter{}, Serves, "C", ""},
		{"over everything", "340 N·m is past full scale; 35 mm more lever on 560 mm brings it to 320", 340, Adapter{}, Above, "", "C with an adapter of at least 35 mm straight ahead, set to 320 N·m"},
		{"through an adapter", "24 N·m through 60 mm on 260 mm is 19.5 N·m", 24, Adapter{Reach: 60}, Serves, "A", ""},
		{"adapter moves it out", "6 N·m through 60 mm is 4.875 N·m on A, and a driver has no arm", 6, Adapter{Reach: 60}, Below, "", "driver, if its length"},
		{"right angle", "no correction, so no arm is needed", 5.5, Adapter{Reach: 60, Bend: 90}, Serves, "driver", ""},
	} {
		got := Choose(board, c.want, c.through, day)
		if got.Use != c.use || len(got.Fits) != len(board) {
			t.Errorf("%s (%s): %s, want %s", c.name, c.why, got.Use, c.use)
		}
		best := ""
		if b := got.Best(); b != nil {
			best = b.Wrench.Name
		}
		if best != c.best {
			t.Errorf("%s (%s): took %q, want %q", c.name, c.why, best, c.best)
		}
		if c.would == "" != (len(got.Would) == 0) || c.would != "" && !slices.ContainsFunc(got.Would, func(s string) bool { return strings.HasPrefix(s, c.would) }) {
			t.Errorf("%s (%s): would %q, want %q", c.name, c.why, got.Would, c.would)
		}
	}
	if c := Choose(nil, 9, Adapter{}, day); c.Use != Unknown || c.Best() != nil || len(c.Would) != 1 {
		t.Errorf("no tools: %+v", c)
	}
	if c := Choose(board, 48, Adapter{}, ""); c.Use != Serves {
		t.Errorf("without a day nothing is overdue: %s", c.Use)
	}
	if c := Choose(board, 48, Adapter{}, "2026-01-14"); c.Use != Serves {
		t.Errorf("on the due date itself it is not overdue: %s", c.Use)
	}
}

// The permissible deviations of ISO 6789:2003 type II class A, as restated in
// the manual of a torque tool (manuzoid DYN.SAVCTRLRA): ±6 % up to 10 N·m of
// full scale, ±4 % above.
func TestPermissibleDeviation(t *testing.T) {
	for _, c := range []struct {
		w    Wrench
		want float64
	}{
		{board[0], 0.06},
		{board[1], 0.04},
		{Wrench{Highest: nm(10)}, 0.06},
		{Wrench{Highest: quantity.Of(100, "lbf·in")}, 0.04}, // 11.3 N·m
		{Wrench{Highest: nm(100), Deviation: 0.03}, 0.03},
	} {
		if got := c.w.Permissible(); got != c.want {
			t.Errorf("full scale %s: %g, want %g", c.w.Highest, got, c.want)
		}
	}
	f := Choose(board, 10, Adapter{}, day).Best()
	if f.Low != 9.6 || f.High != 10.4 {
		t.Errorf("10 N·m within 4 %%: %g to %g", f.Low, f.High)
	}
}

// Between two marks both are shown, with what the fastener gets at each.
func TestMarks(t *testing.T) {
	f := Choose(board, 24, Adapter{Reach: 55}, day).Best() // 24·260/315 = 19.81
	if f.On || len(f.Marks) != 2 || f.Marks[0].Mark != nm(19.5) || f.Marks[1].Mark != nm(20) {
		t.Fatalf("marks %+v at %g", f.Marks, f.Setting)
	}
	near(t, "gives below", float64(f.Marks[0].Gives), 19.5*315/260, 1e-12)
	near(t, "gives above", float64(f.Marks[1].Gives), 20*315/260.0, 1e-12)
	if f = Choose(board, 9.5, Adapter{}, day).Best(); !f.On || f.Marks != nil {
		t.Errorf("9.5 N·m is a mark of A: %+v", f)
	}
	pounds := []Wrench{{Name: "P", Lowest: quantity.Of(5, "lbf·ft"), Highest: quantity.Of(80, "lbf·ft"), Mark: quantity.Of(1, "lbf·ft")}}
	f = Choose(pounds, 20, Adapter{}, "").Best() // 14.751 lbf·ft
	if f.On || len(f.Marks) != 2 || f.Marks[0].Mark.String() != "14 lbf·ft" || f.Marks[1].Mark.String() != "15 lbf·ft" {
		t.Errorf("20 N·m on a scale in lbf·ft: %+v", f)
	}
	near(t, "15 lbf·ft", float64(f.Marks[1].Gives), 15*1.3558179483314004, 1e-12)
	odd := []Wrench{{Name: "O", Lowest: nm(5), Highest: nm(22), Mark: nm(4)}} // the last mark is 21
	if f = Choose(odd, 21.5, Adapter{}, "").Best(); len(f.Marks) != 1 || f.Marks[0].Mark != nm(21) {
		t.Errorf("no mark lies above full scale: %+v", f.Marks)
	}
	if f = Choose(odd, 21, Adapter{}, "").Best(); !f.On {
		t.Error("21 N·m is the last mark")
	}
}

func TestWrenchesThatCannotBeUsed(t *testing.T) {
	for name, w := range map[string]Wrench{
		"no range": {Name: "w"}, "not a torque": {Name: "w", Lowest: quantity.Of(1, "V"), Highest: quantity.Of(6, "V")},
		"ends before it begins": {Name: "w", Lowest: nm(20), Highest: nm(5)}, "begins at nothing": {Name: "w", Lowest: nm(0), Highest: nm(5)},
	} {
		if c := Choose([]Wrench{w}, 10, Adapter{}, day); c.Use != Unknown || c.Fits[0].Says == "" || len(c.Would) == 0 {
			t.Errorf("%s: %+v", name, c)
		}
	}
}

func TestAdapterRefuses(t *testing.T) {
	nan, inf := Millimetres(math.NaN()), Millimetres(math.Inf(1))
	for name, a := range map[string]Adapter{
		"no arm": {Reach: 50}, "reach below nothing": {Arm: 400, Reach: -1}, "angle": {Arm: 400, Reach: 50, Bend: 181},
		"reach is no number": {Arm: 400, Reach: nan}, "arm is endless": {Arm: inf, Reach: 50}, "arm below nothing": {Arm: -400, Reach: 50},
		"back to the hand": {Arm: 100, Reach: 100, Bend: 180}, "hardly any lever": {Arm: 100, Reach: 80, Bend: 180},
	} {
		if err := a.Check(); !errors.Is(err, ErrAdapter) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, a := range map[string]Adapter{"none": {}, "right angle, arm not known": {Reach: 50, Bend: 90}, "back": {Arm: 400, Reach: 50, Bend: -180}} {
		if err := a.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Laws of the adapter: what is set gives what was wanted; mirrored angles are
// the same; further out always means a lower setting; PerMillimetre is the slope.
func TestAdapterLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Adapter{Millimetres(rapid.Float64Range(50, 1500).Draw(t, "arm")), Millimetres(rapid.Float64Range(0, 300).Draw(t, "reach")), rapid.Float64Range(-180, 180).Draw(t, "bend")}
		if a.Check() != nil {
			return
		}
		want := NewtonMetres(rapid.Float64Range(0.5, 500).Draw(t, "want"))
		if got := a.Gives(a.Setting(want)); math.Abs(float64(got/want)-1) > 1e-12 {
			t.Fatalf("set for %g gives %g", want, got)
		}
		mirrored := a
		mirrored.Bend = -a.Bend
		if mirrored.Factor() != a.Factor() {
			t.Fatal("left and right differ")
		}
		p := a.Points()
		if math.Abs(p.Fastener[0]-float64(a.Lever())) > 1e-9 && a.NeedsArm() {
			t.Fatalf("drawn at %g, reckoned at %g", p.Fastener[0], a.Lever())
		}
		longer := a
		longer.Reach += 0.001
		slope := math.Abs(float64(longer.Gives(a.Setting(want))/want)-1) / 0.001
		if a.Reach > 0 && math.Abs(slope-a.PerMillimetre()) > 1e-6 {
			t.Fatalf("slope %g, said %g", slope, a.PerMillimetre())
		}
	})
}

// Whatever the torque, the best fit holds it in its range and any wrench that
// serves would have been found.
func TestChooseLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := NewtonMetres(rapid.Float64Range(0.1, 500).Draw(t, "want"))
		through := Adapter{Reach: Millimetres(rapid.Float64Range(0, 120).Draw(t, "reach")), Bend: rapid.Float64Range(0, 180).Draw(t, "bend")}
		c := Choose(board, want, through, day)
		some := false
		for _, f := range c.Fits {
			low, high, _ := f.Wrench.span()
			in := f.Use != Unknown && float64(f.Setting) >= float64(low)*(1-noise) && float64(f.Setting) <= float64(high)*(1+noise)
			some = some || in
			if in != (f.Use == Serves || f.Use == Overdue) {
				t.Fatalf("%s at %g: %s", f.Wrench.Name, f.Setting, f.Use)
			}
			for _, m := range f.Marks {
				if m.Mark.SI() < float64(low)*(1-noise) || m.Mark.SI() > float64(high)*(1+noise) {
					t.Fatalf("mark %s outside", m.Mark)
				}
			}
		}
		if some != (c.Best() != nil) || (c.Use == Serves) != (len(c.Would) == 0) {
			t.Fatalf("%+v", c)
		}
	})
}

func TestShow(t *testing.T) {
	for _, c := range []struct {
		name, why string
		t         NewtonMetres
		unit      string
		bounds    []NewtonMetres
		want      string
	}{
		{"plain", "three figures", 20, "lbf·ft", nil, "14.8 lbf·ft"},
		{"same unit", "nothing to round", 9, "N·m", []NewtonMetres{9}, "9 N·m"},
		{"across a limit", "24.96 would read 25, which is the limit", 24.96, "N·m", []NewtonMetres{25}, "25 N·m (exactly 24.96 N·m)"},
		{"past a limit", "20.04 would read 20, which is the mark", 20.04, "N·m", []NewtonMetres{20}, "20 N·m (exactly 20.04 N·m)"},
		{"a hair", "as many figures as it takes to see it", 20.00004, "N·m", []NewtonMetres{20}, "20 N·m (exactly 20.00004 N·m)"},
		{"far from it", "25 stays on its side", 24.96, "N·m", []NewtonMetres{30}, "25 N·m"},
		{"arithmetic noise", "0.1+0.2 is 0.3", NewtonMetres(0.1 + 0.2), "N·m", []NewtonMetres{0.3}, "0.3 N·m"},
		{"other unit", "22 N·m is 16.226 lbf·ft, rounded past a bound of 22.02 N·m it would say as much", 22, "lbf·ft", []NewtonMetres{21.98}, "16.2 lbf·ft (exactly 16.23 lbf·ft)"},
	} {
		if got := Show(c.t, c.unit, c.bounds...).String(); got != c.want {
			t.Errorf("%s (%s): %q, want %q", c.name, c.why, got, c.want)
		}
	}
}

// A figure never lies on another side of a bound than the torque, unless the
// exact one stands beside it; and what is exact does not.
func TestShowNeverCrosses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom(Units).Draw(t, "unit")
		torque := NewtonMetres(rapid.Float64Range(0.05, 2000).Draw(t, "torque"))
		bound := torque * NewtonMetres(rapid.Float64Range(0.98, 1.02).Draw(t, "ratio"))
		f := Show(torque, unit, bound)
		at := func(s string) int {
			v, err := quantity.Parse(s)
			if err != nil {
				t.Fatal(err)
			}
			return side(v.Number, bound.In(unit).Number)
		}
		truth := side(torque.In(unit).Number, bound.In(unit).Number)
		switch {
		case f.Exact == "" && at(f.Text) != truth:
			t.Fatalf("%v crosses %g", f, bound)
		case f.Exact != "" && at(f.Exact) != truth:
			t.Fatalf("%v is not exact enough for %.12g", f, bound)
		}
	})
}

// Units both ways: there and back is the same torque to the last bits.
func TestUnitsBothWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		torque := NewtonMetres(rapid.Float64Range(0.001, 5000).Draw(t, "torque"))
		for _, unit := range Units {
			back, err := TorqueIn(torque.In(unit))
			if err != nil || math.Abs(float64(back/torque)-1) > 1e-15*4 {
				t.Fatalf("%s: %g, %v", unit, back, err)
			}
		}
	})
	if _, err := TorqueIn(quantity.Of(3, "V")); !errors.Is(err, quantity.ErrDimension) {
		t.Error(err)
	}
	if _, err := TorqueIn(quantity.Value{Number: math.Inf(1), Unit: "N·m"}); !errors.Is(err, quantity.ErrForm) {
		t.Error(err)
	}
	if _, err := TorqueIn(quantity.Value{}); err == nil {
		t.Error("a value that is not given is no torque")
	}
}

// joints parses short forms.
func joints(t *testing.T, forms ...string) []guide.Joint {
	t.Helper()
	var out []guide.Joint
	for _, f := range forms {
		j, err := guide.Parse[guide.Joint](f)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, j)
	}
	return out
}

// Dry never carries over to oiled: the guide gives a value or the answer is none.
func TestForState(t *testing.T) {
	both := joints(t, "8 x M8 E10 10.9, 24 N·m dry", "8 x M8 E10 10.9, 19 N·m oiled")
	for _, c := range []struct {
		name  string
		want  guide.State
		given []guide.Joint
		torq  float64
		says  string
	}{
		{"nothing asked", "", both, 24, ""},
		{"dry given", guide.Dry, both, 24, ""},
		{"oiled given", guide.Oiled, both, 19, ""},
		{"locked not given", guide.Locked, both, 0, "for dry threads only; it says nothing about thread-locked ones"},
		{"oiled not given", guide.Oiled, both[:1], 0, "a torque does not carry over: the same one would make"},
		{"state never said", guide.Oiled, joints(t, "1 x M8, 20 N·m"), 0, "does not say for which threads"},
		{"nothing written", guide.Dry, nil, 0, "no torque is written down"},
	} {
		j, says := ForState(c.want, c.given)
		if (j == nil) != (c.torq == 0) || j != nil && j.Stages[0].Torque.Number != c.torq || !strings.Contains(says, c.says) || (says == "") != (c.says == "") {
			t.Errorf("%s: %v %q", c.name, j, says)
		}
	}
}

func TestNextTime(t *testing.T) {
	angle := []guide.Stage{{Torque: nm(40)}, {Angle: 90}}
	torque := []guide.Stage{{Torque: nm(40)}}
	for _, c := range []struct {
		name                 string
		said                 guide.Reuse
		stages               []guide.Stage
		renew, known, differ bool
	}{
		{"single-use", guide.SingleUse, torque, true, true, false},
		{"reusable", guide.Reusable, torque, false, true, false},
		{"nobody said", "", torque, false, false, false},
		{"angle alone says it", "", angle, true, true, false},
		{"angle and said", guide.SingleUse, angle, true, true, false},
		{"angle against reusable", guide.Reusable, angle, true, false, true},
		{"no torque at all", "", nil, false, false, false},
	} {
		n := NextTime(c.said, c.stages)
		if n.Renew != c.renew || n.Known != c.known || n.Differ != c.differ || n.Says == "" {
			t.Errorf("%s: %+v", c.name, n)
		}
	}
}

func TestAssess(t *testing.T) {
	j := joints(t, "3 x M6x14 T30 8.8 into aluminium, 9 N·m dry", "1 x M10 10.9 into steel, 40 N·m + 90° dry")
	f, err := Of(&j[0])
	if err != nil {
		t.Fatal(err)
	}
	a := Assess(f, 9, j[0].State, false, j[0].Into, deviationLarge)
	// VDI 2230: M6 8.8 carries 10.15 N·m at 0.12 with 90 % of yield, so 9 N·m
	// at 0.10 to 0.20 uses a half to nine tenths.
	if a.Place != Within || a.Use[0] < 0.5 || a.Use[0] > 0.7 || a.Use[1] < 0.85 || a.Use[1] > 0.95 {
		t.Errorf("M6 9 N·m: %+v", a)
	}
	if a.Preload[0] >= a.Nominal || a.Nominal >= a.Preload[1] || a.Spread[0] >= a.Nominal || a.Spread[1] <= a.Nominal {
		t.Errorf("order of preloads: %+v", a)
	}
	if a.Material != "Al 99.5" || a.Needed < 6 || a.Needed > 12 || a.Short(a.Needed-0.01) == "" || a.Short(a.Needed) != "" || a.Short(0) != "" {
		t.Errorf("engagement: %+v", a)
	}
	if a.Finding("N·m") != "" {
		t.Error(a.Finding("N·m"))
	}
	near(t, "share of proof", a.Proof, float64(a.Preload[1])/(20.1*580), 0.006) // ISO 898-1, As 20.1, Sp 580
	g, _ := Of(&j[1])
	snug := Assess(g, 2, guide.Dry, true, "steel", deviationLarge)
	if snug.Place != Within || snug.Scatter.Most != 0.12 {
		t.Errorf("a snug torque before an angle is not too low: %+v", snug)
	}
	high := Assess(g, 140, guide.Dry, true, "steel", deviationLarge)
	if high.Place != TooHigh || !strings.HasPrefix(high.Finding("N·m"), "140 N·m is above the ") {
		t.Errorf("%+v %s", high, high.Finding("N·m"))
	}
	low := Assess(g, 2, guide.Dry, false, "steel", deviationLarge)
	if low.Place != TooLow || !strings.Contains(low.Finding("lbf·ft"), "nearly idle") {
		t.Errorf("%+v", low)
	}
	if b := Assess(Fastener{Thread: f.Thread, Class: "plastic", Friction: AnyFriction}, 1, "", false, "", 0); b.Place != NoVerdict || b.Finding("N·m") != "" {
		t.Errorf("plastic: %+v", b)
	}
}
