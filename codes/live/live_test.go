package live

import (
	"bytes"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"elbowroom/internal/corpus"
	"elbowroom/quantity"
)

// Tolerances against the files of testdata.
const (
	printed  = 0.005 // limits that are printed with two decimals or more
	oneDigit = 0.05  // limits printed with one decimal
	computed = 1e-6  // the computed vectors carry six decimals
)

func table(t *testing.T, name string, least int) []map[string]string {
	t.Helper()
	r := csv.NewReader(bytes.NewReader(corpus.Read(t, "testdata/"+name+".csv")))
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, cells := range all[1:] {
		row := map[string]string{}
		for i, c := range cells {
			row[all[0][i]] = c
		}
		rows = append(rows, row)
	}
	if len(rows) < least {
		t.Fatalf("%s has %d rows, want %d at least", name, len(rows), least)
	}
	return rows
}

// of returns item and place of a PID of the tables, such as "24V".
func of(t *testing.T, pid string) (Item, int) {
	t.Helper()
	place := 0
	if len(pid) == 3 {
		place, pid = 1, pid[:2]
	}
	n, err := strconv.ParseUint(pid, 16, 8)
	if err != nil {
		t.Fatal(err)
	}
	it, ok := Lookup(PID(n))
	if !ok || place >= len(it.Values) {
		t.Fatalf("item %s is not kept", pid)
	}
	return it, place
}

// unitOf is the unit of a table in the spelling of package quantity.
func unitOf(t *testing.T, name string) string {
	t.Helper()
	if name == "ratio" {
		return "1"
	}
	v, err := quantity.Parse("1 " + strings.TrimSuffix(name, "1"))
	if err != nil {
		t.Fatal(err)
	}
	return v.Unit
}

