package joblog

import (
	"testing"
)

// long is the log of a big job: every step of the largest plan on two phones,
// every fastener and part ticked, a thousand notes.
func long(b *testing.B) *Log {
	b.Helper()
	p, body, id := bench(b, "two-sensors")
	q := newPhone("j-1", "veld", "phone-b")
	p.sync(b, q)
	p.steps(b, id, 1, len(body.Steps))
	q.steps(b, id, 1, len(body.Steps))
	for range 500 {
		p.write(b, 0.1, &Note{Text: "hello"})
		q.write(b, 0.1, &Note{Text: "hello"})
	}
	p.closeUp(b)
	p.proves(b)
	p.sync(b, q)
	return p.log
}

func BenchmarkFold(b *testing.B) {
	l, basis := long(b), demoBasis(b)
	var s State
	for b.Loop() {
		s = Fold(l, basis)
	}
	if len(s.Notes) != 1000 || s.Fasteners != (Count{41, 41}) || len(s.Conflicts) != 31 {
		b.Fatalf("%d notes, %v, %d conflicts", len(s.Notes), s.Fasteners, len(s.Conflicts))
	}
	b.ReportMetric(float64(l.Len()), "events")
}

func BenchmarkDecode(b *testing.B) {
	p, _, _ := bench(b, "two-sensors")
	text, err := Encode(p.event(&Ticked{Fastener{"AR04", 1, 7}, "wrench-a", "10 N·m"}))
	if err != nil {
		b.Fatal(err)
	}
	var e Event
	for b.Loop() {
		if e, err = Decode(text); err != nil {
			b.Fatal(err)
		}
	}
	if e.Kind != KindTick {
		b.Fatalf("it is %s", e.Kind)
	}
}

func BenchmarkAccept(b *testing.B) {
	l := long(b)
	p := newPhone("j-1", "achter", "phone-c")
	e := p.event(&Note{Text: "hello"})
	for b.Loop() {
		if why := Accept(l, e, Claim{}); why != nil {
			b.Fatal(Says(why))
		}
	}
}
