package bay_test

import (
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"elbowroom/bay"
	"elbowroom/guide"
)

var update = flag.Bool("update", false, "write the golden files anew")

// sizeLimit is the largest drawing of the whole demo bay in bytes.
const sizeLimit = 150_000

// wayIn is what comes off on the way to the knock sensors of the demo engine.
var wayIn = []guide.ID{"AR02", "AR09", "PN01", "AR07", "AR08", "PN02", "AR06", "AR04", "AR05"}

func everything(v guide.View) bay.Options {
	return bay.Options{
		View: v, Labels: true, Key: true, Ghosts: true, Interactive: true, Standalone: true,
		Highlight: []guide.ID{"SE13", "SE14", "IG03"}, Path: wayIn,
		Cleared: map[guide.ID]bay.State{"CO01": bay.Aside, "PN04": bay.Off, "PN07": bay.Off, "AR02": bay.Off},
	}
}

// node is an element of a drawing.
type node struct {
	tag   string
	attrs map[string]string
	text  string
}

// parse reads a drawing as XML and returns its elements; anything that is not
// well formed fails the test.
func parse(t testing.TB, svg string) []node {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	var nodes []node
	var open []int
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return nodes
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		switch x := tok.(type) {
		case xml.StartElement:
			n := node{tag: x.Name.Local, attrs: map[string]string{}}
			for _, a := range x.Attr {
				if _, twice := n.attrs[a.Name.Local]; twice {
					t.Fatalf("<%s> has %s twice", n.tag, a.Name.Local)
				}
				n.attrs[a.Name.Local] = a.Value
			}
			open = append(open, len(nodes))
			nodes = append(nodes, n)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 {
				nodes[open[len(open)-1]].text += string(x)
			}
		}
	}
}

var (
	notNumber = regexp.MustCompile(`NaN|Inf|e[+-]\d`)
	geometry  = map[string]bool{
		"d": true, "x": true, "y": true, "cx": true, "cy": true, "r": true, "rx": true, "width": true, "height": true,
		"viewBox": true, "transform": true, "stroke-width": true, "data-px-per-mm": true,
	}
)

// sound checks what must hold of every drawing.
func sound(t testing.TB, svg string) []node {
	t.Helper()
	nodes := parse(t, svg)
	if len(nodes) == 0 || nodes[0].tag != "svg" {
		t.Fatal("there is no drawing")
	}
	ids := map[string]bool{}
	for _, n := range nodes {
		if id := n.attrs["id"]; id != "" {
			if ids[id] {
				t.Fatalf("id %q stands twice", id)
			}
			ids[id] = true
		}
		for k, v := range n.attrs {
			if geometry[k] && notNumber.MatchString(v) {
				t.Fatalf("<%s %s=%q> is not finite", n.tag, k, v)
			}
		}
	}
	for _, want := range strings.Fields(nodes[0].attrs["aria-labelledby"]) {
		if !ids[want] {
			t.Fatalf("aria-labelledby names %q, which is not there", want)
		}
	}
	return nodes
}

func TestEveryViewIsSoundSmallAndTheSameTwice(t *testing.T) {
	for _, side := range []guide.ID{"LHD", "RHD"} {
		s := scene(t, side)
		for _, v := range bay.Views {
			for _, width := range []float64{0, 360, 1400} {
				o := everything(v)
				o.Width = width
				svg := s.Draw(o)
				sound(t, svg)
				if len(svg) > sizeLimit {
					t.Errorf("%s %s at %v: %d bytes, at most %d", side, v, width, len(svg), sizeLimit)
				}
				if again := scene(t, side).Draw(o); again != svg {
					t.Errorf("%s %s at %v: drawn twice, two drawings", side, v, width)
				}
			}
		}
	}
}

