package bay

import (
	"slices"
	"strings"
	"unicode"

	"elbowroom/guide"
)

// trifle is the share of the greatest distance up to which a further one is
// not worth saying.
const trifle = 0.1

// offsetWords says an offset from a landmark: at most three distances, each
// with a direction that means the same to everybody.
func offsetWords(offset vec, mark *body, centre vec) string {
	least := trifle * max(abs(offset.X), abs(offset.Y), abs(offset.Z))
	var all []string
	if abs(offset.X) > least {
		all = append(all, distance(offset.X)+pick(offset.X, " forward of", " rearward of"))
	}
	if abs(offset.Z) > least {
		all = append(all, distance(offset.Z)+pick(offset.Z, " above", " below"))
	}
	if abs(offset.Y) > least {
		all = append(all, distance(offset.Y)+" towards the "+sideOf(offset.Y)+" of the vehicle from")
	}
	if len(all) == 0 {
		all = []string{faceWords(mark.bounds.outside(centre))}
	}
	return joinAnd(all) + " " + reference(mark.item) + thirdWords(mark, centre, offset)
}

// faceWords says at which face of a landmark an item sits whose middle lies
// less than a step beyond it.
func faceWords(beyond vec) string {
	switch {
	case beyond.Z > 0:
		return "on top of"
	case beyond.Z < 0:
		return "at the underside of"
	case beyond.X != 0:
		return "at the " + pick(beyond.X, "forward", "rearward") + " face of"
	case beyond.Y != 0:
		return "at the side towards the " + sideOf(beyond.Y) + " of the vehicle of"
	}
	return "within the outline of"
}

func distance(x float64) string { return num(abs(x)) + " mm" }

func pick(x float64, positive, negative string) string {
	if x > 0 {
		return positive
	}
	return negative
}

// longSide is the length in mm from which it is worth saying beside which part
// of a landmark an item lies.
const longSide = 250

// thirdWords says at which third of a long landmark the item lies, along the
// axis in which it lies within it.
func thirdWords(mark *body, centre, offset vec) string {
	axes := [3]int{0, 1, 2}
	longest := -1
	for _, i := range axes {
		if parts3(offset)[i] != 0 || mark.bounds.lengthAlong(i) < longSide {
			continue
		}
		if longest < 0 || mark.bounds.lengthAlong(i) > mark.bounds.lengthAlong(longest) {
			longest = i
		}
	}
	if longest < 0 {
		return ""
	}
	lo, l := parts3(mark.bounds.Min)[longest], mark.bounds.lengthAlong(longest)
	names := [3][3]string{
		{"at its rearward third", "at the middle of its length", "at its forward third"},
		{"at its third towards the right of the vehicle", "at the middle of its width", "at its third towards the left of the vehicle"},
		{"at its lower third", "at the middle of its height", "at its upper third"},
	}[longest]
	third := min(2, max(0, int((parts3(centre)[longest]-lo)/l*3)))
	return ", " + names[third]
}

// reference names an item inside a sentence: "the throttle body (AR03)". A
// name that says left or right by itself gets told whose left that is.
func reference(it *guide.Item) string {
	name := shortName(it)
	if name == string(it.ID) {
		return name
	}
	return "the " + guide.Uncapital(name) + " (" + string(it.ID) + frameOf(name) + ")"
}

// heading names an item at the beginning of a text.
func heading(it *guide.Item) string {
	name := shortName(it)
	if name == string(it.ID) {
		return name
	}
	return name + " (" + string(it.ID) + frameOf(name) + ")"
}

// frameOf returns what must follow a name that uses left or right bare.
func frameOf(name string) string {
	var sides []string
	for _, word := range strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && r != '-' }) {
		if word == "left" || word == "right" {
			if side := "vehicle's " + word; len(sides) == 0 || sides[len(sides)-1] != side {
				sides = append(sides, side)
			}
		}
	}
	if len(sides) == 0 || strings.Contains(strings.ToLower(name), "of the vehicle") {
		return ""
	}
	return ", " + strings.Join(sides, " and ")
}

