package pdf

import (
	"bytes"
	"testing"
	"time"
)

// sample draws something of everything.
func sample() *File {
	f := New(Info{Title: "Probe Ω", Subject: "s", Author: "Marrow Lane Motors", Language: "en", Made: time.Date(2026, 3, 16, 9, 30, 0, 0, time.UTC)})
	black, green := Black, Colour{200, 240, 200}
	tile := &Pattern{W: 10, H: 10, Parts: []Part{{Line(-2, 2, 2, -2), Paint{Stroke: &black, Width: .5}}, {Line(0, 10, 10, 0), Paint{Stroke: &black, Width: .5}}}}
	for _, size := range [][2]float64{{595.28, 841.89}, {612, 792}} {
		c := f.Page(size[0], size[1]).Canvas()
		c.Mark(40, "Section")
		c.Text(50, 60, Regular, 12, Black, "20 N·m dry, 90 °C, 10 kΩ ≥ 3 ± 0.5 äöüß ÄÖÜ 中 \U0001F527 жЖ")
		c.Halo(50, 90, Bold, 24, White, 3, "20 N·m")
		c.Text(50, 90, Bold, 24, Black, "20 N·m")
		c.Draw(Rect(50, 120, 100, 60), Paint{Fill: &green, FillAlpha: .5, Pattern: tile, Stroke: &black, Width: 1, Dash: []float64{3, 2}, Round: true})
		c.At(200, 120, 2).Clip(Rect(0, 0, 20, 20), func() { c.Draw(Line(0, 0, 500, 500), Paint{Stroke: &black, Width: 2}) })
	}
	return f
}

func written(t testing.TB, f *File) []byte {
	t.Helper()
	var b bytes.Buffer
	n, err := f.WriteTo(&b)
	if err != nil || n != int64(b.Len()) {
		t.Fatalf("WriteTo: %d of %d bytes, %v", n, b.Len(), err)
	}
	return b.Bytes()
}

func TestSameCallsGiveSameBytes(t *testing.T) {
	a, b := written(t, sample()), written(t, sample())
	if !bytes.Equal(a, b) {
		t.Fatal("two files from the same calls differ")
	}
	if !bytes.HasPrefix(a, []byte("%PDF-1.7")) || !bytes.HasSuffix(a, []byte("%%EOF\n")) {
		t.Errorf("no PDF: %q … %q", a[:10], a[len(a)-10:])
	}
}

// TestObjectsStandWhereTheTableSays walks the cross-reference table (ISO
// 32000-1, 7.5.4).
func TestObjectsStandWhereTheTableSays(t *testing.T) {
	data := written(t, sample())
	checkTable(t, data)
}

// TestSubsetIsSmall guards against embedding whole fonts.
func TestSubsetIsSmall(t *testing.T) {
	if n := len(written(t, sample())); n > 40_000 {
		t.Errorf("a page with a few words takes %d bytes; are whole fonts embedded?", n)
	}
}

// TestLettersHaveTheSignsOfTheTrade names the characters that papers need.
func TestLettersHaveTheSignsOfTheTrade(t *testing.T) {
	for _, face := range fonts() {
		for _, r := range "N·m°CΩ≥≤±×−–—…→←µ²³½äöüÄÖÜßéèçñøåæłżőş€£“”‘’„•√∞αβθφАЯя0123456789" {
			if _, ok := face.runes[r]; !ok {
				t.Errorf("%s has no %q", face.name, r)
			}
		}
		for r := '1'; r <= '9'; r++ {
			if face.advance(face.glyph(r)) != face.advance(face.glyph('0')) {
				t.Errorf("%s: figure %q is not as wide as 0; columns of numbers would not stand", face.name, r)
			}
		}
		if face.advance(face.glyph('0')) == 0 || face.runes['0'] == face.runes['O'] {
			t.Errorf("%s: 0 cannot be told from O", face.name)
		}
	}
}

func TestWidth(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       float64
	}{
		// hmtx of Go-Regular.ttf: every figure 1139 of 2048 units, the blank 569.
		{"figures", "2026", 4 * 1139.0 / 2048 * 10},
		{"a blank", " ", 569.0 / 2048 * 10},
		{"nothing", "", 0},
		{"characters without width", "\u200b\u00ad\x00", 0},
	} {
		if got := Width(Regular, 10, c.text); got != c.want {
			t.Errorf("%s: %q is %v wide, want %v", c.name, c.text, got, c.want)
		}
	}
	if Width(Bold, 10, "Plan") <= Width(Regular, 10, "Plan") {
		t.Error("bold letters are not wider than regular ones")
	}
	if !Shown('Ω') || !Shown('⌀') || Shown('中') {
		t.Error("Shown: Ω is there, ⌀ has a near one, 中 is missing")
	}
}

func TestEmptyFileHasAPage(t *testing.T) {
	if data := written(t, New(Info{})); !bytes.Contains(data, []byte("/Count 1")) {
		t.Error("a file without pages is no PDF that readers open")
	}
}
