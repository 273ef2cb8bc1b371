package app_test

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"elbowroom/app"
)

// What a reader shows, in the forms that people have it: all invented.
const (
	shown = `Control unit: Engine
Stored codes: 2
P0327-1C  knock sensor 1, circuit low, 213 980 km, 3 times
P0332 status: 0x09
Pending codes
P0128
Permanent codes: none
Freeze frame
P0327
Engine speed: 2900 rpm
Coolant temperature: 88 °C
Live data
Coolant temperature: 83 °C
Coolant temperature: 85 °C
MIL: on
Catalyst monitor: not complete
scribbled by hand
`
	byteRows = "7E8 06 41 00 BE 3F A8 13\n7E8 04 43 01 03 27\n7E8 03 41 05 7B\n"
	canLog   = `(100.000) can0 7DF#0201000000000000
(100.010) can0 7E8#064100BE3FA81300
(100.100) can0 7E8#04410C1AF8000000
(100.110) can0 0F1#1122334455667788
(100.200) can0 7E8#0643020327033200
(100.300) can0 7E8#04410C1B58000000
(100.400) can0 7E8#0144000000000000
(100.500) can0 7E8#0447010332000000
`
	canPrint = "can0  7E8   [8]  06 43 02 03 27 03 32 00\ncan0  7E8   [8]  03 41 05 7B 00 00 00 00\n"
)

func readCodes(t *testing.T, j app.Job, text string) *app.CodesRead {
	t.Helper()
	c, err := open(t).ReadCodes(j, app.CodeInput{Name: "x.txt", Text: strings.NewReader(text)})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestFormIsTold(t *testing.T) {
	wide := "\xff\xfe"
	for _, b := range []byte("P0327 low\n") {
		wide += string([]byte{b, 0})
	}
	for _, c := range []struct {
		name, text string
		form       app.CodeForm
		says       string
	}{
		{"what a reader shows", shown, app.TextForm, "17 lines, 1 of them not understood"},
		{"rows of bytes", byteRows, app.RowsForm, "3 lines, 0 of them"},
		{"log of a capture", canLog, app.LogForm, "8 lines, 8 frames, 0.500 s on can0"},
		{"print of a capture", canPrint, app.PrintForm, "2 lines, 2 frames on can0"},
		{"one frame alone", "can0 7E8#0443010327000000", app.LogForm, "1 line, 1 frame "},
		{"UTF-16, as some programs export", wide, app.TextForm, "1 line"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := readCodes(t, app.Job{}, c.text)
			if got.Form != c.form || !strings.Contains(got.Says, c.says) {
				t.Errorf("%s: %q", got.Form, got.Says)
			}
			if len(got.Take) == 0 {
				t.Error("no code was found")
			}
		})
	}
}

func TestCodesOfAText(t *testing.T) {
	c := readCodes(t, app.Job{Ask: app.Ask{Machine: "V1"}}, shown)
	if len(c.Units) != 1 || c.Units[0].Name != "Engine" {
		if len(c.Units) != 2 || c.Units[0].Name != "Engine" || c.Units[1].Name != "" {
			t.Fatalf("units: %+v", c.Units)
		}
	}
	u := c.Units[0]
	var said []string
	for _, x := range u.Codes {
		said = append(said, fmt.Sprintf("%s: %s", x.Seen.Code, x.Status))
	}
	want := []string{
		"P0327-1C: stored; at 213980 km; 3 times",
		"P0332: stored; fails now; confirmed: stored",
		"P0128: pending: failed in this or the last drive cycle, not confirmed",
		"P0327: it stored the freeze frame",
	}
	if !slices.Equal(said, want) {
		t.Errorf("codes:\n%s\nwant\n%s", strings.Join(said, "\n"), strings.Join(want, "\n"))
	}
	if u.Codes[0].Type != "voltage below threshold" && u.Codes[0].Type == "" {
		t.Errorf("failure type: %q", u.Codes[0].Type)
	}
	if len(u.Frames) != 1 || u.Frames[0].Code != "P0327" || len(u.Frames[0].Values) != 2 {
		t.Errorf("freeze frames: %+v", u.Frames)
	}
	if len(u.Values) != 1 || u.Values[0].Count != 2 || u.Values[0].Value.String() != "85 °C" || u.Values[0].Lowest.String() != "83 °C" {
		t.Errorf("values: %+v", u.Values)
	}
	if len(c.Series) != 1 || !slices.Equal(c.Series[0].Value, []float64{83, 85}) || c.Series[0].Time != nil {
		t.Errorf("series: %+v", c.Series)
	}
	if len(c.Unread) != 1 || c.Unread[0].Pos.Line != 17 || c.Unread[0].Text != "scribbled by hand" {
		t.Errorf("unread: %+v", c.Unread)
	}
	if len(c.Causes.Shared) == 0 || c.Causes.Shared[0].Node.Name != "X3" {
		t.Errorf("in common: %q", c.Shared)
	}
}

