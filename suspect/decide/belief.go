package decide

import (
	"math"
	"slices"
)

// belief is what is believed about the true world, as particles: a world, its
// chance, and which of the answers that were given before would be drawn anew
// there. The particles are in order of world and fresh, without doubles.
type belief struct {
	world []int32
	p     []float64
	fresh []uint64 // bit i: in this particle asked[i] would be drawn anew; nil means none
	asked []asked  // answers that still stand in some particle, by table
	gone  []int32  // tables that may not be asked again at all, in order
}

// asked is an answer that was given.
type asked struct {
	table   int32
	outcome int32
}

// scale makes the chances sum to one and returns what they summed to.
func (b *belief) scale() float64 {
	sum := 0.0
	for _, x := range b.p {
		sum += x
	}
	if sum > 0 {
		for i := range b.p {
			b.p[i] /= sum
		}
	}
	return sum
}

// stands returns the index in asked of the table's answer, or -1.
func (b *belief) stands(t int) int {
	for i, a := range b.asked {
		if int(a.table) == t {
			return i
		}
	}
	return -1
}

// frozen reports whether particle j repeats answer e.
func (b *belief) frozen(j, e int) bool {
	return e >= 0 && (b.fresh == nil || b.fresh[j]>>uint(e)&1 == 0)
}

// chance is the probability that table t shows outcome o in particle j, where
// e is stands(t).
func (m *model) chance(b *belief, j, t, e, o int) float64 {
	if b.frozen(j, e) {
		if int(b.asked[e].outcome) == o {
			return 1
		}
		return 0
	}
	return m.tables[t].chance[o][b.world[j]]
}

// tells reports whether table t may be asked and would tell particles apart.
func (m *model) tells(b *belief, t int) bool {
	return (len(b.asked) < MaxAsked || b.stands(t) >= 0) && m.differs(b, t)
}

// differs reports whether asking table t would tell particles apart.
func (m *model) differs(b *belief, t int) bool {
	if _, gone := slices.BinarySearch(b.gone, int32(t)); gone {
		return false
	}
	e := b.stands(t)
	// A particle that repeats an answer and one that is certain to give it are
	// alike.
	tab := &m.tables[t]
	kind := func(j int) int32 {
		w := b.world[j]
		switch {
		case b.frozen(j, e):
			return -1 - b.asked[e].outcome
		case tab.certain[w] >= 0:
			return -1 - tab.certain[w]
		}
		return tab.row[w]
	}
	first := kind(0)
	for j := 1; j < len(b.world); j++ {
		if kind(j) != first {
			return true
		}
	}
	return false
}

// split returns the chance of outcome o of table t and the chances of the
// particles after it, not scaled, in buf.
func (m *model) split(b *belief, t, e, o int, buf []float64) (float64, []float64) {
	buf = buf[:0]
	sum := 0.0
	for j := range b.world {
		x := b.p[j] * m.chance(b, j, t, e, o)
		sum += x
		buf = append(buf, x)
	}
	return sum, buf
}

// after is the belief once table t showed outcome o, whose particles are
// weighted as split says.
func (m *model) after(b *belief, t, o int, weight []float64) belief {
	var n belief
	tab := &m.tables[t]
	n.gone = b.gone
	n.asked = b.asked
	e := b.stands(t)
	switch {
	case tab.once || !tab.stale && !tab.sharp:
		at, _ := slices.BinarySearch(b.gone, int32(t))
		n.gone = slices.Insert(slices.Clone(b.gone), at, int32(t))
	case e < 0 && !tab.sharp:
		e = m.insertAsked(&n, t, o)
	}
	shift := len(n.asked) != len(b.asked)
	any := b.fresh != nil
	if any {
		n.fresh = make([]uint64, 0, len(b.world))
	}
	for j, x := range weight {
		if x <= 0 {
			continue
		}
		n.world = append(n.world, b.world[j])
		n.p = append(n.p, x)
		if !any {
			continue
		}
		f := b.fresh[j]
		if shift {
			low := f & (1<<uint(e) - 1)
			f = low | (f&^low)<<1
		} else if e >= 0 {
			f &^= 1 << uint(e)
		}
		n.fresh = append(n.fresh, f)
	}
	if e >= 0 && !shift {
		n.asked = slices.Clone(n.asked)
		n.asked[e].outcome = int32(o)
	}
	m.settle(&n)
	return n
}

