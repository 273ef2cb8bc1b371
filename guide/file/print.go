package file

import (
	"bytes"
	"reflect"
	"slices"
	"strings"

	"elbowroom/guide"
)

// Width is the number of columns that printed lines keep to where the text
// can be divided.
const Width = 110

// Print returns a guide as one file in its canonical form: fields in a fixed
// order, entries in the order of the guide, short forms and brackets where
// they fit on a line. Read returns an equal guide, provided that the guide
// could have been read at all (names that are names, no control characters in
// texts, no NaN).
func Print(g *guide.Guide) []byte {
	return document(sections(g, func(string) bool { return true }))
}

// folder tells which top-level keys PrintFolder puts into which file. What is
// not named here goes to guide.yaml.
var folder = []struct {
	name string
	keys []string
}{
	{"conditions.yaml", []string{"conditions"}},
	{"supplies.yaml", []string{"fluids", "tools", "parts"}},
	{"cautions.yaml", []string{"cautions"}},
	{"items.yaml", []string{"kinds", "items"}},
	{"circuits.yaml", []string{"laws", "circuits"}},
	{"checks.yaml", []string{"checks"}},
	{"faults.yaml", []string{"faults"}},
	{"notes.yaml", []string{"notes"}},
	{"tests.yaml", []string{"tests"}},
}

// PrintFolder returns a guide as the files of a folder, by name.
func PrintFolder(g *guide.Guide) map[string][]byte {
	files := map[string][]byte{}
	var taken []string
	for _, f := range folder {
		taken = append(taken, f.keys...)
		s := sections(g, func(key string) bool { return slices.Contains(f.keys, key) })
		if len(s) > 0 {
			files[f.name] = document(s)
		}
	}
	files["guide.yaml"] = document(sections(g, func(key string) bool { return !slices.Contains(taken, key) }))
	return files
}

// Encode returns any document that Decode reads, in canonical form.
func Encode(v any) []byte {
	r := reflect.Indirect(reflect.ValueOf(v))
	return document(topLines(r, func(string) bool { return true }))
}

// sections returns the lines of each wanted top-level key.
func sections(g *guide.Guide, wanted func(string) bool) [][]string {
	return topLines(reflect.ValueOf(g).Elem(), wanted)
}

func topLines(v reflect.Value, wanted func(string) bool) [][]string {
	var out [][]string
	for _, f := range fieldsOf(v.Type()).all {
		if fv := v.Field(f.index); wanted(f.name) && (f.required || !void(fv)) {
			out = append(out, fieldLines(f.name, fv, 0))
		}
	}
	return out
}

// document joins sections; an empty line parts those of several lines.
func document(sections [][]string) []byte {
	var b bytes.Buffer
	for i, s := range sections {
		if i > 0 && (len(s) > 1 || len(sections[i-1]) > 1) {
			b.WriteByte('\n')
		}
		for _, l := range s {
			b.WriteString(l)
			b.WriteByte('\n')
		}
	}
	return b.Bytes()
}

// void reports whether an optional field is left out.
func void(v reflect.Value) bool {
	return v.IsZero() || v.Kind() == reflect.Slice && v.Len() == 0
}

// fieldLines returns "name: value", on one line or several. The indentation
// only counts for the width.
func fieldLines(name string, v reflect.Value, depth int) []string {
	head := name + ":"
	if s, ok := inline(v, false); ok && depth+width(head)+1+width(s) <= Width {
		return []string{head + " " + s}
	}
	first, rest := blockLines(v, depth+2)
	if first != "" {
		head += " " + first
	}
	return append([]string{head}, indented(rest)...)
}

func indented(lines []string) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		if l != "" {
			out[i] = "  " + l
		}
	}
	return out
}

