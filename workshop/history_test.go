package workshop_test

import (
	"strings"
	"testing"
	"time"

	"elbowroom/guide/file"
	"elbowroom/quantity"
	"elbowroom/workshop"
)

const history = `format: 1
workshop: bench
name: Bench
currency: EUR
rate: 80.00
consumables: 2.40
vat: 20
day: 9 h
times:
  - {what: off AR04 from top, took: 27 min, by: veld, job: J-113, date: 2025-11-03}
lives:
  - {of: ignition-coil, age: 92000 km, failed: true, count: 2, note: cracked}
`

// TestHistory: measured times, lives of parts, consumables and hours read, and
// print back to the same text.
func TestHistory(t *testing.T) {
	var w workshop.Workshop
	if _, list := file.Decode("shop.yaml", []byte(history), &w); len(list) > 0 {
		t.Fatal(list)
	}
	wantTime := workshop.Timed{What: "off AR04 from top", Took: 27 * time.Minute, By: "veld", Job: "J-113", Date: "2025-11-03"}
	wantLife := workshop.Lived{Of: "ignition-coil", Age: quantity.Of(92000, "km"), Failed: true, Count: 2, Note: "cracked"}
	if w.Small != 240 || w.Day != 9*time.Hour || len(w.Times) != 1 || w.Times[0] != wantTime || len(w.Lives) != 1 || w.Lives[0] != wantLife {
		t.Fatalf("%+v", w)
	}
	var again workshop.Workshop
	if _, list := file.Decode("again.yaml", file.Encode(w), &again); len(list) > 0 {
		t.Fatal(list)
	}
	if again.Times[0] != wantTime || again.Lives[0] != wantLife || again.Day != w.Day || again.Small != w.Small {
		t.Errorf("printed and read again: %+v", again)
	}
	if schema := string(file.SchemaOf("Workshop", workshop.Workshop{})); !strings.Contains(schema, `"times"`) || !strings.Contains(schema, `"lives"`) {
		t.Error("the schema knows no history")
	}
}

// TestHistoryErrors: what cannot be so is said with its place.
func TestHistoryErrors(t *testing.T) {
	for _, c := range []struct{ old, line, says string }{
		{"took: 27 min", "took: 0 min", "not a time that something took"},
		{"date: 2025-11-03", "date: last week", "not a day"},
		{"age: 92000 km", "age: 3 bar", "not the age of a part"},
		{"age: 92000 km", "age: -5 km", "not the age of a part"},
		{"vat: 20", "vat: 120", "not a rate of tax"},
		{"day: 9 h", "day: 30 h", "not the hours of a working day"},
	} {
		_, list := file.Decode("shop.yaml", []byte(strings.Replace(history, c.old, c.line, 1)), &workshop.Workshop{})
		if len(list) != 1 || !strings.Contains(list[0].Says, c.says) || !strings.HasPrefix(list[0].String(), "shop.yaml:") {
			t.Errorf("%s: %v", c.line, list)
		}
	}
}
