package web

import (
	"strings"
	"testing"
	"time"

	"elbowroom/app"
)

// visits are questions whose valleys have every shape that is drawn.
var visits = []struct {
	name string
	ask  app.Ask
}{
	{"one step down", app.Ask{Machine: "V1", Tasks: []string{"check:X3"}}},
	{"nothing to take off", app.Ask{Machine: "V1", Tasks: []string{"check:T35"}}},
	{"deep, two tasks", app.Ask{Machine: "V1", Tasks: []string{"replace:SE13", "replace:SE14"}}},
	{"two floors", app.Ask{Machine: "V3", Tasks: []string{"replace:FU09", "replace:FU12"}}},
	{"conditions and three tasks", app.Ask{Machine: "V4", Tasks: []string{"replace:IG03", "replace:SE02", "replace:AC15"}}},
	{"found open", app.Ask{Machine: "V3", Tasks: []string{"replace:FU12"}, Start: []string{"PN03", "CO01 aside"}}},
	{"left open", app.Ask{Machine: "V1", Tasks: []string{"replace:SE13"}, Leave: []string{"all"}}},
	{"fluids", app.Ask{Guide: "v27p", Variant: "LHD A", Tasks: []string{"replace:CO02"}}},
	{"six coils", app.Ask{Machine: "V1", Tasks: []string{"replace:IG01", "replace:IG02", "replace:IG03", "replace:IG04", "replace:IG05", "replace:IG06"}}},
}

func TestValleyIsDrawnTrue(t *testing.T) {
	p := demoProgram(t)
	for _, c := range visits {
		t.Run(c.name, func(t *testing.T) {
			a, err := p.App.Plan(c.ask)
			if err != nil {
				t.Fatal(err)
			}
			for _, width := range []px{narrowWide, wideWide} {
				trueValley(t, a, drawValley(a, "v", width))
			}
		})
	}
}

// trueValley checks that time runs to the right without gaps, that width is
// time, that mirrors share a row and that nothing leaves the drawing.
func trueValley(t *testing.T, a *app.Answer, v valley) {
	t.Helper()
	if len(v.Bars) != len(a.Steps) || len(a.Steps) == 0 {
		t.Fatalf("%d bars for %d steps", len(v.Bars), len(a.Steps))
	}
	perMinute := float64(v.W) / a.Plan.Cost.Total().Minutes()
	for i, b := range v.Bars {
		s := a.Steps[i]
		if off := float64(b.X) - s.Starts.Minutes()*perMinute; off > 0.01 || off < -0.01 {
			t.Errorf("step %d begins at %s instead of %.1f", b.Number, b.X, s.Starts.Minutes()*perMinute)
		}
		if want := px(length(s).Minutes() * perMinute); b.W < want-0.01 || b.W > max(want, leastBar)+0.01 {
			t.Errorf("step %d is %s wide instead of %s", b.Number, b.W, want)
		}
		if b.X < 0 || b.X+b.W > v.W+leastBar || b.Y < v.Top || b.Y+b.H > v.Floor+0.01 {
			t.Errorf("step %d leaves the drawing: %+v", b.Number, b.box)
		}
		if b.Mirror > 0 && v.Bars[b.Mirror-1].Y != b.Y {
			t.Errorf("step %d and its mirror %d stand in different rows", b.Number, b.Mirror)
		}
		if b.Hit.H < 44 {
			t.Errorf("step %d can be hit on %s px only", b.Number, b.Hit.H)
		}
	}
	noOverlap(t, v)
}

