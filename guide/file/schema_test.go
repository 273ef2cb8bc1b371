package file

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"elbowroom/internal/corpus"
)

const schemaFile = "guide.schema.json"

func TestCommittedSchemaIsFresh(t *testing.T) {
	if corpus.Rewriting() {
		if err := os.WriteFile(schemaFile, Schema(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(corpus.Read(t, schemaFile), Schema()) {
		t.Errorf("%s is not what Schema returns; run the test with -rewrite and look at the difference", schemaFile)
	}
}

// compiled returns the committed schema, ready to validate.
func compiled(t testing.TB) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(corpus.Read(t, schemaFile)))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	c.AssertFormat()
	if err := c.AddResource("guide.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("guide.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// validate reads a text as an editor would, with another reader than ours,
// and validates it.
func validate(s *jsonschema.Schema, text []byte) error {
	var v any
	if err := yaml.Unmarshal(text, &v); err != nil {
		return err
	}
	data, err := json.Marshal(v)
	if err != nil {
		return err
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		return err
	}
	return s.Validate(doc)
}

func TestSamplesFitTheSchema(t *testing.T) {
	s := compiled(t)
	for name, text := range samples(t) {
		if err := validate(s, text); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestSchemaRefuses names what the schema alone must catch, so that an editor
// shows it while a person types.
func TestSchemaRefuses(t *testing.T) {
	s := compiled(t)
	for name, text := range map[string]string{
		"misspelt top-level key":      "itmes: {}",
		"misspelt key of an item":     "items: {X1: {nmae: Bolt}}",
		"item without a name":         "items: {X1: {side: left}}",
		"name that is no name":        "items: {1X: {name: Bolt}}",
		"unknown class":               "items: {X1: {name: Bolt, class: senser}}",
		"truth value that is a word":  "tools: {puller: {name: Puller, special: yes}}",
		"negative lead time":          "parts: {bolt: {name: Bolt, lead-days: -1}}",
		"price with its currency":     "parts: {bolt: {name: Bolt, price: 12 EUR}}",
		"minutes in weeks":            "checks: {T1: {name: a, at: b, minutes: 2 weeks}}",
		"text where a mapping stands": "circuits: {c: feed}",
		"joint without a count":       "items: {X1: {name: Bolt, joints: [M6 T30]}}",
		"shape that is none":          "items: {X1: {name: Bolt, at: ball 1 2 3}}",
		"list of the wrong length":    "laws: {l: {form: table, of: a, from: b, points: [[1, 2, 3]]}}",
		"risk without its count":      "items: {X1: {name: Bolt, ways: [{do: off, out: 1, back: 1, risks: [tab breaks]}]}}",
		"version to come":             "format: 2",
	} {
		if err := validate(s, []byte(text)); err == nil {
			t.Errorf("%s: the schema accepts %s", name, text)
		} else if !strings.Contains(err.Error(), "at '") {
			t.Errorf("%s: refused for another reason than the schema: %v", name, err)
		}
	}
}
