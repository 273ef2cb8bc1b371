package decide

import (
	"math"
	"slices"
)

// maxPaths is how many ways to make one world right are told apart; past it
// only the first repair of each is used for bounds.
const maxPaths = 32

// known says what it takes to end the job in each world if the true world were
// known: sets of repairs, all of which have to be done, and then the proof.
type known struct {
	sets  []repairSet
	fixes [][]fix // by world: the sets that make it right; enough for a bound
	whole []bool  // by world: fixes are all sets of repairs on any course, complete
	// simple[w]: every repair that changes w makes it right at once.
	simple []bool
	// tidy: no repair changes a machine that is right, and the proof passes only
	// when it is right; or as often whatever is wrong with it, and then coming
	// back is no cheaper than referring on. Without it the cost of finding out
	// is not bounded.
	tidy bool
	used []bool // by repair: it changes some world that can come about
}

// repairSet is a set of repairs together with the proof.
type repairSet struct {
	repairs []int
	acts    []Action // of the repairs and the proof, without NoWork, in order, once each
	own     float64  // sum of Own, the proof included
}

// fix is a set that makes a world right.
type fix struct {
	set   int
	extra float64 // price of coming back, where the proof has passed too early
}

// newKnown works out all worlds that repairs can lead to from living ones.
func newKnown(m *model) *known {
	k := &known{tidy: evenly(m.p)}
	n := len(m.p.Worlds)
	k.fixes = make([][]fix, n)
	k.whole = make([]bool, n)
	k.simple = make([]bool, n)
	k.used = make([]bool, len(m.p.Repairs))
	f := finder{m: m, k: k, paths: make([][]path, n), index: map[string]int{}}
	for _, w := range m.start.b.world {
		f.visit(int(w))
	}
	return k
}

// evenly reports whether a proof that passes too early tells nothing of what is
// wrong, and never pays.
func evenly(p *Problem) bool {
	if p.Proof.Pass == nil {
		return true
	}
	missed := -1.0
	for w, x := range p.Proof.Pass {
		if p.Right[w] {
			continue
		}
		if missed >= 0 && x != missed {
			return false
		}
		missed = x
	}
	refer := math.Inf(1)
	for _, e := range p.Escapes {
		most := int64(0)
		for w := range p.Worlds {
			if e.Extra != nil {
				most = max(most, e.Extra[w])
			}
		}
		refer = min(refer, float64(e.Price+most))
	}
	return missed <= 0 || float64(p.Proof.Comeback) >= refer
}

// path is a set of repairs, in order of index, that leads to a world in which
// the proof may pass.
type path struct {
	repairs []int
	end     int // that world
	partial bool
}

type finder struct {
	m     *model
	k     *known
	paths [][]path
	index map[string]int
}

// visit finds the paths of world w.
func (f *finder) visit(w int) []path {
	if f.paths[w] != nil {
		return f.paths[w]
	}
	p := f.m.p
	out := []path{}
	pass := f.m.tables[f.m.proof].chance[passed][w]
	if pass > 0 {
		out = append(out, path{end: w})
	}
	f.k.simple[w] = true
	for r := range p.Repairs {
		to := p.Repairs[r].To[w]
		if to == w {
			continue
		}
		f.k.used[r] = true
		if p.Right[w] {
			f.k.tidy = false
		}
		f.k.simple[w] = f.k.simple[w] && p.Right[to]
		if pass < 1 || !p.Right[w] {
			out = append(out, extend(r, f.visit(to))...)
		} else {
			f.visit(to)
		}
	}
	out = distinct(out)
	f.k.whole[w] = !slices.ContainsFunc(out, func(q path) bool { return q.partial })
	if len(out) > maxPaths {
		out = f.firsts(w)
		f.k.whole[w] = false
	}
	f.paths[w] = out
	f.k.fixes[w] = f.fixes(out)
	return out
}

// firsts are the partial paths of one repair each (and the empty one if the
// proof may pass at once): every course from w begins with one of them.
func (f *finder) firsts(w int) []path {
	var out []path
	if f.m.tables[f.m.proof].chance[passed][w] > 0 {
		out = append(out, path{end: w, partial: true})
	}
	for r := range f.m.p.Repairs {
		if f.m.p.Repairs[r].To[w] != w {
			out = append(out, path{repairs: []int{r}, end: w, partial: true})
		}
	}
	return out
}