func joinAnd(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// whereWords puts everything into sentences.
func (s *Scene) whereWords(it *guide.Item, w Where, from From) string {
	parts := []string{}
	for n, d := range w.Directions {
		text := d.Text
		if d.Hidden {
			text += " (itself hidden from here)"
		}
		if n > 0 {
			text = "also " + text
		}
		parts = append(parts, text)
	}
	if len(parts) == 0 {
		parts = append(parts, "no landmark near it is written down")
	}
	for _, p := range []string{w.End, w.Bank} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	text := heading(it) + ": " + strings.Join(parts, "; ") + "."
	if c := s.coverWords(w.Covers, from.View); c != "" {
		text += " " + c
	}
	if w := s.sightWords(w.Sightings); w != "" {
		text += " " + w
	}
	return text
}

// coverWords says what hides an item, nearest to the eye first.
func (s *Scene) coverWords(covers []Cover, v guide.View) string {
	seen := "Looked at " + viewWords(v) + ", "
	if len(covers) == 0 {
		return seen + "nothing covers it."
	}
	var inside, over []string
	for _, c := range covers {
		ref := reference(s.guide.Item(c.Item))
		if c.Around {
			inside = append(inside, ref)
		} else if v == guide.FromAbove {
			over = append(over, "under "+ref)
		} else {
			over = append(over, ref)
		}
	}
	text := ""
	if len(over) > 0 {
		text = "it lies " + strings.Join(over, ", ")
		if v != guide.FromAbove {
			text = "it is covered by " + strings.Join(over, ", then ")
		}
	}
	if len(inside) > 0 {
		if text == "" {
			text = "it lies"
		} else {
			text += " and is"
		}
		text += " inside " + joinAnd(inside)
	}
	return seen + text + "."
}

// sightWords says how the item is seen or felt from each place.
func (s *Scene) sightWords(list []Sighting) string {
	var order []guide.ID
	at := map[guide.ID][]string{}
	for _, k := range list {
		if at[k.Place] == nil {
			order = append(order, k.Place)
		}
		at[k.Place] = append(at[k.Place], sightWord(k.Sight))
	}
	var words []string
	for _, place := range order {
		words = append(words, strings.Join(at[place], " or ")+" "+s.placeWords(place))
	}
	if len(words) == 0 {
		return ""
	}
	return "The guide says: " + strings.Join(words, "; ") + "."
}

func sightWord(x guide.Sight) string {
	if x == guide.ByMirror {
		return "seen by mirror"
	}
	return string(x)
}

// prepositions begin the name of a place that already reads on: "through the
// cab hatch".
var prepositions = []string{"from", "through", "at", "in", "under", "behind", "beside", "between", "over", "by"}

// placeWords names a place as it stands after a verb: "from the top".
func (s *Scene) placeWords(id guide.ID) string {
	name := string(id)
	for _, p := range s.guide.Guide.Places {
		if p.ID == id && p.Name != "" {
			name = guide.Uncapital(p.Name) + frameOf(p.Name)
		}
	}
	if first, _, _ := strings.Cut(name, " "); slices.Contains(prepositions, first) {
		return name
	}
	return "from " + name
}

// unplacedWords says what the guide does say of an item without a shape.
func (s *Scene) unplacedWords(it *guide.Item, sights []Sighting) string {
	text := heading(it) + ": place not written down."
	if it.Side != "" {
		text += " It is on the " + string(it.Side) + " of the vehicle."
	}
	if of := s.guide.Item(it.PartOf); of != nil {
		text += " It is part of " + reference(of) + "."
	}
	var inside []string
	for _, id := range it.Inside {
		if host := s.guide.Item(id); host != nil {
			inside = append(inside, reference(host))
		}
	}
	if len(inside) > 0 {
		text += " It lies inside " + joinAnd(inside) + "."
	}
	if it.Fixing != "" {
		text += " Held by " + it.Fixing + "."
	}
	if w := s.sightWords(sights); w != "" {
		text += " " + w
	}
	if it.Note != "" {
		text += " The guide notes: " + it.Note
	}
	return text
}
