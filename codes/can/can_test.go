package can

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"pgregory.net/rapid"

	"elbowroom/codes"
	"elbowroom/internal/corpus"
	"elbowroom/span"
)

// TestCaptures runs the cases of testdata: a capture, and what is in it.
func TestCaptures(t *testing.T) {
	for _, name := range corpus.Files(t, "testdata/*.txt") {
		corpus.Run(t, name, func(t *testing.T, c corpus.Case) string {
			opt := Options{Deltas: strings.Contains(c.Args, "deltas")}
			if strings.Contains(c.Args, "7BC") {
				opt.Also = []Named{{0x7bc, false, Unit}}
			}
			got, err := Read(strings.NewReader(c.Input), opt)
			if err != nil {
				t.Fatal(err)
			}
			return summary(got)
		})
	}
}

// summary prints a capture for people.
func summary(c *Capture) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d lines, %d frames, %.3f s on %v", c.Lines, c.Frames, c.Seconds, c.Buses)
	if c.Remote+c.Errors > 0 {
		fmt.Fprintf(&b, ", %d remote, %d errors", c.Remote, c.Errors)
	}
	b.WriteString("\n")
	for _, u := range c.Units {
		fmt.Fprintf(&b, "unit %s\n", u.Name)
		for _, s := range u.Codes {
			fmt.Fprintf(&b, "  %s %s", s.Code, s.Memory)
			if s.HasStatus {
				fmt.Fprintf(&b, " %s (%s)", s.Status, s.Status.Words())
			}
			if s.Before {
				b.WriteString(", before clearing")
			}
			fmt.Fprintf(&b, " at line %d\n", s.Pos.Line)
		}
		for _, f := range u.Frozen {
			fmt.Fprintf(&b, "  freeze frame %d: %v\n", f.Frame, f.Values)
		}
		for _, s := range u.Support {
			fmt.Fprintf(&b, "  service %02X supports %v\n", s.Service, s.Items)
		}
		for _, r := range u.Ready {
			fmt.Fprintf(&b, "  readiness %s: lamp %v, %d codes, open %v\n", r.PID, r.Lamp, r.Codes, r.Open())
		}
		for _, s := range u.States {
			fmt.Fprintf(&b, "  %.3f s: %s\n", s.Seconds, s.Words)
		}
		for _, i := range u.Info {
			fmt.Fprintf(&b, "  %s %q\n", i.Name, i.Text)
		}
		for _, r := range u.Refused {
			fmt.Fprintf(&b, "  refuses %02X %d times: %s\n", r.Service, r.Times, r.Reason)
		}
	}
	for _, s := range c.Series {
		fmt.Fprintf(&b, "%s %s in %s: %v at %v", s.Control, s.Channel, s.Unit, s.Value, s.Time)
		if s.Unused > 0 {
			fmt.Fprintf(&b, ", unused %d times", s.Unused)
		}
		b.WriteString("\n")
	}
	for _, a := range c.Requests {
		fmt.Fprintf(&b, "asked %s %d times, answered %d\n", a.Request, a.Times, a.Answered)
	}
	for _, o := range c.Others {
		fmt.Fprintf(&b, "other %s %s %d\n", o.Bus, o.Name, o.Frames)
	}
	for _, f := range c.Findings {
		fmt.Fprintln(&b, f)
	}
	return b.String()
}

