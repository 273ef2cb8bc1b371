package file

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// large returns a guide of n items, each with a shape, a joint and two ways
// that refer to another item.
func large(n int) fstest.MapFS {
	var b strings.Builder
	b.WriteString("format: 1\nguide: large\nplaces: {top: from above}\nitems:\n")
	for i := range n {
		fmt.Fprintf(&b, `  IT%05d:
    name: Item number %d, left of the rear bracket
    at: box %d -40 200 size 30 30 25
    joints:
      - 1 x M8x30 T40 8.8 into aluminium, 20 N·m dry, reusable
    ways:
      - off from top; needs IT%05d; 10/14 min; seen; 2 hands
      - replace from top; needs IT%05d off; 4 min; seen; 2 hands
`, i, i, i, (i+1)%n, (i*7)%n)
	}
	return fstest.MapFS{"g.yaml": {Data: []byte(b.String())}}
}

// BenchmarkReadLarge reads the largest guide that the format promises to read
// within seconds.
func BenchmarkReadLarge(b *testing.B) {
	const items = 50_000
	fsys := large(items)
	b.SetBytes(int64(len(fsys["g.yaml"].Data)))
	b.ReportAllocs()
	for b.Loop() {
		g, _, list := Read(fsys, ".")
		if g == nil || len(g.Items) != items || len(g.Items[items-1].Ways) != 2 {
			b.Fatal(list)
		}
	}
}

func BenchmarkPrintLarge(b *testing.B) {
	g, _, list := Read(large(5000), ".")
	if g == nil {
		b.Fatal(list)
	}
	for b.Loop() {
		if text := Print(g); len(text) < 1_000_000 {
			b.Fatalf("only %d bytes printed", len(text))
		}
	}
}
