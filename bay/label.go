package bay

import (
	"cmp"
	"math"
	"slices"
)

// labelOthers names what is neither target nor on the path: big items on the
// item itself, small ones by their id beside it. Only what is seen is named.
func (d *drawing) labelOthers(order []int) {
	bySize := slices.Clone(order)
	slices.SortStableFunc(bySize, func(a, b int) int {
		return cmp.Compare(d.box(b).wide()*d.box(b).high(), d.box(a).wide()*d.box(a).high())
	})
	var small []int
	for _, i := range bySize {
		if d.target[i] || d.number[i] > 0 {
			continue
		}
		if d.stateOf(i) == Aside || !d.labelOn(i) {
			small = append(small, i)
		}
	}
	slices.Reverse(small)
	for _, i := range small {
		d.labelBeside(i)
	}
}

// labelOn writes the name of an item on it, where it is seen and has room.
func (d *drawing) labelOn(i int) bool {
	it := d.scene.bodies[i].item
	b := clip(d.box(i), d.field).grow(-3)
	short := shortName(it)
	texts := [][]string{{short}, breakLine(short, (len([]rune(short))+6)/2+1), {string(it.ID)}}
	for _, lines := range texts {
		w, h := 0.0, labelLine*float64(len(lines))
		for _, l := range lines {
			w = math.Max(w, wide(l, labelSize))
		}
		if w > b.wide() || h > b.high() {
			continue
		}
		for _, f := range spots {
			c := flat{b.u0 + b.wide()*f.u, b.v0 + b.high()*f.v}
			box := rect{c.u - w/2, c.v - h/2, c.u + w/2, c.v + h/2}
			if box.within(b) && d.marks.free(box) && d.seenAt(i, box) {
				d.marks.take(mark{box: box, lines: lines, body: i}, &d.marks.labels)
				return true
			}
		}
	}
	return false
}

// seenAt reports whether body i is what one sees at the corners and the middle
// of a box on the sheet.
func (d *drawing) seenAt(i int, box rect) bool {
	c := box.centre()
	for _, f := range [5]flat{c, {box.u0, box.v0}, {box.u1, box.v0}, {box.u0, box.v1}, {box.u1, box.v1}} {
		if d.top(d.unpage(f)) != i {
			return false
		}
	}
	return true
}

// unpage turns pixels of the sheet into millimetres in the plane of the view.
func (d *drawing) unpage(f flat) flat {
	return flat{d.window.u0 + (f.u-d.field.u0)/d.scale, d.window.v1 - (f.v-d.field.v0)/d.scale}
}

// top returns the body that is seen at f, -1 when there is none.
func (st *stage) top(f flat) int {
	best, at := math.Inf(-1), -1
	for i := range st.scene.bodies {
		if !st.rects[i].has(f) || !st.on(i) {
			continue
		}
		if depth, ok := st.eye.surface(&st.scene.bodies[i], f); ok && depth > best {
			best, at = depth, i
		}
	}
	return at
}

// smallItem is the longest side in pixels of what is named beside itself.
const smallItem = 60.0

// leastScale is the scale in pixels per millimetre below which small items are
// not named: there would be more names than picture.
const leastScale = 0.45

// labelBeside writes the id of a small item beside it, if it is seen.
func (d *drawing) labelBeside(i int) {
	it, b := d.scene.bodies[i].item, d.box(i)
	text, distances := string(it.ID), labelDistances
	if d.stateOf(i) == Aside {
		text, distances = text+" aside", cardDistances
	} else if d.scale < leastScale || math.Max(b.wide(), b.high()) > smallItem || d.top(d.unpage(b.centre())) != i {
		return
	}
	box, from, to, ok := d.beside(b, wide(text, labelSize)+2, labelLine, distances, false)
	if !ok {
		return
	}
	k := mark{box: box, lines: []string{text}, from: from, to: to, body: i, leader: true}
	d.marks.take(k, &d.marks.labels)
}

// drawMarks draws rings, leaders, balloons, cards and labels.
func (d *drawing) drawMarks() {
	d.out.open("g", "class", "marks", "aria-hidden", "true")
	for _, k := range d.marks.labels {
		if k.leader {
			d.out.line(k.from, k.to, "lead")
			d.out.ring(k.from, 1.6, "dot")
		}
		d.lines(k, "lb", 0, labelLine, (labelLine+labelSize)/2-2)
	}
	for i := range d.scene.bodies {
		if d.target[i] && d.box(i).meets(d.field) {
			d.ring(d.ringBox(i), "halo")
			d.ring(d.ringBox(i), "ring")
		}
	}
	for _, k := range d.marks.balloons {
		c := k.box.centre()
		if k.leader {
			d.out.line(k.from, k.to, "lead n")
		}
		d.out.ring(c, balloon, "num")
		d.out.words(k.lines[0], flat{c.u, c.v + 4}, "no")
	}
	for _, k := range d.marks.cards {
		d.out.line(k.from, k.to, "halo")
		d.out.line(k.from, k.to, "lead t")
		d.out.box(k.box, 3, "card")
		names := k
		names.lines = k.lines[:len(k.lines)-1]
		d.lines(names, "big", 1, cardLine, cardLine-2)
		d.out.words(k.lines[len(k.lines)-1], flat{k.box.u0 + cardPad, k.box.v1 - cardPad}, "id")
	}
	d.out.close("g")
}

func (d *drawing) ring(r rect, class string) {
	if r.wide() <= 2*mostRing && math.Abs(r.wide()-r.high()) < 1e-9 {
		d.out.ring(r.centre(), r.wide()/2, class)
		return
	}
	d.out.box(r, 8, class)
}

// lines writes the lines of a mark, from its left edge (1) or centred (0).
func (d *drawing) lines(k mark, class string, left int, step, first float64) {
	at := flat{k.box.centre().u, k.box.v0 + first}
	if left == 1 {
		at.u = k.box.u0 + cardPad
	}
	for n, l := range k.lines {
		d.out.words(l, flat{at.u, at.v + float64(n)*step}, class)
	}
}
