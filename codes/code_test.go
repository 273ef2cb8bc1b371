package codes

import (
	"bytes"
	"encoding/csv"
	"errors"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"elbowroom/internal/corpus"
	"elbowroom/span"
)

// table reads a CSV file of testdata and fails when it holds fewer rows than
// least, so that a moved file cannot pass as no cases.
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

func hexByte(t *testing.T, s string) byte {
	t.Helper()
	n, err := strconv.ParseUint(s, 16, 8)
	if err != nil {
		t.Fatal(err)
	}
	return byte(n)
}

// TestBytes compares the table of two bytes and codes, both ways. Source in
// the file.
func TestBytes(t *testing.T) {
	for _, row := range table(t, "dtc_examples", 10) {
		hi, lo := hexByte(t, row["byte_hi"]), hexByte(t, row["byte_lo"])
		if got := FromBytes(hi, lo).String(); got != row["code"] {
			t.Errorf("%02X %02X is %s, the table says %s", hi, lo, got, row["code"])
		}
		f, err := Parse(row["code"])
		if err != nil {
			t.Errorf("%s: %v", row["code"], err)
		}
		if h, l := f.Code.Bytes(); h != hi || l != lo {
			t.Errorf("%s is %02X %02X, the table says %02X %02X", row["code"], h, l, hi, lo)
		}
	}
}

// TestControl compares every code of every block of the table, source there.
func TestControl(t *testing.T) {
	seen := 0
	for _, row := range table(t, "control", 15) {
		r, err := ParseRange(row["first"] + "-" + row["last"])
		if err != nil {
			t.Fatal(err)
		}
		for c := int(r.From); c <= int(r.To); c++ {
			seen++
			if got := Code(c).Control(); string(got) != row["control"] {
				t.Fatalf("%s is controlled by %s, the table says %s", Code(c), got, row["control"])
			}
		}
	}
	if seen != 1<<16 {
		t.Errorf("the table speaks of %d codes, there are %d", seen, 1<<16)
	}
	for _, c := range []Control{Standard, Maker, Reserved, Shared} {
		if c.Words() == "" {
			t.Errorf("no words for %s", c)
		}
	}
}

// TestGroups looks at the hundred-blocks (group names of SAE J2012 as public
// documentation prints them).
func TestGroups(t *testing.T) {
	for _, c := range []struct {
		code, group string
		system      System
		reason      string
	}{
		{"P0327", "ignition system or misfire", Powertrain, "P03xx"},
		{"P0118", "fuel and air metering", Powertrain, "P01xx"},
		{"P0016", "fuel and air metering and auxiliary emission controls", Powertrain, "P00xx"},
		{"P0201", "fuel and air metering (injector circuit)", Powertrain, "P02xx"},
		{"P0443", "auxiliary emission controls", Powertrain, "P04xx"},
		{"P0562", "vehicle speed, idle control, auxiliary inputs", Powertrain, "P05xx"},
		{"P06DD", "control unit and output circuits", Powertrain, "P06xx, hexadecimal"},
		{"P250A", "continuation of the standard powertrain codes", Powertrain, "P20xx to P29xx"},
		{"U0100", "network", Network, "U0xxx"},
		{"P0A80", "", Powertrain, "no group kept"},
		{"P1234", "", Powertrain, "the maker's"},
		{"B1234", "", Body, "no group kept"},
		{"C0121", "", Chassis, "no group kept"},
	} {
		f, err := Parse(c.code)
		if err != nil {
			t.Fatal(err)
		}
		g, ok := f.Code.Group()
		if g != c.group || ok != (c.group != "") || f.Code.System() != c.system {
			t.Errorf("%s: %s is in %q, %v, %s; want %q, %s", c.reason, c.code, g, ok, f.Code.System(), c.group, c.system)
		}
	}
}

func TestFailureTypes(t *testing.T) {
	bare := func(s string) string { return strings.TrimSuffix(s, "s") }
	for _, row := range table(t, "failure_types", 40) {
		got, ok := FailureType(hexByte(t, row["type"])).Words()
		if !ok || bare(got) != bare(row["words"]) {
			t.Errorf("failure type %s is %q, the list says %q", row["type"], got, row["words"])
		}
	}
	if w, ok := FailureType(0xf0).Words(); ok {
		t.Errorf("F0 is the maker's, yet it reads %q", w)
	}
}

