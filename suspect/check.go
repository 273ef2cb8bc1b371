package suspect

import (
	"math"
	"math/bits"
	"slices"
	"strings"

	"elbowroom/codes"
	"elbowroom/guide"
)

// mostParts bounds the items of a check that are told apart: the likelihood is
// a sum over their subsets.
const mostParts = 10

// checkModel is a check with the odds of every hypothesis.
type checkModel struct {
	c       *guide.Check
	group   Group      // not empty when odds are assumed
	links   []link     // hypotheses that the check names, by rising index
	leak    Range      // fails with any other
	named   bool       // some fault is named, in the check or by found-by
	parts   []guide.ID // items told apart; empty: the check as a whole
	assumed bool       // the odds of its faults are
}

// link is one fault that makes a check fail.
type link struct {
	hyp   int
	fails Range
	hits  uint // parts that it can make fail, as bits
	kin   bool // it only shows as a fault that names the check
}

// allParts returns the bits of every part.
func (k *checkModel) allParts() uint { return 1<<len(k.parts) - 1 }

// checkOf returns the model of a check, made once.
func (m *model) checkOf(id guide.ID) *checkModel {
	if k, ok := m.checks[id]; ok {
		return k
	}
	c := m.r.Check(id)
	if c == nil {
		return nil
	}
	k := &checkModel{c: c}
	for _, on := range c.On {
		if m.r.Item(on) != nil && !slices.Contains(k.parts, on) {
			k.parts = append(k.parts, on)
		}
	}
	if len(k.parts) < 2 || len(k.parts) > mostParts {
		k.parts = nil
	}
	m.link(k)
	m.checks[id] = k
	return k
}

// link gives the check its odds. Odds that the guide states are taken as they
// are and are then the only ones; else every fault that names the check in
// found-by is taken to make it fail, within an assumed range, and so, less
// surely, is every fault that sets the same codes as one of those.
func (m *model) link(k *checkModel) {
	stated := len(k.c.Fails) > 0 || k.c.Otherwise != nil
	k.leak = m.a.CheckLeak
	if k.c.Otherwise != nil {
		k.leak = Exactly(*k.c.Otherwise)
	}
	k.assumed = k.c.Otherwise == nil
	if stated {
		for _, o := range k.c.Fails {
			if h, ok := m.byID[o.Fault]; ok {
				k.links = append(k.links, link{hyp: h, fails: Exactly(o.P), hits: m.hits(k, h)})
			}
		}
		slices.SortStableFunc(k.links, func(a, b link) int { return a.hyp - b.hyp })
	} else {
		m.assume(k)
	}
	k.named = len(k.links) > 0
	if k.assumed {
		k.group = Group("check " + string(k.c.ID))
	}
}

// assume gives odds to a check that has none. A fault that shows as what the
// naming faults show as may well be what the check sees too.
func (m *model) assume(k *checkModel) {
	var naming []int
	for h := range m.hyps[:m.other()] {
		if slices.Contains(m.hyps[h].fault.FoundBy, k.c.ID) {
			naming = append(naming, h)
		}
	}
	for h := range m.hyps[:m.other()] {
		fails, kin := m.a.CheckFails, false
		if !contains(naming, h) {
			if !slices.ContainsFunc(naming, func(n int) bool { return m.kin(n, h) }) {
				continue
			}
			fails, kin = m.a.CheckKin, true
		}
		k.links = append(k.links, link{hyp: h, fails: fails, hits: m.hits(k, h), kin: kin})
	}
}

// kinShare is the share of their codes that two faults must have in common to
// be taken for ones that show alike.
const kinShare = 0.5

// kin reports whether two faults set much the same codes.
func (m *model) kin(a, b int) bool {
	f, g := m.familiesOf(a), m.familiesOf(b)
	size := func(list []codes.Range) (n int) {
		for _, r := range codes.Merge(list) {
			n += r.Size()
		}
		return n
	}
	all := size(slices.Concat(f, g))
	both := size(f) + size(g) - all
	return all > 0 && float64(both) >= kinShare*float64(all)
}

