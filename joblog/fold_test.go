package joblog

import (
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/guide"
	"elbowroom/plan"
)

// bench is one phone with a plan taken.
func bench(t testing.TB, name string) (*phone, *PlanTaken, ID) {
	t.Helper()
	p := newPhone("j-1", "pellow", "phone-a")
	p.write(t, 0, &Arrived{Machine: "V1"})
	body := planned(t, name)
	return p, body, p.write(t, 1, body)
}

func (p *phone) state(t testing.TB) State {
	t.Helper()
	return Fold(p.log, demoBasis(t))
}

// steps ticks steps first to last of a plan.
func (p *phone) steps(t testing.TB, id ID, first, last int) {
	t.Helper()
	for n := first; n <= last; n++ {
		p.write(t, 2, &StepDone{Plan: id, Step: n})
	}
}

// closeUp ticks every fastener that is missing and records every part.
func (p *phone) closeUp(t testing.TB) {
	t.Helper()
	s := p.state(t)
	for _, j := range s.Joints {
		for _, n := range j.Missing {
			p.write(t, 0.1, &Ticked{Fastener: Fastener{j.Item, j.Joint, n}, Wrench: "wrench-a"})
		}
	}
	for _, l := range s.Parts {
		if l.New < l.Need {
			p.write(t, 0.1, &PartNew{Part: l.Part, On: l.On, Joint: l.Joint, Count: l.Need - l.New})
		}
	}
}

func (p *phone) proves(t testing.TB) {
	t.Helper()
	r := p.write(t, 5, &ReadingTaken{Text: "1.05", Check: "T40", Conditions: []string{"3000 rpm", "coolant 92 °C"}})
	p.write(t, 1, &VerdictRecorded{Of: r, Verdict: Conforming, Limit: "ratio 0.6..1.6"})
	p.write(t, 1, &ProofMade{Check: "T40", Readings: []ID{r}, Verdict: Conforming})
}

func mustNot(s State) string {
	var lines []string
	for _, m := range s.MustNot {
		lines = append(lines, m.Says+": "+strings.Join(m.Because, "; "))
	}
	return strings.Join(lines, "\n")
}

// TestFortyOfFortyOne is trap 9 of the demonstration: 41 fasteners out, 40 in.
func TestFortyOfFortyOne(t *testing.T) {
	p, body, id := bench(t, "two-sensors")
	p.steps(t, id, 1, len(body.Steps))
	p.closeUp(t)
	p.write(t, 1, &Unticked{Fastener{"AR04", 1, 7}, "it is not there"})
	p.proves(t)
	p.write(t, 1, &Closed{})
	s := p.state(t)
	if s.Fasteners != (Count{41, 40}) || s.Connectors != (Count{2, 2}) || s.Closed != nil {
		t.Fatalf("%+v, %+v, closed %v", s.Fasteners, s.Connectors, s.Closed)
	}
	if got := s.keys(); !slices.Equal(got, []string{"joint AR04/1: 7"}) {
		t.Errorf("lacking: %v", got)
	}
	i := slices.IndexFunc(s.Refused, func(r Refusal) bool { return r.Why == NotFinished })
	if i < 0 || !strings.Contains(s.Refused[i].Says, "41 fasteners out, 40 in; 2 connectors apart, 2 together") ||
		!strings.Contains(s.Refused[i].Says, "10 of 11 in; not ticked: 7") {
		t.Errorf("the refusal says %v", s.Refused)
	}

	p.write(t, 1, &Deviation{Signed: "pellow", Reason: "rung with a magnet, nothing found; ports were covered", Lacks: []string{"item AR04"}})
	if s = p.state(t); s.Closed != nil {
		t.Error("a deviation that names something else lets the job be closed")
	}
	p.write(t, 1, &Deviation{Signed: "pellow", Reason: "rung with a magnet, nothing found; ports were covered", Lacks: []string{"joint AR04/1: 7"}})
	s = p.state(t)
	if s.Closed == nil || s.Closed.By != "pellow" || s.Lacks[0].Signed == nil || s.Lacks[0].Signed.By != "pellow" || s.Lacks[0].Reason == "" {
		t.Fatalf("a signed deviation does not let it be closed: %s", s.Unclosable())
	}

	p.write(t, 1, &Unticked{Fastener{"AR05", 1, 2}, "looked again"})
	if s = p.state(t); s.Closed != nil || !slices.Equal(s.keys(), []string{"joint AR05/1: 2"}) {
		t.Errorf("what comes later does not open the job: %v", s.keys())
	}
}

