package web

import (
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/plan"
)

// labels names every row in the widest free room: the open valley between a
// step and its mirror, or the ground on either side.
func (d *drawing) labels() {
	for i, r := range d.rows {
		name, bold := d.rowName(r)
		if name == "" {
			continue
		}
		from, to := d.edges(i, r)
		rooms := []label{
			{X: from + gap, Anchor: "start", Left: true}, {X: gap, Anchor: "start", Left: true}, {X: d.v.W - gap, Anchor: "end"},
		}
		wide := []px{to - from, d.left(r), d.v.W - d.right(r)}
		best := 0
		for k := range rooms {
			if wide[k] > wide[best] && float64(wide[0]-2*gap) < float64(len(name)+len(bold)+1)*letterWide {
				best = k
			}
		}
		l := rooms[best]
		l.Y, l.Bold, l.In = d.y(i)+rowHigh/2+6, bold, best > 0
		l.Text = shorten(name, int(float64(wide[best]-2*gap)/letterWide)-len(bold)-1)
		if l.Text == "" && float64(len(bold))*letterWide > float64(wide[best]) {
			continue
		}
		d.v.Labels = append(d.v.Labels, l)
	}
	d.ties()
}

// edges returns where the open valley of a row begins and ends.
func (d *drawing) edges(i int, r row) (from, to px) {
	to = d.v.W
	if r.strip >= 0 {
		s := d.a.Steps[r.strip]
		from = d.x(s.Starts + length(s))
	} else if r.found != "" {
		from = 8
	}
	for k := range d.a.Steps { // tasks and waits that share the row
		if d.at[k] == i && k != r.strip && k != r.refit {
			s := d.a.Steps[k]
			from = max(from, d.x(s.Starts+length(s)))
		}
	}
	if r.refit >= 0 {
		to = d.x(d.a.Steps[r.refit].Starts)
	}
	return from, max(from, to)
}

// left returns how wide the ground before the strip step is.
func (d *drawing) left(r row) px {
	if r.strip < 0 {
		return 0
	}
	return d.x(d.a.Steps[r.strip].Starts)
}

// right returns where the ground after the refit step begins.
func (d *drawing) right(r row) px {
	if r.refit < 0 {
		return d.v.W
	}
	s := d.a.Steps[r.refit]
	return d.x(s.Starts + length(s))
}

// rowName returns what a row is called and its minutes there and back.
func (d *drawing) rowName(r row) (name, bold string) {
	var parts []string
	for _, k := range []int{r.strip, r.refit} {
		if k >= 0 {
			parts = append(parts, brief(length(d.a.Steps[k])))
		}
	}
	bold = strings.Join(parts, "/")
	switch {
	case r.strip >= 0:
		name = d.stepName(r.strip)
	case r.found != "":
		name = say("valley.found", d.itemName(r.found))
	case r.refit >= 0:
		name = d.stepName(r.refit)
	}
	return name, bold
}

func (d *drawing) stepName(k int) string {
	s := d.a.Steps[k]
	if s.Item != nil && s.Step.Kind != plan.Change && s.Step.Kind != plan.Await {
		return shortName(s.Item.Name)
	}
	if d.a.Resolved != nil {
		if c := d.a.Resolved.Condition(s.Step.Condition); c != nil {
			return valueText(c, s.Step.To)
		}
	}
	return shortName(s.Title)
}

// valueText names a condition with a value: "battery: disconnected".
func valueText(c *guide.Condition, id guide.ID) string {
	for _, v := range c.Values {
		if v.ID == id {
			return firstOf(c.Name, string(c.ID)) + ": " + firstOf(v.Name, string(id))
		}
	}
	return firstOf(c.Name, string(c.ID))
}

func (d *drawing) itemName(id string) string {
	if d.a.Resolved != nil {
		if it := d.a.Resolved.Item(guide.ID(id)); it != nil {
			return shortName(it.Name)
		}
	}
	return id
}

// shortName drops what stands in brackets.
func shortName(name string) string {
	short, _, _ := strings.Cut(name, " (")
	return short
}

// brief prints minutes without their unit, as guides write them.
func brief(t time.Duration) string { return strings.TrimSuffix(app.Minutes(t), " min") }

// leastLetters is the shortest beginning of a name that still says something.
const leastLetters = 4

// shorten cuts a name to so many letters, at a word where that is near.
func shorten(name string, letters int) string {
	r := []rune(name)
	if len(r) <= letters {
		return name
	}
	if letters <= leastLetters {
		return ""
	}
	cut := string(r[:letters-1])
	if i := strings.LastIndexByte(cut, ' '); i > len(cut)/2 {
		cut = cut[:i]
	}
	return strings.TrimRight(cut, " ,;:") + "…"
}

func (d *drawing) ties() {
	for i, r := range d.rows {
		if r.strip < 0 || r.refit < 0 {
			continue
		}
		from, to := d.edges(i, r)
		d.v.Ties = append(d.v.Ties, tie{
			X1: from, X2: to, Y: d.y(i) + rowHigh/2,
			Strip: d.a.Steps[r.strip].Number, Refit_: d.a.Steps[r.refit].Number,
		})
	}
}

// floor draws what lies at the bottom: an outline that widens the stretch of
// work to the width of the page, and below it each task in words.
func (d *drawing) floor() {
	v := d.v
	y := v.Floor
	if len(d.work) > 0 {
		first, last := d.a.Steps[d.work[0]], d.a.Steps[d.work[len(d.work)-1]]
		from, to := d.x(first.Starts), max(d.x(last.Starts+length(last)), d.x(first.Starts)+leastBar)
		v.Funnel = strings.Join([]string{
			from.String() + "," + y.String(), to.String() + "," + y.String(),
			v.W.String() + "," + (y + funnelHigh).String(), "0," + (y + funnelHigh).String(),
		}, " ")
		y += funnelHigh
		for _, k := range d.work {
			s := d.a.Steps[k]
			minutes := app.Minutes(length(s))
			v.Bars[k].Line = &floorLine{
				Y: y, Number: s.Number, Minutes: minutes,
				Text: shorten(s.Title, int(float64(v.W-60)/letterWide)-len(minutes)),
			}
			y += rowHigh
		}
	}
	v.H = y + footHigh
}
