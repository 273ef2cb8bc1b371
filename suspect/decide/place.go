package decide

import "math"

// grounds remembers what the Ground said, and what is known of each machine
// state that was met.
type grounds struct {
	g      Ground
	k      *known
	pr     prices
	places map[State]*place
	root   *place
	moves  int // questions asked
	budget int // questions about access that may still be asked
	// share[w] is the part of the price of referring on that counts as access,
	// so that a course that refers on is not held to pay nothing for access.
	share []float64
}

// place is a machine state.
type place struct {
	state  State
	paid   float64 // least access that is known to lead here from the start
	close  float64 // +Inf if it cannot be put back
	access []float64
	acc    []float64 // by world: least access if it were known
	all    []float64 // by world: least cost if it were known
	done   map[Action][]Move
}

// defaultAccess is how many questions about access a search may ask.
const defaultAccess = 400

func newGrounds(g Ground, k *known, pr prices) *grounds {
	gr := &grounds{g: g, k: k, pr: pr, places: map[State]*place{}, budget: defaultAccess}
	gr.share = make([]float64, len(pr.least))
	root := gr.place(g.Start(), 0)
	for w, fixes := range k.fixes {
		if len(fixes) == 0 || math.IsInf(root.close, 1) {
			continue
		}
		a := math.Inf(1)
		for _, x := range fixes {
			a = min(a, root.access[x.set])
		}
		gr.share[w] = min(max(0, a-root.close), pr.least[w])
	}
	gr.fill(root)
	gr.root = root
	return gr
}

// place returns what is known of state s, reached from the start by access
// that costs paid.
func (gr *grounds) place(s State, paid float64) *place {
	if pl, ok := gr.places[s]; ok {
		pl.paid = min(pl.paid, paid)
		return pl
	}
	pl := &place{state: s, paid: paid, close: math.Inf(1), done: map[Action][]Move{}}
	gr.places[s] = pl
	gr.moves++
	if c, ok := gr.g.Close(s); ok {
		pl.close = float64(c)
	}
	pl.access = make([]float64, len(gr.k.sets))
	exact := gr.root == nil || gr.budget >= len(gr.k.sets)
	for i := range gr.k.sets {
		if gr.root != nil {
			pl.access[i] = max(0, gr.root.access[i]-paid)
		}
		if exact && gr.budget > 0 {
			gr.budget--
			gr.moves++
			pl.access[i] = max(pl.access[i], float64(gr.g.Access(s, gr.k.sets[i].acts)))
		}
	}
	gr.fill(pl)
	return pl
}

// fill works out the least costs by world.
func (gr *grounds) fill(pl *place) {
	n := len(gr.pr.least)
	pl.acc = make([]float64, n)
	pl.all = make([]float64, n)
	home := pl.close
	if math.IsInf(home, 1) {
		home = 0
	}
	for w := range n {
		pl.acc[w] = gr.share[w] + home
		if math.IsInf(gr.pr.least[w], 1) {
			pl.acc[w] = math.Inf(1)
		}
		pl.all[w] = gr.pr.least[w] + home
		for _, x := range gr.k.fixes[w] {
			a := pl.access[x.set]
			pl.acc[w] = min(pl.acc[w], a)
			pl.all[w] = min(pl.all[w], a+gr.k.sets[x.set].own+x.extra)
		}
	}
}

// do lists the alternatives of an action.
func (gr *grounds) do(pl *place, a Action) []Move {
	if a == NoWork {
		return []Move{{After: pl.state}}
	}
	if mv, ok := pl.done[a]; ok {
		return mv
	}
	gr.moves++
	mv := gr.g.Do(pl.state, a)
	pl.done[a] = mv
	return mv
}

// visit is the least access of a course from the start that does a, as far as
// it was asked about.
func (gr *grounds) visit(a Action) float64 {
	mvs, ok := gr.root.done[a]
	if !ok || a == NoWork {
		return 0
	}
	own := float64(gr.g.Own(a))
	best := math.Inf(1)
	for _, mv := range mvs {
		paid := float64(mv.Cost) - own
		home := 0.0
		if pl, ok := gr.places[mv.After]; ok && !math.IsInf(pl.close, 1) {
			home = pl.close
		}
		best = min(best, paid+home)
	}
	return best
}