// TestStatus compares the bits and the examples of ISO 14229-1; sources in the
// files.
func TestStatus(t *testing.T) {
	for _, row := range table(t, "uds_dtc_status_bits", 8) {
		s := Status(hexByte(t, row["mask_hex"]))
		if got := s.Set(); !slices.Equal(got, []string{row["name"]}) {
			t.Errorf("bit %s is %v, the table says %s", row["bit"], got, row["name"])
		}
	}
	for _, row := range table(t, "uds_status_examples_computed", 9) {
		s := Status(hexByte(t, row["status_hex"]))
		want := strings.FieldsFunc(row["set_bits"], func(r rune) bool { return r == '|' })
		if got := s.Set(); !slices.Equal(got, want) {
			t.Errorf("%s has %v set, want %v", s, got, want)
		}
		if back, unknown := ParseStatus(want); back != s || unknown != nil {
			t.Errorf("%v is %s and %v, want %s", want, back, unknown, s)
		}
	}
	if _, unknown := ParseStatus([]string{"pending"}); len(unknown) != 1 {
		t.Error("a name that is none of the standard's passed")
	}
	if got := Status(0).Words(); got != "nothing set" {
		t.Errorf("no bit set reads %q", got)
	}
	if got := Status(0x2f).Words(); strings.Count(got, ";") != 4 {
		t.Errorf("five bits read %q", got)
	}
	if Status(0x50).Untested() == false || Status(0x2f).Untested() {
		t.Error("a test that did not run since the codes were cleared must say so")
	}
}

