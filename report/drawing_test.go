package report

import (
	"errors"
	"math"
	"strings"
	"testing"

	"elbowroom/report/pdf"
)

func TestParsePath(t *testing.T) {
	for _, c := range []struct {
		name string
		in   Path
		want Path
	}{
		// The commands of SVG 1.1, section 8.3, each in both cases.
		{"lines", "M10 10L20 20l5-5H3v2h1V0z", "M10 10L20 20L25 15L3 15L3 17L4 17L4 0Z"},
		{"further points of a move are lines", "m1 1 2 2 3 3", "M1 1L3 3L6 6"},
		{"numbers without blanks", "M.5.5L1-1e1", "M0.5 0.5L1 -10"},
		{"curves", "M0 0c1 1 2 1 3 0s2-1 3 0", "M0 0C1 1 2 1 3 0C4 -1 5 -1 6 0"},
		{"a quadratic curve is a cubic one", "M0 0Q3 3 6 0", "M0 0C2 2 4 2 6 0"},
		{"and its smooth follower", "M0 0Q3 3 6 0T12 0", "M0 0C2 2 4 2 6 0C8 -2 10 -2 12 0"},
		{"an arc of no radius is a line", "M0 0A0 5 0 0 1 4 4", "M0 0L4 4"},
		{"after Z the current point is the start", "M1 1L2 2Zl1 0", "M1 1L2 2ZL2 1"},
		{"nothing", "", ""},
	} {
		got, err := ParsePath(c.in)
		if err != nil || NewPath(got) != c.want {
			t.Errorf("%s: %q gives %q, %v, want %q", c.name, c.in, NewPath(got), err, c.want)
		}
	}
	for _, bad := range []Path{"L1 1", "M1", "M1 1X", "M1 1A1 1 0 2 0 3 3", "M1e999 1", "5 5", "M1 1Z2"} {
		if _, err := ParsePath(bad); !errors.Is(err, ErrPath) {
			t.Errorf("%q: %v", bad, err)
		}
	}
}

// TestArcIsRound: no point of a drawn circle lies farther off than the doc says.
func TestArcIsRound(t *testing.T) {
	list, err := ParsePath("M10 0a10 10 0 1 1 -20 0a10 10 0 1 1 20 0Z")
	if err != nil {
		t.Fatal(err)
	}
	at, worst, curves := pdf.Point{}, 0.0, 0
	for _, s := range list {
		if s.Op == 'C' {
			curves++
			for i := range 101 {
				f := float64(i) / 100
				g := 1 - f
				x := g*g*g*at.X + 3*g*g*f*s.P[0].X + 3*g*f*f*s.P[1].X + f*f*f*s.P[2].X
				y := g*g*g*at.Y + 3*g*g*f*s.P[0].Y + 3*g*f*f*s.P[1].Y + f*f*f*s.P[2].Y
				worst = max(worst, math.Abs(math.Hypot(x, y)-10)/10)
			}
			at = s.P[2]
		} else {
			at = s.P[0]
		}
	}
	if curves != 4 || worst > 0.0003 {
		t.Errorf("%d curves, off by %v of the radius", curves, worst)
	}
}

const picture = `<svg viewBox="0 0 100 50"><title>Engine bay</title><desc>Seen from above.</desc><defs>
<clipPath id="c"><rect x="0" y="0" width="50" height="50"/></clipPath>
<pattern id="p" width="10" height="10" class="k"><path class="ln" d="M0 0L10 10"/></pattern></defs>
<g clip-path="url(#c)"><g class="i k"><title>Coil 6</title><path class="s" fill="url(#p)" d="M0 0H10V10Z"/></g></g>
<rect class="hit" x="1" y="1" width="2" height="2"/><circle class="ring" cx="20" cy="20" r="5"/>
<text class="lb" x="5" y="6" transform="rotate(-90 5 6)">20 N·m &lt;</text></svg>`

const looks = `svg.x{--ink:#22303a;--line:#22303a80}@media print{.s{fill:#fff}}
.s{stroke:var(--ink);stroke-width:2px;stroke-dasharray:3 1}.k .s{fill-opacity:.5}.i.k .s{stroke-width:3}.ln{stroke:var(--line);fill:none}
.hit{fill:transparent}.ring{fill:none;stroke:#b81}.lb{font-size:11px;font-weight:700;text-anchor:middle;stroke:#ffffff;stroke-width:3px}a:hover .s{stroke:#000}`

func TestFromSVG(t *testing.T) {
	d, err := FromSVG(strings.Replace(picture, "<svg ", `<svg class="x" `, 1), strings.Replace(looks, "svg.x", "svg.x", 1))
	if err != nil {
		t.Fatal(err)
	}
	if d.Title != "Engine bay" || d.Says != "Seen from above." || d.W != 100 || d.H != 50 || len(d.Patterns) != 1 || len(d.Shapes) != 3 {
		t.Fatalf("%+v", d)
	}
	if s := d.Shapes[0]; s.Pattern != 1 || s.FillShare != 0.5 || s.Width != 3 || s.Stroke != "#22303a" || len(s.Dash) != 2 || s.Clip == "" {
		t.Errorf("the item: %+v", s)
	}
	if s := d.Patterns[0].Shapes[0]; s.Stroke != "#22303a" || math.Abs(s.LineShare-0.5) > 0.01 || s.Fill != "" {
		t.Errorf("the line of the pattern: %+v", s)
	}
	if s := d.Shapes[1]; s.Fill != "" || s.Stroke != "#bb8811" {
		t.Errorf("the ring: %+v", s)
	}
	if s := d.Shapes[2]; s.Text != "20 N·m <" || s.Turn != -90 || s.Anchor != "middle" || s.Size != 11 || !s.Bold || s.Stroke != "#ffffff" {
		t.Errorf("the label: %+v", s)
	}
	for name, bad := range map[string]string{"no size": "<svg/>", "not nested": `<svg viewBox="0 0 1 1"><g></svg>`, "a broken path": `<svg viewBox="0 0 1 1"><path d="L"/></svg>`} {
		if _, err := FromSVG(bad, looks); !errors.Is(err, ErrSVG) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
