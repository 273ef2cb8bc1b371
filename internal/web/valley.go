package web

import (
	"strconv"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/plan"
)

// valley is the drawing of a plan, laid out but not yet written: time runs to
// the right, and every strip step opens a row below the one before. The refit
// of a step stands in the same row on the other side, so that a row shows a
// step and its mirror, and the ground between drawing edge and profile is the
// time already spent or still to come.
type valley struct {
	ID     string // prefix of the patterns
	W, H   px
	Says   string // the drawing in one sentence
	Bands  []bandBar
	Ticks  []tick
	Top    px // of the first row
	Floor  px // below the lowest row
	Ground []box
	Ties   []tie
	Bars   []bar // in the order of the visit
	Labels []label
	Funnel string // outline that widens the floor to the list of tasks
	Found  []box  // marks of items found off or aside
	Foot   px     // where the words for the two sides stand
}

// px is a length on the drawing.
type px float64

// String prints the length with one decimal at most.
func (p px) String() string {
	return strings.TrimSuffix(strconv.FormatFloat(float64(p), 'f', 1, 64), ".0")
}

// box is an upright rectangle.
type box struct{ X, Y, W, H px }

// bar is one step of the drawing. Hit is the larger area that answers a touch.
type bar struct {
	box
	Hit    box
	Number int
	Mirror int
	Phase  string // "strip", "work", "refit", "wait"
	Says   string
	Key    string     // the same for the same step of another plan
	Line   *floorLine // of a task: its words below the floor
}

// tie joins a step with its mirror across the valley.
type tie struct {
	X1, X2, Y   px
	Strip, Back int
}

// label is the name of a row, in the widest free room of it.
type label struct {
	X, Y   px
	Anchor string
	Text   string
	Bold   string // minutes there and back
	Left   bool   // bold first
	In     bool   // stands on the ground, not in the open valley
}

// bandBar is a stretch of time in which a condition holds.
type bandBar struct {
	box
	Text    string
	Forbids string
	TextY   px
	TextX   px
	Anchor  string
	Pattern int
}

// tick is a mark of the time axis.
type tick struct {
	X      px
	Text   string
	Anchor string
}

// floorLine is one task on the floor, in words.
type floorLine struct {
	Y       px
	Number  int
	Text    string
	Minutes string
}

// Sizes of the drawing in pixels of a page at its natural width.
const (
	narrowWide   = 358 // of a phone 390 wide
	wideWide     = 880
	rowHigh      = 44 // also the height that a thumb needs
	bandHigh     = 38
	bandBarHigh  = 12
	axisHigh     = 26
	funnelHigh   = 22
	footHigh     = 8
	letterWide   = 8.2 // of the letters on the drawing, on the generous side
	leastBar     = 2
	bandPatterns = 4
	gap          = 6
)

// drawing lays out a valley.
type drawing struct {
	v     *valley
	a     *app.Answer
	total time.Duration
	rows  []row
	at    []int // row of each step
	work  []int // indexes of the tasks' steps
}

// row is one level of the valley.
type row struct {
	strip, refit int // indexes of steps; -1 for none
	found        string
}

// drawValley lays the plan out for a drawing of the given width.
func drawValley(a *app.Answer, id string, width px) valley {
	v := valley{ID: id, W: width, Says: valleySays(a)}
	d := drawing{v: &v, a: a, at: make([]int, len(a.Steps))}
	for _, s := range a.Steps {
		d.total = max(d.total, s.Starts+length(s))
	}
	if d.total <= 0 || len(a.Steps) == 0 {
		return v
	}
	d.place()
	d.bands()
	d.ticks()
	d.bars()
	d.labels()
	d.floor()
	return v
}

func length(s app.StepLine) time.Duration { return s.Step.Hands + s.Step.Setup + s.Step.Wait }

func (d *drawing) x(t time.Duration) px {
	return px(float64(d.v.W) * float64(t) / float64(d.total))
}

func (d *drawing) y(row int) px { return d.v.Top + px(row*rowHigh) }

// place gives every step its row: found items first, then each strip step one
// deeper, tasks below what is open, refit steps beside what they undo.
func (d *drawing) place() {
	foundRow := map[string]int{}
	for _, f := range d.a.Request.Found {
		foundRow[string(f.Item)] = len(d.rows)
		d.rows = append(d.rows, row{strip: -1, refit: -1, found: string(f.Item)})
	}
	open := make([]bool, len(d.rows), len(d.rows)+len(d.a.Steps))
	for i := range open {
		open[i] = true
	}
	deepest := func() int {
		for i := len(open) - 1; i >= 0; i-- {
			if open[i] {
				return i
			}
		}
		return -1
	}
	for i, s := range d.a.Steps {
		at := deepest() + 1
		switch back, held := foundRow[string(s.Step.Item)]; {
		case s.Step.Phase == plan.RefitPhase && s.Mirror > 0 && s.Mirror <= i:
			at = d.at[s.Mirror-1]
			open[at] = false
		case s.Step.Phase == plan.RefitPhase && s.Step.Kind == plan.Refit && held:
			at = back
			open[at] = false
		case s.Step.Phase == plan.RefitPhase:
			at = max(at-1, 0)
		case s.Step.Phase == plan.StripPhase && s.Mirror > 0:
			open = append(open[:at], true)
		}
		for len(d.rows) <= at {
			d.rows = append(d.rows, row{strip: -1, refit: -1})
		}
		for len(open) < len(d.rows) {
			open = append(open, false)
		}
		d.settle(i, at, s)
	}
}