func figure(t *testing.T, s string) float64 {
	t.Helper()
	n, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// TestScalings compares length, unit, lowest and highest of every row; source
// in the file.
func TestScalings(t *testing.T) {
	for _, row := range table(t, "obd_pids", 33) {
		it, place := of(t, row["pid"])
		s := it.Values[place]
		if strconv.Itoa(it.Length) != row["bytes"] || s.Unit != unitOf(t, row["unit"]) {
			t.Errorf("%s has %d bytes in %s, the table says %s, %s", row["pid"], it.Length, s.Unit, row["bytes"], row["unit"])
		}
		if lo, hi := figure(t, row["min_at_00"]), figure(t, row["max_at_FF"]); math.Abs(s.Lowest().Number-lo) > printed || math.Abs(s.Highest().Number-hi) > printed {
			t.Errorf("%s reaches from %s to %s, the table says %v to %v", row["pid"], s.Lowest(), s.Highest(), lo, hi)
		}
	}
}

func TestMoreScalings(t *testing.T) {
	for _, row := range table(t, "more_items", 20) {
		it, _ := of(t, row["pid"])
		s := it.Values[int(figure(t, row["at"]))]
		if strconv.Itoa(it.Length) != row["bytes"] || s.Unit != unitOf(t, row["unit"]) {
			t.Errorf("%s has %d bytes in %s, the table says %s, %s", row["pid"], it.Length, s.Unit, row["bytes"], row["unit"])
		}
		if lo, hi := figure(t, row["lowest"]), figure(t, row["highest"]); math.Abs(s.Lowest().Number-lo) > oneDigit || math.Abs(s.Highest().Number-hi) > oneDigit {
			t.Errorf("%s reaches from %s to %s, the table says %v to %v", row["pid"], s.Lowest(), s.Highest(), lo, hi)
		}
	}
}

// TestMisprints: values that public copies print and the formulas do not give.
func TestMisprints(t *testing.T) {
	for _, c := range []struct {
		pid      PID
		misprint float64
		want     float64
		reason   string
	}{
		{0x10, 653.35, 655.35, "mass air flow: a copy swaps digits"},
		{0x5c, 210, 215, "oil temperature: A - 40 gives 215"},
		{0x61, 125, 130, "demanded torque: A - 125 gives 130"},
	} {
		it, _ := Lookup(c.pid)
		if got := it.Values[0].Highest().Number; got == c.misprint || got != c.want {
			t.Errorf("%s: %v", c.reason, got)
		}
	}
}

// TestDecode compares the vectors both ways; source in the file.
func TestDecode(t *testing.T) {
	for _, row := range table(t, "obd_decode_examples_computed", 17) {
		it, place := of(t, row["pid"])
		data, err := hex.DecodeString(strings.ReplaceAll(row["data_hex"], " ", ""))
		if err != nil {
			t.Fatal(err)
		}
		if it.PID == 0x44 && len(data) != it.Length {
			t.Fatal("the vector has changed")
		}
		values, err := Decode(it.PID, data)
		if err != nil {
			t.Errorf("%s: %v", row["pid"], err)
			continue
		}
		v := values[place]
		if math.Abs(v.Value.Number-figure(t, row["value"])) > computed || v.Value.Unit != unitOf(t, row["unit"]) {
			t.Errorf("%s %s is %s, the table says %s %s", row["pid"], row["data_hex"], v.Value, row["value"], row["unit"])
		}
		if back, err := Encode(it.PID, values); err != nil || !bytes.Equal(back, data) {
			t.Errorf("%s %s encodes to % X, %v", row["pid"], row["data_hex"], back, err)
		}
	}
}

// TestTrimSign: a control unit that takes fuel away reports below nought.
func TestTrimSign(t *testing.T) {
	v, err := Decode(0x07, []byte{0x60})
	if err != nil || v[0].Value.Number != -25 || v[0].Channel != "long term fuel trim bank 1" {
		t.Errorf("0x60 is 96·100/128 - 100 = -25 %%: %v, %v", v, err)
	}
}

// TestLambdaIsLean: items 24, 34 and 44 carry lambda, above 1 lean, although
// some copies call it a fuel-air ratio.
func TestLambdaIsLean(t *testing.T) {
	v, err := Decode(0x24, []byte{0xc0, 0, 0, 0})
	if err != nil || v[0].Value.Number != 1.5 || !strings.Contains(v[0].Channel, "lambda") {
		t.Errorf("0xC000·2/65536 is λ 1.5: %v, %v", v, err)
	}
}

func TestUnusedTrim(t *testing.T) {
	v, err := Decode(0x15, []byte{0x5a, 0xff})
	if err != nil || len(v) != 2 || v[0].Value.String() != "0.45 V" || !v[1].Unused || !v[1].Value.Zero() {
		t.Errorf("FF says that the sensor makes no trim: %v, %v", v, err)
	}
	if back, err := Encode(0x15, v); err != nil || !bytes.Equal(back, []byte{0x5a, 0xff}) {
		t.Errorf("encodes to % X, %v", back, err)
	}
}

func TestDecodeRefuses(t *testing.T) {
	for _, c := range []struct {
		pid    PID
		data   []byte
		want   error
		reason string
	}{
		{0x05, nil, ErrLength, "no byte"},
		{0x05, []byte{1, 2}, ErrLength, "a byte too many"},
		{0x0c, []byte{1}, ErrLength, "half of two"},
		{0xa6, []byte{1}, ErrUnknown, "an item that is not kept"},
		{0x78, make([]byte, 9), ErrUnknown, "an item of which only the length is kept"},
	} {
		if v, err := Decode(c.pid, c.data); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, %v", c.reason, v, err)
		}
	}
}

func TestEncodeRefuses(t *testing.T) {
	for _, c := range []struct {
		pid    PID
		v      Value
		want   error
		reason string
	}{
		{0x05, Value{Channel: "engine coolant temperature", Value: quantity.Of(216, "°C")}, ErrRange, "above the highest"},
		{0x05, Value{Channel: "engine coolant temperature", Value: quantity.Of(90, "V")}, quantity.ErrDimension, "volts"},
		{0x05, Value{Channel: "engine coolant temperature", Value: quantity.Of(math.NaN(), "°C")}, ErrRange, "no number"},
		{0x05, Value{Channel: "engine coolant temperature", Unused: true}, ErrRange, "an item that is always used"},
		{0x05, Value{Channel: "engine speed", Value: quantity.Of(1, "rpm")}, ErrUnknown, "another item's channel"},
		{0x01, Value{}, ErrUnknown, "an item that is no number"},
	} {
		if b, err := Encode(c.pid, []Value{c.v}); !errors.Is(err, c.want) {
			t.Errorf("%s: % X, %v", c.reason, b, err)
		}
	}
	b, err := Encode(0x05, []Value{{Channel: "engine coolant temperature", Value: quantity.Of(181.4, "°F")}})
	if err != nil || !bytes.Equal(b, []byte{0x7b}) {
		t.Errorf("181.4 °F is 83 °C: % X, %v", b, err)
	}
}

