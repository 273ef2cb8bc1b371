package joblog

import (
	"slices"
	"strings"
	"testing"

	"elbowroom/guide"
	"elbowroom/guide/compare"
	"elbowroom/plan"
)

// small is a guide of a few items: a cover, and a bracket that comes away with
// its hose, the hose being able to come off by itself too.
func small(t testing.TB) *guide.Guide {
	t.Helper()
	screw := func(text string) guide.Joint {
		j, err := guide.Parse[guide.Joint](text)
		if err != nil {
			t.Fatal(err)
		}
		return j
	}
	way := func(text string) guide.Way {
		w, err := guide.Parse[guide.Way](text)
		if err != nil {
			t.Fatal(err)
		}
		return w
	}
	return &guide.Guide{
		ID: "small", Format: guide.Format,
		Parts: []guide.Part{{ID: "seal", Name: "seal", SingleUse: true}, {ID: "bolt", Name: "bolt", SingleUse: true}, {ID: "clamp", Name: "clamp"}},
		Conditions: []guide.Condition{{
			ID: "lift", Name: "lift", Start: "down", Values: []guide.Value{{ID: "down"}, {ID: "up"}},
			Changes: []guide.Change{{From: "down", To: "up"}, {From: "up", To: "down"}},
		}},
		Items: []guide.Item{
			{ID: "cover", Name: "Cover", Joints: []guide.Joint{screw("2 clips, torque not applicable")}, Ways: []guide.Way{way("aside; 1/1 min"), way("off; 2/2 min"), way("inspect; 1 min")}, Connector: &guide.Connector{Pins: 2}},
			{
				ID: "bracket", Name: "Bracket", Joints: []guide.Joint{screw("2 x M8 hex 13, 20 N·m dry, single-use, part bolt")},
				Ways: []guide.Way{way("off; needs cover; 5/5 min; together hose; uses 1 seal, 1 clamp")},
			},
			{ID: "hose", Name: "Hose", Joints: []guide.Joint{screw("1 clamp, 3 N·m dry")}, Ways: []guide.Way{way("off; 1/1 min")}},
			{ID: "valve", Name: "Valve", Joints: []guide.Joint{screw("1 x M6 T30, 8 N·m dry, single-use")}, Ways: []guide.Way{way("replace; needs bracket; 3 min")}, Parts: []guide.Use{{Count: 1, What: "seal"}}},
		},
	}
}

var smallPin = Pin{Guide: "small", Revision: "1"}

// onSmall folds a log that plans on the small guide.
func onSmall(t testing.TB, p *phone, more ...Edition) State {
	t.Helper()
	return Fold(p.log, Basis{Editions: append([]Edition{{smallPin, small(t)}}, more...)})
}

func act(kind plan.StepKind, item guide.ID, way int) *StepDone {
	return &StepDone{Act: &Act{Kind: kind, Item: item, Way: way}}
}

func standing(s State) string {
	var list []string
	for _, l := range s.Tray {
		if l.Stands != "" {
			line := string(l.Item) + " " + string(l.Stands)
			if l.With != "" {
				line += " with " + string(l.With)
			}
			list = append(list, line)
		}
	}
	return strings.Join(list, ", ")
}

