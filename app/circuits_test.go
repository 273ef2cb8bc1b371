package app_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/circuit"
	"elbowroom/guide"
)

func wiring(t testing.TB, machine string, q app.Wires, log ...string) *app.Wiring {
	t.Helper()
	w, err := open(t).Circuit(app.Job{Ask: app.Ask{Machine: machine}, Log: log}, q)
	if err != nil {
		t.Fatal(err)
	}
	if w.Graph == nil {
		t.Fatal("nothing is drawn")
	}
	return w
}

func at(t testing.TB, w *app.Wiring, name string) *app.WirePoint {
	t.Helper()
	for i := range w.Points {
		if w.Points[i].Name == name {
			return &w.Points[i]
		}
	}
	t.Fatalf("no point %q", name)
	return nil
}

func drawn(w *app.Wiring) []string {
	var out []string
	for _, l := range w.Shown {
		out = append(out, string(l.ID))
	}
	return out
}

// TestCircuitOfTheCase: unasked, the wiring under suspicion is drawn.
func TestCircuitOfTheCase(t *testing.T) {
	for _, c := range []struct{ name, machine, of, want string }{
		{"case A: both knock sensors pass the valley connector", "V1", "", "knock-right"},
		{"case A: and the left one", "V1", "", "knock-left"},
		{"case B: the coolant sensor", "V2", "", "coolant-temperature"},
		{"case C: the fuse of the pump", "V3", "", "fuel-pump"},
		{"by an item", "V1", "AC07", "pump-valve"},
		{"by a name of an item", "V3", "fuel pump fuse", "fuel-pump"},
		{"by ID in small letters", "V3", "el05", "fuel-pump"},
		{"several by ID", "V3", "fuel-pump, coils-left", "coils-left"},
		{"an item of many circuits", "V1", "EL01", "rail-pressure"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := wiring(t, c.machine, app.Wires{Of: c.of})
			if !slices.Contains(drawn(w), c.want) {
				t.Errorf("drawn are %v, want %s among them", drawn(w), c.want)
			}
			if len(w.Shown)+len(w.Others) != len(w.Resolved.Guide.Circuits) {
				t.Errorf("%d drawn and %d listed of %d circuits", len(w.Shown), len(w.Others), len(w.Resolved.Guide.Circuits))
			}
		})
	}
}

// TestExpectedVoltages: what the demonstration states of its wiring: 7.18 A and
// 13.47 V at a healthy pump (circuits.yaml), 2.66 V at the pin of a coolant
// sensor of 2500 Ω behind 2200 Ω at 20 °C: 5 V x 2500/4700.
func TestExpectedVoltages(t *testing.T) {
	w := wiring(t, "V3", app.Wires{})
	pump := at(t, w, "pump, supply side")
	if e := pump.Expect[0]; math.Abs(float64(e.Volts)-13.47) > 0.005 || math.Abs(float64(e.Amperes)-7.18) > 0.005 {
		t.Errorf("pump: %s and %s, want 13.47 V and 7.18 A", e.Volts, e.Amperes)
	}
	w = wiring(t, "V2", app.Wires{})
	pin := at(t, w, "EL01 pin ECT, load side")
	if len(pin.Expect) != 2 || math.Abs(float64(pin.Expect[0].Volts)-5*2500.0/4700) > 1e-6 || pin.Expect[1].Volts >= pin.Expect[0].Volts {
		t.Errorf("pin of the coolant sensor: %+v; want 2.66 V cold and less warm", pin.Expect)
	}
	w = wiring(t, "V2", app.Wires{Given: []string{"SE03 20 °C"}})
	if pin := at(t, w, "EL01 pin ECT, load side"); len(pin.Expect) != 1 || pin.Expect[0].Says != "2.66 V, 1.06 mA" {
		t.Errorf("with the temperature said: %+v", pin.Expect)
	}
	w = wiring(t, "V3", app.Wires{Given: []string{"EL02 12.6 V"}})
	if e := at(t, w, "pump, supply side").Expect[0]; math.Abs(float64(e.Volts)-13.47*12.6/13.9) > 0.005 {
		t.Errorf("at 12.6 V the pump gets %s", e.Volts)
	}
	w = wiring(t, "V3", app.Wires{Given: []string{"EL06 off"}})
	if e := at(t, w, "EL05 fuse, supply side").Expect[0]; e.Amperes != 0 {
		t.Errorf("with the relay off %s flow", e.Amperes)
	}
}

