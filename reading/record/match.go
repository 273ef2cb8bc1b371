package record

import (
	"fmt"
	"math"
	"slices"
)

// Matching says under which conditions two recordings are compared: the judged
// channel, and the channels that are cut into bins. Only rows of the same bins
// are held against each other.
type Matching struct {
	Judged string // meaning
	By     []Bin
	Block  float64 // seconds of neighbouring rows that count as one value; 0 is five
}

// Bin cuts one channel into equal bins.
type Bin struct {
	Meaning string
	Width   float64 // in the unit of the channel
	Unit    string  // that Width is in; a difference of temperature is in the unit logged
}

const (
	usualBlock = 5       // seconds
	mostBlocks = 200_000 // beyond, further rows are counted and not used
	mostBins   = 4       // channels that can be matched at once
)

// Cell is one combination of bins.
type Cell [mostBins]int32

// Block is the mean of the judged channel over neighbouring rows in one cell.
type Block struct {
	Cell    Cell
	Mean    float64
	N       int
	Seconds float64
	Joined  bool // begins where the block before ended
}

// Blocks is what one recording gives for a comparison.
type Blocks struct {
	Matching Matching
	Unit     string
	Blocks   []Block
	Unused   int // rows beyond mostBlocks
	Missing  []string
	Guesses  []string
}

// matcher collects blocks row by row.
type matcher struct {
	Blocks
	judged  int
	columns []int
	width   []float64
	last    []float64
	at      []float64
	seen    []bool
	stale   []float64
	open    Block
	began   float64
	before  float64
	sum     float64
	running bool
	joined  bool
}

func newMatcher(m Matching, f *Format, mapping Mapping, stale func(int) float64) *matcher {
	k := &matcher{judged: -1}
	k.Matching = m
	find := func(meaning string) int {
		c, ok, several := mapping.Find(meaning)
		switch {
		case len(several) > 0:
			k.Missing = append(k.Missing, meaning+": "+couldBe(several))
			return -1
		case !ok || f.column(c) < 0:
			k.Missing = append(k.Missing, meaning+": no channel of the recording is known to be it")
			return -1
		case c.Guess != "":
			k.Guesses = append(k.Guesses, c.label()+": "+c.Guess)
		}
		return f.column(c)
	}
	k.judged = find(m.Judged)
	if c, ok, _ := mapping.Find(m.Judged); ok {
		k.Unit = c.In
	}
	for i, b := range m.By {
		if i == mostBins || !(b.Width > 0) {
			k.Missing = append(k.Missing, b.Meaning+": a width above 0 is needed, and at most four channels")
			continue
		}
		k.columns = append(k.columns, find(b.Meaning))
		k.width = append(k.width, b.Width)
	}
	n := len(k.columns)
	k.last, k.at, k.seen = make([]float64, n), make([]float64, n), make([]bool, n)
	for _, c := range k.columns {
		s := 0.0
		if c >= 0 {
			s = stale(c)
		}
		k.stale = append(k.stale, s)
	}
	return k
}

func (k *matcher) block() float64 {
	if k.Matching.Block > 0 {
		return k.Matching.Block
	}
	return usualBlock
}

func (k *matcher) broken() {
	k.end()
	k.running, k.joined = false, false
	clear(k.seen)
}

// row takes the next row.
func (k *matcher) row(now float64, columns [][]float64, r int) {
	if k.judged < 0 || len(k.Missing) > 0 {
		return
	}
	distance := 0.0
	if k.running {
		distance = now - k.before
	}
	k.before, k.running = now, true
	cell, ok := k.cell(now, columns, r)
	v := columns[k.judged][r]
	if !ok || v != v {
		if !ok {
			k.end()
			k.joined = false
		}
		return
	}
	if k.open.N > 0 && (cell != k.open.Cell || now-k.began >= k.block()) {
		k.end()
	}
	if k.open.N == 0 {
		k.open = Block{Cell: cell, Joined: k.joined && len(k.Blocks.Blocks) > 0 && k.Blocks.Blocks[len(k.Blocks.Blocks)-1].Cell == cell}
		k.began, k.sum = now, 0
	}
	k.sum += v
	k.open.N++
	k.open.Seconds += distance
}

