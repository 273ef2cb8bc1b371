package record

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"elbowroom/guide"
)

// same compares recordings in every exported respect, NaN equal to NaN.
var same = cmp.Options{
	cmpopts.EquateNaNs(), cmpopts.IgnoreUnexported(Format{}, Summary{}), cmpopts.EquateEmpty(),
}

// oddLines are lines that are no rows of values, or spoilt ones.
var oddLines = []string{
	"", ",,,", "remark", "time (s),speed (rpm),coolant (°C),oil (bar)", "1,2", "x,1,2,3", "1,2,3,4,5,6", "1,\"2", "1,\x00,2,3", "\x1b[2J",
	"1,\"2,5\",\"a\"\"b\",3", "7,1e3,-,n/a", "3,1.5,2,5\r", ",5,6,7", "9999,1,2,3", "0,1,2,3", "1,1.234,1,2", "\xb0,\xb0,\xb0,\xb0",
}

// genRecording draws a recording with faults of every sort.
func genRecording(t *rapid.T) []byte {
	var b bytes.Buffer
	b.WriteString("time (s),speed (rpm),coolant (°C),oil (bar)\n")
	for i := range rapid.IntRange(3, 12).Draw(t, "clean rows") {
		fmt.Fprintf(&b, "%d.5,75%d,88.%d,1.5\n", i, i%10, i%10)
	}
	now := 20.0
	for range rapid.IntRange(0, 60).Draw(t, "rows") {
		if rapid.IntRange(0, 9).Draw(t, "odd") == 0 {
			b.WriteString(rapid.SampledFrom(oddLines).Draw(t, "line") + "\n")
			continue
		}
		now += rapid.SampledFrom([]float64{0.5, 1, 1, 1, 1, 0, 30, -3}).Draw(t, "step")
		speed := rapid.SampledFrom([]string{"750", "751.5", "", "-2", "error"}).Draw(t, "speed")
		fmt.Fprintf(&b, "%.2f,%s,%s,1.%d\n", now, speed, rapid.SampledFrom([]string{"88.5", "90", "20"}).Draw(t, "coolant"), rapid.IntRange(0, 99).Draw(t, "oil"))
	}
	data := b.Bytes()
	if rapid.Bool().Draw(t, "cut") {
		data = data[:rapid.IntRange(len("time (s),speed (rpm),coolant (°C),oil (bar)\n0.5,"), len(data)).Draw(t, "at")]
	}
	return data
}

// fullRequest asks for everything that Read can do.
func fullRequest(t testing.TB) Request {
	m := Mapping{Channels: []Channel{
		{Name: "speed", Unit: "rpm", Nth: 1, Meaning: "speed", In: "rpm"},
		{Name: "coolant", Unit: "°C", Nth: 1, Meaning: "coolant", In: "°C"},
		{Name: "oil", Unit: "bar", Nth: 1, Meaning: "oil pressure", In: "bar"},
	}}
	rule := DefaultSteadiness
	rule.Startup, rule.Every = 2, 0.5
	when := []guide.Clause{clause(t, "coolant >= 80 °C"), clause(t, "speed 700..800 rpm"), clause(t, "no loads")}
	return Request{
		Mapping: m, Plot: []string{"speed", "oil"}, Match: &Matching{Judged: "oil pressure", By: []Bin{{"speed", 10, "rpm"}}, Block: 2},
		Questions: []Question{{Name: "A", Judged: "oil pressure", When: when, Hold: 2, Settle: 0.5, Rule: &rule}, {Name: "B", Judged: "oil pressure", Use: UseLeast, When: when, Hold: 1}},
	}
}

// differ compares two recordings; traces, which are long, by hand.
func differ(a, b *Recording) string {
	if len(a.Traces) != len(b.Traces) {
		return "other traces"
	}
	for i, t := range a.Traces {
		u := b.Traces[i]
		if t.Step != u.Step || t.From != u.From || !slices.EqualFunc(t.Least, u.Least, equal) || !slices.EqualFunc(t.Most, u.Most, equal) {
			return "another trace of " + t.Channel
		}
	}
	return cmp.Diff(a, b, same, cmpopts.IgnoreFields(Recording{}, "Traces"))
}

func TestChunksMakeNoDifference(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		data := genRecording(r)
		req := fullRequest(t)
		want := Read(bytes.NewReader(data), req)
		checkCounts(t, want)
		req.chunk = rapid.IntRange(1, 300).Draw(r, "chunk")
		for _, how := range []func(io.Reader) io.Reader{func(x io.Reader) io.Reader { return x }, iotest.OneByteReader, iotest.DataErrReader} {
			if diff := differ(want, Read(how(bytes.NewReader(data)), req)); diff != "" {
				r.Fatalf("chunks of %d bytes (-whole +chunks):\n%s\n%q", req.chunk, diff, data)
			}
		}
	})
}

