package file

import (
	"cmp"
	"encoding"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/span"
)

// Decode reads one document into a plain struct, as strictly as Read reads a
// guide: for other documents of the same style, such as a workshop. It
// reports every error and then leaves into as it was.
//
// The fields of the struct carry the tag yaml:"name"; a field without
// omitempty must be given. A slice of structs whose first field is tagged
// ",key" is a mapping from that key to the rest; with a second field ",value"
// to a single value. A type with ReadShort is read from one line of text, one
// with Allowed knows its words, one with Check or Complete has the last word.
// Times are in minutes. Names that refer to something (tag ref) are not
// looked up: that is part of Read.
//
// Decode panics when into is no pointer to a struct.
func Decode(name string, data []byte, into any) (*Positions, span.List) {
	to := reflect.ValueOf(into)
	if to.Kind() != reflect.Pointer || to.Elem().Kind() != reflect.Struct {
		panic("file: Decode needs a pointer to a struct")
	}
	p := parse(name, data)
	d := decoder{list: p.list}
	if p.root == nil {
		return &Positions{}, finished(d.list)
	}
	fresh := reflect.New(to.Elem().Type()).Elem()
	d.value(p.root, fresh, nil)
	list := finished(d.list)
	if !list.Has(span.Error) {
		to.Elem().Set(fresh)
	}
	return &Positions{p.root}, list
}

// The small interfaces that types of the format may have.
type (
	shortReader interface{ ReadShort(text string) error }
	// partReader is a short form that may be continued by the keys of a
	// mapping; it returns the fields that the text has said.
	partReader interface {
		ReadPart(text string) (said []string, err error)
	}
	shortKeyed interface{ ShortKey() string }
	worded     interface{ Allowed() []string }
	checker    interface{ Check() error }
	completer  interface{ Complete() error }
)

var (
	durationType = reflect.TypeFor[time.Duration]()
	// commaLists are the types whose lists may be one text with commas.
	commaLists = []reflect.Type{
		reflect.TypeFor[guide.ID](), reflect.TypeFor[guide.Need](), reflect.TypeFor[guide.Req](),
		reflect.TypeFor[guide.Use](), reflect.TypeFor[guide.TaskID](),
	}
)

// decoder fills structs from nodes and collects what is wrong.
type decoder struct {
	list     span.List
	compared int // names that were looked at for the nearest
}

// mostCompared bounds the search for nearest names in one reading: a guide
// whose items are all missing would otherwise compare every name with every
// other.
const mostCompared = 2_000_000

// nearest returns the names that may have been meant, while the bound lasts.
func (d *decoder) nearest(name string, known []string) []string {
	if d.compared += len(known); d.compared > mostCompared {
		return nil
	}
	return span.Nearest(name, known)
}

func (d *decoder) add(f span.Finding, at *trail) {
	f.Severity, f.Where = span.Error, at.String()
	f.Text = clip(f.Text)
	d.list = append(d.list, f)
}

func (d *decoder) refuse(n *node, rule, says, expect, do string, at *trail) {
	d.add(span.Finding{Pos: n.pos, Rule: rule, Says: says, Text: n.text, Expect: expect, Do: do}, at)
}

// value decodes n into v, which must be settable.
func (d *decoder) value(n *node, v reflect.Value, at *trail) {
	if n.kind == unread {
		return
	}
	if n.kind == empty {
		d.refuse(n, "empty", "nothing is written here", "a value", "write it, or leave the line out", at)
		return
	}
	if n.kind == scalar && n.style == plain && strings.Contains(n.text, "\n ") {
		// folding leaves no blank after a line break: a line of a lone dash was read as text
		d.refuse(n, "quote", "a text over several lines with a line that reads as a list", "text on one line", "put it in quotes", at)
		return
	}
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	if n.kind == scalar && len(n.text) > MaxLine && v.Kind() != reflect.String {
		d.refuse(n, "entry-size", "a line of "+strconv.Itoa(len(n.text))+" bytes", fmt.Sprintf("at most %d", MaxLine), "write it as a list or a mapping", at)
		return
	}
	if n.kind == scalar && d.text(n, v, at) {
		return
	}
	switch v.Kind() {
	case reflect.Slice:
		d.slice(n, v, at)
	case reflect.Array:
		d.array(n, v, at)
	case reflect.Struct:
		d.record(n, v, at)
	default:
		d.plain(n, v, at)
	}
}

