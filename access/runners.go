package access

import (
	"cmp"
	"slices"

	"elbowroom/guide"
	"elbowroom/plan"
)

// bigShare is the share of a plan's objective from which on a person would
// call an item that comes off a feature of the plan: one in bigShare.
const bigShare = 12

// feature is what makes a plan a different one in a person's eyes: a task done
// from one place, or a big item cleared from one place.
type feature struct {
	task int32 // none for an item
	item guide.ID
	from int32
}

// RunnersUp returns up to n plans that differ from the best one, and from each
// other, in a way a person would call different: a task by a way from another
// place, or without taking off some big item. They come cheapest first. Each
// is the best plan that does without some feature of every plan before it, so
// that no plan is passed over; its outcome says whether that is proved.
func (p *Planner) RunnersUp(req plan.Request, n int, lim Limits) ([]plan.Alternative, error) {
	if err := p.check(req); err != nil {
		return nil, err
	}
	lim = lim.latched()
	best := solve(p.compile(req, false).m, lim)
	if best.cost >= far {
		return nil, nil
	}
	r := &runners{m: best.m, lim: lim}
	r.branch(nil, best.solution())
	return r.collect(best.solution(), n), nil
}

// runners keeps the branches: choices that do without some features.
type runners struct {
	m      *model
	lim    Limits
	open   []branch
	tried  [][]feature
	solved int
}

type branch struct {
	without []feature
	found   solution
}

// maxBranches bounds how many cut-down models are solved.
const maxBranches = 200

// branch adds one branch for every feature of the plan found.
func (r *runners) branch(without []feature, s solution) {
	for _, f := range r.features(s) {
		next := append(slices.Clone(without), f)
		slices.SortFunc(next, compareFeatures)
		if slices.ContainsFunc(r.tried, func(o []feature) bool { return slices.Equal(o, next) }) || r.solved >= maxBranches || stopped(r.lim.Stop) {
			continue
		}
		r.tried = append(r.tried, next)
		r.solved++
		found := r.m.without(func(n int32) bool { return r.m.hasFeature(n, next) }, r.lim)
		if found.cost < far {
			r.open = append(r.open, branch{next, found})
		}
	}
}

func compareFeatures(a, b feature) int {
	return cmp.Or(cmp.Compare(a.task, b.task), cmp.Compare(a.item, b.item), cmp.Compare(a.from, b.from))
}

// hasFeature reports whether the way is one of those that make up a feature.
func (m *model) hasFeature(n int32, list []feature) bool {
	y := &m.ways[n]
	return slices.ContainsFunc(list, func(f feature) bool {
		return f.task == y.task && f.from == y.place && (f.task != none || f.item == y.owner)
	})
}

// features lists the features of a plan.
func (r *runners) features(s solution) []feature {
	var list []feature
	for _, a := range s.acts {
		if a.kind != doClear && a.kind != doTask {
			continue
		}
		y := &s.m.ways[a.way]
		if a.kind == doClear && (y.out.objective+y.back.objective)*bigShare < s.cost {
			continue
		}
		f := feature{task: y.task, from: y.place}
		if a.kind == doClear {
			f.item = y.owner
		}
		if !slices.Contains(list, f) {
			list = append(list, f)
		}
	}
	slices.SortFunc(list, compareFeatures)
	return list
}

// collect takes the cheapest branches with new sets of features.
func (r *runners) collect(best solution, n int) []plan.Alternative {
	if len(r.open) == 0 || stopped(r.lim.Stop) {
		return nil
	}
	seen := [][]feature{r.features(best)}
	baseCost := best.plan(r.lim.Stop).Cost
	baseUses := best.m.uses(best.acts)
	var out []plan.Alternative
	for len(out) < n && len(r.open) > 0 && !stopped(r.lim.Stop) {
		at := 0
		for i := range r.open {
			if r.open[i].found.cost < r.open[at].found.cost {
				at = i
			}
		}
		b := r.open[at]
		r.open = slices.Delete(r.open, at, at+1)
		own := r.features(b.found)
		if !slices.ContainsFunc(seen, func(o []feature) bool { return slices.Equal(o, own) }) {
			seen = append(seen, own)
			q := b.found.plan(r.lim.Stop)
			out = append(out, plan.Alternative{Plan: q, Extra: q.Cost.Less(baseCost), Differs: differences(b.found.m.uses(b.found.acts), baseUses)})
		}
		r.branch(b.without, b.found)
	}
	return out
}
