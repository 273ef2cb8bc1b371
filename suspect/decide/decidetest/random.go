package decidetest

import (
	"cmp"
	"math"
	"math/rand/v2"

	"elbowroom/suspect/decide"
)

// Shape says what a random problem is like.
type Shape struct {
	Faults     int
	Together   int // most faults at once; 1 is the single-fault case
	Checks     int
	Operations int     // of the machine to strip; 0 is a machine that never changes
	Joined     int     // repairs that cure several faults at once, beside one for each fault
	Noise      float64 // share of checks with other chances than 0 and 1
	Unlisted   bool    // a cause that no repair cures; brings a way to refer on
	Escape     bool    // a way to refer on
	Odds       bool    // a proof that may pass too early
	Missed     bool    // a proof that passes too early as often whatever is wrong; brings a way to refer on
	Right      bool    // the machine may be right already
	ProveFirst bool
	Once       bool
	Outcomes   int     // most outcomes of a check; 0 is 2
	Skew       float64 // how unequal the shares are, as the spread of their logarithm; 0 is 1
}

// Random makes a problem from a seed. The same seed and shape give the same
// problem.
func Random(seed uint64, sh Shape) decide.Problem {
	g := generator{Rand: rand.New(rand.NewPCG(seed, 0xD15A55E3B1E)), sh: sh}
	g.worlds()
	g.o = &Operations{}
	g.operations()
	g.repairs()
	g.checks()
	g.ends()
	g.p.Ground = g.o
	return g.p
}

// Large makes a problem of one size up: so many faults, each with a repair,
// and one that is not listed; so many checks, each of which speaks for a
// neighbourhood of faults, as the checks of one circuit do; and a machine of
// twelve operations. With pairs, so many worlds have two faults.
func Large(seed uint64, faults, checks, pairs int) decide.Problem {
	g := generator{Rand: rand.New(rand.NewPCG(seed, 0x1A26E)), sh: Shape{Operations: 12, Faults: faults, Checks: checks}}
	g.o = &Operations{}
	g.operations()
	sets := g.sets(faults, pairs)
	unlisted, right := faults, len(sets)
	n := right + 1
	g.p.Worlds = append(g.p.Worlds, 0)
	g.p.Right = make([]bool, n)
	g.p.Right[right] = true
	for f := range faults {
		to := make([]int, n)
		for w := range to {
			to[w] = w
		}
		to[f] = right
		for w := unlisted + 1; w < right; w++ {
			switch f {
			case sets[w][0]:
				to[w] = sets[w][1]
			case sets[w][1]:
				to[w] = sets[w][0]
			}
		}
		g.p.Repairs = append(g.p.Repairs, decide.Repair{Action: g.work(150, false), To: to})
	}
	for range checks {
		g.p.Checks = append(g.p.Checks, g.around(sets, faults))
	}
	g.p.Proof.Action = g.work(50, true)
	g.p.Escapes = []decide.Escape{{Price: 3000}}
	g.p.Ground = Nearest{g.o}
	return g.p
}

// sets lists the faults of each world: each fault alone, the unlisted one, and
// then pairs.
func (g *generator) sets(faults, pairs int) [][]int {
	var sets [][]int
	for f := range faults + 1 {
		sets = append(sets, []int{f})
		g.p.Worlds = append(g.p.Worlds, math.Exp(1.2*g.NormFloat64()))
	}
	g.p.Worlds[faults] = .05 * float64(faults)
	seen := map[[2]int]bool{}
	for len(sets) < faults+1+pairs {
		a, b := g.IntN(faults), g.IntN(faults)
		if a >= b || seen[[2]int{a, b}] {
			continue
		}
		seen[[2]int{a, b}] = true
		sets = append(sets, []int{a, b})
		g.p.Worlds = append(g.p.Worlds, .02*g.p.Worlds[a]*g.p.Worlds[b])
	}
	return sets
}

// around is a check that most faults of one stretch make fail.
func (g *generator) around(sets [][]int, faults int) decide.Check {
	n := len(sets) + 1
	c := decide.Check{Action: g.work(40, g.Float64() < .1), Chance: [][]float64{make([]float64, n), make([]float64, n)}}
	from := g.IntN(faults)
	long := 1 + int(math.Exp(g.Float64()*math.Log(float64(faults)/2)))
	passes := make([]float64, faults+1)
	for f := range passes {
		passes[f] = 1
		if (f-from+faults)%faults < long {
			passes[f] = .02 + .13*g.Float64()
		}
	}
	passes[faults] = .92
	for w := range n {
		good := .98
		if w < len(sets) {
			for _, f := range sets[w] {
				good *= passes[f]
			}
		}
		c.Chance[0][w], c.Chance[1][w] = good, 1-good
	}
	return c
}

type generator struct {
	*rand.Rand
	sh    Shape
	p     decide.Problem
	o     *Operations
	masks []uint32
	at    map[uint32]int
}