func TestSidesAreNamedWithTheirFrame(t *testing.T) {
	cases := map[guide.View][4]string{
		guide.FromAbove: {"rear of the vehicle", "front of the vehicle", "right of the vehicle", "left of the vehicle"},
		guide.FromBelow: {"rear of the vehicle", "front of the vehicle", "left of the vehicle", "right of the vehicle"},
		guide.FromLeft:  {"up", "down", "front of the vehicle", "rear of the vehicle"},
		guide.FromRight: {"up", "down", "rear of the vehicle", "front of the vehicle"},
		guide.FromFront: {"up", "down", "right of the vehicle", "left of the vehicle"},
		guide.FromRear:  {"up", "down", "left of the vehicle", "right of the vehicle"},
	}
	s := scene(t, "LHD")
	for v, want := range cases {
		var got []string
		for _, n := range parse(t, s.Draw(bay.Options{View: v})) {
			if n.attrs["class"] == "side" {
				got = append(got, n.text)
			}
		}
		if fmt.Sprint(got) != fmt.Sprint(want[:]) {
			t.Errorf("%s: top, bottom, left edge, right edge are named %v, want %v", v, got, want)
		}
	}
}

// boxOf returns the rectangle of an upright box item in pixels.
func boxOf(t testing.TB, nodes []node, id string) (u0, v0, u1, v1 float64) {
	t.Helper()
	for i, n := range nodes {
		if n.attrs["id"] != id {
			continue
		}
		for _, m := range nodes[i+1:] {
			if m.attrs["class"] == "s" {
				if _, err := fmt.Sscanf(m.attrs["d"], "M%f %fH%fV%f", &u0, &v0, &u1, &v1); err != nil {
					t.Fatal(err)
				}
				return min(u0, u1), min(v0, v1), max(u0, u1), max(v0, v1)
			}
		}
	}
	t.Fatalf("%s is not drawn", id)
	return
}

func TestScaleIsTrue(t *testing.T) {
	// Battery: 280 mm along x, 180 along y, 200 up.
	s := scene(t, "LHD")
	sizes := map[guide.View][2]float64{
		guide.FromAbove: {180, 280}, guide.FromBelow: {180, 280}, guide.FromLeft: {280, 200},
		guide.FromRight: {280, 200}, guide.FromFront: {180, 200}, guide.FromRear: {180, 200},
	}
	for v, want := range sizes {
		nodes := parse(t, s.Draw(bay.Options{View: v}))
		k, err := strconv.ParseFloat(nodes[0].attrs["data-px-per-mm"], 64)
		if err != nil {
			t.Fatal(err)
		}
		u0, v0, u1, v1 := boxOf(t, nodes, "bay-"+string(v)+"-EL02")
		const rounding = 0.1 // coordinates carry one decimal
		if math.Abs(u1-u0-want[0]*k) > rounding || math.Abs(v1-v0-want[1]*k) > rounding {
			t.Errorf("%s: battery is %.1f x %.1f px, want %v mm at %v px/mm", v, u1-u0, v1-v0, want, k)
		}
		bar, label := 0.0, ""
		for _, n := range nodes {
			if strings.HasPrefix(n.attrs["class"], "bar") {
				w, _ := strconv.ParseFloat(n.attrs["width"], 64)
				bar += w
			}
			if strings.HasSuffix(n.text, " mm") {
				label = n.text
			}
		}
		mm, err := strconv.ParseFloat(strings.TrimSuffix(label, " mm"), 64)
		if err != nil || math.Abs(bar-mm*k) > 2*rounding {
			t.Errorf("%s: a bar of %v px says %q at %v px/mm", v, bar, label, k)
		}
	}
}

func TestDriverSideChangesOver(t *testing.T) {
	o := bay.Options{View: guide.FromAbove}
	lhd, rhd := parse(t, scene(t, "LHD").Draw(o)), parse(t, scene(t, "RHD").Draw(o))
	for _, id := range []string{"BD01", "BD02", "BD03"} {
		a0, _, a1, _ := boxOf(t, lhd, "bay-above-"+id)
		b0, _, b1, _ := boxOf(t, rhd, "bay-above-"+id)
		if middle := (a0 + a1 + b0 + b1) / 4; math.Abs(middle-360) > 0.2 {
			t.Errorf("%s is at %v..%v and %v..%v, not mirrored about the middle of the sheet", id, a0, a1, b0, b1)
		}
	}
	if bd01, _, _, _ := boxOf(t, lhd, "bay-above-BD01"); bd01 < 360 {
		t.Error("left-hand drive: the brake servo must lie on the right half of the sheet, which is the left of the vehicle")
	}
}

