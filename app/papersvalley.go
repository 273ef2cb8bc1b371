package app

import (
	"fmt"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/report"
	"elbowroom/report/pdf"
)

// Sizes of the valley on paper, in units that are points when it fills the
// column of an A4 page.
const (
	valleyWide   = 498.0
	valleyRow    = 15.0
	valleyLeast  = 1.5 // width of a step of no length
	valleyText   = 8.0
	valleyBand   = 22.0
	valleyAxis   = 16.0
	valleyFunnel = 14.0
	valleyLine   = 14.0
)

// valleyPaint is the drawing of a plan: strip steps go down the left side, the
// tasks lie at the floor, refit climbs the right side beside what it undoes;
// across is time. Conditions run as bands above.
type valleyPaint struct {
	a     *Answer
	d     report.Drawing
	total time.Duration
	at    []int // row of each step
	rows  int
	top   float64 // of the first row
}

// Patterns of the drawing, counted from 1.
const (
	stripHatch = iota + 1
	refitHatch
	waitDots
	bandLines
)

func paperValley(a *Answer) report.Drawing {
	v := valleyPaint{a: a, at: make([]int, len(a.Steps))}
	for _, s := range a.Steps {
		v.total = max(v.total, s.Starts+stepLength(s))
	}
	c := a.Plan.Cost
	v.d = report.Drawing{
		Title: "Down is more off, across is time. Left, hatched upwards: strip; black: work; right, hatched downwards: refit in the row of what it undoes. Minutes there and back.",
		Says: fmt.Sprintf("Valley of the plan: strip %s, %d tasks in %s, refit %s, %s in all.",
			Minutes(c.Strip), len(a.Tasks), Minutes(c.Work), Minutes(c.Refit), Minutes(c.Total())),
		W: valleyWide, H: 1, Patterns: valleyPatterns(),
	}
	if v.total <= 0 {
		v.d.H = valleyRow
		return v.d
	}
	v.place()
	v.bands()
	v.axis()
	v.steps()
	v.names()
	v.floor()
	return v.d
}

func stepLength(s StepLine) time.Duration { return s.Step.Hands + s.Step.Setup + s.Step.Wait }

// stripe is a line of a pattern.
func stripe(list ...[]pdf.Segment) report.Pattern {
	p := report.Pattern{W: 5, H: 5}
	for _, s := range list {
		p.Shapes = append(p.Shapes, report.Shape{Path: report.NewPath(s), Stroke: "#000000", Width: 0.7})
	}
	return p
}

func valleyPatterns() []report.Pattern {
	return []report.Pattern{
		stripe(pdf.Line(-1, 1, 1, -1), pdf.Line(0, 5, 5, 0), pdf.Line(4, 6, 6, 4)),
		stripe(pdf.Line(-1, 4, 1, 6), pdf.Line(0, 0, 5, 5), pdf.Line(4, -1, 6, 1)),
		stripe(pdf.Line(2, 2.5, 3, 2.5)),
		stripe(pdf.Line(0, 1.2, 5, 1.2), pdf.Line(0, 3.8, 5, 3.8)),
	}
}

func (v *valleyPaint) x(t time.Duration) float64 { return valleyWide * float64(t) / float64(v.total) }

func (v *valleyPaint) y(row int) float64 { return v.top + float64(row)*valleyRow }

// place gives every step its row: items found off first, then each strip step
// one deeper, tasks below what is open, refit steps beside what they undo.
func (v *valleyPaint) place() {
	open := make([]bool, len(v.a.Request.Found), len(v.a.Request.Found)+len(v.a.Steps))
	found := map[guide.ID]int{}
	for i, f := range v.a.Request.Found {
		open[i], found[f.Item] = true, i
	}
	for i, s := range v.a.Steps {
		next := 0
		for k, is := range open {
			if is {
				next = k + 1
			}
		}
		row, back := found[s.Step.Item]
		switch {
		case s.Step.Phase == plan.RefitPhase && s.Mirror > 0 && s.Mirror <= i:
			v.at[i] = v.at[s.Mirror-1]
			open[v.at[i]] = false
		case s.Step.Kind == plan.Refit && back:
			v.at[i] = row
			open[row] = false
		case s.Step.Phase == plan.RefitPhase:
			v.at[i] = max(next-1, 0)
		default:
			v.at[i] = next
			if s.Step.Phase == plan.StripPhase && s.Mirror > 0 {
				open = append(open[:next], true)
			}
		}
		for len(open) <= v.at[i] {
			open = append(open, false)
		}
		v.rows = max(v.rows, v.at[i]+1)
	}
}

