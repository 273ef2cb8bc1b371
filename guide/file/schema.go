package file

import (
	"bytes"
	"encoding"
	"encoding/json"
	"reflect"
	"slices"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/quantity"
)

// object is a part of a JSON Schema. Maps are written with sorted keys, so
// that the schema is always the same text.
type object map[string]any

// Schema returns the JSON Schema (draft 2020-12) of the files of a guide,
// generated from the types. It describes one file of a folder and therefore
// requires no top-level key. What a schema cannot say (names that must exist,
// the grammar of short forms beyond a pattern) is left to Read: the schema
// accepts every file that Read accepts.
func Schema() []byte { return SchemaOf("Guide, format 1", guide.Guide{}) }

// SchemaOf returns the JSON Schema of any document that Decode reads into the
// type of v.
func SchemaOf(title string, v any) []byte {
	t := reflect.TypeOf(v)
	s := schemer{defs: object{}}
	top := s.fields(t)
	delete(top, "required")
	if f, ok := top["properties"].(object)["format"]; ok && t == reflect.TypeFor[guide.Guide]() {
		f.(object)["const"] = guide.Format
	}
	top["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	top["title"] = title
	top["$defs"] = s.defs
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(top); err != nil {
		panic("file: schema cannot be written: " + err.Error()) // maps of strings always can
	}
	return b.Bytes()
}

// Patterns of texts. They are wider than the readers, never narrower.
const (
	idPattern    = `^\p{L}[\p{L}\p{M}\p{Nd}_-]*$`
	namesPattern = `^\s*\p{L}[\p{L}\p{M}\p{Nd}_-]*\s*(,\s*\p{L}[\p{L}\p{M}\p{Nd}_-]*\s*)*$`
	timePattern  = `^\s*[0-9]+(\.[0-9]+)?\s*(min|minutes?|h|hours?|s|seconds?|d|days?)?\s*$`
	valuePattern = `^\s*[-+]?[0-9.]+([eE][-+]?[0-9]+)?\s*[^0-9\s]?.*$`
	moneyPattern = `^\s*[0-9]+(\.[0-9]{1,2})?\s*$`
	textPattern  = `\S`
)

// lineForm describes the short form of a type.
type lineForm struct{ pattern, example string }

var lineForms = map[reflect.Type]lineForm{
	reflect.TypeFor[guide.Selector](): {`^[^;:]+$`, "LHD A"},
	reflect.TypeFor[guide.TaskID]():   {`^[^:]+:[^:]+$`, "replace:SE13"},
	reflect.TypeFor[guide.Way]():      {`^\s*\p{L}[^;]*(;[^;]+)*$`, "off from top; needs PN01, AR02; 10/14 min; seen; 2 hands"},
	reflect.TypeFor[guide.Need]():     {`^\s*\p{L}\S*(\s+off)?\s*$`, "PN01 off"},
	reflect.TypeFor[guide.Req]():      {`^[^;]+$`, "engine=cold"},
	reflect.TypeFor[guide.Use]():      {textPattern, "0.4 L coolant"},
	reflect.TypeFor[guide.Risk]():     {`[0-9]+\s+of\s+[0-9]+`, "trim tab breaks 3 of 11, 5 min, 12.00"},
	reflect.TypeFor[guide.Joint]():    {`^\s*[0-9]+\s+\S`, "3 x M6x25 T30 8.8 into aluminium, 9 N·m dry, crosswise"},
	reflect.TypeFor[guide.Stage]():    {`^\s*([-+0-9.]|to shoulder)`, "9 N·m"},
	reflect.TypeFor[guide.Shape]():    {`^\s*(box|cylinder|path)\s`, "box -150 -40 200 size 30 30 25"},
	reflect.TypeFor[guide.Point]():    {`^\s*[-0-9.]+\s+[-0-9.]+\s+[-0-9.]+\s*$`, "-150 -40 200"},
	reflect.TypeFor[guide.Wire]():     {`->`, "F14 -> X1-12; 1.4 m; 2.5 mm²; red-white"},
	reflect.TypeFor[guide.Clause]():   {textPattern, "coolant >= 80 °C"},
	reflect.TypeFor[guide.Limit]():    {textPattern, "12.4..12.8 V"},
	reflect.TypeFor[quantity.Value](): {valuePattern, "22 N·m"},
	reflect.TypeFor[money.Amount]():   {moneyPattern, "64.00"},
	reflect.TypeFor[money.PerHour]():  {moneyPattern, "84.00"},
}

// schemer collects the definitions of struct types.
type schemer struct {
	defs object
}

// of returns the schema of a type.
func (s *schemer) of(t reflect.Type) object {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	line, hasLine := lineForms[t]
	switch {
	case t == durationType:
		return object{"type": []string{"string", "number"}, "pattern": timePattern, "minimum": 0, "examples": []string{"4 min"}}
	case t == reflect.TypeFor[money.Amount]() || t == reflect.TypeFor[money.PerHour]():
		return object{"type": []string{"string", "number"}, "pattern": line.pattern, "minimum": 0, "examples": []string{line.example}}
	case t.Kind() == reflect.Struct && !hasLine || t.Kind() == reflect.Struct && len(fieldsOf(t).all) > 0:
		return s.ref(t)
	case hasLine && t.Kind() == reflect.Slice:
		return anyOf(lineSchema(line), s.slice(t))
	case hasLine:
		return object{"type": []string{"string", "number"}, "pattern": line.pattern, "examples": []string{line.example}}
	case reflect.PointerTo(t).Implements(reflect.TypeFor[encoding.TextUnmarshaler]()):
		return object{"type": []string{"string", "number"}}
	}
	return s.simple(t)
}

func lineSchema(l lineForm) object {
	return object{"type": "string", "pattern": l.pattern, "examples": []string{l.example}}
}

// simple returns the schema of strings, numbers, truth values and lists.
func (s *schemer) simple(t reflect.Type) object {
	if w, ok := reflect.Zero(t).Interface().(worded); ok {
		return object{"enum": w.Allowed()}
	}
	switch t.Kind() {
	case reflect.String:
		if _, ok := reflect.Zero(t).Interface().(checker); ok {
			return object{"type": "string", "pattern": idPattern, "maxLength": 64}
		}
		return object{"type": []string{"string", "number"}, "pattern": textPattern}
	case reflect.Bool:
		return object{"type": "boolean"}
	case reflect.Int:
		return object{"type": "integer", "minimum": 0}
	case reflect.Float64:
		return object{"type": "number"}
	case reflect.Array:
		return object{"type": "array", "items": s.of(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
	case reflect.Slice:
		return s.slice(t)
	}
	panic("file: no schema for " + t.String())
}

// slice returns the schema of a list or of a keyed mapping.
func (s *schemer) slice(t reflect.Type) object {
	elem := t.Elem()
	if key, value := keyField(elem); key >= 0 {
		return s.keyed(elem, key, value)
	}
	one := s.of(elem)
	forms := []object{{"type": "array", "items": one}, one}
	if slices.Contains(commaLists, elem) {
		forms = append(forms, object{"type": "string", "pattern": commaPattern(elem)})
	}
	return anyOf(forms...)
}

func commaPattern(elem reflect.Type) string {
	if elem == reflect.TypeFor[guide.ID]() {
		return namesPattern
	}
	return textPattern
}

// keyed returns the schema of a mapping from names to entries.
func (s *schemer) keyed(elem reflect.Type, key, value int) object {
	names := object{"pattern": textPattern}
	if elem.Field(key).Type == reflect.TypeFor[guide.ID]() {
		names = object{"pattern": idPattern, "maxLength": 64}
	}
	if value >= 0 {
		return object{"type": "object", "propertyNames": names, "additionalProperties": s.of(elem.Field(value).Type)}
	}
	entry := []object{s.of(elem)}
	first, need := firstMember(elem, key)
	if first != nil && len(need) == 0 {
		entry = append(entry, first)
	}
	mapping := object{"type": "object", "propertyNames": names}
	if !bareAllowed(elem) {
		mapping["additionalProperties"] = anyOf(entry...)
		return mapping
	}
	mapping["additionalProperties"] = anyOf(append(entry, object{"type": "null"})...)
	return anyOf(mapping, object{"type": "array", "items": anyOf(object{"type": "string"}, mapping)}, object{"type": "string", "pattern": namesPattern})
}

// firstMember returns the schema of the first field of an entry when it is
// text, and the names of the other fields that must be given.
func firstMember(t reflect.Type, key int) (object, []string) {
	i, name := firstField(t, key)
	if i < 0 || t.Field(i).Type.Kind() != reflect.String {
		return nil, nil
	}
	var need []string
	for _, f := range fieldsOf(t).all {
		if f.required && f.name != name {
			need = append(need, f.name)
		}
	}
	s := schemer{defs: object{}}
	return s.of(t.Field(i).Type), need
}

// bareAllowed reports whether an entry may be its name alone.
func bareAllowed(t reflect.Type) bool {
	return !slices.ContainsFunc(fieldsOf(t).all, func(f member) bool { return f.required })
}

// ref returns a reference to the definition of a struct, with its short form.
func (s *schemer) ref(t reflect.Type) object {
	if _, known := s.defs[t.Name()]; !known {
		s.defs[t.Name()] = true // ends the recursion; replaced below
		o := s.fields(t)
		if line, ok := lineForms[t]; ok {
			s.defs[t.Name()] = anyOf(lineSchema(line), o)
		} else {
			s.defs[t.Name()] = o
		}
	}
	return object{"$ref": "#/$defs/" + t.Name()}
}

// fields returns the schema of a struct written as a mapping.
func (s *schemer) fields(t reflect.Type) object {
	m := fieldsOf(t)
	properties, required := object{}, []string{}
	for _, f := range m.all {
		properties[f.name] = s.of(t.Field(f.index).Type)
		if f.required {
			required = append(required, f.name)
		}
	}
	o := object{"type": "object", "properties": properties, "additionalProperties": false}
	if m.shortKey == "" {
		o["required"] = required
		return o
	}
	line := lineSchema(lineForms[t])
	line["pattern"] = textPattern
	properties[m.shortKey] = line
	o["anyOf"] = []object{{"required": []string{m.shortKey}}, {"required": required}}
	return o
}

func anyOf(forms ...object) object {
	if len(forms) == 1 {
		return forms[0]
	}
	return object{"anyOf": forms}
}
