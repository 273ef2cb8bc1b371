package codes_test

import (
	"testing"

	"elbowroom/codes"
	"elbowroom/demo"
)

// TestFamiliesOfAGuide reads every family that the demonstration guide writes
// beside its faults, and finds it again as it stands there.
func TestFamiliesOfAGuide(t *testing.T) {
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, f := range g.Faults {
		for _, text := range f.Codes {
			seen++
			r, err := codes.ParseRange(text)
			if err != nil || r.String() != text {
				t.Errorf("fault %s: %q reads as %s, %v", f.ID, text, r, err)
			}
		}
	}
	if seen < 40 {
		t.Fatalf("only %d families in the guide", seen)
	}
}