// text decodes a scalar with the type's own reader, if it has one.
func (d *decoder) text(n *node, v reflect.Value, at *trail) bool {
	ptr := v.Addr().Interface()
	if v.Type() == durationType {
		t, err := guide.ParseMinutes(n.text)
		d.forms(n, err, at)
		v.SetInt(int64(t))
		return true
	}
	if r, ok := ptr.(shortReader); ok {
		err := r.ReadShort(n.text)
		d.forms(n, err, at)
		if err == nil {
			d.complete(n, v, at)
		}
		return true
	}
	if r, ok := ptr.(encoding.TextUnmarshaler); ok {
		if err := r.UnmarshalText([]byte(n.text)); err != nil {
			d.add(span.Finding{Pos: n.pos, Rule: "value", Says: reason(err), Text: n.text, Nearest: nearestUnit(v, n.text)}, at)
		} else if v.Kind() == reflect.Int64 && v.Int() < 0 {
			d.refuse(n, "value", "negative sum of money", "0 or more", "", at)
		}
		return true
	}
	return false
}

// nearestUnit returns the units that may have been meant in a value.
func nearestUnit(v reflect.Value, text string) []string {
	if v.Type() != reflect.TypeFor[quantity.Value]() {
		return nil
	}
	unit := strings.TrimLeft(text, "+-.0123456789 ")
	if _, err := quantity.Parse("1 " + unit); err == nil {
		return nil
	}
	return span.Nearest(unit, quantity.Units())
}

// reason returns the text of an error without the offending text that some
// put in front.
func reason(err error) string {
	s := err.Error()
	if _, rest, ok := strings.Cut(s, `": `); ok && strings.HasPrefix(s, `"`) {
		return rest
	}
	return s
}

// forms reports the errors of a short form at their places in the text.
func (d *decoder) forms(n *node, err error, at *trail) {
	if err == nil {
		return
	}
	var es guide.FormErrors
	if !errors.As(err, &es) {
		d.refuse(n, "value", err.Error(), "", "", at)
		return
	}
	slices.SortStableFunc(es, func(a, b guide.FormError) int { return cmp.Compare(a.Offset, b.Offset) })
	offsets := make([]int, len(es))
	for i, e := range es {
		offsets[i] = e.Offset
	}
	places := n.places(offsets)
	for i, e := range es {
		do := ""
		if n.cut && n.style == plain {
			do = commaHint
		}
		d.add(span.Finding{
			Pos: places[i], Rule: "form", Says: e.Says, Text: e.Text, Expect: e.Expect,
			Nearest: span.Nearest(firstWord(e), e.Known), Do: do,
		}, at)
	}
}

const commaHint = "inside brackets a comma ends an entry: put text with commas in quotes"

// firstWord returns what is compared with the known words of an error: the
// whole text where known words have several words, else the first word.
func firstWord(e guide.FormError) string {
	if slices.ContainsFunc(e.Known, func(k string) bool { return strings.Contains(k, " ") }) {
		return e.Text
	}
	w, _, _ := strings.Cut(e.Text, " ")
	return w
}

// complete asks the type whether all that it needs is there.
func (d *decoder) complete(n *node, v reflect.Value, at *trail) {
	c, ok := v.Interface().(completer)
	if !ok {
		return
	}
	var es guide.FormErrors
	if err := c.Complete(); !errors.As(err, &es) {
		return
	}
	for _, e := range es {
		where, to := n, at
		if f := n.field(e.Field); f != nil {
			where, to = f, at.key(e.Field)
		}
		d.add(span.Finding{Pos: where.pos, Rule: "value", Says: e.Says, Text: cmpText(e.Text, where), Expect: e.Expect, Nearest: span.Nearest(e.Text, e.Known)}, to)
	}
}

func cmpText(text string, n *node) string {
	if text == "" {
		return n.text
	}
	return text
}

// slice decodes a list, a keyed mapping, or a single text.
func (d *decoder) slice(n *node, v reflect.Value, at *trail) {
	elem := v.Type().Elem()
	if key, value := keyField(elem); key >= 0 {
		d.keyed(n, v, key, value, at)
		return
	}
	nodes := n.items
	switch n.kind {
	case scalar:
		nodes = []*node{n}
		if slices.Contains(commaLists, elem) {
			nodes = splitCommas(n)
		}
	case mapping:
		if elem.Kind() != reflect.Struct {
			d.refuse(n, "shape", "a mapping where a list belongs", "a list", "", at)
			return
		}
		nodes = []*node{n}
	}
	for i, item := range nodes {
		e := reflect.New(elem).Elem()
		d.value(item, e, at.at(i))
		v.Set(reflect.Append(v, e))
	}
}

