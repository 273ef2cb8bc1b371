package joblog

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"elbowroom/guide"
	"elbowroom/plan"
)

// shop is a few phones on one job, with what each event's writer really had
// when writing.
type shop struct {
	t      *rapid.T
	phones []*phone
	knew   map[ID][]ID // by event, every event its phone had
	all    *Log
	plans  []ID
	ids    []ID // every event, in the order of writing
	bodies map[ID]Body
}

// newShop begins a job on a random plan that every phone knows.
func newShop(t *rapid.T, tb testing.TB) *shop {
	s := &shop{t: t, knew: map[ID][]ID{}, all: NewLog("j-1"), bodies: map[ID]Body{}}
	n := rapid.IntRange(2, 3).Draw(t, "phones")
	for i, by := range []Person{"pellow", "veld", "achter"}[:n] {
		s.phones = append(s.phones, newPhone("j-1", by, Device(fmt.Sprintf("phone-%d", i))))
	}
	name := rapid.SampledFrom([]string{"valley", "pump", "two-sensors"}).Draw(t, "plan")
	s.plans = []ID{s.write(tb, s.phones[0], planned(tb, name))}
	s.phones[0].sync(tb, s.phones[1:]...)
	return s
}

func (s *shop) write(tb testing.TB, p *phone, b Body) ID {
	id := p.write(tb, rapid.Float64Range(0, 90).Draw(s.t, "minutes"), b)
	s.note(tb, p, id, b)
	return id
}

func (s *shop) note(tb testing.TB, p *phone, id ID, b Body) {
	for _, o := range p.log.ids() {
		if o != id {
			s.knew[id] = append(s.knew[id], o)
		}
	}
	e, _ := p.log.Event(id)
	if _, err := s.all.Add(Record{Event: e}); err != nil {
		tb.Fatal(err)
	}
	s.ids = append(s.ids, id)
	s.bodies[id] = b
}

// body draws something that a person might record next.
func (s *shop) body(tb testing.TB, p *phone) Body {
	event, _ := p.log.Event(s.plans[0])
	steps := event.Body.(*PlanTaken).Steps
	step := rapid.IntRange(1, len(steps)).Draw(s.t, "step")
	st := steps[step-1]
	of := rapid.SampledFrom(s.ids).Draw(s.t, "of")
	fastener := Fastener{st.Item, rapid.IntRange(0, 1).Draw(s.t, "joint"), rapid.IntRange(0, 3).Draw(s.t, "index")}
	if st.Item == "" {
		fastener.Item = "PN03"
	}
	switch rapid.IntRange(0, 15).Draw(s.t, "what") {
	case 0, 1, 2:
		if list := Fold(p.log, demoBasis(tb)).Possible(); len(list) > 0 {
			step = list[0]
		}
		return &StepDone{Plan: s.plans[0], Step: step}
	case 3:
		return &StepDone{Plan: s.plans[0], Step: step, Lies: "tray 1"}
	case 4:
		return &StepUndone{Plan: s.plans[0], Step: step}
	case 5, 6, 7:
		return &Ticked{fastener, "wrench-a", rapid.SampledFrom([]string{"10 N·m", "20 N·m"}).Draw(s.t, "value")}
	case 8:
		return &Unticked{fastener, ""}
	case 9:
		return &PartNew{Part: "plenum-gasket", On: "AR04", Count: 6}
	case 10:
		return &Correction{Of: of, Strike: true, Reason: "wrong"}
	case 11:
		return &Deviation{Signed: p.author, Reason: "has to do", Done: []ID{of}, Steps: []StepNo{{s.plans[0], step}}}
	case 12:
		return &ReadingTaken{Text: "38 kΩ", Check: "T37"}
	case 13:
		if _, ok := s.bodies[of].(*ReadingTaken); !ok {
			return &Note{Text: "nothing read yet"}
		}
		return &VerdictRecorded{Of: of, Verdict: rapid.SampledFrom(Verdicts).Draw(s.t, "verdict")}
	case 14:
		return rapid.SampledFrom([]Body{&Paused{}, &Closed{}, &Reopened{Reason: "so"}, &HandedOver{}}).Draw(s.t, "sort")
	}
	return &StepDone{Act: &Act{Kind: plan.Clear, Item: rapid.SampledFrom([]guide.ID{"PN01", "PN02", "AR04"}).Draw(s.t, "item")}}
}