// cell returns the bins that the conditions are in; false when one is unknown.
func (k *matcher) cell(now float64, columns [][]float64, r int) (cell Cell, ok bool) {
	for i, c := range k.columns {
		if v := columns[c][r]; v == v {
			k.last[i], k.at[i], k.seen[i] = v, now, true
		} else if !k.seen[i] || now-k.at[i] > k.stale[i] {
			return cell, false
		}
		bin := math.Floor(k.last[i] / k.width[i])
		if abs(bin) > math.MaxInt32 {
			return cell, false
		}
		cell[i] = int32(bin)
	}
	return cell, true
}

// end keeps the open block.
func (k *matcher) end() {
	if k.open.N == 0 {
		return
	}
	if len(k.Blocks.Blocks) < mostBlocks {
		k.open.Mean = k.sum / float64(k.open.N)
		k.Blocks.Blocks = append(k.Blocks.Blocks, k.open)
	} else {
		k.Unused += k.open.N
	}
	k.open = Block{}
	k.joined = true
}

// Difference is what changed between two recordings under matched conditions:
// after minus before.
type Difference struct {
	Outcome     string // "compared", or why not
	Unit        string
	Mean        float64
	Uncertainty float64 // standard uncertainty of Mean
	Freedom     float64
	Bins        []BinDifference // in the order of the bins
	Before      Share
	After       Share
	// Uneven is the sum of the squared differences of the bins from Mean, each
	// over its variance; about UnevenFreedom when the change is the same
	// everywhere (chi-squared).
	Uneven        float64
	UnevenFreedom int
	Guesses       []string
	Says          string
}

// Compared is the Outcome of a difference that could be had.
const Compared = "compared"

// Share says how much of a recording was matched.
type Share struct {
	Seconds float64 // with all channels known
	Matched float64 // of those, in cells that the other recording has too
	Blocks  int
	Used    int
}

// BinDifference is the difference within one cell.
type BinDifference struct {
	Low           []float64 // lower edge of each bin, in the order of Matching.By
	Before, After float64   // means
	NBefore       int       // blocks
	NAfter        int
	Mean          float64
	Uncertainty   float64
	Weight        float64 // in the overall mean, sum 1
}

// side is one recording sorted into cells.
type side struct {
	cells    map[Cell][]float64
	sum      map[Cell]float64
	seconds  map[Cell]float64
	variance float64 // of one block about the mean of its cell
	freedom  float64
}

// Compare holds two recordings against each other that were read with the same
// Matching. Within each cell that both have, the means of the blocks are
// compared; the overall difference weighs the cells so that its variance is
// least when all blocks scatter alike. The scatter of a block about the mean of
// its cell is pooled over the cells of a recording and widened by the
// correlation of neighbouring blocks of one visit to a cell.
func Compare(before, after Blocks) Difference {
	d := Difference{Unit: before.Unit, Guesses: append(slices.Clone(before.Guesses), after.Guesses...)}
	switch {
	case len(before.Missing)+len(after.Missing) > 0:
		d.Outcome = "a channel is missing: " + append(slices.Clone(before.Missing), after.Missing...)[0]
	case before.Unit != after.Unit:
		d.Outcome = fmt.Sprintf("the judged channel is in %q before and in %q after", before.Unit, after.Unit)
	case !slices.Equal(before.Matching.By, after.Matching.By) || before.Matching.Block != after.Matching.Block:
		d.Outcome = "the two were not cut into the same bins"
	}
	if d.Outcome != "" {
		d.Says = "No comparison: " + d.Outcome + "."
		return d
	}
	d.compare(before, after)
	return d
}

func (d *Difference) compare(before, after Blocks) {
	b, a := sorted(before.Blocks), sorted(after.Blocks)
	cells := common(b, a)
	d.Before, d.After = b.share(cells), a.share(cells)
	if len(cells) == 0 || b.freedom < 1 || a.freedom < 1 {
		d.Outcome = "the two have too little in common"
		d.Says = "No comparison: " + d.Outcome + "."
		return
	}
	d.Outcome = Compared
	var weights, sum, fromB, fromA float64
	for _, c := range cells {
		nb, na := float64(len(b.cells[c])), float64(len(a.cells[c]))
		w := nb * na / (nb + na)
		mb, ma := b.sum[c]/nb, a.sum[c]/na
		d.Bins = append(d.Bins, BinDifference{
			Low: edges(c, before.Matching.By), Before: mb, After: ma, NBefore: int(nb), NAfter: int(na),
			Mean: ma - mb, Uncertainty: math.Sqrt(b.variance/nb + a.variance/na), Weight: w,
		})
		weights += w
		sum += w * (ma - mb)
		fromB += w * w * b.variance / nb
		fromA += w * w * a.variance / na
	}
	d.Mean = sum / weights
	fromB, fromA = fromB/(weights*weights), fromA/(weights*weights)
	d.Uncertainty = math.Sqrt(fromB + fromA)
	if v := fromB + fromA; v > 0 { // Welch–Satterthwaite, JCGM 100 G.4.1
		d.Freedom = v * v / (fromB*fromB/b.freedom + fromA*fromA/a.freedom)
	}
	for i := range d.Bins {
		k := &d.Bins[i]
		k.Weight /= weights
		if k.Uncertainty > 0 {
			off := (k.Mean - d.Mean) / k.Uncertainty
			d.Uneven += off * off
		}
	}
	d.UnevenFreedom = len(d.Bins) - 1
	d.Says = d.sentence()
}

