package answer

import (
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"elbowroom/codes"
	"elbowroom/codes/live"
	"elbowroom/span"
)

func message(t testing.TB, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(strings.ReplaceAll(s, " ", ""))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// say prints an answer on one line: kind and service, then what is in it, then
// notes with their place and gravity.
func say(a Answer) string {
	parts := []string{fmt.Sprintf("%s %02X", [...]string{"foreign", "request", "reply", "refusal"}[a.Kind], a.Service)}
	if a.Announced >= 0 {
		parts = append(parts, fmt.Sprintf("announces %d", a.Announced))
	}
	for _, c := range a.Codes {
		s := c.Code.String() + " " + string(c.Memory)
		if c.HasStatus {
			s += " " + c.Status.String()
		}
		parts = append(parts, s)
	}
	for _, e := range a.Either {
		parts = append(parts, "either "+names(e))
	}
	for _, v := range a.Values {
		s := v.Value.String()
		if v.Unused {
			s = "unused"
		}
		parts = append(parts, v.Channel+" "+s)
	}
	for _, s := range a.Support {
		parts = append(parts, fmt.Sprintf("%d items of service %02X", len(s.Items), s.Service))
	}
	for _, r := range a.Ready {
		parts = append(parts, fmt.Sprintf("readiness %s: lamp %v, %d codes, open %v", r.PID, r.Lamp, r.Codes, r.Open()))
	}
	parts = append(parts, a.Fuel...)
	for _, i := range a.Info {
		parts = append(parts, fmt.Sprintf("%s %q %d", i.Name, i.Text, i.Part))
	}
	if a.Cleared {
		parts = append(parts, "cleared")
	}
	if a.Kind == Refusal {
		parts = append(parts, Reason(a.Refused))
	}
	for _, n := range a.Notes {
		parts = append(parts, fmt.Sprintf("%s at %d (% X)", n.Severity, n.At, n.Bytes))
	}
	return strings.Join(parts, "; ")
}

func TestDecode(t *testing.T) {
	for _, c := range []struct {
		hex  string
		link Link
		want string
		why  string
	}{
		// Printed in public threads of people who read codes.
		{"43 01 33 00 00 00 00", Older, "reply 03; P0133 stored", "six bytes without a number, printed in an adapter's public manual"},
		{"43 02 01 02 01 13", CAN, "reply 03; announces 2; P0102 stored; P0113 stored", "a public thread: the first byte is the number, the codes are not 0201 and 0113"},
		{"43 02 01 02 01 13", Unknown, "reply 03; announces 2; P0102 stored; P0113 stored", "five bytes can only be a counted list"},
		{"43 01 01 28", CAN, "reply 03; announces 1; P0128 stored", "a public thread, single frame 04 43 01 01 28"},
		{
			"59 02 FF 22 74 00 64 03 43 00 64 03 68 00 64 14 4B 00 68", CAN,
			"reply 19; P2274-00 reported 64; P0343-00 reported 64; P0368-00 reported 64; P144B-00 reported 68",
			"a public thread, put together from 10 13 …; it prints U2274 and B144B, but 22 and 14 have no upper bit set: both are P",
		},
		{"41 00 BE 3F A8 13", CAN, "reply 01; 18 items of service 01", "supported items"},
		{"41 05 7B", Unknown, "reply 01; engine coolant temperature 83 °C", "one item, vector of obd_decode_examples_computed.csv"},

		// Constructed from the byte layouts.
		{"41 05 7B 0C 1A F8 06 73", CAN, "reply 01; engine coolant temperature 83 °C; engine speed 1726 rpm; short term fuel trim bank 1 -10.15625 %", "several items in one message"},
		{"41 01 83 07 65 21", CAN, "reply 01; readiness 01: lamp true, 3 codes, open [catalyst oxygen sensor]", "readiness"},
		{"41 03 02 00", CAN, "reply 01; closed loop on the oxygen sensors", "fuel systems"},
		{"41 05 7B 00 00 00", Unknown, "reply 01; engine coolant temperature 83 °C; advice at 3 (00 00 00)", "filler behind an item when the frame is not known"},
		{"41 05 7B AA AA AA AA", Unknown, "reply 01; engine coolant temperature 83 °C; advice at 3 (AA AA AA AA)", "another filler"},
		{"41 05", CAN, "reply 01; warning at 1 (05)", "an item without its byte"},
		{"41 A6 00 01 02 03", CAN, "reply 01; warning at 1 (A6 00 01 02 03)", "an item that is not kept"},
		{"41 51 01 05 7B", CAN, "reply 01; engine coolant temperature 83 °C; advice at 2 (01)", "an item of known length whose meaning is not kept, and one behind it"},
		{"41 4F 02 08 80 0A", CAN, "reply 01; advice at 2 (02 08 80 0A); warning at 2 (02 08 80 0A)", "scalings of the vehicle's own"},
		{"41", CAN, "reply 01; warning at 0 (41)", "a service byte alone"},
		{"42 05 00 7B", CAN, "reply 02; engine coolant temperature 83 °C", "freeze frame"},
		{"42 02 00 03 27", CAN, "reply 02; P0327 frozen", "the code that stored the freeze frame"},
		{"42 02 00 00 00", CAN, "reply 02; advice at 3 (00 00)", "no freeze frame"},
		{"42 05", CAN, "reply 02; warning at 1 (05)", "no number of the frame"},
		{"47 01 03 27", CAN, "reply 07; announces 1; P0327 pending", "pending"},
		{"4A 01 04 20", CAN, "reply 0A; announces 1; P0420 permanent", "permanent"},
		{"43 00", CAN, "reply 03; announces 0", "no code"},
		{"43 03 01 02", CAN, "reply 03; announces 3; P0102 stored; warning at 1 (03 01 02)", "the end is missing"},
		{"43 01 01 02 01 13", CAN, "reply 03; announces 1; P0102 stored; warning at 4 (01 13)", "more than announced"},
		{"43 01 00 00", CAN, "reply 03; announces 1; warning at 2 (00 00)", "a code of noughts that was announced"},
		{"43 01 01 33 00 00 00", Unknown, "reply 03; either P0133; either P0101, P3300; error at 1 (01 01 33 00 00 00)", "both readings make sense: neither is taken"},
		{"43 01 33 00 00 00 00", Unknown, "reply 03; either P3300; either P0133; error at 1 (01 33 00 00 00 00)", "the same bytes as the first case, with the link unknown"},
		{"43 03 27 C1 00 00 00", Unknown, "reply 03; P0327 stored; U0100 stored", "a number of three would need six more bytes: filled up"},
		{"43 03 27 C1", Older, "reply 03; P0327 stored; warning at 3 (C1)", "half a code"},
		{"44", CAN, "reply 04; cleared", "cleared"},
		{"54", CAN, "reply 14; cleared", "cleared by ISO 14229"},
		{"44 00", CAN, "reply 04; cleared; warning at 1 (00)", "something behind it"},
		{"59 02 0F 03 27 1C 2F", CAN, "reply 19; P0327-1C reported 0F; warning at 6 (2F)", "bit 5 is set but not kept: it is left out and said"},
		{"59 02 FF", CAN, "reply 19", "no code"},
		{"59 02", CAN, "reply 19; warning at 0 (59 02)", "cut short"},
		{"59 02 FF 03 27", CAN, "reply 19; warning at 3 (03 27)", "part of a code"},
		{"59 15 FF 04 20 00 08", CAN, "reply 19; P0420-00 permanent 08", "permanent by ISO 14229"},
		{"59 01 FF 01 00 04", CAN, "reply 19; announces 4", "number of codes"},
		{"59 01 FF 02 00 04", CAN, "reply 19; announces 4; warning at 3 (02)", "codes of another numbering"},
		{"59 06 03 27 1C 2F 01 05", CAN, "reply 19; P0327-1C reported 2F; warning at 6 (01 05)", "data of the maker's"},
		{"59 42 33", CAN, "reply 19; advice at 1 (42 33)", "a report that is not read"},
		{"49 02 01 45 4C 42 30 30 30 30 30 30 30 30 30 30 30 30 30 31", CAN, `reply 09; vehicle identification number "ELB00000000000001" 0`, "an invented number"},
		{"49 02 01 45 4C 42", CAN, `reply 09; vehicle identification number "ELB" 0; warning at 3 (45 4C 42)`, "too short for one"},
		{"49 02 02 44 34 47 50", Older, `reply 09; vehicle identification number "D4GP" 2`, "a part on an older link"},
		{"49 04 02 41 42 43 00 41 42 44 07", CAN, `reply 09; calibration identification "ABC" 0; calibration identification "ABD\\x07" 0`, "two of them, one with a byte that is no character"},
		{"49 06 01 DE AD BE EF", CAN, `reply 09; calibration verification number "DEADBEEF" 0`, "no text"},
		{"49 00 01 55 40 00 00", CAN, "reply 09; 5 items of service 09", "supported information"},
		{"49 04 03 41 42", CAN, "reply 09; warning at 2 (03 41 42)", "two bytes cannot be three texts"},
		{"49 08 10 00 01", CAN, "reply 09; advice at 2 (10 00 01)", "a type that is not read"},
		{"7F 19 11", CAN, "refusal 19; service not supported", "refused"},
		{"7F 19 78", CAN, "refusal 19; received, the answer will follow", "not yet"},
		{"7F 19 F1", CAN, "refusal 19; reason F1", "a reason without public meaning"},
		{"7F 19", CAN, "refusal 00; reason 00; warning at 0 (7F 19)", "cut short"},
		{"01 0C", CAN, "request 01", "asked"},
		{"19 02 FF", CAN, "request 19", "asked"},
		{"22 F1 90", CAN, "foreign 22; advice at 0 (22 F1 90)", "a request that is not read"},
		{"62 F1 90 31", CAN, "foreign 22; advice at 0 (62 F1 90 31)", "a reply that is not read"},
		{"45 01", CAN, "reply 05; warning at 0 (45 01)", "a service of the standard that is not read"},
		{"", CAN, "foreign 00; warning at 0 ()", "nothing"},
	} {
		if got := say(Decode(message(t, c.hex), c.link)); got != c.want {
			t.Errorf("%s: %s\n got %s\nwant %s", c.why, c.hex, got, c.want)
		}
	}
}

func TestWaiting(t *testing.T) {
	if !Decode(message(t, "7F 19 78"), CAN).Waiting() || Decode(message(t, "7F 19 11"), CAN).Waiting() {
		t.Error("78 alone says that the answer will follow")
	}
}

// TestCodesThereAndBack: a list written by the layout of either link reads to
// the same codes.
func TestCodesThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cs := rapid.SliceOfN(rapid.Uint16Range(1, 1<<16-1), 0, 40).Draw(t, "codes")
		service := rapid.SampledFrom([]byte{0x03, 0x07, 0x0a}).Draw(t, "service")
		counted := []byte{service | replyBit, byte(len(cs))}
		older := []byte{service | replyBit}
		for _, c := range cs {
			counted = append(counted, byte(c>>8), byte(c))
			older = append(older, byte(c>>8), byte(c))
		}
		for len(older) < 1+olderLength {
			older = append(older, 0)
		}
		for _, a := range []Answer{Decode(counted, CAN), Decode(older, Older)} {
			var got []uint16
			for _, s := range a.Codes {
				got = append(got, uint16(s.Code.Code))
			}
			if !slices.Equal(got, cs) || a.Notes != nil {
				t.Fatalf("%v came back as %v, %v", cs, got, a.Notes)
			}
		}
	})
}

func TestReportThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := []byte{0x59, 0x02, 0xff}
		var want []codes.Seen
		for range rapid.IntRange(0, 30).Draw(t, "n") {
			r := rapid.SliceOfN(rapid.Byte(), 4, 4).Draw(t, "record")
			m = append(m, r...)
			want = append(want, codes.Seen{
				Code:   codes.Full{Code: codes.FromBytes(r[0], r[1]), Type: codes.FailureType(r[2]), Typed: true},
				Memory: codes.Reported, Status: codes.Status(r[3]), HasStatus: true,
			})
		}
		if a := Decode(m, CAN); !slices.Equal(a.Codes, want) || a.Notes != nil {
			t.Fatalf("% X: %v, %v", m, a.Codes, a.Notes)
		}
	})
}

// TestItemsThereAndBack: any row of number items in one message reads back.
func TestItemsThereAndBack(t *testing.T) {
	numbers := slices.DeleteFunc(live.Items(), func(it live.Item) bool { return it.Kind != live.Numbers })
	rapid.Check(t, func(t *rapid.T) {
		m := []byte{0x41}
		want := 0
		for _, it := range rapid.SliceOfN(rapid.SampledFrom(numbers), 1, 6).Draw(t, "items") {
			m = append(m, byte(it.PID))
			m = append(m, rapid.SliceOfN(rapid.Byte(), it.Length, it.Length).Draw(t, "data")...)
			want += len(it.Values)
		}
		if a := Decode(m, CAN); len(a.Values) != want || a.Notes != nil {
			t.Fatalf("% X: %d values, want %d; %v", m, len(a.Values), want, a.Notes)
		}
	})
}