func (v *valleyPaint) add(s report.Shape) { v.d.Shapes = append(v.d.Shapes, s) }

func (v *valleyPaint) words(x, y float64, anchor, text string, bold bool) {
	v.add(report.Shape{Text: text, X: x, Y: y, Size: valleyText, Bold: bold, Anchor: anchor, Fill: "#000000"})
}

// bands draws for how long each condition stands away from where it began.
func (v *valleyPaint) bands() {
	y := 0.0
	for _, b := range v.a.Bands {
		if b.FromStep < 1 || b.ToStep > len(v.a.Steps) || b.ToStep < b.FromStep {
			continue
		}
		last := v.a.Steps[b.ToStep-1]
		from, to := v.x(v.a.Steps[b.FromStep-1].Starts), v.x(last.Starts+stepLength(last))
		text := b.Condition + ": " + b.Value
		x, anchor := from, ""
		if from+pdf.Width(pdf.Regular, valleyText, text) > valleyWide {
			x, anchor = valleyWide, "end"
		}
		v.words(x, y+9, anchor, text, false)
		v.add(report.Shape{Path: report.NewPath(pdf.Rect(from, y+12, max(to-from, valleyLeast), 6)), Pattern: bandLines, Stroke: "#000000", Width: 0.6})
		y += valleyBand
	}
	v.top = y + valleyAxis
}

// valleySpacings are the distances of ticks that people can count by.
var valleySpacings = []time.Duration{
	time.Minute, 2 * time.Minute, 5 * time.Minute, 10 * time.Minute, 15 * time.Minute, 30 * time.Minute,
	time.Hour, 2 * time.Hour, 4 * time.Hour, 12 * time.Hour, 24 * time.Hour,
}

// axis draws the time.
func (v *valleyPaint) axis() {
	const room = 60
	every := valleySpacings[len(valleySpacings)-1]
	for _, s := range valleySpacings {
		if v.x(s) >= room {
			every = s
			break
		}
	}
	bottom := v.y(v.rows)
	v.words(0, v.top-5, "", "begin", false)
	for t := every; t < v.total && v.x(t)+room < valleyWide; t += every {
		v.words(v.x(t), v.top-5, "middle", Minutes(t), false)
		v.add(report.Shape{Path: report.NewPath(pdf.Line(v.x(t), v.top-2, v.x(t), bottom)), Stroke: "#bbbbbb", Width: 0.5})
	}
	v.words(valleyWide, v.top-5, "end", Minutes(v.total), true)
}

// steps draws the ground and on it every step.
func (v *valleyPaint) steps() {
	bottom := v.y(v.rows)
	for i, s := range v.a.Steps {
		x, w := v.span(s)
		if y := v.y(v.at[i]) + valleyRow; bottom > y {
			v.add(report.Shape{Path: report.NewPath(pdf.Rect(x, y, w, bottom-y)), Fill: "#e9ecea"})
		}
	}
	for i, s := range v.a.Steps {
		x, w := v.span(s)
		bar := report.Shape{Path: report.NewPath(pdf.Rect(x, v.y(v.at[i]), w, valleyRow)), Fill: "#ffffff", Stroke: "#000000", Width: 0.6}
		switch {
		case s.Step.Kind == plan.Await:
			bar.Pattern = waitDots
		case s.Step.Phase == plan.StripPhase:
			bar.Pattern = stripHatch
		case s.Step.Phase == plan.RefitPhase:
			bar.Pattern = refitHatch
		default:
			bar.Fill = "#000000"
		}
		v.add(bar)
	}
}

func (v *valleyPaint) span(s StepLine) (x, w float64) {
	x = v.x(s.Starts)
	return x, max(v.x(s.Starts+stepLength(s))-x, valleyLeast)
}

