package joblog

import (
	"cmp"
	"fmt"
	"slices"
)

// placed is an event in the order of the log, with what it had seen.
type placed struct {
	Event
	body  Body    // what counts of the event, after corrections; nil when struck or foreign
	clock []int64 // of every device, the highest number that the event had seen
	dev   int     // index of its device
	pos   int     // place in the order
	// wall and count are the hybrid time: wall is the time of the id, or the
	// hybrid time of something it had seen when that is later; count tells
	// apart what shares it.
	wall  Moment
	count int64

	before []int // direct predecessors, indexes into sequencer.all
	open   int   // predecessors that are not placed yet
}

// Gap says that events of a device are known to exist and are not here.
type Gap struct {
	Device Device `json:"device"`
	First  int64  `json:"first"`
	Last   int64  `json:"last"`
}

// String prints "phone-b: events 5 to 7 have not arrived".
func (g Gap) String() string {
	if g.First == g.Last {
		return fmt.Sprintf("%s: event %d has not arrived", g.Device, g.First)
	}
	return fmt.Sprintf("%s: events %d to %d have not arrived", g.Device, g.First, g.Last)
}

// sequencer puts events in order.
type sequencer struct {
	devices []Device
	all     []*placed
	chains  [][]int          // of each device: indexes into all, by sequence number and id
	claimed map[Device]int64 // highest number that somebody has seen of a device of which nothing is here
	refused []Refusal
}

// sequence returns the events in the order of the log, with the refusals of
// those that claim to have seen what came after them, and the gaps.
func sequence(events []Event) ([]*placed, []Refusal, []Gap) {
	s := &sequencer{claimed: map[Device]int64{}}
	for _, e := range events {
		if !slices.Contains(s.devices, e.Device) {
			s.devices = append(s.devices, e.Device)
		}
	}
	slices.Sort(s.devices)
	s.chain(events)
	s.link()
	s.run()
	slices.SortFunc(s.all, func(a, b *placed) int {
		return cmp.Or(cmp.Compare(a.wall, b.wall), cmp.Compare(a.count, b.count), a.ID.Compare(b.ID))
	})
	for i, p := range s.all {
		p.pos = i
	}
	return s.all, s.refused, s.gaps()
}

// index returns the index of a device, and false when nothing of it is here.
func (s *sequencer) index(d Device) (int, bool) { return slices.BinarySearch(s.devices, d) }

// chain sorts the events of each device by number, then by id.
func (s *sequencer) chain(events []Event) {
	s.chains = make([][]int, len(s.devices))
	sorted := slices.Clone(events)
	slices.SortFunc(sorted, func(a, b Event) int { return cmp.Or(cmp.Compare(a.Seq, b.Seq), a.ID.Compare(b.ID)) })
	for _, e := range sorted {
		dev, _ := s.index(e.Device)
		p := &placed{Event: e, body: e.Body, dev: dev, clock: make([]int64, len(s.devices))}
		s.chains[p.dev] = append(s.chains[p.dev], len(s.all))
		s.all = append(s.all, p)
	}
}

// upTo returns the events of a device with the highest number up to n: one, or
// several when numbers clash.
func (s *sequencer) upTo(dev int, n int64) []int {
	chain := s.chains[dev]
	end, _ := slices.BinarySearchFunc(chain, n+1, func(i int, n int64) int { return cmp.Compare(s.all[i].Seq, n) })
	begin := end
	for begin > 0 && s.all[chain[begin-1]].Seq == s.all[chain[end-1]].Seq {
		begin--
	}
	return chain[begin:end]
}

// link finds the direct predecessors of every event.
func (s *sequencer) link() {
	for _, p := range s.all {
		p.before = slices.Clone(s.upTo(p.dev, p.Seq-1))
		for _, d := range sortedKeys(p.Seen) {
			if i, here := s.index(d); here {
				p.before = append(p.before, s.upTo(i, p.Seen[d])...)
			} else {
				s.claimed[d] = max(s.claimed[d], p.Seen[d])
			}
		}
		p.open = len(p.before)
	}
}

