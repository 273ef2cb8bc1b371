package file

import (
	"maps"
	"reflect"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/span"
)

// everything is the word that stands for every item in a list of fitted items.
const everything = "all"

// resolver looks up the names by which entries refer to one another, and fills
// in the condition of states that were given by their value alone.
type resolver struct {
	*decoder
	guide  *guide.Guide
	names  map[string]map[guide.ID]bool // sort of thing to the names there are
	known  map[string][]string          // the same as sorted lists, on demand
	broken map[guide.ID]bool            // entries that could not be read
	nodes  map[guide.ID]bool            // nodes of the present circuit
}

// home tells under which key things of a sort are written.
var home = map[string]string{
	"item": "items", "kind": "kinds", "condition": "conditions", "fluid": "fluids", "tool": "tools", "part": "parts",
	"caution": "cautions", "source": "sources", "place": "places", "law": "laws", "check": "checks", "fault": "faults",
}

func (r *resolver) resolve(root *node, broken []string) {
	r.names, r.known, r.broken = map[string]map[guide.ID]bool{}, map[string][]string{}, map[guide.ID]bool{}
	for _, b := range broken {
		r.broken[guide.ID(b)] = true
	}
	g := reflect.ValueOf(r.guide).Elem()
	m := fieldsOf(g.Type())
	for sort, key := range home {
		r.names[sort] = map[guide.ID]bool{}
		entries := g.Field(m.all[m.byName[key]].index)
		for i := range entries.Len() {
			r.names[sort][guide.ID(entries.Index(i).Field(0).String())] = true
		}
	}
	if r.names["item"][everything] {
		n := root.field("items").field(everything)
		r.add(span.Finding{Pos: n.pos, Rule: "word", Says: "an item cannot have this name", Text: everything, Expect: "another name: all stands for every item"}, (*trail)(nil).key("items").key(everything))
	}
	r.walk(g, root, nil)
}

// hasRefs reports whether values of the type can hold names.
func hasRefs(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice:
		return hasRefs(t.Elem())
	case reflect.Struct:
		return t != reflect.TypeFor[guide.Shape]()
	}
	return false
}

// walk visits every value that can hold names, beside its node.
func (r *resolver) walk(v reflect.Value, n *node, at *trail) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			r.walk(v.Elem(), n, at)
		}
	case reflect.Slice:
		r.elements(v, n, at)
	case reflect.Struct:
		r.special(v, n, at)
		m := fieldsOf(v.Type())
		for _, f := range m.all {
			fv, child, here := v.Field(f.index), n.child(f.name, m.shortKey), at.key(f.name)
			switch {
			case len(f.ref) > 0:
				r.refs(fv, f.ref, child, here)
			case hasRefs(fv.Type()):
				r.walk(fv, child, here)
			}
		}
	}
}

func (r *resolver) elements(v reflect.Value, n *node, at *trail) {
	key, _ := keyField(v.Type().Elem())
	for i := range v.Len() {
		e := v.Index(i)
		if key < 0 {
			r.walk(e, n.item(i), at.at(i))
			continue
		}
		name := e.Field(key).String()
		child := n.field(name)
		if child == nil {
			child = n
		}
		here := at.key(name)
		if ref := e.Type().Field(key).Tag.Get("ref"); ref != "" {
			r.check(guide.ID(name), []string{ref}, child, here)
		}
		r.walk(e, child, here)
	}
}

// refs looks up one name or a list of names.
func (r *resolver) refs(v reflect.Value, sorts []string, n *node, at *trail) {
	if v.Kind() == reflect.Slice {
		for i := range v.Len() {
			r.check(guide.ID(v.Index(i).String()), sorts, n.item(i), at.at(i))
		}
		return
	}
	r.check(guide.ID(v.String()), sorts, n, at)
}

