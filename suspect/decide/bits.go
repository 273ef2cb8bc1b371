package decide

import (
	"container/heap"
	"math"
)

// capacityRounds is how often the distribution for the capacity of a check is
// improved; every round gives a valid upper bound.
const capacityRounds = 40

// capacity is an upper bound, in bits, on what one asking of a check can tell:
// the greatest divergence of a row from one common distribution, which is made
// small by the method of Blahut and Arimoto.
func capacity(rows [][]float64) float64 {
	if len(rows) < 2 {
		return 0
	}
	n := len(rows[0])
	weight := make([]float64, len(rows))
	for i := range weight {
		weight[i] = 1 / float64(len(rows))
	}
	mean := make([]float64, n)
	best := math.Log2(float64(n))
	for range capacityRounds {
		for o := range mean {
			mean[o] = 0
			for i, row := range rows {
				mean[o] += weight[i] * row[o]
			}
		}
		worst, sum := 0.0, 0.0
		for i, row := range rows {
			d := divergence(row, mean)
			worst = max(worst, d)
			weight[i] *= math.Exp2(d)
			sum += weight[i]
		}
		for i := range weight {
			weight[i] /= sum
		}
		best = min(best, worst)
	}
	return best
}

// divergence is in bits; mean is positive wherever row is.
func divergence(row, mean []float64) float64 {
	d := 0.0
	for o, x := range row {
		if x > 0 {
			d += x * math.Log2(x/mean[o])
		}
	}
	return d
}

// bitsOf is the capacity of table t over every row, and, where answers may be
// asked anew after a repair that leaves other worlds as they are, over repeated
// answers too.
func (t *table) bitsOf(repeats bool) float64 {
	var rows [][]float64
	seen := map[int32]bool{}
	shown := make([]bool, len(t.chance))
	for w, r := range t.row {
		if seen[r] {
			continue
		}
		seen[r] = true
		row := make([]float64, len(t.chance))
		for o := range row {
			row[o] = t.chance[o][w]
			shown[o] = shown[o] || row[o] > 0
		}
		rows = append(rows, row)
	}
	if repeats && t.stale && !t.once && !t.sharp {
		for o, yes := range shown {
			if yes {
				row := make([]float64, len(t.chance))
				row[o] = 1
				rows = append(rows, row)
			}
		}
	}
	return capacity(rows)
}

// finding bounds what it costs to find out which repairs are needed, by the
// information that takes.
//
// Think of being told, for nothing, at first and after each repair whether the
// machine is right, and after each repair whether it changed anything; that
// can only help. When the job ends by the proof, the repairs that changed
// something are known, so that the answers have told log2(1/q) bits, q being
// the share of the worlds that those repairs make right. A check tells at most
// its capacity. A repair is an answer of its own: by Kraft's inequality "it
// changed something" may count for free and "it did not" must be paid for, with
// lengths l and u for which 2^-l + 2^-u = 1 (and one bit more for whether the
// machine is right, unless every change makes it right). If no check tells more
// bits per cost than rate, and u is rate times the repair's own cost, then what
// is left of log2(1/q) after all l, divided by rate, is cost. Any greater rate
// is valid too; it is kept so great that l is no more than u, so that a repair
// never pays for information that a course which is then referred on has used.
type finding struct {
	m      *model
	k      *known
	pr     prices
	own    []float64 // of repairs
	rate   []float64 // bits per cost of each check; +Inf if free
	top    float64   // greatest rate
	lift   float64   // rate must be at least this
	bit    float64   // one where a change may leave the machine not right
	simple bool      // the latter never
	mass   []float64 // scratch, by set
	used   []int     // sets with mass
	cost   []float64 // scratch, by set
	byRate map[float64][]float64
}

// Lengths from which "it did not" is at least as long as "it changed
// something", without and with the bit for whether the machine is right.
var leastLength = [2]float64{1, math.Log2(3)}

func newFinding(m *model, k *known, pr prices) *finding {
	f := &finding{m: m, k: k, pr: pr, simple: true}
	f.mass = make([]float64, len(k.sets))
	f.cost = make([]float64, len(k.sets))
	f.byRate = map[float64][]float64{}
	for _, w := range m.start.b.world {
		f.simple = f.simple && k.simple[w]
	}
	if !f.simple {
		f.bit = 1
	}
	for c := range m.p.Checks {
		bits := m.tables[c].bitsOf(!f.simple)
		r := math.Inf(1)
		if own := ownOf(m.p, m.p.Checks[c].Action); own > 0 {
			r = bits / own
		} else if bits == 0 {
			r = 0
		}
		f.rate = append(f.rate, r)
		f.top = max(f.top, r)
	}
	for r := range m.p.Repairs {
		f.own = append(f.own, ownOf(m.p, m.p.Repairs[r].Action))
		if k.used[r] {
			f.lift = max(f.lift, leastLength[int(f.bit)]/f.own[r])
		}
	}
	return f
}

