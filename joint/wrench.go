package joint

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"elbowroom/quantity"
)

// Wrench is an individual torque wrench or torque driver.
type Wrench struct {
	ID        string
	Name      string
	Lowest    quantity.Value // the lowest marked value: where its range begins (ISO 6789-1:2017)
	Highest   quantity.Value // full scale
	Mark      quantity.Value // from one mark of the scale to the next; zero when not known
	Deviation float64        // permissible, as a share of the setting; 0 for that of ISO 6789
	Arm       Millimetres    // from the mark on the handle to the square drive; 0 when not known
	Due       string         // ISO 8601 date of its next check; empty when not known
}

// Permissible deviations of a setting tool, ISO 6789:2003 type II class A, by
// its full scale.
const (
	deviationSmall              = 0.06 // up to smallWrench
	deviationLarge              = 0.04
	smallWrench    NewtonMetres = 10
)

// Permissible returns the permissible deviation as a share of the setting.
func (w Wrench) Permissible() float64 {
	if w.Deviation > 0 {
		return w.Deviation
	}
	if top, err := TorqueIn(w.Highest); err == nil && top <= smallWrench {
		return deviationSmall
	}
	return deviationLarge
}

// span returns the ends of the range; false when the wrench has none that can
// be used.
func (w Wrench) span() (low, high NewtonMetres, ok bool) {
	low, err := TorqueIn(w.Lowest)
	high, err2 := TorqueIn(w.Highest)
	return low, high, err == nil && err2 == nil && low > 0 && low <= high
}

// Use says whether a wrench can be used for a torque.
type Use string

// The uses, best first.
const (
	Serves  Use = "serves"
	Overdue Use = "overdue"   // it reaches, but was due for its check before the day
	Below   Use = "below"     // the setting lies below its lowest marked value
	Above   Use = "above"     // the setting lies above full scale
	Unknown Use = "not known" // its range, or the length that an adapter asks for, is not known
)

var uses = []Use{Serves, Overdue, Below, Above, Unknown}

// Fit is one wrench held against one torque.
type Fit struct {
	Wrench  Wrench
	Use     Use
	Says    string
	Through Adapter      // with the arm of this wrench
	Setting NewtonMetres // on its scale, exact; 0 when it cannot be reckoned
	Low     NewtonMetres // what the fastener gets within the permissible deviation
	High    NewtonMetres
	On      bool  // the setting is a mark of the scale
	Marks   []Set // the marks on both sides, when it is not and they are known
}

// Set is a mark of the scale and what the fastener gets there.
type Set struct {
	Mark  quantity.Value
	Gives NewtonMetres
}

// Choice is the answer to which wrench to take.
type Choice struct {
	Want  NewtonMetres
	Fits  []Fit    // every wrench, the best first
	Use   Use      // of the best one; Unknown when there is no wrench at all
	Would []string // what would do, when none serves
}

// Best returns the wrench to take, which serves or is overdue; nil when none
// reaches.
func (c Choice) Best() *Fit {
	if len(c.Fits) > 0 && (c.Use == Serves || c.Use == Overdue) {
		return &c.Fits[0]
	}
	return nil
}

// Choose holds every wrench against a torque on a day (ISO 8601; empty does
// not look at due dates). The adapter's arm may be left out: then each wrench
// brings its own. Among those that serve, the setting on a mark comes first,
// then the smallest full scale, whose scale is the finest.
func Choose(owned []Wrench, want NewtonMetres, through Adapter, day string) Choice {
	c := Choice{Want: want, Use: Unknown}
	for _, w := range owned {
		c.Fits = append(c.Fits, fit(w, want, through, day))
	}
	slices.SortStableFunc(c.Fits, func(a, b Fit) int {
		return cmp.Or(cmp.Compare(slices.Index(uses, a.Use), slices.Index(uses, b.Use)), compareOn(a, b), compareTop(a.Wrench, b.Wrench))
	})
	if len(c.Fits) > 0 {
		c.Use = c.Fits[0].Use
	}
	if c.Use != Serves {
		c.Would = would(c, through)
	}
	return c
}

func compareOn(a, b Fit) int {
	switch {
	case a.On == b.On:
		return 0
	case a.On:
		return -1
	}
	return 1
}

func compareTop(a, b Wrench) int {
	_, x, _ := a.span()
	_, y, _ := b.span()
	return cmp.Compare(x, y)
}

