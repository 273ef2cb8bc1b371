package pdf

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"testing"
)

var (
	startxref = regexp.MustCompile(`startxref\n(\d+)\n%%EOF\n$`)
	entry     = regexp.MustCompile(`(?m)^(\d{10}) 00000 n $`)
)

// checkTable checks that every object stands at the offset that the
// cross-reference table gives.
func checkTable(t testing.TB, data []byte) {
	t.Helper()
	m := startxref.FindSubmatch(data)
	if m == nil {
		t.Fatal("no startxref at the end")
	}
	at, _ := strconv.Atoi(string(m[1]))
	if !bytes.HasPrefix(data[at:], []byte("xref\n")) {
		t.Fatalf("no table of objects at %d", at)
	}
	list := entry.FindAllSubmatch(data[at:], -1)
	if len(list) < 5 {
		t.Fatalf("only %d objects", len(list))
	}
	for i, e := range list {
		off, _ := strconv.Atoi(string(e[1]))
		if want := fmt.Sprintf("%d 0 obj\n", i+1); !bytes.HasPrefix(data[off:], []byte(want)) {
			t.Errorf("object %d does not stand at %d: %q", i+1, off, data[off:off+12])
		}
	}
}

// FuzzDraw draws any text and any numbers: the file is whole and the same twice.
func FuzzDraw(f *testing.F) {
	f.Add("20 N·m", 10.0, 10.0, 1.0)
	f.Add("\x00\xff\u200f中\U0010FFFF", math.NaN(), math.Inf(1), -1e300)
	f.Add("", 0.0, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, text string, x, y, scale float64) {
		draw := func() []byte {
			file := New(Info{Title: text, Author: text})
			c := file.Page(300, 300).Canvas().At(x, y, scale)
			c.Mark(y, text)
			c.Text(x, y, Bold, scale, Black, text)
			c.Halo(x, y, Regular, scale, White, x, text)
			black := Black
			part := Part{Rect(x, y, scale, x), Paint{Stroke: &black, Width: y}}
			c.Draw(Rect(x, y, scale, x), Paint{Fill: &black, FillAlpha: x, StrokeAlpha: y, Pattern: &Pattern{x, y, []Part{part}}, Stroke: &black, Width: scale, Dash: []float64{x, y}})
			c.Clip([]Segment{{Op: 'Z'}, {Op: 'C', P: [3]Point{{x, y}, {y, x}, {scale, x}}}}, func() { c.Draw([]Segment{{Op: 'Z'}}, part.Paint) })
			return written(t, file)
		}
		a := draw()
		checkTable(t, a)
		if !bytes.Equal(a, draw()) {
			t.Error("not the same bytes twice")
		}
		if w := Width(Regular, 10, text); w < 0 || math.IsNaN(w) {
			t.Errorf("width %v", w)
		}
	})
}
