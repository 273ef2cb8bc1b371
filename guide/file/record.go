package file

import (
	"reflect"
	"strings"
	"sync"

	"elbowroom/span"
)

// member is one field of a struct as the format knows it.
type member struct {
	index    int
	name     string
	required bool
	ref      []string
}

// members are the fields of one struct.
type members struct {
	all      []member
	byName   map[string]int
	shortKey string // key of the short form in a mapping, if the type has one
	key      int    // index of the field tagged ",key", or -1
	value    int    // index of the field tagged ",value", or -1
}

var memberCache sync.Map // reflect.Type to *members; the types are few and fixed

// fieldsOf returns the members of a struct type.
func fieldsOf(t reflect.Type) *members {
	if m, ok := memberCache.Load(t); ok {
		return m.(*members)
	}
	m := &members{byName: map[string]int{}, key: -1, value: -1}
	for i := range t.NumField() {
		f := t.Field(i)
		name, option, _ := strings.Cut(f.Tag.Get("yaml"), ",")
		switch {
		case option == "key":
			m.key = i
		case option == "value":
			m.value = i
		}
		if name == "" {
			continue
		}
		m.byName[name] = len(m.all)
		m.all = append(m.all, member{i, name, option != "omitempty", strings.Fields(f.Tag.Get("ref"))})
	}
	if k, ok := reflect.Zero(t).Interface().(shortKeyed); ok {
		m.shortKey = k.ShortKey()
	}
	memberCache.Store(t, m)
	return m
}

func (m *members) names() []string {
	var names []string
	for _, f := range m.all {
		names = append(names, f.name)
	}
	if _, own := m.byName[m.shortKey]; m.shortKey != "" && !own {
		names = append(names, m.shortKey)
	}
	return names
}

func (m *members) expect() string { return "keys " + strings.Join(m.names(), ", ") }

// record decodes a mapping into a struct.
func (d *decoder) record(n *node, v reflect.Value, at *trail) {
	m := fieldsOf(v.Type())
	if n.kind == unread {
		return
	}
	if n.kind != mapping {
		d.refuse(n, "shape", n.kind.String()+" where a mapping belongs", m.expect(), "", at)
		return
	}
	before := len(d.list)
	said := map[string]bool{}
	if s := n.field(m.shortKey); m.shortKey != "" && s != nil {
		d.part(s, v, said, at.key(m.shortKey))
	}
	first := map[string]span.Pos{}
	for _, f := range n.fields {
		here := at.key(f.name)
		if old, twice := first[f.name]; twice {
			d.twice(f, old, here)
			continue
		}
		first[f.name] = f.pos
		i, known := m.byName[f.name]
		switch {
		case f.name == m.shortKey:
		case !known:
			d.unknownKey(f, m, here)
		case said[f.name]:
			d.add(span.Finding{Pos: f.pos, Rule: "twice", Says: "said twice: in the line under " + m.shortKey + " and here", Text: f.name, Expect: "one of the two"}, here)
		default:
			d.value(f.value, v.Field(m.all[i].index), here)
			said[f.name] = true
		}
	}
	d.missing(n, v, said, at)
	if len(d.list) == before {
		d.complete(n, v, at)
	}
}

func (d *decoder) unknownKey(f field, m *members, at *trail) {
	do := ""
	if f.value.kind == empty && f.value.flow {
		do = commaHint
	}
	d.add(span.Finding{Pos: f.pos, Rule: "unknown-key", Says: "unknown key", Text: f.name, Expect: "one of " + strings.Join(m.names(), ", "), Nearest: span.Nearest(f.name, m.names()), Do: do}, at)
}

// part decodes the short form that a mapping holds under its short key.
func (d *decoder) part(n *node, v reflect.Value, said map[string]bool, at *trail) {
	if n.kind != scalar {
		d.refuse(n, "shape", n.kind.String()+" where one line of text belongs", "the short form", "", at)
		return
	}
	p := v.Addr().Interface()
	if r, ok := p.(partReader); ok {
		names, err := r.ReadPart(n.text)
		d.forms(n, err, at)
		for _, name := range names {
			said[name] = true
		}
		return
	}
	d.forms(n, p.(shortReader).ReadShort(n.text), at)
	for _, f := range fieldsOf(v.Type()).all {
		if !v.Field(f.index).IsZero() {
			said[f.name] = true
		}
	}
}

// missing reports the fields that must be given and are not.
func (d *decoder) missing(n *node, v reflect.Value, said map[string]bool, at *trail) {
	for _, f := range fieldsOf(v.Type()).all {
		if f.required && !said[f.name] && v.Field(f.index).IsZero() {
			d.add(span.Finding{Pos: n.pos, Rule: "missing", Says: "missing " + f.name, Expect: expected(v.Type().Field(f.index)), Do: "add " + f.name + ":"}, at)
		}
	}
}

// expected says in a few words what a field takes.
func expected(f reflect.StructField) string {
	if w, ok := reflect.Zero(f.Type).Interface().(worded); ok {
		return "one of " + strings.Join(w.Allowed(), ", ")
	}
	switch {
	case f.Type == durationType:
		return "a time like 4 min"
	case f.Type.Kind() == reflect.String:
		return "text"
	case f.Type.Kind() == reflect.Int || f.Type.Kind() == reflect.Float64:
		return "a number"
	}
	return ""
}
