package app

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"elbowroom/estimate"
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
	"elbowroom/plan/audit"
	"elbowroom/quantity"
)

// LaterAdvice says of parts in reach whether to replace them now or later.
type LaterAdvice struct {
	Rows     []LaterRow
	Now      estimate.Sum // net, what doing the advised ones now adds to the visit
	Saves    estimate.Sum // net, against leaving all of them, on average
	Complete bool         // false: not every part in reach could be looked at
	Horizons []string     // what the machine is to serve, in words
	Unknown  []string     // parts in reach whose age is not known
}

// LaterRow is the advice on one part.
type LaterRow struct {
	Task plan.Task
	Text string // "Replace the ignition coil 6 (IG06)"
	Item *guide.Item
	estimate.Verdict
	Unit   string
	Basis  string // where the life comes from
	AgeOf  string // "96100 km, that of the machine"
	Extra  estimate.Sum
	Keeps  string // horizon in words
	Advice string // one sentence
	Even   string // break-even life in words
}

// known is how long a part lasts, and how that is known.
type known struct {
	life  estimate.Life
	unit  string
	basis string
}

// wishes are what a person said about lives, ages and how long the machine is
// to serve.
type wishes struct {
	lives map[guide.ID]known
	ages  map[guide.ID]quantity.Value
	keep  map[quantity.Dimension]quantity.Value
	fails estimate.Sum // what a failure costs beside its repair
}

// usualKeep is how much longer a machine is to serve where nobody says.
var usualKeep = []quantity.Value{quantity.Of(60_000, "km"), quantity.Of(36, "months")}

// wishes reads them. Errors wrap ErrInput and name the field.
func (c *quoter) wishes() (wishes, error) {
	w := wishes{lives: map[guide.ID]known{}, ages: map[guide.ID]quantity.Value{}, keep: map[quantity.Dimension]quantity.Value{}}
	if text := c.q.Ask.Fails; text != "" {
		m, err := money.Parse(text)
		if err != nil || m < 0 {
			return w, wrongField("failure", "%q is not a price, such as 150.00", text)
		}
		w.fails = c.q.Terms.Currency.From(m)
	}
	for _, v := range usualKeep {
		w.keep[v.Dimension()] = v
	}
	for _, text := range c.q.Ask.Keep {
		v, err := spanOf(text)
		if err != nil {
			return w, wrongField("keep", "%q: %v", text, err)
		}
		w.keep[v.Dimension()] = v
	}
	for _, text := range c.q.Ask.Ages {
		id, rest, err := c.about("age", text)
		if err != nil {
			return w, err
		}
		if w.ages[id], err = spanOf(rest); err != nil {
			return w, wrongField("age", "%q: %v", text, err)
		}
	}
	for _, text := range c.q.Ask.Lives {
		id, rest, err := c.about("life", text)
		if err != nil {
			return w, err
		}
		if w.lives[id], err = enteredLife(rest); err != nil {
			return w, wrongField("life", "%q: %v", text, err)
		}
	}
	return w, nil
}

// about reads "IG06=...".
func (c *quoter) about(field, text string) (guide.ID, string, error) {
	name, rest, ok := strings.Cut(text, "=")
	id := guide.ID(strings.TrimSpace(name))
	if !ok || strings.TrimSpace(rest) == "" {
		return "", "", wrongField(field, "%q: write the item, = and the value, such as IG06=%s", text, map[string]string{"age": "40000 km", "life": "160000 km/90000 km"}[field])
	}
	if c.r.Item(id) == nil {
		id = guide.ID(strings.ToUpper(string(id)))
	}
	if c.r.Item(id) == nil {
		return "", "", wrongField(field, "%s", notOne(c.r, strings.TrimSpace(name), c.r.Find(name)))
	}
	return id, rest, nil
}