func (d *Difference) sentence() string {
	u := d.Unit
	if u != "" && u != "1" {
		u = " " + u
	}
	return fmt.Sprintf("After minus before is %g%s with a standard uncertainty of %g%s, over %d matched conditions: %.0f of %.0f s before, %.0f of %.0f s after.",
		rounded(d.Mean), u, rounded(d.Uncertainty), u, len(d.Bins), d.Before.Matched, d.Before.Seconds, d.After.Matched, d.After.Seconds)
}

func edges(c Cell, by []Bin) []float64 {
	var low []float64
	for i, b := range by {
		low = append(low, float64(c[i])*b.Width)
	}
	return low
}

// sorted puts blocks into their cells and pools their scatter.
func sorted(blocks []Block) *side {
	s := &side{cells: map[Cell][]float64{}, sum: map[Cell]float64{}, seconds: map[Cell]float64{}}
	for _, b := range blocks {
		s.cells[b.Cell] = append(s.cells[b.Cell], b.Mean)
		s.sum[b.Cell] += b.Mean
		s.seconds[b.Cell] += b.Seconds
	}
	var squares, neighbours float64
	pairs := 0
	before := 0.0
	for _, b := range blocks {
		off := b.Mean - s.sum[b.Cell]/float64(len(s.cells[b.Cell]))
		squares += off * off
		if b.Joined {
			neighbours += off * before
			pairs++
		}
		before = off
	}
	s.freedom = float64(len(blocks) - len(s.cells))
	if s.freedom < 1 || squares == 0 {
		return s
	}
	hang := 0.0
	if pairs > 1 {
		hang = neighbours/float64(pairs)/(squares/float64(len(blocks))) + 1/float64(len(blocks))
	}
	wide := widened(blocks, min(mostHang, max(0, hang)))
	s.variance = squares / s.freedom * wide
	s.freedom = max(1, s.freedom/wide)
	return s
}

// widened returns by how much the variance of a mean of blocks exceeds that of
// independent ones, when neighbours in one visit to a cell correlate by hang and
// forget geometrically: for a visit of m blocks 1 + 2 Σ (1 − k/m) hang^k.
func widened(blocks []Block, hang float64) float64 {
	sum, m := 0.0, 0
	end := func() {
		power := 1.0
		sum += float64(m)
		for k := 1; k < m && power > hangForgotten; k++ {
			power *= hang
			sum += 2 * float64(m-k) * power
		}
	}
	for _, b := range blocks {
		if !b.Joined {
			end()
			m = 0
		}
		m++
	}
	end()
	return sum / float64(len(blocks))
}

// hangForgotten is the correlation below which it no longer counts.
const hangForgotten = 1e-6

// common returns the cells that both have, in order.
func common(b, a *side) []Cell {
	var cells []Cell
	for c := range b.cells {
		if len(a.cells[c]) > 0 {
			cells = append(cells, c)
		}
	}
	slices.SortFunc(cells, func(x, y Cell) int { return slices.Compare(x[:], y[:]) })
	return cells
}

// share says how much of a side lies in the given cells.
func (s *side) share(cells []Cell) Share {
	var sh Share
	order := make([]Cell, 0, len(s.cells))
	for c := range s.cells {
		order = append(order, c)
	}
	slices.SortFunc(order, func(x, y Cell) int { return slices.Compare(x[:], y[:]) })
	for _, c := range order { // in order: sums of floats depend on it
		sh.Seconds += s.seconds[c]
		sh.Blocks += len(s.cells[c])
	}
	for _, c := range cells {
		sh.Matched += s.seconds[c]
		sh.Used += len(s.cells[c])
	}
	return sh
}