func TestStatesAreDrawn(t *testing.T) {
	s := scene(t, "LHD")
	o := everything(guide.FromAbove)
	nodes := parse(t, s.Draw(o))
	class := map[string]string{}
	for _, n := range nodes {
		class[n.attrs["id"]] = n.attrs["class"]
	}
	if _, ok := class["bay-above-PN04"]; ok {
		t.Error("an item that is off is still drawn")
	}
	if c := class["bay-above-CO01"]; !strings.Contains(c, "aside") {
		t.Errorf("aside item has class %q", c)
	}
	if c := class["bay-above-SE13"]; !strings.HasSuffix(c, " t") {
		t.Errorf("target has class %q", c)
	}
	was, _, _, _ := boxOf(t, parse(t, s.Draw(bay.Options{})), "bay-above-CO01")
	is, _, _, _ := boxOf(t, nodes, "bay-above-CO01")
	if is >= was-20 {
		t.Errorf("an aside item on the edge moved from %v to %v: not outward", was, is)
	}
	ghost, plain := s.Draw(o), o
	plain.Ghosts = false
	if strings.Count(ghost, `class="ghost"`) <= strings.Count(s.Draw(plain), `class="ghost"`) {
		t.Error("no ghosts of what is off")
	}
}

func TestTargetsAreRingedAndNamedInEveryView(t *testing.T) {
	s := scene(t, "LHD")
	for _, v := range bay.Views {
		for _, width := range []float64{340, 720, 1300} {
			svg := s.Draw(bay.Options{View: v, Highlight: []guide.ID{"SE13", "FU01"}, Width: width, Labels: true})
			rings, names := strings.Count(svg, `class="ring"`), strings.Count(svg, `class="card"`)
			if listed := strings.Count(svg, ">Target: "); rings < 2 || names+listed != 2 {
				t.Errorf("%s at %v: %d rings, %d names, %d listed for 2 targets", v, width, rings, names, listed)
			}
		}
	}
}

func TestWhatComesOffIsNumberedAndListed(t *testing.T) {
	svg := scene(t, "LHD").Draw(bay.Options{Path: append([]guide.ID{"NOPE"}, wayIn...), Highlight: []guide.ID{"SE13"}})
	var listed []string
	for _, n := range parse(t, svg) {
		if n.attrs["class"] == "note" && !strings.HasSuffix(n.text, " mm") {
			listed = append(listed, n.text)
		}
	}
	if len(listed) != len(wayIn)+1 || !strings.HasPrefix(listed[0], "NOPE, not on this variant") {
		t.Fatalf("list is %q", listed)
	}
	for i, id := range wayIn {
		if !strings.HasSuffix(listed[i+1], string(id)) {
			t.Errorf("row %d is %q, want %s", i+2, listed[i+1], id)
		}
	}
	if n := strings.Count(svg, `class="num"`); n != 2*len(wayIn)+1 {
		t.Errorf("%d balloons, want one in the picture and one in the list for each of %d, and one for what is missing", n, len(wayIn))
	}
}

