package bay

import (
	"math"
	"strconv"
	"strings"

	"elbowroom/guide"
)

// tile is the side of a pattern in pixels.
const tile = "10"

// open begins the document: what it is, its style, patterns and clipping.
func (d *drawing) open() {
	role := "img"
	if d.Interactive {
		role = "group" // the items inside are to be reached one by one
	}
	d.out.open("svg", "xmlns", "http://www.w3.org/2000/svg", "class", "bay", "id", d.id,
		"viewBox", "0 0 "+num(d.Width)+" "+num(d.high), "width", num(d.Width), "height", num(d.high),
		"role", role, "aria-labelledby", d.id+"-title "+d.id+"-desc",
		"data-view", string(d.View), "data-px-per-mm", strconv.FormatFloat(d.scale, 'f', 6, 64))
	d.out.element("title", d.title(), "id", d.id+"-title")
	d.out.element("desc", d.describe(), "id", d.id+"-desc")
	if d.Standalone {
		d.out.element("style", style)
	}
	d.out.open("defs")
	d.out.open("clipPath", "id", d.id+"-clip")
	d.out.box(d.field, 0, "")
	d.out.close("clipPath")
	for _, p := range paintworks {
		d.pattern(p)
	}
	d.out.close("defs")
	d.out.text = append(d.out.text, '\n')
}

func (d *drawing) pattern(p paintwork) {
	d.out.open("pattern", "id", d.patternID(p.class), "class", "k-"+string(p.class),
		"width", tile, "height", tile, "patternUnits", "userSpaceOnUse")
	d.out.empty("path", "class", "bg", "d", "M0 0H10V10H0Z")
	d.out.empty("path", "class", "ln", "d", p.lines)
	d.out.close("pattern")
}

func (d *drawing) patternID(c guide.Class) string { return d.id + "-p-" + string(c) }

func (d *drawing) title() string {
	if d.Title != "" {
		return d.Title
	}
	return "Engine bay " + viewWords(d.View)
}

// describe says in words what the drawing shows.
func (d *drawing) describe() string {
	var b strings.Builder
	b.WriteString("Drawn to scale, seen " + viewWords(d.View) + ".")
	if d.View != Corner {
		b.WriteString(" The top edge is " + towards(d.eye.up) + ", the right-hand edge " + towards(d.eye.right) + ".")
	}
	d.listWords(&b, "Targets", func(i int) bool { return d.target[i] })
	d.listWords(&b, "Comes off", func(i int) bool { return d.number[i] > 0 })
	d.listWords(&b, "Moved aside", func(i int) bool { return d.stateOf(i) == Aside })
	d.listWords(&b, "Off", func(i int) bool { return d.stateOf(i) == Off })
	return b.String()
}

func towards(v vec) string {
	if w := sideWords(v); w == "up" || w == "down" {
		return w
	}
	return "towards the " + sideWords(v)
}

func (d *drawing) listWords(b *strings.Builder, head string, is func(int) bool) {
	sep := " " + head + ": "
	for i := range d.scene.bodies {
		if is(i) {
			it := d.scene.bodies[i].item
			b.WriteString(sep + shortName(it) + " (" + string(it.ID) + ")")
			sep = ", "
		}
	}
	if sep == ", " {
		b.WriteString(".")
	}
}

// gridStep is the mesh of the grid in mm.
const gridStep = 100

// ground draws the paper, the grid and the axes of the crankshaft.
func (d *drawing) ground() {
	d.out.box(rect{0, 0, d.Width, d.high}, 0, "paper")
	if d.View == Corner {
		return
	}
	var grid strings.Builder
	lines := func(lo, hi float64, at func(x float64) (a, b flat)) {
		step := gridStep * math.Ceil((hi-lo)/(60*gridStep))
		for x := math.Ceil(lo/step) * step; x <= hi; x += step {
			a, b := at(x)
			grid.WriteString("M" + pair(a) + "L" + pair(b))
		}
	}
	w := d.window
	upright := func(u float64) (a, b flat) { return d.page(flat{u, w.v0}), d.page(flat{u, w.v1}) }
	level := func(v float64) (a, b flat) { return d.page(flat{w.u0, v}), d.page(flat{w.u1, v}) }
	lines(w.u0, w.u1, upright)
	lines(w.v0, w.v1, level)
	d.out.empty("path", "class", "grid", "d", grid.String())
	if w.u0 < 0 && w.u1 > 0 {
		a, b := upright(0)
		d.out.line(a, b, "axis")
	}
	if w.v0 < 0 && w.v1 > 0 {
		a, b := level(0)
		d.out.line(a, b, "axis")
	}
}