func TestCodesOfACapture(t *testing.T) {
	c := readCodes(t, app.Job{Ask: app.Ask{Guide: "demo"}}, canLog)
	if len(c.Units) != 1 || c.Units[0].Name != "7E8" || len(c.Cleared) != 1 {
		t.Fatalf("units %+v, cleared %q", c.Units, c.Cleared)
	}
	v := c.Units[0].Values
	if len(v) != 1 || v[0].Name != "engine speed" || v[0].Value.Number != 1750 || v[0].Count != 2 || !v[0].Timed {
		t.Errorf("values: %+v", v)
	}
	if len(c.Others) != 1 || c.Others[0].Name != "0F1" {
		t.Errorf("others: %+v", c.Others)
	}
}

// TestWhatTheJobTakes: each code once, as firmly as it is held, with what the
// job has already.
func TestWhatTheJobTakes(t *testing.T) {
	for _, c := range []struct {
		name, reason, text string
		job                app.Job
		want               []string
	}{
		{"stored and pending", "a code that is stored and pending is stored", "Stored codes\nP0327\nPending codes\nP0327\nP0332\n", app.Job{}, []string{"+P0327", "+P0332 pending"}},
		{"status byte", "confirmed, pending only, and never failed", "P0327 status: 0x09\nP0332 status: 0x04\nP0128 status: 0x50\n", app.Job{}, []string{" P0128", "+P0327", "+P0332 pending"}},
		{"what the machine has", "the machine brings P0327 and P0332", "P0087\n", app.Job{Ask: app.Ask{Machine: "V1"}}, []string{"+P0087", "*P0327", "*P0332"}},
		{"pending in the job, stored now", "what was read firmer replaces it", "Stored codes\nP0332\n", app.Job{Codes: []string{"P0332 pending"}}, []string{"*P0332"}},
		{"stored in the job, pending now", "what the job has stays", "Pending codes\nP0332\n", app.Job{Codes: []string{"P0332"}}, []string{"*P0332"}},
		{"cleared and read again", "P0327 did not come back, P0332 did", canLog, app.Job{}, []string{" P0327", "+P0332"}},
		{"cleared at the end", "nothing was read afterwards, so the codes stand", strings.SplitAfter(canLog, "7E8#0144")[0] + "\n", app.Job{}, []string{"+P0327", "+P0332"}},
		{"no code", "the job keeps what it has", "No codes\nCoolant temperature: 83 °C\n", app.Job{Codes: []string{"P0087"}}, []string{"*P0087"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			for _, x := range readCodes(t, c.job, c.text).Take {
				mark := map[bool]string{true: "+", false: " "}[x.Ticked]
				if x.Have {
					mark = "*"
				}
				got = append(got, mark+x.Entry)
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("takes %q, want %q: %s", got, c.want, c.reason)
			}
		})
	}
}

func TestWhatIsTakenIsAJob(t *testing.T) {
	a := open(t)
	c := readCodes(t, app.Job{Ask: app.Ask{Machine: "V1"}}, shown)
	j := app.Job{Ask: app.Ask{Machine: "V1"}}
	for _, x := range c.Take {
		j.Codes = append(j.Codes, x.Entry)
	}
	q, err := a.Suspects(j)
	if err != nil {
		t.Fatal(err)
	}
	if len(q.Codes) != len(c.Take) {
		t.Errorf("%d codes in the job, %d taken", len(q.Codes), len(c.Take))
	}
}