// blockLines returns a value over several lines, and what stands on the line
// of its key, if anything.
func blockLines(v reflect.Value, depth int) (first string, lines []string) {
	if v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	if v.Kind() == reflect.Struct {
		if s, rest, ok := divided(v, depth); ok {
			return "", append(fieldLines(shortKey(v.Type()), reflect.ValueOf(s), depth), structLines(v, depth, rest)...)
		}
	}
	switch {
	case v.Kind() == reflect.String:
		return blockText(v.String(), depth)
	case v.Kind() == reflect.Slice && isKeyed(v.Type()):
		return "", keyedLines(v, depth)
	case v.Kind() == reflect.Slice && !hasShort(v.Type()):
		return "", listLines(v, depth)
	case v.Kind() == reflect.Struct && len(fieldsOf(v.Type()).all) > 0:
		return "", structLines(v, depth, nil)
	}
	s, _ := inline(v, false)
	return s, nil
}

// structLines returns the fields of a struct, or those named.
func structLines(v reflect.Value, depth int, only []string) []string {
	var out []string
	for _, f := range fieldsOf(v.Type()).all {
		fv := v.Field(f.index)
		if only != nil && !slices.Contains(only, f.name) || void(fv) && (!f.required || only != nil) {
			continue
		}
		out = append(out, fieldLines(f.name, fv, depth)...)
	}
	return out
}

func keyedLines(v reflect.Value, depth int) []string {
	key, value := keyField(v.Type().Elem())
	var out []string
	for i := range v.Len() {
		e := v.Index(i)
		switch {
		case value >= 0:
			out = append(out, fieldLines(keyText(e.Field(key).String()), e.Field(value), depth)...)
		default:
			out = append(out, fieldLines(keyText(e.Field(key).String()), e, depth)...)
		}
	}
	return out
}

func listLines(v reflect.Value, depth int) []string {
	var out []string
	for i := range v.Len() {
		e := v.Index(i)
		if s, ok := inline(e, false); ok && depth+2+width(s) <= Width {
			out = append(out, "- "+s)
			continue
		}
		first, lines := blockLines(e, depth+2)
		lines = indented(lines)
		if first != "" {
			out = append(out, "- "+first)
		} else if len(lines) > 0 {
			lines[0] = "- " + lines[0][2:]
		}
		out = append(out, lines...)
	}
	return out
}

// short is what types with a short form have.
type short interface{ Short() (string, bool) }

func hasShort(t reflect.Type) bool {
	_, ok := reflect.Zero(t).Interface().(short)
	return ok
}

func isKeyed(t reflect.Type) bool {
	key, _ := keyField(t.Elem())
	return key >= 0 && !hasShort(t)
}

func shortKey(t reflect.Type) string { return fieldsOf(t).shortKey }

// shortText returns the short form when it says everything. A limit in words
// reads better as a mapping.
func shortText(v reflect.Value) (string, bool) {
	s, ok := v.Interface().(short)
	if !ok {
		return "", false
	}
	if m, is := s.(guide.Limit); is && m.Words != "" {
		return "", false
	}
	return s.Short()
}

// divided tells how to write a value as its short form and further keys: the
// line, and the names of the fields that stand beside it. It moves as few
// fields as needed.
func divided(v reflect.Value, depth int) (line string, beside []string, ok bool) {
	m := fieldsOf(v.Type())
	if m.shortKey == "" {
		return "", nil, false
	}
	rest := reflect.New(v.Type()).Elem()
	rest.Set(v)
	for i := len(m.all) - 1; i >= 0; i-- {
		f := m.all[i]
		if s, whole := shortText(rest); whole && (depth+width(m.shortKey)+2+width(s) <= Width || f.required) {
			return s, beside, len(beside) > 0
		}
		if !f.required && !void(v.Field(f.index)) && !inHead(v.Type(), f.name) {
			rest.Field(f.index).SetZero()
			beside = append(beside, f.name)
		}
	}
	s, whole := shortText(rest)
	return s, beside, whole && len(beside) > 0
}

// inHead reports fields that stay in the line: without them it would read
// badly or mean something else.
func inHead(t reflect.Type, name string) bool {
	switch t {
	case reflect.TypeFor[guide.Way]():
		return slices.Contains([]string{"do", "from", "out", "back", "for", "sight", "hands", "people"}, name)
	case reflect.TypeFor[guide.Joint]():
		return !slices.Contains([]string{"note", "was", "source", "part", "for", "id", "pattern"}, name)
	case reflect.TypeFor[guide.Limit]():
		return name != "when"
	}
	return false
}

