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

const torqueShop = `format: 1
workshop: bench
name: Bench
currency: EUR
rate: 80.00
tools:
  small: {name: small, lowest: 5 N·m, highest: 25 N·m, mark: 0.5 N·m, arm: 26 cm, due: 2026-10-14}
  pounds: {name: pounds, lowest: 10 lbf·ft, highest: 80 lbf·ft, deviation: 3}
  gauge: {name: gauge, lowest: 0 bar, highest: 10 bar}
  foot: {name: foot, drive: hex 17, reach: 34 mm}
`

// TestWrenches: a tool whose range is a torque is a torque wrench.
func TestWrenches(t *testing.T) {
	var w workshop.Workshop
	if _, list := file.Decode("shop.yaml", []byte(torqueShop), &w); len(list) > 0 {
		t.Fatal(list)
	}
	got := w.Wrenches()
	if len(got) != 2 || got[0].Arm != 260 || got[0].Mark != quantity.Of(0.5, "N·m") || got[0].Permissible() != 0.04 || got[1].Permissible() != 0.03 {
		t.Errorf("%+v", got)
	}
	tool, a := w.Adapter("hex 17")
	if tool == nil || tool.ID != "foot" || a.Reach != 34 {
		t.Errorf("%v %v", tool, a)
	}
	for _, drive := range []string{"hex 19", ""} {
		if tool, _ := w.Adapter(drive); tool != nil {
			t.Errorf("an adapter for %q: %s", drive, tool.ID)
		}
	}
}

// TestToolErrors: what cannot be so of a tool is said with its place.
func TestToolErrors(t *testing.T) {
	for _, c := range []struct{ line, says string }{
		{"mark: 3 V", "not the distance of two marks"},
		{"mark: 0 N·m", "not the distance of two marks"},
		{"arm: 3 V", "not a length"},
		{"reach: 0 mm", "not a length"},
		{"deviation: -4", "not a permissible deviation"},
		{"due: next year", "not a day"},
		{"due: 2026-02-30", "not a day"},
	} {
		text := strings.Replace(torqueShop, "drive: hex 17, reach: 34 mm", c.line, 1)
		_, list := file.Decode("shop.yaml", []byte(text), &workshop.Workshop{})
		if len(list) != 1 || !strings.HasPrefix(list[0].String(), "shop.yaml:10:") || !strings.Contains(list[0].Says, c.says) {
			t.Errorf("%s: %v", c.line, list)
		}
	}
}