// TestLines compares single lines with their frame.
func TestLines(t *testing.T) {
	for _, c := range []struct{ text, want, why string }{
		{"(1436509052.249713) vcan0 7E8#064100BE3FA813", "vcan0 7E8 t1436509052249713 06 41 00 BE 3F A8 13", "the log"},
		{"vcan0  7E8   [7]  06 41 00 BE 3F A8 13", "vcan0 7E8 06 41 00 BE 3F A8 13", "the print"},
		{" (1436509052.249713)  vcan0  7E8   [2]  01 44", "vcan0 7E8 t1436509052249713 01 44", "the print with a time"},
		{" (2015-07-10 06:17:32.249713)  vcan0  7E8   [2]  01 44", "vcan0 7E8 t1436509052249713 01 44", "the print with a date: the same moment"},
		{" (000.000123)  can0  7E8   [1]  01", "can0 7E8 t123 01", "a difference"},
		{"(1.5) can0 7E8#", "can0 7E8 t1500000", "no bytes, half a second"},
		{"(1.123456789) can0 7E8#01", "can0 7E8 t1123456 01", "nanoseconds are cut"},
		{"can0 18DAF110#0641", "can0 18DAF110 06 41", "29 bits"},
		{"can0 7E8#06.41.00", "can0 7E8 06 41 00", "dots between the bytes"},
		{"can0 7e8#0a", "can0 7E8 0A", "small letters"},
		{"can0 123#R", "can0 123 remote", "a remote request (candump: 123#R)"},
		{"can0 123#R7", "can0 123 remote", "a remote request with its length"},
		{"can0 123#1122334455667788_E", "can0 123 11 22 33 44 55 66 77 88", "a raw length code"},
		{"can0 123##0112233", "can0 123 fd 11 22 33", "CAN FD (candump: 123##0112233)"},
		{"can0 123##3", "can0 123 fd", "CAN FD without bytes (candump: 123##3)"},
		{"can0 32345678#112233", "can0 12345678 error", "an error frame (candump: 32345678#112233)"},
		{"can0 7E8#01 R", "can0 7E8 01", "received"},
		{"can0  12345678   [3]  11 22 33", "can0 12345678 11 22 33", "print of 29 bits"},
		{"can0  12345678  [03]  11 22 33", "can0 12345678 fd 11 22 33", "print of CAN FD: two digits"},
		{"can0  123   [0]  remote request", "can0 123 remote", "print of a remote request"},
		{"can0  20000080   [8]  00 00 00 00 00 00 00 00   ERRORFRAME", "can0 00000080 error", "print of an error frame"},
		{"can0  14B0DC51   [8]  4A 94 E8 2A EC 58 55 62   'J..*.XUb'", "can0 14B0DC51 4A 94 E8 2A EC 58 55 62", "print with characters"},
		{"can0  7E8   [3]  7B`05`41", "can0 7E8 41 05 7B", "print with swapped bytes"},
		{"can0  RX - -  7E8   [2]  01 44", "can0 7E8 01 44", "print with directions"},
		{"can0  TX B E  7E8  [02]  01 44", "can0 7E8 fd 01 44", "print with flags"},
		{"can0  7E8   {E}  11 22 33 44 55 66 77 88", "can0 7E8 11 22 33 44 55 66 77 88", "print with a raw length code"},
	} {
		var l Lines
		f, finds, ok := l.Frame([]byte(c.text+"\r\n"), 1)
		if got := show(&f); !ok || got != c.want || finds != nil {
			t.Errorf("%s: %q is %q, %v; want %q", c.why, c.text, got, finds, c.want)
		}
	}
}

func show(f *Frame) string {
	s := f.Bus + " " + Name(f.ID, f.Extended || f.Error)
	if f.FD {
		s += " fd"
	}
	if f.Timed {
		s += fmt.Sprintf(" t%d", f.Time)
	}
	switch {
	case f.Remote:
		return s + " remote"
	case f.Error:
		return s + " error"
	case f.n == 0:
		return s
	}
	return s + fmt.Sprintf(" % X", f.Data())
}

