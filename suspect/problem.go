package suspect

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/span"
	"elbowroom/suspect/decide"
)

// Bounds of the decision problem that is made out of a case.
const (
	// keepShare is the share from which a world is kept as one of its own; the
	// rest goes to what is not listed. Every verdict makes the problem anew, so
	// that a world left out comes back when its share grows.
	keepShare = 0.02
	// keepWorlds bounds the worlds that are kept, the likeliest first.
	keepWorlds = 8
	// tells is the difference that a check must make between two worlds, in
	// the chance of some outcome, to be worth asking.
	tells = 0.05
	// tellsBits is the information, in bits, that a check must give to be worth
	// asking next.
	tellsBits = 0.03
	// keepChecks bounds the checks: those that tell most are kept.
	keepChecks = 16
	// searchNodes bounds the search where no limits are given.
	searchNodes = 20_000
)

// Work steers how a case is made into a decision problem.
type Work struct {
	Options
	Proof  guide.ID   `json:"proof,omitempty"`  // check that proves the repair; empty: see Problem
	Cannot []guide.ID `json:"cannot,omitempty"` // checks that cannot be made here
	Depth  int        `json:"depth,omitempty"`  // of the decision tree to be laid out; 0 means 2
	// Comeback is what it costs when the machine comes back because the proof
	// passed although a fault was left. 0 means that nobody has said so; then
	// the proof is taken to miss nothing. Less than referring on makes it pay to
	// hand over what is not repaired, and the search slow.
	Comeback money.Amount `json:"comeback,omitempty"`
	// Limits bound the search. Where they are zero it opens 20000 places at
	// most, which takes about half a second; an answer that was stopped there
	// says what another course could save.
	Limits decide.Limits `json:"-"`
	// Flips asks how far shares and assumed odds may move before the next step
	// changes, and from which share the likeliest repair pays without a check.
	// It solves the problem some tens of times more.
	Flips bool `json:"flips,omitempty"`
}

// Problem is a case as a decision problem.
type Problem struct {
	Belief  *Belief
	Worlds  [][]guide.ID // faults of each world of Decide; Unlisted among them
	Lost    float64      // weight of worlds that were left out and now counts as not listed
	Actions []Action     // by decide.Action
	Results [][]Result   // by check of Decide: its outcomes
	Decide  decide.Problem
	Notes   []string
	asks    []int // by check of Decide: its action
	mends   []int // by repair of Decide: its action
	shop    Shop
	model   *model
}

// Result is one outcome of a check, as it can be expected.
type Result struct {
	Says   string     `json:"says"`             // "passes", "only SE13 fails"
	Passes bool       `json:"passes,omitempty"` // the whole check
	Fails  []guide.ID `json:"fails,omitempty"`  // parts that fail, where parts are told apart
}

// Frame makes the decision problem of a case: worlds that are likely enough
// (see Problem.Lost), the checks that tell them apart and were not asked yet,
// the repairs of their faults, the proof, and to refer on. The closing proof is
// the check named in w; else a check that failed in this job and is made with
// everything fitted; else one that failed and needs nothing open; else looking
// for the complaint itself. The error is a span.List as of Believe, or what
// the shop says.
func Frame(c Case, shop Shop, w Work) (*Problem, error) {
	b, err := Believe(c, w.Options)
	if err != nil {
		return nil, err
	}
	m, err := prepare(c, w.Options)
	if err != nil {
		return nil, err
	}
	if err := m.known(w); err != nil {
		return nil, err
	}
	p := &Problem{Belief: b, shop: shop, model: m}
	sets, weights := p.keep()
	p.ask(sets, weights, w)
	p.mend(sets)
	m.price(p.Actions, shop)
	p.end(m.closing(w.Proof), sets, w.Comeback)
	p.Decide.Worlds = weights
	for _, set := range sets {
		p.Worlds = append(p.Worlds, m.names(set))
		p.Decide.Right = append(p.Decide.Right, len(set) == 0)
	}
	ground, err := shop.Ground(p.Actions)
	if err != nil {
		return nil, err
	}
	p.Decide.Ground = p.withSpares(ground)
	return p, p.Decide.Validate()
}