// TestMinutesToPoints: the minutes are those of a visit that only goes there
// and leaves everything open.
func TestMinutesToPoints(t *testing.T) {
	a := open(t)
	seen := 0
	for _, c := range []struct{ name, machine, of, item string }{
		{"fuse in the open", "V3", "fuel-pump", "EL05"},
		{"valley connector under the plenum", "V1", "knock-right", "X3"},
		{"control unit", "V1", "knock-right", "EL01"},
		{"sensor ground", "V2", "coolant-temperature", "G5"},
		{"coolant sensor through the hatch", "V2", "coolant-temperature", "SE03"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := wiring(t, c.machine, app.Wires{Of: c.of})
			ans, err := a.Plan(app.Ask{Machine: c.machine, Tasks: []string{"check:" + c.item}, Leave: []string{"all"}})
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range w.Points {
				if string(p.Item) != c.item || !p.Touch {
					continue
				}
				seen++
				if !p.Known || p.Minutes != ans.Plan.Cost.Total() {
					t.Errorf("%s: %v (%v), a visit says %v", p.Name, p.Minutes, p.Known, ans.Plan.Cost.Total())
				}
			}
		})
	}
	if seen < 5 {
		t.Errorf("only %d points compared", seen)
	}
	w := wiring(t, "V3", app.Wires{Of: "fuel-pump"})
	if p := at(t, w, "EL06 relay, load side"); p.Known {
		t.Errorf("the guide has no way to the relay, and it is reached in %v", p.Minutes)
	}
	if p := at(t, w, "EL02 supply +"); !p.Known || p.Minutes != 0 {
		t.Errorf("the battery posts stand open: %v %v", p.Minutes, p.Known)
	}
}

// TestMinutesFollowTheStrip: what is off already is not paid again.
func TestMinutesFollowTheStrip(t *testing.T) {
	a := open(t)
	closed, err := a.Circuit(app.Job{Ask: app.Ask{Machine: "V2"}}, app.Wires{})
	if err != nil {
		t.Fatal(err)
	}
	opened, err := a.Circuit(app.Job{Ask: app.Ask{Machine: "V2", Start: []string{"PN03"}}}, app.Wires{})
	if err != nil {
		t.Fatal(err)
	}
	before, after := at(t, closed, "SE03 sensor, supply side").Minutes, at(t, opened, "SE03 sensor, supply side").Minutes
	if after >= before || after <= 0 {
		t.Errorf("%v with the hatch shut, %v with it open", before, after)
	}
}

// TestMarks: readings stand at the points where they were taken, each with the
// verdict of its own item.
func TestMarks(t *testing.T) {
	for _, c := range []struct {
		name, machine, of, log, point string
		verdict                       circuit.Verdict
		read                          string
	}{
		{"drop at the load side of the fuse", "V3", "fuel-pump", "T52: 2.71 V, low-pressure pump running, full load, as T50", "EL05 fuse, load side", circuit.NonConforming, "2.71 V"},
		{"the bad one of two sensors", "V1", "knock-right", insulation, "EL01 pin knock 1", circuit.NonConforming, "38 kΩ"},
		{"the good one of two sensors", "V1", "knock-left", insulation, "EL01 pin knock 2", circuit.Conforming, "> 10 MΩ"},
		{"the sensor half of a connector", "V1", "knock-right", "T36: right > 10 MΩ, X3 apart, meter 50 V", "X3 pin 1, load side", circuit.Conforming, "> 10 MΩ"},
		{"the harness half of a connector", "V1", "knock-right", "T37: right 36 kΩ, X3 apart, EL01 unplugged, meter 50 V", "X3 pin 1, supply side", circuit.NonConforming, "36 kΩ"},
		{"conditions not said", "V1", "knock-right", "T36: right 36 kΩ", "X3 pin 1, load side", circuit.NotComparable, "36 kΩ"},
		{"a pin that the check names", "V2", "coolant-temperature", "T10: 31 mV, coolant 85 °C, speed 750 rpm", "EL01 pin sensor ground, supply side", circuit.NonConforming, "31 mV"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := wiring(t, c.machine, app.Wires{Of: c.of}, c.log)
			p := at(t, w, c.point)
			if p.Verdict != c.verdict || p.Read != c.read {
				t.Errorf("%s %q, want %s %q", p.Verdict, p.Read, c.verdict, c.read)
			}
			if len(w.Elsewhere) != 0 {
				t.Errorf("said to be read elsewhere too")
			}
		})
	}
}