// FuzzDecode: no message panics, and every byte behind the service is in a
// value or in a note: a reply without any content and without a note is one of
// the few that are empty by their layout.
func FuzzDecode(f *testing.F) {
	for _, s := range []string{"410C1AF8", "4302010201 13", "5902FF03271C2F", "490201", "7F1911", "42020003 27", "5901FF000001"} {
		f.Add(message(f, s), byte(0))
	}
	f.Fuzz(func(t *testing.T, m []byte, link byte) {
		a := Decode(m, Link(link%3))
		said := len(a.Codes) + len(a.Values) + len(a.Support) + len(a.Ready) + len(a.Fuel) + len(a.Info) + len(a.Notes) + len(a.Either)
		empty := a.Announced >= 0 || a.Cleared || a.Kind == Request || a.Kind == Refusal ||
			len(m) == 3 && m[0] == 0x59 || len(m) > 0 && (m[0] == 0x43 || m[0] == 0x47 || m[0] == 0x4a)
		if said == 0 && !empty {
			t.Fatalf("% X says nothing", m)
		}
		for _, n := range a.Notes {
			if n.At < 0 || n.At+len(n.Bytes) > len(m) || n.Says == "" || n.Severity < span.Error {
				t.Fatalf("% X: note %+v", m, n)
			}
		}
	})
}
