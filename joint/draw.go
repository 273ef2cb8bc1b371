package joint

import (
	"fmt"
	"math"
	"strings"
)

// Sizes of the drawings in pixels. The letters are 16 px, which is what a page
// prints its own text in.
const (
	dotRoom   = 46.0 // from one fastener to the next
	dotSize   = 19.0
	smallDot  = 14.0
	crowded   = 14 // fasteners from which dots are small
	padding   = 24.0
	letter    = 16.0
	handWide  = 340.0
	labelSide = 52.0 // from the middle of the adapter to that of its label, sideways and up
	labelRise = 24.0
	handSteep = 64.0 // how far an adapter at an angle rises or falls at most
)

// Style returns the style sheet of the drawings. It uses colours that the page
// gives by name and falls back on plain ones.
func Style() string { return style }

const style = `svg.joint{display:block;max-width:100%;height:auto;overflow:visible}
.joint text{font-size:16px;fill:var(--ink,#142522);text-anchor:middle}
.joint .dot{fill:var(--sheet,#fff);stroke:var(--ink,#142522);stroke-width:2}
.joint .first .dot{stroke-width:5}
.joint .run{fill:none;stroke:var(--line,#71817c);stroke-width:1.5;stroke-dasharray:3 4}
.joint .n{font-weight:750;font-variant-numeric:tabular-nums}
.joint .tool{stroke:var(--ink,#142522);stroke-width:9;stroke-linecap:round;fill:none}
.joint .part{stroke:var(--refit,#1f4f96);stroke-width:9;stroke-linecap:round;fill:none}
.joint .size{stroke:var(--line,#71817c);stroke-width:1.5;fill:none}
.joint .hand{fill:var(--ink,#142522)}
.joint .start{text-anchor:start}.joint .end{text-anchor:end}
`

// SVG draws the places with their number in the order of tightening, or as
// bare places where no order is written down. The title is read out instead of
// the drawing; id must be unique on the page. Every text is escaped.
func (l Layout) SVG(id, title string) string {
	if len(l.Places) == 0 {
		return ""
	}
	wide, high := l.size()
	size := dotSize
	if len(l.Places) > crowded {
		size = smallDot
	}
	at := func(s Spot) (x, y float64) { return padding + s.X*wide, padding + s.Y*high }
	rank := make([]int, len(l.Places)+1)
	for i, n := range l.Order {
		rank[n] = i + 1
	}
	d := open(id, title, wide+2*padding, high+2*padding)
	d.path(l, at)
	for i, s := range l.Places {
		x, y := at(s)
		class := "place"
		if rank[i+1] == 1 && len(l.Places) > 1 {
			class = "place first"
		}
		d.f(`<g class="%s"><circle class="dot" cx="%.1f" cy="%.1f" r="%.0f"/>`, class, x, y, size)
		if rank[i+1] > 0 {
			d.f(`<text class="n" x="%.1f" y="%.1f">%d</text>`, x, y+letter*0.35, rank[i+1])
		}
		d.f(`</g>`)
	}
	return d.close()
}

// size returns the width and height that the places take.
func (l Layout) size() (wide, high float64) {
	n := len(l.Places)
	room := dotRoom
	if n > crowded {
		room = 2*smallDot + 4
	}
	if l.Form == Circle {
		d := max(room*float64(n)/math.Pi, 2.2*room)
		return d, d
	}
	rows := l.rows()
	return room * float64((n+rows-1)/rows-1), room * float64(rows-1)
}

// drawing collects an SVG.
type drawing struct{ strings.Builder }

func (d *drawing) f(format string, args ...any) { fmt.Fprintf(d, format, args...) }

func open(id, title string, wide, high float64) *drawing {
	d := &drawing{}
	d.f(`<svg class="joint" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" width="%.0f" height="%.0f" role="img" aria-labelledby="%s"><title id="%s">%s</title>`,
		wide, high, wide, high, escape(id), escape(id), escape(title))
	return d
}

func (d *drawing) close() string {
	d.f(`</svg>`)
	return d.String()
}

// path draws the line from each place to the next in the order.
func (d *drawing) path(l Layout, at func(Spot) (x, y float64)) {
	if len(l.Order) < 3 || len(l.Places) > crowded {
		return
	}
	d.f(`<path class="run" d="`)
	for i, n := range l.Order {
		x, y := at(l.Places[n-1])
		d.f("%c%.1f %.1f", "LM"[b2i(i == 0)], x, y)
	}
	d.f(`"/>`)
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

var escape = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "'", "&#39;").Replace

// Points are where hand, square drive and fastener lie, in millimetres: the
// hand at the origin, the wrench along x, the adapter turned by its angle.
type Points struct {
	Hand, Drive, Fastener [2]float64
}

// Points returns the adapter as data for a drawing.
func (a Adapter) Points() Points {
	l, e, t := float64(a.Arm), float64(a.Reach), a.Bend*math.Pi/180
	return Points{Drive: [2]float64{l, 0}, Fastener: [2]float64{l + e*cosine(a.Bend), e * math.Sin(t)}}
}

// SVG draws wrench and adapter with their lengths and the angle, not to scale.
// The title is read out instead of the drawing; id must be unique on the page.
func (a Adapter) SVG(id, title string) string {
	const y, hand, drive, arm = 100.0, 26.0, 190.0, 96.0
	cos, sin := cosine(a.Bend), math.Sin(a.Bend*math.Pi/180)
	fx, fy := drive+arm*cos, y-handSteep*sin
	bottom := max(fy, y) + 44
	d := open(id, title, handWide, bottom+50)
	d.f(`<path class="tool" d="M%.0f %.0fH%.0f"/>`, hand, y, drive)
	d.f(`<circle class="hand" cx="%.0f" cy="%.0f" r="13"/>`, hand, y)
	d.f(`<path class="part" d="M%.0f %.0fL%.1f %.1f"/>`, drive, y, fx, fy)
	d.f(`<rect class="dot" x="%.0f" y="%.0f" width="18" height="18"/>`, drive-9, y-9)
	d.f(`<path class="dot" d="%s"/>`, hexagon(fx, fy, 17))
	d.dimension(hand, drive, bottom, fmt.Sprintf("L %g mm", float64(a.Arm)))
	d.f(`<text x="%.1f" y="%.1f">E %g mm</text>`, (drive+fx)/2-labelSide*sin, (y+fy)/2-labelRise*math.Abs(cos)+5*math.Abs(sin), float64(a.Reach)) // left of it or above
	d.dimension(hand, fx, bottom+38, fmt.Sprintf("hand to fastener %g mm", round(float64(a.Lever()), usualFigures+1)))
	d.f(`<text class="start" x="%.0f" y="20">θ %g°</text>`, 8.0, a.Bend)
	return d.close()
}

// dimension draws a length below the drawing.
func (d *drawing) dimension(from, to, y float64, says string) {
	d.f(`<path class="size" d="M%.1f %.1fv12m0 -6H%.1fm0 -6v12"/>`, from, y-6, to)
	d.f(`<text x="%.1f" y="%.1f">%s</text>`, (from+to)/2, y-9, escape(says))
}

// hexagon returns the path of a hexagon round a point.
func hexagon(x, y, r float64) string {
	var b strings.Builder
	for i := range 6 {
		a := float64(i) * math.Pi / 3
		fmt.Fprintf(&b, "%c%.1f %.1f", "LM"[b2i(i == 0)], x+r*math.Cos(a), y+r*math.Sin(a))
	}
	return b.String() + "Z"
}