const insulation = "T35: right 38 kΩ, left > 10 MΩ, unplugged, meter 50 V, ambient 18 °C, dry"

// TestReadElsewhere: a reading in the data link says something of the sensor,
// but not at a point of its wiring.
func TestReadElsewhere(t *testing.T) {
	w := wiring(t, "V2", app.Wires{Of: "coolant-temperature"}, "T13: spread 1.2 K, standing 9 h")
	if len(w.Elsewhere) != 1 {
		t.Errorf("%d readings elsewhere", len(w.Elsewhere))
	}
	for _, p := range w.Points {
		if p.Verdict != circuit.NotMeasured {
			t.Errorf("%s is marked %s", p.Name, p.Verdict)
		}
	}
}

// TestMeasureInstead: the far end of the knock line is measured at the control unit in
// 6 minutes instead of 16 at the connector under the plenum.
func TestMeasureInstead(t *testing.T) {
	w := wiring(t, "V1", app.Wires{Of: "knock-right"})
	p := at(t, w, "SE13 sensor")
	if len(p.Instead) < 2 || p.Instead[0].Item != "EL01" || p.Instead[0].Minutes != 6*time.Minute || p.Instead[1].Item != "X3" || !strings.Contains(p.Instead[0].Between, "2.6 m of wire") {
		t.Errorf("%+v", p.Instead)
	}
	if !slices.IsSortedFunc(p.Instead, func(a, b app.Instead) int { return int(a.Minutes - b.Minutes) }) {
		t.Error("not ranked by minutes")
	}
}

// TestHangs: what else a lost sensor ground takes along, on circuits that are
// not drawn too.
func TestHangs(t *testing.T) {
	w := wiring(t, "V2", app.Wires{Of: "coolant-temperature"})
	hangs := at(t, w, "G5 ground").Hangs
	for _, want := range []guide.ID{"SE03", "SE15", "EL01"} {
		if !slices.ContainsFunc(hangs, func(h app.Hanging) bool { return h.Item == want && h.How != "" }) {
			t.Errorf("%s does not hang on G5: %v", want, hangs)
		}
	}
}

// TestSplit: the first test divides the suspicion, and no test is asked that
// could not tell anything.
func TestSplit(t *testing.T) {
	w := wiring(t, "V3", app.Wires{})
	if len(w.Splits) == 0 {
		t.Fatal("nothing to test")
	}
	first := w.Splits[0]
	if first.Item != "EL05" || first.Depth != 0 || first.Expected <= 0 || first.Worst < first.Expected {
		t.Errorf("%+v", first)
	}
	for _, s := range w.Splits {
		if s.Before <= 0 || s.After <= 0 || math.Abs(s.Before+s.After-1) > 1e-9 {
			t.Errorf("%s: %v before, %v after", s.Name, s.Before, s.After)
		}
		if s.Depth > 0 && s.When == "" {
			t.Errorf("%s: nobody knows when", s.Name)
		}
	}
}

