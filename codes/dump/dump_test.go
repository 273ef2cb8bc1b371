package dump

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"elbowroom/codes"
	"elbowroom/codes/answer"
	"elbowroom/codes/live"
	"elbowroom/internal/corpus"
	"elbowroom/span"
)

// TestDumps runs the cases of testdata: a text, and what is found in it.
func TestDumps(t *testing.T) {
	for _, name := range corpus.Files(t, "testdata/*.txt") {
		corpus.Run(t, name, func(t *testing.T, c corpus.Case) string {
			opt := Options{}
			switch c.Args {
			case "can":
				opt.Link = answer.CAN
			case "older":
				opt.Link = answer.Older
			}
			return summary(Read(c.Input, opt))
		})
	}
}

func code(c codes.Seen) string {
	s := fmt.Sprintf("%s at %s", c.Code, c.Pos)
	if c.Memory != "" {
		s += ", " + string(c.Memory)
	}
	if c.Unit != "" {
		s += ", of " + c.Unit
	}
	if c.HasStatus {
		s += fmt.Sprintf(", status %s", c.Status)
	}
	if !c.Distance.Zero() {
		s += ", " + c.Distance.String()
	}
	if c.Times > 0 {
		s += fmt.Sprintf(", %d times", c.Times)
	}
	if c.Words != "" {
		s += fmt.Sprintf(": %q", c.Words)
	}
	return s
}

// summary prints a dump for people.
func summary(d *Dump) string {
	var b strings.Builder
	for _, c := range d.Codes {
		fmt.Fprintln(&b, code(c))
	}
	for _, e := range d.Either {
		b.WriteString("either")
		for _, c := range e {
			b.WriteString(" " + c.Code.String())
		}
		b.WriteString("\n")
	}
	for _, m := range d.None {
		fmt.Fprintf(&b, "none %s\n", m)
	}
	for _, v := range d.Values {
		fmt.Fprintf(&b, "%s = %s at %s", v.Name, v.Value, v.Pos)
		if v.Channel != "" {
			fmt.Fprintf(&b, ", channel %s", v.Channel)
		}
		if v.Frozen {
			b.WriteString(", frozen")
		}
		if v.Unit != "" {
			b.WriteString(", of " + v.Unit)
		}
		b.WriteString("\n")
	}
	for _, m := range d.Monitors {
		fmt.Fprintf(&b, "monitor %+v\n", m)
	}
	if d.Lamp != nil {
		fmt.Fprintf(&b, "lamp %v\n", *d.Lamp)
	}
	if !d.Distance.Zero() {
		fmt.Fprintf(&b, "distance %s\n", d.Distance)
	}
	for _, c := range d.Controls {
		fmt.Fprintf(&b, "control unit %s, %d codes, support %v\n", c.Name, len(c.Codes), c.Support)
	}
	for _, s := range d.Series {
		fmt.Fprintf(&b, "series %s %s %v %s\n", s.Control, s.Channel, s.Value, s.Unit)
	}
	for _, r := range d.Ready {
		fmt.Fprintf(&b, "readiness %s lamp %v, %d codes, open %v\n", r.PID, r.Lamp, r.Codes, r.Open())
	}
	for _, s := range d.Support {
		fmt.Fprintf(&b, "support %v\n", s.Items)
	}
	for _, i := range d.Info {
		fmt.Fprintf(&b, "%s %q\n", i.Name, i.Text)
	}
	for _, l := range d.Asked {
		fmt.Fprintf(&b, "asked at %s: %s\n", l.Pos, l.Text)
	}
	for _, l := range d.Unread {
		fmt.Fprintf(&b, "unread %s: %q\n", l.Pos, l.Text)
	}
	for _, f := range d.Findings {
		fmt.Fprintln(&b, f)
	}
	return b.String()
}

func TestNumbers(t *testing.T) {
	for _, c := range []struct{ text, want, why string }{
		{"83 °C", "83 °C", "plain"},
		{"83°C", "83 °C", "without a space"},
		{"83 C", "83 °C", "degrees in one letter"},
		{"181 F", "181 °F", "degrees of the other kind"},
		{"1726 RPM", "1726 rpm", "capitals"},
		{"1726 /min", "1726 rpm", "per minute"},
		{"12,4 V", "12.4 V", "a decimal comma"},
		{"0,996 V", "0.996 V", "nought in front: no thousands"},
		{"1,250 V", "?", "1.25 or 1250"},
		{"1.250 V", "1.25 V", "a point is a decimal point"},
		{"1,234.5 kPa", "1234.5 kPa", "comma between thousands, point before the tenths"},
		{"1.234,5 kPa", "1234.5 kPa", "the other way round"},
		{"1,234,567 km", "1234567 km", "two groups"},
		{"123 456 km", "123456 km", "groups apart"},
		{"123.456 km", "?", "nobody reads metres from an odometer"},
		{"1234.5 km", "1234.5 km", "tenths"},
		{"-12.5 %", "-12.5 %", "below nought"},
		{"007 km", "7 km", "noughts in front"},
		{"0 rpm", "0 rpm", "nought"},
		{"83", "83", "no unit"},
		{"12.03.2024", "", "a date"},
		{"10:45", "", "a time of day"},
		{"83 sunny days", "", "a sentence"},
		{"83 inHg", "?", "a unit that is not known"},
		{"on", "", "a word"},
		{"", "", "nothing"},
		{"12 34 V", "", "two numbers"},
	} {
		v, q, ok := measured(c.text)
		got := v.String()
		if q != nil {
			got = "?"
		}
		if got != c.want || ok != (c.want != "") {
			t.Errorf("%s: %q is %q, %v; want %q", c.why, c.text, got, ok, c.want)
		}
	}
}