func TestParse(t *testing.T) {
	for _, c := range []struct{ text, want, reason string }{
		{"P0327", "P0327", "as printed"},
		{"p0327", "P0327", "in lower case"},
		{"P 0327", "P0327", "with a space"},
		{"  P0327\t", "P0327", "white space around"},
		{"P0327-00", "P0327-00", "failure type 00 is not the same as none"},
		{"p0327-1c", "P0327-1C", "failure type in lower case"},
		{"P0327:1C", "P0327-1C", "failure type behind a colon"},
		{"P0327 1C", "P0327-1C", "failure type behind a space"},
		{"P03271C", "P0327-1C", "failure type without a break"},
		{"0x0327", "P0327", "bytes as sent"},
		{"0XC100", "U0100", "bytes of a network code"},
		{"0x03271c", "P0327-1C", "three bytes as sent"},
		{"0x03 27", "P0327", "bytes apart"},
		{"P0A80", "P0A80", "hexadecimal digits: one public page calls the digits decimal, which this code disproves"},
		{"u0100", "U0100", "network"},
		{"b16a1", "B16A1", "body, hexadecimal"},
	} {
		f, err := Parse(c.text)
		if err != nil || f.String() != c.want {
			t.Errorf("%s: %q reads as %s, %v; want %s", c.reason, c.text, f, err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct {
		text    string
		cols    []int
		nearest string
		reason  string
	}{
		{"", []int{1}, "", "nothing"},
		{"   ", []int{1}, "", "white space only"},
		{"PO327", []int{2}, "P0327", "the letter O for a nought is asked, never taken"},
		{"po327", []int{2}, "P0327", "the small letter o"},
		{" PO32l", []int{3, 6}, "P0321", "two look-alikes, both named, columns of the text as given"},
		{"P03Z7", []int{4}, "P0327", "Z for 2"},
		{"P03X7", []int{4}, "", "a letter that looks like no digit"},
		{"P4327", []int{2}, "", "the first digit is two bits"},
		{"PA327", []int{2}, "", "the first digit is two bits, hexadecimal does not help"},
		{"P327", []int{2}, "P0327", "three digits"},
		{"P03277", []int{2}, "", "five digits"},
		{"P", []int{2}, "", "a letter alone"},
		{"0327", []int{1}, "P0327", "the letter is missing"},
		{"X0327", []int{1}, "", "no letter of a code"},
		{"Р0327", []int{1}, "P0327", "a Cyrillic letter"},
		{"P0327-", []int{6}, "", "a break and nothing behind it"},
		{"P0327-1", []int{6}, "", "half a failure type"},
		{"P0327-1CC", []int{6}, "", "too long a failure type"},
		{"P0327-P0329", []int{6}, "", "a family where a code is asked"},
		{"P03271C-00", []int{8}, "", "two failure types"},
		{"0x327", []int{1}, "", "three half bytes"},
		{"0x03G7", []int{5}, "", "no hexadecimal digit"},
		{"P0327 knock sensor", []int{6}, "", "words behind it"},
		{"\xff\xfe", []int{1}, "", "bytes that are no text"},
	} {
		f, err := Parse(c.text)
		if !errors.Is(err, ErrForm) {
			t.Errorf("%s: %q reads as %s, %v", c.reason, c.text, f, err)
			continue
		}
		var cols []int
		var nearest []string
		for _, x := range Findings(err, span.Pos{Line: 1, Col: 1}) {
			cols = append(cols, x.Pos.Col)
			nearest = append(nearest, x.Nearest...)
			if x.Says == "" || x.Severity != span.Error {
				t.Errorf("%s: a finding that says nothing: %+v", c.reason, x)
			}
		}
		if !slices.Equal(cols, c.cols) || !slices.Contains(append(nearest, ""), c.nearest) || c.nearest == "" && nearest != nil {
			t.Errorf("%s: %q has errors at %v, nearest %v; want %v, %q\n%v", c.reason, c.text, cols, nearest, c.cols, c.nearest, err)
		}
	}
}

func TestFindingsMove(t *testing.T) {
	_, err := Parse("PO327")
	list := Findings(err, span.Pos{File: "a.txt", Line: 7, Col: 10})
	if len(list) != 1 || list[0].Pos != (span.Pos{File: "a.txt", Line: 7, Col: 11}) {
		t.Errorf("moved to %v", list)
	}
	if Findings(errors.New("other"), span.Pos{}) != nil {
		t.Error("a foreign error gave findings")
	}
}

func TestRanges(t *testing.T) {
	for _, c := range []struct{ text, want, in, out, reason string }{
		{"P0560-P0563", "P0560-P0563", "P0561", "P0564", "a family of four"},
		{"P0100-P01FF", "P0100-P01FF", "P010A", "P0200", "the order is hexadecimal: P010A lies inside"},
		{"U0000-U0FFF", "U0000-U0FFF", "U0ABC", "U1000", "all standard network codes"},
		{"P01xx", "P0100-P01FF", "P01FF", "P0200", "a family with x"},
		{"U0XXX", "U0000-U0FFF", "U0100", "P0100", "a family with three x"},
		{"P250x", "P2500-P250F", "P250F", "P2510", "one x"},
		{"P0562", "P0562", "P0562", "P0563", "one code"},
		{" p0560 – p0563 ", "P0560-P0563", "P0563", "P055F", "a longer dash and spaces"},
		{"P0560-P0560", "P0560", "P0560", "P0561", "a family of one prints as one"},
	} {
		r, err := ParseRange(c.text)
		if err != nil || r.String() != c.want {
			t.Errorf("%s: %q reads as %s, %v", c.reason, c.text, r, err)
			continue
		}
		in, _ := Parse(c.in)
		out, _ := Parse(c.out)
		if !r.Has(in.Code) || r.Has(out.Code) {
			t.Errorf("%s: %s has %s: %v, has %s: %v", c.reason, r, c.in, r.Has(in.Code), c.out, r.Has(out.Code))
		}
	}
}

func TestRangesRefuse(t *testing.T) {
	for _, c := range []struct {
		text   string
		cols   []int
		reason string
	}{
		{"P0563-P0560", []int{1}, "upside down"},
		{"P0560-U0563", []int{1}, "across letters"},
		{"PO560-P05G3", []int{2, 10}, "both ends wrong, both named"},
		{"P0560-63", []int{1}, "a short end would be a failure type"},
		{"P0327-1C", []int{1}, "a failure type is no family"},
		{"P4xxx", []int{2}, "no such block"},
		{"Pxxxx", []int{2, 3, 4, 5}, "too wide: the x begin where a digit must stand"},
		{"", []int{1}, "nothing"},
		{"-P0560", []int{1}, "no begin"},
	} {
		r, err := ParseRange(c.text)
		var cols []int
		for _, f := range Findings(err, span.Pos{Line: 1, Col: 1}) {
			cols = append(cols, f.Pos.Col)
		}
		if !errors.Is(err, ErrForm) || !slices.Equal(cols, c.cols) {
			t.Errorf("%s: %q reads as %s, errors at %v, want %v: %v", c.reason, c.text, r, cols, c.cols, err)
		}
	}
}

func TestParseRanges(t *testing.T) {
	rs, err := ParseRanges("P0560-P0563, U0xxx;P0A80\nP01xx,")
	if err != nil || len(rs) != 4 {
		t.Fatalf("%v, %v", rs, err)
	}
	f, _ := Parse("U0100")
	if !Covers(rs, f.Code) || Covers(rs[:1], f.Code) {
		t.Error("U0100 lies in U0xxx only")
	}
	rs, err = ParseRanges("P0560, PO561\nP0562, P05629")
	var m *Malformed
	if !errors.As(err, &m) || len(rs) != 2 || len(m.List) != 2 {
		t.Fatalf("%v, %v", rs, err)
	}
	if a, b := m.List[0].Pos, m.List[1].Pos; a != (span.Pos{Line: 1, Col: 9}) || b != (span.Pos{Line: 2, Col: 9}) {
		t.Errorf("errors at %v and %v", a, b)
	}
}

func TestMerge(t *testing.T) {
	rs, err := ParseRanges("P0562, P0560-P0561, P0563-P0570, U0000, C3FFF, B0000, P0565")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, r := range Merge(rs) {
		got = append(got, r.String())
	}
	if want := []string{"P0560-P0570", "C3FFF", "B0000", "U0000"}; !slices.Equal(got, want) {
		t.Errorf("merged to %v, want %v: letters never join", got, want)
	}
}

// TestThereAndBack: every code, with and without every failure type, prints to
// a text that reads to it.
func TestThereAndBack(t *testing.T) {
	for c := range 1 << 16 {
		f := Full{Code: Code(c)}
		if c%7 == 0 {
			f.Type, f.Typed = FailureType(c/7), true
		}
		back, err := Parse(f.String())
		if err != nil || back != f {
			t.Fatalf("%v reads as %v, %v", f, back, err)
		}
		if hi, lo := f.Code.Bytes(); FromBytes(hi, lo) != f.Code {
			t.Fatalf("%v does not survive its bytes", f)
		}
	}
}

func TestRangeThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := rapid.Uint16Range(0, 3).Draw(t, "letter") << 14
		a := Code(base | rapid.Uint16Range(0, 1<<14-1).Draw(t, "from"))
		b := Code(base | rapid.Uint16Range(0, 1<<14-1).Draw(t, "to"))
		r := Range{min(a, b), max(a, b)}
		back, err := ParseRange(r.String())
		if err != nil || back != r || r.Size() < 1 {
			t.Fatalf("%v reads as %v, %v", r, back, err)
		}
		if !Covers(Merge([]Range{{a, a}, {b, b}}), a) {
			t.Fatal("merging lost a code")
		}
	})
}