// TestSplitTells: what a test is said to tell agrees with what its point reads
// with a fault on either side: on the supply side resistance before it lowers
// the voltage, on the ground side resistance behind it raises it, and on a line
// that nothing feeds both halves are measured.
func TestSplitTells(t *testing.T) {
	for _, c := range []struct {
		name, machine, of, point, says string
		before, behind                 string // places of faults on either side
	}{
		{"supply side of the pump", "V3", "fuel-pump", "EL05 fuse, load side", "too low: it lies before; else behind", "wire from EL06 relay to EL05 fuse", "wire from EL05 fuse to X1"},
		{"ground side of the coolant sensor", "V2", "coolant-temperature", "SE03 sensor, load side", "too high: it lies behind; else before", "wire from EL01 pin ECT to SE03 sensor", "wire from SE03 sensor to EL01 pin sensor ground"},
		{"a line that nothing feeds", "V1", "knock-right", "X3 pin 1, load side", "part the line there and measure both halves", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := wiring(t, c.machine, app.Wires{Of: c.of})
			if first := w.Splits[0]; first.Name != c.point || first.Says != c.says {
				t.Fatalf("first %s: %s", first.Name, first.Says)
			}
			compared := 0
			for _, f := range w.Faults {
				off := 0.0
				for _, r := range f.Reads {
					if r.Name == c.point {
						off = float64(r.Volts - r.Should)
					}
				}
				low, high := off < -0.1, off > 0.1
				told := low
				if strings.HasPrefix(c.says, "too high") {
					told = high
				}
				switch f.Place {
				case c.before:
					compared++
					if told != strings.HasPrefix(c.says, "too low") {
						t.Errorf("%s %s, before the point: %+.2f V off", f.Place, f.Case, off)
					}
				case c.behind:
					compared++
					if told != strings.HasPrefix(c.says, "too high") {
						t.Errorf("%s %s, behind the point: %+.2f V off", f.Place, f.Case, off)
					}
				}
			}
			if c.before != "" && compared != 4 {
				t.Errorf("%d cases compared, want 4", compared)
			}
		})
	}
}

// TestFaultsPredict: an open fuse takes the voltage away behind it; resistance
// in the contact of the coolant sensor shows a colder engine (case B).
func TestFaultsPredict(t *testing.T) {
	w := wiring(t, "V3", app.Wires{})
	open := -1
	for i, f := range w.Faults {
		if f.Place == "EL05 fuse" && f.Case == "interrupted" {
			open = i
		}
	}
	if open < 0 {
		t.Fatalf("the suspected fuse is not among %d cases", len(w.Faults))
	}
	for _, r := range w.Faults[open].Reads {
		if behind := r.Name == "EL05 fuse, load side" || strings.HasPrefix(r.Name, "X1"); behind != (r.Volts == 0) {
			t.Errorf("%s reads %s with the fuse open", r.Name, r.Volts)
		}
	}
	w = wiring(t, "V2", app.Wires{})
	colder := false
	for _, f := range w.Faults {
		for _, s := range f.Shown {
			colder = colder || strings.HasPrefix(s, "SE03 is shown as 48.") && strings.HasSuffix(s, "instead of 90 °C")
		}
	}
	if !colder {
		t.Error("no case shows a colder engine")
	}
}