// known checks the names in w.
func (m *model) known(w Work) error {
	var list span.List
	look := func(where string, id guide.ID) {
		if m.r.Check(id) == nil {
			list = append(list, span.Finding{Rule: "work", Where: where, Text: string(id), Says: fmt.Sprintf("the guide has no check %s", id), Do: "name a check of the guide"})
		}
	}
	if w.Proof != "" {
		look("proof", w.Proof)
	}
	for i, id := range w.Cannot {
		look(fmt.Sprintf("cannot[%d]", i), id)
	}
	if len(list) > 0 {
		return list
	}
	return nil
}

// keep chooses the worlds. Every subset of a kept world is a world too, since
// a repair may lead there; so is "nothing wrong any more".
func (p *Problem) keep() ([][]int, []float64) {
	m := p.model
	var sets [][]int
	var weights []float64
	at := map[[mostFaults]int]int{}
	add := func(set []int, weight float64) {
		key := [mostFaults]int{-1, -1, -1}
		copy(key[:], set)
		i, ok := at[key]
		if !ok {
			i = len(sets)
			at[key], sets, weights = i, append(sets, slices.Clone(set)), append(weights, 0)
		}
		weights[i] += weight
	}
	n := 0
	for _, w := range p.Belief.Worlds {
		if n >= keepWorlds || w.Share < keepShare {
			p.Lost += w.Share
			continue
		}
		set := make([]int, len(w.Faults))
		for i, id := range w.Faults {
			set[i] = m.byID[id]
		}
		add(set, w.Share)
		n++
	}
	add([]int{m.other()}, p.Lost)
	for i := 0; i < len(sets); i++ {
		for leave := range sets[i] {
			add(slices.Delete(slices.Clone(sets[i]), leave, leave+1), 0)
		}
	}
	return sets, rounded(weights)
}

// weightUnit is the grain of the weights of worlds: a power of two, so that
// shares add up to 1 without any rounding and may be moved up to 1 exactly.
const weightUnit = 1.0 / (1 << 40)

// rounded returns the weights as whole multiples of weightUnit that sum to 1;
// the largest takes what rounding leaves over.
func rounded(weights []float64) []float64 {
	left, largest := int64(1)<<40, 0
	out := make([]float64, len(weights))
	for w, x := range weights {
		units := int64(math.Round(x / weightUnit))
		left -= units
		out[w] = float64(units) * weightUnit
		if x > weights[largest] {
			largest = w
		}
	}
	out[largest] += float64(left) * weightUnit
	return out
}

// ask adds the checks that tell the worlds apart and that a fault of some world
// names. A check that was made
// already is asked no more: its answer stands until a repair moves it.
func (p *Problem) ask(sets [][]int, weights []float64, w Work) {
	type question struct {
		action  Action
		results []Result
		chance  [][]float64
		unsure  []decide.Bracket
		gain    float64
	}
	var list []question
	for i := range p.model.r.Guide.Checks {
		c := &p.model.r.Guide.Checks[i]
		if p.model.asked[c.ID] || slices.Contains(w.Cannot, c.ID) {
			continue
		}
		k := p.model.checkOf(c.ID)
		if !names(k, sets) {
			continue
		}
		results, chance := p.model.outcomes(k, sets)
		bits := gain(chance, weights)
		if !differs(chance, weights) || bits < tellsBits {
			continue
		}
		a := Action{Sort: CheckAction, Check: c.ID, Name: checkName(c)}
		if k.assumed {
			a.Assumed = append(a.Assumed, "how surely it fails, because the guide has no odds for it")
		}
		list = append(list, question{a, results, chance, p.model.unsure(k, sets), bits})
	}
	if len(list) > keepChecks {
		byGain := slices.Clone(list)
		slices.SortStableFunc(byGain, func(a, b question) int { return cmp.Compare(b.gain, a.gain) })
		least := byGain[keepChecks-1].gain
		p.Notes = append(p.Notes, fmt.Sprintf("of %d checks that tell the suspects apart, the %d that tell most are weighed", len(list), keepChecks))
		list = slices.DeleteFunc(list, func(q question) bool { return q.gain < least })
	}
	for _, q := range list {
		for _, b := range q.unsure {
			b.Check = len(p.Decide.Checks)
			p.Decide.Unsure = append(p.Decide.Unsure, b)
		}
		p.asks = append(p.asks, len(p.Actions))
		p.Decide.Checks = append(p.Decide.Checks, decide.Check{Action: decide.Action(len(p.Actions)), Chance: q.chance})
		p.Results = append(p.Results, q.results)
		p.Actions = append(p.Actions, q.action)
	}
}