// day lets the phones work, with clocks that jump and now and then a meeting.
func (s *shop) day(tb testing.TB, events int) {
	for range events {
		p := rapid.SampledFrom(s.phones).Draw(s.t, "phone")
		switch rapid.IntRange(0, 9).Draw(s.t, "event") {
		case 0:
			p.clock = max(Earliest+1, p.clock+Moment(rapid.Int64Range(-3*86_400_000, 3*86_400_000).Draw(s.t, "jump")))
		case 1:
			p.sync(tb, rapid.SampledFrom(s.phones).Draw(s.t, "other"))
		default:
			s.write(tb, p, s.body(tb, p))
		}
	}
}

// TestOrderOfArrivalDoesNotMatter: any order, any duplicates, any cut into two
// logs and either way of joining them come to the same state.
func TestOrderOfArrivalDoesNotMatter(t *testing.T) {
	conflicts, refusals := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		s := newShop(rt, t)
		s.day(t, rapid.IntRange(5, 40).Draw(rt, "events"))
		basis := demoBasis(t)
		state := Fold(s.all, basis)
		want := text(t, state)
		conflicts += len(state.Conflicts)
		refusals += len(state.Refused)

		mixed := rapid.Permutation(s.all.Records()).Draw(rt, "order")
		extra := rapid.SliceOfN(rapid.SampledFrom(mixed), 0, 10).Draw(rt, "again")
		a, b, again := NewLog("j-1"), NewLog("j-1"), NewLog("j-1")
		for i, r := range slices.Concat(mixed, extra) {
			r.Received = Moment(i)
			half := a
			if rapid.Bool().Draw(rt, "half") {
				half = b
			}
			for _, l := range []*Log{again, half} {
				if _, err := l.Add(r); err != nil {
					rt.Fatal(err)
				}
			}
		}
		if got := text(t, Fold(again, basis)); got != want {
			rt.Fatalf("in another order:\n%s\nwant\n%s", got, want)
		}
		ab, ba := NewLog("j-1"), NewLog("j-1")
		for _, x := range [][2]*Log{{ab, a}, {ab, b}, {ba, b}, {ba, a}} {
			if _, err := x[0].Merge(x[1]); err != nil {
				rt.Fatal(err)
			}
		}
		if text(t, Fold(ab, basis)) != want || text(t, Fold(ba, basis)) != want {
			rt.Fatal("the union of the halves comes to something else")
		}
		if n, err := ab.Merge(ba); n != 0 || err != nil || ab.Len() != s.all.Len() {
			rt.Fatalf("%d were new, %d events instead of %d, %v", n, ab.Len(), s.all.Len(), err)
		}
		for _, p := range s.phones {
			p.sync(t, s.phones...)
			p.sync(t, s.phones...)
		}
		for _, p := range s.phones {
			if text(t, Fold(p.log, basis)) != want {
				rt.Fatalf("%s comes to something else when all have met", p.device)
			}
		}
	})
	if least := enough(50); conflicts < least || refusals < least {
		t.Errorf("only %d conflicts and %d refusals came up; the test looks at too little", conflicts, refusals)
	}
}

// TestNothingComesBeforeItsCause: the order keeps every event after all that
// its writer had, however the clocks jumped, and even where ids are made from
// a clock alone.
func TestNothingComesBeforeItsCause(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newShop(rt, t)
		if rapid.Bool().Draw(rt, "naive") {
			for _, p := range s.phones {
				p.naive = true
			}
		}
		s.day(t, rapid.IntRange(5, 40).Draw(rt, "events"))
		var events []Event
		for _, r := range s.all.Records() {
			events = append(events, r.Event)
		}
		order, refused, gaps := sequence(events)
		if len(refused) > 0 || len(gaps) > 0 {
			rt.Fatalf("%v, %v", refused, gaps)
		}
		at := map[ID]*placed{}
		for _, p := range order {
			at[p.ID] = p
		}
		for id, known := range s.knew {
			for _, other := range order {
				had := slices.Contains(known, other.ID)
				if had != at[id].saw(other) {
					rt.Fatalf("%s had %s: %t, and the order says %t", id, other.ID, had, !had)
				}
				if had && other.pos > at[id].pos {
					rt.Fatalf("%s stands before %s, which it had", id, other.ID)
				}
			}
		}
	})
}

