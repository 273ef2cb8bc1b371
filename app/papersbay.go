package app

import (
	"fmt"
	"slices"

	"elbowroom/bay"
	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/report"
)

// baySection draws the bay from the views, or from where the work is reached.
func baySection(ans *Answer, scene *bay.Scene, views []guide.View) report.Section {
	s := report.Section{Title: "The bay"}
	if scene == nil || len(scene.Placed()) == 0 {
		return s
	}
	if len(views) == 0 {
		views = neededViews(ans)
	}
	for _, v := range views {
		d, err := bayDrawing(ans, scene, v)
		if err != nil {
			s.Blocks = append(s.Blocks, textBlock(fmt.Sprintf("The drawing from this side cannot be printed: %v.", err)))
			continue
		}
		s.Blocks = append(s.Blocks, report.Block{Drawing: &d})
	}
	return s
}

// mostViews is how many drawings of the bay a plan has at most.
const mostViews = 3

// neededViews returns the sides from which the work is reached, those of the
// tasks first.
func neededViews(ans *Answer) []guide.View {
	var views []guide.View
	take := func(kind plan.StepKind) {
		for _, s := range ans.Steps {
			if s.Step.Kind != kind || len(views) == mostViews {
				continue
			}
			if v := viewOfPlace(ans.Resolved, placeOf(s)); v != "" && !slices.Contains(views, v) {
				views = append(views, v)
			}
		}
	}
	take(plan.Do)
	take(plan.Clear)
	if len(views) == 0 {
		return []guide.View{guide.FromAbove}
	}
	return views
}

// placeOf returns where a step is reached from.
func placeOf(s StepLine) guide.ID {
	if s.Way != nil && s.Way.From != "" {
		return s.Way.From
	}
	return s.Step.Place
}

func viewOfPlace(r *guide.Resolved, place guide.ID) guide.View {
	for _, p := range r.Guide.Places {
		if p.ID == place {
			return p.View
		}
	}
	return ""
}

// Width in pixels at which the drawing of the bay is made, so that its letters
// are 8 points high and more on paper, and the most height of the picture.
const (
	bayWide = 660
	bayHigh = 620
)

// onPaper keeps the ground of the drawing white.
const onPaper = "svg.bay{--bay-paper:#ffffff;--bay-grid:#e6e6e6}"

// bayDrawing draws what comes off in order, and the targets.
func bayDrawing(ans *Answer, scene *bay.Scene, view guide.View) (report.Drawing, error) {
	o := bay.Options{View: view, Width: bayWide, Height: bayHigh, Labels: true, Ghosts: true, Cleared: map[guide.ID]bay.State{}}
	for _, f := range ans.Request.Found {
		o.Cleared[f.Item] = bay.Aside
		if f.Off {
			o.Cleared[f.Item] = bay.Off
		}
	}
	for _, s := range ans.Steps {
		switch {
		case s.Step.Kind == plan.Clear:
			o.Path = append(o.Path, s.Step.Item)
		case s.Step.Kind == plan.Do:
			o.Highlight = appendTargets(o.Highlight, ans.Resolved, ans.Request.Tasks[s.Step.Task].On)
		}
	}
	d, err := report.FromSVG(scene.Draw(o), bay.Style()+onPaper)
	if err != nil {
		return d, err
	}
	d.Title += ", as the machine is found. Numbers: what comes off, in this order. Left and right are those of the vehicle."
	return d, nil
}

// appendTargets adds the item of a task, or the items that a check is on.
func appendTargets(list []guide.ID, r *guide.Resolved, on guide.ID) []guide.ID {
	ids := []guide.ID{on}
	if c := r.Check(on); c != nil {
		ids = c.On
		if c.Point != "" {
			ids = []guide.ID{c.Point}
		}
	}
	for _, id := range ids {
		if r.Item(id) != nil && !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	return list
}
