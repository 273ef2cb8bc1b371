package guide

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// ErrVariant is wrapped by errors about variants.
var ErrVariant = errors.New("variant not settled")

// Resolved is a guide seen for one variant: items that exist on it, kinds
// written out, mirrored places applied. It shares memory with the guide and
// must not be changed.
type Resolved struct {
	Guide   *Guide
	Variant map[ID]ID // axis to value; axes left open are missing
	Items   []Item    // in guide order, kinds merged; Ways keeps every way, see Open
	byID    map[ID]int
	conds   map[ID]int
	checks  map[ID]int
}

// Resolve returns the guide for one variant. The selector names at most one
// value per axis. It returns an error that wraps ErrVariant for an unknown
// axis or value, for two values of one axis, and when an axis is left open
// although an item, a way, a limit, or a mirrored place depends on it; the
// error quotes the axis's question.
func Resolve(g *Guide, variant Selector) (*Resolved, error) {
	r := &Resolved{Guide: g, Variant: map[ID]ID{}}
	for _, c := range variant {
		axis, err := g.axisOf(c)
		if err != nil {
			return nil, err
		}
		if len(c.Values) != 1 {
			return nil, fmt.Errorf("%w: name one value of %s, not %d", ErrVariant, axis.ID, len(c.Values))
		}
		if old, ok := r.Variant[axis.ID]; ok && old != c.Values[0] {
			return nil, fmt.Errorf("%w: %s cannot be both %s and %s", ErrVariant, axis.ID, old, c.Values[0])
		}
		r.Variant[axis.ID] = c.Values[0]
	}
	for _, axis := range g.Axes {
		if _, ok := r.Variant[axis.ID]; !ok && g.dependsOn(axis) {
			return nil, fmt.Errorf("%w: %s Say one of %s", ErrVariant, axis.Question, valueNames(axis))
		}
	}
	r.fill()
	return r, nil
}

func valueNames(a Axis) string {
	names := make([]string, len(a.Values))
	for i, v := range a.Values {
		names[i] = string(v.ID)
	}
	return strings.Join(names, ", ")
}

func (r *Resolved) fill() {
	g := r.Guide
	kinds := map[ID]*Kind{}
	for i := range g.Kinds {
		kinds[g.Kinds[i].ID] = &g.Kinds[i]
	}
	mirrored := r.mirrored()
	r.byID, r.conds, r.checks = map[ID]int{}, map[ID]int{}, map[ID]int{}
	for _, it := range g.Items {
		if !r.Fits(it.For) {
			continue
		}
		if k := kinds[it.Kind]; k != nil {
			it = withKind(it, k)
		}
		if mirrored[it.ID] {
			it = mirror(it)
		}
		r.byID[it.ID] = len(r.Items)
		r.Items = append(r.Items, it)
	}
	for i, c := range g.Conditions {
		r.conds[c.ID] = i
	}
	for i, c := range g.Checks {
		r.checks[c.ID] = i
	}
}

func (r *Resolved) mirrored() map[ID]bool {
	m := map[ID]bool{}
	for _, axis := range r.Guide.Axes {
		for _, v := range axis.Values {
			if r.Variant[axis.ID] == v.ID {
				for _, id := range v.Mirror {
					m[id] = true
				}
			}
		}
	}
	return m
}

// Item returns the item of that ID on this variant, or nil.
func (r *Resolved) Item(id ID) *Item {
	if i, ok := r.byID[id]; ok {
		return &r.Items[i]
	}
	return nil
}

// Condition returns the condition of that ID, or nil.
func (r *Resolved) Condition(id ID) *Condition {
	if i, ok := r.conds[id]; ok {
		return &r.Guide.Conditions[i]
	}
	return nil
}

// Check returns the check of that ID, or nil.
func (r *Resolved) Check(id ID) *Check {
	if i, ok := r.checks[id]; ok {
		return &r.Guide.Checks[i]
	}
	return nil
}

// Fits reports whether a fact with this selector holds on the variant. An axis
// that was left open never excludes: Resolve has made sure that nothing that
// matters depends on it.
func (r *Resolved) Fits(s Selector) bool {
	for _, c := range s {
		axis, err := r.Guide.axisOf(c)
		if err != nil {
			return false
		}
		if have, ok := r.Variant[axis.ID]; ok && !slices.Contains(c.Values, have) {
			return false
		}
	}
	return true
}

