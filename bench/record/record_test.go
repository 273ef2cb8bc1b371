package main

import (
	"path/filepath"
	"testing"
)

// TestContestantsAgree lets every contestant read a small table, so that a
// comparison that compares nothing is noticed before a long run.
func TestContestantsAgree(t *testing.T) {
	file := filepath.Join(t.TempDir(), "table.csv")
	rows, _, err := generate(file, 3_000_000)
	if err != nil {
		t.Fatal(err)
	}
	var want []channel
	for _, c := range every() {
		found, err := c.run(file)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if want == nil {
			want = found
		}
		if err := same(want, found, rows); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	want[3].Most++
	if same(want, fresh(), rows) == nil {
		t.Error("a wrong result was accepted")
	}
}