// splitCommas gives each part of "PN01, AR02" a node of its own.
func splitCommas(n *node) []*node {
	var out []*node
	var starts []int
	off := 0
	for _, part := range strings.Split(n.text, ",") {
		out = append(out, &node{kind: scalar, style: n.style, text: strings.TrimSpace(part)})
		starts = append(starts, off+len(part)-len(strings.TrimLeft(part, " \n")))
		off += len(part) + 1
	}
	for i, pos := range n.places(starts) {
		out[i].pos = pos
	}
	return out
}

// array decodes a list of fixed length.
func (d *decoder) array(n *node, v reflect.Value, at *trail) {
	if n.kind != list || len(n.items) != v.Len() {
		d.refuse(n, "shape", "not a list of the right length", fmt.Sprintf("%d values in brackets", v.Len()), "", at)
		return
	}
	for i, item := range n.items {
		d.value(item, v.Index(i), at.at(i))
	}
}

// keyField returns the indexes of the fields tagged ",key" and ",value", -1
// where there is none.
func keyField(t reflect.Type) (key, value int) {
	if t.Kind() != reflect.Struct {
		return -1, -1
	}
	m := fieldsOf(t)
	return m.key, m.value
}

// keyed decodes a mapping from names to entries, or a list of bare names.
func (d *decoder) keyed(n *node, v reflect.Value, key, value int, at *trail) {
	fields := n.fields
	switch n.kind {
	case scalar:
		fields = bareNames(splitCommas(n))
	case list:
		fields = bareNames(n.items)
	}
	first := map[string]span.Pos{}
	for _, f := range fields {
		here := at.key(f.name)
		if old, twice := first[f.name]; twice {
			d.twice(f, old, here)
			continue
		}
		first[f.name] = f.pos
		e := reflect.New(v.Type().Elem()).Elem()
		d.value(&node{kind: scalar, style: double, text: f.name, pos: f.pos}, e.Field(key), here)
		switch {
		case f.value.kind == unread:
		case value >= 0:
			d.value(f.value, e.Field(value), here)
		case f.value.kind == mapping:
			d.record(f.value, e, here)
		default:
			d.bare(f.value, e, key, here)
		}
		v.Set(reflect.Append(v, e))
	}
}

func (d *decoder) twice(f field, old span.Pos, at *trail) {
	d.add(span.Finding{
		Pos: f.pos, Rule: "twice", Says: "written twice", Text: f.name,
		Expect: "each name once; the first stands at " + old.String(), Do: "rename one, or put the two together",
	}, at)
}

// bareNames turns the entries of [cold, hot] into keys without a value.
func bareNames(items []*node) []field {
	var out []field
	for _, it := range items {
		if it.kind == mapping && len(it.fields) == 1 {
			out = append(out, it.fields[0])
			continue
		}
		out = append(out, field{it.text, it.pos, &node{kind: empty, pos: it.pos, flow: it.flow}})
	}
	return out
}

// bare decodes an entry that is no mapping: a short form, nothing at all, or
// the text of its first field.
func (d *decoder) bare(n *node, e reflect.Value, key int, at *trail) {
	if _, short := e.Addr().Interface().(shortReader); short {
		d.value(n, e, at)
		return
	}
	said := map[string]bool{}
	if n.kind == scalar || n.kind == list {
		i, name := firstField(e.Type(), key)
		if i < 0 || e.Field(i).Kind() != reflect.String || n.kind == list {
			d.refuse(n, "shape", n.kind.String()+" where a mapping belongs", fieldsOf(e.Type()).expect(), "", at)
			return
		}
		if key, _, colon := strings.Cut(n.text, ":"); colon && n.style == plain && slices.Contains(fieldsOf(e.Type()).names(), key) {
			d.refuse(n, "syntax", "a key without the space after its colon", key+": and the value", "", at)
			return
		}
		d.value(n, e.Field(i), at)
		said[name] = true
	}
	d.missing(n, e, said, at)
	d.complete(n, e, at)
}

// firstField returns the first field after the key.
func firstField(t reflect.Type, key int) (int, string) {
	if key+1 >= t.NumField() {
		return -1, ""
	}
	f := t.Field(key + 1)
	name, _, _ := strings.Cut(f.Tag.Get("yaml"), ",")
	return key + 1, name
}