func TestLinesRefuse(t *testing.T) {
	for _, c := range []struct {
		text string
		col  int
		why  string
	}{
		{"(1436509052.249713 vcan0 7E8#01", 1, "the bracket stays open"},
		{"(yesterday) vcan0 7E8#01", 1, "no time"},
		{"(1.) vcan0 7E8#01", 1, "half a time"},
		{"(2015-13-10 06:17:32) can0 7E8#01", 1, "no month"},
		{"(1.0)", 6, "a time alone"},
		{"can0", 1, "a bus alone"},
		{"can0 7E8", 1, "no bytes and no number of them"},
		{"can0 FFF#01", 6, "more than 11 bits in three digits"},
		{"can0 7E#01", 6, "two digits"},
		{"can0 XYZ#01", 6, "no digits"},
		{"can0 7E8#0", 10, "half a byte: the line is cut"},
		{"can0 7E8#064100BE3FA813FF00", 10, "nine bytes and more in a classic frame"},
		{"can0 7E8##", 10, "no flags"},
		{"can0 7E8##0112233445566778899", 12, "nine bytes are no length of CAN FD"},
		{"can0 7E8#RXX", 10, "words behind a remote request"},
		{"can0 7E8#01 X", 13, "a word behind the frame"},
		{"can0  7E8   [8]  06 41", 13, "six bytes are missing"},
		{"can0  7E8   [2]  06 41 00", 24, "a byte too many"},
		{"can0  7E8   [9]  06 41", 13, "no number of bytes of a frame"},
		{"can0  7E8   [8]  00000110 01000001", 13, "binary digits"},
		{"P0327 knock sensor 1 circuit low", 1, "a text"},
		{"\xff\xfe\x00\x01", 1, "no text"},
		{strings.Repeat("a", 40), 1, "a word longer than a bus may be called"},
	} {
		var l Lines
		_, finds, ok := l.Frame([]byte(c.text), 3)
		if ok || len(finds) != 1 || finds[0].Pos != (span.Pos{Line: 3, Col: c.col}) || finds[0].Says == "" {
			t.Errorf("%s: %q: %v, %v, want column %d", c.why, c.text, ok, finds, c.col)
		}
	}
	var l Lines
	if _, finds, ok := l.Frame([]byte("  \r\n"), 1); ok || finds != nil {
		t.Error("an empty line is neither a frame nor a finding")
	}
}

func TestRoles(t *testing.T) {
	for _, c := range []struct {
		id       uint32
		extended bool
		want     Role
		why      string
	}{
		{0x7df, false, Tester, "asks all"},
		{0x7e0, false, Tester, "asks one"},
		{0x7e8, false, Unit, "answers"},
		{0x7ef, false, Unit, "the last that answers"},
		{0x7f0, false, Other, "behind the last"},
		{0x7e8, true, Other, "the same number in 29 bits"},
		{0x18db33f1, true, Tester, "asks all in 29 bits"},
		{0x18da10f1, true, Tester, "asks one"},
		{0x18daf110, true, Unit, "answers"},
		{0x18da1011, true, Other, "between control units"},
		{0x123, false, Other, "anything"},
	} {
		if got := RoleOf(c.id, c.extended); got != c.want {
			t.Errorf("%s: %s has role %d, want %d", c.why, Name(c.id, c.extended), got, c.want)
		}
	}
}

