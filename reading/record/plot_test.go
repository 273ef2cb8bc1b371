package record

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"elbowroom/demo"
)

// drawn reads a drive with one spike and returns its plot.
func drawn(t *testing.T) Plot {
	t.Helper()
	d := newDrive(21).part(60, [2]float64{70, 85}, flat(1800), flat(450)).part(80, flat(88), flat(750), flat(330)).part(40, flat(90), flat(2500), flat(430))
	lines := strings.Split(d.b.String(), "\n")
	cells := strings.Split(lines[1600], ",")
	cells[3] = "999.0" // one row of 1800
	lines[1600] = strings.Join(cells, ",")
	d.b.Reset()
	d.b.WriteString(strings.Join(lines, "\n"))
	q := idleQuestion(t)
	first := Read(strings.NewReader(d.b.String()), Request{})
	m := Map(&first.Format, Mapping{}, nil)
	rec := Read(strings.NewReader(d.b.String()), Request{Mapping: m, Questions: []Question{q}, Plot: []string{"coolant", "speed", "manifold pressure"}})
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	limit := g.Checks[indexOf(t, g, "T42")].Limits[0]
	if len(rec.Answers[0].Stretches) == 0 {
		t.Fatal(rec.Answers[0].Says)
	}
	return rec.Plot(&rec.Answers[0], &limit)
}

// element is one element of a drawing.
type element struct {
	name, class, d, text string
	attr                 map[string]string
}

func elements(t *testing.T, svg string) []element {
	t.Helper()
	var all []element
	dec := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatalf("the drawing is no XML: %v", err)
		}
		switch k := token.(type) {
		case xml.StartElement:
			e := element{name: k.Name.Local, attr: map[string]string{}}
			for _, a := range k.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			e.class, e.d = e.attr["class"], e.attr["d"]
			all = append(all, e)
		case xml.CharData:
			all[len(all)-1].text += string(k)
		}
	}
}

func TestDrawing(t *testing.T) {
	p := drawn(t)
	for _, width := range []Width{Phone, Desktop} {
		svg := p.SVG("T42 at idle", width)
		count := map[string]int{}
		for _, e := range elements(t, svg) {
			count[e.name]++
			count["."+e.class]++
			if e.attr["style"] != "" || e.name == "style" || e.name == "script" {
				t.Errorf("%d wide: %s carries style or script", width, e.name)
			}
			for _, a := range []string{"fill", "stroke"} {
				if v := e.attr[a]; v != "" && v != "none" && v != "currentColor" && !strings.HasPrefix(v, "url(#") {
					t.Errorf("%d wide: %s=%q is a colour of its own", width, a, v)
				}
			}
			if x, err := strconv.ParseFloat(e.attr["x"], 64); err == nil && (x < 0 || x > float64(width)) {
				t.Errorf("%d wide: %s %q stands at %g", width, e.name, e.text, x)
			}
		}
		if count["title"] != 1 || count["desc"] != 1 || count["pattern"] != 1 || count[".trace"] != 3 || count[".letter"] != len(p.Marks) || count[".bound"] == 0 {
			t.Errorf("%d wide: %v", width, count)
		}
	}
}

func TestSpikeStaysVisible(t *testing.T) {
	p := drawn(t)
	panel := p.Panels[2]
	_, high := panel.span()
	if high < 999 {
		t.Errorf("the spike of 999 is lost: the panel ends at %g", high)
	}
	for _, n := range []int{10, 100, 304, 904} {
		_, most := panel.columnsOf(p.From, p.To, n)
		top := 0.0
		for _, v := range most {
			if v == v {
				top = max(top, v)
			}
		}
		if top != 999 {
			t.Errorf("%d columns: the highest is %g", n, top)
		}
	}
}

func TestPlotInWords(t *testing.T) {
	text := drawn(t).Text()
	for _, want := range []string{"coolant from", "condition >= 80", "condition 700 to 800", "limit 280 to 380", "Stretch A from", "manifold pressure is 3"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing in:\n%s", want, text)
		}
	}
}

func TestDrawingOfOddThings(t *testing.T) {
	for _, c := range []struct{ reason, data string }{
		{"one row", "time (s),a (V)\n0,1\n"},
		{"a channel without a value", "time (s),a (V),b (V)\n0,1,\n1,1,\n"},
		{"no time", "a (V),b (V)\n5,1\n4,1\n"},
		{"names that need escaping", "time (s),\"<a> & \"\"b\"\"\" (V)\n0,1\n1,2\n"},
		{"huge and tiny values", "time (s),a (V)\n0,1e300\n1,-1e300\n2,1e-300\n"},
		{"years", "time (s),a (V)\n0,1\n80000,2\n160000,3\n"},
	} {
		rec := Read(strings.NewReader(c.data), Request{})
		var names []string
		for _, k := range rec.Format.Columns {
			names = append(names, k.Name)
		}
		rec = Read(strings.NewReader(c.data), Request{Plot: append(names, "nowhere")})
		if !strings.Contains(rec.Findings.Error(), "no channel of that name") {
			t.Errorf("%s: a channel that is not there is drawn in silence", c.reason)
		}
		svg := rec.Plot(nil, nil).SVG("x", Phone)
		elements(t, svg)
		if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
			t.Errorf("%s: %s", c.reason, svg)
		}
	}
}

func TestLevels(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      string
	}{
		{0, 10, "[0 5 10]"}, {-1, 1, "[-1 -0.5 0 0.5 1]"}, {263, 1015, "[400 600 800 1000]"}, {0.98, 1.02, "[0.98 0.99 1 1.01 1.02]"},
	} {
		got := levels(c.low, c.high, 4)
		for i := range got {
			got[i] = math.Round(got[i]*1e6) / 1e6
		}
		if len(got) < 2 || len(got) > 5 {
			t.Errorf("%g to %g: %v, want %s", c.low, c.high, got, c.want)
		}
		if s := fmt.Sprint(got); s != c.want {
			t.Errorf("%g to %g: %s, want %s", c.low, c.high, s, c.want)
		}
	}
}

