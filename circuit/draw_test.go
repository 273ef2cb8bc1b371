package circuit

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"elbowroom/guide"
	"elbowroom/internal/corpus"
	"elbowroom/quantity"
)

// drawings returns one drawing of every circuit of the demonstration in both
// directions, with one mark of every verdict, and one of all circuits.
func drawings(t testing.TB) map[string]*Drawing {
	t.Helper()
	out := map[string]*Drawing{}
	add := func(name string, g *Graph) {
		for i, d := range []Direction{Rightwards, Downwards} {
			out[fmt.Sprintf("%s/%d", name, i)] = &Drawing{Graph: g, Direction: d, Width: 358, ID: name, Title: name, Marks: someMarks(g), Suspect: []Spot{OnWire(0), AtNode(1)}, Legend: true}
		}
	}
	for _, c := range engine(t).Guide.Circuits {
		add(string(c.ID), wired(t, c.ID))
	}
	add("all", wired(t))
	if len(out) < 20 {
		t.Fatalf("only %d drawings", len(out))
	}
	return out
}

func someMarks(g *Graph) []Mark {
	var out []Mark
	for i := range g.Nodes {
		for _, s := range g.Sides(i) {
			if p := (Point{i, s}); g.Reachable(p) {
				out = append(out, Mark{At: p, Verdict: verdicts[len(out)%len(verdicts)], Says: "13.79 V", Link: "/r?a=1&b=2"})
			}
		}
	}
	return out
}

// TestDrawingIsSound: well-formed, no style of its own, every id once and every
// reference to one that exists, a title and a description.
func TestDrawingIsSound(t *testing.T) {
	for name, d := range drawings(t) {
		ids, refs, elements := map[string]int{}, []string{}, map[string]int{}
		dec := xml.NewDecoder(strings.NewReader(d.SVG()))
		for {
			tok, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			el, ok := tok.(xml.StartElement)
			if !ok {
				continue
			}
			elements[el.Name.Local]++
			for _, a := range el.Attr {
				switch {
				case a.Name.Local == "style" || strings.HasPrefix(a.Name.Local, "on"):
					t.Errorf("%s: <%s %s>", name, el.Name.Local, a.Name.Local)
				case a.Name.Local == "id":
					ids[a.Value]++
				case a.Name.Local == "aria-labelledby":
					refs = append(refs, strings.Fields(a.Value)...)
				case strings.HasPrefix(a.Value, "url(#"):
					refs = append(refs, strings.TrimSuffix(strings.TrimPrefix(a.Value, "url(#"), ")"))
				}
			}
		}
		for id, n := range ids {
			if n > 1 {
				t.Errorf("%s: id %s stands there %d times", name, id, n)
			}
		}
		for _, r := range refs {
			if ids[r] == 0 {
				t.Errorf("%s: nothing has the id %s", name, r)
			}
		}
		if elements["desc"] != 1 || elements["title"] < 1 || elements["style"] > 0 || elements["script"] > 0 {
			t.Errorf("%s: %v", name, elements)
		}
	}
}

// TestDrawingFits: every symbol, point and bend lies on the sheet, no two
// symbols or marks on each other, and every wire is made of level and upright
// runs from symbol to symbol.
func TestDrawingFits(t *testing.T) {
	for name, d := range drawings(t) {
		l := d.Graph.Layout(d.Direction, d.Width)
		inside := func(p XY) bool { return p.X >= 0 && p.Y >= 0 && p.X <= l.Width && p.Y <= l.Height }
		for i, n := range l.Nodes {
			if !inside(n.At) || len(n.Says) == 0 || len(n.Says) > mostLines {
				t.Errorf("%s: %s at %v of %v × %v: %q", name, d.Graph.Label(n.Node), n.At, l.Width, l.Height, n.Says)
			}
			for _, m := range l.Nodes[:i] {
				if apart(n.At, m.At) < 2*reachOf {
					t.Errorf("%s: %s and %s stand on each other", name, d.Graph.Label(n.Node), d.Graph.Label(m.Node))
				}
			}
		}
		var probes []XY
		for p, all := range l.Points {
			for _, at := range all {
				if !inside(at) {
					t.Errorf("%s: %s at %v", name, d.Graph.Say(p), at)
				}
				probes = append(probes, at)
			}
		}
		for i, a := range probes {
			for _, b := range probes[:i] {
				if apart(a, b) < 30 {
					t.Errorf("%s: two measuring points at %v and %v", name, a, b)
				}
			}
		}
		for _, w := range l.Lines {
			for i, p := range w.Runs {
				if !inside(p) || i > 0 && p.X != w.Runs[i-1].X && p.Y != w.Runs[i-1].Y {
					t.Errorf("%s: %s runs %v", name, d.Graph.SaySpot(OnWire(w.Wire)), w.Runs)
				}
			}
		}
	}
}