// noOverlap checks that bars of one row and names in it keep apart.
func noOverlap(t *testing.T, v valley) {
	t.Helper()
	for i, b := range v.Bars {
		for _, c := range v.Bars[i+1:] {
			if b.Y == c.Y && b.X+b.W > c.X+leastBar && c.X+c.W > b.X+leastBar {
				t.Errorf("steps %d and %d lie on one another", b.Number, c.Number)
			}
		}
	}
	for i, l := range v.Labels {
		from, to := extent(l)
		if from < 0 || to > v.W+1 {
			t.Errorf("%q leaves the drawing", l.Text)
		}
		for _, b := range v.Bars {
			if l.Y > b.Y && l.Y < b.Y+b.H && from < b.X+b.W && to > b.X {
				t.Errorf("%q lies on step %d", l.Text, b.Number)
			}
		}
		for _, m := range v.Labels[i+1:] {
			if f, o := extent(m); l.Y == m.Y && from < o && to > f {
				t.Errorf("%q and %q lie on one another", l.Text, m.Text)
			}
		}
	}
	for i, k := range v.Ticks[:len(v.Ticks)-1] {
		if next := v.Ticks[i+1]; next.X-k.X < tickRoom/2 {
			t.Errorf("ticks %q and %q are too close", k.Text, next.Text)
		}
	}
}

// extent returns the stretch that a name takes up by the estimate of the
// drawing itself.
func extent(l label) (from, to px) {
	wide := px(float64(len([]rune(l.Text))+len(l.Bold)+1) * letterWide)
	if l.Anchor == "end" {
		return l.X - wide, l.X
	}
	return l.X, l.X + wide
}

// Rows of the two knock sensors, on a phone: nine removals, named with their
// minutes there and back as the table of steps of the demonstration has them.
func TestRowsOfTheValley(t *testing.T) {
	a, err := demoProgram(t).App.Plan(app.Ask{Machine: "V1", Tasks: []string{"replace:SE13", "replace:SE14"}})
	if err != nil {
		t.Fatal(err)
	}
	var rows []string
	for _, l := range drawValley(a, "n", narrowWide).Labels {
		rows = append(rows, l.Bold+" "+l.Text)
	}
	have := strings.Join(rows, "\n")
	for _, want := range []string{
		"3/4 Air duct with resonator", "1/1 Engine top cover", "8/9 Plenum rear support bracket", "2/2 Crankcase ventilation hose", "24/34 Intake",
	} {
		if !strings.Contains(have, want) {
			t.Errorf("no row %q in\n%s", want, have)
		}
	}
	if len(rows) != 9 {
		t.Errorf("%d rows are named, want 9", len(rows))
	}
}

func TestShorten(t *testing.T) {
	cases := []struct {
		name, text string
		letters    int
		want       string
	}{
		{"fits", "Battery", 7, "Battery"},
		{"cut", "Thermostat housing", 9, "Thermost…"},
		{"cut at a word that is near", "Air duct with resonator", 11, "Air duct…"},
		{"too little room says nothing", "Battery", 3, ""},
		{"letters, not bytes", "Öldruckgeber", 6, "Öldru…"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := shorten(c.text, c.letters); got != c.want {
				t.Errorf("shorten(%q, %d) = %q, want %q", c.text, c.letters, got, c.want)
			}
		})
	}
}

func TestGapIsRoundedUp(t *testing.T) {
	for gap, want := range map[float64]string{0.035: "4 %", 0.04: "4 %", 0.0001: "1 %", 0.5: "50 %"} {
		if got := gapText(gap); got != want {
			t.Errorf("gap %v: %q, want %q", gap, got, want)
		}
	}
}

func TestAnswerWithoutSteps(t *testing.T) {
	v := drawValley(&app.Answer{}, "n", narrowWide)
	if len(v.Bars) != 0 || v.H != 0 {
		t.Errorf("an empty plan draws %+v", v)
	}
	zero := &app.Answer{Steps: []app.StepLine{{Number: 1}}}
	if v := drawValley(zero, "n", narrowWide); len(v.Bars) != 0 {
		t.Errorf("a plan of no time draws %+v", v)
	}
	if got := brief(90 * time.Second); got != "1.5" {
		t.Errorf("90 s is %q", got)
	}
}
