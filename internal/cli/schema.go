package cli

import (
	"encoding"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"elbowroom/span"
)

// answers are the types of what the commands print as JSON.
var answers = map[string]any{
	"plan": planAnswer{}, "reach": reachAnswer{}, "quote": quoteAnswer{}, "where": whereAnswer{}, "vet": vetAnswer{}, "test": testAnswer{},
	"version": versionAnswer{}, "error": failure{}, "serve": serveAnswer{}, "backup": copyAnswer{}, "restore": copyAnswer{}, "guide": guideAnswer{}, "rules": rulesAnswer{},
	"completion": completionAnswer{}, "export": exportAnswer{},
	"judge": judgeAnswer{}, "codes": codesAnswer{}, "code": codeAnswer{}, "suspects": suspectsAnswer{}, "next": nextAnswer{}, "circuit": circuitAnswer{},
	"capture": captureAnswer{}, "torque": torqueAnswer{}, "paper": paperAnswer{}, "thread": threadAnswer{},
}

// answerNames lists the names of answers in order.
func answerNames() []string {
	var names []string
	for name := range answers {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// schemaCmd describes the JSON of a command.
type schemaCmd struct {
	Of string `arg:"" optional:"" default:"plan" name:"of" help:"Whose JSON: plan, reach, quote, where, judge, codes (code for one that is explained), capture, suspects, next, torque (thread for a bare one), paper, circuit, vet, test, guide, rules, serve, completion, export, version, or error (what stands on standard error)."`
}

// Run prints a JSON Schema.
func (c *schemaCmd) Run(r *run) error {
	v, ok := answers[c.Of]
	if !ok {
		return fmt.Errorf("%w: no JSON is called %q; known: %s", errUsage, c.Of, strings.Join(answerNames(), ", "))
	}
	return r.json(schemaOf(c.Of, v))
}

// schema is the part of JSON Schema 2020-12 that answers need.
type schema struct {
	Dialect     string             `json:"$schema,omitempty"`
	Title       string             `json:"title,omitempty"`
	Description string             `json:"description,omitempty"`
	Type        string             `json:"type,omitempty"`
	Properties  map[string]*schema `json:"properties,omitempty"`
	Required    []string           `json:"required,omitempty"`
	Additional  *bool              `json:"additionalProperties,omitempty"`
	Items       *schema            `json:"items,omitempty"`
}

func schemaOf(name string, v any) *schema {
	s := describe(reflect.TypeOf(v))
	s.Dialect = "https://json-schema.org/draft/2020-12/schema"
	s.Title = "elbowroom " + name + " --json"
	return s
}

var textual = reflect.TypeFor[encoding.TextMarshaler]()

// describe turns a type into its schema. Structs list every field with what
// its says tag tells; fields without omitempty are required.
func describe(t reflect.Type) *schema {
	switch {
	case t == reflect.TypeFor[price]():
		return &schema{Type: "number"}
	case t.Implements(textual), t == reflect.TypeFor[span.Severity]():
		return &schema{Type: "string"}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return describe(t.Elem())
	case reflect.String:
		return &schema{Type: "string"}
	case reflect.Bool:
		return &schema{Type: "boolean"}
	case reflect.Int, reflect.Int64:
		return &schema{Type: "integer"}
	case reflect.Float64:
		return &schema{Type: "number"}
	case reflect.Slice:
		return &schema{Type: "array", Items: describe(t.Elem())}
	case reflect.Struct:
		return describeStruct(t)
	}
	panic("cli: no schema for " + t.String())
}

func describeStruct(t reflect.Type) *schema {
	closed := false
	s := &schema{Type: "object", Properties: map[string]*schema{}, Additional: &closed}
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "" || name == "-" {
			continue
		}
		p := describe(f.Type)
		p.Description = f.Tag.Get("says")
		s.Properties[name] = p
		if !strings.Contains(options, "omitempty") {
			s.Required = append(s.Required, name)
		}
	}
	return s
}
