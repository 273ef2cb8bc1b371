package workshop_test

import (
	"strings"
	"testing"

	"elbowroom/guide/file"
	"elbowroom/quantity"
	"elbowroom/reading"
	"elbowroom/workshop"
)

const shop = `format: 1
workshop: bench
name: Bench
currency: EUR
rate: 80.00
tools:
  meter:
    name: meter
    is: multimeter
    measures:
      - 0..600 Ω ± (0.5 % + 3 x 0.1 Ω)
      - {lowest: 0 V, highest: 60 V, percent: 0.5, digits: 3, step: 0.01 V}
    leads: 0.2 Ω
    due: 2026-05-01
  bridge: {name: bridge, is: low-ohm-meter, four-wire: true, measures: "0..2 Ω, standard uncertainty 0.0005 Ω"}
  hammer: {name: hammer}
`

// TestInstruments: ranges read as a line and as a mapping, and what measures
// nothing is no instrument.
func TestInstruments(t *testing.T) {
	var w workshop.Workshop
	if _, list := file.Decode("shop.yaml", []byte(shop), &w); len(list) > 0 {
		t.Fatal(list)
	}
	got := w.Instruments()
	if len(got) != 2 || got[0].Name != "meter" || got[0].Leads != quantity.Of(0.2, "Ω") || got[0].Due != "2026-05-01" || !got[1].FourWire {
		t.Fatalf("%+v", got)
	}
	want := reading.Range{Lowest: quantity.Of(0, "V"), Highest: quantity.Of(60, "V"), Percent: 0.5, Digits: 3, Step: quantity.Of(0.01, "V")}
	if len(got[0].Ranges) != 2 || got[0].Ranges[1] != want || got[1].Ranges[0].Standard != quantity.Of(0.0005, "Ω") {
		t.Errorf("%+v", got[0].Ranges)
	}
}

// TestRangeErrors: what is wrong with a range is said with its place.
func TestRangeErrors(t *testing.T) {
	for _, c := range []struct{ line, place, says string }{
		{"0..600 Ω ± 3 V", "shop.yaml:11:9", "of another kind than the range"},
		{"600 Ω", "shop.yaml:11:9", "not a range of measurement"},
		{"{lowest: 0 V, highest: 60 V, digits: 3}", "shop.yaml:11:9", "digits without the step"},
		{"{lowest: 5 V, highest: 1 V}", "shop.yaml:11:9", "the range is empty"},
	} {
		text := strings.Replace(shop, "0..600 Ω ± (0.5 % + 3 x 0.1 Ω)", c.line, 1)
		_, list := file.Decode("shop.yaml", []byte(text), &workshop.Workshop{})
		if len(list) != 1 || !strings.HasPrefix(list[0].String(), c.place) || !strings.Contains(list[0].Says, c.says) {
			t.Errorf("%s: %v", c.line, list)
		}
	}
}
