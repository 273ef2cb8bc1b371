package estimate_test

import (
	"math"
	"testing"
	"time"

	"elbowroom/estimate"
	"elbowroom/guide"
	"elbowroom/money"
)

func seconds(s float64) time.Duration { return time.Duration(math.Round(s * float64(time.Second))) }

// recorder is the disassembly worksheet of a pressure recorder: Yang and
// El-Haik, Design for Six Sigma, table 10.5, with the totals printed there.
var recorder = []struct {
	what           string
	repeats        int
	tool, off, put float64
	total, cents   float64
}{
	{"remove screws", 3, 4.2, 11.3, 1.4, 42.3, 35.25},
	{"reorient", 1, 0, 4.5, 0, 4.5, 3.75},
	{"loosen set-screw", 1, 4.2, 8, 0, 12.2, 10.17},
	{"remove knob", 1, 0, 2.4, 1.4, 3.8, 3.167},
	{"remove cover", 1, 0, 2.4, 1.4, 3.8, 3.167},
	{"reorient", 1, 0, 4.5, 0, 4.5, 3.75},
	{"unplug", 1, 0, 6.4, 0, 6.4, 5.333},
	{"remove screws", 2, 4.2, 8, 1.4, 23.0, 19.17},
	{"remove PCB", 1, 0, 2.4, 1.4, 3.8, 3.167},
}

// TestWorksheet: every line and both totals of the printed worksheet (T1).
func TestWorksheet(t *testing.T) {
	var sheet []estimate.Element
	const rate money.PerHour = 3000 // 30 $ an hour
	for _, r := range recorder {
		e := estimate.Element{What: r.what, Repeats: r.repeats, PickUp: seconds(r.tool), Handle: seconds(r.off), Aside: seconds(r.put)}
		sheet = append(sheet, e)
		if e.Time() != seconds(r.total) {
			t.Errorf("%s: %v, printed %v s", r.what, e.Time(), r.total)
		}
		if cents := float64(rate) * e.Time().Hours(); math.Abs(cents-r.cents) > 0.01 {
			t.Errorf("%s: %.3f cents, printed %v", r.what, cents, r.cents)
		}
	}
	if got := estimate.Total(sheet); got != seconds(104.3) {
		t.Errorf("total %v, printed 104.3 s", got)
	}
	if got := estimate.CurrencyOf("USD").Labour(rate, estimate.Total(sheet)); got != 87 {
		t.Errorf("total %d cents, printed 86.92", got)
	}
	// Service is disassembly and reassembly, 235.2 s; nine parts of three seconds.
	if got := estimate.Efficiency(3, seconds(235.2)); math.Abs(got-0.038) > 0.0005 {
		t.Errorf("efficiency %.4f, printed 3.8 %%", got)
	}
}

// TestDesigns: T2 and T3, printed sums and efficiencies of three-second parts.
func TestDesigns(t *testing.T) {
	var sheet []estimate.Element
	for _, s := range []float64{3.5, 4.5, 12, 8.5, 8.5, 5, 4} { // Yang and El-Haik table 10.3
		sheet = append(sheet, estimate.Element{Repeats: 1, Handle: seconds(s)})
	}
	if got := estimate.Total(sheet); got != seconds(46) {
		t.Errorf("T2: %v, printed 46.0 s", got)
	}
	if got := estimate.Efficiency(4, estimate.Total(sheet)); math.Abs(got-0.26087) > 1e-5 {
		t.Errorf("T2: efficiency %.5f, printed 26.087 %%", got)
	}
	// Dry iron B, Open Mech. Eng. J. 10:173 table 4: the efficiency follows from
	// the printed total, which carries a misprint of two seconds in one row
	// (handle 1.95 + 5.5 printed 5.45).
	if got := estimate.Efficiency(6, seconds(174.08)); math.Abs(got-0.1034) > 5e-5 {
		t.Errorf("T3: efficiency %.4f, printed .1034", got)
	}
	handle := estimate.Element{Repeats: 1, Handle: seconds(5.5), Aside: seconds(1.95)}
	if got := handle.Time(); got != seconds(7.45) || seconds(174.08)-seconds(5.45)+got != seconds(176.08) {
		t.Errorf("T3: the row is %v; its printed 5.45 s is a misprint, the sum is 176.08 s", got)
	}
}

// TestBuilt: what is built up keeps to the published bench times, and every
// difficulty makes it longer.
func TestBuilt(t *testing.T) {
	screw := guide.Joint{Count: 1, Thread: "M6", Lengths: []float64{10}}
	easy, sheet := estimate.Built([]guide.Joint{screw}, nil, estimate.Reach{Hands: 2})
	if len(sheet) != 2 {
		t.Fatalf("%d lines, want the screw and what it held", len(sheet))
	}
	// Ten turns: the published screw, 4.2 + 8 + 1.4 s.
	if got := sheet[0].Time(); got != seconds(13.6) {
		t.Errorf("a screw of ten turns takes %v on the bench, published 13.6 s", got)
	}
	for name, r := range map[string]estimate.Reach{
		"by feel":   {Sight: guide.ByFeel, Hands: 2},
		"mirror":    {Sight: guide.ByMirror, Hands: 2},
		"one hand":  {Hands: 1},
		"dirty":     {Dirty: true, Hands: 2},
		"far":       {Far: true, Hands: 2},
		"refit":     {Refit: true, Hands: 2},
		"two there": {People: 2, Hands: 2},
	} {
		if d, _ := estimate.Built([]guide.Joint{screw}, nil, r); d <= easy {
			t.Errorf("%s: %v, no longer than %v", name, d, easy)
		}
	}
	for name, j := range map[string]guide.Joint{
		"longer": {Count: 1, Thread: "M6", Lengths: []float64{45}},
		"finer":  {Count: 1, Thread: "M6x0.75", Lengths: []float64{10}},
		"bigger": {Count: 1, Thread: "M14", Lengths: []float64{20}},
		"two":    {Count: 2, Thread: "M6", Lengths: []float64{10}},
	} {
		if d, _ := estimate.Built([]guide.Joint{j}, nil, estimate.Reach{Hands: 2}); d <= easy {
			t.Errorf("%s: %v, no longer than %v", name, d, easy)
		}
	}
	if d, sheet := estimate.Built(nil, nil, estimate.Reach{}); d != 0 || sheet != nil {
		t.Errorf("nothing known of how it is held: %v", d)
	}
	if d, _ := estimate.Built(nil, &guide.Connector{Pins: 2}, estimate.Reach{Hands: 2}); d <= 0 {
		t.Error("a connector takes no time")
	}
}

// FuzzBuilt: whatever stands in a joint, a built-up time is a time.
func FuzzBuilt(f *testing.F) {
	f.Add("M6", 3, 25.0, "by feel", 1)
	f.Add("M1e308x1", -4, -1.0, "", 0)
	f.Add("Mx", 1<<40, math.Inf(1), "mirror", 2)
	f.Add("M0.001x0.0001", 9, 1e300, "seen", 1)
	f.Fuzz(func(t *testing.T, thread string, count int, length float64, sight string, hands int) {
		j := guide.Joint{Count: count, Thread: thread, Lengths: []float64{length}}
		d, _ := estimate.Built([]guide.Joint{j}, nil, estimate.Reach{Sight: guide.Sight(sight), Hands: hands})
		if d < 0 || d > 200*365*24*time.Hour {
			t.Errorf("%d x %q of %g mm: %v", count, thread, length, d)
		}
	})
}
