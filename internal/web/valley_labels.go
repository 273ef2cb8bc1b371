package web

import (
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/plan"
)

// room is a free stretch of a row.
type room struct{ from, to px }

// labels names every removal, and every item found off, in a free stretch of
// its row: beside its step where the name fits, else where there is most room.
func (d *drawing) labels() {
	for i, r := range d.rows {
		free := d.free(i)
		if r.found != "" {
			free = d.label(free, i, room{0, markWide}, say("valley.found", d.itemName(r.found)), d.minutes(-1, r.refit))
		}
		for k, s := range d.a.Steps {
			if d.at[k] != i || s.Step.Phase == plan.WorkPhase || s.Step.Phase == plan.RefitPhase && (s.Mirror > 0 || r.found != "") {
				continue
			}
			free = d.label(free, i, room{d.x(s.Starts), d.x(s.Starts + length(s))}, d.stepName(k), d.minutes(k, s.Mirror-1))
		}
	}
	d.ties()
}

// label puts one name into the free stretches of row i and returns what is
// left of them.
func (d *drawing) label(free []room, i int, at room, name, bold string) []room {
	need := px(float64(len([]rune(name))+len(bold)+1)*letterWide) + 2*gap
	best := -1
	for k, f := range free {
		if best < 0 || f.to-f.from > free[best].to-free[best].from {
			best = k
		}
	}
	if best < 0 {
		return free
	}
	for k, f := range free { // touching the step beats being the widest
		if (near(f.from, at.to) || near(f.to, at.from)) && f.to-f.from >= need {
			best = k
			break
		}
	}
	f := free[best]
	text := shorten(name, int(float64(f.to-f.from-2*gap)/letterWide)-len(bold)-1)
	if text == "" && float64(len(bold))*letterWide > float64(f.to-f.from-2*gap) {
		return free
	}
	l := label{X: f.from + gap, Y: d.y(i) + rowHigh/2 + 6, Anchor: "start", Text: text, Bold: bold, Left: true, In: !d.open(i, f)}
	used := px(float64(len([]rune(text))+len(bold)+1)*letterWide) + 2*gap
	if f.to >= d.v.W && f.from > d.v.W/2 { // against the right edge it reads towards the edge
		l.X, l.Anchor, l.Left = f.to-gap, "end", false
		free[best].to -= used
	} else {
		free[best].from += used
	}
	d.v.Labels = append(d.v.Labels, l)
	return free
}

func near(a, b px) bool { return a-b < 1 && b-a < 1 }

// free returns the stretches of a row that no step covers, left to right.
func (d *drawing) free(row int) []room {
	var out []room
	at := px(0)
	if d.rows[row].found != "" {
		at = markWide
	}
	for k, s := range d.a.Steps { // in the order of time
		if d.at[k] != row {
			continue
		}
		if from := d.x(s.Starts); from-at > 2*gap {
			out = append(out, room{at, from})
		}
		at = d.x(s.Starts + length(s))
	}
	if d.v.W-at > 2*gap {
		out = append(out, room{at, d.v.W})
	}
	return out
}

// open reports whether the valley stands open over the whole stretch of a row:
// no step above it throws ground there.
func (d *drawing) open(row int, f room) bool {
	for k, s := range d.a.Steps {
		if d.at[k] < row && d.x(s.Starts) < f.to-1 && d.x(s.Starts+length(s)) > f.from+1 {
			return false
		}
	}
	return true
}

// minutes returns what a removal takes there and back; -1 is no such step.
func (d *drawing) minutes(strip, refit int) string {
	var parts []string
	for _, k := range []int{strip, refit} {
		if k >= 0 && k < len(d.a.Steps) {
			parts = append(parts, brief(length(d.a.Steps[k])))
		}
	}
	return strings.Join(parts, "/")
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

// markWide is the width of the mark of an item found off.
const markWide = 8

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
	if i := strings.LastIndexByte(cut, ' '); i > len(cut)-leastLetters {
		cut = cut[:i]
	}
	return strings.TrimRight(cut, " ,;:") + "…"
}

// ties joins every step with its mirror, where nothing lies between them.
func (d *drawing) ties() {
	for k, s := range d.a.Steps {
		m := s.Mirror - 1
		if s.Step.Phase != plan.StripPhase || m <= k || m >= len(d.a.Steps) || d.at[m] != d.at[k] {
			continue
		}
		d.v.Ties = append(d.v.Ties, tie{
			X1: d.x(s.Starts + length(s)), X2: d.x(d.a.Steps[m].Starts), Y: d.y(d.at[k]) + rowHigh/2,
			Strip: s.Number, Back: s.Mirror,
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
				Text: shorten(s.Title, int(float64(v.W-60)/letterWide)-len(minutes)-2),
			}
			y += rowHigh
		}
	}
	v.H = y + footHigh
}