// ghosts draws what is off as dotted outlines.
func (d *drawing) ghosts() {
	for i := range d.scene.bodies {
		if d.stateOf(i) == Off && d.box(i).meets(d.field) {
			for _, s := range d.scene.bodies[i].solids {
				d.out.empty("path", "class", "ghost", "d", outline(d.points(s, flat{})))
			}
		}
	}
}

// points returns the silhouette of a solid in pixels, shifted.
func (d *drawing) points(s solid, shift flat) []flat {
	points := d.eye.silhouette(s)
	for i, p := range points {
		p = d.page(p)
		points[i] = flat{p.u + shift.u, p.v + shift.v}
	}
	return points
}

// finger is the least side in pixels of what can be hit with a finger.
const finger = 24.0

// item draws one body with its link, its state and its name for readers.
func (d *drawing) item(i int) {
	b := &d.scene.bodies[i]
	state := d.stateOf(i)
	if state == Aside {
		d.asideArrow(i)
	}
	tag := d.openItem(i, b.item, state)
	if box := d.box(i); d.Interactive && math.Min(box.wide(), box.high()) < finger {
		c := box.centre()
		w, h := math.Max(box.wide(), finger)/2, math.Max(box.high(), finger)/2
		d.out.box(rect{c.u - w, c.v - h, c.u + w, c.v + h}, 3, "hit")
	}
	for n, from := range b.shapes {
		to := len(b.solids)
		if n+1 < len(b.shapes) {
			to = b.shapes[n+1]
		}
		if b.solids[from].form == guide.Path {
			d.tube(b.solids[from:to], d.moved[i])
		} else {
			d.solid(b, b.solids[from], d.moved[i])
		}
	}
	d.out.close(tag)
}

func (d *drawing) openItem(i int, it *guide.Item, state State) (tag string) {
	class := "i k-" + string(classOf(it))
	if state == Aside {
		class += " aside"
	}
	if d.number[i] > 0 {
		class += " out"
	}
	if d.target[i] {
		class += " t"
	}
	id := d.id + "-" + name(string(it.ID))
	label := it.Name + " (" + string(it.ID) + "), " + string(classOf(it)) + ", " + state.String()
	if !d.Interactive {
		d.out.open("g", "class", class, "id", id)
		d.out.element("title", label)
		return "g"
	}
	d.out.open("a", "href", d.Link(it.ID), "tabindex", "0", "class", class, "id", id, "aria-label", label,
		"data-item", string(it.ID), "data-class", string(classOf(it)), "data-state", state.String())
	d.out.element("title", it.Name+" · "+string(it.ID))
	return "a"
}

// solid draws a box or a cylinder: its silhouette with the pattern of its
// class, and the edges between the faces that are seen.
func (d *drawing) solid(b *body, s solid, shift flat) {
	d.out.empty("path", "class", "s", "fill", "url(#"+d.patternID(classOf(b.item))+")", "d", d.outlineOf(s, shift))
	if s.form == guide.Box {
		d.faces(s, shift)
		return
	}
	facing := dot(s.axis[0], d.eye.near)
	if math.Abs(facing) > edgeOn && math.Abs(facing) < 1-edgeOn {
		rim := d.eye.rim(s, math.Copysign(1, facing))
		d.out.empty("path", "class", "rim", "d", outline(d.shifted(rim, shift)))
	}
}

// edgeOn is the share by which a face must be turned to the eye to be seen.
const edgeOn = 0.01