// spanOf reads a distance or a time above nothing.
func spanOf(text string) (quantity.Value, error) {
	v, err := quantity.Parse(strings.TrimSpace(text))
	if err != nil {
		return v, err
	}
	if d := v.Dimension(); d != quantity.Distance && d != quantity.Time || !(v.Number > 0) || math.IsInf(v.SI(), 0) {
		return v, fmt.Errorf("write a distance or a time above nothing, such as 60000 km or 36 months")
	}
	return v, nil
}

// enteredLife reads "160000 km/90000 km": half last longer than the first, one
// in ten is gone before the second.
func enteredLife(text string) (known, error) {
	half, early, ok := strings.Cut(text, "/")
	if !ok {
		return known{}, fmt.Errorf("write the life that half outlast and the one that one in ten does not reach, such as 160000 km/90000 km")
	}
	a, err := spanOf(half)
	if err != nil {
		return known{}, err
	}
	b, err := spanOf(early)
	if err != nil {
		return known{}, err
	}
	if b, err = b.In(a.Unit); err != nil {
		return known{}, err
	}
	l, err := estimate.Entered(a.Number, b.Number)
	return known{l, a.Unit, "as entered"}, err
}

// later advises on the parts in reach. It is nil when no life of any is known.
func (c *quoter) later(w wishes, allowed allowance) (*LaterAdvice, error) {
	found := c.candidates(w)
	if len(found) == 0 {
		return nil, nil
	}
	others, err := c.planner.Reach(c.req, allowed.until(reachShare).limits())
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	out := &LaterAdvice{Complete: true}
	var near []*candidate
	for _, o := range others {
		f := found[o.Task.String()]
		if f == nil || o.Outcome != plan.Optimal && o.Outcome != plan.Bounded {
			continue
		}
		alone, ok, err := c.visitCost(nil, []plan.Task{f.task}, allowed)
		if err != nil {
			return nil, err
		}
		f.extra, f.alone = c.q.Terms.Currency.From(o.Extra.Money), alone
		if !ok || float64(f.extra) > inReach*float64(alone) {
			continue
		}
		if f.part.Age < 0 {
			out.Unknown = append(out.Unknown, itemName(c.r, f.item.ID))
			continue
		}
		f.part.Part, f.part.Later = f.spare(c), alone+f.spare(c)+w.fails
		near = append(near, f)
	}
	return out, c.decide(out, near, allowed)
}

// inReach is the share of its own visit that a part's way in may still cost
// now to count as being in reach.
const inReach = 0.5

// candidate is a part in reach whose life is known.
type candidate struct {
	task         plan.Task
	item         *guide.Item
	known        known
	part         estimate.Exposed // Age below zero: not known
	age, keeps   string
	extra, alone estimate.Sum
}

// gain is how much of the later way in could be saved at most, for picking the
// handful that is looked at.
func (f *candidate) gain() float64 {
	p := f.part
	return float64(p.Later)*(p.Life.Failures(p.Age, p.Horizon)-p.Life.Failures(0, p.Horizon)) - float64(p.Part+f.extra)
}

// spare is the price of what a replacement puts in.
func (f *candidate) spare(c *quoter) (sum estimate.Sum) {
	for _, g := range c.goods(f.item.Parts, true) {
		sum += c.q.Terms.Currency.From(g.Price)
	}
	return sum
}

// candidates are the items with a known life that can be replaced and are not
// yet part of the visit, by task.
func (c *quoter) candidates(w wishes) map[string]*candidate {
	out := map[string]*candidate{}
	for i := range c.r.Items {
		it := &c.r.Items[i]
		t := plan.Task{Verb: guide.Replace, On: it.ID}
		wanted := slices.ContainsFunc(c.req.Tasks, func(o plan.Task) bool { return o.Verb == t.Verb && o.On == t.On })
		if wanted || !slices.ContainsFunc(it.Ways, func(x guide.Way) bool { return x.Do == guide.Replace }) {
			continue
		}
		k, ok := c.lifeOf(it, w)
		if !ok {
			continue
		}
		f := &candidate{task: t, item: it, known: k}
		f.part = estimate.Exposed{Name: string(it.ID), Life: k.life}
		f.part.Age, f.age = c.ageOf(it, k.unit, w)
		f.part.Horizon, f.keeps = horizon(k.unit, w)
		if f.part.Horizon > 0 {
			out[t.String()] = f
		}
	}
	return out
}

