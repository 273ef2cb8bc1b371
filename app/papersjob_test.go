package app_test

import (
	"bufio"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"elbowroom/app"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/report"
)

// logOf reads a log that was kept: case A of the demonstration as the phones of
// its people wrote it, in the evening of the first day and at the end.
func logOf(t testing.TB, name string) joblog.State {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", "papers", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	log := joblog.NewLog("a-2026-031")
	scan := bufio.NewScanner(f)
	scan.Buffer(nil, joblog.MaxEvent)
	for scan.Scan() {
		r, err := joblog.DecodeRecord(scan.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		if _, err := log.Add(r); err != nil {
			t.Fatal(err)
		}
	}
	if log.Len() < 20 {
		t.Fatalf("%s holds %d events; the papers would say nothing", name, log.Len())
	}
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	return joblog.Fold(log, joblog.Basis{
		Editions: []joblog.Edition{{Pin: joblog.Pin{Guide: "v27p", Revision: "revision 3", Date: "2026-03-02"}, Guide: g}},
		People:   []joblog.Person{"pellow", "veld", "achter", "orme"},
	})
}

func TestPapersOfCaseA(t *testing.T) {
	a := paperApp(t)
	evening, end := logOf(t, "case-a-evening.jsonl"), logOf(t, "case-a.jsonl")
	inq, err := a.SuspectsSince(app.Job{
		Ask: app.Ask{Machine: "V1"}, Codes: []string{"P0327"},
		Log: []string{"T35: right 38 kΩ, left > 10 MΩ, unplugged, meter 50 V, ambient 18 °C, dry", "T36: right > 10 MΩ, left > 10 MΩ, X3 apart, meter 50 V", "T37: right 38 kΩ, left > 10 MΩ, X3 apart, EL01 unplugged, meter 50 V"},
	})
	if err != nil {
		t.Fatal(err)
	}
	for name, d := range map[string]report.Document{
		"case-a-handover":   a.HandoverPaper(evening),
		"case-a-job":        a.JobPaper(end, inq),
		"case-a-unfinished": a.JobPaper(evening, nil),
	} {
		if err := d.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		keepPaper(t, name, d)
	}
}

// TestHandoverSaysWhatIsForbiddenFirst: whoever reads only the top of the page
// must have read what hurts.
func TestHandoverSaysWhatIsForbiddenFirst(t *testing.T) {
	a := paperApp(t)
	s := logOf(t, "case-a.jsonl") // closed up and hot: the oil must not be drained
	first := a.HandoverPaper(s).Sections[0]
	if len(first.Blocks) != len(s.MustNot) || len(s.MustNot) == 0 {
		t.Fatalf("%d prohibitions in the state, %d on the paper", len(s.MustNot), len(first.Blocks))
	}
	for i, b := range first.Blocks {
		if b.Caution == nil || !b.Caution.MustNot || b.Caution.Says != s.MustNot[i].Says {
			t.Errorf("block %d: %+v, want %q", i, b.Caution, s.MustNot[i].Says)
		}
	}
	s = logOf(t, "case-a-evening.jsonl") // the hatch is off
	d := a.HandoverPaper(s)
	if len(s.Tray) == 0 {
		t.Fatal("nothing is off; the test would check nothing")
	}
	for _, l := range s.Tray {
		if _, ok := d.Tick("tray " + string(l.Item)); !ok {
			t.Errorf("%s is off and has no line on the handover", l.Item)
		}
	}
	for _, j := range s.Handover().Loose {
		for _, n := range j.Missing {
			if _, ok := d.Tick(strings.Join([]string{"fastener " + string(j.Item), itoa(j.Joint), itoa(n)}, "/")); !ok {
				t.Errorf("fastener %s/%d/%d is not tight and has no box on the handover", j.Item, j.Joint, n)
			}
		}
	}
}

// TestReadTwiceIsNoBeforeAndAfter: a reading that was repeated in the same state
// proves nothing; only work in between makes a before and an after.
func TestReadTwiceIsNoBeforeAndAfter(t *testing.T) {
	a := paperApp(t)
	at := func(minute int64) joblog.ID {
		return joblog.NewID(joblog.Earliest+joblog.Moment(minute*60_000), [10]byte{})
	}
	read := func(minute int64, text string) joblog.Reading {
		return joblog.Reading{Stamp: joblog.Stamp{ID: at(minute), By: "pellow"}, ReadingTaken: joblog.ReadingTaken{Check: "T35", Text: text}}
	}
	s := joblog.State{Job: "j", Readings: []joblog.Reading{read(1, "38 kΩ"), read(5, "40 kΩ")}}
	shows := func() bool {
		d := a.JobPaper(s, nil)
		return slices.ContainsFunc(d.Sections, func(x report.Section) bool { return x.Title == "Before and after" })
	}
	if shows() {
		t.Error("read twice, and called before and after")
	}
	s.Worked = []joblog.Worked{{By: "pellow", Done: at(3), Act: joblog.Act{Verb: guide.Replace, Item: "X3"}}}
	if !shows() {
		t.Error("work in between, and no before and after")
	}
	s.Worked[0].Done = at(9)
	if shows() {
		t.Error("work after both, and called before and after")
	}
}
