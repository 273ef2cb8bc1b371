package vet

import (
	"fmt"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/span"
)

// Positions tells where in the text the value at a path was written, such as
// "items.SE13.ways[0].needs". The zero Pos means that it is not known.
type Positions interface {
	At(path string) span.Pos
}

// Wrench is a torque tool at hand, by the range that is marked on it.
type Wrench struct {
	Name            string
	Lowest, Highest quantity.Value
}

// Overlap is a pair of items whose envelopes share room.
type Overlap struct {
	A, B        guide.ID
	Millimetres float64 // how deep
}

// Options is what the guide itself does not hold. Every field may be empty.
type Options struct {
	Wrenches []Wrench                         // of the workshop, beside the tools of the guide
	Overlaps func(v guide.Selector) []Overlap // of the items of one variant; asked for the first variant only
}

// Rule is one thing that Check looks for.
type Rule struct {
	ID       string // stable, such as "torque-implausible"
	Says     string // what a finding of this rule means, one sentence
	Severity span.Severity
	look     func(*examiner)
}

// Check returns every finding, sorted by position. The guide must have been
// read without errors or built with equal care: what names nothing is passed
// over, because the reader of the text reports it. pos may be nil.
func Check(g *guide.Guide, pos Positions, o Options) span.List {
	e := newExaminer(g, pos, o)
	for i := range Rules {
		e.rule = &Rules[i]
		e.rule.look(e)
	}
	e.found.Sort()
	return e.found
}

// examiner carries a guide through the rules.
type examiner struct {
	g        *guide.Guide
	pos      Positions
	options  Options
	rule     *Rule
	found    span.List
	kinds    map[guide.ID]*guide.Kind
	items    map[guide.ID]*guide.Item
	cautions map[guide.ID]*guide.Caution
	conds    map[guide.ID]*guide.Condition
	checks   map[guide.ID]*guide.Check
	parts    map[guide.ID]*guide.Part
	fluids   map[guide.ID]bool
	order    map[guide.ID]int       // items in the order of the text
	askers   map[guide.Req][]string // who asks for a value of a condition
	foundBy  map[guide.ID]bool      // checks that some fault names
	views    []*view                // one for each variant
}

func newExaminer(g *guide.Guide, pos Positions, o Options) *examiner {
	e := &examiner{
		g: g, pos: pos, options: o,
		kinds: map[guide.ID]*guide.Kind{}, items: map[guide.ID]*guide.Item{},
		cautions: map[guide.ID]*guide.Caution{}, conds: map[guide.ID]*guide.Condition{},
		checks: map[guide.ID]*guide.Check{}, parts: map[guide.ID]*guide.Part{}, fluids: map[guide.ID]bool{},
		order: map[guide.ID]int{},
	}
	for i := range g.Kinds {
		e.kinds[g.Kinds[i].ID] = &g.Kinds[i]
	}
	for i := range g.Items {
		e.items[g.Items[i].ID] = &g.Items[i]
		e.order[g.Items[i].ID] = i
	}
	for i := range g.Cautions {
		e.cautions[g.Cautions[i].ID] = &g.Cautions[i]
	}
	for i := range g.Conditions {
		e.conds[g.Conditions[i].ID] = &g.Conditions[i]
	}
	for i := range g.Checks {
		e.checks[g.Checks[i].ID] = &g.Checks[i]
	}
	for i := range g.Parts {
		e.parts[g.Parts[i].ID] = &g.Parts[i]
	}
	for _, f := range g.Fluids {
		e.fluids[f.ID] = true
	}
	e.foundBy = map[guide.ID]bool{}
	for _, f := range g.Faults {
		for _, id := range f.FoundBy {
			e.foundBy[id] = true
		}
	}
	e.askers = e.gatherAskers()
	e.views = views(e)
	return e
}

// report adds a finding of the present rule. where is a path inside the guide,
// says one sentence, do what to do about it.
func (e *examiner) report(where, text, says, do string) {
	e.found = append(e.found, span.Finding{
		Pos: e.at(where), Severity: e.rule.Severity, Rule: e.rule.ID, Where: where, Text: text, Says: says, Do: do,
	})
}

// at finds the place of a path, or of the nearest thing around it.
func (e *examiner) at(path string) span.Pos {
	if e.pos == nil {
		return span.Pos{}
	}
	for path != "" {
		if p := e.pos.At(path); p.Line > 0 {
			return p
		}
		cut := strings.LastIndexAny(path, ".[")
		if cut < 0 {
			break
		}
		path = path[:cut]
	}
	return span.Pos{}
}

// within makes the path of a field of a thing: within("items", "SE13") is
// "items.SE13".
func within(group string, id guide.ID) string { return group + "." + string(id) }

// nth makes the path of an element: nth("items.SE13", "ways", 0) is
// "items.SE13.ways[0]".
func nth(path, field string, i int) string { return fmt.Sprintf("%s.%s[%d]", path, field, i) }

// named prints an item with its name: "engine top cover (PN01)".
func (e *examiner) named(id guide.ID) string {
	if it := e.items[id]; it != nil && it.Name != "" {
		return fmt.Sprintf("%s (%s)", it.Name, id)
	}
	return string(id)
}

// list joins words with commas, at most a handful.
func list(words []string) string {
	const handful = 5
	if len(words) > handful {
		return fmt.Sprintf("%s and %d more", strings.Join(words[:handful], ", "), len(words)-handful)
	}
	return strings.Join(words, ", ")
}
