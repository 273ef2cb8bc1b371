package joblog

import (
	"os"
	"slices"
	"strings"
	"testing"

	"elbowroom/guide"
	"elbowroom/internal/corpus"
	"elbowroom/plan"
)

// caseA is the first case of the demonstration, "lazy on hills since the wet
// week": Ines and Tomasz with a phone each and no signal for a day, interrupted,
// taken over by Robin, closed by Ines. It returns the phones as they stand when
// the job is done.
type caseA struct {
	t                   *testing.T
	ines, tomasz, robin *phone
	first, second       ID // plans
	valley              *PlanTaken
}

func newCaseA(t *testing.T) *caseA {
	return &caseA{
		t: t, ines: newPhone("a-2026-031", "pellow", "phone-ines"), tomasz: newPhone("a-2026-031", "veld", "phone-tomasz"),
		robin: newPhone("a-2026-031", "achter", "tablet-robin"), valley: planned(t, "valley"),
	}
}

// takeIn: complaint, codes, price, the cheap check at the control unit.
func (c *caseA) takeIn() {
	p, t := c.ines, c.t
	p.write(t, 0, &Arrived{Machine: "V1", Complaint: "lazy on hills since the wet week", Distance: "214300 km", Stands: "lift 1"})
	p.write(t, 3, &SignNoted{Says: "began after two days of rain"})
	p.write(t, 1, &SignNoted{Says: "windscreen renewed six weeks ago"})
	p.write(t, 4, &CodeNoted{Code: "P0327", Status: "stored", Says: "since 213 980 km, 22 °C, 2 900 rpm"})
	p.write(t, 1, &CodeNoted{Code: "P0332", Status: "now and then"})
	p.write(t, 2, &PriceAgreed{Limit: 15000, Currency: "EUR", Who: "Oda Brevik", How: "by telephone", For: "finding the fault"})
	c.first = p.write(t, 1, planned(t, "control-unit"))
	low := p.write(t, 8, &ReadingTaken{Text: "38 kΩ", Check: "T35", What: "right line", Point: "EL01", Instrument: "insulation-meter", Conditions: []string{"unplugged", "18 °C", "dry"}})
	p.write(t, 0.5, &VerdictRecorded{Of: low, Verdict: NonConforming, Limit: ">= 1 MΩ"})
	p.write(t, 1, &StepDone{Plan: c.first, Step: 1})
	left := p.write(t, 6, &ReadingTaken{Text: "1.42 nF", Check: "T39", What: "left line", Point: "EL01", Instrument: "capacitance", Conditions: []string{"unplugged"}})
	p.write(t, 0.5, &VerdictRecorded{Of: left, Verdict: Conforming, Limit: "1210..1610 pF", Why: "the limit of this point, not that of the sensor"})
	p.write(t, 1, &StepDone{Plan: c.first, Step: 2})
	p.write(t, 0.5, &Ticked{Fastener: Fastener{"EL01", 0, 1}})
	c.second = p.write(t, 5, c.valley)
	p.sync(t, c.tomasz)
}

// openUp: no signal from here on. Tomasz takes the hatch off and ticks it, and
// so does Ines, who holds the lamp; the telephone rings.
func (c *caseA) openUp() {
	t := c.t
	c.tomasz.clock = c.ines.clock - 40*60_000 // his clock is slow
	c.tomasz.write(t, 0, &Resumed{})
	c.tomasz.write(t, 13, &StepDone{Plan: c.second, Step: 1, Lies: "seat, bag 1"})
	c.ines.write(t, 14, &StepDone{Plan: c.second, Step: 1})
	c.ines.write(t, 5, &ReadingTaken{Text: ">10 MΩ", Check: "T36", What: "right sensor", Point: "sensor half of X3"})
	c.ines.write(t, 1, &StepDone{Plan: c.second, Step: 2})
	low := c.ines.write(t, 5, &ReadingTaken{Text: "38 kΩ", Check: "T37", What: "right line", Point: "harness half of X3"})
	c.ines.write(t, 0.5, &VerdictRecorded{Of: low, Verdict: NonConforming, Limit: ">= 1 MΩ"})
	c.ines.write(t, 0.5, &StepDone{Plan: c.second, Step: 3})
	c.ines.write(t, 1, &PictureAdded{Hash: strings.Repeat("0b", 32), Type: "image/jpeg", Size: 80_000, On: "X3", Says: "green, wet"})
	c.ines.write(t, 1, &Paused{Reason: "telephone, then the other van"})
	c.tomasz.write(t, 30, &Note{Text: "scuttle drain hose was off; put back with a new clip", On: "BD02"})
	c.tomasz.write(t, 3, &HandedOver{To: "achter", Says: "two terminals and the seal of X3 are on the bench, dry it first"})
}