// run visits events after everything they had seen. A circle of claims is cut
// at one of its events, which is refused for the claim.
func (s *sequencer) run() {
	after := make([][]int, len(s.all))
	var ready []int
	for i, p := range s.all {
		for _, b := range p.before {
			after[b] = append(after[b], i)
		}
		if p.open == 0 {
			ready = append(ready, i)
		}
	}
	done := make([]bool, len(s.all))
	for left := len(s.all); left > 0; {
		if len(ready) == 0 {
			ready = append(ready, s.cut(done))
		}
		i := ready[len(ready)-1]
		ready = ready[:len(ready)-1]
		if done[i] {
			continue
		}
		done[i] = true
		left--
		s.stamp(s.all[i], done)
		for _, k := range after[i] {
			if s.all[k].open--; s.all[k].open == 0 {
				ready = append(ready, k)
			}
		}
	}
}

// cut finds a circle among the events that are not done and frees the event of
// it that is first by id of those whose own device is not what holds them up.
func (s *sequencer) cut(done []bool) int {
	at := slices.Index(done, false)
	path := map[int]int{}
	var walk []int
	for {
		if first, known := path[at]; known {
			walk = walk[first:]
			break
		}
		path[at] = len(walk)
		walk = append(walk, at)
		at = s.all[at].before[slices.IndexFunc(s.all[at].before, func(b int) bool { return !done[b] })]
	}
	best := -1
	for _, i := range walk {
		p := s.all[i]
		own := slices.ContainsFunc(p.before, func(b int) bool { return s.all[b].dev == p.dev && !done[b] })
		if !own && (best < 0 || p.ID.Compare(s.all[best].ID) < 0) {
			best = i
		}
	}
	s.refused = append(s.refused, refuse(s.all[best].Event, ImpossibleOrder,
		"it claims to have seen events that had seen it; what it says it has seen is not believed"))
	return best
}

// stamp works out the hybrid time of an event and what it had seen from its
// predecessors, as far as they are done.
func (s *sequencer) stamp(p *placed, done []bool) {
	p.wall = p.ID.Time()
	for _, b := range p.before {
		if q := s.all[b]; done[b] && q.wall > p.wall {
			p.wall = q.wall
		}
	}
	for d, n := range p.Seen {
		i, here := s.index(d)
		believed := here && !slices.ContainsFunc(s.upTo(i, n), func(k int) bool { return !done[k] })
		if believed {
			p.clock[i] = n
		}
	}
	for _, b := range p.before {
		q := s.all[b]
		if !done[b] {
			continue // a claim that was cut
		}
		if q.wall == p.wall {
			p.count = max(p.count, q.count+1)
		}
		for i, n := range q.clock {
			p.clock[i] = max(p.clock[i], n)
		}
		p.clock[q.dev] = max(p.clock[q.dev], q.Seq)
	}
	p.clock[p.dev] = p.Seq - 1
}

// saw reports whether p had seen q.
func (p *placed) saw(q *placed) bool { return p.clock[q.dev] >= q.Seq }

// gaps lists the events that somebody has seen, or that must lie between
// others, and that are not here.
func (s *sequencer) gaps() []Gap {
	known := make([]int64, len(s.devices))
	here := make([][]int64, len(s.devices))
	for _, p := range s.all {
		here[p.dev] = append(here[p.dev], p.Seq)
		known[p.dev] = max(known[p.dev], p.Seq)
		for i, n := range p.clock {
			known[i] = max(known[i], n)
		}
	}
	var gaps []Gap
	for _, d := range sortedKeys(s.claimed) {
		gaps = append(gaps, Gap{d, 1, s.claimed[d]})
	}
	for i, d := range s.devices {
		slices.Sort(here[i])
		next := int64(1)
		for _, n := range append(slices.Compact(here[i]), known[i]+1) {
			if n > next {
				gaps = append(gaps, Gap{d, next, n - 1})
			}
			next = n + 1
		}
	}
	return gaps
}
