package circuit

import (
	"cmp"
	"math"
	"slices"
)

// tracks settles how far to one side everything stands. A wire that passes the
// ranks between its ends gets a bend in each of them, which takes room like a
// node. Vertices are the nodes of the graph first, then the bends.
type tracks struct {
	nodes  int
	rank   []int
	lane   []float64
	before [][]int
	behind [][]int
	bends  map[int][]int // by wire
	signal map[[2]int]bool
}

// sweeps is how often the lanes are drawn towards their neighbours, from the
// front and from behind in turn.
const sweeps = 12

// tracks returns for every node and bend how far it stands beside the middle,
// in lanes: drawn to the mean of its neighbours, never less than one lane from
// the next of its rank.
func (g *Graph) tracks(rank []int) *tracks {
	t := &tracks{nodes: len(g.Nodes), rank: slices.Clone(rank), bends: map[int][]int{}, signal: map[[2]int]bool{}}
	t.before, t.behind = make([][]int, len(rank)), make([][]int, len(rank))
	for i, w := range g.Wires {
		t.wire(i, w.From.Node, w.To.Node)
		if w.From.Side == SignalSide {
			t.signal[[2]int{w.From.Node, t.behind[w.From.Node][len(t.behind[w.From.Node])-1]}] = true
		}
	}
	t.lane = make([]float64, len(t.rank))
	rows := make([][]int, slices.Max(append(slices.Clone(rank), 0))+1)
	for i, r := range t.rank {
		rows[r] = append(rows[r], i)
	}
	for _, row := range rows {
		for k, n := range row {
			t.lane[n] = float64(k) - float64(len(row)-1)/2
		}
	}
	for sweep := range sweeps {
		order := slices.Clone(rows)
		if sweep%2 == 1 {
			slices.Reverse(order)
		}
		for _, row := range order {
			t.pull(row, sweep%2 == 0)
		}
	}
	for _, row := range rows {
		t.snap(row)
	}
	return t
}

// beside is by how much n stands to one side of its neighbour m when it could:
// where a signal goes, one lane off the sensor, so that supply and ground run
// straight.
func (t *tracks) beside(m, n int) float64 {
	switch {
	case t.signal[[2]int{m, n}]:
		return -1
	case t.signal[[2]int{n, m}]:
		return 1
	}
	return 0
}

// snap moves a rank to half lanes, so that what nearly lines up does.
func (t *tracks) snap(row []int) {
	for k, n := range row {
		t.lane[n] = math.Round(2*t.lane[n]) / 2
		if k > 0 {
			t.lane[n] = max(t.lane[n], t.lane[row[k-1]]+1)
		}
	}
}

// wire ties two nodes by way of a bend in every rank between.
func (t *tracks) wire(i, from, to int) {
	last := from
	for r := t.rank[from] + 1; r < t.rank[to]; r++ {
		k := len(t.rank)
		t.rank = append(t.rank, r)
		t.before, t.behind = append(t.before, nil), append(t.behind, nil)
		t.bends[i] = append(t.bends[i], k)
		t.tie(last, k)
		last = k
	}
	t.tie(last, to)
}

func (t *tracks) tie(a, b int) {
	t.behind[a] = append(t.behind[a], b)
	t.before[b] = append(t.before[b], a)
}

// pull moves what stands in a rank towards its neighbours on one side and
// spreads it out again.
func (t *tracks) pull(row []int, forward bool) {
	wish := make(map[int]float64, len(row))
	for _, n := range row {
		neighbours := t.behind[n]
		if forward {
			neighbours = t.before[n]
		}
		wish[n] = t.lane[n]
		if len(neighbours) > 0 {
			sum := 0.0
			for _, m := range neighbours {
				sum += t.lane[m] + t.beside(m, n)
			}
			wish[n] = sum / float64(len(neighbours))
		}
	}
	slices.SortStableFunc(row, func(a, b int) int {
		return cmp.Or(cmp.Compare(wish[a], wish[b]), cmp.Compare(t.lane[a], t.lane[b]), cmp.Compare(a, b))
	})
	pushed, at := 0.0, make([]float64, len(row))
	for k, n := range row {
		at[k] = wish[n]
		if k > 0 {
			at[k] = max(at[k], at[k-1]+1)
		}
		pushed += at[k] - wish[n]
	}
	for k, n := range row { // what spreading pushed to one side is given back
		t.lane[n] = at[k] - pushed/float64(len(row))
	}
}
