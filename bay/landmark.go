package bay

import (
	"cmp"
	"math"
	"slices"

	"elbowroom/guide"
)

// Constants of choosing a landmark. All but the shares are "worth" in mm of
// distance: a landmark that is so much better may be so much farther away.
const (
	named       = 120.0 // the guide calls it a landmark
	perAxis     = 45.0  // each direction that has to be said
	unseen      = 600.0 // it cannot be seen from the viewpoint at the moment
	same        = 150.0 // it starts in the same direction as one already chosen
	bigFace     = 20000 // mm² of outline from which a thing is easy to find by eye
	landmarkMin = 0.25  // share of a landmark that must be seen
	tooFar      = 900.0 // mm; nobody measures that far in a bay
	plainFar    = 350.0 // mm; the same for what the guide does not call a landmark
)

// candidate is a landmark with what speaks for it.
type candidate struct {
	body   int
	offset vec
	worse  float64 // in mm, less is better
	hidden bool
}

// directions tells where body i is, from the best landmarks.
func (st *stage) directions(i int, sight guide.Sight) []Direction {
	list := st.candidates(i)
	var out []Direction
	for len(out) < mostDirections && len(list) > 0 {
		best := slices.MinFunc(list, func(a, b candidate) int { return cmp.Compare(a.worse, b.worse) })
		if len(out) > 0 && best.hidden && !out[0].Hidden {
			break
		}
		out = append(out, st.direction(i, best, sight))
		rest := list[:0]
		for _, c := range list {
			if c.body == best.body {
				continue
			}
			if alike(c.offset, best.offset) {
				c.worse += same
			}
			rest = append(rest, c)
		}
		list = rest
	}
	return out
}

// alike reports whether two offsets say the same directions.
func alike(a, b vec) bool {
	x, y := parts3(a), parts3(b)
	for i := range x {
		if sign(x[i]) != sign(y[i]) {
			return false
		}
	}
	return true
}

// candidates lists what is on, is easy to find and near enough: landmarks of
// the guide, and large panels and structures.
func (st *stage) candidates(i int) []candidate {
	b := &st.scene.bodies[i]
	centre := b.bounds.Centre()
	var list []candidate
	for j := range st.scene.bodies {
		c := &st.scene.bodies[j]
		if j == i || !st.on(j) || c.item.PartOf == b.item.ID || slices.Contains(c.item.Inside, b.item.ID) {
			continue
		}
		area := st.rects[j].wide() * st.rects[j].high()
		if !c.item.Landmark && (area < bigFace || !easy(classOf(c.item))) {
			continue
		}
		k := candidate{body: j, offset: roundAll(c.bounds.outside(centre))}
		far := length(k.offset)
		if far > tooFar || !c.item.Landmark && far > plainFar {
			continue
		}
		k.worse = far
		for _, x := range parts3(k.offset) {
			if x != 0 {
				k.worse += perAxis
			}
		}
		if c.item.Landmark {
			k.worse -= named
		}
		if k.offset == (vec{}) {
			k.worse += sizeOf(c.bounds) / 2 // "inside" says little when the thing is large
		}
		list = append(list, k)
	}
	for n := range list {
		if st.visibleShare(list[n].body) < landmarkMin {
			list[n].hidden = true
			list[n].worse += unseen
		}
	}
	return list
}

// easy reports whether large things of a class are easy to find by eye.
func easy(c guide.Class) bool {
	return c == guide.Structure || c == guide.Panel || c == guide.Body || c == guide.Air
}

func sizeOf(b Bounds) float64 { return length(b.Size()) }

// visibleShare samples roughly which share of a body is seen.
func (st *stage) visibleShare(i int) float64 {
	const side = 5
	r, seen, hits := st.rects[i], 0, 0
	for k := range side * side {
		f := flat{
			r.u0 + r.wide()*(float64(k%side)+0.5)/side,
			r.v0 + r.high()*(float64(k/side)+0.5)/side,
		}
		if _, ok := st.eye.surface(&st.scene.bodies[i], f); !ok {
			continue
		}
		hits++
		if st.top(f) == i {
			seen++
		}
	}
	if hits == 0 {
		return 0
	}
	return float64(seen) / float64(hits)
}

func (st *stage) direction(i int, c candidate, sight guide.Sight) Direction {
	mark := &st.scene.bodies[c.body]
	return Direction{
		Text:     offsetWords(c.offset, mark, st.scene.bodies[i].bounds.Centre()),
		Landmark: mark.item.ID, Offset: c.offset, Sight: sight, Hidden: c.hidden,
	}
}

// Steps to which distances in words are rounded, in mm: what one can judge by
// eye gets coarser with the distance.
const (
	fineStep, fineBelow     = 5.0, 50.0
	middleStep, middleBelow = 10.0, 200.0
	coarseStep              = 50.0
)

// Round rounds a distance for words: to 5 mm below 50, to 10 mm below 200, to
// 50 mm from there on.
func Round(d Millimetres) Millimetres {
	x, step := abs(float64(d)), coarseStep
	switch {
	case x < fineBelow:
		step = fineStep
	case x < middleBelow:
		step = middleStep
	}
	return Millimetres(math.Round(float64(d)/step) * step)
}

func roundAll(v vec) vec {
	r := func(x float64) float64 { return float64(Round(Millimetres(x))) + 0 }
	return vec{X: r(v.X), Y: r(v.Y), Z: r(v.Z)}
}