// TestADeviationIsNoBlankCheque: what was signed for before an item was opened
// again does not cover the new opening.
func TestADeviationIsNoBlankCheque(t *testing.T) {
	p, body, id := bench(t, "two-sensors")
	p.write(t, 1, &Deviation{Signed: "pellow", Reason: "to be on the safe side", Lacks: []string{"joint AR04/1: 7"}})
	p.steps(t, id, 1, len(body.Steps))
	p.closeUp(t)
	p.write(t, 1, &Unticked{Fastener{"AR04", 1, 7}, ""})
	p.proves(t)
	p.write(t, 1, &Closed{})
	if s := p.state(t); s.Closed != nil {
		t.Error("a deviation signed before anything was opened lets the job be closed")
	}
}

// TestClosingAsksForEverythingAtOnce takes each thing that is needed away and
// looks whether it is asked for, and all of them at once.
func TestClosingAsksForEverythingAtOnce(t *testing.T) {
	p, body, id := bench(t, "two-sensors")
	p.steps(t, id, 1, 9)
	p.write(t, 1, &Closed{})
	s := p.state(t)
	var wants []string
	for _, l := range s.Tray {
		wants = append(wants, "item "+string(l.Item))
	}
	wants = append(wants, "part AR04 plenum-gasket/0: 6", "part AR05 lower-gasket/0: 2", "task replace:SE13", "task replace:SE03", "proof T40")
	for _, w := range wants {
		if !slices.Contains(s.keys(), w) {
			t.Errorf("%q is not asked for", w)
		}
	}
	joints := 0
	for _, k := range s.keys() {
		if strings.HasPrefix(k, "joint ") {
			joints++
		}
	}
	if joints != len(s.Joints) || joints < 7 {
		t.Errorf("%d joints are asked for and %d are open", joints, len(s.Joints))
	}
	p.steps(t, id, 10, len(body.Steps))
	p.closeUp(t)
	p.proves(t)
	s = p.state(t)
	if len(s.Lacks) > 0 || s.Closed == nil {
		t.Errorf("with everything done: %s", s.Unclosable())
	}
	p.write(t, 1, &Reopened{Reason: "comes back"})
	if s = p.state(t); s.Closed != nil {
		t.Error("a job that was reopened is closed")
	}
}

// TestProhibitions: what must not be done follows from what is open.
func TestProhibitions(t *testing.T) {
	for _, c := range []struct {
		name, plan, wants, never, reason string
		kind                             plan.StepKind
		upTo                             guide.ID
	}{
		{"pressure released", "pump", "Do not crank: fuel pressure: released, 0 bar read at SE15", "switch the key on", "the guide forbids it; the key may be turned while nothing is open", plan.Change, "fuel-pressure"},
		{"fuel line open", "pump", "Do not switch the key on: the high-pressure pipe, pump to left rail (FU02) is off", "", "trap 10: the key starts the pump", plan.Clear, "FU02"},
		{"fuel line open, priming", "pump", "Do not prime the fuel side and look for leaks: the high-pressure pipe, pump to left rail (FU02) is off", "", "it would spill", plan.Clear, "FU02"},
		{"pipe on, unions not ticked", "pump", "Do not switch the key on: the high-pressure pipe, pump to left rail (FU02) is on, but not all its fasteners are ticked", "", "a pipe that is only hung on leaks", plan.Refit, "FU02"},
		{"oil out", "oil", "Do not start the engine: engine oil: drained", "", "it seizes", plan.Change, "oil"},
		{"coolant out", "coolant", "Do not start the engine: the air duct with resonator (AR02) is off; coolant: drained", "", "it overheats", plan.Change, "coolant"},
		{"cover off only", "two-sensors", "", "Do not", "the engine runs without its cover", plan.Clear, "PN02"},
		{"duct off", "two-sensors", "Do not start the engine: the air duct with resonator (AR02) is off", "let the engine run", "said once, where it begins", plan.Clear, "AR02"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, body, id := bench(t, c.plan)
			p.steps(t, id, 1, stepOf(t, body, c.kind, c.upTo))
			s := p.state(t)
			if len(s.Refused) > 0 {
				t.Fatal(Says(s.Refused))
			}
			got := mustNot(s)
			if !strings.Contains(got, c.wants) || c.never != "" && strings.Contains(got, c.never) {
				t.Errorf("must not:\n%s\nwant %q, never %q: %s", got, c.wants, c.never, c.reason)
			}
		})
	}
}