// TestValuesThereAndBack: what a live value prints as is read back to it, on
// its channel.
func TestValuesThereAndBack(t *testing.T) {
	var numbers []live.Item
	for _, it := range live.Items() {
		if it.Kind == live.Numbers {
			numbers = append(numbers, it)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		it := rapid.SampledFrom(numbers).Draw(t, "item")
		values, err := live.Decode(it.PID, rapid.SliceOfN(rapid.Byte(), it.Length, it.Length).Draw(t, "data"))
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range values {
			if v.Unused || v.Value.Unit == "1" {
				continue // a number without unit is asked for one elsewhere
			}
			d := Read(v.Channel+": "+v.Value.String(), Options{})
			if v.Value.Unit == "km" && len(d.Values) == 0 {
				continue
			}
			if len(d.Values) != 1 || d.Values[0].Value != v.Value || d.Values[0].Channel != v.Channel {
				t.Fatalf("%s %s came back as %s", v.Channel, v.Value, summary(d))
			}
		}
	})
}

// TestCodesThereAndBack: any code in a line of words is found at its place.
func TestCodesThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := codes.Full{Code: codes.Code(rapid.Uint16().Draw(t, "code"))}
		if rapid.Bool().Draw(t, "typed") {
			f.Typed, f.Type = true, codes.FailureType(rapid.Byte().Draw(t, "type"))
		}
		before := rapid.SampledFrom([]string{"", "- ", "  ", "Ölsensor "}).Draw(t, "before")
		after := rapid.SampledFrom([]string{"", " sensor circuit low", "\tpending"}).Draw(t, "after")
		d := Read(before+f.String()+after, Options{})
		if len(d.Codes) != 1 || d.Codes[0].Code != f || d.Codes[0].Pos.Col != len([]rune(before))+1 {
			t.Fatalf("%s came back as %s", f, summary(d))
		}
	})
}

// FuzzRead: no text panics, and every line that is not blank is somewhere: in a
// code, a value, a finding, a heading that was used, or among the unread.
func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"Stored codes: 2\nP0327-1C knock sensor 1\nPO332\n", "Coolant temperature: 83 °C", "7E8 06 41 00 BE 3F A8 13\n41 05 7B",
		"43 01 33 00 00 00 00", "(1.0) can0 7E8#0341057B", "odometer = 123.456 km", "MIL: on\ncatalyst: ready", "10 14 49 02 01 45 4C 42\n21 30 30 30 30 30 30 30",
	} {
		f.Add(s, byte(0))
	}
	f.Fuzz(func(t *testing.T, text string, link byte) {
		d := Read(text, Options{Link: answer.Link(link % 3)})
		for _, x := range d.Findings {
			if x.Says == "" || x.Severity < span.Error {
				t.Fatalf("%q: %+v", text, x)
			}
		}
		lines := strings.Split(strings.TrimPrefix(text, "\uFEFF"), "\n")
		for _, l := range d.Unread {
			if l.Pos.Line < 1 || l.Pos.Line > len(lines) {
				t.Fatalf("%q: unread %v", text, l)
			}
		}
		for _, c := range d.Codes {
			if c.Pos.Line < 1 || c.Pos.Col < 1 {
				t.Fatalf("%q: %v has no place", text, c)
			}
		}
		if len(lines) == 1 && strings.TrimSpace(text) != "" && len(d.Codes)+len(d.Either)+len(d.None)+len(d.Values)+len(d.Monitors)+len(d.Controls)+
			len(d.Series)+len(d.Ready)+len(d.Support)+len(d.Info)+len(d.Asked)+len(d.Unread)+len(d.Findings) == 0 && d.Lamp == nil && d.Distance.Zero() && !soleContext(text) {
			t.Fatalf("%q vanished", text)
		}
	})
}

// soleContext reports whether a line only says what the lines below belong to.
func soleContext(text string) bool {
	r := &reader{last: -1}
	return r.heading(text, 1) || strings.ContainsAny(text, "#[") || isRow(text)
}

func isRow(text string) bool { _, ok := parseRow(text); return ok }

// TestLongInput: time grows with the length of a text, whatever is in it.
// Linear reading takes a tenth of a second; a search of all that went before,
// for every word, would take minutes.
func TestLongInput(t *testing.T) {
	const n, most = 1 << 16, 20 * time.Second
	for name, text := range map[string]string{
		"codes on one line":  strings.Repeat("P0327 ", n),
		"values":             strings.Repeat("a:1,1\n", n),
		"groups of a number": "a: " + strings.Repeat("111 ", n),
		"one long row":       "41" + strings.Repeat("55", n) + "00",
		"words for memories": strings.Repeat("stored not ", n) + "P0327",
		"bars":               strings.Repeat("a|1|", n),
	} {
		begin := time.Now()
		d := Read(text, Options{})
		if took := time.Since(begin); took > most {
			t.Errorf("%s: %d bytes took %v", name, len(text), took)
		}
		if len(d.Codes)+len(d.Values)+len(d.Unread) == 0 {
			t.Errorf("%s: nothing was found", name)
		}
	}
}

// TestCodesBeforeClearing: what was read before the codes were cleared is
// marked, what was read after is not, and the row is named.
func TestCodesBeforeClearing(t *testing.T) {
	d := Read("43 01 03 27\n44 00\n47 01 03 32\n", Options{})
	if len(d.Cleared) != 1 || d.Cleared[0].Pos.Line != 2 {
		t.Fatalf("cleared: %+v", d.Cleared)
	}
	if len(d.Codes) != 2 || !d.Codes[0].Before || d.Codes[1].Before {
		t.Errorf("codes: %+v", d.Codes)
	}
}
