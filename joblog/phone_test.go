package joblog

import (
	"encoding/binary"
	"encoding/json"
	"math/rand/v2"
	"os"
	"slices"
	"sync"
	"testing"
	"time"

	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/plan"
)

// morning is when the demonstration's day begins.
var morning = MomentOf(time.Date(2026, 3, 16, 7, 30, 0, 0, time.UTC))

// phone is a device with its own copy of the log and its own clock.
type phone struct {
	log    *Log
	author Person
	device Device
	clock  Moment
	chance *rand.Rand
	seq    int64
	last   ID
	naive  bool // makes ids from its clock alone, as no client should
}

func newPhone(job Job, by Person, device Device) *phone {
	seed := uint64(0)
	for _, c := range string(device) {
		seed = seed*31 + uint64(c)
	}
	return &phone{log: NewLog(job), author: by, device: device, clock: morning, chance: rand.New(rand.NewPCG(seed, 1))}
}

func (p *phone) random() (r [10]byte) {
	binary.BigEndian.PutUint64(r[:8], p.chance.Uint64())
	binary.BigEndian.PutUint16(r[8:], uint16(p.chance.Uint32()))
	return r
}

// event makes the next event of the phone without adding it.
func (p *phone) event(b Body) Event {
	seen := p.log.Has()
	delete(seen, p.device)
	id := NextID(p.last, p.clock, p.random())
	if p.naive {
		id = NewID(p.clock, p.random())
	}
	return Event{
		Schema: Schema, ID: id, Job: p.log.job, Author: p.author, Device: p.device,
		Seq: p.seq + 1, At: p.clock, Seen: seen, Kind: b.kind(), Body: b,
	}
}

// write adds an event after some minutes and returns its id.
func (p *phone) write(t testing.TB, minutes float64, b Body) ID {
	t.Helper()
	p.clock += Moment(minutes * 60_000)
	e := p.event(b)
	if why := Accept(p.log, e, Claim{Author: p.author, Device: p.device}); len(why) > 0 && !p.naive {
		t.Fatalf("%s of %s is refused: %s", e.Kind, p.author, Says(why))
	}
	if _, err := p.log.Add(Record{Event: e}); err != nil {
		t.Fatal(err)
	}
	p.seq, p.last = e.Seq, e.ID
	return e.ID
}

// sync lets the phone and others have each other's events, through the form in
// which they travel.
func (p *phone) sync(t testing.TB, others ...*phone) {
	t.Helper()
	for _, o := range others {
		p.take(t, o.log)
		o.take(t, p.log)
	}
}

func (p *phone) take(t testing.TB, l *Log) {
	t.Helper()
	for _, r := range l.Records() {
		if _, here := p.log.Event(r.Event.ID); here {
			continue
		}
		text, err := EncodeRecord(Record{p.clock, r.Event})
		if err != nil {
			t.Fatal(err)
		}
		again, err := DecodeRecord(text)
		if err != nil {
			t.Fatal(err)
		}
		if why := Accept(p.log, again.Event, Claim{}); len(why) > 0 && !p.naive {
			t.Fatal(Says(why))
		}
		if _, err := p.log.Add(again); err != nil {
			t.Fatal(err)
		}
		if again.Event.ID.Compare(p.last) > 0 {
			p.last = again.Event.ID
		}
	}
}

// demoGuide is the demonstration's guide, read once.
var demoGuide = sync.OnceValues(demo.Guide)

func theGuide(t testing.TB) *guide.Guide {
	t.Helper()
	g, err := demoGuide()
	if err != nil {
		t.Fatal(err)
	}
	return g
}

var demoPin = Pin{Guide: "v27p", Revision: "revision 3", Date: "2026-03-02"}

func demoBasis(t testing.TB) Basis {
	return Basis{
		Editions: []Edition{{demoPin, theGuide(t)}},
		People:   []Person{"pellow", "veld", "achter", "orme"},
	}
}

// planned reads a plan for machine V1 (LHD A) that was made by the planner
// from the demonstration's guide and kept. Every test that ticks its steps has
// it replayed by plan/audit.
func planned(t testing.TB, name string) *PlanTaken {
	t.Helper()
	data, err := os.ReadFile("testdata/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	p := new(PlanTaken)
	if err := unmarshal(data, p, true); err != nil {
		t.Fatal(err)
	}
	if len(p.Steps) == 0 {
		t.Fatalf("the plan %s has no steps; the test would check nothing", name)
	}
	return p
}

// text is a state as JSON, by which states are compared.
func text(t testing.TB, s State) string {
	t.Helper()
	b, err := json.MarshalIndent(s, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// stepOf returns the number of the first step of the kind on the item or
// condition.
func stepOf(t testing.TB, p *PlanTaken, kind plan.StepKind, on guide.ID) int {
	t.Helper()
	i := slices.IndexFunc(p.Steps, func(s PlanStep) bool { return s.Kind == kind && (s.Item == on || s.Condition == on) })
	if i < 0 {
		t.Fatalf("the plan has no step %s %s", kind, on)
	}
	return i + 1
}

func (s State) keys() []string {
	var keys []string
	for _, l := range s.Lacks {
		if l.Signed == nil {
			keys = append(keys, l.Key)
		}
	}
	return keys
}