// TestSwitchesAreNoProhibition: what only needs the engine stopped or the key
// turned first is not forbidden.
func TestSwitchesAreNoProhibition(t *testing.T) {
	p, body, id := bench(t, "valley")
	p.steps(t, id, 1, stepOf(t, body, plan.Change, "running"))
	s := p.state(t)
	i := slices.IndexFunc(s.Conditions, func(c ConditionState) bool { return c.Condition == "running" && c.Value == "yes" })
	if got := mustNot(s); i < 0 || strings.Contains(got, "key off") || strings.Contains(got, "Raise") || strings.Contains(got, "raise") {
		t.Errorf("running %d, must not:\n%s", i, got)
	}
}

// TestSayingAgain: a step that is ticked again later was done when it was
// ticked first.
func TestSayingAgain(t *testing.T) {
	p, body, id := bench(t, "two-sensors")
	p.steps(t, id, 1, len(body.Steps))
	p.write(t, 1, &StepDone{Plan: id, Step: 1})
	p.write(t, 1, &StepDone{Plan: id, Step: 3})
	s := p.state(t)
	if len(s.Refused)+len(s.Conflicts) > 0 || s.Present != nil || s.Plan.Steps[0].Early {
		t.Errorf("%v, %v, %+v", s.Refused, s.Conflicts, s.Plan.Steps[0])
	}
}

// TestVerdicts: a later verdict takes the place of one that was known; two that
// did not know of each other both stand.
func TestVerdicts(t *testing.T) {
	a, b := newPhone("j-1", "pellow", "phone-a"), newPhone("j-1", "veld", "phone-b")
	r := a.write(t, 1, &ReadingTaken{Text: "38 kΩ", Check: "T35"})
	a.write(t, 1, &VerdictRecorded{Of: r, Verdict: NotComparable, Why: "no temperature"})
	a.sync(t, b)
	a.write(t, 1, &VerdictRecorded{Of: r, Verdict: NonConforming})
	if s := a.state(t); len(s.Readings[0].Judged) != 1 || s.Readings[0].Verdict() != NonConforming {
		t.Errorf("%+v", s.Readings)
	}
	b.write(t, 1, &VerdictRecorded{Of: r, Verdict: TooClose})
	a.sync(t, b)
	if s := a.state(t); len(s.Readings[0].Judged) != 2 || s.Readings[0].Verdict() != "" {
		t.Errorf("%+v", s.Readings)
	}
}

// TestHotCoolant is trap 14: draining at 78 °C is refused and forbidden.
func TestHotCoolant(t *testing.T) {
	p := newPhone("j-1", "pellow", "phone-a")
	body := planned(t, "coolant")
	body.Request.Given = []Setting{{"engine", "warm"}}
	id := p.write(t, 1, body)
	drain := stepOf(t, body, plan.Change, "coolant")
	p.steps(t, id, 1, drain)
	s := p.state(t)
	st := s.Plan.Steps[drain-1]
	if st.Done || st.Counts || len(st.Refused) == 0 || !strings.Contains(st.Refused[0], "engine must be cold") {
		t.Errorf("draining warm coolant: %+v", st)
	}
	if !strings.Contains(mustNot(s), "Do not drain the coolant at CO10 and the bottom hose: engine temperature: coolant from 40 to 80 °C") {
		t.Errorf("must not:\n%s", mustNot(s))
	}
	if !strings.Contains(s.Unclosable(), "cannot have been done then") {
		t.Errorf("nothing keeps the job open: %s", s.Unclosable())
	}
}

// TestOutOfOrder: what the machine allows is only done early; what it does not
// allow does not count, until somebody signs for it or takes it back.
func TestOutOfOrder(t *testing.T) {
	p, body, id := bench(t, "two-sensors")
	early := stepOf(t, body, plan.Clear, "AR09")
	p.write(t, 1, &StepDone{Plan: id, Step: early})
	s := p.state(t)
	if st := s.Plan.Steps[early-1]; !st.Done || !st.Early || len(st.Refused) > 0 {
		t.Errorf("a step that is possible: %+v", st)
	}
	if s.Present == nil || s.Present.Step != 1 {
		t.Errorf("next: %+v", s.Present)
	}
	if len(s.Refused)+len(s.Conflicts) > 0 {
		t.Errorf("%v, %v", s.Refused, s.Conflicts)
	}

	plenum := stepOf(t, body, plan.Clear, "AR04")
	why := s.May(s.Plan.Steps[plenum-1].Act)
	if len(why) == 0 || !slices.Contains(why, "AR02 is in the way") || slices.Contains(why, "AR09 is in the way") {
		t.Errorf("the plenum may not come off because: %v", why)
	}
	done := p.write(t, 1, &StepDone{Plan: id, Step: plenum})
	s = p.state(t)
	st := s.Plan.Steps[plenum-1]
	if st.Done || st.Counts || !slices.Equal(st.Refused, why) {
		t.Errorf("a step that is not possible: %+v", st)
	}
	if !strings.Contains(mustNot(s), "it is not settled how the intake plenum (AR04) stands") {
		t.Errorf("must not:\n%s", mustNot(s))
	}
	p.write(t, 1, &Deviation{Signed: "pellow", Reason: "bracket broken off, the hoses stay on", Done: []ID{done}})
	s = p.state(t)
	st = s.Plan.Steps[plenum-1]
	if !st.Done || st.Signed == nil || st.Signed.By != "pellow" {
		t.Errorf("a step that was signed for: %+v", st)
	}
	off := slices.IndexFunc(s.Tray, func(l OffLine) bool { return l.Item == "AR04" && l.Stands == guide.Off && l.Out == 11 })
	if off < 0 {
		t.Errorf("the plenum is not in the tray: %+v", s.Tray)
	}
	if s.keys() == nil || slices.ContainsFunc(s.keys(), func(k string) bool { return strings.HasPrefix(k, "refused") }) {
		t.Errorf("lacking: %v", s.keys())
	}
	p.write(t, 1, &StepUndone{Plan: id, Step: plenum, Reason: "another line"})
	if s = p.state(t); s.Plan.Steps[plenum-1].Counts || len(s.Refused) > 0 {
		t.Errorf("taken back: %+v, %v", s.Plan.Steps[plenum-1], s.Refused)
	}
}

