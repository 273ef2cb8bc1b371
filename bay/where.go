package bay

import (
	"strings"

	"elbowroom/guide"
)

// From says from where a person looks and what is out of the way by then. The
// zero value looks from above with everything on.
type From struct {
	Place   guide.ID           // a place of the guide; its view counts
	View    guide.View         // used when Place is empty or has no view
	Cleared map[guide.ID]State // items that are aside or off
	// Pulley is the side of the vehicle that the pulley end of the engine
	// points at; empty means the front.
	Pulley guide.View
}

// Direction is one way of saying where an item is, from one landmark.
type Direction struct {
	Text     string   // "250 mm rearward of and 300 mm below the throttle body (AR03)"
	Landmark guide.ID // where it starts
	// Offset is how far the centre of the item lies beyond the faces of the
	// landmark, rounded, millimetres in the frame of the bay; zero where the
	// item lies within the landmark's extent along that axis.
	Offset guide.Point
	Sight  guide.Sight // how the item is worked on from the viewpoint; empty when not known
	Hidden bool        // the landmark itself cannot be seen from there at the moment
}

// Sighting is how an item is seen or felt from one place.
type Sighting struct {
	Place guide.ID
	Sight guide.Sight
}

// Where is everything that can be said of an item's place in words.
type Where struct {
	Item       guide.ID
	Known      bool   // its place is written down
	Text       string // all of it, as sentences
	Directions []Direction
	End        string // "pulley end of the engine", "gearbox end of the engine", "middle of the engine", or what lies beyond
	Bank       string // "bank on the left of the vehicle", or empty
	Covers     []Cover
	Sightings  []Sighting
}

// mostDirections is how many landmarks an item is told from.
const mostDirections = 2

// Where tells where an item is, for a person who looks from the given
// viewpoint. Distances run from the nearest face of a landmark to the middle of
// the item and are rounded: see Round. Left and right are always named as those
// of the vehicle. An item whose place is not written down gives Known false and
// a text with what the guide does say.
func (s *Scene) Where(item guide.ID, from From) Where {
	from.View = s.viewOf(from)
	w := Where{Item: item}
	it := s.guide.Item(item)
	if it == nil {
		w.Text = string(item) + ": there is no such item on this variant."
		return w
	}
	w.Sightings = s.sightings(it)
	i, ok := s.byID[item]
	if !ok {
		w.Text = s.unplacedWords(it, w.Sightings)
		return w
	}
	w.Known = true
	st := s.stage(from.View, from.Cleared)
	w.Covers = st.look(i).covers
	w.End, w.Bank = s.end(&s.bodies[i], from.Pulley), s.bank(&s.bodies[i])
	w.Directions = st.directions(i, s.sightAt(w.Sightings, from))
	w.Text = s.whereWords(it, w, from)
	return w
}

// Directions returns the directions of Where alone: the best landmark first,
// none when the place is not written down or there is nothing to start from.
func (s *Scene) Directions(item guide.ID, from From) []Direction {
	return s.Where(item, from).Directions
}

// viewOf returns the view that counts: that of the place, else the view, else
// from above.
func (s *Scene) viewOf(from From) guide.View {
	for _, p := range s.guide.Guide.Places {
		if p.ID == from.Place && p.View != "" {
			return eyeOf(p.View).view
		}
	}
	return eyeOf(from.View).view
}

// sightings lists how the item is seen from each place: first what the item
// says itself, then what its open ways say, each pair once.
func (s *Scene) sightings(it *guide.Item) []Sighting {
	var list []Sighting
	seen := map[Sighting]bool{}
	enter := func(place guide.ID, sight guide.Sight) {
		k := Sighting{place, sight}
		if sight != "" && !seen[k] {
			seen[k] = true
			list = append(list, k)
		}
	}
	for _, x := range it.Seen {
		enter(x.From, x.Sight)
	}
	for _, w := range it.Ways {
		if w.From != "" && s.guide.Fits(w.For) {
			enter(w.From, w.Sight)
		}
	}
	return list
}

// sightAt returns the sight from the viewpoint: from its place, else from any
// place with its view, the first that is written down.
func (s *Scene) sightAt(list []Sighting, from From) guide.Sight {
	views := map[guide.ID]guide.View{}
	for _, p := range s.guide.Guide.Places {
		views[p.ID] = p.View
	}
	for _, k := range list {
		if k.Place == from.Place || from.Place == "" && views[k.Place] == from.View {
			return k.Sight
		}
	}
	return ""
}

// endShare is the share of the engine's length that counts as one of its ends.
const endShare = 1.0 / 3

// end says at which end of the engine a body lies; empty when the engine's
// length is not known.
func (s *Scene) end(b *body, pulley guide.View) string {
	dir := vec{X: 1}
	if pulley != "" {
		dir = eyeOf(pulley).near
	}
	block, ok := s.block()
	if !ok || abs(dir.Z) > 0.5 {
		return ""
	}
	lo, hi := dot(block.Min, dir), dot(block.Max, dir)
	if lo > hi {
		lo, hi = hi, lo
	}
	at, third := dot(b.bounds.Centre(), dir), (hi-lo)*endShare
	switch {
	case at > hi+third:
		return "beyond the pulley end of the engine"
	case at > hi-third:
		return "pulley end of the engine"
	case at < lo-third:
		return "beyond the gearbox end of the engine"
	case at < lo+third:
		return "gearbox end of the engine"
	}
	return "middle of the engine"
}

// atOrigin is how near in mm to the origin of the bay, which is on the front
// face of the engine, a structure must come to be the engine itself.
const atOrigin = 40

// block returns the envelope of the largest structure that the crankshaft runs
// through where the origin of the bay is.
func (s *Scene) block() (b Bounds, ok bool) {
	near := Bounds{Min: vec{X: -atOrigin, Y: -1, Z: -1}, Max: vec{X: atOrigin, Y: 1, Z: 1}}
	most := 0.0
	for _, c := range s.bodies {
		if classOf(c.item) != guide.Structure || !c.bounds.meets(near) {
			continue
		}
		if size := c.bounds.Size(); size.X*size.Y*size.Z > most {
			most, b, ok = size.X*size.Y*size.Z, c.bounds, true
		}
	}
	return b, ok
}

// bank says on which bank of the engine a body lies. Banks are structures that
// the guide calls so; an item belongs to one when it is nearer to it, level
// with it along the engine, and lies outward of the crankshaft.
func (s *Scene) bank(b *body) string {
	c := b.bounds.Centre()
	best, found := 0.0, ""
	for _, x := range s.bodies {
		if classOf(x.item) != guide.Structure || !strings.Contains(strings.ToLower(x.item.Name), "bank") {
			continue
		}
		mid := x.bounds.Centre()
		out := x.bounds.outside(c)
		if mid.Y*c.Y <= 0 || abs(out.X) > nearBank || abs(out.Y) > nearBank || abs(out.Z) > overBank {
			continue
		}
		if d := length(out); found == "" || d < best {
			best, found = d, "bank on the "+sideOf(c.Y)+" of the vehicle"
		}
	}
	return found
}

// How far in mm an item may lie from a bank and still belong to it: sideways
// and along, and above or below, where covers and coils sit.
const (
	nearBank = 60
	overBank = 120
)

func sideOf(y float64) string {
	if y > 0 {
		return "left"
	}
	return "right"
}
