package estimate

import (
	"math"
	"slices"
)

// Exposed is a part that the present visit leaves within reach. Money is in
// minor units, without tax.
type Exposed struct {
	Name string
	Life Life
	Age  float64
	Part Sum // the new part
	// Later is what a visit of its own costs when the part has failed: the
	// full way in, the part, and what a failure costs beside.
	Later   Sum
	Horizon float64 // how much longer the machine is to serve, in the unit of the life
	// Chosen says that the customer wants it done in any case.
	Chosen bool
}

// MostExposed is how many parts are chosen among at once; every combination is
// looked at.
const MostExposed = 6

// Verdict is what is advised for one part, with the figures behind it.
type Verdict struct {
	Exposed
	Now     bool
	Access  Sum     // way in to it now, on top of the rest of what is done now
	Kept    float64 // expected failures over the horizon if it stays
	Renewed float64 // the same if it is replaced now
	CostNow Sum     // part, access and later failures as new
	CostRun Sum     // later failures at its present age
	// BreakEven is the typical life (half last longer) at which both cost the
	// same, with the scatter as given: above it, later; below it, now. It is 0
	// when no life makes replacing now worth while.
	BreakEven float64
}

// Saving is what replacing now saves on average; negative when it costs.
func (v Verdict) Saving() Sum { return v.CostRun - v.CostNow }

// Decision is the best choice among the exposed parts.
type Decision struct {
	Verdicts []Verdict
	Cost     Sum // of the choice: parts and access now, failures later
	None     Sum // of replacing nothing but what was chosen anyway
	Looked   int // combinations that were priced
	Complete bool
}

// Decide chooses which of the exposed parts to replace now, together. access prices the work of a set of
// them (indexes, rising) on top of the present visit, without the parts; it
// says false when that set cannot be done or priced. Parts beyond MostExposed
// are left out and Complete is false. A set without price is passed over.
func Decide(parts []Exposed, access func(set []int) (Sum, bool)) Decision {
	d := decider{access: access, complete: len(parts) <= MostExposed, known: map[int]priced{}}
	d.parts = parts[:min(len(parts), MostExposed)]
	for _, p := range d.parts {
		d.kept = append(d.kept, p.Life.Failures(p.Age, p.Horizon))
		d.renewed = append(d.renewed, p.Life.Failures(0, p.Horizon))
	}
	return d.decide()
}

type priced struct {
	cost Sum
	ok   bool
}

// decider looks at sets as bit masks.
type decider struct {
	parts         []Exposed
	access        func([]int) (Sum, bool)
	kept, renewed []float64
	known         map[int]priced
	complete      bool
}

func (d *decider) decide() Decision {
	must, may := 0, 0
	for i, p := range d.parts {
		switch {
		case p.Chosen:
			must |= 1 << i
		case d.alone(i) > 0:
			may |= 1 << i
		}
	}
	best, bestCost := must, d.total(must)
	out := Decision{None: bestCost.cost, Complete: d.complete}
	for set := 0; set < 1<<len(d.parts); set++ {
		if set&must != must || set&^(must|may) != 0 || set == must {
			continue
		}
		if c := d.total(set); c.ok && (!bestCost.ok || c.cost < bestCost.cost) {
			best, bestCost = set, c
		}
	}
	out.Cost = bestCost.cost
	for i := range d.parts {
		out.Verdicts = append(out.Verdicts, d.verdict(i, best))
	}
	for _, k := range d.known {
		out.Complete = out.Complete && k.ok
	}
	out.Looked = len(d.known)
	return out
}

// alone is what replacing a part now would save if getting at it cost nothing:
// where that is not above nothing, no set gains by it, since way in never gets
// cheaper by doing more.
func (d *decider) alone(i int) float64 {
	p := d.parts[i]
	return float64(p.Later)*(d.kept[i]-d.renewed[i]) - float64(p.Part)
}

// way prices the way in to a set once.
func (d *decider) way(set int) priced {
	if set == 0 {
		return priced{0, true}
	}
	if k, ok := d.known[set]; ok {
		return k
	}
	var list []int
	for i := range d.parts {
		if set>>i&1 == 1 {
			list = append(list, i)
		}
	}
	cost, ok := d.access(slices.Clip(list))
	d.known[set] = priced{cost, ok}
	return d.known[set]
}

// total is everything that a set costs, now and later.
func (d *decider) total(set int) priced {
	w := d.way(set)
	sum := float64(w.cost)
	for i, p := range d.parts {
		if set>>i&1 == 1 {
			sum += float64(p.Part) + float64(p.Later)*d.renewed[i]
		} else {
			sum += float64(p.Later) * d.kept[i]
		}
	}
	return priced{rounded(sum), w.ok}
}

func (d *decider) verdict(i, best int) Verdict {
	p := d.parts[i]
	v := Verdict{Exposed: p, Now: best>>i&1 == 1, Kept: d.kept[i], Renewed: d.renewed[i]}
	with, without := d.way(best|1<<i), d.way(best&^(1<<i))
	if !with.ok || !without.ok {
		v.CostRun = rounded(float64(p.Later) * v.Kept)
		return v
	}
	v.Access = with.cost - without.cost
	v.CostNow = p.Part + v.Access + rounded(float64(p.Later)*v.Renewed)
	v.CostRun = rounded(float64(p.Later) * v.Kept)
	v.BreakEven = breakEven(p, float64(p.Part+v.Access))
	return v
}

// Bounds of the lives between which a break-even is looked for, as multiples of
// age and horizon together, and how finely.
const (
	longestLife  = 50.0
	shortestLife = 0.05
	lifeTries    = 160
)

// breakEven returns the longest typical life at which replacing now costs no
// more than waiting.
func breakEven(p Exposed, now float64) float64 {
	gain := func(scale float64) float64 {
		l := Life{scale, p.Life.Shape}
		return float64(p.Later)*(l.Failures(p.Age, p.Horizon)-l.Failures(0, p.Horizon)) - now
	}
	span := p.Age + p.Horizon
	if span <= 0 || p.Later <= 0 {
		return 0
	}
	step := math.Pow(shortestLife/longestLife, 1.0/lifeTries)
	high := span * longestLife
	for range lifeTries {
		low := high * step
		if gain(low) >= 0 {
			for range 50 {
				if mid := (low + high) / 2; gain(mid) >= 0 {
					low = mid
				} else {
					high = mid
				}
			}
			return Life{low, p.Life.Shape}.Typical()
		}
		high = low
	}
	return 0
}
