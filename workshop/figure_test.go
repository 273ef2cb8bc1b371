package workshop_test

import (
	"strings"
	"testing"

	"elbowroom/guide/file"
	"elbowroom/workshop"
)

const withFigures = `format: 1
workshop: bench
name: Bench
currency: EUR
rate: 80.00
assumptions:
`

// TestFigures: figures of a workshop read and print back.
func TestFigures(t *testing.T) {
	text := withFigures + "  code-given: {seen: 41, of: 66, says: \"jobs with a proved fault, 2025\"}\n  check-leak: {low: 0.01, middle: 0.02, high: 0.05}\n  sign-leak: {of: 40}\n  touched: {low: 2, middle: 5, high: 9}\n"
	var w, again workshop.Workshop
	if _, list := file.Decode("shop.yaml", []byte(text), &w); len(list) > 0 {
		t.Fatal(list)
	}
	if len(w.Figures) != 4 || w.Figures[0].Seen != 41 || w.Figures[0].Of != 66 || w.Figures[1].Middle != 0.02 || !w.Figures[2].Counted() {
		t.Fatalf("%+v", w.Figures)
	}
	if _, list := file.Decode("again.yaml", file.Encode(w), &again); len(list) > 0 || len(again.Figures) != 4 || again.Figures[0] != w.Figures[0] {
		t.Errorf("printed and read again: %v %+v", list, again.Figures)
	}
}

// TestFiguresThatCannotBe are refused with their place.
func TestFiguresThatCannotBe(t *testing.T) {
	for _, c := range []struct{ name, line, want string }{
		{"no such figure", "code-givn: {seen: 1, of: 2}", "code-given"},
		{"more seen than there were", "code-given: {seen: 3, of: 2}", "not a count"},
		{"no number", "code-given: {says: often}", "no number is given"},
		{"both", "code-given: {seen: 1, of: 2, middle: 0.5}", "has its ends already"},
		{"not rising", "code-given: {low: 0.5, middle: 0.4, high: 0.6}", "do not rise"},
		{"above one", "code-given: {low: 0.5, middle: 0.7, high: 1.6}", "exceed"},
		{"a factor is not counted", "touched: {seen: 1, of: 2}", "is not counted"},
	} {
		var w workshop.Workshop
		_, list := file.Decode("shop.yaml", []byte(withFigures+"  "+c.line+"\n"), &w)
		if len(list) == 0 || !strings.Contains(list.Error(), c.want) || list[0].Pos.Line != 7 {
			t.Errorf("%s: %v", c.name, list)
		}
	}
}

// TestSchemaHasFigures: an editor offers them.
func TestSchemaHasFigures(t *testing.T) {
	if s := string(file.SchemaOf("Workshop, format 1", workshop.Workshop{})); !strings.Contains(s, `"assumptions"`) || !strings.Contains(s, `"seen"`) {
		t.Error("the schema of a workshop has no assumptions")
	}
}