// insertAsked writes down an answer and returns its place.
func (m *model) insertAsked(n *belief, t, o int) int {
	at := 0
	for at < len(n.asked) && int(n.asked[at].table) < t {
		at++
	}
	n.asked = slices.Insert(slices.Clone(n.asked), at, asked{int32(t), int32(o)})
	return at
}

// moves reports whether repair r changes some living world.
func (m *model) moves(b *belief, r int) bool {
	to := m.p.Repairs[r].To
	for _, w := range b.world {
		if to[w] != int(w) {
			return true
		}
	}
	return false
}

// mended is the belief after repair r.
func (m *model) mended(b *belief, r int) belief {
	n := belief{asked: b.asked, gone: b.gone}
	to := m.p.Repairs[r].To
	n.world = make([]int32, len(b.world))
	n.p = slices.Clone(b.p)
	if len(b.asked) > 0 {
		n.fresh = make([]uint64, len(b.world))
		copy(n.fresh, b.fresh)
	}
	for j, w := range b.world {
		n.world[j] = int32(to[w])
		for e, a := range b.asked {
			row := m.tables[a.table].row
			if row[w] != row[to[w]] {
				n.fresh[j] |= 1 << uint(e)
			}
		}
	}
	m.settle(&n)
	return n
}

// settle brings a belief to its one form: an answer that the particle would
// repeat with certainty anyway counts as fresh, answers that are fresh
// everywhere are forgotten, equal particles are joined, chances scaled.
func (m *model) settle(n *belief) {
	if len(n.asked) > 0 {
		m.settleAsked(n)
	}
	n.sort()
	n.scale()
}

func (m *model) settleAsked(n *belief) {
	if n.fresh == nil {
		n.fresh = make([]uint64, len(n.world))
	}
	keep := uint64(0)
	for e, a := range n.asked {
		certain := m.tables[a.table].certain
		for j, w := range n.world {
			if certain[w] == a.outcome {
				n.fresh[j] |= 1 << uint(e)
			}
			if n.fresh[j]>>uint(e)&1 == 0 {
				keep |= 1 << uint(e)
			}
		}
	}
	kept := n.asked[:0:0]
	for e, a := range n.asked {
		if keep>>uint(e)&1 == 1 {
			kept = append(kept, a)
		}
	}
	if len(kept) < len(n.asked) {
		for j := range n.fresh {
			n.fresh[j] = gather(n.fresh[j], keep)
		}
	}
	n.asked = kept
	if !slices.ContainsFunc(n.fresh, func(f uint64) bool { return f != 0 }) {
		n.fresh = nil
	}
}

// gather returns the bits of x at the places that are set in keep, closed up.
func gather(x, keep uint64) uint64 {
	out, at := uint64(0), uint(0)
	for ; keep != 0; keep &= keep - 1 {
		low := keep & -keep
		if x&low != 0 {
			out |= 1 << at
		}
		at++
	}
	return out
}

// less orders particles.
func (b *belief) less(i, j int) bool {
	if b.world[i] != b.world[j] || b.fresh == nil {
		return b.world[i] < b.world[j]
	}
	return b.fresh[i] < b.fresh[j]
}

func (b *belief) sort() {
	ordered := true
	for j := 1; j < len(b.world) && ordered; j++ {
		ordered = b.less(j-1, j)
	}
	if ordered {
		return
	}
	at := make([]int, len(b.world))
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, func(i, j int) int {
		switch {
		case b.less(i, j):
			return -1
		case b.less(j, i):
			return 1
		}
		return 0
	})
	var n belief
	for _, i := range at {
		last := len(n.world) - 1
		if last >= 0 && n.world[last] == b.world[i] && (b.fresh == nil || n.fresh[last] == b.fresh[i]) {
			n.p[last] += b.p[i]
			continue
		}
		n.world = append(n.world, b.world[i])
		n.p = append(n.p, b.p[i])
		if b.fresh != nil {
			n.fresh = append(n.fresh, b.fresh[i])
		}
	}
	b.world, b.p, b.fresh = n.world, n.p, n.fresh
}

// grain is how many low bits of a chance are left out when two information
// states are compared: they differ by the order in which the same answers came.
const grain = 20

func coarse(x float64) uint64 { return (math.Float64bits(x) + 1<<(grain-1)) >> grain }

func appendBits(key []byte, x float64) []byte {
	u := math.Float64bits(x)
	for range 8 {
		key = append(key, byte(u))
		u >>= 8
	}
	return key
}