// TestThereAndBack: every value of every item survives.
func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		numbers := slices.DeleteFunc(Items(), func(it Item) bool { return it.Kind != Numbers })
		it := rapid.SampledFrom(numbers).Draw(t, "item")
		data := rapid.SliceOfN(rapid.Byte(), it.Length, it.Length).Draw(t, "data")
		values, err := Decode(it.PID, data)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Encode(it.PID, values)
		if err != nil || !bytes.Equal(back, data) {
			t.Fatalf("%s: % X is %v, back % X, %v", it.PID, data, values, back, err)
		}
	})
}

// TestEveryByteHasAPlace: the values of an item fill it without gap or overlap.
func TestEveryByteHasAPlace(t *testing.T) {
	seen := map[string]PID{}
	for _, it := range Items() {
		used := make([]int, it.Length)
		for _, s := range it.Values {
			for i := s.At; i < s.At+s.Width; i++ {
				used[i]++
			}
			if _, err := quantity.Parse("1 " + s.Unit); err != nil {
				t.Errorf("%s: %v", it.PID, err)
			}
			if p, ok := seen[s.Channel]; ok && !strings.HasSuffix(s.Channel, " lambda") {
				t.Errorf("channel %q is in items %s and %s", s.Channel, p, it.PID)
			}
			seen[s.Channel] = it.PID
		}
		for i, n := range used {
			if it.Kind == Numbers && n != 1 {
				t.Errorf("byte %d of item %s is used %d times", i, it.PID, n)
			}
		}
	}
	if len(seen) < 90 {
		t.Errorf("only %d channels", len(seen))
	}
}

// TestSupported takes the bytes of a reply that public introductions print,
// BE 3F A8 13, bit by bit.
func TestSupported(t *testing.T) {
	got := Supported(0, [4]byte{0xbe, 0x3f, 0xa8, 0x13})
	want := []PID{0x01, 0x03, 0x04, 0x05, 0x06, 0x07, 0x0b, 0x0c, 0x0d, 0x0e, 0x0f, 0x10, 0x11, 0x13, 0x15, 0x1c, 0x1f, 0x20}
	if !slices.Equal(got, want) {
		t.Errorf("BE 3F A8 13 supports %v, want %v", got, want)
	}
	if back, outside := Bitmap(0, want); back != [4]byte{0xbe, 0x3f, 0xa8, 0x13} || outside != nil {
		t.Errorf("back to % X, %v", back, outside)
	}
	if _, outside := Bitmap(0x20, []PID{0x20, 0x21, 0x40, 0x41}); !slices.Equal(outside, []PID{0x20, 0x41}) {
		t.Errorf("outside of block 20: %v", outside)
	}
	rapid.Check(t, func(t *rapid.T) {
		base := PID(rapid.IntRange(0, 7).Draw(t, "base") * 32)
		var data [4]byte
		copy(data[:], rapid.SliceOfN(rapid.Byte(), 4, 4).Draw(t, "data"))
		if base == 0xe0 {
			data[3] &^= 1 // there is no item behind FF
		}
		back, outside := Bitmap(base, Supported(base, data))
		if back != data || outside != nil {
			t.Fatalf("% X came back as % X, %v", data, back, outside)
		}
	})
}