// TestManyColumns reads a table of a million columns: the first are used, the
// others are counted, and memory stays bounded by lines, not by the file.
func TestManyColumns(t *testing.T) {
	var b bytes.Buffer
	const columns = 1_000_000
	b.WriteString("time (s)")
	for i := 1; i < columns; i++ {
		b.WriteString(",c")
		b.WriteString(strconv.Itoa(i))
	}
	b.WriteByte('\n')
	for row := range 3 {
		b.WriteString(strconv.Itoa(row))
		for range columns - 1 {
			b.WriteString(",1")
		}
		b.WriteByte('\n')
	}
	rec := Read(bytes.NewReader(b.Bytes()), Request{})
	checkCounts(t, rec)
	if rec.Outcome != Partly || rec.Counts.Rows != 3 || len(rec.Channels) != MostColumns || rec.Counts.Unused != 3*(columns-MostColumns) {
		t.Errorf("%s: %+v\n%s", rec.Outcome, rec.Counts, rec.Findings)
	}
	if !strings.Contains(rec.Findings.Error(), fmt.Sprintf("%d are not", columns-MostColumns)) {
		t.Errorf("%s", rec.Findings)
	}
}

// TestLineTooLong passes over a line that is longer than anything a logger
// writes.
func TestLineTooLong(t *testing.T) {
	head := "time (s),a (V)\n0,1\n1,2\n2,3\n3,4\n"
	data := io.MultiReader(strings.NewReader(head), bytes.NewReader(bytes.Repeat([]byte("7"), longestLine+5000)), strings.NewReader("\n4,5\n5,6\n"))
	rec := Read(data, Request{})
	checkCounts(t, rec)
	if c := rec.Counts; c.TooLong != 1 || c.Rows != 6 || c.Lines != 8 || c.Bytes != int64(len(head)+longestLine+5000+len("\n4,5\n5,6\n")) {
		t.Errorf("%+v\n%s", c, rec.Findings)
	}
	if !strings.Contains(rec.Findings.Error(), "6:1: warning: a line is longer") {
		t.Errorf("%s", rec.Findings)
	}
}

// failing is a stream that ends with an error.
type failing struct{ from io.Reader }

func (f failing) Read(p []byte) (int, error) {
	n, err := f.from.Read(p)
	if errors.Is(err, io.EOF) {
		err = errors.New("the card was taken out")
	}
	return n, err
}

func TestStreamThatFails(t *testing.T) {
	rec := Read(failing{strings.NewReader("time (s),a (V)\n0,1\n1,2\n")}, Request{})
	if rec.Outcome != Partly || rec.Counts.Rows != 2 || !strings.Contains(rec.Findings.Error(), "the card was taken out") {
		t.Errorf("%s, %+v, %s", rec.Outcome, rec.Counts, rec.Findings)
	}
	if rec := Read(failing{strings.NewReader("")}, Request{}); rec.Outcome != Refused || !strings.Contains(rec.Findings.Error(), "card") {
		t.Errorf("%s %s", rec.Outcome, rec.Findings)
	}
}

// TestNothingComes gives up on a stream that brings nothing and does not end.
func TestNothingComes(t *testing.T) {
	rec := Read(nothingMore{}, Request{})
	if rec.Outcome != Refused || !strings.Contains(rec.Findings.Error(), io.ErrNoProgress.Error()) {
		t.Errorf("%s %s", rec.Outcome, rec.Findings)
	}
}

func TestSaysOfAPerson(t *testing.T) {
	data := "a;b\n1;7\n2;8\n3;9\n"
	rec := Read(strings.NewReader(data), Request{Says: Says{Time: "a", Scale: 60}})
	if rec.Seconds != 120 || rec.Format.Clock.Guess != "" {
		t.Errorf("minutes as said: %g s, %+v", rec.Seconds, rec.Format.Clock)
	}
	rec = Read(strings.NewReader("a;b\n3;7\n2;8\n3;9\n"), Request{Says: Says{Period: 0.5}})
	if rec.Seconds != 1 || rec.Format.Clock.Form != RowClock {
		t.Errorf("rows at a known distance: %g s, %+v", rec.Seconds, rec.Format.Clock)
	}
	rec = Read(strings.NewReader(data), Request{Says: Says{Time: "clock"}})
	if !strings.Contains(rec.Findings.Error(), `no column is called "clock"`) {
		t.Errorf("%s", rec.Findings)
	}
	rec = Read(strings.NewReader("t (s),a\n0,\"1,234\"\n1,\"2,345\"\n"), Request{Says: Says{Decimal: '.'}})
	if rec.Counts.Ambiguous != 2 {
		t.Errorf("points as said: %+v", rec.Counts)
	}
}

func TestClausesOfTheDemonstration(t *testing.T) {
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	asked := 0
	for i := range g.Checks {
		q := Ask(&g.Checks[i], nil, Mapping{})
		tied := q.tie(&Format{}, Mapping{}, func(int) float64 { return 2 })
		numbers := 0
		for _, c := range q.When {
			if numeric(c) && !isHold(c) {
				numbers++
			}
		}
		asked += numbers
		if len(tied.missing) != numbers {
			t.Errorf("%s: %d conditions with numbers, %q missing", g.Checks[i].ID, numbers, tied.missing)
		}
	}
	if asked < 20 {
		t.Errorf("only %d conditions with numbers", asked)
	}
}