// axisOf finds the axis that a choice speaks of.
func (g *Guide) axisOf(c Choice) (*Axis, error) {
	var found *Axis
	for i := range g.Axes {
		a := &g.Axes[i]
		if c.Axis != "" && c.Axis != a.ID || !a.hasAll(c.Values) {
			continue
		}
		if found != nil {
			return nil, fmt.Errorf("%w: %s is a value of both %s and %s; write axis=value", ErrVariant, c.Values[0], found.ID, a.ID)
		}
		found = a
	}
	if found == nil {
		return nil, fmt.Errorf("%w: no axis of this guide has %s; known: %s", ErrVariant, c, g.axisWords())
	}
	return found, nil
}

func (a *Axis) hasAll(values []ID) bool {
	for _, v := range values {
		if !slices.ContainsFunc(a.Values, func(x AxisValue) bool { return x.ID == v }) {
			return false
		}
	}
	return len(values) > 0
}

func (g *Guide) axisWords() string {
	var words []string
	for _, a := range g.Axes {
		words = append(words, string(a.ID)+"="+strings.ReplaceAll(valueNames(a), ", ", "|"))
	}
	if len(words) == 0 {
		return "none, this guide has one variant"
	}
	return strings.Join(words, ", ")
}

// same reports whether two choices say the same in the same order.
func (c Choice) same(d Choice) bool { return c.Axis == d.Axis && slices.Equal(c.Values, d.Values) }

// String prints the choice as "axis=value|value", without the axis when empty.
func (c Choice) String() string {
	values := make([]string, len(c.Values))
	for i, v := range c.Values {
		values[i] = string(v)
	}
	text := strings.Join(values, "|")
	if c.Axis != "" {
		return string(c.Axis) + "=" + text
	}
	return text
}

// String prints the choices separated by spaces.
func (s Selector) String() string {
	words := make([]string, len(s))
	for i, c := range s {
		words[i] = c.String()
	}
	return strings.Join(words, " ")
}

// dependsOn reports whether the layout, a way or a limit depends on the axis.
func (g *Guide) dependsOn(axis Axis) bool {
	for _, v := range axis.Values {
		if len(v.Mirror) > 0 {
			return true
		}
	}
	names := func(s Selector) bool {
		return slices.ContainsFunc(s, func(c Choice) bool {
			a, err := g.axisOf(c)
			return err == nil && a.ID == axis.ID
		})
	}
	inWays := func(ways []Way) bool {
		return slices.ContainsFunc(ways, func(w Way) bool { return names(w.For) })
	}
	return slices.ContainsFunc(g.Items, func(it Item) bool { return names(it.For) || inWays(it.Ways) }) ||
		slices.ContainsFunc(g.Kinds, func(k Kind) bool { return inWays(k.Ways) }) ||
		slices.ContainsFunc(g.Checks, func(c Check) bool {
			return inWays(c.Ways) || slices.ContainsFunc(c.Limits, func(m Limit) bool { return names(m.For) })
		})
}

// withKind returns the item with everything from its kind that it does not say
// itself. Ways are taken verb by verb.
func withKind(it Item, k *Kind) Item {
	if it.Class == "" {
		it.Class = k.Class
	}
	if it.Joints == nil {
		it.Joints = k.Joints
	}
	if it.Connector == nil {
		it.Connector = k.Connector
	}
	if it.Parts == nil {
		it.Parts = k.Parts
	}
	if it.Note == "" {
		it.Note = k.Note
	}
	if it.Source == "" {
		it.Source = k.Source
	}
	it.Cautions = append(slices.Clip(it.Cautions), k.Cautions...)
	own := it.Ways
	it.Ways = slices.Clip(it.Ways)
	for _, w := range k.Ways {
		if !slices.ContainsFunc(own, func(o Way) bool { return o.Do == w.Do }) {
			it.Ways = append(it.Ways, w)
		}
	}
	return it
}

// mirror returns the item with its places reflected in the plane y = 0 and its
// side changed over.
func mirror(it Item) Item {
	it.At = slices.Clone(it.At)
	for i := range it.At {
		s := &it.At[i]
		s.Centre.Y = -s.Centre.Y
		s.Turn.X, s.Turn.Z = -s.Turn.X, -s.Turn.Z
		s.Path = slices.Clone(s.Path)
		for j := range s.Path {
			s.Path[j].Y = -s.Path[j].Y
		}
	}
	switch it.Side {
	case Left:
		it.Side = Right
	case Right:
		it.Side = Left
	}
	return it
}