// TestSignedStepsGoOn: after a step that was signed for, the rest of the plan
// can be done to its end.
func TestSignedStepsGoOn(t *testing.T) {
	for _, name := range []string{"two-sensors", "pump", "coolant", "oil", "valley"} {
		t.Run(name, func(t *testing.T) {
			whole, body, id := bench(t, name)
			whole.steps(t, id, 1, len(body.Steps))
			want := whole.state(t)
			for n := 2; n <= len(body.Steps); n++ {
				p, _, id := bench(t, name)
				p.write(t, 1, &Deviation{Signed: "pellow", Reason: "there is no other way", Steps: []StepNo{{id, n}}})
				p.write(t, 1, &StepDone{Plan: id, Step: n}) // too early
				for k := 1; k <= len(body.Steps); k++ {
					if k != n {
						p.write(t, 1, &StepDone{Plan: id, Step: k})
					}
				}
				s := p.state(t)
				if s.Plan.Steps[n-1].Counts == false {
					t.Errorf("step %d does not count: %v", n, s.Plan.Steps[n-1].Refused)
				}
				if len(s.Tray) > len(want.Tray)+1 {
					t.Errorf("step %d done first leaves %d in the tray, not %d or one more", n, len(s.Tray), len(want.Tray))
				}
			}
		})
	}
}

// TestUnknownThings: what the plan or the guide does not have is refused by
// name and changes nothing else.
func TestUnknownThings(t *testing.T) {
	for _, c := range []struct {
		name string
		body Body
		why  Why
		says string
	}{
		{"step", &StepDone{Step: 99}, UnknownStep, "no step 99"},
		{"plan", &StepDone{Plan: NewID(morning, [10]byte{9}), Step: 1}, UnknownPlan, "not taken"},
		{"tick of nothing", &StepUndone{Done: NewID(morning, [10]byte{9})}, UnknownEvent, "ticks a step"},
		{"item", &Ticked{Fastener: Fastener{"ZZ99", 1, 1}}, UnknownThing, "no item ZZ99"},
		{"joint", &Ticked{Fastener: Fastener{"AR04", 2, 1}}, UnknownThing, "no joint 2"},
		{"fastener", &Ticked{Fastener: Fastener{"AR04", 1, 12}}, UnknownThing, "no fastener 12"},
		{"connector", &Ticked{Fastener: Fastener{"AR04", 0, 0}}, UnknownThing, "no connector"},
		{"part", &PartNew{Part: "gold-gasket", On: "AR04", Count: 1}, UnknownThing, "no part gold-gasket"},
		{"place of nothing", &Laid{Item: "ZZ99", Lies: "shelf"}, UnknownThing, "no item ZZ99"},
		{"way", &StepDone{Act: &Act{Kind: plan.Clear, Item: "PN01", Way: 7}}, ImpossibleStep, "no way of that number"},
		{"task", &StepDone{Act: &Act{Kind: plan.Do, Item: "ZZ99", Verb: "replace"}}, ImpossibleStep, "this variant has no item ZZ99"},
		{"reading", &VerdictRecorded{Of: NewID(morning, [10]byte{9}), Verdict: Conforming}, UnknownEvent, "no reading"},
		{"proof by nothing", &ProofMade{Check: "T40", Readings: []ID{NewID(morning, [10]byte{9})}, Verdict: Conforming}, UnknownEvent, "no reading"},
		{"sign", &SignWithdrawn{Of: NewID(morning, [10]byte{9}), Reason: "so"}, UnknownEvent, "no sign"},
		{"correction of nothing", &Correction{Of: NewID(morning, [10]byte{9}), Strike: true, Reason: "so"}, UnknownEvent, "to correct"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, _, _ := bench(t, "two-sensors")
			before := p.state(t)
			id := p.write(t, 1, c.body)
			s := p.state(t)
			if len(s.Refused) != 1 || s.Refused[0].Why != c.why || s.Refused[0].Event != id || !strings.Contains(s.Refused[0].Says, c.says) {
				t.Fatalf("refused: %v", s.Refused)
			}
			off := slices.ContainsFunc(s.Tray, func(l OffLine) bool { return l.Stands != "" })
			if off || s.Fasteners != before.Fasteners {
				t.Errorf("it changed the machine: %+v", s.Tray)
			}
			p.write(t, 1, &Correction{Of: id, Strike: true, Reason: "typing error"})
			if s = p.state(t); len(s.Refused) > 0 {
				t.Errorf("struck and still refused: %v", s.Refused)
			}
		})
	}
}