// fit holds one wrench against a torque.
func fit(w Wrench, want NewtonMetres, through Adapter, day string) Fit {
	if through.Arm == 0 {
		through.Arm = w.Arm
	}
	f := Fit{Wrench: w, Through: through}
	low, high, ok := w.span()
	if !ok {
		return f.as(Unknown, w.Name+" has no range of torque that is known")
	}
	if err := through.Check(); err != nil {
		return f.as(Unknown, fmt.Sprintf("%s: %v", w.Name, err))
	}
	f.Setting = through.Setting(want)
	d := NewtonMetres(w.Permissible())
	f.Low, f.High = want*(1-d), want*(1+d)
	scale := w.Lowest.Unit
	set := Show(f.Setting, scale, low, high)
	switch {
	case side(float64(f.Setting), float64(low)) < 0:
		return f.as(Below, fmt.Sprintf("%s begins at %s, above %s", w.Name, w.Lowest, set))
	case side(float64(f.Setting), float64(high)) > 0:
		return f.as(Above, fmt.Sprintf("%s ends at %s, below %s", w.Name, w.Highest, set))
	}
	f.marks()
	if day != "" && w.Due != "" && w.Due < day {
		return f.as(Overdue, fmt.Sprintf("%s reaches %s but was due for its check on %s", w.Name, set, w.Due))
	}
	says := fmt.Sprintf("%s, %s to %s", w.Name, w.Lowest, w.Highest)
	if w.Due == "" {
		says += "; when it is due for its check is not known"
	}
	return f.as(Serves, says)
}

func (f Fit) as(u Use, says string) Fit {
	f.Use, f.Says = u, says
	return f
}

// marks finds the marks of the scale on both sides of the setting.
func (f *Fit) marks() {
	w := f.Wrench
	step, err := w.Mark.In(w.Lowest.Unit)
	if w.Mark.Zero() || err != nil || step.Number <= 0 {
		return
	}
	unit := w.Lowest.Unit
	at := (f.Setting.In(unit).Number - w.Lowest.Number) / step.Number
	n := math.Round(at)
	if side(w.Lowest.Number+n*step.Number, f.Setting.In(unit).Number) == 0 {
		f.On = true
		return
	}
	for _, k := range []float64{math.Floor(at), math.Ceil(at)} {
		mark := quantity.Value{Number: round(w.Lowest.Number+k*step.Number, mostFigures), Unit: unit}
		t, err := TorqueIn(mark)
		if top, err2 := mark.Compare(w.Highest); err != nil || err2 != nil || top > 0 {
			continue
		}
		f.Marks = append(f.Marks, Set{mark, f.Through.Gives(t)})
	}
}

// Offset reports whether an adapter changes the setting.
func (f Fit) Offset() bool { return f.Through.NeedsArm() }

// mostReach is the share of its own arm that a wrench is offered an adapter of.
const mostReach = 0.5

// would says what would do when no wrench serves.
func would(c Choice, through Adapter) []string {
	var out []string
	for _, f := range c.Fits {
		switch {
		case f.Use == Overdue:
			out = append(out, f.Wrench.Name+", once it has been checked")
		case f.Use == Unknown && f.Wrench.Arm == 0 && through.Arm == 0 && through.NeedsArm():
			out = append(out, f.Wrench.Name+", if its length from handle mark to square drive is measured and its range then holds the setting")
		case through.Reach == 0:
			out = appendText(out, byAdapter(f, c.Want))
		case fit(f.Wrench, c.Want, Adapter{}, "").Use == Serves:
			out = append(out, f.Wrench.Name+", without the adapter")
		}
	}
	setting := c.Want
	if through.Check() == nil {
		setting = through.Setting(c.Want)
	}
	return append(out, fmt.Sprintf("a torque wrench with %s between its lowest mark and its full scale", Show(setting, newtonMetre)))
}

func appendText(list []string, s string) []string {
	if s == "" {
		return list
	}
	return append(list, s)
}

// byAdapter says which adapter, straight ahead, would bring a torque above full
// scale into the range of a wrench whose arm is known; "" when none up to
// mostReach does. One that points back would bring down what is too low, and
// nobody has such a thing.
func byAdapter(f Fit, want NewtonMetres) string {
	low, high, ok := f.Wrench.span()
	if !ok || f.Wrench.Arm <= 0 || f.Use != Above {
		return ""
	}
	reach := float64(f.Wrench.Arm) * (float64(want/high) - 1) // T·L/(L + E) = full scale
	a := Adapter{Arm: f.Wrench.Arm, Reach: Millimetres(math.Ceil(reach - noise))}
	if a.Reach > mostReach*f.Wrench.Arm {
		return ""
	}
	return fmt.Sprintf("%s with an adapter of at least %g mm straight ahead, set to %s there", f.Wrench.Name, a.Reach, Show(a.Setting(want), f.Wrench.Lowest.Unit, low, high))
}