// TestTheTray follows what lies there, act by act.
func TestTheTray(t *testing.T) {
	p := newPhone("j-1", "pellow", "phone-a")
	p.write(t, 1, &PlanTaken{Pin: smallPin})
	for _, c := range []struct {
		does  Body
		tray  string
		fast  Count
		plugs Count
		lacks string
	}{
		{act(plan.Clear, "cover", 0), "cover aside", Count{2, 0}, Count{}, "item cover, joint cover/1: 1, 2"},
		{act(plan.Clear, "cover", 1), "cover off", Count{2, 0}, Count{1, 0}, "item cover, joint cover/1: 1, 2, joint cover/0: 1"},
		{act(plan.Clear, "bracket", 0), "cover off, bracket off, hose off with bracket", Count{4, 0}, Count{1, 0}, "item cover, item bracket, item hose, joint cover/1: 1, 2, joint cover/0: 1, joint bracket/1: 1, 2, part bracket bolt/1: 2, part bracket seal/0: 1"},
		{&StepDone{Act: &Act{Kind: plan.Do, Item: "valve", Verb: "replace"}}, "cover off, bracket off, hose off with bracket", Count{5, 0}, Count{1, 0}, ""},
		{&Ticked{Fastener: Fastener{"valve", 1, 0}}, "cover off, bracket off, hose off with bracket", Count{5, 1}, Count{1, 0}, ""},
		{&PartNew{Joint: 1, On: "valve", Count: 1}, "cover off, bracket off, hose off with bracket", Count{5, 1}, Count{1, 0}, ""},
		{&PartNew{Part: "seal", On: "valve", Count: 1}, "cover off, bracket off, hose off with bracket", Count{5, 1}, Count{1, 0}, "item cover, item bracket, item hose, joint cover/1: 1, 2, joint cover/0: 1, joint bracket/1: 1, 2, part bracket bolt/1: 2, part bracket seal/0: 1, proof"},
		{act(plan.Refit, "bracket", 0), "cover off", Count{5, 1}, Count{1, 0}, ""},
		{&Ticked{Fastener: Fastener{"bracket", 1, 0}, Value: "20 N·m"}, "cover off", Count{5, 3}, Count{1, 0}, ""},
		{&PartNew{Part: "seal", On: "bracket", Count: 1}, "cover off", Count{5, 3}, Count{1, 0}, ""},
		{&PartNew{Part: "bolt", On: "bracket", Count: 1}, "cover off", Count{5, 3}, Count{1, 0}, "item cover, joint cover/1: 1, 2, joint cover/0: 1, part bracket bolt/1: 1, proof"},
		{&PartNew{Part: "bolt", On: "bracket", Count: 1}, "cover off", Count{5, 3}, Count{1, 0}, "item cover, joint cover/1: 1, 2, joint cover/0: 1, proof"},
		{act(plan.Refit, "cover", 1), "cover aside", Count{5, 3}, Count{1, 0}, "item cover, joint cover/1: 1, 2, joint cover/0: 1, proof"},
		{act(plan.Refit, "cover", 0), "", Count{5, 3}, Count{1, 0}, "joint cover/1: 1, 2, joint cover/0: 1, proof"},
		{&Ticked{Fastener: Fastener{"cover", 0, 1}}, "", Count{5, 3}, Count{1, 1}, "joint cover/1: 1, 2, proof"},
		{&Ticked{Fastener: Fastener{"cover", 1, 2}}, "", Count{5, 4}, Count{1, 1}, "joint cover/1: 1, proof"},
		{&Ticked{Fastener: Fastener{"cover", 1, 1}}, "", Count{5, 5}, Count{1, 1}, "proof"},
		{&ProofMade{What: "hill drive", Verdict: Conforming}, "", Count{5, 5}, Count{1, 1}, "none"},
		{act(plan.Clear, "cover", 0), "cover aside", Count{5, 3}, Count{}, "item cover, joint cover/1: 1, 2, proof"},
		{act(plan.Clear, "bracket", 0), "cover aside, bracket off, hose off with bracket", Count{5, 1}, Count{}, "item cover, item bracket, item hose, joint cover/1: 1, 2, joint bracket/1: 1, 2, part bracket bolt/1: 2, part bracket seal/0: 1, proof"},
	} {
		p.write(t, 1, c.does)
		s := onSmall(t, p)
		if len(s.Refused)+len(s.Conflicts) > 0 {
			t.Fatalf("%+v: %v, %v", c.does, s.Refused, s.Conflicts)
		}
		if standing(s) != c.tray || s.Fasteners != c.fast || s.Connectors != c.plugs {
			t.Errorf("%+v: %q %v %v, want %q %v %v", c.does, standing(s), s.Fasteners, s.Connectors, c.tray, c.fast, c.plugs)
		}
		got := strings.Join(s.keys(), ", ")
		if got == "" {
			got = "none"
		}
		if c.lacks != "" && got != c.lacks {
			t.Errorf("%+v: lacking %q, want %q", c.does, got, c.lacks)
		}
	}
}

// TestTogetherThroughASignedStep: what came away with an item goes back with
// it, also after a step that made the replay start afresh.
func TestTogetherThroughASignedStep(t *testing.T) {
	p := newPhone("j-1", "pellow", "phone-a")
	p.write(t, 1, &PlanTaken{Pin: smallPin})
	off := p.write(t, 1, act(plan.Clear, "bracket", 0)) // the cover is in the way
	s := onSmall(t, p)
	if len(s.Refused) != 1 || s.Refused[0].Why != ImpossibleStep || standing(s) != "" {
		t.Fatalf("%v, %q", s.Refused, standing(s))
	}
	p.write(t, 1, &Deviation{Signed: "pellow", Reason: "the cover is cracked and bends", Done: []ID{off}})
	if s = onSmall(t, p); standing(s) != "bracket off, hose off with bracket" || len(s.Refused) > 0 {
		t.Fatalf("%v, %q", s.Refused, standing(s))
	}
	if why := s.May(Act{Kind: plan.Refit, Item: "hose"}); why != nil {
		t.Logf("the hose by itself: %v", why)
	}
	back := p.write(t, 1, act(plan.Refit, "bracket", 0))
	p.write(t, 1, &Deviation{Signed: "pellow", Reason: "as it came", Done: []ID{back}})
	if s = onSmall(t, p); standing(s) != "" || len(s.Refused) > 0 {
		t.Errorf("%v, %q", s.Refused, standing(s))
	}
}