// check looks up one name among things of the given sorts.
func (r *resolver) check(id guide.ID, sorts []string, n *node, at *trail) {
	if id == "" || r.broken[id] {
		return
	}
	for _, s := range sorts {
		if r.names[s][id] || s == everything && id == everything {
			return
		}
	}
	sorts = slices.DeleteFunc(slices.Clone(sorts), func(s string) bool { return s == everything })
	known := r.list(sorts[0])
	for _, s := range sorts[1:] {
		known = slices.Concat(known, r.list(s))
	}
	r.add(span.Finding{
		Pos: n.word(string(id)), Rule: "unknown-" + sorts[0], Says: "unknown " + strings.Join(sorts, " or "), Text: string(id),
		Nearest: r.nearest(string(id), known), Do: "correct the name, or write the entry under " + home[sorts[0]],
	}, at)
}

// list returns the names of one sort in order.
func (r *resolver) list(sort string) []string {
	if _, ok := r.known[sort]; !ok {
		r.known[sort] = sorted(maps.Keys(r.names[sort]))
	}
	return r.known[sort]
}

func sorted(ids func(func(guide.ID) bool)) []string {
	var out []string
	for id := range ids {
		out = append(out, string(id))
	}
	slices.Sort(out)
	return out
}

// special looks up what a tag cannot say.
func (r *resolver) special(v reflect.Value, n *node, at *trail) {
	switch p := v.Addr().Interface().(type) {
	case *guide.Req:
		r.req(p, n, at)
	case *guide.Use:
		r.use(p, n, at)
	case *guide.Choice:
		r.choice(*p, n, at)
	case *guide.Condition:
		r.condition(p, n, at)
	case *guide.Circuit:
		r.nodes = map[guide.ID]bool{}
		for _, nd := range p.Nodes {
			r.nodes[nd.ID] = true
		}
	case *guide.Node:
		r.nodeOf(p.Against, n, at)
	case *guide.Wire:
		r.wire(p, n, at)
	}
}

func (r *resolver) unknown(rule, says, text string, known []string, do string, n *node, at *trail) {
	near := r.nearest(text, known)
	if slices.Contains(known, text) {
		near = nil
	}
	r.add(span.Finding{Pos: n.word(text), Rule: rule, Says: says, Text: text, Nearest: near, Do: do}, at)
}

func (r *resolver) wire(w *guide.Wire, n *node, at *trail) {
	for _, end := range []guide.ID{w.From, w.To} {
		r.nodeOf(end, n, at)
	}
}

// nodeOf reports a name that is no node of the present circuit.
func (r *resolver) nodeOf(id guide.ID, n *node, at *trail) {
	if id != "" && !r.nodes[id] && !r.broken[id] {
		r.unknown("unknown-node", "unknown node of this circuit", string(id), sorted(maps.Keys(r.nodes)), "correct the name, or write the node under nodes", n, at)
	}
}

func (r *resolver) findCondition(id guide.ID) *guide.Condition {
	for i := range r.guide.Conditions {
		if r.guide.Conditions[i].ID == id {
			return &r.guide.Conditions[i]
		}
	}
	return nil
}

func valueNames(c *guide.Condition) []string {
	var out []string
	for _, v := range c.Values {
		out = append(out, string(v.ID))
	}
	return out
}

// req checks a required state and completes one that names only its value.
func (r *resolver) req(q *guide.Req, n *node, at *trail) {
	if q.Condition == "" {
		r.completeReq(q, n, at)
		return
	}
	c := r.findCondition(q.Condition)
	switch {
	case r.broken[q.Condition]:
	case c == nil:
		r.unknown("unknown-condition", "unknown condition", string(q.Condition), r.list("condition"), "correct the name, or write the entry under conditions", n, at)
	default:
		r.valueOf(c, q.Value, n, at)
	}
}

// valueOf checks that a condition has the value.
func (r *resolver) valueOf(c *guide.Condition, v guide.ID, n *node, at *trail) {
	if names := valueNames(c); !slices.Contains(names, string(v)) && !r.broken[v] {
		r.unknown("unknown-value", "condition "+string(c.ID)+" has no such value", string(v), names, "its values are "+strings.Join(names, ", "), n, at)
	}
}