func ownOf(p *Problem, a Action) float64 {
	if a == NoWork {
		return 0
	}
	return float64(p.Ground.Own(a))
}

// tries are the multiples of the least valid rate that are tried.
var tries = [...]float64{1, 2, 4}

// bound is a lower bound of own costs from a belief given by its worlds and
// their chances, which sum to total; rate is the greatest of the checks that
// may still be asked.
func (f *finding) bound(world []int32, p []float64, total, rate float64) float64 {
	sure, whole, right := 0.0, f.k.tidy, 0.0
	for j, w := range world {
		if p[j] > 0 {
			sure += p[j] * f.sure(int(w))
			whole = whole && f.k.whole[w]
			if f.m.p.Right[w] {
				right += p[j]
			}
		}
	}
	rate = max(rate, f.lift)
	if !whole || math.IsInf(rate, 1) || math.IsInf(sure, 1) || rate == 0 {
		return sure
	}
	f.weigh(world, p)
	best := sure
	for _, t := range tries {
		best = max(best, f.at(world, p, total, rate*t)-total*twoWay(right/total)/(rate*t))
	}
	f.unweigh()
	return best
}

// unweigh clears what weigh added up.
func (f *finding) unweigh() {
	for _, s := range f.used {
		f.mass[s] = 0
	}
	f.used = f.used[:0]
}

// log2 is not exact for powers of two, but quick.
func log2(x float64) float64 { return math.Log(x) * (1 / math.Ln2) }

// twoWay is the entropy of two chances, in bits.
func twoWay(x float64) float64 {
	if x <= 0 || x >= 1 {
		return 0
	}
	return -x*log2(x) - (1-x)*log2(1-x)
}

// sure is what world w costs at least if it is known.
func (f *finding) sure(w int) float64 {
	best := f.pr.least[w]
	for _, x := range f.k.fixes[w] {
		best = min(best, f.k.sets[x.set].own+x.extra)
	}
	return best
}

// weigh adds up the share of worlds that each set makes right.
func (f *finding) weigh(world []int32, p []float64) {
	for j, w := range world {
		if p[j] <= 0 {
			continue
		}
		for _, x := range f.k.fixes[w] {
			if f.mass[x.set] == 0 {
				f.used = append(f.used, x.set)
			}
			f.mass[x.set] += p[j]
		}
	}
}

// at is the bound for one rate.
func (f *finding) at(world []int32, p []float64, total, rate float64) float64 {
	fixed := f.fixed(rate)
	for _, s := range f.used {
		f.cost[s] = fixed[s] + log2(max(1, total/f.mass[s]))/rate
	}
	sum := 0.0
	for j, w := range world {
		if p[j] <= 0 {
			continue
		}
		best := f.pr.least[w]
		for _, x := range f.k.fixes[w] {
			best = min(best, f.cost[x.set]+x.extra)
		}
		sum += p[j] * best
	}
	return sum
}

// fixed is, by set and for a rate, the own cost less what its repairs tell for
// nothing.
func (f *finding) fixed(rate float64) []float64 {
	if c, ok := f.byRate[rate]; ok {
		return c
	}
	c := make([]float64, len(f.k.sets))
	for s := range c {
		c[s] = f.k.sets[s].own
		for _, r := range f.k.sets[s].repairs {
			c[s] -= (freeLength(rate*f.own[r]) + f.bit) / rate
		}
	}
	f.byRate[rate] = c
	return c
}

// freeLength is the length of the answer that costs nothing when the other has
// length u.
func freeLength(u float64) float64 {
	return -log2(-math.Expm1(-u * math.Ln2))
}

// Huffman is the least average number of two-way questions, each with any
// answer, that tell apart classes with the given weights (scaled to sum to
// one). It bounds the number of checks from below where every check has two
// outcomes and finding out is all there is to do.
func Huffman(weights []float64) float64 {
	q := make(stateHeap, 0, len(weights))
	sum := 0.0
	for _, x := range weights {
		if x > 0 {
			q = append(q, stateCost{cost: x})
			sum += x
		}
	}
	heap.Init(&q)
	total := 0.0
	for len(q) > 1 {
		a := heap.Pop(&q).(stateCost).cost
		b := heap.Pop(&q).(stateCost).cost
		total += a + b
		heap.Push(&q, stateCost{cost: a + b})
	}
	if sum == 0 {
		return 0
	}
	return total / sum
}