// TestProofAfterASignedStep: tasks that were done before the replay started
// afresh stay done.
func TestProofAfterASignedStep(t *testing.T) {
	p := newPhone("j-1", "pellow", "phone-a")
	p.write(t, 1, &PlanTaken{Pin: smallPin, Request: Request{Tasks: []Task{
		{Verb: "replace", On: "valve"}, {Verb: "inspect", On: "cover", Proof: true, After: []int{0}},
	}}})
	p.write(t, 1, act(plan.Clear, "cover", 1))
	p.write(t, 1, act(plan.Clear, "bracket", 0))
	p.write(t, 1, &StepDone{Act: &Act{Kind: plan.Do, Item: "valve", Verb: "replace"}})
	p.write(t, 1, act(plan.Refit, "cover", 1))
	back := p.write(t, 1, act(plan.Refit, "bracket", 0)) // past the cover, which is on again
	p.write(t, 1, &Deviation{Signed: "pellow", Reason: "it bends", Done: []ID{back}})
	inspect := &StepDone{Act: &Act{Kind: plan.Do, Item: "cover", Verb: "inspect", Way: 2}}
	p.write(t, 1, inspect)
	if s := onSmall(t, p); len(s.Refused) > 0 || standing(s) != "" {
		t.Errorf("%v, %q", s.Refused, standing(s))
	}
}

// TestFoundOff: what was off when the machine came must go back with its
// fasteners and new seals, unless it may stay so.
func TestFoundOff(t *testing.T) {
	p := newPhone("j-1", "pellow", "phone-a")
	p.write(t, 1, &PlanTaken{Pin: smallPin, Request: Request{Found: []Standing{{"cover", true}, {"bracket", true}}}})
	s := onSmall(t, p)
	if standing(s) != "cover off, bracket off" || !s.Tray[0].Found || s.Fasteners != (Count{4, 0}) || s.Connectors != (Count{1, 0}) {
		t.Errorf("%+v", s.Tray)
	}
	p.write(t, 1, act(plan.Refit, "bracket", 0))
	if s = onSmall(t, p); !slices.Contains(s.keys(), "part bracket seal/0: 1") {
		t.Errorf("lacking: %v", s.keys())
	}
	q := newPhone("j-1", "pellow", "phone-a")
	q.write(t, 1, &PlanTaken{Pin: smallPin, Request: Request{Found: []Standing{{"cover", true}}, LeaveOpen: []guide.ID{"cover"}}})
	if s = onSmall(t, q); len(s.keys()) > 0 || !s.Tray[0].Left {
		t.Errorf("what may stay off is asked for: %v", s.keys())
	}
}

// TestAnotherPlan: what the log knows holds on under another plan, also one of
// another revision, and what the plan takes otherwise is said.
func TestAnotherPlan(t *testing.T) {
	p := newPhone("j-1", "pellow", "phone-a")
	first := p.write(t, 1, &PlanTaken{Pin: smallPin, Steps: []PlanStep{{Kind: plan.Clear, Phase: plan.StripPhase, Item: "cover", Way: 1, Task: -1}}})
	p.write(t, 1, &StepDone{Plan: first, Step: 1, Lies: "bench"})
	p.write(t, 1, &Ticked{Fastener: Fastener{"cover", 1, 2}})
	p.write(t, 1, &PlanTaken{Pin: smallPin, Request: Request{Found: []Standing{{"hose", true}}}})
	s := onSmall(t, p)
	if standing(s) != "cover off, hose off" || s.Tray[0].Lies != "bench" || s.Fasteners != (Count{3, 1}) {
		t.Errorf("%q, %+v, %v", standing(s), s.Tray, s.Fasteners)
	}
	if len(s.Conflicts) != 1 || s.Conflicts[0].Sort != Differs || s.Conflicts[0].Key != "item cover" || s.Conflicts[0].Blocking {
		t.Errorf("conflicts: %+v", s.Conflicts)
	}
	if len(s.Earlier) != 1 || !s.Earlier[0].Steps[0].Done {
		t.Errorf("the earlier plan: %+v", s.Earlier)
	}

	newer := small(t)
	newer.Items[0].Ways = slices.Insert(newer.Items[0].Ways, 0, guide.Way{Do: guide.Off, From: "below", Out: 1})
	pin := Pin{Guide: "small", Revision: "2"}
	second := p.write(t, 1, &PlanTaken{Pin: pin, Request: Request{Found: []Standing{{"cover", true}, {"hose", true}}}})
	p.write(t, 1, &StepDone{Plan: second, Act: &Act{Kind: plan.Refit, Item: "cover", Way: 2}}) // "off" is number 2 now
	late := p.write(t, 1, &StepDone{Plan: first, Act: &Act{Kind: plan.Clear, Item: "cover", Way: 1}})
	s = onSmall(t, p, Edition{pin, newer})
	if standing(s) != "cover off, hose off" || len(s.Refused) > 0 {
		t.Errorf("an act of the older revision is not found again (%s): %q, %v", late, standing(s), s.Refused)
	}
	if s = onSmall(t, p); len(s.Refused) == 0 || s.Refused[0].Why != UnknownGuide || !strings.Contains(s.Unclosable(), "small 2 is not at hand") {
		t.Errorf("without the newer revision: %v", s.Refused)
	}
}