// takeOver: in the evening the phones meet; Robin reads the state and goes on.
func (c *caseA) takeOver() {
	t := c.t
	c.ines.sync(t, c.tomasz)
	c.robin.sync(t, c.tomasz)
	c.robin.clock = c.ines.clock + 16*3_600_000
	c.robin.write(t, 0, &Resumed{})
	c.robin.write(t, 25, &Note{Text: "X3 dried, two terminals and seal renewed", On: "X3"})
	good := c.robin.write(t, 4, &ReadingTaken{Text: ">10 MΩ", Check: "T37", What: "right line", Point: "harness half of X3"})
	c.robin.write(t, 0.5, &VerdictRecorded{Of: good, Verdict: Conforming, Limit: ">= 1 MΩ"})
	c.robin.write(t, 1, &Ticked{Fastener: Fastener{"X3", 0, 1}})
	c.robin.write(t, 1, &Ticked{Fastener: Fastener{"EL01", 0, 1}})
	refit := stepOf(t, c.valley, plan.Refit, "PN03")
	for i := 1; i <= 8; i++ {
		c.robin.write(t, 0.5, &Ticked{Fastener{"PN03", 1, i}, "wrench-a", "6 N·m"})
	}
	c.robin.write(t, 9, &StepDone{Plan: c.second, Step: refit})
}

// prove: the proof under its conditions, and the end.
func (c *caseA) prove() {
	t := c.t
	refit := stepOf(t, c.valley, plan.Refit, "PN03")
	for n := refit + 1; n <= len(c.valley.Steps); n++ {
		if c.valley.Steps[n-1].Kind == plan.Do {
			c.robin.proves(t)
		}
		c.robin.write(t, 3, &StepDone{Plan: c.second, Step: n})
	}
	c.ines.sync(t, c.robin)
	c.ines.clock = c.robin.clock
	c.ines.write(t, 30, &ProofMade{What: "hill drive, 20 min, after 5 L of water on the scuttle", Verdict: Conforming})
	c.ines.write(t, 1, &PriceAgreed{Amount: 11200, Currency: "EUR", Who: "Oda Brevik", How: "at the counter"})
	c.ines.write(t, 1, &Closed{Says: "collected"})
}

func TestCaseA(t *testing.T) {
	c := newCaseA(t)
	c.takeIn()
	if s := c.ines.state(t); s.Connectors != (Count{1, 1}) || len(s.Tray) != 0 || s.Present.Says != "Take off the cab hatch (PN03)" {
		t.Errorf("after the checks at the control unit: %+v, %+v, %+v", s.Connectors, s.Tray, s.Present)
	}
	c.openUp()
	if s := c.tomasz.state(t); s.Present.Step != 2 || len(s.Readings) != 2 {
		t.Errorf("Tomasz, who has not met Ines: next %+v, %d readings", s.Present, len(s.Readings))
	}
	c.takeOver()
	s := c.robin.state(t)
	if i := slices.IndexFunc(s.Conflicts, func(x Conflict) bool { return x.Sort == Twice && x.Key == "step 1" }); i < 0 {
		t.Errorf("trap 11: the hatch was ticked on two phones: %+v", s.Conflicts)
	}
	if st := s.Plan.Steps[0]; !st.Done || len(st.Ticks) != 2 || st.Lies != "seat, bag 1" {
		t.Errorf("the hatch: %+v", st)
	}
	c.prove()
	s = c.ines.state(t)
	if s.Closed == nil {
		t.Fatal(s.Unclosable())
	}
	if len(s.Refused) > 0 || len(s.Gaps) > 0 || s.Fasteners != (Count{8, 8}) || s.Connectors != (Count{2, 2}) || s.Present != nil {
		t.Errorf("%v\n%v\n%v %v %v\n%s", s.Refused, s.Gaps, s.Fasteners, s.Connectors, s.Present, mustNot(s))
	}
	if got := mustNot(s); strings.Contains(got, "start") || strings.Contains(got, "crank") || strings.Contains(got, "key") ||
		strings.Contains(got, "bonnet") || !strings.Contains(got, "Do not drain the oil at OL05: engine temperature: coolant above 80 °C") {
		t.Errorf("closed up and hot, must not:\n%s", got)
	}
	pairs := s.BeforeAfter()
	if i := slices.IndexFunc(pairs, func(p Pair) bool { return p.Check == "T37" }); i < 0 ||
		pairs[i].Before.Text != "38 kΩ" || pairs[i].After.Text != ">10 MΩ" || pairs[i].Before.Verdict() != NonConforming || pairs[i].After.Verdict() != Conforming {
		t.Errorf("before and after: %+v", pairs)
	}
	for _, w := range s.Worked {
		if w.By == "veld" && (w.Unclear || w.Time.Minutes() != 13) {
			t.Errorf("Tomasz took %v for the hatch", w.Time)
		}
	}
}