// names names every removal in its row, where the row has most room.
func (v *valleyPaint) names() {
	named := map[int]bool{}
	for i, f := range v.a.Request.Found {
		v.name(i, itemName(v.a.Resolved, f.Item)+", found off", "")
		named[i] = true
	}
	for i, s := range v.a.Steps {
		if s.Step.Phase == plan.WorkPhase || s.Step.Phase == plan.RefitPhase && s.Mirror > 0 || named[v.at[i]] {
			continue
		}
		named[v.at[i]] = true
		minutes := strings.TrimSuffix(Minutes(stepLength(s)), " min")
		if s.Mirror > 0 && s.Mirror <= len(v.a.Steps) {
			minutes += "/" + strings.TrimSuffix(Minutes(stepLength(v.a.Steps[s.Mirror-1])), " min")
		}
		v.name(v.at[i], fmt.Sprintf("%d  %s", s.Number, v.rowName(s)), minutes)
	}
}

func (v *valleyPaint) rowName(s StepLine) string {
	if s.Item != nil && (s.Step.Kind == plan.Clear || s.Step.Kind == plan.Refit) {
		return itemName(v.a.Resolved, s.Item.ID)
	}
	if s.Step.Condition != "" && v.a.Resolved.Condition(s.Step.Condition) != nil {
		return stateText(v.a.Resolved, s.Step.Condition, s.Step.To)
	}
	return s.Title
}

// name writes a name and its minutes into the widest free stretch of a row.
func (v *valleyPaint) name(row int, text, minutes string) {
	from, to := v.widest(row)
	const pad = 4
	if minutes != "" {
		minutes = "  " + minutes
	}
	room := to - from - 2*pad - pdf.Width(pdf.Bold, valleyText, minutes)
	text = shortenTo(text, room)
	if text == "" {
		return
	}
	y := v.y(row) + valleyRow - 4.5
	x := from + pad
	if to >= valleyWide && from > valleyWide/2 {
		x = to - pad - pdf.Width(pdf.Regular, valleyText, text) - pdf.Width(pdf.Bold, valleyText, minutes)
	}
	v.words(x, y, "", text, false)
	if minutes != "" {
		v.words(x+pdf.Width(pdf.Regular, valleyText, text+"  "), y, "", strings.TrimSpace(minutes), true)
	}
}

// shortenTo cuts a text to a width; what would be less than a few letters is
// left out.
func shortenTo(text string, room float64) string {
	if pdf.Width(pdf.Regular, valleyText, text) <= room {
		return text
	}
	letters := []rune(text)
	for n := len(letters) - 1; n > 6; n-- {
		if cut := strings.TrimRight(string(letters[:n]), " ,(") + "…"; pdf.Width(pdf.Regular, valleyText, cut) <= room {
			return cut
		}
	}
	return ""
}

// widest returns the widest stretch of a row that no step covers.
func (v *valleyPaint) widest(row int) (from, to float64) {
	at := 0.0
	take := func(end float64) {
		if end-at > to-from {
			from, to = at, end
		}
	}
	for i, s := range v.a.Steps { // in the order of time
		if v.at[i] == row {
			x, w := v.span(s)
			take(x)
			at = x + w
		}
	}
	take(valleyWide)
	return from, to
}

// floor widens the stretch of work to the width of the paper and writes every
// task below it.
func (v *valleyPaint) floor() {
	y := v.y(v.rows)
	var work []StepLine
	for _, s := range v.a.Steps {
		if s.Step.Phase == plan.WorkPhase {
			work = append(work, s)
		}
	}
	if len(work) > 0 {
		from, _ := v.span(work[0])
		x, w := v.span(work[len(work)-1])
		v.add(report.Shape{Fill: "#e9ecea", Path: report.NewPath([]pdf.Segment{
			{Op: 'M', P: [3]pdf.Point{{X: from, Y: y}}},
			{Op: 'L', P: [3]pdf.Point{{X: x + w, Y: y}}},
			{Op: 'L', P: [3]pdf.Point{{X: valleyWide, Y: y + valleyFunnel}}},
			{Op: 'L', P: [3]pdf.Point{{X: 0, Y: y + valleyFunnel}}},
			{Op: 'Z'},
		})})
		y += valleyFunnel
	}
	for _, s := range work {
		v.add(report.Shape{Path: report.NewPath(pdf.Rect(0, y, 3, valleyLine-2)), Fill: "#000000"})
		minutes := Minutes(stepLength(s))
		v.words(8, y+9, "", shortenTo(fmt.Sprintf("%d  %s", s.Number, s.Title), valleyWide-60), true)
		v.words(valleyWide, y+9, "end", minutes, true)
		y += valleyLine
	}
	v.d.H = y + 4
}