// names reports whether a check is named for a fault of some world; one that
// is only thought to be seen by it is not worth asking.
func names(k *checkModel, sets [][]int) bool {
	return slices.ContainsFunc(k.links, func(l link) bool {
		return !l.kin && slices.ContainsFunc(sets, func(set []int) bool { return slices.Contains(set, l.hyp) })
	})
}

// differs reports whether some outcome is likelier in one world that weighs
// something than in another.
func differs(chance [][]float64, weights []float64) bool {
	for _, row := range chance {
		low, high := 1.0, 0.0
		for w, x := range row {
			if weights[w] > 0 {
				low, high = min(low, x), max(high, x)
			}
		}
		if high-low >= tells {
			return true
		}
	}
	return false
}

// gain returns the information that a check gives, in bits.
func gain(chance [][]float64, weights []float64) float64 {
	total := 0.0
	for _, x := range weights {
		total += x
	}
	bits := 0.0
	for _, row := range chance {
		all := 0.0
		for w, x := range row {
			all += weights[w] / total * x
		}
		for w, x := range row {
			if x > 0 && weights[w] > 0 {
				bits += weights[w] / total * x * math.Log2(x/all)
			}
		}
	}
	return bits
}

// mend adds the repairs of every fault of the worlds.
func (p *Problem) mend(sets [][]int) {
	var hyps []int
	for _, set := range sets {
		hyps = append(hyps, set...)
	}
	slices.Sort(hyps)
	for _, a := range p.model.repairsOf(slices.Compact(hyps)) {
		r := decide.Repair{Action: decide.Action(len(p.Actions)), To: make([]int, len(sets))}
		for w, set := range sets {
			left := slices.DeleteFunc(slices.Clone(set), func(h int) bool { return slices.Contains(a.Faults, p.model.hyps[h].id) })
			r.To[w] = slices.IndexFunc(sets, func(s []int) bool { return slices.Equal(s, left) })
		}
		p.mends = append(p.mends, len(p.Actions))
		p.Decide.Repairs = append(p.Decide.Repairs, r)
		p.Actions = append(p.Actions, a)
	}
}

// end adds the proof and referring on. Without a price for coming back nothing
// can be said for or against handing over too early, and the proof is taken to
// miss nothing.
func (p *Problem) end(proof Action, sets [][]int, comeback money.Amount) {
	p.Decide.Proof.Action = decide.Action(len(p.Actions))
	if comeback > 0 {
		p.Decide.Proof.Comeback = p.shop.Units(comeback)
		for _, set := range sets {
			pass := 1.0
			if len(set) > 0 {
				pass = p.model.a.ProofMissed.Middle
			}
			p.Decide.Proof.Pass = append(p.Decide.Proof.Pass, pass)
		}
	}
	p.Actions = append(p.Actions, proof)
	p.Decide.Escapes = []decide.Escape{{Price: p.shop.Units(p.shop.Refer())}}
}

// withSpares adds the price of spares to the cost of repairs.
func (p *Problem) withSpares(g decide.Ground) decide.Ground {
	extra := make([]int64, len(p.Actions))
	some := false
	for i, a := range p.Actions {
		extra[i] = p.shop.Units(a.Spares)
		some = some || extra[i] != 0
	}
	if !some {
		return g
	}
	return spared{g, extra}
}

// spared is a Ground whose actions cost something more wherever they are done.
type spared struct {
	decide.Ground
	extra []int64
}

// Do adds the price to every alternative.
func (g spared) Do(s decide.State, a decide.Action) []decide.Move {
	moves := slices.Clone(g.Ground.Do(s, a))
	for i := range moves {
		moves[i].Cost += g.extra[a]
	}
	return moves
}

// Own adds the price to what is paid from every state.
func (g spared) Own(a decide.Action) int64 { return g.Ground.Own(a) + g.extra[a] }