func (d *drawing) settle(i, at int, s app.StepLine) {
	d.at[i] = at
	switch {
	case s.Step.Phase == plan.WorkPhase:
		d.work = append(d.work, i)
	case s.Step.Phase == plan.RefitPhase && d.rows[at].refit < 0:
		d.rows[at].refit = i
	case s.Step.Phase == plan.StripPhase && d.rows[at].strip < 0:
		d.rows[at].strip = i
	}
}

func (d *drawing) bands() {
	for i, b := range d.a.Bands {
		if b.FromStep < 1 || b.ToStep > len(d.a.Steps) || b.ToStep < b.FromStep {
			continue
		}
		last := d.a.Steps[b.ToStep-1]
		from, to := d.x(d.a.Steps[b.FromStep-1].Starts), d.x(last.Starts+length(last))
		y := px(len(d.v.Bands) * bandHigh)
		bb := bandBar{
			box: box{from, y + 22, max(to-from, leastBar), bandBarHigh}, Text: b.Condition + ": " + b.Value, Forbids: b.Forbids,
			TextY: y + 16, TextX: from, Anchor: "start", Pattern: i % bandPatterns,
		}
		if need := px(float64(len(bb.Text)) * letterWide); from+need > d.v.W {
			bb.TextX, bb.Anchor = d.v.W, "end"
		}
		d.v.Bands = append(d.v.Bands, bb)
	}
	d.v.Top = px(len(d.v.Bands)*bandHigh + axisHigh)
}

// spacings are the distances of ticks that people can count by.
var spacings = []time.Duration{
	time.Minute, 2 * time.Minute, 5 * time.Minute, 10 * time.Minute, 15 * time.Minute, 30 * time.Minute,
	time.Hour, 2 * time.Hour, 4 * time.Hour, 12 * time.Hour, 24 * time.Hour,
}

// tickRoom is how much room a tick with its words needs.
const tickRoom = 92

func (d *drawing) ticks() {
	every := spacings[len(spacings)-1]
	for _, s := range spacings {
		if d.x(s) >= tickRoom {
			every = s
			break
		}
	}
	d.v.Ticks = append(d.v.Ticks, tick{X: 0, Text: say("valley.now"), Anchor: "start"})
	end := d.x(d.total)
	for t := every; t < d.total; t += every {
		if d.x(t)+tickRoom*3/2 > end {
			break
		}
		d.v.Ticks = append(d.v.Ticks, tick{X: d.x(t), Text: app.Minutes(t), Anchor: "middle"})
	}
	d.v.Ticks = append(d.v.Ticks, tick{X: end, Text: app.Minutes(d.total), Anchor: "end"})
}

func (d *drawing) bars() {
	v := d.v
	v.Floor = d.y(len(d.rows))
	for i, s := range d.a.Steps {
		from, to := d.x(s.Starts), d.x(s.Starts+length(s))
		y := d.y(d.at[i])
		b := bar{
			box: box{from, y, max(to-from, leastBar), rowHigh}, Number: s.Number, Mirror: s.Mirror, Phase: phaseOf(s),
			Says: stepSays(s), Key: stepKey(s),
		}
		b.Hit = b.box
		switch {
		case d.rows[d.at[i]].strip == i:
			b.Hit = box{0, y, to, rowHigh}
			if d.at[i] < len(d.rows)-1 { // above the floor there is room to the middle
				b.Hit.W = max(b.Hit.W, v.W/2)
			}
		case d.rows[d.at[i]].refit == i:
			b.Hit = box{from, y, v.W - from, rowHigh}
			if left := v.W / 2; from > left && d.at[i] < len(d.rows)-1 {
				b.Hit.X, b.Hit.W = left, v.W-left
			}
		}
		v.Bars = append(v.Bars, b)
		if below := v.Floor - y - rowHigh; below > 0 {
			v.Ground = append(v.Ground, box{from, y + rowHigh, max(to-from, leastBar), below})
		}
	}
	for i, r := range d.rows {
		if r.found != "" {
			v.Found = append(v.Found, box{0, d.y(i) + 8, markWide, rowHigh - 16})
		}
	}
}

// phaseOf returns the name under which a step is drawn.
func phaseOf(s app.StepLine) string {
	if s.Step.Kind == plan.Await {
		return "wait"
	}
	return string(s.Step.Phase)
}

// stepKey names a step so that it is found again in another plan.
func stepKey(s app.StepLine) string {
	k := []string{string(s.Step.Kind), string(s.Step.Item), string(s.Step.Verb), string(s.Step.Condition), string(s.Step.To)}
	return strings.Join(k, ".")
}

func stepSays(s app.StepLine) string {
	return say("step.says", s.Number, s.Title, app.Minutes(length(s)))
}

func valleySays(a *app.Answer) string {
	var strip, refit int
	for _, s := range a.Steps {
		switch s.Step.Phase {
		case plan.StripPhase:
			strip++
		case plan.RefitPhase:
			refit++
		}
	}
	c := a.Plan.Cost
	return say("valley.says", strip, app.Minutes(c.Strip), len(a.Tasks), app.Minutes(c.Work), refit, app.Minutes(c.Refit), app.Minutes(c.Total()))
}
