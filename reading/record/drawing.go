package record

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"
)

// Width is the width of a drawing in its own units, about pixels.
type Width int

// The widths that drawings are laid out for.
const (
	Phone   Width = 360
	Desktop Width = 960
)

// Measures of the drawing, in its own units.
const (
	leftRoom   = 46.0
	rightRoom  = 10.0
	topRoom    = 20.0 // letters of the marks
	nameRoom   = 18.0 // name of a panel
	panelTall  = 92.0
	footRoom   = 34.0 // times
	hatchStep  = 8.0
	joinPixels = 3 // columns without a value that a line runs across
	joinRows   = 5 // and usual distances of the values
	textSize   = 12
)

// SVG draws the plot for one width as an inline picture. It carries no style
// and no script: lines are in the current colour, so that it follows light and
// dark; classes (record, axis, trace, bound, mark, name, letter) let a page say
// more. Stretches are told by a hatched pattern and a letter, bounds by dashes
// and a word, channels by panels of their own, nothing by colour. Every column
// of a trace shows its least and most value, so that spikes stay visible. The
// words of Text are its description; id must be unlike that of any other
// drawing of the page.
func (p Plot) SVG(id string, width Width) string {
	d := &drawing{plot: p, id: plainID(id), width: float64(max(width, Phone))}
	d.height = topRoom + float64(len(p.Panels))*(nameRoom+panelTall) + footRoom
	return d.draw()
}

// drawing is one SVG being written.
type drawing struct {
	b             strings.Builder
	plot          Plot
	id            string
	width, height float64
}

// plainID keeps letters, digits and hyphens.
func plainID(id string) string {
	keep := func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return '-'
	}
	return "r" + strings.Map(keep, id)
}

func (d *drawing) put(format string, a ...any) { fmt.Fprintf(&d.b, format, a...) }

// pt prints a length with one decimal at most.
func pt(x float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(x, 'f', 1, 64), ".0")
}

func (d *drawing) draw() string {
	d.put(`<svg class="record" role="img" aria-labelledby="%s-title %s-desc" viewBox="0 0 %s %s" xmlns="http://www.w3.org/2000/svg" font-size="%d" fill="currentColor">`,
		d.id, d.id, pt(d.width), pt(d.height), textSize)
	var names []string
	for _, p := range d.plot.Panels {
		names = append(names, p.Channel)
	}
	d.put(`<title id="%s-title">%s</title><desc id="%s-desc">%s</desc>`, d.id, html.EscapeString("Recording: "+strings.Join(names, ", ")), d.id, html.EscapeString(d.plot.Text()))
	d.put(`<defs><pattern id="%s-hatch" width="%s" height="%s" patternUnits="userSpaceOnUse"><path d="M0 %s L%s 0" fill="none" stroke="currentColor" stroke-opacity=".45"/></pattern></defs>`,
		d.id, pt(hatchStep), pt(hatchStep), pt(hatchStep), pt(hatchStep))
	d.marks()
	for i, p := range d.plot.Panels {
		d.panel(i, p)
	}
	d.times()
	d.put(`</svg>`)
	return d.b.String()
}

// x returns where a time stands.
func (d *drawing) x(t float64) float64 {
	return leftRoom + (t-d.plot.From)/(d.plot.To-d.plot.From)*(d.width-leftRoom-rightRoom)
}

// marks draws the stretches behind the traces.
func (d *drawing) marks() {
	for _, m := range d.plot.Marks {
		from, to := d.x(m.From), d.x(m.To)
		bottom := d.height - footRoom
		d.put(`<g class="mark"><path d="M%s %sV%sM%s %sV%s" stroke="currentColor" stroke-dasharray="1 2"/>`, pt(from), pt(topRoom), pt(bottom), pt(to), pt(topRoom), pt(bottom))
		for i := range d.plot.Panels { // not behind the names
			d.put(`<rect x="%s" y="%s" width="%s" height="%s" fill="url(#%s-hatch)"/>`, pt(from), pt(d.top(i)), pt(max(to-from, 1)), pt(panelTall-4), d.id)
		}
		if m.Letter != "" {
			d.put(`<text class="letter" x="%s" y="%s" text-anchor="middle" font-weight="bold">%s</text>`, pt((from+to)/2), pt(topRoom-6), m.Letter)
		}
		d.put(`</g>`)
	}
}

// top returns where a panel begins, below its name.
func (d *drawing) top(i int) float64 { return topRoom + float64(i)*(nameRoom+panelTall) + nameRoom }