func (r *resolver) completeReq(q *guide.Req, n *node, at *trail) {
	var having, values []string
	for _, c := range r.guide.Conditions {
		names := valueNames(&c)
		values = append(values, names...)
		if slices.Contains(names, string(q.Value)) {
			having = append(having, string(c.ID))
		}
	}
	if len(having) == 1 {
		q.Condition = guide.ID(having[0])
		return
	}
	if q.Value == "" || r.broken[q.Value] {
		return
	}
	do := "write condition=value"
	says := "unknown value"
	switch {
	case len(having) > 1:
		says = "a value of several conditions: " + strings.Join(having, ", ")
		do = "write " + having[0] + "=" + string(q.Value)
	case r.names["condition"][q.Value]:
		says = "a condition without its value"
		do = "write " + string(q.Value) + "=" + strings.Join(valueNames(r.findCondition(q.Value)), " or =")
	}
	r.unknown("unknown-value", says, string(q.Value), values, do, n, at)
}

// use checks what is consumed: a fluid in litres, a part by number.
func (r *resolver) use(u *guide.Use, n *node, at *trail) {
	if u.What == "" || r.broken[u.What] {
		return
	}
	fluid, part := r.names["fluid"][u.What], r.names["part"][u.What]
	switch {
	case !fluid && !part:
		known := append(slices.Clone(r.list("part")), r.list("fluid")...)
		r.unknown("unknown-part", "no part or fluid has this name", string(u.What), known, `correct it, write the entry under parts, or put what has no price in quotes: 1 "rag"`, n, at)
	case u.Litres && !fluid:
		r.unknown("unknown-fluid", "litres of something that is no fluid", string(u.What), r.list("fluid"), "give a number of parts", n, at)
	case !u.Litres && !part:
		r.unknown("unknown-part", "a fluid without litres", string(u.What), nil, "write it like 0.4 L "+string(u.What), n, at)
	}
}

// choice checks an axis and its values.
func (r *resolver) choice(c guide.Choice, n *node, at *trail) {
	var axes, values []string
	fitting, found := 0, c.Axis == ""
	for _, a := range r.guide.Axes {
		axes = append(axes, string(a.ID))
		if c.Axis != "" && c.Axis != a.ID {
			continue
		}
		found = true
		names := map[string]bool{}
		for _, v := range a.Values {
			names[string(v.ID)] = true
			values = append(values, string(v.ID))
		}
		if !slices.ContainsFunc(c.Values, func(v guide.ID) bool { return !names[string(v)] && !r.broken[v] }) {
			fitting++
		}
	}
	switch {
	case !found && !r.broken[c.Axis]:
		r.unknown("unknown-variant", "variants do not differ in this", string(c.Axis), axes, "correct the name, or write the entry under variants", n, at)
	case found && fitting == 0:
		says, text := "no such variant", unknownOf(c.Values, values)
		if slices.Contains(values, text) {
			says, text = "values of different kinds in one choice", c.String()
		}
		r.unknown("unknown-variant", says, text, values, "known: "+strings.Join(values, ", "), n, at)
	case found && fitting > 1:
		r.unknown("unknown-variant", "a value of several variants", string(c.Values[0]), nil, "write axis=value", n, at)
	}
}

// unknownOf returns the first value that is not known, else the first.
func unknownOf(have []guide.ID, known []string) string {
	for _, v := range have {
		if !slices.Contains(known, string(v)) {
			return string(v)
		}
	}
	if len(have) == 0 {
		return ""
	}
	return string(have[0])
}

// condition checks the values that a condition names itself.
func (r *resolver) condition(c *guide.Condition, n *node, at *trail) {
	check := func(v guide.ID, key string, n *node, at *trail) {
		if v != "" {
			r.valueOf(c, v, n.child(key, ""), at.key(key))
		}
	}
	check(c.Start, "start", n, at)
	if c.End != "" && c.End != guide.AsFound && c.End != guide.AnyEnd {
		check(guide.ID(c.End), "end", n, at)
	}
	for i, ch := range c.Changes {
		item, here := n.child("changes", "").item(i), at.key("changes").at(i)
		check(ch.From, "from", item, here)
		check(ch.To, "to", item, here)
	}
}
