package compare

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
)

// Sort says what happened to a fact.
type Sort string

// The sorts of difference.
const (
	Changed Sort = "changed"
	Added   Sort = "added"
	Removed Sort = "removed"
)

// Thing is what a difference speaks of.
type Thing string

// The things.
const (
	Item      Thing = "item"
	Check     Thing = "check"
	Condition Thing = "condition"
	Caution   Thing = "caution"
	Part      Thing = "part"
	Fluid     Thing = "fluid"
	Tool      Thing = "tool"
	Law       Thing = "law"
	Fault     Thing = "fault"
)

// Difference is one fact that two revisions have different.
type Difference struct {
	Sort   Sort     `json:"sort"`
	Thing  Thing    `json:"thing"`
	On     guide.ID `json:"on"`
	Of     Of       `json:"of,omitempty"`   // what of the thing; empty for the thing itself
	Part   string   `json:"part,omitempty"` // which way, joint or change: "off from top", "screw M8x30"
	Fact   string   `json:"fact,omitempty"` // "torque", "minutes"; empty when the whole part came or went
	Was    string   `json:"was,omitempty"`
	Is     string   `json:"is,omitempty"`
	Reason string   `json:"reason,omitempty"`
	Says   string   `json:"says"` // one line for people
	// Old and New are the places of the way, joint or change in its list on the
	// two sides, from 0; -1 where there is none.
	Old int `json:"old"`
	New int `json:"new"`
}

// Of is what of a thing a difference speaks of.
type Of string

// The parts of things that have facts of their own.
const (
	Itself Of = ""
	Way    Of = "way"
	Joint  Of = "joint"
	Value  Of = "value"
	Change Of = "change"
)

// Revisions returns the differences between an older and a newer revision of a
// guide, both resolved for the same variant.
func Revisions(old, now *guide.Resolved) []Difference {
	c := &comparison{}
	a, b := facts(old), facts(now)
	for i := range a {
		c.things(a[i], b[i])
	}
	return c.list
}

// Said returns the revisions that the newer guide lists and the older does not.
func Said(old, now *guide.Guide) []guide.Revision {
	var list []guide.Revision
	for _, r := range now.Revisions {
		if !slices.ContainsFunc(old.Revisions, func(o guide.Revision) bool { return o.ID == r.ID }) {
			list = append(list, r)
		}
	}
	return list
}

// thing is one thing of a guide as facts.
type thing struct {
	sort  Thing
	id    guide.ID
	name  string
	parts []part
}

// part is the thing itself, or one of its ways, joints, values or changes.
type part struct {
	of    Of
	name  string // by which it is matched and called
	at    int    // place in its list
	facts []fact
	was   []guide.Was
}

// fact is one statement.
type fact struct{ name, text string }

type comparison struct{ list []Difference }

func (c *comparison) things(old, now []thing) {
	for _, o := range old {
		i := slices.IndexFunc(now, func(n thing) bool { return n.id == o.id })
		if i < 0 {
			c.add(Difference{Sort: Removed, Thing: o.sort, On: o.id, Was: o.name, Old: -1, New: -1}, o.name)
			continue
		}
		c.parts(o, now[i])
	}
	for _, n := range now {
		if !slices.ContainsFunc(old, func(o thing) bool { return o.id == n.id }) {
			c.add(Difference{Sort: Added, Thing: n.sort, On: n.id, Is: n.name, Old: -1, New: -1}, n.name)
		}
	}
}

func (c *comparison) parts(old, now thing) {
	same := func(a, b part) bool { return a.of == b.of && a.name == b.name }
	for _, o := range old.parts {
		i := slices.IndexFunc(now.parts, func(n part) bool { return same(o, n) })
		if i < 0 {
			c.add(Difference{Sort: Removed, Thing: old.sort, On: old.id, Of: o.of, Part: o.name, Was: o.summary(), Old: o.at, New: -1}, now.name)
			continue
		}
		c.facts(now, o, now.parts[i])
	}
	for _, n := range now.parts {
		if !slices.ContainsFunc(old.parts, func(o part) bool { return same(o, n) }) {
			c.add(Difference{Sort: Added, Thing: now.sort, On: now.id, Of: n.of, Part: n.name, Is: n.summary(), Old: -1, New: n.at}, now.name)
		}
	}
}

// summary says a part in one line.
func (p part) summary() string {
	var words []string
	for _, f := range p.facts {
		if f.text != "" {
			words = append(words, f.name+" "+f.text)
		}
	}
	return strings.Join(words, "; ")
}

func (c *comparison) facts(in thing, old, now part) {
	for i, o := range old.facts {
		n := now.facts[i]
		if o.text == n.text {
			continue
		}
		d := Difference{
			Sort: Changed, Thing: in.sort, On: in.id, Of: now.of, Part: now.name, Fact: o.name,
			Was: o.text, Is: n.text, Reason: reason(now.was, o.text), Old: old.at, New: now.at,
		}
		c.add(d, in.name)
	}
}

// reason looks for the superseded value that a text was.
func reason(was []guide.Was, text string) string {
	for _, w := range was {
		if w.Value == "" || !strings.Contains(text, w.Value) {
			continue
		}
		s := "superseded"
		if w.Until != "" {
			s += " until " + w.Until
		}
		if w.Reason != "" {
			s += ", " + w.Reason
		}
		return s
	}
	return ""
}

func (c *comparison) add(d Difference, name string) {
	d.Says = d.sentence(name)
	c.list = append(c.list, d)
}

// sentence says a difference: "knock sensor, right (SE13), screw M8x30: torque
// 22 N·m → 20 N·m (superseded until revision 3, lead fractures)".
func (d Difference) sentence(name string) string {
	s := fmt.Sprintf("%s (%s)", guide.Uncapital(name), d.On)
	if d.Thing != Item {
		s = string(d.Thing) + " " + s
	}
	if d.Of != Itself {
		s += ", " + strings.TrimSpace(string(d.Of)+" "+d.Part)
	}
	switch d.Sort {
	case Added:
		s += ": new"
		if d.Is != "" && d.Of != Itself {
			s += ", " + d.Is
		}
	case Removed:
		s += ": no more"
		if d.Was != "" && d.Of != Itself {
			s += ", was " + d.Was
		}
	default:
		s += ": " + d.Fact + " " + or(d.Was) + " → " + or(d.Is)
	}
	if d.Reason != "" {
		s += " (" + d.Reason + ")"
	}
	return s
}

func or(text string) string {
	if text == "" {
		return "not given"
	}
	return text
}
