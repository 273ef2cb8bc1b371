package bay

import (
	"math"

	"elbowroom/guide"
)

// frame draws the edge of the picture and names its four sides.
func (d *drawing) frame() {
	if d.View == Corner {
		d.triad()
		return
	}
	f := d.field
	d.out.box(f, 0, "edge")
	c := f.centre()
	d.side(flat{c.u, f.v0 - 8}, 0, sideWords(d.eye.up), flat{0, -1})
	d.side(flat{c.u, f.v1 + 16}, 0, sideWords(scale(d.eye.up, -1)), flat{0, 1})
	d.side(flat{f.u0 - 8, c.v}, -90, sideWords(scale(d.eye.right, -1)), flat{-1, 0})
	d.side(flat{f.u1 + 8, c.v}, 90, sideWords(d.eye.right), flat{1, 0})
}

// sideSize is the font size of the names of the sides.
const sideSize = 12.0

// side writes the name of one side with an arrow head on both ends of it.
func (d *drawing) side(at flat, turn float64, words string, dir flat) {
	pairs := []string{}
	if turn != 0 {
		pairs = []string{"transform", "rotate(" + num(turn) + " " + pair(at) + ")"}
	}
	d.out.words(words, at, "side", pairs...)
	gap := wide(words, sideSize)/2 + 12
	line := flat{math.Abs(dir.v), math.Abs(dir.u)} // along the text
	mid := flat{at.u, at.v - 4}
	if dir.u != 0 {
		mid = flat{at.u + 4*dir.u, at.v}
	}
	for _, way := range [2]float64{-1, 1} {
		d.arrow(flat{mid.u + way*gap*line.u, mid.v + way*gap*line.v}, dir)
	}
}

// arrow draws a small arrow head.
func (d *drawing) arrow(at, dir flat) {
	tip := flat{at.u + 5*dir.u, at.v + 5*dir.v}
	a := flat{at.u - 3*dir.u + 4*dir.v, at.v - 3*dir.v - 4*dir.u}
	b := flat{at.u - 3*dir.u - 4*dir.v, at.v - 3*dir.v + 4*dir.u}
	d.out.empty("path", "class", "head", "d", outline([]flat{tip, a, b}))
}

// Size of the triad in pixels.
const (
	triadReach = 34.0
	triadWide  = 170.0
	triadHigh  = 84.0
)

// triadBox is the room that the triad takes up.
func (d *drawing) triadBox() rect {
	return rect{d.field.u0, d.field.v0, d.field.u0 + triadWide, d.field.v0 + triadHigh}
}

// triad draws the three axes of the bay where they are not level or upright.
func (d *drawing) triad() {
	origin := flat{d.field.u0 + 42, d.field.v0 + 46}
	at := [3]flat{{d.field.u0 + 2, origin.v + 36}, {origin.u + 42, origin.v + 20}, {origin.u + 8, origin.v - 28}}
	for i, axis := range unit {
		p := d.eye.flat(axis)
		tip := flat{origin.u + p.u*triadReach, origin.v - p.v*triadReach}
		d.out.line(origin, tip, "go")
		l := math.Hypot(p.u, p.v)
		d.arrow(tip, flat{p.u / l, -p.v / l})
		d.out.words(sideWords(axis), at[i], "note halt")
	}
}

// Scale bar, in pixels.
const (
	barMost    = 150.0 // longest
	barHigh    = 5.0
	barLabel   = 64.0 // room for its length in words
	barCorner  = 80.0 // more of it, from the corner
	barDown    = 32.0 // below the picture
	capSize    = 13.0
	capBold    = 1.06
	capMargins = 2*band + 16
)

// oneLine reports whether the view's name and the scale bar fit side by side.
func (d *drawing) oneLine() bool {
	bar := math.Min(barMost, roundBar(barMost/d.scale)*d.scale) + barLabel
	if d.View == Corner {
		bar += barCorner
	}
	return wide(d.caption(), capSize)*capBold+bar+capMargins < d.Width
}

// caption says from where one looks, in as many words as there is room for.
func (d *drawing) caption() string {
	words := viewWords(d.View)
	if d.View == Corner {
		words = "from a corner: front, left of the vehicle"
	}
	if long := "Seen " + words; wide(long, capSize)*capBold <= d.Width-2*band {
		return long
	}
	return guide.Capital(words)
}

// scaleBar draws a bar of a round number of millimetres and says from where
// one looks.
func (d *drawing) scaleBar() {
	mm := roundBar(barMost / d.scale)
	w, label := mm*d.scale, num(mm)+" mm"
	if d.View == Corner {
		w *= math.Sqrt(2.0 / 3) // the three axes are equally shortened
		label += " along an axis"
	}
	v := d.field.v1 + barDown
	d.out.words(d.caption(), flat{band, v + barHigh + 1}, "cap")
	if !d.oneLine() {
		v += listLine
	}
	from, half := d.Width-band-w, w/2
	d.out.box(rect{from, v, from + half, v + barHigh}, 0, "bar")
	d.out.box(rect{from + half, v, from + w, v + barHigh}, 0, "bar b")
	d.out.words(label, flat{from - 8, v + barHigh + 1}, "note", "text-anchor", "end")
}

// roundBar returns the largest of 1, 2, 5, 10 … that is not more than mm.
func roundBar(mm float64) float64 {
	ten := math.Pow(10, math.Floor(math.Log10(mm)))
	for _, f := range [3]float64{5, 2, 1} {
		if f*ten <= mm {
			return f * ten
		}
	}
	return ten
}