// TestTwoPhones: what two phones say of the same thing without knowing of each
// other.
func TestTwoPhones(t *testing.T) {
	for _, c := range []struct {
		name     string
		a, b     Body
		sort     ConflictSort
		key      string
		blocking bool
	}{
		{"both tick the step", &StepDone{Step: 1}, &StepDone{Step: 1}, Twice, "step 1", false}, // trap 11
		{"one takes it back", &StepUndone{Step: 1}, &StepDone{Step: 1}, Disputed, "step 1", true},
		{"both tick the fastener", &Ticked{Fastener{"PN01", 1, 2}, "wrench-a", ""}, &Ticked{Fastener{"PN01", 1, 2}, "wrench-a", ""}, Twice, "fastener PN01/1/2", false},
		{"another torque", &Ticked{Fastener{"PN01", 1, 2}, "wrench-a", "20 N·m"}, &Ticked{Fastener{"PN01", 1, 2}, "wrench-a", "22 N·m"}, Disputed, "fastener PN01/1/2", true},
		{"one unticks the fastener", &Unticked{Fastener{"PN01", 1, 2}, ""}, &Ticked{Fastener{"PN01", 1, 2}, "wrench-a", ""}, Disputed, "fastener PN01/1/2", true},
		{"one ticks all of the joint", &Ticked{Fastener{"PN01", 1, 0}, "", ""}, &Unticked{Fastener{"PN01", 1, 3}, ""}, Disputed, "fastener PN01/1/3", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, _, id := bench(t, "two-sensors")
			b := newPhone("j-1", "veld", "phone-b")
			if _, isStep := c.a.(*StepDone); !isStep {
				a.write(t, 1, &StepDone{Plan: id, Step: 1})
			}
			a.sync(t, b)
			a.write(t, 1, c.a)
			b.write(t, 1, c.b)
			a.sync(t, b)
			s := a.state(t)
			i := slices.IndexFunc(s.Conflicts, func(x Conflict) bool { return x.Key == c.key })
			if i < 0 || s.Conflicts[i].Sort != c.sort || s.Conflicts[i].Blocking != c.blocking || len(s.Conflicts[i].Events) != 2 {
				t.Fatalf("conflicts: %+v", s.Conflicts)
			}
			if !strings.Contains(s.Conflicts[i].Says, "pellow (phone-a)") || !strings.Contains(s.Conflicts[i].Says, "veld (phone-b)") {
				t.Errorf("it does not name both: %s", s.Conflicts[i].Says)
			}
			if c.blocking != slices.Contains(s.keys(), c.key) {
				t.Errorf("lacking: %v", s.keys())
			}
			b.write(t, 1, c.b) // veld has seen both by now
			if s = b.state(t); slices.ContainsFunc(s.Conflicts, func(x Conflict) bool { return x.Key == c.key }) {
				t.Errorf("settled and still there: %+v", s.Conflicts)
			}
		})
	}
}