func TestNewFrameRefuses(t *testing.T) {
	for _, c := range []struct {
		id       uint32
		extended bool
		n        int
	}{{0x800, false, 1}, {1 << 29, true, 1}, {1, false, 9}, {1, false, 65}} {
		if _, err := NewFrame(c.id, c.extended, make([]byte, c.n)); !errors.Is(err, ErrFrame) {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// split cuts a message into frames as ISO 15765-2 lays them out.
func split(t *rapid.T, message []byte, size int) []Frame {
	frame := func(b []byte) Frame {
		n := len(b)
		for !fits(n, true) || n < classicMax {
			n++
		}
		f, err := NewFrame(0x7e8, false, append(b, bytes.Repeat([]byte{0xaa}, n-len(b))...))
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	n := len(message)
	switch {
	case n <= 7:
		return []Frame{frame(append([]byte{byte(n)}, message...))}
	case n <= size-2:
		return []Frame{frame(append([]byte{0, byte(n)}, message...))}
	}
	head := []byte{0x10 | byte(n>>8), byte(n)}
	if n > 4095 {
		head = []byte{0x10, 0, byte(n >> 24), byte(n >> 16), byte(n >> 8), byte(n)}
	}
	cut := size - len(head)
	frames := []Frame{frame(append(head, message[:cut]...))}
	for sn := byte(1); cut < n; sn++ {
		end := min(n, cut+size-1)
		frames = append(frames, frame(append([]byte{0x20 | sn&15}, message[cut:end]...)))
		cut = end
	}
	return frames
}

// TestMessagesThereAndBack: any message, split for a classic or an FD bus and
// mixed with one of another sender, comes back whole; with a frame lost it
// does not come back and that is said.
func TestMessagesThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.OneOf(rapid.IntRange(1, 100), rapid.IntRange(4000, 5000)).Draw(t, "length")
		want := make([]byte, n)
		for i := range want {
			want[i] = byte(i*7 + n)
		}
		size := rapid.SampledFrom([]int{8, 64}).Draw(t, "size")
		frames := split(t, want, size)
		lost := -1
		if len(frames) > 1 && rapid.Bool().Draw(t, "lose") {
			lost = rapid.IntRange(0, len(frames)-1).Draw(t, "which")
		}
		a := NewAssembler("", 0)
		var got [][]byte
		for i := range frames {
			f := frames[i]
			f.Line, f.Timed, f.Time = i+1, true, Micros(i)*1000
			if i != lost {
				if m, ok := a.Push(&f); ok {
					got = append(got, m.Data)
				}
			}
			f.ID = 0x7e9
			if m, ok := a.Push(&f); ok && !bytes.Equal(m.Data, want) {
				t.Fatal("the other sender's message changed")
			}
		}
		a.Close()
		switch {
		case lost < 0 && (len(got) != 1 || !bytes.Equal(got[0], want) || len(a.Findings()) > 0):
			t.Fatalf("%d bytes in %d frames came back as %d messages", n, len(frames), len(got))
		case lost >= 0 && (len(got) != 0 || len(a.Findings()) == 0):
			t.Fatalf("frame %d of %d was lost, and %d messages came back without a word", lost, len(frames), len(got))
		}
	})
}

// TestLinesThereAndBack: a frame written in either form reads back.
func TestLinesThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := Frame{Bus: "can0", Timed: true, Time: Micros(rapid.Int64Range(0, 1<<50).Draw(t, "time")), Extended: rapid.Bool().Draw(t, "extended"), Line: 1}
		f.ID = rapid.Uint32Range(0, standardMax).Draw(t, "id")
		if f.Extended {
			f.ID = rapid.Uint32Range(0, extendedMax).Draw(t, "id29")
		}
		f.n = copy(f.data[:], rapid.SliceOfN(rapid.Byte(), 0, 8).Draw(t, "data"))
		stamp := fmt.Sprintf("(%d.%06d)", f.Time/micro, f.Time%micro)
		for _, text := range []string{
			fmt.Sprintf("%s %s %s#%X", stamp, f.Bus, Name(f.ID, f.Extended), f.Data()),
			fmt.Sprintf(" %s  %s  %s   [%d]  % X", stamp, f.Bus, Name(f.ID, f.Extended), f.n, f.Data()),
		} {
			var l Lines
			if got, finds, ok := l.Frame([]byte(text), 1); !ok || got != f {
				t.Fatalf("%q: %+v, %v", text, got, finds)
			}
		}
	})
}

// TestManyOfAKind: what goes wrong ten thousand times is said a hundred times
// and counted, with nothing dropped without a word.
func TestManyOfAKind(t *testing.T) {
	text := strings.Repeat("rubbish\n", 10000) + "can0 7E8#0341057B\n"
	c, err := Read(strings.NewReader(text), Options{File: "x.log"})
	if err != nil || len(c.Series) != 1 {
		t.Fatalf("%v, %v", c, err)
	}
	if len(c.Findings) != perKind+1 || !strings.HasPrefix(c.Findings[perKind].Says, "9900 more") || c.Findings[perKind].Pos.Line != 10000 {
		t.Errorf("%d findings, the last %v", len(c.Findings), c.Findings[len(c.Findings)-1])
	}
}

func TestLongLine(t *testing.T) {
	text := strings.Repeat("x", 3*longestLine) + "\ncan0 7E8#0341057B"
	c, err := Read(iotest.OneByteReader(strings.NewReader(text)), Options{})
	if err != nil || len(c.Series) != 1 || len(c.Findings) != 1 || c.Findings[0].Pos.Line != 1 {
		t.Errorf("%v, %v", c.Findings, err)
	}
}

func TestReadError(t *testing.T) {
	broken := io.MultiReader(strings.NewReader("can0 7E8#0341057B\n"), iotest.ErrReader(io.ErrClosedPipe))
	c, err := Read(broken, Options{})
	if !errors.Is(err, io.ErrClosedPipe) || len(c.Series) != 1 {
		t.Errorf("what was read before the error is kept: %v, %v", c, err)
	}
}