// TestLocate: case C: 0.45 Ω sit in the fuse holder (demonstration, case C:
// 2.71 V from battery to F14, 0.09 V to the relay output, 26.8 mV across F14).
func TestLocate(t *testing.T) {
	for _, c := range []struct {
		name     string
		measured []string
	}{
		{"drops, one entry each", []string{"EL02 to EL06 load side 0.09 V", "EL02 to EL05 supply side 2.71 V", "EL05 supply side to EL05 load side 26.8 mV ± 0.3 mV"}},
		{"in one line", []string{"EL02 to EL06 load side 0.09 V, EL02 to EL05 supply side 2.71 V; EL05 supply side to EL05 load side 26.8 mV"}},
		{"with a clamp instead", []string{"EL02 to EL06 load side 0.09 V", "EL02 to EL05 supply side 2.71 V", "5.83 A"}},
		{"decimal commas", []string{"EL02 to EL06 load side 0,09 V, EL02 to EL05 supply side 2,71 V, 5,83 A at EL05 supply side"}},
		{"voltages against the battery negative", []string{"EL02 13.90 V ± 0.01 V, EL06 load side 13.81 V ± 0.01 V, f14 supply side 11.19 V ± 0.01 V, 5.83 A"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := wiring(t, "V3", app.Wires{Of: "EL05", Measured: c.measured}).Located
			if l == nil || l.Worst < 0 {
				t.Fatalf("nothing found: %+v", l)
			}
			s := l.Stretches[l.Worst]
			if x := float64(s.Extra); math.Abs(x-0.45) > 0.005 || s.U <= 0 || float64(s.U) > 0.05 {
				t.Errorf("%v ± %v Ω, want 0.45", x, 2*float64(s.U))
			}
			if l.Lines[l.Worst].From != "EL06 relay, load side" || l.Lines[l.Worst].To != "EL05 fuse, supply side" || !l.Lines[l.Worst].Worst {
				t.Errorf("%+v", l.Lines[l.Worst])
			}
		})
	}
}

// TestLimitsAtPoints: the coil of the metering valve measures more at the
// control unit, by the two wires.
func TestLimitsAtPoints(t *testing.T) {
	w := wiring(t, "V1", app.Wires{Of: "AC07"})
	limit := at(t, w, "EL01 pin metering valve +").Limits
	if len(limit) != 1 || limit[0].Written || limit[0].Limit != "0.5832..0.6832 Ω" || len(limit[0].Steps) == 0 {
		t.Errorf("%+v", limit) // 2 x 1.6 m of 0.75 mm², 26 Ω/km (IEC 60228, class 5): 83.2 mΩ
	}
	if own := at(t, w, "AC07 load, supply side").Limits; len(own) != 1 || !own[0].Written {
		t.Errorf("%+v", own)
	}
}

// TestWiringRefuses: bad questions say what is wrong and what is near.
func TestWiringRefuses(t *testing.T) {
	a := open(t)
	for _, c := range []struct {
		name string
		q    app.Wires
		want string
	}{
		{"no such circuit", app.Wires{Of: "fuel-pmp"}, "fuel-pump"},
		{"an item without wiring", app.Wires{Of: "PN01"}, "the wiring of the"},
		{"only commas", app.Wires{Of: ", ,"}, "write the ID"},
		{"side not said", app.Wires{Of: "fuel-pump", Measured: []string{"EL05 13.6 V"}}, "EL05 fuse supply side or EL05 fuse load side"},
		{"no unit", app.Wires{Of: "fuel-pump", Measured: []string{"EL05 load side 13.6"}}, "measured 1"},
		{"an unknown unit", app.Wires{Of: "fuel-pump", Measured: []string{"EL05 load side 13.6 Vx"}}, "not a value"},
		{"a resistance", app.Wires{Of: "fuel-pump", Measured: []string{"EL05 load side 13.6 Ω"}}, "neither a voltage nor a current"},
		{"no place", app.Wires{Of: "fuel-pump", Measured: []string{"13.6 V"}}, "does not say where"},
		{"no such place, second entry", app.Wires{Of: "fuel-pump", Measured: []string{"7.2 A", "EL55 load side 13.6 V"}}, "measured 2"},
		{"both ends the same", app.Wires{Of: "fuel-pump", Measured: []string{"EL05 load side to EL05 load side 1 V"}}, "both ends"},
		{"uncertainty in another unit", app.Wires{Of: "fuel-pump", Measured: []string{"EL05 load side 1 V ± 1 A"}}, "no uncertainty"},
		{"two lines at once", app.Wires{Of: "coils-right, coils-left", Measured: []string{"EL08 13 V", "EL09 13 V"}}, "do not lie on one path"},
		{"given of another wiring", app.Wires{Of: "fuel-pump", Given: []string{"SE03 90 °C"}}, "nothing of this wiring"},
		{"given without a value", app.Wires{Of: "fuel-pump", Given: []string{"EL02 full"}}, "EL02 12.6 V"},
		{"given that does not fit", app.Wires{Of: "coolant-temperature", Given: []string{"SE03 5 bar"}}, "nothing here"},
		{"wires without a temperature", app.Wires{Of: "fuel-pump", Given: []string{"wires 3 V"}}, "wires 80 °C"},
		{"wires that cannot be", app.Wires{Of: "fuel-pump", Given: []string{"wires -300 °C"}}, "bad input"},
		{"too long", app.Wires{Of: strings.Repeat("x", 300)}, "longer than"},
		{"too many", app.Wires{Measured: make([]string, 300)}, "more than"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := a.Circuit(app.Job{Ask: app.Ask{Machine: "V3"}}, c.q)
			if err == nil || !strings.Contains(err.Error(), c.want) || !errors.Is(err, app.ErrInput) && !errors.Is(err, app.ErrUnknown) {
				t.Errorf("%v; want %q", err, c.want)
			}
		})
	}
}