// TestDisputedCountsAsOpen: in a dispute the machine is taken to be open.
func TestDisputedCountsAsOpen(t *testing.T) {
	a, body, id := bench(t, "two-sensors")
	b := newPhone("j-1", "veld", "phone-b")
	a.write(t, 1, &StepDone{Plan: id, Step: 1})
	a.sync(t, b)
	a.write(t, 1, &StepUndone{Plan: id, Step: 1})
	b.write(t, 1, &StepDone{Plan: id, Step: 1})
	a.sync(t, b)
	s := a.state(t)
	if st := s.Plan.Steps[0]; st.Done || !st.Counts || !st.Disputed {
		t.Errorf("a disputed strip step: %+v", st)
	}
	if len(s.Tray) != 1 || !s.Tray[0].Unsure || s.Tray[0].Item != body.Steps[0].Item {
		t.Errorf("tray: %+v", s.Tray)
	}
	a, body, id = bench(t, "two-sensors")
	b = newPhone("j-1", "veld", "phone-b")
	a.steps(t, id, 1, len(body.Steps))
	a.sync(t, b)
	n := stepOf(t, body, plan.Refit, "PN01")
	a.write(t, 1, &StepUndone{Plan: id, Step: n})
	b.write(t, 1, &StepDone{Plan: id, Step: n})
	a.sync(t, b)
	s = b.state(t)
	if st := s.Plan.Steps[n-1]; st.Done || st.Counts {
		t.Errorf("a disputed refit step: %+v", st)
	}
	if i := slices.IndexFunc(s.Tray, func(l OffLine) bool { return l.Item == "PN01" }); i < 0 || s.Tray[i].Stands != guide.Off {
		t.Errorf("tray: %+v", s.Tray)
	}
}

// TestPeople: nobody signs for another, and strangers do not count.
func TestPeople(t *testing.T) {
	p, _, _ := bench(t, "two-sensors")
	e := p.event(&Deviation{Signed: "veld", Reason: "so", Lacks: []string{"item PN01"}})
	if why := Accept(p.log, e, Claim{}); len(why) != 1 || why[0].Why != WrongAuthor {
		t.Errorf("signing for another is let in: %v", why)
	}
	if _, err := p.log.Add(Record{Event: e}); err != nil {
		t.Fatal(err)
	}
	stranger := newPhone("j-1", "nobody", "phone-x")
	p.sync(t)
	stranger.write(t, 1, &Note{Text: "hello"})
	if _, err := p.log.Merge(stranger.log); err != nil {
		t.Fatal(err)
	}
	s := p.state(t)
	var why []Why
	for _, r := range s.Refused {
		why = append(why, r.Why)
	}
	if slices.Sort(why); !slices.Equal(why, []Why{UnknownPerson, WrongAuthor}) || len(s.Notes)+len(s.Deviations) > 0 {
		t.Errorf("refused %v, notes %v, deviations %v", s.Refused, s.Notes, s.Deviations)
	}
	p.seq, p.last = e.Seq, e.ID
	for _, r := range s.Refused {
		p.write(t, 1, &Correction{Of: r.Event, Strike: true, Reason: "not ours"})
	}
	if s = p.state(t); len(s.Refused) > 0 || len(s.Corrected) != 2 {
		t.Errorf("struck and still refused: %v", s.Refused)
	}
}

// TestGapsAndClashes: what has not arrived, and what cannot be, is said.
func TestGapsAndClashes(t *testing.T) {
	p, _, id := bench(t, "two-sensors")
	p.steps(t, id, 1, 3)
	other := newPhone("j-1", "veld", "phone-b")
	other.sync(t, p)
	other.write(t, 1, &Note{Text: "seen all"})
	l := NewLog("j-1")
	for _, r := range append(p.log.Records(), other.log.Records()...) {
		if r.Event.Seq == 3 && r.Event.Device == "phone-a" || r.Event.Seq == 5 && r.Event.Device == "phone-a" {
			continue
		}
		if _, err := l.Add(r); err != nil {
			t.Fatal(err)
		}
	}
	s := Fold(l, demoBasis(t))
	if !slices.Equal(s.Gaps, []Gap{{"phone-a", 3, 3}, {"phone-a", 5, 5}}) {
		t.Errorf("gaps: %v", s.Gaps)
	}
	if !slices.Contains(s.keys(), "gap phone-a 5-5") {
		t.Errorf("lacking: %v", s.keys())
	}

	twin := p.event(&Note{Text: "one"})
	clash := twin
	clash.Body = &Note{Text: "two"}
	a, b := NewLog("j-1"), NewLog("j-1")
	for i, l := range []*Log{a, b} {
		for _, e := range [][]Event{{twin, clash}, {clash, twin}}[i] {
			if _, err := l.Add(Record{Event: e}); err != nil {
				t.Fatal(err)
			}
		}
	}
	if text(t, Fold(a, Basis{})) != text(t, Fold(b, Basis{})) {
		t.Error("the order of arrival decides a clash of ids")
	}
	s = Fold(a, Basis{})
	if len(s.Notes) != 1 || len(s.Refused) != 1 || s.Refused[0].Why != IDClash {
		t.Errorf("notes %v, refused %v", s.Notes, s.Refused)
	}
	fork := twin
	fork.ID[15]++
	if _, err := a.Add(Record{Event: fork}); err != nil {
		t.Fatal(err)
	}
	if s = Fold(a, Basis{}); len(s.Notes) != 2 || len(s.Conflicts) != 1 || s.Conflicts[0].Sort != Numbered || !s.Conflicts[0].Blocking {
		t.Errorf("notes %v, conflicts %v", s.Notes, s.Conflicts)
	}
}

