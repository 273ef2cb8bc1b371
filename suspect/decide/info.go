package decide

import "slices"

// info is an information state: a belief, met once, with what can be done in
// it that makes sense.
type info struct {
	id   int
	b    belief
	opts []option // nil until asked for
	have bool
	// chance of coming here, from where it was met first.
	chance float64
}

// option is an action that makes sense in an information state.
type option struct {
	kind  Kind
	index int
	act   Action
	next  []branch // nil until asked for
}

// branch is one thing that an option may show.
type branch struct {
	outcome int
	prob    float64
	to      *info   // nil where the job ends
	end     float64 // what ending there costs beside the putting back
}

// infoTable finds an information state again.
type infoTable struct {
	byHash map[uint64][]*info
	n      int
}

func (b *belief) hash() uint64 {
	h := uint64(14695981039346656037)
	mix := func(x uint64) {
		h ^= x
		h *= 0x9E3779B97F4A7C15
		h ^= h >> 29
	}
	for j, w := range b.world {
		mix(uint64(w))
		mix(coarse(b.p[j]))
	}
	for _, f := range b.fresh {
		mix(f)
	}
	for _, a := range b.asked {
		mix(uint64(a.table)<<8 | uint64(a.outcome))
	}
	for _, g := range b.gone {
		mix(uint64(g) + 1<<40)
	}
	return h
}

func (b *belief) same(c *belief) bool {
	if !slices.Equal(b.world, c.world) || !slices.Equal(b.fresh, c.fresh) ||
		!slices.Equal(b.asked, c.asked) || !slices.Equal(b.gone, c.gone) {
		return false
	}
	for j, x := range b.p {
		if coarse(x) != coarse(c.p[j]) {
			return false
		}
	}
	return true
}

// intern returns the one information state with belief b.
func (m *model) intern(b belief, chance float64) *info {
	h := b.hash()
	for _, in := range m.infos.byHash[h] {
		if in.b.same(&b) {
			return in
		}
	}
	in := &info{id: m.infos.n, b: b, chance: chance}
	m.infos.n++
	m.infos.byHash[h] = append(m.infos.byHash[h], in)
	return in
}

// options lists what makes sense in an information state, the proof first,
// then repairs, then checks.
func (m *model) options(in *info) []option {
	if in.have {
		return in.opts
	}
	in.have = true
	if m.mayPass(&in.b) {
		in.opts = append(in.opts, option{kind: Prove, act: m.p.Proof.Action})
	}
	for r := range m.p.Repairs {
		if m.moves(&in.b, r) {
			in.opts = append(in.opts, option{kind: Mend, index: r, act: m.p.Repairs[r].Action})
		}
	}
	if m.p.ProveFirst && m.mayBeRight(&in.b) {
		return in.opts
	}
	for c := range m.p.Checks {
		if m.tells(&in.b, c) {
			in.opts = append(in.opts, option{kind: Ask, index: c, act: m.p.Checks[c].Action})
		}
	}
	return in.opts
}

func (m *model) mayBeRight(b *belief) bool {
	return slices.ContainsFunc(b.world, func(w int32) bool { return m.p.Right[w] })
}

func (m *model) mayPass(b *belief) bool {
	e := b.stands(m.proof)
	for j := range b.world {
		if m.chance(b, j, m.proof, e, passed) > 0 {
			return true
		}
	}
	return false
}

// branches returns what an option may show.
func (m *model) branches(in *info, o *option) []branch {
	if o.next != nil {
		return o.next
	}
	switch o.kind {
	case Mend:
		o.next = []branch{{prob: 1, to: m.intern(m.mended(&in.b, o.index), in.chance)}}
	case Prove:
		o.next = m.proofBranches(in)
	case Ask:
		o.next = m.checkBranches(in, o.index)
	}
	return o.next
}

func (m *model) proofBranches(in *info) []branch {
	var next []branch
	e := in.b.stands(m.proof)
	prob, weight := m.split(&in.b, m.proof, e, passed, nil)
	wrong := 0.0
	for j, x := range weight {
		if !m.p.Right[in.b.world[j]] {
			wrong += x
		}
	}
	next = append(next, branch{outcome: passed, prob: prob, end: wrong / prob * float64(m.p.Proof.Comeback)})
	if prob, weight = m.split(&in.b, m.proof, e, failed, weight); prob > 0 {
		next = append(next, branch{outcome: failed, prob: prob, to: m.intern(m.after(&in.b, m.proof, failed, weight), in.chance*prob)})
	}
	return next
}

func (m *model) checkBranches(in *info, c int) []branch {
	var next []branch
	var weight []float64
	e := in.b.stands(c)
	for o := range m.tables[c].chance {
		var prob float64
		if prob, weight = m.split(&in.b, c, e, o, weight); prob > 0 {
			next = append(next, branch{outcome: o, prob: prob, to: m.intern(m.after(&in.b, c, o, weight), in.chance*prob)})
		}
	}
	return next
}

// missed is the chance that a proof made now passes too early.
func (m *model) missed(b *belief) float64 {
	if m.p.Proof.Pass == nil {
		return 0
	}
	e := b.stands(m.proof)
	wrong := 0.0
	for j, w := range b.world {
		if !m.p.Right[w] {
			wrong += b.p[j] * m.chance(b, j, m.proof, e, passed)
		}
	}
	return wrong
}

// comeback is what that costs on average.
func (m *model) comeback(b *belief) float64 {
	return m.missed(b) * float64(m.p.Proof.Comeback)
}

// refer is what ending the job by escape e costs beside the putting back.
func (m *model) refer(in *info, e int) float64 {
	esc := &m.p.Escapes[e]
	sum := float64(esc.Price)
	if esc.Extra != nil {
		for j, w := range in.b.world {
			sum += in.b.p[j] * float64(esc.Extra[w])
		}
	}
	return sum
}