// TestEveryOpinionIsShown compares the ticks of steps and the disputes with
// what follows from who had what, worked out here without heads, order or
// clocks.
func TestEveryOpinionIsShown(t *testing.T) {
	disputes, twice := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		s := newShop(rt, t)
		event, _ := s.all.Event(s.plans[0])
		steps := len(event.Body.(*PlanTaken).Steps)
		for range rapid.IntRange(5, 60).Draw(rt, "events") {
			p := rapid.SampledFrom(s.phones).Draw(rt, "phone")
			n := rapid.IntRange(1, min(3, steps)).Draw(rt, "step")
			switch rapid.IntRange(0, 4).Draw(rt, "what") {
			case 0:
				p.sync(t, rapid.SampledFrom(s.phones).Draw(rt, "other"))
			case 1:
				p.clock = max(Earliest+1, p.clock+Moment(rapid.Int64Range(-86_400_000, 86_400_000).Draw(rt, "jump")))
			case 2:
				s.write(t, p, &StepUndone{Plan: s.plans[0], Step: n})
			default:
				s.write(t, p, &StepDone{Plan: s.plans[0], Step: n})
			}
		}
		state := Fold(s.all, demoBasis(t))
		for n := 1; n <= min(3, steps); n++ {
			done, undone := s.present(n)
			st := state.Plan.Steps[n-1]
			var got []ID
			for _, tick := range st.Ticks {
				got = append(got, tick.ID)
			}
			want := slices.Concat(done, undone)
			slices.SortFunc(got, ID.Compare)
			slices.SortFunc(want, ID.Compare)
			if !slices.Equal(got, want) {
				rt.Fatalf("step %d shows the ticks %v and not %v", n, got, want)
			}
			disputed := len(done) > 0 && len(undone) > 0
			if st.Disputed != disputed {
				rt.Fatalf("step %d: disputed %t, want %t", n, st.Disputed, disputed)
			}
			blocked := strings.Contains(state.Unclosable(), fmt.Sprintf("step %d, ", n))
			if disputed && !blocked {
				rt.Fatalf("step %d is disputed and does not keep the job open:\n%s", n, state.Unclosable())
			}
			if disputed {
				disputes++
			}
			if len(done) > 1 && !disputed {
				twice++
				key := fmt.Sprintf("step %d", n)
				if !slices.ContainsFunc(state.Conflicts, func(c Conflict) bool { return c.Sort == Twice && c.Key == key }) {
					rt.Fatalf("step %d was ticked twice and nobody is told", n)
				}
			}
		}
	})
	if least := enough(20); disputes < least || twice < least {
		t.Errorf("only %d disputes and %d double ticks came up; the test looks at too little", disputes, twice)
	}
}

// enough is how often something must have come up; a short run looks at a
// fifth of the logs.
func enough(n int) int {
	if testing.Short() {
		return n / 5
	}
	return n
}

// present returns the ticks of a step that nobody who had them has overruled
// or repeated.
func (s *shop) present(n int) (done, undone []ID) {
	about := func(id ID) bool {
		switch b := s.bodies[id].(type) {
		case *StepDone:
			return b.Step == n
		case *StepUndone:
			return b.Step == n
		}
		return false
	}
	for _, id := range s.ids {
		if !about(id) || slices.ContainsFunc(s.ids, func(o ID) bool { return about(o) && slices.Contains(s.knew[o], id) }) {
			continue
		}
		if _, ok := s.bodies[id].(*StepDone); ok {
			done = append(done, id)
		} else {
			undone = append(undone, id)
		}
	}
	return done, undone
}

// TestClocksDoNotMatterAmongFriends: phones that always have each other's
// events come to the same machine whatever their clocks say.
func TestClocksDoNotMatterAmongFriends(t *testing.T) {
	body := planned(t, "pump")
	machine := func(rt *rapid.T, wild bool) string {
		a, b := newPhone("j-1", "pellow", "phone-a"), newPhone("j-1", "veld", "phone-b")
		id := a.write(t, 1, body)
		for i := range body.Steps {
			a.sync(t, b)
			p := []*phone{a, b}[i%2]
			if wild {
				p.clock = max(Earliest+1, p.clock+Moment(rapid.Int64Range(-86_400_000, 86_400_000).Draw(rt, "jump")))
			}
			p.write(t, 5, &StepDone{Plan: id, Step: i + 1})
		}
		a.sync(t, b)
		s := Fold(a.log, demoBasis(t))
		if len(s.Refused) > 0 || s.Present != nil {
			t.Fatalf("%v, next %v", s.Refused, s.Present)
		}
		var keys []string
		for _, l := range s.Tray {
			keys = append(keys, fmt.Sprintf("%s %s %d", l.Item, l.Stands, l.Out))
		}
		return strings.Join(append(keys, s.keys()...), "\n")
	}
	want := machine(nil, false)
	rapid.Check(t, func(rt *rapid.T) {
		if got := machine(rt, true); got != want {
			rt.Fatalf("with wild clocks\n%s\nwant\n%s", got, want)
		}
	})
}