func (d *drawing) outlineOf(s solid, shift flat) string {
	if s.form == guide.Cylinder && math.Abs(dot(s.axis[0], d.eye.near)) > 1-edgeOn*edgeOn {
		c, r := d.page(d.eye.flat(s.centre)), s.half[1]*d.scale
		arc := "a" + num(r) + " " + num(r) + " 0 1 0 "
		return "M" + pair(flat{c.u + shift.u - r, c.v + shift.v}) + arc + num(2*r) + " 0" + arc + num(-2*r) + " 0Z"
	}
	return outline(d.points(s, shift))
}

// faces draws the faces of a box one by one where more than one is seen.
func (d *drawing) faces(s solid, shift flat) {
	type face struct {
		axis int
		side float64
	}
	var seen []face
	for i, a := range s.axis {
		if t := dot(a, d.eye.near); math.Abs(t) > edgeOn {
			seen = append(seen, face{i, math.Copysign(1, t)})
		}
	}
	if len(seen) < 2 {
		return
	}
	for _, f := range seen {
		n, p, q := s.axis[f.axis], (f.axis+1)%3, (f.axis+2)%3
		centre := along(s.centre, n, f.side*s.half[f.axis])
		var corners []flat
		for _, sign := range [4][2]float64{{1, 1}, {-1, 1}, {-1, -1}, {1, -1}} {
			c := along(along(centre, s.axis[p], sign[0]*s.half[p]), s.axis[q], sign[1]*s.half[q])
			corners = append(corners, d.eye.flat(c))
		}
		d.out.empty("path", "class", "f "+shade(scale(n, f.side)), "d", outline(d.shifted(corners, shift)))
	}
}

// shade tells how much light a face gets from above and the front.
func shade(n vec) string {
	switch {
	case n.Z > 0.7:
		return "f1"
	case n.X > 0.5 || n.Z > 0.3:
		return "f2"
	}
	return "f3"
}

func (d *drawing) shifted(points []flat, shift flat) []flat {
	out := make([]flat, len(points))
	for i, p := range points {
		p = d.page(p)
		out[i] = flat{p.u + shift.u, p.v + shift.v}
	}
	return out
}

// leastTube is the least width of a hose or loom in pixels.
const leastTube = 3.0

// tube draws the legs of a path as a line with thickness.
func (d *drawing) tube(legs []solid, shift flat) {
	points := make([]flat, 0, len(legs)+1)
	for i, l := range legs {
		if i == 0 {
			points = append(points, d.eye.flat(along(l.centre, l.axis[0], -l.half[0])))
		}
		points = append(points, d.eye.flat(along(l.centre, l.axis[0], l.half[0])))
	}
	var path strings.Builder
	for i, p := range d.shifted(points, shift) {
		path.WriteString(map[bool]string{true: "M", false: "L"}[i == 0] + pair(p))
	}
	w := math.Max(2*legs[0].half[1]*d.scale, leastTube)
	d.out.empty("path", "class", "tc", "stroke-width", num(w), "d", path.String())
	d.out.empty("path", "class", "tf", "stroke-width", num(math.Max(w-2, 1)), "d", path.String())
	if w > 2*leastTube {
		d.out.empty("path", "class", "tl", "d", path.String())
	}
}

// hiddenFrom is the visible share below which a target's edges are drawn the
// way hidden edges are.
const hiddenFrom = 0.5

// hiddenEdges draws a target once more over everything: dashed where it is hidden.
func (d *drawing) hiddenEdges(i int) {
	class := "he"
	if d.look(i).visible < hiddenFrom {
		class += " far"
	}
	d.edges(i, class)
}

// edges draws the outline of every solid of a body.
func (d *drawing) edges(i int, class string) {
	for _, s := range d.scene.bodies[i].solids {
		d.out.empty("path", "class", class, "d", d.outlineOf(s, d.moved[i]))
	}
}

// asideArrow shows where an item that stands aside came from.
func (d *drawing) asideArrow(i int) {
	shift := d.moved[i]
	to := d.box(i).centre()
	from := flat{to.u - shift.u, to.v - shift.v}
	if math.Hypot(shift.u, shift.v) < finger/2 {
		return
	}
	for _, s := range d.scene.bodies[i].solids {
		d.out.empty("path", "class", "ghost", "d", outline(d.points(s, flat{})))
	}
	d.out.line(from, to, "go")
	d.out.ring(from, 2.5, "head")
}