func TestEveryItemTakesTheKeyboard(t *testing.T) {
	s := scene(t, "LHD")
	o := bay.Options{Interactive: true, Link: func(id guide.ID) string { return "/bay?item=" + string(id) + "&x=1" }}
	nodes := sound(t, s.Draw(o))
	links := 0
	for _, n := range nodes {
		if n.tag != "a" {
			continue
		}
		links++
		id := n.attrs["data-item"]
		if n.attrs["href"] != "/bay?item="+id+"&x=1" || n.attrs["tabindex"] != "0" || !strings.Contains(n.attrs["aria-label"], id) ||
			n.attrs["data-state"] != "on" || n.attrs["data-class"] == "" || n.attrs["id"] != "bay-above-"+id {
			t.Errorf("link %v", n.attrs)
		}
	}
	if links != len(s.Placed()) {
		t.Errorf("%d links for %d items", links, len(s.Placed()))
	}
	if nodes[0].attrs["role"] != "group" {
		t.Error("a drawing with links must not be one image to a screen reader")
	}
	still := parse(t, s.Draw(bay.Options{}))
	if still[0].attrs["role"] != "img" || strings.Contains(s.Draw(bay.Options{}), "<a ") {
		t.Error("a still is one image without links")
	}
}

func TestHostileNames(t *testing.T) {
	names := []string{
		`</title><script>alert(1)</script>`, `"><g onload="x"`, `a & b < c > d 'e'`, "nul\x00 bell\x07 esc\x1b", "\xff\xfe not utf-8",
		"]]>", "<!--", strings.Repeat("very long ", 500), strings.Repeat("W", 3000), "", "   ", "漢字の名前", "عربى", "&#0;", "Größe „Ü“ ½",
	}
	g := &guide.Resolved{Guide: &guide.Guide{}}
	var ids []guide.ID
	for i, n := range names {
		id := guide.ID(fmt.Sprintf("I%d%s", i, n))
		ids = append(ids, id)
		g.Items = append(g.Items, guide.Item{
			ID: id, Name: n, Class: guide.Class(n),
			At: []guide.Shape{{Centre: guide.Point{X: float64(i * 60)}, Size: guide.Point{X: 50, Y: 400, Z: 50}}},
		})
	}
	s := bay.New(g)
	for _, v := range bay.Views {
		svg := s.Draw(bay.Options{
			View: v, Labels: true, Key: true, Interactive: true, Highlight: ids[:6], Path: ids[4:], Standalone: true,
			Prefix: `x" onload="y`, Title: `<b>&`,
		})
		for _, n := range sound(t, svg) {
			if n.tag == "script" || n.tag == "b" || n.attrs["onload"] != "" {
				t.Fatalf("%s: a name became <%s>", v, n.tag)
			}
		}
	}
}

func TestEveryClassAndPatternHasAStyle(t *testing.T) {
	s := scene(t, "LHD")
	style := bay.Style()
	for _, v := range []guide.View{guide.FromAbove, bay.Corner} {
		svg := s.Draw(everything(v))
		defined := map[string]bool{}
		for _, n := range parse(t, svg) {
			defined[n.attrs["id"]] = true
		}
		for _, n := range parse(t, svg) {
			for _, c := range strings.Fields(n.attrs["class"]) {
				if c != "i" && c != "t" && c != "marks" && c != "list" && !strings.Contains(style, "."+c) {
					t.Errorf("class %q has no style", c)
				}
			}
			if f := strings.TrimSuffix(strings.TrimPrefix(n.attrs["fill"], "url(#"), ")"); f != "" && !defined[f] {
				t.Errorf("fill %q is not defined", f)
			}
		}
	}
	for _, c := range guide.Classes {
		for _, want := range []string{"--bay-" + string(c) + ":", ".k-" + string(c) + " .bg", ".k-" + string(c) + " .tf"} {
			if !strings.Contains(style, want) {
				t.Errorf("class %s has no %s in the style sheet", c, want)
			}
		}
	}
}

func TestPatternsTellClassesApart(t *testing.T) {
	lines := map[string]string{}
	owner := ""
	for _, n := range parse(t, scene(t, "LHD").Draw(bay.Options{})) {
		if n.tag == "pattern" {
			owner = n.attrs["class"]
		}
		if n.attrs["class"] == "ln" {
			if other, ok := lines[n.attrs["d"]]; ok {
				t.Errorf("%s and %s have the same pattern: only colour tells them apart", other, owner)
			}
			lines[n.attrs["d"]] = owner
		}
	}
	if len(lines) != len(guide.Classes) {
		t.Errorf("%d patterns for %d classes", len(lines), len(guide.Classes))
	}
}