// panel draws one channel.
func (d *drawing) panel(i int, p Panel) {
	top := d.top(i)
	low, high := p.span()
	y := func(v float64) float64 { return top + (high-v)/(high-low)*(panelTall-8) }
	name := p.Channel
	if p.Unit != "" && p.Unit != "1" {
		name += ", " + p.Unit
	}
	d.put(`<text class="name" x="%s" y="%s">%s</text>`, pt(leftRoom), pt(top-5), html.EscapeString(name))
	for _, v := range levels(low, high, 4) {
		d.put(`<path class="axis" d="M%s %sH%s" stroke="currentColor" stroke-opacity=".2"/><text class="axis" x="%s" y="%s" text-anchor="end">%s</text>`,
			pt(leftRoom), pt(y(v)), pt(d.width-rightRoom), pt(leftRoom-5), pt(y(v)+4), trimmed(v))
	}
	d.bounds(p, top, func(v float64) (float64, bool) { return y(v), v >= low && v <= high })
	d.put(`<path class="trace" d="%s" fill="none" stroke="currentColor" stroke-linejoin="round"/>`, d.line(p, y))
}

// dashes tell a limit from a condition.
var dashes = map[string]string{"limit": "6 3", "condition": "2 3"}

// bounds draws the ranges that a channel is held against, and says them above
// the panel.
func (d *drawing) bounds(p Panel, top float64, y func(float64) (at float64, seen bool)) {
	var says []string
	for _, b := range p.Bounds {
		says = append(says, b.String())
		for _, v := range b.ends() {
			if at, seen := y(v); seen {
				d.put(`<path class="bound" d="M%s %sH%s" stroke="currentColor" stroke-width="1.5" stroke-dasharray="%s"/>`, pt(leftRoom), pt(at), pt(d.width-rightRoom), dashes[b.Of])
			}
		}
	}
	if len(says) > 0 {
		d.put(`<text class="bound" x="%s" y="%s" text-anchor="end">%s</text>`, pt(d.width-rightRoom), pt(top-5), html.EscapeString(strings.Join(says, ", ")))
	}
}

// line is the path of a trace: through the least and most value of every
// column, broken where values are missing for long.
func (d *drawing) line(p Panel, y func(float64) float64) string {
	n := int(d.width - leftRoom - rightRoom)
	least, most := p.columnsOf(d.plot.From, d.plot.To, n)
	perColumn := (d.plot.To - d.plot.From) / float64(n)
	join := max(joinPixels, int(math.Ceil(joinRows*p.Every/perColumn)))
	var b strings.Builder
	last := -join - 1
	for i := range n {
		if least[i] != least[i] {
			continue
		}
		x, low, high := pt(leftRoom+float64(i)+0.5), pt(y(least[i])), pt(y(most[i]))
		if i-last > join {
			b.WriteString("M" + x + " " + low)
			if low == high {
				b.WriteString("h.5")
			}
		} else {
			b.WriteString("L" + x + " " + low)
		}
		if low != high {
			b.WriteString("V" + high)
		}
		last = i
	}
	return b.String()
}

// levelSlack forgives what is lost in divisions, as a share of a step.
const levelSlack = 1e-9

// levels returns at most n round numbers between two.
func levels(low, high float64, n int) []float64 {
	step := math.Pow(10, math.Floor(math.Log10((high-low)/float64(n))))
	for _, f := range []float64{1, 2, 5, 10} {
		if (high-low)/(step*f) <= float64(n)*(1+levelSlack) {
			step *= f
			break
		}
	}
	var all []float64
	for k := math.Ceil(low/step - levelSlack); k*step <= high+levelSlack*step && len(all) <= n; k++ {
		all = append(all, k*step+0)
	}
	return all
}

// timeSteps are round distances of time, in seconds.
var timeSteps = []float64{0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400, 43200, 86400}

// times draws the axis of time.
func (d *drawing) times() {
	most := 4.0
	if d.width >= float64(Desktop) {
		most = 10
	}
	long := d.plot.To - d.plot.From
	step := timeSteps[len(timeSteps)-1]
	for _, s := range timeSteps {
		if long/s <= most {
			step = s
			break
		}
	}
	for long/step > most {
		step *= 2
	}
	base := d.height - footRoom
	d.put(`<path class="axis" d="M%s %sH%s" stroke="currentColor"/>`, pt(leftRoom), pt(base), pt(d.width-rightRoom))
	for k := math.Ceil(d.plot.From / step); k*step <= d.plot.To; k++ {
		x := d.x(k * step)
		d.put(`<path class="axis" d="M%s %sv4" stroke="currentColor"/><text class="axis" x="%s" y="%s" text-anchor="middle">%s</text>`, pt(x), pt(base), pt(x), pt(base+16), d.tick(k*step))
	}
	d.put(`<text class="axis" x="%s" y="%s" text-anchor="end">%s</text>`, pt(d.width-rightRoom), pt(base+30), d.unit())
}

// tick writes a time on the axis.
func (d *drawing) tick(t float64) string {
	if d.plot.To-d.plot.From < 100 && d.plot.To < 1000 {
		return trimmed(math.Round(t*10) / 10)
	}
	s := int(math.Round(t))
	if d.plot.To < 3600 {
		return fmt.Sprintf("%d:%02d", s/60, s%60)
	}
	return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
}

func (d *drawing) unit() string {
	switch {
	case d.plot.To-d.plot.From < 100 && d.plot.To < 1000:
		return "seconds"
	case d.plot.To < 3600:
		return "minutes : seconds"
	}
	return "hours : minutes : seconds"
}
