package record

import (
	"math"
	"slices"

	"elbowroom/quantity"
)

const (
	// batches is how many means of neighbouring values are kept; when they
	// are full, pairs are joined.
	batches = 128
	// kept is how many values are kept for the median; when they are full,
	// every second is let go.
	kept = 1024
	// mostHang bounds the correlation of neighbouring batches that is allowed
	// for: beyond it the stretch is too short to tell.
	mostHang = 0.95
)

// Stats are what a channel did in a stretch. Numbers are in Unit.
type Stats struct {
	Channel string  // meaning, or the name in the file
	Unit    string  // name in package quantity; empty when it is not known
	N       int     // values
	First   float64 // value
	Mean    float64 // of the values
	Least   float64
	Most    float64
	Median  float64
	Scatter float64 // standard deviation of the values
	Robust  float64 // the same from the median of the distances to Median, which a few spikes do not move
	Noise   float64 // standard deviation of one value by the differences of neighbours
	Step    float64 // resolution seen, 0 when none
	// Uncertainty is the standard uncertainty of Mean: from the means of
	// batches of neighbouring values, so that values that hang together count
	// as fewer, and from the resolution (a rectangle of one Step).
	Uncertainty float64
	Batch       float64 // the part of Uncertainty that comes from the scatter of the batches
	Freedom     float64 // its degrees of freedom
	Effective   float64 // independent values whose mean would scatter by Batch
	Slope       float64 // change per second, by a straight line; of a judged channel only
	SlopeU      float64 // its standard uncertainty
	Low         float64 // share of the values that were tested with a low R: swinging
}

// Value returns a number of the channel with its unit; zero when the unit is
// not known.
func (s Stats) Value(number float64) quantity.Value {
	if s.Unit == "" {
		return quantity.Value{}
	}
	return quantity.Of(number, s.Unit)
}

// Swings reports whether the channel swings to and fro from value to value.
func (s Stats) Swings() bool { return s.Low > lowShare }

// robust makes the median of the distances to the median a standard deviation:
// 1/Φ⁻¹(0.75), for normal values.
const robust = 1.482602

// gather collects the values of one channel of a stretch in little memory.
type gather struct {
	n            int
	base         float64 // the first value, taken off so that squares keep their digits
	sum, squares float64
	least, most  float64
	before       float64   // the value before, off base
	differences  float64   // sum of the squared differences of neighbours
	means        []float64 // sums of size values each, off base
	size         int
	open         float64 // sum of the batch that is filling
	in           int     // values in it
	sample       []float64
	every        int
}

func (g *gather) reset() {
	*g = gather{means: g.means[:0], sample: g.sample[:0], size: 1, every: 1, least: math.Inf(1), most: math.Inf(-1)}
}

func (g *gather) add(v float64) {
	if g.n == 0 {
		g.base = v
	}
	d := v - g.base
	g.sum += d
	g.squares += d * d
	if g.n > 0 {
		g.differences += (d - g.before) * (d - g.before)
	}
	g.before = d
	g.least, g.most = min(g.least, v), max(g.most, v)
	if g.n%g.every == 0 {
		if len(g.sample) == kept {
			g.thin()
		}
		if g.n%g.every == 0 {
			g.sample = append(g.sample, v)
		}
	}
	g.n++
	g.open += d
	if g.in++; g.in == g.size {
		g.means = append(g.means, g.open)
		g.open, g.in = 0, 0
		if len(g.means) == batches {
			g.join()
		}
	}
}

// thin lets every second kept value go.
func (g *gather) thin() {
	for i := range kept / 2 {
		g.sample[i] = g.sample[2*i]
	}
	g.sample = g.sample[:kept/2]
	g.every *= 2
}

// join adds up pairs of batches.
func (g *gather) join() {
	for i := range batches / 2 {
		g.means[i] = g.means[2*i] + g.means[2*i+1]
	}
	g.means = g.means[:batches/2]
	g.size *= 2
}

// stats returns what was gathered.
func (g *gather) stats(step float64) Stats {
	s := Stats{N: g.n, Step: step}
	if g.n == 0 {
		return s
	}
	n := float64(g.n)
	s.Mean = g.base + g.sum/n
	s.First, s.Least, s.Most = g.base, g.least, g.most
	s.Median = median(slices.Clone(g.sample))
	far := slices.Clone(g.sample)
	for i := range far {
		far[i] = abs(far[i] - s.Median)
	}
	s.Robust = robust * median(far)
	if g.n > 1 {
		s.Scatter = math.Sqrt(max(0, (g.squares-g.sum*g.sum/n)/(n-1)))
		s.Noise = math.Sqrt(g.differences / (2 * (n - 1)))
	}
	u, freedom := g.uncertainty()
	rounding := step / math.Sqrt(12)
	s.Uncertainty = math.Sqrt(u*u + rounding*rounding)
	s.Batch, s.Freedom = u, freedom
	s.Effective = n
	if u > 0 {
		s.Effective = min(n, max(1, s.Scatter*s.Scatter/(u*u)))
	}
	return s
}

// median sorts values and returns their middle.
func median(values []float64) float64 {
	slices.Sort(values)
	return (values[(len(values)-1)/2] + values[len(values)/2]) / 2
}

// uncertainty is the standard uncertainty of the mean from the scatter of the
// batch means, widened by the correlation of neighbouring batches as for a
// process that forgets geometrically, (1+ρ)/(1−ρ).
func (g *gather) uncertainty() (u, freedom float64) {
	k := float64(len(g.means))
	if k < 2 {
		return 0, 0
	}
	size := float64(g.size)
	mean := 0.0
	for _, m := range g.means {
		mean += m / size
	}
	mean /= k
	var squares, neighbours float64
	for i, m := range g.means {
		d := m/size - mean
		squares += d * d
		if i > 0 {
			neighbours += d * (g.means[i-1]/size - mean)
		}
	}
	if squares == 0 {
		return 0, k - 1
	}
	// neighbours/squares is biased by about -1/k towards swinging
	hang := min(mostHang, max(0, neighbours/squares+1/k))
	wide := (1 + hang) / (1 - hang)
	return math.Sqrt(squares / (k - 1) / k * wide), max(1, (k-1)/wide)
}
