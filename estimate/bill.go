package estimate

import (
	"slices"
	"time"

	"elbowroom/money"
)

// Terms are what a shop charges and how.
type Terms struct {
	Currency    Currency
	Rate        money.PerHour // labour
	WaitRate    money.PerHour // a bay that stands still
	Consumables money.PerHour // cleaner, grease, rags: for each hour of labour
	Tax         Percent
}

// Sort is the sort of a line of a bill.
type Sort string

// The sorts, in the order of a bill.
const (
	Labour     Sort = "labour"
	Standing   Sort = "waiting"
	Spare      Sort = "part"
	OnceOnly   Sort = "single-use part"
	Liquid     Sort = "fluid"
	Small      Sort = "consumables"
	Hired      Sort = "hire"
	Allowance  Sort = "allowance"
	Unexpected Sort = "risk" // a risk that came true; never on a quote
)

var sorts = []Sort{Labour, Standing, Spare, OnceOnly, Liquid, Small, Hired, Allowance, Unexpected}

// Line is one line of a bill.
type Line struct {
	Sort  Sort
	What  string
	Count float64       // pieces or litres; 0 for none
	Litre bool          //
	Time  time.Duration // of labour and waiting
	Known bool          // false: nobody has written the price down, and the sum is 0
	Sum   Sum
}

// Bill is lines with their total. Net is the sum of the lines, Total that of
// Net and Tax: what is printed adds up.
type Bill struct {
	Lines []Line
	Net   Sum
	Tax   Sum
	Total Sum
}

// Add makes a bill of lines, in the order of their sorts; tax is worked out
// once, on the net sum.
func (t Terms) Add(lines []Line) Bill {
	b := Bill{Lines: slices.Clone(lines)}
	slices.SortStableFunc(b.Lines, func(x, y Line) int { return slices.Index(sorts, x.Sort) - slices.Index(sorts, y.Sort) })
	for _, l := range b.Lines {
		b.Net += l.Sum
	}
	b.Tax = t.Tax.Of(b.Net)
	b.Total = b.Net + b.Tax
	return b
}

// LineNames are the words of the lines that a bill makes itself.
type LineNames struct {
	WayIn, Work, PutBack, Setup, Waiting, Consumables string
}

// Bill makes the bill of a visit at its average times, without risks: labour
// by phase, what is used, what is hired, waiting.
func (v Visit) Bill(names LineNames) Bill {
	t := v.Terms
	phases := []Phase{WayIn, Work, PutBack}
	spent := make([]time.Duration, len(phases)+1)
	var goods []Line
	for _, op := range v.Ops {
		spent[max(0, slices.Index(phases, op.Phase))] += op.Hands.Mean
		spent[len(phases)] += op.Setup
		for _, g := range slices.Concat(op.Goods, op.Hire) {
			goods = addGood(goods, t.Currency, g)
		}
	}
	var lines []Line
	for i, s := range t.Currency.Split(t.Rate, spent) {
		if spent[i] > 0 {
			what := []string{names.WayIn, names.Work, names.PutBack, names.Setup}[i]
			lines = append(lines, Line{Sort: Labour, What: what, Time: spent[i], Known: true, Sum: s})
		}
	}
	avg := v.Average()
	if avg.Waiting > 0 {
		lines = append(lines, Line{Sort: Standing, What: names.Waiting, Time: avg.Waiting, Known: true, Sum: t.Currency.Labour(t.WaitRate, avg.Waiting)})
	}
	if t.Consumables > 0 && avg.Hands > 0 {
		lines = append(lines, Line{Sort: Small, What: names.Consumables, Known: true, Sum: t.Currency.Labour(t.Consumables, avg.Hands)})
	}
	return t.Add(append(lines, goods...))
}

// addGood adds a good to the line of its kind.
func addGood(lines []Line, c Currency, g Good) []Line {
	i := slices.IndexFunc(lines, func(l Line) bool { return l.Sort == g.Sort && l.What == g.Name && l.Known == g.Known })
	if i < 0 {
		return append(lines, Line{Sort: g.Sort, What: g.Name, Count: g.Count, Litre: g.Litre, Known: g.Known, Sum: c.From(g.Price)})
	}
	lines[i].Count += g.Count
	lines[i].Sum += c.From(g.Price)
	return lines
}

// RiskLine is a risk with what it costs.
type RiskLine struct {
	Risk
	IfItDoes Sum // net, when it comes true
	Expected Sum // its share on average, net
}

// Risks lists the risks of a visit with their prices, in the order of the
// operations. A risk that nobody has seen yet is left out.
func (v Visit) Risks() []RiskLine {
	var out []RiskLine
	for _, op := range v.Ops {
		for _, r := range op.Risks {
			if r.Odds() == 0 {
				continue
			}
			c := v.Terms.Currency
			whole := c.Labour(v.Terms.Rate, r.Minutes) + c.From(r.Price)
			out = append(out, RiskLine{r, whole, rounded(float64(whole) * r.Odds())})
		}
	}
	return out
}

// Fixed turns a bill into one with a fixed price: an allowance for what may
// come on top brings the total to the price, with tax, that is kept in four of
// five cases. It never lowers the price.
func (v Visit) Fixed(b Bill, run Run, what string) Bill {
	net := rounded(float64(run.Price.P80) / v.Terms.Tax.Factor())
	if net <= b.Net {
		return b
	}
	return v.Terms.Add(append(slices.Clone(b.Lines), Line{Sort: Allowance, What: what, Known: true, Sum: net - b.Net}))
}

// Reached says when a limit, with tax, is reached on average.
type Reached struct {
	Op    int           // index of the operation during which it is reached; -1 when it is not
	After time.Duration // elapsed time at the beginning of that operation
	Odds  float64       // probability that it is reached at all
}

// Reach says when the limit is reached on the average path, and how probably
// it is reached at all.
func (v Visit) Reach(limit Sum, run Run) Reached {
	out := Reached{Op: -1}
	if n := len(run.Over); n > 0 {
		out.Odds = run.Over[n-1]
	}
	w := walker{v: &v}
	for i := range v.Ops {
		before := w.elapsed
		w.do(&v.Ops[i], v.Ops[i].Hands.Mean)
		if w.net*v.Terms.Tax.Factor() > float64(limit) {
			out.Op, out.After = i, before
			break
		}
	}
	return out
}