func TestAroundKeepsTheTargets(t *testing.T) {
	s := scene(t, "LHD")
	whole := parse(t, s.Draw(bay.Options{Highlight: []guide.ID{"SE13"}}))
	part := parse(t, s.Draw(bay.Options{Highlight: []guide.ID{"SE13"}, Around: 200}))
	a, _ := strconv.ParseFloat(whole[0].attrs["data-px-per-mm"], 64)
	b, _ := strconv.ParseFloat(part[0].attrs["data-px-per-mm"], 64)
	if b < 2*a {
		t.Errorf("scale went from %v to %v px/mm", a, b)
	}
	if u0, v0, u1, v1 := boxOf(t, part, "bay-above-SE13"); u0 < 24 || v0 < 24 || u1 > 696 || v1 > 700 {
		t.Errorf("the target is at %v %v %v %v, outside the picture", u0, v0, u1, v1)
	}
}

func TestHeightLimitsThePicture(t *testing.T) {
	svg := scene(t, "LHD").Draw(bay.Options{Width: 1400, Height: 500})
	h, err := strconv.ParseFloat(parse(t, svg)[0].attrs["height"], 64)
	if err != nil || h > 500+120 {
		t.Errorf("the sheet is %v px high for a picture of at most 500", h)
	}
}

func TestEmptySceneIsDrawn(t *testing.T) {
	s := bay.New(&guide.Resolved{Guide: &guide.Guide{}, Items: []guide.Item{{ID: "A", Name: "thing"}}})
	for _, v := range bay.Views {
		sound(t, s.Draw(bay.Options{View: v, Highlight: []guide.ID{"A", "B"}, Path: []guide.ID{"A"}, Labels: true, Key: true}))
	}
	if got := s.Unplaced(); len(got) != 1 || got[0] != "A" || len(s.Placed()) != 0 {
		t.Errorf("unplaced %v, placed %v", got, s.Placed())
	}
}

// TestSmallDrawing compares one small drawing byte by byte, so that a change
// of looks is seen and meant.
func TestSmallDrawing(t *testing.T) {
	box := func(id guide.ID, name string, c guide.Class, x, y, z, dx, dy, dz float64) guide.Item {
		return guide.Item{ID: id, Name: name, Class: c, At: []guide.Shape{{
			Form: guide.Box, Centre: guide.Point{X: x, Y: y, Z: z}, Size: guide.Point{X: dx, Y: dy, Z: dz},
		}}}
	}
	g := &guide.Resolved{Guide: &guide.Guide{}, Items: []guide.Item{
		box("B1", "Block", guide.Structure, -100, 0, 0, 200, 160, 100),
		box("C1", "Cover", guide.Panel, -100, 0, 80, 220, 180, 10),
		box("S1", "Sensor, left", guide.Sensor, -60, 40, 60, 20, 20, 20),
		{ID: "P1", Name: "Pulley", Class: guide.Drive, At: []guide.Shape{{Form: guide.Cylinder, Size: guide.Point{X: 30, Y: 80}, Along: "x", Centre: guide.Point{X: 15}}}},
		{ID: "H1", Name: "Hose", Class: guide.Hose, At: []guide.Shape{{Form: guide.Path, Thick: 16, Path: []guide.Point{{X: 20, Y: 60, Z: 60}, {X: -150, Y: 120, Z: 60}, {X: -200, Y: 60, Z: 90}}}}},
		box("L1", "Lid", guide.Air, 0, -100, 40, 60, 40, 20),
	}}
	got := bay.New(g).Draw(bay.Options{
		Width: 300, Highlight: []guide.ID{"S1"}, Path: []guide.ID{"C1"}, Labels: true, Key: true, Interactive: true,
		Cleared: map[guide.ID]bay.State{"L1": bay.Aside},
	})
	sound(t, got)
	golden(t, "testdata/small.svg", got)
}

func golden(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; look at it and run the test with -update if the change is meant.\ngot:\n%s", file, got)
	}
}
