package andor

import (
	"strings"
	"testing"
)

// TestWrite compares both formats with the program worked out by hand for a
// problem whose two ops need each other's fact, with one way in.
func TestWrite(t *testing.T) {
	p := &Problem{Facts: 2, Goals: []int32{1}, Ops: []Op{
		{Cost: 3, Pre: []int32{1}, Add: []int32{0}},
		{Cost: 4, Pre: []int32{0}, Add: []int32{1}},
		{Cost: 5, Add: []int32{0}},
	}}
	var b strings.Builder
	if err := WriteLP(&b, p, "undo", "cover", "duct"); err != nil {
		t.Fatal(err)
	}
	const want = `\ x0 "undo"
\ x1 "cover"
\ x2 "duct"
Minimize
 cost:
 + 3 x0
 + 4 x1
 + 5 x2
 + 0 z0
 + 0 y0
 + 0 y1
 + 0 y2
 + 0 t0
 + 0 t1
Subject To
 r0: -1 y0 +1 x1 >= 0
 r1: -1 y1 +1 x0 +1 x2 >= 0
 r2: -1 y2 +1 z0 >= 0
 r3: +1 y0 -1 x0 >= 0
 r4: +1 y1 -1 x1 >= 0
 r5: +1 y0 -1 z0 >= 0
 r6: +1 y2 >= 1
 r7: -2 x0 +1 t1 -1 t0 >= -1
 r8: -2 x1 +1 t0 -1 t1 >= -1
Bounds
 0 <= x0 <= 1
 0 <= x1 <= 1
 0 <= x2 <= 1
 0 <= z0 <= 1
 0 <= y0 <= 1
 0 <= y1 <= 1
 0 <= y2 <= 1
 0 <= t0 <= 1
 0 <= t1 <= 1
Generals
 x0
 x1
 x2
 z0
End
`
	if b.String() != want {
		t.Errorf("written\n%s\nwant\n%s", b.String(), want)
	}
	b.Reset()
	if err := WriteMPS(&b, p); err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{"NAME", "ROWS", "COLUMNS", "RHS", "BOUNDS", "ENDATA", " G  r8", "    RHS       r7                  -1", " UP BND       t1                   1"} {
		if !strings.Contains(b.String(), line+"\n") && !strings.Contains(b.String(), line+" ") {
			t.Errorf("no line %q in\n%s", line, b.String())
		}
	}
	if err := WriteMPS(&b, &Problem{Goals: []int32{0}}); err == nil {
		t.Error("a malformed problem was written")
	}
}
