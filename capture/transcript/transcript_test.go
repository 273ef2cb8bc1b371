package transcript

import (
	"strings"
	"testing"
	"time"

	"elbowroom/span"
)

func TestForms(t *testing.T) {
	for _, c := range []struct {
		name, file, text string
		form             Form
		cues             int
		first            string
		start            time.Duration
		speaker          string
	}{
		{"WebVTT with header, note, voice and settings (W3C WebVTT, section 1.1 and 4.2.2)", "a.vtt", "WEBVTT - x\n\nNOTE a\n\nid\n00:01.500 --> 00:02.000 align:start\n<v.loud Maren>two &amp; three</v>\n", WebVTT, 1, "two & three", 1500 * time.Millisecond, "Maren"},
		{"SubRip with a comma before the milliseconds", "a.srt", "1\n00:00:01,000 --> 00:00:02,000\none\ntwo\n\n2\n01:00:00,000 --> 01:00:01,000\nthree", SubRip, 2, "one\ntwo", time.Second, ""},
		{"bracketed times, a line that goes on", "a.txt", "[0:02] one\ntwo\n[0:05] three", Bracketed, 2, "one\ntwo", 2 * time.Second, ""},
		{"speakers by name", "a.txt", "[0:02] Nell: one\n[0:05] Jory: two\n[0:07] Nell: three\n[0:09] Jory: four", Bracketed, 4, "one", 2 * time.Second, "Nell"},
		{"a colon alone makes no speaker", "a.txt", "[0:02] Oil pressure: one\n[0:05] two\n[0:07] three", Bracketed, 3, "Oil pressure: one", 2 * time.Second, ""},
		{"a spreadsheet with semicolons", "a.csv", "Item;Qty;Torque (Nm)\n\"Cover; left\";3;9\n", Table, 1, "Cover; left: 3, 9 Nm", 0, ""},
		{"plain notes", "a.txt", "Fuel tank: 2 screws\n\n  Oil 0.6 l", Notes, 2, "Fuel tank: 2 screws", 0, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, list := Read(c.file, []byte(c.text))
			if got == nil || len(list) > 0 {
				t.Fatal(list)
			}
			first := got.Cues[0]
			if got.Form != c.form || len(got.Cues) != c.cues || first.Text != c.first || first.Start != c.start || first.Speaker != c.speaker {
				t.Errorf("read as %s, %d cues, the first %+v", got.Form, len(got.Cues), first)
			}
		})
	}
}

func TestEveryByteHasItsPlace(t *testing.T) {
	text := "WEBVTT\n\n00:01.000 --> 00:02.000\n<v Maren>zwölf &amp; bolts\nthree nuts\n"
	got, _ := Read("a.vtt", []byte(text))
	c := got.Cues[0]
	for word, want := range map[string]string{"zwölf": "a.vtt:4:10", "&": "a.vtt:4:16", "bolts": "a.vtt:4:22", "nuts": "a.vtt:5:7"} {
		if at := c.At(strings.Index(c.Text, word)).String(); at != want {
			t.Errorf("%q stands at %s, want %s", word, at, want)
		}
	}
}

func TestBadInput(t *testing.T) {
	for _, c := range []struct {
		name, text, rule string
		severity         span.Severity
	}{
		{"UTF-16 of a text editor", "\xff\xfeo\x00n\x00", "encoding", span.Error},
		{"Latin-1", "f\xfcnf Schrauben", "encoding", span.Error},
		{"a recording", "RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\xfe\x00", "binary", span.Error},
		{"nothing at all", " \n\n", "empty", span.Error},
		{"times that run backwards", "[0:10] one\n[0:05] two", "order", span.Warning},
		{"captions that overlap", "1\n00:00:01,000 --> 00:00:05,000\na\n\n2\n00:00:04,000 --> 00:00:06,000\nb", "overlap", span.Warning},
		{"an end before its begin", "1\n00:00:05,000 --> 00:00:01,000\na", "time", span.Warning},
		{"a time that is none", "1\n00:xx --> 00:00:01,000\na", "time", span.Warning},
		{"words outside any caption", "1\n00:00:01,000 --> 00:00:02,000\na\n\nstray words here\n\n2\n00:00:03,000 --> 00:00:04,000\nb", "time", span.Warning},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, list := Read("t", []byte(c.text))
			if len(list) == 0 || list[0].Rule != c.rule || list[0].Severity != c.severity {
				t.Fatalf("findings %v, want %s", list, c.rule)
			}
			if (got == nil) != (c.severity == span.Error) {
				t.Error("an error gives no cues, a warning keeps them")
			}
		})
	}
}

// No word may be lost, whatever the times say.
func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"WEBVTT\n\n00:01.000 --> 00:02.000\n<v A>x</v>\n", "1\n00:00:01,000 --> 00:00:02,000\none\n", "[0:02] A: one\n[0:03] A: two\n",
		"Item,Qty\nPump,3\n", "a --> b\n--> \n", "Item;Torque (Nm)\n\"a\nb\";4\n", "0:02 x",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, list := Read("f.csv", []byte(text))
		if got == nil && !list.Has(span.Error) {
			t.Fatal("no cues and no error")
		}
		if got == nil {
			return
		}
		for i := range got.Cues {
			c := &got.Cues[i]
			if c.End < c.Start {
				t.Fatalf("cue %d ends before it begins", i)
			}
			for off := range c.Text {
				if p := c.At(off); p.Line < 1 || p.Col < 1 {
					t.Fatalf("cue %d has no place for byte %d of %q", i, off, c.Text)
				}
			}
		}
	})
}