func horizon(unit string, w wishes) (float64, string) {
	for _, v := range w.keep {
		if in, err := v.In(unit); err == nil {
			return in.Number, v.String()
		}
	}
	return 0, ""
}

// ageOf returns the age of a part in the unit of its life, -1 when it is not
// known: as a person said, else as the machine itself.
func (c *quoter) ageOf(it *guide.Item, unit string, w wishes) (float64, string) {
	if v, ok := w.ages[it.ID]; ok {
		if in, err := v.In(unit); err == nil {
			return in.Number, v.String()
		}
	}
	if c.machine != nil && !c.machine.Distance.Zero() {
		if in, err := c.machine.Distance.In(unit); err == nil && in.Number >= 0 {
			return in.Number, c.machine.Distance.String() + ", that of the machine"
		}
	}
	return -1, ""
}

// decide chooses among the handful with most to gain.
func (c *quoter) decide(out *LaterAdvice, near []*candidate, allowed allowance) error {
	slices.SortStableFunc(near, func(a, b *candidate) int { return cmp.Compare(b.gain(), a.gain()) })
	if len(near) > estimate.MostExposed {
		near, out.Complete = near[:estimate.MostExposed], false
	}
	parts := make([]estimate.Exposed, len(near))
	for i, f := range near {
		parts[i] = f.part
	}
	base := c.q.Terms.Currency.From(c.q.Answer.Plan.Cost.Money())
	var failed error
	d := estimate.Decide(parts, func(set []int) (estimate.Sum, bool) {
		var more []plan.Task
		for _, i := range set {
			more = append(more, near[i].task)
		}
		whole, ok, err := c.visitCost(c.req.Tasks, more, allowed)
		if err != nil {
			failed = err
		}
		return max(0, whole-base), ok && err == nil
	})
	if failed != nil {
		return failed
	}
	out.Complete = out.Complete && d.Complete
	out.Saves = d.None - d.Cost
	for i, v := range d.Verdicts {
		out.Rows = append(out.Rows, c.laterRow(near[i], v))
		if v.Now {
			out.Now += v.Part + v.Access
		}
		if !slices.Contains(out.Horizons, near[i].keeps) {
			out.Horizons = append(out.Horizons, near[i].keeps)
		}
	}
	slices.SortStableFunc(out.Rows, func(a, b LaterRow) int { return cmp.Compare(b.Saving(), a.Saving()) })
	return nil
}

// visitCost plans a visit with further tasks and prices its way; it is false
// when there is no such visit or the time was too short to find it.
func (c *quoter) visitCost(tasks, more []plan.Task, allowed allowance) (estimate.Sum, bool, error) {
	req := c.req
	req.Tasks = slices.Concat(tasks, more)
	p, err := c.planner.Plan(req, allowed.limits())
	if err != nil {
		return 0, false, fmt.Errorf("%w: %w", ErrInput, err)
	}
	if p.Outcome != plan.Optimal && p.Outcome != plan.Bounded {
		return 0, false, nil
	}
	if report := audit.Check(c.r, req, p); !report.OK() {
		return 0, false, fmt.Errorf("%w: %w", ErrAudit, report.Err())
	}
	return c.q.Terms.Currency.From(p.Cost.Money()), true, nil
}

// leastFailures is how many failures of its own a workshop must have seen
// before its history is fitted without what the guide says.
const leastFailures = 5

// guideWorth is how many failures the life in a guide counts for beside the
// workshop's own history.
const guideWorth = 4