// operations makes the machine that is stripped.
func (g *generator) operations() {
	for i := range g.sh.Operations {
		mask := uint32(0)
		for j := range i {
			if g.Float64() < .35 {
				mask |= 1<<j | g.o.After[j]
			}
		}
		g.o.After = append(g.o.After, mask)
		out := 20 + g.Int64N(100)
		g.o.Remove = append(g.o.Remove, out)
		g.o.Refit = append(g.o.Refit, out+g.Int64N(out/2))
	}
}

// worlds lists sets of faults; the last bit is the unlisted cause.
func (g *generator) worlds() {
	g.at = map[uint32]int{}
	bits := g.sh.Faults
	if g.sh.Unlisted {
		bits++
	}
	share := make([]float64, bits)
	for i := range share {
		share[i] = math.Exp(g.NormFloat64() * cmp.Or(g.sh.Skew, 1))
	}
	for mask := range uint32(1) << bits {
		n, x := 0, 1.0
		for i := range bits {
			if mask>>i&1 == 1 {
				n++
				x *= share[i]
			}
		}
		if n > g.sh.Together {
			continue
		}
		if n > 1 {
			x *= math.Pow(.1, float64(n-1))
		}
		if n == 0 && !g.sh.Right {
			x = 0
		}
		g.at[mask] = len(g.masks)
		g.masks = append(g.masks, mask)
		g.p.Worlds = append(g.p.Worlds, x)
		g.p.Right = append(g.p.Right, mask == 0)
	}
}

// work adds an action that costs about price.
func (g *generator) work(price int64, shut bool) decide.Action {
	w := Work{Cost: price/2 + g.Int64N(price), Shut: shut}
	if g.sh.Operations > 0 && !shut && g.Float64() < .75 {
		i := g.IntN(g.sh.Operations)
		w.Off = 1<<i | g.o.After[i]
		for j := range g.sh.Operations {
			if w.Off>>j&1 == 0 && g.o.After[j]&^w.Off == 0 && g.Float64() < .1 {
				w.In |= 1 << j
			}
		}
	}
	g.o.Works = append(g.o.Works, w)
	return decide.Action(len(g.o.Works) - 1)
}

func (g *generator) repairs() {
	for r := range g.sh.Faults + g.sh.Joined {
		cures := uint32(1) << r
		price := int64(150)
		if r >= g.sh.Faults {
			one, other := g.IntN(g.sh.Faults), g.IntN(g.sh.Faults)
			cures = uint32(1)<<one | uint32(1)<<other
			price = 250
		}
		to := make([]int, len(g.masks))
		for w, mask := range g.masks {
			to[w] = g.at[mask&^cures]
		}
		g.p.Repairs = append(g.p.Repairs, decide.Repair{Action: g.work(price, false), To: to})
	}
}

func (g *generator) checks() {
	bits := g.sh.Faults
	if g.sh.Unlisted {
		bits++
	}
	for range g.sh.Checks {
		c := decide.Check{Action: g.work(40, g.Float64() < .1), Once: g.sh.Once}
		outcomes := 2
		if g.sh.Outcomes > 2 {
			outcomes = 2 + g.IntN(g.sh.Outcomes-1)
		}
		c.Chance = make([][]float64, outcomes)
		for o := range c.Chance {
			c.Chance[o] = make([]float64, len(g.masks))
		}
		noisy := g.Float64() < g.sh.Noise
		meets := make([]float64, bits)
		for f := range meets {
			if g.Float64() < .4 {
				meets[f] = 1
				if noisy {
					meets[f] = .5 + .5*g.Float64()
				}
			}
		}
		leak := 0.0
		if noisy && g.Float64() < .5 {
			leak = .1 * g.Float64()
		}
		for w, mask := range g.masks {
			good := 1 - leak
			class := 0
			for f := range meets {
				if mask>>f&1 == 1 {
					good *= 1 - meets[f]
					class += f
				}
			}
			c.Chance[0][w] = good
			c.Chance[1+class%(outcomes-1)][w] += 1 - good
		}
		g.p.Checks = append(g.p.Checks, c)
	}
}

func (g *generator) ends() {
	g.p.ProveFirst = g.sh.ProveFirst
	g.p.Proof.Action = g.work(50, g.Float64() < .6)
	if g.sh.Odds {
		g.p.Proof.Pass = make([]float64, len(g.masks))
		g.p.Proof.Comeback = 300 + g.Int64N(600)
		for w, right := range g.p.Right {
			g.p.Proof.Pass[w] = .3 * g.Float64()
			if right {
				g.p.Proof.Pass[w] = 1 - .05*g.Float64()
			}
		}
	}
	if g.sh.Missed {
		g.p.Proof.Comeback = 900 + g.Int64N(900)
		missed := .02 + .2*g.Float64()
		for _, right := range g.p.Right {
			pass := missed
			if right {
				pass = 1
			}
			g.p.Proof.Pass = append(g.p.Proof.Pass, pass)
		}
	}
	if !g.sh.Escape && !g.sh.Unlisted && !g.sh.Missed {
		return
	}
	e := decide.Escape{Price: 300 + g.Int64N(700)}
	if g.Float64() < .5 {
		e.Extra = make([]int64, len(g.masks))
		for w := range e.Extra {
			e.Extra[w] = g.Int64N(200)
		}
	}
	g.p.Escapes = append(g.p.Escapes, e)
}