// TestNothingSuspected: without suspicion on any wiring nothing is drawn, and
// the circuits are listed.
func TestNothingSuspected(t *testing.T) {
	w, err := open(t).Circuit(app.Job{Ask: app.Ask{Machine: "V2"}, Complaint: "door mirror loose", Log: []string{"repaired F13", "repaired F12", "repaired F04", "repaired F03"}}, app.Wires{})
	if err != nil {
		t.Fatal(err)
	}
	if (w.Graph == nil) != (len(w.Shown) == 0) || len(w.Shown)+len(w.Others) != len(w.Resolved.Guide.Circuits) {
		t.Errorf("%d drawn, %d listed", len(w.Shown), len(w.Others))
	}
}

// TestSameWiringSameAnswer: the order never depends on a map.
func TestSameWiringSameAnswer(t *testing.T) {
	a := open(t)
	names := func() string {
		w, err := a.Circuit(app.Job{Ask: app.Ask{Machine: "V1"}}, app.Wires{Of: "EL01"})
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		for _, p := range w.Points {
			fmt.Fprintln(&b, p.Key, p.Hangs, p.Instead, p.Limits)
		}
		return b.String() + strings.Join(w.Assumes, ";") + strings.Join(w.Notes, ";")
	}
	first := names()
	for range 5 {
		if names() != first {
			t.Fatal("another order")
		}
	}
}

// FuzzWires: whatever is typed about wiring, the answer is an error of input or
// an answer, never a panic.
func FuzzWires(f *testing.F) {
	for _, s := range [][3]string{
		{"fuel-pump", "EL02 12.6 V", "EL05 supply side 13.6 V, 7.2 A"},
		{"EL01", "SE03 90 °C", "EL02 to EL05 load side 2,71 V ± 0.1 V"},
		{"coolant-temperature", "SE03 400 °C", "battery negative to SE03 load side -1 V"},
		{"", "wires 80 °C", "EL05 1e300 V; - to - 1 V\n5 A at G5"},
		{"coils-right,coils-left", "EL04 off", "EL08 1 V"},
	} {
		f.Add(s[0], s[1], s[2])
	}
	a := open(f)
	f.Fuzz(func(t *testing.T, of, given, measured string) {
		w, err := a.Circuit(app.Job{Ask: app.Ask{Machine: "V3"}}, app.Wires{Of: of, Given: []string{given}, Measured: []string{measured}})
		if err != nil && !errors.Is(err, app.ErrInput) && !errors.Is(err, app.ErrUnknown) {
			t.Fatalf("%q %q %q: %v", of, given, measured, err)
		}
		if err == nil && w == nil {
			t.Fatal("neither an answer nor an error")
		}
	})
}

func BenchmarkCircuit(b *testing.B) {
	a := open(b)
	for b.Loop() {
		w, err := a.Circuit(app.Job{Ask: app.Ask{Machine: "V1"}}, app.Wires{})
		if err != nil || len(w.Points) < 5 {
			b.Fatal(err)
		}
	}
}
