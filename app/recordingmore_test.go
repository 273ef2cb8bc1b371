package app

import (
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"elbowroom/reading"
	"elbowroom/reading/record"
)

// warmUp is a drive from 20 °C that reaches 82 °C after so many minutes, as a
// table and as a capture of a bus: 7E8 answers for coolant (PID 05, A-40 °C),
// engine speed (0C, A·256+B over 4) and road speed (0D) of SAE J1979.
func warmUp(minutes float64) (table, capture string) {
	var t, c strings.Builder
	t.WriteString("Time (s),ECT (°C),Engine speed (rpm),Vehicle speed (km/h)\n")
	for i := range 60 * 16 {
		coolant := 20.0
		speed, road := 0, 0
		if i >= 20 {
			coolant, speed, road = min(90, 20+62*float64(i-20)/(60*minutes)), 1800, 50
		}
		fmt.Fprintf(&t, "%d,%.0f,%d,%d\n", i, coolant, speed, road)
		for k, data := range [][]byte{{0x41, 0x05, byte(math.Round(coolant) + 40)}, {0x41, 0x0C, byte(speed * 4 >> 8), byte(speed * 4)}, {0x41, 0x0D, byte(road)}} {
			fmt.Fprintf(&c, "(%.6f) can0 7E8#%02X%X\n", 1700000000+float64(i)+0.01*float64(k), len(data), data)
		}
	}
	return t.String(), c.String()
}

// TestTimeUntilFromRecordings: T16 of the demonstration, at most nine minutes.
func TestTimeUntilFromRecordings(t *testing.T) {
	a := onDemo(t)
	for _, c := range []struct {
		name    string
		minutes float64
		want    reading.Outcome
	}{{"healthy", 7.6, reading.Conforming}, {"thermostat stuck open", 12.5, reading.NonConforming}} {
		table, capture := warmUp(c.minutes)
		for form, text := range map[string]string{"table": table, "capture": capture} {
			r, err := a.Recording(RecordingAsk{Ask: Ask{Machine: "V2"}, Check: "T16", File: RecordingFile{"drive.log", strings.NewReader(text)}})
			if err != nil {
				t.Fatalf("%s as %s: %v", c.name, form, err)
			}
			k := r.First.Checks[0]
			if k.Outcome != c.want || len(k.Stretches) != 1 {
				t.Errorf("%s as %s: %s, %d stretches: %s", c.name, form, k.Outcome, len(k.Stretches), k.Says)
				continue
			}
			if got := k.Stretches[0].Stretch.Judged.Mean; math.Abs(got-c.minutes) > 0.15 {
				t.Errorf("%s as %s: %v min", c.name, form, got)
			}
			n, err := a.Suspects(Job{Ask: Ask{Machine: "V2"}, Log: []string{k.Stretches[0].Entry}})
			if err != nil || n.Log[0].Verdict.Outcome != c.want {
				t.Errorf("%s as %s: the entry %q in the job: %v", c.name, form, k.Stretches[0].Entry, err)
			}
			if (form == "capture") != (r.First.Captured != nil) {
				t.Errorf("%s: captured %+v", form, r.First.Captured)
			}
		}
	}
}

