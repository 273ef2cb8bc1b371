package bay

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"elbowroom/guide"
)

// Sizes of marks in pixels.
const (
	cardSize   = 13.0 // font of a target's name
	cardLine   = 17.0
	cardPad    = 6.0
	cardChars  = 24 // a longer name is broken into two lines
	labelSize  = 11.0
	labelLine  = 12.5
	balloon    = 9.5 // radius
	leastRing  = 13.0
	mostRing   = 48.0
	clearance  = 2.0 // between marks
	listLine   = 21.0
	listColumn = 250.0
)

// mark is a label, a balloon or a card with the line that leads to its item.
type mark struct {
	box    rect
	lines  []string
	from   flat // where the leader starts, on the item
	to     flat // where it ends, on the box
	leader bool
	body   int
}

// marks is everything that is written over the picture and below it.
type marks struct {
	cards, balloons, labels []mark
	taken                   []rect // what no further mark may cover, rings first
	rings                   int    // how many of them are rings
	leaders                 [][2]flat
	rows                    []row
	listHigh                float64
}

// row is a line of the list below the drawing.
type row struct {
	number int
	head   bool
	text   string
	key    guide.Class // swatch of a class
	sign   string      // swatch of an outline style
}

// placeMarks finds room for every mark, the most important ones first, and
// puts what finds none into the list below.
func (d *drawing) placeMarks(order []int) {
	m := &d.marks
	if d.View == Corner {
		m.taken = append(m.taken, d.triadBox())
	}
	var targets, path []int
	for i := range d.scene.bodies {
		if !d.box(i).meets(d.field) {
			continue
		}
		if d.target[i] {
			targets = append(targets, i)
			m.taken = append(m.taken, d.ringBox(i))
		}
		if d.number[i] > 0 && d.stateOf(i) != Off {
			path = append(path, i)
		}
	}
	m.rings = len(m.taken)
	var unplaced []int
	for _, i := range targets {
		if !d.card(i) {
			unplaced = append(unplaced, i)
		}
	}
	slices.SortFunc(path, func(a, b int) int { return d.number[a] - d.number[b] })
	for _, i := range path {
		d.balloon(i)
	}
	if d.Labels {
		d.labelOthers(order)
	}
	d.rowsBelow(unplaced)
}

// ringBox returns what the ring round a target takes up.
func (d *drawing) ringBox(i int) rect {
	b := d.box(i)
	if r := math.Hypot(b.wide(), b.high())/2 + 5; r <= mostRing {
		r = math.Max(r, leastRing)
		c := b.centre()
		return rect{c.u - r, c.v - r, c.u + r, c.v + r}
	}
	return b.grow(6)
}

// card places the name of a target; where there is no room for the name, its
// id alone, and last with a leader that crosses the rings of other targets.
// False when nothing helps.
func (d *drawing) card(i int) bool {
	it := d.scene.bodies[i].item
	names := breakLine(shortName(it), cardChars)
	ring := d.ringBox(i)
	for _, try := range []struct {
		lines []string
		loose bool
	}{{names, false}, {names, true}, {nil, false}, {nil, true}} {
		lines := append(slices.Clone(try.lines), string(it.ID))
		w := 0.0
		for _, l := range lines {
			w = math.Max(w, wide(l, cardSize)*capBold)
		}
		box, from, to, ok := d.beside(ring, w+2*cardPad, float64(len(lines))*cardLine+cardPad, cardDistances, try.loose)
		if ok {
			d.marks.take(mark{box: box, lines: lines, from: from, to: to, leader: true, body: i}, &d.marks.cards)
			return true
		}
	}
	return false
}

// take enters a mark that has found its place.
func (m *marks) take(k mark, list *[]mark) {
	*list = append(*list, k)
	m.taken = append(m.taken, k.box)
	if k.leader {
		m.leaders = append(m.leaders, [2]flat{k.from, k.to})
	}
}

// balloon places the number of an item that comes off: on its outline
// where it is large, else beside it.
func (d *drawing) balloon(i int) {
	k := mark{body: i, lines: []string{strconv.Itoa(d.number[i])}}
	b := d.box(i)
	const side = 2 * balloon
	visible := clip(b, d.field)
	if math.Min(visible.wide(), visible.high()) >= 1.5*side {
		for _, f := range rim {
			c := flat{visible.u0 + visible.wide()*f.u, visible.v0 + visible.high()*f.v}
			k.box = rect{c.u - balloon, c.v - balloon, c.u + balloon, c.v + balloon}
			if k.box.within(d.field) && d.marks.free(k.box) {
				d.marks.take(k, &d.marks.balloons)
				return
			}
		}
	}
	var ok bool
	if k.box, k.from, k.to, ok = d.beside(b, side, side, cardDistances, false); ok {
		k.leader = true
		d.marks.take(k, &d.marks.balloons)
	}
}

func clip(a, b rect) rect {
	return rect{math.Max(a.u0, b.u0), math.Max(a.v0, b.v0), math.Min(a.u1, b.u1), math.Min(a.v1, b.v1)}
}

// spots are the places inside an item that are tried, as shares of its sides.
var spots = []flat{
	{.5, .5},
	{.25, .5},
	{.75, .5},
	{.5, .25},
	{.5, .75},
	{.2, .2},
	{.8, .2},
	{.2, .8},
	{.8, .8},
	{.08, .5},
	{.92, .5},
	{.5, .1},
	{.5, .9},
}