// TestAsItWasFound: what must stand as found stands as at the beginning of the
// job, not of the last plan.
func TestAsItWasFound(t *testing.T) {
	p := newPhone("j-1", "pellow", "phone-a")
	p.write(t, 1, &PlanTaken{Pin: smallPin})
	p.write(t, 1, &StepDone{Act: &Act{Kind: plan.Change, Condition: "lift"}})
	p.write(t, 1, &PlanTaken{Pin: smallPin})
	if s := onSmall(t, p); s.Conditions[0].Value != "up" || !slices.Equal(s.keys(), []string{"condition lift"}) {
		t.Errorf("%+v, %v", s.Conditions, s.keys())
	}
	p.write(t, 1, &StepDone{Act: &Act{Kind: plan.Change, Condition: "lift", Change: 1}})
	if s := onSmall(t, p); len(s.keys()) > 0 {
		t.Errorf("%v", s.keys())
	}
}

// TestRevisionTouchesSteps: trap 2 of the demonstration, a torque that was 22
// N·m, and which steps of the plan another revision concerns.
func TestRevisionTouchesSteps(t *testing.T) {
	p, body, id := bench(t, "two-sensors")
	p.steps(t, id, 1, 10)
	s := p.state(t)
	req, err := body.Asked()
	if err != nil {
		t.Fatal(err)
	}
	now, err := guide.Resolve(theGuide(t), req.Variant)
	if err != nil {
		t.Fatal(err)
	}
	older := *theGuide(t)
	older.Items = slices.Clone(older.Items)
	edit := func(id guide.ID, change func(*guide.Item)) {
		i := slices.IndexFunc(older.Items, func(it guide.Item) bool { return it.ID == id })
		change(&older.Items[i])
	}
	edit("SE13", func(it *guide.Item) {
		j, err := guide.Parse[guide.Joint]("1 x M8x30 T45 8.8 into aluminium, 22 N·m dry, reusable")
		if err != nil {
			t.Fatal(err)
		}
		it.Joints = []guide.Joint{j}
	})
	edit("AR04", func(it *guide.Item) {
		it.Ways = slices.Clone(it.Ways)
		it.Ways[0].Out += 60e9
	})
	edit("FU01", func(it *guide.Item) { it.Note = "other" })
	edit("SE03", func(it *guide.Item) { // checked from the top; the plan replaces it from the cab
		it.Ways = slices.Clone(it.Ways)
		it.Ways[1].Out += 60e9
	})
	old, err := guide.Resolve(&older, req.Variant)
	if err != nil {
		t.Fatal(err)
	}
	touches := s.Touched(old, compare.Revisions(old, now))
	if len(touches) != 4 {
		t.Fatalf("%+v", touches)
	}
	strip, back, work := stepOf(t, body, plan.Clear, "AR04"), stepOf(t, body, plan.Refit, "AR04"), stepOf(t, body, plan.Do, "SE13")
	for i, want := range []struct {
		says          string
		done, planned []int
	}{
		{"knock sensor, right (SE13), joint screw M8: torque 22 N·m dry → 20 N·m dry (superseded until revision 3, lead fractures)", nil, []int{work}},
		{"intake plenum (AR04), way off from top: minutes 25 min out, 34 min back → 24 min out, 34 min back", []int{strip}, []int{back}},
		{"engine coolant temperature sensor (SE03), way check from top: minutes 4 min → 3 min", nil, nil},
		{"high-pressure fuel pump (FU01): note other → ", nil, nil},
	} {
		j := slices.IndexFunc(touches, func(x Touch) bool { return strings.HasPrefix(x.Says, want.says) })
		if j < 0 {
			t.Errorf("%q is not said: %+v", want.says, touches)
			continue
		}
		if !slices.Equal(touches[j].Done, want.done) || !slices.Equal(touches[j].Planned, want.planned) {
			t.Errorf("%s: done %v, planned %v, want %v, %v", want.says, touches[j].Done, touches[j].Planned, want.done, want.planned)
		}
		if (i >= 2) != (j >= 2) {
			t.Errorf("%q stands at %d; what concerns a step comes first", want.says, j+1)
		}
	}
}