// lifeOf says how long an item lasts: as a person said, as the workshop's own
// history has it, as the guide says, or the last two together.
func (c *quoter) lifeOf(it *guide.Item, w wishes) (known, bool) {
	if k, ok := w.lives[it.ID]; ok {
		return k, true
	}
	wear := c.wearOf(it)
	unit := "km"
	if wear != nil {
		unit = wear.Life.Unit
	}
	seen, failures := c.seen(it, unit)
	if failures >= leastFailures {
		if f, err := estimate.FitLife(seen); err == nil {
			return known{f.Life, unit, fmt.Sprintf("fitted to %d failures here", failures)}, true
		}
	}
	if wear == nil {
		return known{}, false
	}
	k := known{estimate.Life{Scale: wear.Life.Number, Shape: wear.Shape}, unit, "from the guide"}
	if k.life.Valid() != nil {
		return known{}, false
	}
	if len(seen) > 0 {
		k.life = estimate.Temper(k.life, guideWorth, seen)
		k.basis = fmt.Sprintf("from the guide and %d seen here", len(seen))
	}
	return k, true
}

// wearOf returns the wear of an item's own fault that is repaired by replacing
// it, else that of an item of the same kind.
func (c *quoter) wearOf(it *guide.Item) *guide.Wear {
	var own, kin *guide.Wear
	for i := range c.r.Guide.Faults {
		f := &c.r.Guide.Faults[i]
		if f.Wear == nil || f.Task != nil && f.Task.Verb != guide.Replace {
			continue
		}
		switch other := c.r.Item(f.On); {
		case f.Task != nil && f.Task.On == it.ID, f.On == it.ID:
			own = shorter(own, f.Wear)
		case other != nil && other.Kind != "" && other.Kind == it.Kind:
			kin = shorter(kin, f.Wear)
		}
	}
	if own != nil {
		return own
	}
	return kin
}

// shorter returns the wear with the shorter life.
func shorter(a, b *guide.Wear) *guide.Wear {
	if a == nil || b.Life.SI() < a.Life.SI() {
		return b
	}
	return a
}

// seen gathers the workshop's history of an item, its kind and its parts.
func (c *quoter) seen(it *guide.Item, unit string) (out []estimate.Seen, failures int) {
	if c.app.workshop == nil {
		return nil, 0
	}
	for _, l := range c.app.workshop.Lives {
		mine := l.Of == it.ID || it.Kind != "" && l.Of == it.Kind || slices.ContainsFunc(it.Parts, func(u guide.Use) bool { return u.What == l.Of })
		age, err := l.Age.In(unit)
		if !mine || err != nil {
			continue
		}
		out = append(out, estimate.Seen{Age: age.Number, Failed: l.Failed, Count: l.Count})
		if l.Failed {
			failures += max(1, l.Count)
		}
	}
	return out, failures
}

func (c *quoter) laterRow(f *candidate, v estimate.Verdict) LaterRow {
	row := LaterRow{
		Task: f.task, Text: taskText(c.r, f.task), Item: f.item, Verdict: v, Unit: f.known.unit,
		Basis: f.known.basis, AgeOf: f.age, Extra: v.Part + v.Access, Keeps: f.keeps,
	}
	odds := OddsText(v.Life.FailWithin(v.Age, v.Horizon))
	if v.Now {
		row.Advice = fmt.Sprintf("Better now. Fails within %s: %s; it then costs %s instead of %s.", f.keeps, odds, c.q.Text(v.Later), c.q.Text(row.Extra))
	} else {
		row.Advice = fmt.Sprintf("Better later. Fails within %s: %s; too seldom for %s more now.", f.keeps, odds, c.q.Text(row.Extra))
	}
	if v.BreakEven > 0 {
		row.Even = fmt.Sprintf("Now pays where half of them fail before %s; here half fail before %s.", ageText(v.BreakEven, row.Unit), ageText(v.Life.Typical(), row.Unit))
	} else {
		row.Even = "No life is so short that replacing it now would pay."
	}
	return row
}

// ageText prints an age rounded to two figures: "210 000 km".
func ageText(x float64, unit string) string {
	if x <= 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return "0 " + unit
	}
	step := math.Pow(10, math.Floor(math.Log10(x))-1)
	return quantity.Value{Number: math.Round(x/step) * step, Unit: unit}.String()
}