// hits returns the parts of a check that a fault can make fail: the item it is
// on, else what hangs on that item, else all.
func (m *model) hits(k *checkModel, h int) uint {
	if len(k.parts) == 0 {
		return 0
	}
	on := m.hyps[h].on
	if i := slices.Index(k.parts, on); i >= 0 {
		return 1 << i
	}
	var set uint
	for i, part := range k.parts {
		if m.hangsOn(part, on) {
			set |= 1 << i
		}
	}
	if set == 0 {
		return k.allParts()
	}
	return set
}

// partOf finds the item that a name of a part means: its ID, its name, another
// of its names, or the side that only it is on. -1 when none.
func (m *model) partOf(k *checkModel, name string) int {
	name = strings.TrimSpace(name)
	hit := -1
	for i, id := range k.parts {
		it := m.r.Item(id)
		if strings.EqualFold(name, string(id)) || strings.EqualFold(name, it.Name) || slices.ContainsFunc(it.Also, func(a string) bool { return strings.EqualFold(a, name) }) {
			return i
		}
		if it.Side != "" && strings.EqualFold(name, string(it.Side)) {
			if hit >= 0 {
				return -1
			}
			hit = i
		}
	}
	return hit
}

// observed is a verdict made ready: the probability that it conforms, for the
// check as a whole or for the parts that were measured.
type observed struct {
	k        *checkModel
	conforms float64
	parts    []int // measured parts, rising
	each     []float64
}

// like returns the probability of the verdict in a world.
func (o observed) like(present []int, s setting) float64 {
	if len(o.parts) == 0 {
		pass := o.k.avoids(present, s, o.k.allParts(), true)
		return o.conforms*pass + (1-o.conforms)*(1-pass)
	}
	// With c the probability that a part conforms, its factor is (1-c) plus
	// (2c-1) when it passes; multiplied out, one term for every subset of
	// parts that pass.
	sum := 0.0
	for chosen := range 1 << len(o.parts) {
		term, set := 1.0, uint(0)
		for i, part := range o.parts {
			if chosen>>i&1 == 1 {
				term *= 2*o.each[i] - 1
				set |= 1 << part
			} else {
				term *= 1 - o.each[i]
			}
		}
		if term != 0 {
			sum += term * o.k.avoids(present, s, set, false)
		}
	}
	return min(max(sum, 0), 1)
}

// avoids returns the probability that none of the parts in set fails (whole:
// that the check passes).
func (k *checkModel) avoids(present []int, s setting, set uint, whole bool) float64 {
	leak := s.leak(k.group, k.leak)
	none := 1 - leak
	if n := len(k.parts); n > 0 && !whole {
		none = math.Pow(1-leak, float64(bits.OnesCount(set))/float64(n))
	}
	pass := none
	for _, l := range k.links {
		if _, here := slices.BinarySearch(present, l.hyp); !here {
			continue
		}
		fails := s.given(k.group, l.fails)
		q := inhibited(fails, leak)
		if q < 0 && len(present) > 1 {
			q = 0
		}
		share := 0.0
		if !whole && len(k.parts) > 0 {
			share = missing(l.hits, set)
		}
		pass *= 1 - q + q*share
	}
	return min(max(pass, 0), 1)
}

// inhibited returns the strength of a cause in a noisy OR whose only cause
// makes the check fail with probability fails: 1-fails = (1-leak)(1-q). It is
// negative for a fault that makes the check fail less often than the leak.
func inhibited(fails, leak float64) float64 {
	if leak >= 1 {
		return 0
	}
	return 1 - (1-fails)/(1-leak)
}

// missing returns the probability that a fault which makes some parts fail
// leaves those in set alone. How many of the parts it can reach fail is taken
// as equally likely from one to all, and then which of them.
func missing(hits, set uint) float64 {
	all, left := bits.OnesCount(hits), bits.OnesCount(hits&^set)
	if all == 0 {
		return 0
	}
	sum := 0.0
	for fail := 1; fail <= left; fail++ {
		sum += choose(left, fail) / choose(all, fail)
	}
	return sum / float64(all)
}

func choose(n, k int) float64 {
	c := 1.0
	for i := range k {
		c = c * float64(n-i) / float64(i+1)
	}
	return c
}
