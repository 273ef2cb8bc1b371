package bay

import (
	"io"
	"math"
	"net/url"
	"slices"

	"elbowroom/guide"
)

// Options says what is drawn and how. The zero value is a still of the whole
// bay from above.
type Options struct {
	View      guide.View               // empty means from above
	Cleared   map[guide.ID]State       // items that are aside or off at the moment
	Highlight []guide.ID               // targets: ringed and named
	Path      []guide.ID               // what comes off, in order: numbered and listed
	Labels    bool                     // name the other items where there is room
	Ghosts    bool                     // dotted outlines of items that are off
	Key       bool                     // explain patterns and outlines below the drawing
	Link      func(id guide.ID) string // address of an item's sheet, Interactive only; nil means "?item=ID"

	// Interactive makes every item a link that takes the keyboard, with data
	// attributes data-item, data-class and data-state.
	Interactive bool
	// Standalone puts the style sheet inside, for a file or a print of its own.
	Standalone bool

	Width  float64     // width in pixels at which it will be shown; 0 means 720
	Height float64     // most height of the picture itself in pixels; 0 means as the width demands
	Tight  bool        // leave no room for what is off; without it every state of one view is framed alike
	Around Millimetres // keep only so much room around targets and path; 0 means the whole bay

	Prefix string // begins every id in the document; empty means "bay"
	Title  string // empty means "Engine bay" and the view
}

// Widths in pixels.
const (
	usualWidth  = 720.0
	leastWidth  = 300.0
	mostWidth   = 4000.0
	leastAround = 40.0 // mm
)

// Draw returns the drawing as one SVG element that can stand in a page. It is
// the same, byte by byte, for the same scene and options. An empty scene gives a
// drawing that says so.
func (s *Scene) Draw(o Options) string {
	d := newDrawing(s, o)
	d.paint()
	return string(d.out.text)
}

// WriteSVG writes what Draw returns. The error is the writer's.
func (s *Scene) WriteSVG(w io.Writer, o Options) error {
	d := newDrawing(s, o)
	d.paint()
	_, err := w.Write(d.out.text)
	return err
}

// drawing is one picture in the making.
type drawing struct {
	Options
	*stage
	out    sheet
	id     string // prefix of ids: "bay-above"
	target []bool // by body
	number []int  // by body: place in the path, from 1; 0 when not in it

	window rect    // what is shown, mm in the plane of the view
	scale  float64 // pixels in a millimetre
	field  rect    // where the picture lies on the sheet, pixels
	foot   float64 // room for what stands under the picture
	high   float64 // of the whole sheet

	moved map[int]flat // shift of aside items, pixels
	marks marks
}

func newDrawing(s *Scene, o Options) *drawing {
	d := &drawing{Options: o, stage: s.stage(o.View, o.Cleared), moved: map[int]flat{}}
	d.View = d.eye.view
	if d.Prefix == "" {
		d.Prefix = "bay"
	}
	if d.Link == nil {
		d.Link = func(id guide.ID) string { return "?item=" + url.QueryEscape(string(id)) }
	}
	if !(d.Width > 0) {
		d.Width = usualWidth
	}
	d.Width = clamp(d.Width, leastWidth, mostWidth)
	d.id = name(d.Prefix) + "-" + name(string(d.View))
	d.target, d.number = make([]bool, len(s.bodies)), make([]int, len(s.bodies))
	for _, id := range o.Highlight {
		if i, ok := s.byID[id]; ok {
			d.target[i] = true
		}
	}
	for n, id := range o.Path {
		if i, ok := s.byID[id]; ok && d.number[i] == 0 {
			d.number[i] = n + 1
		}
	}
	d.fit()
	return d
}

// Bands around the picture, in pixels.
const (
	band     = 24.0 // holds the names of the four sides
	foot     = 48.0 // holds the name of the lower side, the view and the scale bar
	air      = 0.03 // share of the picture left free around the outermost item
	leastAir = 10.0 // the same in mm
	emptyMM  = 1000 // side of the picture of an empty scene, mm
)

// fit settles what part of the view is shown and at what scale.
func (d *drawing) fit() {
	d.window = d.subject()
	d.window = d.window.grow(math.Max(air*math.Max(d.window.wide(), d.window.high()), leastAir))
	inner := d.Width - 2*band
	d.scale = inner / d.window.wide()
	if d.Height > 0 {
		d.scale = math.Min(d.scale, math.Max(d.Height, leastWidth/2)/d.window.high())
	}
	wide, high := d.window.wide()*d.scale, d.window.high()*d.scale
	at := (d.Width - wide) / 2
	d.field = rect{at, band, at + wide, band + high}
	d.foot = foot
	if !d.oneLine() {
		d.foot += listLine
	}
	for i := range d.scene.bodies {
		if d.stateOf(i) == Aside {
			d.moved[i] = d.outward(i)
		}
	}
}