// extend puts repair r before each path.
func extend(r int, paths []path) []path {
	out := make([]path, 0, len(paths))
	for _, q := range paths {
		at, found := slices.BinarySearch(q.repairs, r)
		set := q.repairs
		if !found {
			set = slices.Insert(slices.Clone(q.repairs), at, r)
		}
		out = append(out, path{repairs: set, end: q.end, partial: q.partial})
	}
	return out
}

// distinct drops paths with the same repairs and end.
func distinct(paths []path) []path {
	slices.SortStableFunc(paths, func(a, b path) int {
		if c := slices.Compare(a.repairs, b.repairs); c != 0 {
			return c
		}
		return a.end - b.end
	})
	return slices.CompactFunc(paths, func(a, b path) bool {
		return a.end == b.end && a.partial == b.partial && slices.Equal(a.repairs, b.repairs)
	})
}

// fixes turns paths into sets.
func (f *finder) fixes(paths []path) []fix {
	var out []fix
	for _, q := range paths {
		extra := 0.0
		if !q.partial && !f.m.p.Right[q.end] {
			extra = float64(f.m.p.Proof.Comeback)
		}
		out = append(out, fix{set: f.set(q.repairs), extra: extra})
	}
	return out
}

// set returns the number of a set of repairs.
func (f *finder) set(repairs []int) int {
	var key []byte
	for _, r := range repairs {
		key = append(key, byte(r), byte(r>>8), byte(r>>16))
	}
	if i, ok := f.index[string(key)]; ok {
		return i
	}
	s := repairSet{repairs: repairs}
	add := func(a Action) {
		if a == NoWork {
			return
		}
		s.own += float64(f.m.p.Ground.Own(a))
		if at, found := slices.BinarySearch(s.acts, a); !found {
			s.acts = slices.Insert(s.acts, at, a)
		}
	}
	for _, r := range repairs {
		add(f.m.p.Repairs[r].Action)
	}
	add(f.m.p.Proof.Action)
	f.index[string(key)] = len(f.k.sets)
	f.k.sets = append(f.k.sets, s)
	return len(f.k.sets) - 1
}

// prices says what referring on is held to cost in each world, apart from
// putting back. A search over own costs only is given a share of it, so that
// the rest still pays for access.
type prices struct {
	refer [][]float64 // [escape][world]
	least []float64   // [world], there or after repairs, these included; +Inf without escapes
}

func newPrices(p *Problem, less []float64) prices {
	n := len(p.Worlds)
	pr := prices{least: make([]float64, n), refer: make([][]float64, len(p.Escapes))}
	for w := range n {
		pr.least[w] = math.Inf(1)
	}
	for e, esc := range p.Escapes {
		pr.refer[e] = make([]float64, n)
		for w := range n {
			x := float64(esc.Price)
			if esc.Extra != nil {
				x += float64(esc.Extra[w])
			}
			if less != nil {
				x = max(0, x-less[w])
			}
			pr.refer[e][w] = x
			pr.least[w] = min(pr.least[w], x)
		}
	}
	p.onward(pr.least)
	return pr
}

// onward lowers the least price of a world to that of doing a repair and
// referring on then.
func (p *Problem) onward(least []float64) {
	for again := true; again; {
		again = false
		for i := range p.Repairs {
			own := ownOf(p, p.Repairs[i].Action)
			for w, to := range p.Repairs[i].To {
				if to != w && own+least[to] < least[w] {
					least[w], again = own+least[to], true
				}
			}
		}
	}
}

// carried raises what a world has to what the worlds have from which repairs
// lead to it.
func (p *Problem) carried(of []float64) []float64 {
	out := slices.Clone(of)
	for again := true; again; {
		again = false
		for i := range p.Repairs {
			for w, to := range p.Repairs[i].To {
				if out[w] > out[to] {
					out[to], again = out[w], true
				}
			}
		}
	}
	return out
}
