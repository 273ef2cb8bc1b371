package app_test

import (
	"strings"
	"testing"
)

// TestDemoKeepsItsPromises runs every test that the demonstration's guide
// carries about itself, plans and readings.
func TestDemoKeepsItsPromises(t *testing.T) {
	results, err := open(t).TestGuide("demo")
	if err != nil {
		t.Fatal(err)
	}
	readings := 0
	for _, r := range results {
		if !r.Passed {
			t.Errorf("%s: %s", r.ID, r.Says)
		}
		if strings.Contains(r.Says, "conforming") || strings.Contains(r.Says, "not comparable") {
			readings++
		}
	}
	if len(results) < 60 || readings != 15 {
		t.Errorf("%d tests, %d readings among them", len(results), readings)
	}
}