// inline returns a value on one line; false when it is better or only
// possible over several.
func inline(v reflect.Value, flow bool) (string, bool) {
	if v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	if s, ok := scalarText(v, flow); ok {
		return s, true
	}
	switch v.Kind() {
	case reflect.String:
		return inlineText(v.String(), flow)
	case reflect.Slice:
		if isKeyed(v.Type()) {
			return inlineKeyed(v, flow)
		}
		return inlineList(v, flow)
	case reflect.Array:
		return bracketed(v)
	case reflect.Struct:
		return inlineStruct(v)
	}
	return "", false
}

// inlineList returns "[a, b]", or the only element of a list alone.
func inlineList(v reflect.Value, flow bool) (string, bool) {
	elem := v.Type().Elem()
	if slices.Contains(alwaysLines, elem) {
		return "", false
	}
	if v.Len() == 1 && elem.Kind() != reflect.Array {
		if s, ok := scalarText(v.Index(0), flow); ok && !(slices.Contains(commaLists, elem) && strings.Contains(s, ",")) {
			return s, true
		}
		if elem.Kind() == reflect.String {
			return inlineText(v.Index(0).String(), flow)
		}
	}
	return bracketed(v)
}

// alwaysLines are the types of which every list entry has its own line.
var alwaysLines = []reflect.Type{
	reflect.TypeFor[guide.Way](), reflect.TypeFor[guide.Joint](), reflect.TypeFor[guide.Wire](),
	reflect.TypeFor[guide.Note](), reflect.TypeFor[guide.Change](), reflect.TypeFor[guide.Was](),
}

func bracketed(v reflect.Value) (string, bool) {
	words := make([]string, v.Len())
	for i := range words {
		s, ok := inline(v.Index(i), true)
		if !ok {
			return "", false
		}
		words[i] = s
	}
	return "[" + strings.Join(words, ", ") + "]", true
}

func inlineStruct(v reflect.Value) (string, bool) {
	if s, ok := onlyFirst(v); ok {
		return s, true
	}
	var words []string
	for _, f := range fieldsOf(v.Type()).all {
		fv := v.Field(f.index)
		if void(fv) && !f.required {
			continue
		}
		s, ok := inline(fv, true)
		if !ok {
			return "", false
		}
		words = append(words, f.name+": "+s)
	}
	return "{" + strings.Join(words, ", ") + "}", true
}

// onlyFirst returns the text of the first field of an entry that has nothing
// else to say.
func onlyFirst(v reflect.Value) (string, bool) {
	key, value := keyField(v.Type())
	if key < 0 || value >= 0 {
		return "", false
	}
	i, name := firstField(v.Type(), key)
	if i < 0 || v.Field(i).Kind() != reflect.String || v.Field(i).String() == "" {
		return "", false
	}
	for _, f := range fieldsOf(v.Type()).all {
		if f.name != name && (f.required || !void(v.Field(f.index))) {
			return "", false
		}
	}
	return inlineText(v.Field(i).String(), true)
}

// inlineKeyed returns "[cold, hot]" for bare names, else "{a: …, b: …}".
func inlineKeyed(v reflect.Value, flow bool) (string, bool) {
	key, value := keyField(v.Type().Elem())
	bare := true
	var words, names []string
	for i := range v.Len() {
		e := v.Index(i)
		name := keyText(e.Field(key).String())
		names = append(names, name)
		if value >= 0 {
			e = e.Field(value)
			bare = false
		}
		s, ok := inline(e, true)
		if !ok {
			return "", false
		}
		bare = bare && s == "{}"
		words = append(words, name+": "+s)
	}
	if bare {
		return "[" + strings.Join(names, ", ") + "]", true
	}
	if !flow && value < 0 && strings.Contains(strings.Join(words, ""), "{") {
		return "", false
	}
	return "{" + strings.Join(words, ", ") + "}", true
}