func TestCodesThatCannotBeRead(t *testing.T) {
	a := open(t)
	for _, c := range []struct {
		name string
		in   app.CodeInput
		job  app.Job
		says string
	}{
		{"nothing", app.CodeInput{Text: strings.NewReader(" \n\n")}, app.Job{}, "nothing stands in it"},
		{"wide and empty", app.CodeInput{Text: strings.NewReader("\xff\xfe \x00")}, app.Job{}, "nothing stands in it"},
		{"a picture", app.CodeInput{Name: "x.png", Text: strings.NewReader("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR")}, app.Job{}, "x.png: this is no text"},
		{"too long for a text", app.CodeInput{Text: io.LimitReader(endless{}, 5<<20)}, app.Job{}, "longer than 4 MB"},
		{"a link that is none", app.CodeInput{Text: strings.NewReader("x"), Link: "wire"}, app.Job{}, "can or older"},
		{"a broken pipe", app.CodeInput{Text: broken{}}, app.Job{}, "pipe broke"},
		{"an unknown machine", app.CodeInput{Text: strings.NewReader("P0327")}, app.Job{Ask: app.Ask{Machine: "V9"}}, "V9"},
		{"an unknown variant", app.CodeInput{Text: strings.NewReader("P0327")}, app.Job{Ask: app.Ask{Guide: "demo", Variant: "XHD"}}, "XHD"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := a.ReadCodes(c.job, c.in)
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%v", err)
			}
			if !errors.Is(err, app.ErrInput) && !errors.Is(err, app.ErrUnknown) {
				t.Errorf("%v is neither bad input nor unknown", err)
			}
		})
	}
}

// endless is a text without end.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = "P0327 low\n"[i%10]
	}
	return len(p), nil
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, errors.New("pipe broke") }

func TestLatinText(t *testing.T) {
	c := readCodes(t, app.Job{}, "Coolant temperature: 83 \xb0C\nP0128\n")
	if len(c.Notes) != 1 || len(c.Units) != 1 || len(c.Units[0].Values) != 1 {
		t.Errorf("notes %q, units %+v", c.Notes, c.Units)
	}
}

// TestMachineWithoutGuide: codes are explained by the standard alone.
func TestMachineWithoutGuide(t *testing.T) {
	c := readCodes(t, app.Job{Ask: app.Ask{Machine: "V5"}}, shown)
	if c.Guide != nil || c.Machine == nil || c.Causes.Shared != nil || c.Units[0].Codes[0].Group == "" {
		t.Errorf("guide %v, machine %v, causes %v", c.Guide, c.Machine, c.Causes)
	}
}

func TestCodeTakenApart(t *testing.T) {
	s, err := open(t).Code(app.Ask{Guide: "demo"}, "p0327-1c")
	if err != nil {
		t.Fatal(err)
	}
	var faults []string
	for _, f := range s.Faults {
		faults = append(faults, string(f.ID)+" "+f.Family)
	}
	want := []string{"F10 P0325-P0334", "F35 P0325-P0329", "F55 P0325-P0329", "F56 P0324-P0334", "F57 P0325-P0334"}
	if !slices.Equal(faults, want) {
		t.Errorf("faults %q, want %q", faults, want)
	}
	if len(s.Parts) != 5 || s.Bytes != "03 27 1C" || s.Parts[0].Says != "powertrain" {
		t.Errorf("parts %+v, bytes %s", s.Parts, s.Bytes)
	}
	if _, err := open(t).Code(app.Ask{Guide: "demo"}, "PO327"); err == nil || !errors.Is(err, app.ErrInput) || !strings.Contains(err.Error(), "P0327") {
		t.Errorf("a letter for a digit: %v", err)
	}
}

func FuzzReadCodes(f *testing.F) {
	for _, text := range []string{shown, byteRows, canLog, canPrint, "\xff\xfeP\x00", "", "P0327", "44 00\n43 01 33 00 00 00 00\n"} {
		f.Add([]byte(text))
	}
	a := open(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := a.ReadCodes(app.Job{Ask: app.Ask{Guide: "demo"}}, app.CodeInput{Text: strings.NewReader(string(data))})
		if err != nil {
			if !errors.Is(err, app.ErrInput) {
				t.Fatal(err)
			}
			return
		}
		if c.Says == "" || c.Form == "" {
			t.Error("it is not said as what the text was read")
		}
		for _, x := range c.Take {
			if x.Entry == "" {
				t.Error("a code without its entry")
			}
		}
	})
}
