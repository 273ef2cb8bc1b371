package joblog

import (
	"math/rand/v2"
	"slices"
	"testing"

	"elbowroom/guide"
	"elbowroom/plan"
)

// FuzzFold: logs of forged and senseless events, in any order, neither panic
// nor depend on the order, and every event that counts for nothing is said.
func FuzzFold(f *testing.F) {
	for seed := range uint64(50) {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, seed uint64) { foldGarbage(t, seed) })
}

// TestGarbage runs more of what the fuzz test runs.
func TestGarbage(t *testing.T) {
	refused, conflicts := 0, 0
	for seed := range uint64(1500) {
		s := foldGarbage(t, seed)
		refused += len(s.Refused)
		conflicts += len(s.Conflicts)
	}
	if refused < 5000 || conflicts < 1000 {
		t.Errorf("only %d refusals and %d conflicts came up", refused, conflicts)
	}
}

func foldGarbage(t *testing.T, seed uint64) State {
	d := rand.New(rand.NewPCG(seed, 0x10b))
	records := garbage(d)
	basis := Basis{Editions: []Edition{{smallPin, small(t)}, {Pin{Guide: "small", Revision: "2"}, small(t)}, {Pin{Guide: "none"}, nil}}}
	if d.IntN(2) == 0 {
		basis.People = []Person{"a", "b"}
	}
	fold := func() State {
		l := NewLog("j")
		for _, r := range records {
			if _, err := l.Add(r); err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			Accept(l, r.Event, Claim{Author: "a", Now: morning})
		}
		s := Fold(l, basis)
		s.Handover().Sentences()
		s.Possible()
		s.BeforeAfter()
		return s
	}
	s := fold()
	want := text(t, s)
	d.Shuffle(len(records), func(i, j int) { records[i], records[j] = records[j], records[i] })
	if got := text(t, fold()); got != want {
		t.Fatalf("seed %d: in another order\n%s\nwant\n%s", seed, got, want)
	}
	return s
}

// garbage makes events with any numbers, claims and references.
func garbage(d *rand.Rand) []Record {
	var ids []ID
	for range 6 {
		var random [10]byte
		random[3] = byte(d.IntN(256))
		ids = append(ids, NewID(morning+Moment(d.IntN(5)), random))
	}
	people := []Person{"a", "b", "c"}
	devices := []Device{"p", "q", "r"}
	var records []Record
	for range 3 + d.IntN(30) {
		b := oddBody(d, ids)
		e := Event{
			Schema: Schema, Job: "j", Author: people[d.IntN(3)], Device: devices[d.IntN(3)], Seq: int64(1 + d.IntN(8)),
			At: morning + Moment(d.IntN(5)), Kind: b.kind(), Body: b, Seen: map[Device]int64{},
		}
		if e.ID = ids[d.IntN(len(ids))]; d.IntN(4) > 0 {
			var random [10]byte
			random[5] = byte(d.IntN(64))
			e.ID = NewID(e.At+Moment(d.IntN(5)), random)
			ids = append(ids, e.ID)
		}
		for _, o := range devices {
			if o != e.Device && d.IntN(2) == 0 {
				e.Seen[o] = int64(1 + d.IntN(9))
			}
		}
		if len(e.wrong()) == 0 {
			records = append(records, Record{Moment(d.IntN(3)), e})
		}
	}
	return records
}

func oddAct(d *rand.Rand) Act {
	return Act{
		Kind: stepKinds[d.IntN(len(stepKinds))], Item: oddItem(d), Verb: []guide.Verb{"replace", "check", "off"}[d.IntN(3)],
		Way: d.IntN(4) - 1, Condition: []guide.ID{"lift", "engine"}[d.IntN(2)], Change: d.IntN(3) - 1,
	}
}

func oddItem(d *rand.Rand) guide.ID {
	return []guide.ID{"cover", "bracket", "hose", "valve", "nothing"}[d.IntN(5)]
}

func oddPlan(d *rand.Rand) *PlanTaken {
	p := &PlanTaken{Pin: []Pin{smallPin, {Guide: "small", Revision: "2"}, {Guide: "none"}, {Guide: "other"}}[d.IntN(4)]}
	for range d.IntN(3) {
		p.Request.Tasks = append(p.Request.Tasks, Task{Verb: "replace", On: oddItem(d), Proof: d.IntN(4) == 0, After: []int{d.IntN(3)}})
	}
	if d.IntN(3) == 0 {
		p.Request.Found = []Standing{{oddItem(d), d.IntN(2) == 0}}
		p.Request.LeaveOpen = []guide.ID{oddItem(d)}
	}
	for range d.IntN(6) {
		a := oddAct(d)
		s := PlanStep{Kind: a.Kind, Phase: plan.StripPhase, Item: a.Item, Way: a.Way, Change: a.Change, Task: d.IntN(3) - 1, Condition: a.Condition}
		if a.Kind != plan.Do || s.Task >= 0 && s.Task < len(p.Request.Tasks) {
			p.Steps = append(p.Steps, s)
		}
	}
	return p
}

func oddBody(d *rand.Rand, ids []ID) Body {
	of := ids[d.IntN(len(ids))]
	a := oddAct(d)
	return []func() Body{
		func() Body { return oddPlan(d) },
		func() Body { return oddPlan(d) },
		func() Body { return &StepDone{Step: 1 + d.IntN(6)} },
		func() Body { return &StepDone{Plan: of, Step: 1 + d.IntN(6), Lies: "there"} },
		func() Body { return &StepDone{Act: &a} },
		func() Body { return &StepDone{Act: &a, Plan: of} },
		func() Body { return &StepUndone{Step: 1 + d.IntN(6)} },
		func() Body { return &StepUndone{Done: of} },
		func() Body { return &Ticked{Fastener{oddItem(d), d.IntN(3), d.IntN(4)}, "w", "9 N·m"} },
		func() Body { return &Unticked{Fastener{oddItem(d), d.IntN(3), d.IntN(4)}, ""} },
		func() Body {
			return &PartNew{Part: []guide.ID{"seal", "bolt", "gold"}[d.IntN(3)], On: oddItem(d), Count: 1 + d.IntN(3)}
		},
		func() Body { return &Laid{oddItem(d), "shelf"} },
		func() Body { return &ReadingTaken{Text: "7 V", What: "x"} },
		func() Body { return &VerdictRecorded{Of: of, Verdict: Verdicts[d.IntN(4)]} },
		func() Body { return &ProofMade{What: "drive", Readings: []ID{of}, Verdict: Verdicts[d.IntN(4)]} },
		func() Body { return &SignNoted{"smoke"} },
		func() Body { return &SignWithdrawn{of, "no"} },
		func() Body {
			return &Deviation{Signed: "a", Reason: "so", Done: slices.Clone(ids), Steps: []StepNo{{of, 1}, {of, 2}}, Lacks: []string{"proof", "item cover"}}
		},
		func() Body { return &Correction{Of: of, Strike: true, Reason: "no"} },
		func() Body { return &Correction{Of: of, Reason: "no", With: &Content{KindSign, &SignNoted{"steam"}}} },
		func() Body {
			p := oddPlan(d)
			return &Correction{Of: of, Reason: "no", With: &Content{KindPlan, p}}
		},
		func() Body { return &Closed{} },
		func() Body { return &Reopened{"back"} },
		func() Body { return &Paused{} },
	}[d.IntN(24)]()
}