// subject returns the rectangle that must be seen, in mm.
func (d *drawing) subject() rect {
	whole, some := rect{}, rect{}
	for i, r := range d.rects {
		if d.Tight && d.stateOf(i) == Off {
			continue
		}
		if whole.empty() {
			whole = r
		}
		whole = whole.join(r)
		if d.target[i] || d.number[i] > 0 && len(d.Highlight) == 0 {
			if some.empty() {
				some = r
			}
			some = some.join(r)
		}
	}
	if whole.empty() {
		return rect{0, 0, emptyMM, emptyMM}
	}
	if d.Around <= 0 || some.empty() {
		return whole
	}
	some = some.grow(math.Max(float64(d.Around), leastAround))
	return rect{
		math.Max(some.u0, whole.u0), math.Max(some.v0, whole.v0),
		math.Min(some.u1, whole.u1), math.Min(some.v1, whole.v1),
	}
}

func (d *drawing) stateOf(i int) State { return d.state[d.scene.bodies[i].item.ID] }

// page turns millimetres in the plane of the view into pixels of the sheet.
func (d *drawing) page(f flat) flat {
	return flat{d.field.u0 + (f.u-d.window.u0)*d.scale, d.field.v0 + (d.window.v1-f.v)*d.scale}
}

// box returns where a body lies on the sheet, moved if it stands aside.
func (d *drawing) box(i int) rect {
	r := d.rects[i]
	a, b := d.page(flat{r.u0, r.v1}), d.page(flat{r.u1, r.v0})
	return rect{a.u, a.v, b.u, b.v}.shift(d.moved[i])
}

// asideShare is how far an aside item is moved, as a share of the picture.
const asideShare = 0.09

// outward returns the shift of an item that stands aside: away from the middle
// of the picture, as far as the picture allows.
func (d *drawing) outward(i int) flat {
	r := d.box(i)
	from, to := d.field.centre(), r.centre()
	dir := flat{to.u - from.u, to.v - from.v}
	far := math.Hypot(dir.u, dir.v)
	if far < 1 {
		dir, far = flat{1, -1}, math.Sqrt2
	}
	by := asideShare * math.Max(d.field.wide(), d.field.high())
	shift := flat{dir.u / far * by, dir.v / far * by}
	room := d.field
	return flat{
		clamp(shift.u, math.Min(0, room.u0-r.u0), math.Max(0, room.u1-r.u1)),
		clamp(shift.v, math.Min(0, room.v0-r.v0), math.Max(0, room.v1-r.v1)),
	}
}

// shown lists the bodies that appear: not off, and not wholly outside.
func (d *drawing) shown() []int {
	var list []int
	for i := range d.scene.bodies {
		if d.stateOf(i) != Off && d.box(i).meets(d.field) {
			list = append(list, i)
		}
	}
	return d.fromFar(list)
}

// paint draws everything, far things first, marks last.
func (d *drawing) paint() {
	order := d.shown()
	d.placeMarks(order)
	d.high = d.field.v1 + d.foot + d.marks.listHigh
	d.open()
	d.ground()
	d.out.open("g", "clip-path", "url(#"+d.id+"-clip)")
	if d.Ghosts {
		d.ghosts()
	}
	for _, i := range order {
		d.item(i)
	}
	for _, i := range order {
		if d.number[i] > 0 {
			d.edges(i, "oe")
		}
	}
	for _, i := range order {
		if d.target[i] {
			d.hiddenEdges(i)
		}
	}
	d.out.close("g")
	d.drawMarks()
	d.frame()
	d.scaleBar()
	d.list()
	d.out.close("svg")
}

// classes lists the classes that appear in the drawing, in the guide's order
// of classes.
func (d *drawing) classes() []guide.Class {
	seen := map[guide.Class]bool{}
	for i := range d.scene.bodies {
		if d.stateOf(i) != Off && d.box(i).meets(d.field) {
			seen[classOf(d.scene.bodies[i].item)] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(guide.Classes), func(c guide.Class) bool { return !seen[c] })
}

// classOf returns the class that decides the looks; a class that is missing or
// unknown is drawn as structure.
func classOf(it *guide.Item) guide.Class {
	if slices.Contains(guide.Classes, it.Class) {
		return it.Class
	}
	return guide.Structure
}