func apart(a, b XY) float64 { return max(max(a.X-b.X, b.X-a.X), max(a.Y-b.Y, b.Y-a.Y)) }

// TestDrawnOnce: in a single circuit every node and wire is drawn once and
// every point that a probe can reach is there.
func TestDrawnOnce(t *testing.T) {
	for _, c := range engine(t).Guide.Circuits {
		g := wired(t, c.ID)
		l := g.Layout(Rightwards, 0)
		if len(l.Nodes) != len(c.Nodes) || len(l.Lines) != len(c.Wires) {
			t.Errorf("%s: %d nodes and %d wires drawn of %d and %d", c.ID, len(l.Nodes), len(l.Lines), len(c.Nodes), len(c.Wires))
		}
		for i := range g.Nodes {
			for _, s := range g.Sides(i) {
				if len(l.Points[Point{i, s}]) != 1 {
					t.Errorf("%s: %s is drawn %d times", c.ID, g.Say(Point{i, s}), len(l.Points[Point{i, s}]))
				}
			}
		}
	}
}

// TestNoMeaningByColourAlone: shape, pattern and letter of any two verdicts
// differ, and the words name the verdict.
func TestNoMeaningByColourAlone(t *testing.T) {
	shapes, letters := map[string]Verdict{}, map[string]Verdict{}
	for _, v := range verdicts {
		l := looks[v]
		if other, ok := shapes[l.shape]; ok {
			t.Errorf("%s and %s have the same shape", v, other)
		}
		if other, ok := letters[l.letter]; ok {
			t.Errorf("%s and %s have the same letter", v, other)
		}
		shapes[l.shape], letters[l.letter] = v, v
	}
	g := wired(t, "fuel-pump")
	f14 := g.must(t, "fuel-pump.f14", SupplySide)
	d := Drawing{Graph: g, Bare: true, Marks: []Mark{{At: f14, Verdict: "odd word", Says: "x"}, {At: f14, Verdict: NonConforming, Says: "2.71 V"}}, Suspect: []Spot{OnWire(1), {Node: 99, Wire: -1}}}
	text := strings.Join(d.Text(), "\n")
	for _, want := range []string{"EL05 fuse, supply side: non-conforming, 2.71 V", "under suspicion: wire from EL06 relay to EL05 fuse", "fuse EL05", "leads to"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	if strings.Contains(text, "not measured") || strings.Contains(text, "odd word") {
		t.Errorf("too much is said:\n%s", text)
	}
}

// TestNamesCannotBreakTheDrawing: what a guide says is text and stays text.
func TestNamesCannotBreakTheDrawing(t *testing.T) {
	evil := `"><script>alert(1)</script>`
	c := guide.Circuit{ID: "c", Name: evil, Nodes: []guide.Node{
		{ID: "a", Sort: guide.SupplyNode, On: guide.ID(evil), Pin: evil, Volt: quantity.Of(5, "V")}, {ID: "b", Sort: "no such sort", On: "b"},
	}, Wires: []guide.Wire{{From: "a", To: "b", Colour: evil}}}
	g, err := Build(&guide.Resolved{Guide: &guide.Guide{Circuits: []guide.Circuit{c}}})
	if err != nil {
		t.Fatal(err)
	}
	d := Drawing{Graph: g, ID: evil, Title: evil, Marks: []Mark{{At: Point{0, LoadSide}, Verdict: Conforming, Says: evil, Link: evil}}}
	if svg := d.SVG(); strings.Contains(svg, "<script") || !strings.Contains(svg, "&lt;script&gt;") {
		t.Error(svg)
	}
}

// TestGoldenDrawing keeps one drawing as it was looked at.
func TestGoldenDrawing(t *testing.T) {
	g := wired(t, "fuel-pump")
	d := Drawing{Graph: g, ID: "pump", Title: "low-pressure fuel pump", Legend: true, Marks: []Mark{
		{At: g.must(t, "fuel-pump.relay", LoadSide), Verdict: Conforming, Says: "0.09 V"},
		{At: g.must(t, "fuel-pump.f14", SupplySide), Verdict: NonConforming, Says: "2.71 V"},
	}}
	const golden = "testdata/fuel-pump.svg"
	if corpus.Rewriting() {
		if err := os.WriteFile(golden, []byte(d.SVG()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if got := d.SVG(); got != string(corpus.Read(t, golden)) {
		t.Errorf("the drawing differs from %s:\n%s", golden, got)
	}
}

// anything returns a circuit as nobody would write it: wires in any direction
// and round in rings, supplies side by side, without resistances, of any sort.
func anything(rnd *rand.Rand) guide.Circuit {
	sorts := []guide.NodeSort{guide.SupplyNode, guide.FuseNode, guide.RelayNode, guide.GroundNode, guide.SpliceNode, guide.InlineNode, guide.PinNode, guide.LoadNode, guide.SensingNode}
	c := guide.Circuit{ID: guide.ID(fmt.Sprintf("c%d", rnd.IntN(3)))}
	n := 1 + rnd.IntN(9)
	id := func() guide.ID { return guide.ID(fmt.Sprintf("n%d", rnd.IntN(n))) }
	for i := range n {
		node := guide.Node{ID: guide.ID(fmt.Sprintf("n%d", i)), Sort: sorts[rnd.IntN(len(sorts))], On: guide.ID(fmt.Sprintf("I%d", rnd.IntN(4)))}
		if rnd.IntN(2) == 0 {
			node.Ohm = quantity.Of(float64(rnd.IntN(3)), "Ω")
		}
		if rnd.IntN(3) == 0 {
			node.Volt = quantity.Of(12, "V")
		}
		if rnd.IntN(4) == 0 {
			node.Against = id()
		}
		if rnd.IntN(2) == 0 {
			node.Law = []guide.ID{"ntc-2k5", "rail-pressure", "none"}[rnd.IntN(3)]
		}
		c.Nodes = append(c.Nodes, node)
	}
	for range rnd.IntN(2 * n) {
		if w := (guide.Wire{From: id(), To: id()}); w.From != w.To {
			c.Wires = append(c.Wires, w)
		}
	}
	return c
}

// sources checks that every source that is connected holds its voltage.
func sources(t *testing.T, seed uint64, n *network, s *Solution) {
	for _, src := range n.sources {
		want := src.volts
		if src.ratiometer {
			want = src.gain * (s.volts[src.high] - s.volts[src.low])
		}
		if got := s.volts[src.plus] - s.volts[src.minus]; math.Abs(got-want) > 1e-9 {
			t.Errorf("seed %d: a source of %v V holds %v V", seed, want, got)
		}
	}
}

// TestAnything: whatever the wiring, nothing panics, and what is solved obeys
// the laws of voltages of its sources.
func TestAnything(t *testing.T) {
	laws := engine(t).Guide.Laws
	solvedOnes, quiet := 0, 0
	for seed := range uint64(2000) {
		rnd := rand.New(rand.NewPCG(seed, 5))
		gd := &guide.Guide{Laws: laws}
		for range 1 + rnd.IntN(3) {
			if c := anything(rnd); !slices.ContainsFunc(gd.Circuits, func(o guide.Circuit) bool { return o.ID == c.ID }) {
				gd.Circuits = append(gd.Circuits, c)
			}
		}
		g, err := Build(&guide.Resolved{Guide: gd})
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		st := State{Sensed: map[guide.ID]quantity.Value{"I0": quantity.Of(50, "°C"), "I1": quantity.Of(100, "bar")}}
		n := g.network(&st)
		s := n.solve()
		if s.Quiet != "" {
			quiet++
		} else {
			solvedOnes++
			sources(t, seed, n, s)
		}
		for i := range g.Nodes {
			_, _ = g.Reads(s, i)
			g.Hangs(i)
			g.Where(Point{i, LoadSide}, minutesTo)
			g.Across(i, minutesTo)
			if p, err := g.Main(i); err == nil {
				if _, err := g.Chain(p, func(Spot) float64 { return 1 }, minutesTo); err != nil {
					t.Fatalf("seed %d: %v", seed, err)
				}
			}
		}
		g.Causes("I0", "I1")
		for _, dir := range []Direction{Rightwards, Downwards} {
			d := Drawing{Graph: g, Direction: dir, Width: 358, Legend: true}
			if !strings.HasSuffix(d.SVG(), "</svg>\n") {
				t.Fatalf("seed %d: no drawing", seed)
			}
		}
	}
	if solvedOnes < 500 || quiet < 60 {
		t.Errorf("%d solved and %d quiet; both are to be tried", solvedOnes, quiet)
	}
}
