package transcript

import (
	"strings"
	"testing"
)

// A line of any length is read in one go, and its end still has its place.
func TestLongLine(t *testing.T) {
	text := strings.Repeat("zwölf bolts ", 100_000)
	got, list := Read("a.txt", []byte(text))
	if got == nil {
		t.Fatal(list)
	}
	c := &got.Cues[0]
	last := strings.LastIndex(c.Text, "bolts")
	if at := c.At(last); at.Line != 1 || at.Col != 12*99_999+7 {
		t.Errorf("the last word stands at %s", at)
	}
}