// outcomes returns what a check can show, and how likely in each world. A
// check of several parts shows which one fails, or that several do; parts that
// no world tells from each other are put together.
func (m *model) outcomes(k *checkModel, sets [][]int) ([]Result, [][]float64) {
	if len(k.parts) == 0 {
		pass, fail := make([]float64, len(sets)), make([]float64, len(sets))
		for w, set := range sets {
			pass[w] = k.avoids(linked(k, set), setting{}, 0, true)
			fail[w] = 1 - pass[w]
		}
		return []Result{{Says: "passes", Passes: true}, {Says: "fails"}}, [][]float64{pass, fail}
	}
	rows := make([][]float64, len(k.parts)+2) // passes, only part i, several
	for o := range rows {
		rows[o] = make([]float64, len(sets))
	}
	all := k.allParts()
	for w, set := range sets {
		present := linked(k, set)
		pass := k.avoids(present, setting{}, all, false)
		left := 1 - pass
		rows[0][w] = pass
		for i := range k.parts {
			only := max(0, min(left, k.avoids(present, setting{}, all&^(1<<i), false)-pass))
			rows[i+1][w] = only
			left -= only
		}
		rows[len(rows)-1][w] = left
	}
	return joined(k, rows)
}

// joined puts parts together that no world tells from each other.
func joined(k *checkModel, rows [][]float64) ([]Result, [][]float64) {
	results := []Result{{Says: "passes", Passes: true}}
	chance := [][]float64{rows[0]}
	for i, part := range k.parts {
		row := rows[i+1]
		at := slices.IndexFunc(chance[1:], func(r []float64) bool { return alike(r, row) }) + 1
		if at == 0 {
			results = append(results, Result{Fails: []guide.ID{part}})
			chance = append(chance, slices.Clone(row))
			continue
		}
		results[at].Fails = append(results[at].Fails, part)
	}
	for o := 1; o < len(results); o++ {
		n := float64(len(results[o].Fails))
		for w := range chance[o] {
			chance[o][w] *= n
		}
		names := make([]string, len(results[o].Fails))
		for i, id := range results[o].Fails {
			names[i] = string(id)
		}
		results[o].Says = "only " + strings.Join(names, " or ") + " fails"
		if n > 1 {
			results[o].Says = "one of " + strings.Join(names, ", ") + " fails"
		}
	}
	last := rows[len(rows)-1]
	for w := range last { // what rounding left over
		sum := 0.0
		for _, row := range chance {
			sum += row[w]
		}
		last[w] = max(0, 1-sum)
	}
	return append(results, Result{Says: "several fail", Fails: slices.Clone(k.parts)}), append(chance, last)
}

// sameRow is how far two chances may differ that count as equal.
const sameRow = 1e-12

func alike(a, b []float64) bool {
	for w := range a {
		if math.Abs(a[w]-b[w]) > sameRow {
			return false
		}
	}
	return true
}

// linked returns the faults of a world that a check depends on.
func linked(k *checkModel, set []int) []int {
	var out []int
	for _, h := range set {
		if slices.ContainsFunc(k.links, func(l link) bool { return l.hyp == h }) {
			out = append(out, h)
		}
	}
	return out
}

// unsure returns the brackets of a check whose odds are assumed: the chance
// that it passes, for every world of one fault that it names.
func (m *model) unsure(k *checkModel, sets [][]int) []decide.Bracket {
	if !k.assumed {
		return nil
	}
	type ends struct{ low, high float64 }
	by := map[ends][]int{}
	var order []ends
	for w, set := range sets {
		if len(set) != 1 {
			continue
		}
		r := k.leak
		if i := slices.IndexFunc(k.links, func(l link) bool { return l.hyp == set[0] }); i >= 0 {
			r = k.links[i].fails
		}
		e := ends{1 - r.High, 1 - r.Low}
		if e.low == e.high {
			continue
		}
		if by[e] == nil {
			order = append(order, e)
		}
		by[e] = append(by[e], w)
	}
	var out []decide.Bracket
	for _, e := range order {
		out = append(out, decide.Bracket{Outcome: 0, Worlds: by[e], Low: e.low, High: e.high})
	}
	return out
}