// TestWritingMakesNoDifference writes the same values with every delimiter,
// decimal separator, quoting, line end and encoding.
func TestWritingMakesNoDifference(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		rows := rapid.IntRange(3, 30).Draw(r, "rows")
		values := make([][3]float64, rows)
		for i := range values {
			values[i] = [3]float64{
				float64(i) / 2, float64(rapid.IntRange(-99999, 99999).Draw(r, "a")) / 100, float64(rapid.IntRange(-9999999, 9999999).Draw(r, "b")) / 1e4,
			}
		}
		plain := Read(strings.NewReader(table(values, ",", ".", "", "\n")), Request{})
		for _, w := range [][4]string{{";", ",", "", "\n"}, {"\t", ",", "", "\r\n"}, {"|", ".", "", "\n"}, {",", ",", `"`, "\n"}, {";", ".", `"`, "\r\n"}, {";", ",", "", "\r"}} {
			text := table(values, w[0], w[1], w[2], w[3])
			for _, how := range []string{"", "bom", "utf-16le-bom", "utf-16be"} {
				got := Read(bytes.NewReader(encode(text, how)), Request{})
				if diff := cmp.Diff(plain.Channels, got.Channels, same); diff != "" || got.Seconds != plain.Seconds || got.Outcome != Whole {
					r.Fatalf("written with %q as %s: %s, %s\n%s\n%s", w, how, got.Outcome, got.Findings, diff, text)
				}
			}
		}
	})
}

// table writes values with a header.
func table(values [][3]float64, delimiter, decimal, quote, end string) string {
	var b strings.Builder
	cell := func(s string) string { return quote + s + quote }
	b.WriteString(cell("time (s)") + delimiter + cell("a (V)") + delimiter + cell("b (°C)") + end)
	for _, v := range values {
		for i, x := range v {
			if i > 0 {
				b.WriteString(delimiter)
			}
			b.WriteString(cell(strings.Replace(fmt.Sprintf("%.4f", x), ".", decimal, 1)))
		}
		b.WriteString(end)
	}
	return b.String()
}

// TestMergedEnvelope compares the trace of a recording with a direct count.
func TestMergedEnvelope(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		steps := rapid.IntRange(2, 20).Draw(r, "steps")
		e := newEnvelope(0, steps, 0)
		var times, values []float64
		now := 0.0
		for range rapid.IntRange(1, 200).Draw(r, "n") {
			now += rapid.Float64Range(0, 3).Draw(r, "step")
			v := rapid.Float64Range(-5, 5).Draw(r, "v")
			e.add(now, v)
			times, values = append(times, now), append(values, v)
		}
		if len(e.Least) > e.most {
			r.Fatalf("%d steps, at most %d", len(e.Least), e.most)
		}
		for i := range e.Least {
			low, high := math.Inf(1), math.Inf(-1)
			for k, at := range times {
				if int(at/e.Step) == i {
					low, high = min(low, values[k]), max(high, values[k])
				}
			}
			if low > high {
				low, high = math.NaN(), math.NaN()
			}
			if !equal(low, e.Least[i]) || !equal(high, e.Most[i]) {
				r.Fatalf("step %d: %g..%g, want %g..%g", i, e.Least[i], e.Most[i], low, high)
			}
		}
	})
}

func equal(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

func FuzzRead(f *testing.F) {
	for _, l := range oddLines {
		f.Add([]byte("time (s),speed (rpm),coolant (°C),oil (bar)\n0,750,88,1.5\n1,751,88,1.5\n"+l+"\n2,752,88"), 7)
	}
	f.Add([]byte("\xff\xfea\x00;\x00b\x00\n\x001\x00;\x002\x00\n\x00"), 3)
	f.Add([]byte("Zeit;U\n0,0;1,5\n0,1;1.250\n"), 100)
	f.Fuzz(func(t *testing.T, data []byte, chunk int) {
		req := fullRequest(t)
		whole := Read(bytes.NewReader(data), req)
		checkCounts(t, whole)
		req.chunk = 1 + int(uint(chunk)%1000)
		if diff := differ(whole, Read(bytes.NewReader(data), req)); diff != "" {
			t.Fatalf("chunks of %d bytes make a difference:\n%s", req.chunk, diff)
		}
		Map(&whole.Format, Mapping{}, []string{"coolant"})
	})
}
