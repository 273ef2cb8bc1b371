package bay

import (
	"math"
	"slices"

	"elbowroom/guide"
)

// Millimetres is a length.
type Millimetres float64

// Bounds is an upright box in the frame of the bay.
type Bounds struct{ Min, Max guide.Point }

// Centre returns the middle of the box.
func (b Bounds) Centre() guide.Point { return middle(b.Min, b.Max) }

// Size returns the edges of the box.
func (b Bounds) Size() guide.Point { return sub(b.Max, b.Min) }

func (b Bounds) join(c Bounds) Bounds {
	return Bounds{Min: lower(b.Min, c.Min), Max: upper(b.Max, c.Max)}
}

// meets reports whether the two boxes share more than a face.
func (b Bounds) meets(c Bounds) bool {
	return b.Min.X < c.Max.X && c.Min.X < b.Max.X && b.Min.Y < c.Max.Y && c.Min.Y < b.Max.Y &&
		b.Min.Z < c.Max.Z && c.Min.Z < b.Max.Z
}

// State is how an item stands at the moment that is drawn or spoken of.
type State uint8

// The states.
const (
	On    State = iota // fitted
	Aside              // still attached but moved out of the way
	Off                // removed
)

// String returns "on", "aside" or "off".
func (s State) String() string { return [...]string{"on", "aside", "off"}[min(s, Off)] }

// Scene is the bay of one variant: its items as solids. It is read-only after
// New and may be used from several goroutines.
type Scene struct {
	guide  *guide.Resolved
	bodies []body // placed items, in guide order
	byID   map[guide.ID]int
	bounds Bounds
}

// body is one placed item.
type body struct {
	item   *guide.Item
	solids []solid
	bounds Bounds
	shapes []int // where the solids of each shape begin
}

// New returns the scene of a resolved guide. Shapes that cannot be used (no
// size, not finite, farther off than a hundred metres) are left out; see
// Unplaced. The scene keeps the guide, which must not be changed afterwards.
func New(r *guide.Resolved) *Scene {
	s := &Scene{guide: r, byID: map[guide.ID]int{}}
	for i := range r.Items {
		b, ok := bodyOf(&r.Items[i])
		if !ok {
			continue
		}
		if len(s.bodies) == 0 {
			s.bounds = b.bounds
		}
		s.bounds = s.bounds.join(b.bounds)
		s.byID[b.item.ID] = len(s.bodies)
		s.bodies = append(s.bodies, b)
	}
	return s
}

func bodyOf(it *guide.Item) (b body, ok bool) {
	b.item = it
	for _, sh := range it.At {
		solids := solidsOf(sh)
		if len(solids) == 0 {
			continue
		}
		b.shapes = append(b.shapes, len(b.solids))
		b.solids = append(b.solids, solids...)
	}
	if len(b.solids) == 0 {
		return body{}, false
	}
	b.bounds = b.solids[0].bounds()
	for _, s := range b.solids[1:] {
		b.bounds = b.bounds.join(s.bounds())
	}
	return b, true
}

// Bounds returns the upright box around everything that is placed; the zero
// box when nothing is.
func (s *Scene) Bounds() Bounds { return s.bounds }

// Envelope returns the upright box around one item; ok is false when its place
// is not written down.
func (s *Scene) Envelope(id guide.ID) (b Bounds, ok bool) {
	if i, found := s.byID[id]; found {
		return s.bodies[i].bounds, true
	}
	return Bounds{}, false
}

// Placed lists the items that have a usable shape, in guide order.
func (s *Scene) Placed() []guide.ID {
	ids := make([]guide.ID, len(s.bodies))
	for i, b := range s.bodies {
		ids[i] = b.item.ID
	}
	return ids
}

// Unplaced lists the items of the variant that have no usable shape, in guide
// order.
func (s *Scene) Unplaced() []guide.ID {
	var ids []guide.ID
	for _, it := range s.guide.Items {
		if _, ok := s.byID[it.ID]; !ok {
			ids = append(ids, it.ID)
		}
	}
	return ids
}

// contains reports whether p lies in the body.
func (b body) contains(p vec) bool {
	return slices.ContainsFunc(b.solids, func(s solid) bool { return s.contains(p) })
}

// declared reports whether the guide says that the two items share room: one
// lies inside the other or is a part of it.
func declared(a, b *guide.Item) bool {
	return slices.Contains(a.Inside, b.ID) || slices.Contains(b.Inside, a.ID) || a.PartOf == b.ID || b.PartOf == a.ID
}

// lengthAlong returns how long the box is along axis i.
func (b Bounds) lengthAlong(i int) float64 { return parts3(b.Max)[i] - parts3(b.Min)[i] }

// outside returns, for each axis, how far p lies beyond the box: positive
// beyond its upper face, negative beyond its lower one, zero within.
func (b Bounds) outside(p vec) vec {
	beyond := func(x, lo, hi float64) float64 { return math.Max(0, x-hi) - math.Max(0, lo-x) }
	return vec{
		X: beyond(p.X, b.Min.X, b.Max.X), Y: beyond(p.Y, b.Min.Y, b.Max.Y), Z: beyond(p.Z, b.Min.Z, b.Max.Z),
	}
}