// TestSameTwice: the same capture gives the same answer.
func TestSameTwice(t *testing.T) {
	text := string(corpus.Read(t, "testdata/captures.txt"))
	a, errA := Read(strings.NewReader(text), Options{})
	b, errB := Read(strings.NewReader(text), Options{})
	if errA != nil || errB != nil || summary(a) != summary(b) || len(a.Units) == 0 {
		t.Error("two readings differ, or found no unit")
	}
}

func TestPresent(t *testing.T) {
	c, err := Read(strings.NewReader("can0 7E8#0759020F03271C0F\n"), Options{})
	if err != nil || len(c.Units) != 1 || len(c.Units[0].Codes) != 1 {
		t.Fatal(c, err)
	}
	if p, known := c.Units[0].Codes[0].Present(); !p || !known {
		t.Error("status 0F fails now")
	}
	if _, known := (codes.Seen{}).Present(); known {
		t.Error("without a status nothing is known")
	}
}

func FuzzRead(f *testing.F) {
	f.Add("(1.0) can0 7E8#0341057B\n(1.1) can0 7E8#101359 02FF227400\n", false)
	f.Add("can0  7E8   [8]  10 13 59 02 FF 22 74 00\ncan0  7E8   [8]  21 64 03 43 00 64 03 68\n", true)
	f.Add("can0 7E8##000094902014142434445464748\ncan0 123#R\ncan0 20000004#00", false)
	f.Fuzz(func(t *testing.T, text string, deltas bool) {
		c, err := Read(strings.NewReader(text), Options{Deltas: deltas})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range c.Series {
			if c.Timed && len(s.Time) != len(s.Value) || !c.Timed && s.Time != nil {
				t.Fatalf("%d times for %d values", len(s.Time), len(s.Value))
			}
		}
		said := map[int]bool{}
		for _, x := range c.Findings {
			said[x.Pos.Line] = true
		}
		for i, line := range strings.Split(text, "\n") {
			var l Lines
			_, finds, ok := l.Frame([]byte(line), i+1)
			if !ok && finds == nil && strings.Trim(line, " \t\r") != "" || ok && finds != nil {
				t.Fatalf("line %d %q is neither a frame nor a finding", i+1, line)
			}
			if !ok && finds != nil && !said[i+1] && len(c.Findings) < perKind {
				t.Fatalf("line %d %q vanished", i+1, line)
			}
		}
	})
}

// BenchmarkRead reads a capture in which one frame in fifty is diagnosis.
func BenchmarkRead(b *testing.B) {
	var text bytes.Buffer
	for i := range 200000 {
		if i%50 == 0 {
			fmt.Fprintf(&text, "(%d.%06d) can0 7E8#04410C%04X\n", 1436509052+i/1000, i%1000*1000, i%65536)
			continue
		}
		fmt.Fprintf(&text, "(%d.%06d) can0 %03X#%016X\n", 1436509052+i/1000, i%1000*1000, 0x100+i%64, i)
	}
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		c, err := Read(bytes.NewReader(text.Bytes()), Options{})
		if err != nil || len(c.Series) != 1 || len(c.Series[0].Value) != 4000 || len(c.Others) != 64 || c.Findings != nil {
			b.Fatal("wrong result")
		}
	}
}

// BenchmarkReadDiagnosis reads a capture that is diagnosis alone.
func BenchmarkReadDiagnosis(b *testing.B) {
	var text bytes.Buffer
	for i := range 50000 {
		fmt.Fprintf(&text, "(%d.%06d) can0 7DF#02010C0000000000\n(%d.%06d) can0 7E8#04410C%04X000000\n", i/100, i%100*10000, i/100, i%100*10000+500, i%65536)
	}
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		c, err := Read(bytes.NewReader(text.Bytes()), Options{})
		if err != nil || len(c.Series) != 1 || !slices.Contains(c.Series[0].Value, 100) || c.Requests[0].Answered != 50000 {
			b.Fatal("wrong result")
		}
	}
}