// TestReadiness follows the bit tables of items 01 and 41 (encyclopaedia table
// "OBD-II PIDs", as a public copy of it prints them).
func TestReadiness(t *testing.T) {
	r := ReadMonitors([4]byte{0x83, 0x07, 0x65, 0x21})
	if !r.Lamp || r.Codes != 3 || r.Compression {
		t.Errorf("83 is lamp on and three codes: %+v", r)
	}
	if want := []string{"catalyst", "oxygen sensor"}; !slices.Equal(r.Open(), want) {
		t.Errorf("C0 and C5 fitted, D0 and D5 open: %v", r.Open())
	}
	d := ReadMonitors([4]byte{0x00, 0x3f, 0xeb, 0x40})
	if want := []string{"misfire", "fuel system", "particulate filter"}; !d.Compression || !slices.Equal(d.Open(), want) {
		t.Errorf("B3 set is compression ignition, B4 and B5 open, D6 open: %+v", d.Open())
	}
	if len(d.Monitors) != 9 {
		t.Errorf("two reserved bits are not there: %+v", d.Monitors)
	}
	if e := ReadMonitors([4]byte{0, 0x08, 0x04, 0}); !slices.ContainsFunc(e.Monitors, func(m Monitor) bool { return m.Name == "reserved bit 2" }) {
		t.Errorf("a reserved bit that is set must be shown: %+v", e.Monitors)
	}
	rapid.Check(t, func(t *rapid.T) {
		var data [4]byte
		copy(data[:], rapid.SliceOfN(rapid.Byte(), 4, 4).Draw(t, "data"))
		data[1] &^= 0x80
		if data[1]&compressionBit != 0 {
			data[2] &^= 0x14
			data[3] &^= 0x14
		}
		back, unknown := ReadMonitors(data).Bytes()
		if back != data || unknown != nil {
			t.Fatalf("% X came back as % X, %v", data, back, unknown)
		}
	})
	if _, unknown := (Readiness{Monitors: []Monitor{{Name: "tyres"}}}).Bytes(); len(unknown) != 1 {
		t.Error("a test of no such name passed")
	}
}

func TestFuelSystems(t *testing.T) {
	if got := FuelSystems([2]byte{2, 0}); len(got) != 1 || !strings.HasPrefix(got[0], "closed loop") {
		t.Errorf("02 00 is %v", got)
	}
	if got := FuelSystems([2]byte{1, 32}); len(got) != 2 || !strings.Contains(got[1], "20") {
		t.Errorf("01 20 is %v: a state without meaning keeps its number", got)
	}
}

func TestChannel(t *testing.T) {
	for _, c := range []struct{ name, want, reason string }{
		{"ECT", "engine coolant temperature", "abbreviation"},
		{"Coolant temp.", "engine coolant temperature", "short form with a dot"},
		{"Engine Coolant Temperature", "engine coolant temperature", "its own name in other case"},
		{"STFT B1", "short term fuel trim bank 1", "bank in short"},
		{"Fuel pressure (gauge)", "fuel pressure (gauge)", "brackets"},
		{"Engine RPM", "engine speed", "the unit as a name"},
		{"Fuel rail pressure", "", "three items could be meant"},
		{"Door", "", "none"},
		{"", "", "nothing"},
	} {
		got, ok := Channel(c.name)
		if got != c.want || ok != (c.want != "") {
			t.Errorf("%s: %q is %q, %v; want %q", c.reason, c.name, got, ok, c.want)
		}
	}
	if near := NearestChannels("engine coolant temperatur"); !slices.Contains(near, "engine coolant temperature") {
		t.Errorf("nearest: %v", near)
	}
	for name, c := range also {
		if name != plain(name) || !slices.Contains(Channels(), c) {
			t.Errorf("%q leads to %q", name, c)
		}
	}
}

func FuzzDecode(f *testing.F) {
	f.Add(byte(0x05), []byte{0x7b})
	f.Add(byte(0x24), []byte{1, 2, 3, 4})
	f.Add(byte(0xff), []byte{})
	f.Fuzz(func(t *testing.T, pid byte, data []byte) {
		values, err := Decode(PID(pid), data)
		if err != nil {
			return
		}
		it, _ := Lookup(PID(pid))
		if it.Kind == Numbers && len(values) != len(it.Values) {
			t.Fatalf("%s lost values: %v", it.PID, values)
		}
	})
}
