package bay

import (
	"math"

	"elbowroom/guide"
)

// rowsBelow collects the list below the drawing: targets that could not be
// marked in the picture, what comes off in order, and the key.
func (d *drawing) rowsBelow(unplaced []int) {
	m := &d.marks
	for _, i := range unplaced {
		it := d.scene.bodies[i].item
		m.rows = append(m.rows, row{text: "Target: " + shortName(it) + "  " + string(it.ID), sign: "ring"})
	}
	for _, id := range d.Highlight {
		if text, missing := d.missing(id); missing {
			m.rows = append(m.rows, row{text: "Target: " + text, sign: "ring"})
		}
	}
	d.pathRows()
	if d.Key {
		d.keyRows()
	}
	m.listHigh = d.layRows(func(row, flat) {})
}

// missing says in words that a named item cannot be drawn, and why.
func (d *drawing) missing(id guide.ID) (text string, missing bool) {
	if _, ok := d.scene.byID[id]; ok {
		return "", false
	}
	if it := d.scene.guide.Item(id); it != nil {
		return shortName(it) + "  " + string(id) + ", place not written down", true
	}
	return string(id) + ", not on this variant", true
}

func (d *drawing) pathRows() {
	if len(d.Path) == 0 {
		return
	}
	m := &d.marks
	m.rows = append(m.rows, row{head: true, text: "Comes off, in this order"})
	for n, id := range d.Path {
		text, missing := d.missing(id)
		if !missing {
			i := d.scene.byID[id]
			text = shortName(d.scene.bodies[i].item) + "  " + string(id)
			if d.stateOf(i) != On {
				text += ", " + d.stateOf(i).String() + " already"
			}
		}
		m.rows = append(m.rows, row{number: n + 1, text: text})
	}
}

func (d *drawing) keyRows() {
	m := &d.marks
	m.rows = append(m.rows, row{head: true, text: "Key"})
	for _, c := range d.classes() {
		m.rows = append(m.rows, row{key: c, text: string(c)})
	}
	any := func(s State) bool {
		for i := range d.scene.bodies {
			if d.stateOf(i) == s {
				return true
			}
		}
		return false
	}
	if any(Aside) {
		m.rows = append(m.rows, row{sign: "aside", text: "moved aside, still attached"})
	}
	if any(Off) && d.Ghosts {
		m.rows = append(m.rows, row{sign: "ghost", text: "off, was here"})
	}
	if len(d.Highlight) > 0 {
		m.rows = append(m.rows, row{sign: "he far", text: "target behind something"})
	}
}

// listSize is the font size of the list.
const listSize = 12.0

// swatchWide is the room for a number or a swatch before a row's text.
const swatchWide = 28.0

// headGap is the room above a head in pixels.
const headGap = 7.0

// keyColumn is the least width of a column of the key in pixels.
const keyColumn = 105.0

// layRows calls do with every row and where its text begins, and returns the
// height of the list. Rows run across the sheet in even columns; a head has a
// line of its own; what is too wide for a column takes two.
func (d *drawing) layRows(do func(r row, at flat)) (high float64) {
	if len(d.marks.rows) == 0 {
		return 0
	}
	top := d.field.v1 + d.foot
	inner := d.Width - 2*band
	u, v, fresh := 0.0, top, true
	for _, r := range d.marks.rows {
		least := listColumn
		if r.key != "" {
			least = keyColumn
		}
		step := inner / math.Max(1, math.Floor(inner/least))
		step *= math.Ceil((swatchWide + wide(r.text, listSize)) / step)
		if fresh || r.head || u+step > inner+1 {
			u, v = 0, v+listLine
		}
		if r.head && v > top+listLine {
			v += headGap
		}
		do(r, flat{band + u, v})
		u, fresh = u+step, r.head
	}
	return v + listLine/2 - top
}

// list draws the rows below the picture.
func (d *drawing) list() {
	if len(d.marks.rows) == 0 {
		return
	}
	d.out.open("g", "class", "list")
	d.layRows(func(r row, at flat) {
		if r.head {
			d.out.words(r.text, at, "cap")
			return
		}
		d.swatch(r, at)
		text := fitLine(r.text, d.Width-band-at.u-swatchWide)
		d.out.words(text, flat{at.u + swatchWide, at.v}, "note")
	})
	d.out.close("g")
}

func (d *drawing) swatch(r row, at flat) {
	box := rect{at.u, at.v - 11, at.u + 22, at.v + 3}
	switch {
	case r.number > 0:
		c := flat{at.u + balloon + 1, at.v - 4}
		d.out.ring(c, balloon, "num")
		d.out.words(num(float64(r.number)), flat{c.u, c.v + 4}, "no")
	case r.key != "":
		d.out.open("g", "class", "k-"+string(r.key))
		d.out.empty("path", "class", "s", "fill", "url(#"+d.patternID(r.key)+")", "d",
			outline([]flat{{box.u0, box.v0}, {box.u1, box.v0}, {box.u1, box.v1}, {box.u0, box.v1}}))
		d.out.close("g")
	case r.sign == "ring":
		d.out.ring(flat{at.u + 10, at.v - 4}, 7, "ring")
	case r.sign == "aside":
		d.out.box(box, 0, "moved")
	default:
		d.out.box(box, 0, r.sign)
	}
}

// fitLine shortens a text to the given width in pixels.
func fitLine(text string, width float64) string {
	r := []rune(text)
	for len(r) > 1 && wide(string(r), listSize) > width {
		r = r[:len(r)-1]
	}
	if len(r) < len([]rune(text)) {
		r[len(r)-1] = '…'
	}
	return string(r)
}