func TestCapturesThatCannotBeJudged(t *testing.T) {
	a := onDemo(t)
	for _, c := range []struct{ name, text, want string }{
		{"no times", strings.Repeat("can0 7E8 [3] 41 05 7B\n", 30), "no times"},
		{"nothing public in it", strings.Repeat("(1.5) can0 123#0102\n", 30), "no data that public on-board diagnostics carry"},
	} {
		_, err := a.Recording(RecordingAsk{Ask: Ask{Machine: "V2"}, Check: "T16", File: RecordingFile{"x.log", strings.NewReader(c.text)}})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// TestSeriesAsATable: every value stands once, in the row of its moment.
func TestSeriesAsATable(t *testing.T) {
	text := "(10.0) can0 7E8#0341057B\n(10.5) can0 7E8#04410C1AF8\n(11.0) can0 7E9#0341057A\n(11.0) can0 7E8#0341057C\n"
	table, c, _, err := readCapture(RecordingFile{"x", strings.NewReader(text)})
	if err != nil {
		t.Fatal(err)
	}
	out, err := io.ReadAll(table)
	want := "time (s);\"engine coolant temperature 7E8 (°C)\";\"engine speed (rpm)\";\"engine coolant temperature 7E9 (°C)\"\n" +
		"0.000000;83;;\n0.500000;;1726;\n1.000000;84;;82\n"
	if err != nil || string(out) != want {
		t.Errorf("%v\n%s\nwant\n%s", err, out, want)
	}
	if c.Frames != 4 || c.Channels != 3 || len(c.Units) != 2 {
		t.Errorf("%+v", c)
	}
}

// TestComparisonsFromRecordings: two channels as one, and the parts of a check
// that compares.
func TestComparisonsFromRecordings(t *testing.T) {
	a := onDemo(t)
	var b strings.Builder
	b.WriteString("Time (s),ECT (°C),Housing (°C),n (rpm),LR,LL,Soll (bar),Ist (bar)\n")
	for i := range 3000 {
		wobble := 0.05 * math.Sin(float64(i)*1.7)
		fmt.Fprintf(&b, "%.1f,%.2f,%.2f,%.1f,%.4f,%.4f,%.2f,%.2f\n", float64(i)/10, 90+wobble, 98.2-wobble, 750+wobble, 1+wobble/50, 1.05+wobble/50, 180+wobble, 111-wobble)
	}
	for _, c := range []struct {
		check, judged string
		settled, said []string
		want          reading.Outcome
		judges        string
	}{
		{"T14", "", []string{"Housing = housing °C", "ECT = coolant °C"}, []string{"fan off", "coolant 90 °C"}, reading.NonConforming, "housing minus coolant"},
		{"T67", "", []string{"LR = lambda right", "LL = lambda left", "ECT = coolant °C", "n = speed rpm"}, []string{"closed loop"}, reading.NonConforming, "lambda right, lambda left"},
		{"T55", "Soll minus Ist", []string{"Soll = Soll bar", "Ist = Ist bar"}, nil, reading.NonConforming, "Soll minus Ist"},
	} {
		r, err := a.Recording(RecordingAsk{
			Ask: Ask{Machine: "V2"}, Check: c.check, Judged: c.judged, Settled: c.settled, Said: c.said, File: RecordingFile{"x.csv", strings.NewReader(b.String())},
		})
		if err != nil {
			t.Fatalf("%s: %v", c.check, err)
		}
		k := r.First.Checks[0]
		if got := k.Answer.Question.Wanted(); got != c.judges {
			t.Errorf("%s judges %q, want %q", c.check, got, c.judges)
		}
		if len(k.Stretches) == 0 || k.Stretches[0].Verdict.Would != c.want {
			t.Errorf("%s: %s %+v", c.check, k.Says, k.Answer)
			continue
		}
		if _, err := reading.Read(r.Resolved, k.Stretches[0].Entry); err != nil {
			t.Errorf("%s: entry %q: %v", c.check, k.Stretches[0].Entry, err)
		}
		if len(k.Plot.Panels) < 2 {
			t.Errorf("%s: %d channels are drawn", c.check, len(k.Plot.Panels))
		}
	}
}

// TestPulsesFromRecordings: T27 at a wheel of 60-2 (the target wheel of a
// published data sheet of a Hall speed sensor), read at 20 kHz.
func TestPulsesFromRecordings(t *testing.T) {
	a := onDemo(t)
	var b strings.Builder
	b.WriteString("t [s];CH1 [V]\n")
	for i := range 40000 {
		tooth := math.Mod(float64(i)/20000*200/60, 1) * 60
		v := 0.1
		if tooth < 58 && tooth-math.Floor(tooth) < 0.5 {
			v = 4.8
		}
		fmt.Fprintf(&b, "%.5f;%.2f\n", float64(i)/20000, v)
	}
	r, err := a.Recording(RecordingAsk{
		Ask: Ask{Machine: "V2"}, Check: "T27", Judged: "pattern of crank signal", Settled: []string{"CH1 = crank signal V"},
		File: RecordingFile{"scope.csv", strings.NewReader(b.String())},
	})
	if err != nil {
		t.Fatal(err)
	}
	k := r.First.Checks[0]
	if k.Outcome != reading.Conforming {
		t.Fatalf("%s: %+v", k.Says, k.Stretches)
	}
	entry := k.Stretches[0].Entry
	if !strings.Contains(entry, "58 pulses and a gap per turn") || !strings.Contains(entry, "low 0.1 V") || !strings.Contains(entry, "cranking speed 200 rpm") {
		t.Error(entry)
	}
	q, err := a.Suspects(Job{Ask: Ask{Machine: "V2"}, Log: []string{entry}})
	if err != nil || q.Log[0].Verdict.Outcome != reading.Conforming {
		t.Errorf("in the job: %v", err)
	}
}

// TestWhatCannotBeCompared: two recordings of a time are both judged, and it is
// said that they are not compared further.
func TestWhatCannotBeCompared(t *testing.T) {
	before, _ := warmUp(12.5)
	after, _ := warmUp(7.6)
	r, err := onDemo(t).Recording(RecordingAsk{
		Ask: Ask{Machine: "V2"}, Check: "T16", File: RecordingFile{"before.csv", strings.NewReader(before)},
		After: func() (*RecordingFile, error) { return &RecordingFile{"after.csv", strings.NewReader(after)}, nil },
	})
	if err != nil || r.Outcome != reading.Conforming || r.First.Checks[0].Outcome != reading.NonConforming || r.Change == nil || r.Change.Outcome == record.Compared {
		t.Errorf("%v %+v", err, r)
	}
}

// TestNamesOfJudgedChannels: what a form offers as the meaning of a channel.
func TestNamesOfJudgedChannels(t *testing.T) {
	a := onDemo(t)
	for check, want := range map[string]string{
		"T16": "coolant", "T56": "rail pressure commanded|rail pressure", "T14": "housing temperature|coolant temperature", "T67": "lambda right|lambda left",
		"T50": "low fuel pressure", "T40": "noise level right|noise level left", "T27": "signal pattern",
	} {
		w, err := a.Walk(Ask{Machine: "V2"}, check)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(ChannelsOf(w.Check), "|"); got != want {
			t.Errorf("%s: %q, want %q", check, got, want)
		}
	}
}