// TestCircleOfClaims: two events that each claim to have seen the other are
// forged, and the log is in order all the same, either way round.
func TestCircleOfClaims(t *testing.T) {
	a, b := newPhone("j-1", "pellow", "phone-a"), newPhone("j-1", "veld", "phone-b")
	ea, eb := a.event(&Note{Text: "a"}), b.event(&Note{Text: "b"})
	ea.Seen = map[Device]int64{"phone-b": 1}
	eb.Seen = map[Device]int64{"phone-a": 1}
	l := NewLog("j-1")
	if _, err := l.Add(Record{Event: ea}); err != nil {
		t.Fatal(err)
	}
	if why := Accept(l, eb, Claim{}); len(why) != 1 || why[0].Why != ImpossibleOrder {
		t.Errorf("let in: %v", why)
	}
	m := NewLog("j-1")
	for _, e := range []Event{eb, ea} {
		if _, err := m.Add(Record{Event: e}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := l.Merge(m); err != nil {
		t.Fatal(err)
	}
	s := Fold(l, Basis{})
	if len(s.Refused) != 1 || s.Refused[0].Why != ImpossibleOrder || len(s.Notes) != 2 || text(t, s) != text(t, Fold(m, Basis{})) {
		t.Errorf("refused %v, notes %v", s.Refused, s.Notes)
	}
}

// TestCorrections: struck, replaced, disputed, taken back.
func TestCorrections(t *testing.T) {
	a := newPhone("j-1", "pellow", "phone-a")
	b := newPhone("j-1", "veld", "phone-b")
	r := a.write(t, 1, &ReadingTaken{Text: "38 Ω", Check: "T35"})
	n := a.write(t, 1, &Note{Text: "wet"})
	a.sync(t, b)
	put := a.write(t, 1, &Correction{Of: r, With: &Content{KindReading, &ReadingTaken{Text: "38 kΩ", Check: "T35"}}, Reason: "unit"})
	a.write(t, 1, &Correction{Of: n, Strike: true, Reason: "other car"})
	s := a.state(t)
	if s.Readings[0].Text != "38 kΩ" || s.Readings[0].ID != r || len(s.Notes) != 0 || len(s.Corrected) != 2 {
		t.Errorf("%+v, %+v, %+v", s.Readings, s.Notes, s.Corrected)
	}
	b.write(t, 1, &Correction{Of: r, With: &Content{KindReading, &ReadingTaken{Text: "38 MΩ", Check: "T35"}}, Reason: "unit"})
	a.sync(t, b)
	s = a.state(t)
	if i := slices.IndexFunc(s.Conflicts, func(c Conflict) bool { return c.Sort == Disputed && c.Blocking }); i < 0 {
		t.Errorf("two different corrections are no conflict: %+v", s.Conflicts)
	}
	last := a.write(t, 1, &Correction{Of: r, With: &Content{KindReading, &ReadingTaken{Text: "38.0 kΩ", Check: "T35"}}, Reason: "looked again"})
	if s = a.state(t); len(s.Conflicts) != 0 || s.Readings[0].Text != "38.0 kΩ" {
		t.Errorf("%+v, %+v", s.Conflicts, s.Readings)
	}
	a.write(t, 1, &Correction{Of: last, Strike: true, Reason: "no"})
	a.write(t, 1, &Correction{Of: put, Strike: true, Reason: "no"})
	if s = a.state(t); s.Readings[0].Text != "38 MΩ" {
		t.Errorf("the correction that is left does not hold: %+v", s.Readings)
	}
	wrong := a.event(&Correction{Of: r, With: &Content{KindNote, &Note{Text: "x"}}, Reason: "so"})
	if why := Accept(a.log, wrong, Claim{}); len(why) != 1 || why[0].Why != UnknownEvent {
		t.Errorf("let in: %v", why)
	}
	if _, err := a.log.Add(Record{Event: wrong}); err != nil {
		t.Fatal(err)
	}
	early := newPhone("j-1", "veld", "phone-c")
	early.clock -= 3_600_000
	early.write(t, 0, &Correction{Of: n, Strike: true, Reason: "so"}) // forged: written before the note
	if _, err := a.log.Merge(early.log); err != nil {
		t.Fatal(err)
	}
	s = a.state(t)
	if i := slices.IndexFunc(s.Refused, func(r Refusal) bool { return r.Why == ImpossibleOrder }); i < 0 {
		t.Errorf("a correction of what comes after it: %v", s.Refused)
	}
	s.Refused = slices.DeleteFunc(s.Refused, func(r Refusal) bool { return r.Why == ImpossibleOrder })
	if len(s.Refused) != 1 || s.Refused[0].Why != UnknownEvent {
		t.Errorf("a note in the place of a reading: %v", s.Refused)
	}
}

// TestTimeWorked: by step and person, without pauses, silences and jumps.
func TestTimeWorked(t *testing.T) {
	p, _, id := bench(t, "two-sensors")
	p.write(t, 4, &StepDone{Plan: id, Step: 1})
	p.write(t, 2, &Note{Text: "clip is tired"})
	p.write(t, 3, &Paused{Reason: "telephone"})
	p.write(t, 50, &Resumed{})
	p.write(t, 6, &StepDone{Plan: id, Step: 2})
	p.write(t, 14*60, &StepDone{Plan: id, Step: 3}) // went home without a word
	p.clock -= 3_600_000
	p.write(t, 5, &StepDone{Plan: id, Step: 4}) // the clock was set back
	p.write(t, 7, &StepDone{Plan: id, Step: 5})
	q := newPhone("j-1", "veld", "phone-b")
	q.sync(t, p)
	q.clock = p.clock
	q.write(t, 5, &StepDone{Plan: id, Step: 6}) // nobody knows when he began
	q.write(t, 9, &StepDone{Plan: id, Step: 7})
	s := q.state(t)
	want := []struct {
		by      Person
		minutes int
		unclear bool
	}{{"pellow", 5, false}, {"pellow", 11, false}, {"pellow", 0, true}, {"pellow", 0, true}, {"pellow", 7, false}, {"veld", 0, true}, {"veld", 9, false}}
	if len(s.Worked) != len(want) {
		t.Fatalf("%+v", s.Worked)
	}
	for i, w := range s.Worked {
		if w.By != want[i].by || w.Time != time.Duration(want[i].minutes)*time.Minute || w.Unclear != want[i].unclear || w.Step != i+1 {
			t.Errorf("step %d: %+v, want %+v", i+1, w, want[i])
		}
	}
	if len(s.Pauses) != 1 || s.Pauses[0].Until.Since(s.Pauses[0].At) != 50*time.Minute || len(s.Silences) != 2 {
		t.Errorf("%+v, %+v", s.Pauses, s.Silences)
	}
}

// TestProofs: a proof is outstanding until it conforms and nothing was touched
// after it.
func TestProofs(t *testing.T) {
	p, body, id := bench(t, "two-sensors")
	p.steps(t, id, 1, len(body.Steps))
	p.closeUp(t)
	lack := func() string {
		s := p.state(t)
		i := slices.IndexFunc(s.Lacks, func(l Lack) bool { return l.Key == "proof T40" })
		if i < 0 {
			return ""
		}
		return s.Lacks[i].Says
	}
	if got := lack(); got != "proof T40: not made" {
		t.Errorf("before any: %q", got)
	}
	p.write(t, 1, &ProofMade{Check: "T40", Verdict: NotComparable})
	if got := lack(); got != "proof T40: it came out not comparable" {
		t.Errorf("conditions not met: %q", got)
	}
	r := p.write(t, 1, &ReadingTaken{Text: "2.4", Check: "T40"})
	p.write(t, 1, &VerdictRecorded{Of: r, Verdict: NonConforming})
	p.write(t, 1, &ProofMade{Check: "T40", Readings: []ID{r}, Verdict: Conforming})
	if got := lack(); !strings.Contains(got, "not judged conforming") {
		t.Errorf("proved by a reading that failed: %q", got)
	}
	p.proves(t)
	if got := lack(); got != "" {
		t.Errorf("proved: %q", got)
	}
	p.write(t, 1, &StepDone{Act: &Act{Kind: plan.Clear, Item: "PN01"}})
	p.write(t, 1, &StepDone{Act: &Act{Kind: plan.Refit, Item: "PN01"}})
	s := p.state(t)
	if len(s.Refused) != 2 { // nothing may be cleared after a proof, by the definition of a plan
		t.Errorf("%v", s.Refused)
	}
	p.write(t, 1, &Deviation{Signed: "pellow", Reason: "wiper left under the cover", Done: []ID{s.Refused[0].Event, s.Refused[1].Event}})
	if got := lack(); !strings.Contains(got, "after it") {
		t.Errorf("the cover was off after the proof: %q", got)
	}
}
