package decide

import (
	"math"
	"math/bits"
	"slices"
)

// value is the least cost of a state of the simpler problem, per unit of its
// chance, or a lower bound of it.
func (t *told) value(x []float64, avail uint64, chance float64, level int) float64 {
	low, high := t.ends(x)
	need := chance / toldGrain
	if high <= low || need*(high-low) < t.big {
		return low
	}
	avail = t.telling(x, avail)
	key, i := t.find(x, avail)
	switch {
	case i >= 0 && t.state[i].need >= need:
		return t.state[i].value
	case t.steps == 0:
		t.out = true
		if i >= 0 {
			low = t.state[i].value
		}
		return low
	case i < 0:
		i = t.add(key, x, avail)
	}
	t.steps--
	low = max(low, t.state[i].value)
	if high > low && need*(high-low) >= t.big {
		low = max(low, t.apart(x, avail, chance, level))
	}
	if high > low && need*(high-low) >= t.big {
		high = t.mend(x, avail, chance, level, high)
		high = t.ask(x, avail, chance, level, high)
		low = max(low, high)
	}
	if t.out {
		need = 0
	}
	t.state[i] = toldState{low, need}
	return low
}

// ends is the cost if the world were known, and that of referring on.
func (t *told) ends(x []float64) (low, high float64) {
	high = math.Inf(1)
	for w, p := range x {
		if p > 0 {
			low += p * t.sure[w]
		}
	}
	for _, price := range t.refer {
		c := 0.0
		for w, p := range x {
			c += p * price[w]
		}
		high = min(high, c)
	}
	return low, high
}

// telling leaves out checks that behave alike in all living worlds.
func (t *told) telling(x []float64, avail uint64) uint64 {
	first := slices.IndexFunc(x, func(p float64) bool { return p > 0 })
	for left := avail; left != 0; left &= left - 1 {
		c := bits.TrailingZeros64(left)
		row := t.checks[c].row
		tells := false
		for w := first + 1; w < len(x) && !tells; w++ {
			tells = x[w] > 0 && row[w] != row[first]
		}
		if !tells {
			avail &^= 1 << c
		}
	}
	return avail
}

// mend tries the repairs.
func (t *told) mend(x []float64, avail uint64, chance float64, level int, best float64) float64 {
	for r := range t.repairs {
		rep := &t.repairs[r]
		y := t.scratch(level)
		still, right, cost, least := 0.0, 0.0, rep.own, 0.0
		moves := false
		for w, p := range x {
			if y[w] = p; p > 0 && rep.moves[w] {
				y[w], moves = 0, true
				cost += p * rep.after[w]
				if rep.right[w] {
					right += p
				}
				continue
			}
			if p > 0 {
				still += p
				least += p * t.sure[w]
			}
		}
		if !moves {
			continue
		}
		cost += min(t.proof*still, t.cheap*right)
		if cost+least >= best {
			continue
		}
		if still > 0 {
			for w := range y {
				y[w] /= still
			}
			cost += still * t.value(y, avail, chance*still, level+1)
		}
		best = min(best, cost)
	}
	return best
}

// ask tries the checks.
func (t *told) ask(x []float64, avail uint64, chance float64, level int, best float64) float64 {
	sure := 0.0
	for w, p := range x {
		if p > 0 {
			sure += p * t.sure[w]
		}
	}
	for left := avail; left != 0; left &= left - 1 {
		c := bits.TrailingZeros64(left)
		k := &t.checks[c]
		if t.twins[c]&avail != 0 || k.own+sure >= best {
			continue
		}
		cost := k.own + sure
		for _, row := range k.chance {
			y := t.scratch(level)
			sum, least := 0.0, 0.0
			for w, p := range x {
				if y[w] = p * row[w]; y[w] > 0 {
					sum += y[w]
					least += y[w] * t.sure[w]
				}
			}
			if sum <= 0 {
				continue
			}
			for w := range y {
				y[w] /= sum
			}
			cost += sum*t.value(y, avail&^(1<<c), chance*sum, level+1) - least
			if cost >= best {
				break
			}
		}
		best = min(best, cost)
	}
	return best
}

// find looks a state up.
func (t *told) find(x []float64, avail uint64) (uint64, int32) {
	key := avail*0x9E3779B97F4A7C15 ^ 14695981039346656037
	for _, p := range x {
		key ^= coarse(p)
		key *= 0x9E3779B97F4A7C15
		key ^= key >> 29
	}
	i, ok := t.at[key]
	if !ok {
		return key, -1
	}
	for ; i >= 0; i = t.next[i] {
		if t.avail[i] == avail && t.alike(i, x) {
			return key, i
		}
	}
	return key, -1
}

func (t *told) alike(i int32, x []float64) bool {
	n := len(x)
	for w, p := range t.share[int(i)*n : int(i)*n+n] {
		if coarse(p) != coarse(x[w]) {
			return false
		}
	}
	return true
}

// add writes a new state down.
func (t *told) add(key uint64, x []float64, avail uint64) int32 {
	i := int32(len(t.state))
	next := int32(-1)
	if head, ok := t.at[key]; ok {
		next = head
	}
	t.at[key] = i
	t.next = append(t.next, next)
	t.avail = append(t.avail, avail)
	t.share = append(t.share, x...)
	t.state = append(t.state, toldState{})
	return i
}

// apart is a lower bound of a state in which the living worlds other than the
// hub fall into groups that no check and no repair joins. What is done for one
// group tells nothing of another, and in the hub it is paid beside what is done
// for the others. So each group may be looked at with the hub alone, where only
// the hub's end must not be counted more than once. It is 0 where there is one
// group only.
func (t *told) apart(x []float64, avail uint64, chance float64, level int) float64 {
	if t.hub < 0 || x[t.hub] <= 0 {
		return 0
	}
	living := uint64(0)
	for w, p := range x {
		if p > 0 && w != t.hub {
			living |= 1 << w
		}
	}
	cost, groups := 0.0, 0
	for living != 0 {
		group := t.group(living&-living, living, avail)
		if group == living && groups == 0 {
			return 0
		}
		living &^= group
		groups++
		y := t.scratch(level)
		sum := 0.0
		for w, p := range x {
			if y[w] = 0; w == t.hub || group>>w&1 == 1 {
				y[w] = p
				sum += p
			}
		}
		for w := range y {
			y[w] /= sum
		}
		cost += sum * t.value(y, avail, chance*sum, level+1)
	}
	return cost - float64(groups-1)*x[t.hub]*t.end
}

// group is the set of living worlds that are joined to the given ones.
func (t *told) group(group, living, avail uint64) uint64 {
	for {
		was := group
		for i, join := range t.joins {
			if join&group != 0 && (i >= len(t.checks) || avail>>i&1 == 1) {
				group |= join & living
			}
		}
		if group == was {
			return group
		}
	}
}