// rim are the places on the outline of an item that are tried for its number,
// as shares of its sides: on the outline it is plain which of several boxes
// that lie in one another is meant.
var rim = []flat{
	{0, 0},
	{1, 0},
	{1, 1},
	{0, 1},
	{0, .5},
	{1, .5},
	{.5, 0},
	{.5, 1},
	{0, .25},
	{1, .25},
	{0, .75},
	{1, .75},
	{.25, 0},
	{.75, 0},
	{.25, 1},
	{.75, 1},
}

// Distances in pixels at which a mark is tried from its item.
var (
	cardDistances  = []float64{12, 24, 40, 60, 85, 115, 150, 190, 240, 300}
	labelDistances = []float64{7, 14, 24, 36}
)

// directions is the number of directions in which a mark is tried.
const directions = 24

// beside finds room for a box of the given size near a rectangle, nearest
// distance first, away from the middle of the picture first. The leader crosses
// no other mark and no other leader; a loose one may cross rings.
func (d *drawing) beside(at rect, w, h float64, distances []float64, loose bool) (box rect, from, to flat, ok bool) {
	c, mid := at.centre(), d.field.centre()
	start := math.Atan2(c.v-mid.v, c.u-mid.u)
	for _, far := range distances {
		for k := range directions {
			turn := float64((k+1)/2) * 2 * math.Pi / directions
			if k%2 == 1 {
				turn = -turn
			}
			sin, cos := math.Sincos(start + turn)
			out := far + math.Abs(cos)*(at.wide()+w)/2 + math.Abs(sin)*(at.high()+h)/2
			if far < cardDistances[0] {
				out = far + math.Min((at.wide()+w)/2/math.Max(math.Abs(cos), 1e-9), (at.high()+h)/2/math.Max(math.Abs(sin), 1e-9))
			}
			m := flat{c.u + cos*out, c.v + sin*out}
			box = rect{m.u - w/2, m.v - h/2, m.u + w/2, m.v + h/2}
			from, to = edge(at, m), edge(box, c)
			if box.within(d.field.grow(-2)) && d.marks.free(box) && d.marks.unbroken(from, to, loose) {
				return box, from, to, true
			}
		}
	}
	return rect{}, flat{}, flat{}, false
}

// edge returns where the line from the centre of r to f leaves r.
func edge(r rect, f flat) flat {
	c := r.centre()
	du, dv := f.u-c.u, f.v-c.v
	t := 1.0
	if du != 0 {
		t = math.Min(t, r.wide()/2/math.Abs(du))
	}
	if dv != 0 {
		t = math.Min(t, r.high()/2/math.Abs(dv))
	}
	return flat{c.u + t*du, c.v + t*dv}
}

// free reports whether a box covers no mark and no leader.
func (m *marks) free(box rect) bool {
	box = box.grow(clearance)
	for _, t := range m.taken {
		if t.meets(box) {
			return false
		}
	}
	for _, l := range m.leaders {
		if cuts(l[0], l[1], box) {
			return false
		}
	}
	return true
}

// unbroken reports whether a leader crosses no mark (rings do not count when
// loose) and no other leader.
func (m *marks) unbroken(a, b flat, loose bool) bool {
	for i, t := range m.taken {
		if loose && i < m.rings {
			continue
		}
		if cuts(a, b, t.grow(-clearance)) {
			return false
		}
	}
	for _, l := range m.leaders {
		if crosses(a, b, l[0], l[1]) {
			return false
		}
	}
	return true
}

// cuts reports whether the line from a to b meets the rectangle.
func cuts(a, b flat, r rect) bool {
	if r.empty() {
		return false
	}
	lo, hi := 0.0, 1.0
	for _, s := range [2][4]float64{{a.u, b.u - a.u, r.u0, r.u1}, {a.v, b.v - a.v, r.v0, r.v1}} {
		if s[1] == 0 {
			if s[0] <= s[2] || s[0] >= s[3] {
				return false
			}
			continue
		}
		p, q := (s[2]-s[0])/s[1], (s[3]-s[0])/s[1]
		lo, hi = math.Max(lo, math.Min(p, q)), math.Min(hi, math.Max(p, q))
	}
	return lo < hi
}

// crosses reports whether two lines cross.
func crosses(a, b, c, d flat) bool {
	return left(a, b, c)*left(a, b, d) < 0 && left(c, d, a)*left(c, d, b) < 0
}

// breakLine breaks a text into at most two lines of about the given length at
// a space; what is too long for that ends in an ellipsis.
func breakLine(text string, chars int) []string {
	r := []rune(text)
	if len(r) <= chars {
		return []string{text}
	}
	best := -1
	for i, c := range r {
		if c == ' ' && i <= chars && (best < 0 || max(i, len(r)-i) < max(best, len(r)-best)) {
			best = i
		}
	}
	if best <= 0 {
		return []string{string(r[:chars-1]) + "…"}
	}
	second := r[best+1:]
	if len(second) > chars {
		second = append(slices.Clone(second[:chars-1]), '…')
	}
	return []string{string(r[:best]), string(second)}
}

// shortName returns the name of an item without remarks in brackets.
func shortName(it *guide.Item) string {
	text := it.Name
	if i := strings.Index(text, " ("); i > 0 {
		text = text[:i]
	}
	if text = strings.TrimSpace(text); text == "" {
		return string(it.ID)
	}
	return text
}
