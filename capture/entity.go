package capture

import (
	"slices"
	"strconv"
	"strings"

	"elbowroom/capture/lexicon"
	"elbowroom/guide"
)

// entity is a thing that the narration speaks of.
type entity struct {
	side   string
	name   string // folded, without side and number
	head   string
	raw    string // as first said
	number int
	class  guide.Class
	fluid  bool
	gauge  bool
	plural bool
	said   []*Fact // in the order of saying
}

// key is what tells entities apart.
func (e *entity) key() string {
	s := strings.TrimSpace(e.side + " " + e.name)
	if e.number > 0 {
		s += " " + strconv.Itoa(e.number)
	}
	return s
}

// shown is the name for people.
func (e *entity) shown() string {
	s := strings.TrimSpace(e.side + " " + e.raw)
	if e.number > 0 {
		s += " " + strconv.Itoa(e.number)
	}
	return s
}

// ends reports whether the name is the head or ends with it.
func (e *entity) ends(head string) bool {
	return e.head == head || e.name == head || strings.HasSuffix(e.name, " "+head)
}

// generic heads are too wide to be what is spoken of.
var generic = map[string]bool{"engine": true, "cylinder": true, "bank": true, "motor unit": true}

// mostRecent is how far back "the pump" reaches.
const mostRecent = 64

// cast is everything that was named.
type cast struct {
	lex    *lexicon.Lexicon
	list   []*entity // in the order of naming
	by     map[string]*entity
	recent []*entity // the latest last
}

func newCast(lex *lexicon.Lexicon) cast { return cast{lex: lex, by: map[string]*entity{}} }

// meant returns the entity that a noun phrase means: the same name; for a bare
// head after "the" the latest of that head; else a new one.
func (c *cast) meant(n *noun) *entity {
	want := entity{side: n.side, name: c.lex.Name(n.name()), number: n.number}
	if e := c.find(want.key()); e != nil {
		c.touch(e)
		return e
	}
	if n.mods == "" && n.number == 0 && pointing[n.det] {
		if e := c.latest(func(e *entity) bool { return e.ends(n.head) && (n.side == "" || e.side == n.side) }); e != nil {
			c.touch(e)
			return e
		}
	}
	if n.side != "" && n.mods == "" && n.number == 0 {
		if e := c.latest(func(e *entity) bool { return e.head == n.head && e.number == 0 && e.side != "" }); e != nil {
			return c.sibling(e, n.side, e.number)
		}
	}
	e := &entity{side: n.side, name: want.name, head: n.head, raw: n.raw, number: n.number, fluid: n.class == lexicon.Fluid, gauge: n.class == lexicon.Measure, plural: n.plural}
	if n.class == lexicon.Thing {
		e.class = guide.Class(n.value)
	}
	if e.raw == "" {
		e.raw = e.name
	}
	return c.enter(e)
}

// pointing are the words that mean a thing named before.
var pointing = map[string]bool{"the": true, "that": true, "this": true, "those": true, "these": true, "its": true, "each": true, "every": true}

// enter takes in a new entity.
func (c *cast) enter(e *entity) *entity {
	c.list = append(c.list, e)
	c.by[e.key()] = e
	c.touch(e)
	return e
}

// rename changes what tells an entity apart.
func (c *cast) rename(e *entity, change func(*entity)) {
	if c.by[e.key()] == e {
		delete(c.by, e.key())
	}
	change(e)
	if c.by[e.key()] == nil {
		c.by[e.key()] = e
	}
}

func (c *cast) find(key string) *entity { return c.by[key] }

// latest returns the entity that was named last among those that fit.
func (c *cast) latest(fits func(*entity) bool) *entity {
	for i := len(c.recent) - 1; i >= 0; i-- {
		if fits(c.recent[i]) {
			return c.recent[i]
		}
	}
	return nil
}

// touch makes an entity the latest.
func (c *cast) touch(e *entity) {
	i := slices.Index(c.recent, e)
	switch {
	case i < 0 && len(c.recent) == mostRecent:
		i = 0
	case i < 0:
		c.recent = append(c.recent, e)
		return
	}
	copy(c.recent[i:], c.recent[i+1:])
	c.recent[len(c.recent)-1] = e
}

// sibling returns the same thing on another side or of another number.
func (c *cast) sibling(e *entity, side string, number int) *entity {
	s := *e
	s.side, s.number, s.said, s.plural = side, number, nil, false
	return c.same(&s)
}

// same returns the entity of the same key, or takes in this one.
func (c *cast) same(e *entity) *entity {
	if found := c.find(e.key()); found != nil {
		c.touch(found)
		return found
	}
	return c.enter(e)
}

// one returns what "the right one" or "the left exhaust one" means: the thing
// spoken of with that side, and with those words before its head.
func (c *cast) one(n *noun, focus *entity) *entity {
	if focus == nil {
		return nil
	}
	name, raw := focus.name, focus.raw
	if n.mods != "" && !strings.Contains(" "+name+" ", " "+n.mods+" ") {
		name, raw = n.mods+" "+name, n.mods+" "+raw
	}
	s := *focus
	s.name, s.raw, s.side, s.number, s.said, s.plural = name, raw, n.side, 0, nil, n.plural
	if found := c.find(s.key()); found != nil {
		c.touch(found)
		return found
	}
	if n.side == "" {
		s.side = focus.side
	}
	return c.same(&s)
}

// opposite sides.
var opposite = map[string]string{"left": "right", "right": "left", "upper": "lower", "lower": "upper", "front": "rear", "rear": "front", "inner": "outer", "outer": "inner"}