func TestTextForms(t *testing.T) {
	var c Code
	if err := c.UnmarshalText([]byte("P0327-1C")); err == nil {
		t.Error("a failure type vanished without a word")
	}
	if err := c.UnmarshalText([]byte("P0327")); err != nil || c.String() != "P0327" {
		t.Errorf("%v, %v", c, err)
	}
	var f Full
	if err := f.UnmarshalText([]byte("P0327-1C")); err != nil || f.String() != "P0327-1C" {
		t.Errorf("%v, %v", f, err)
	}
	var r Range
	if err := r.UnmarshalText([]byte("P01xx")); err != nil || r.String() != "P0100-P01FF" {
		t.Errorf("%v, %v", r, err)
	}
	if b, err := r.MarshalText(); err != nil || string(b) != "P0100-P01FF" {
		t.Errorf("%s, %v", b, err)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"P0327", "p 0327-1c", "0x0327", "PO327", "Р0327", "P0327-P0329", "P01xx", "\xff", "P|Ø"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := Parse(s)
		if err == nil {
			if back, err := Parse(c.String()); err != nil || back != c {
				t.Fatalf("%q is %v, which reads as %v, %v", s, c, back, err)
			}
		} else if !errors.Is(err, ErrForm) || len(Findings(err, span.Pos{Line: 1, Col: 1})) == 0 {
			t.Fatalf("%q: %v", s, err)
		}
		r, err := ParseRange(s)
		if err == nil && r.From > r.To {
			t.Fatalf("%q is %v", s, r)
		}
		rs, err := ParseRanges(s)
		if err == nil && strings.TrimSpace(strings.Map(func(r rune) rune {
			if strings.ContainsRune(",;", r) {
				return -1
			}
			return r
		}, s)) != "" && len(rs) == 0 {
			t.Fatalf("%q gave neither a family nor an error", s)
		}
	})
}