// TestHandoverOfCaseA: the page that Robin reads, and what is on it as data.
func TestHandoverOfCaseA(t *testing.T) {
	c := newCaseA(t)
	c.takeIn()
	c.openUp()
	c.ines.sync(t, c.tomasz)
	s := c.ines.state(t)
	h := s.Handover()
	if h.Present == nil || h.Present.Step != 4 || len(h.Present.Why) > 0 || h.Done != 3 || h.Steps != 13 || h.By != "veld" {
		t.Errorf("%+v", h)
	}
	off := []guide.ID{}
	for _, l := range h.Tray {
		if l.Stands != "" {
			off = append(off, l.Item)
		}
	}
	if !slices.Equal(off, []guide.ID{"PN03"}) || h.Tray[slices.IndexFunc(h.Tray, func(l OffLine) bool { return l.Item == "PN03" })].Out != 8 {
		t.Errorf("tray: %+v", h.Tray)
	}
	golden(t, "testdata/handover.txt", strings.Join(h.Sentences(), "\n")+"\n")
}

// golden compares with a file, or writes it under -rewrite.
func golden(t *testing.T, name, got string) {
	t.Helper()
	if corpus.Rewriting() {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if want := string(corpus.Read(t, name)); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// TestFrozen: logs of every schema that was ever written read for ever, print
// as they are, and come to the same state.
func TestFrozen(t *testing.T) {
	c := newCaseA(t)
	c.takeIn()
	c.openUp()
	c.takeOver()
	c.prove()
	if name := "testdata/schema-1.jsonl"; corpus.Rewriting() {
		if _, err := os.Stat(name); err == nil {
			t.Log("a frozen sample is never written again: " + name)
		} else {
			var lines []string
			for _, r := range c.ines.log.Records() {
				b, err := EncodeRecord(r)
				if err != nil {
					t.Fatal(err)
				}
				lines = append(lines, string(b))
			}
			if err := os.WriteFile(name, []byte(strings.Join(lines, "\n")+"\n"), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, name := range corpus.Files(t, "testdata/schema-*.jsonl") {
		l := NewLog("a-2026-031")
		lines := strings.Split(strings.TrimSpace(string(corpus.Read(t, name))), "\n")
		for i, line := range lines {
			r, err := DecodeRecord([]byte(line))
			if err != nil {
				t.Fatalf("%s:%d: %v", name, i+1, err)
			}
			if b, err := EncodeRecord(r); err != nil || string(b) != line {
				t.Errorf("%s:%d comes out as\n%s\nand was\n%s", name, i+1, b, line)
			}
			if _, err := l.Add(r); err != nil {
				t.Fatalf("%s:%d: %v", name, i+1, err)
			}
		}
		golden(t, strings.TrimSuffix(name, ".jsonl")+".state.json", text(t, Fold(l, demoBasis(t)))+"\n")
	}
}
