package access

import (
	"slices"
	"sync"
	"sync/atomic"

	"elbowroom/guide"
	"elbowroom/plan"
)

// reachStates limits the search behind one row of the table when the caller
// sets no limit.
const reachStates = 3000

// Reach prices every other task of the guide when added to the visit: what
// the visit costs more, whether that is proved, and whether the rest of the
// visit is done differently then. Rows come in guide order, items before
// checks. A row whose task cannot be done together with the rest is
// Impossible; when the visit itself has no plan there are no rows. Stop is
// asked from several goroutines at once.
func (p *Planner) Reach(req plan.Request, lim Limits) ([]plan.Reach, error) {
	if err := p.check(req); err != nil {
		return nil, err
	}
	lim = lim.latched()
	base := solve(p.compile(req, false).m, lim)
	if base.cost >= far {
		return nil, nil
	}
	if lim.Nodes == 0 {
		lim.Nodes = reachStates
	}
	r := &reacher{p: p, req: req, lim: lim, base: base.solution(), uses: base.m.uses(base.acts)}
	_, r.cost = base.m.write(base.acts, lim.Stop)
	return r.all(p.candidates(req)), nil
}

// reachWorkers is how many rows are priced at a time. Rows do not depend on
// each other, so that their number changes nothing but the time.
const reachWorkers = 4

// all prices every task; those that the time did not reach come back as Limit.
func (r *reacher) all(tasks []plan.Task) []plan.Reach {
	rows := make([]plan.Reach, len(tasks))
	var next atomic.Int64
	var done sync.WaitGroup
	for range reachWorkers {
		done.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= len(tasks) {
					return
				}
				if stopped(r.lim.Stop) {
					rows[i] = plan.Reach{Task: tasks[i], Outcome: plan.Limit}
					continue
				}
				rows[i] = r.row(tasks[i])
			}
		})
	}
	done.Wait()
	return rows
}

type reacher struct {
	p    *Planner
	req  plan.Request
	lim  Limits
	base solution
	cost plan.Cost
	uses []use
}

// row prices one more task.
func (r *reacher) row(t plan.Task) plan.Reach {
	req := r.req
	req.Tasks = append(slices.Clip(req.Tasks), t)
	o := solve(r.p.compile(req, false).m, r.lim)
	row := plan.Reach{Task: t, Outcome: o.outcome()}
	if o.cost >= far {
		return row
	}
	_, cost := o.m.write(o.acts, r.lim.Stop)
	row.Extra = cost.Less(r.cost)
	row.AtLeast = min(o.bound, o.cost) - r.base.cost
	if r.base.outcome != plan.Optimal && row.Outcome == plan.Optimal {
		row.Outcome = plan.Bounded
	}
	for _, d := range differences(o.m.uses(o.acts), r.uses) {
		if d.Task >= len(r.req.Tasks) {
			continue
		}
		row.Differs = append(row.Differs, d)
		row.Changes = row.Changes || d.Sort == plan.OtherWay || d.Sort == plan.LeftOn
	}
	return row
}

// candidates lists every task of the guide that the request does not have.
func (p *Planner) candidates(req plan.Request) []plan.Task {
	var tasks []plan.Task
	add := func(t plan.Task) {
		same := func(o plan.Task) bool { return o.Verb == t.Verb && o.On == t.On }
		if !slices.ContainsFunc(req.Tasks, same) {
			tasks = append(tasks, t)
		}
	}
	for i := range p.r.Items {
		it := &p.r.Items[i]
		for k := range it.Ways {
			w := &it.Ways[k]
			first := slices.IndexFunc(it.Ways, func(o guide.Way) bool { return o.Do == w.Do && p.r.Fits(o.For) })
			if !w.Do.Clears() && first == k {
				add(plan.Task{Verb: w.Do, On: it.ID})
			}
		}
	}
	for i := range p.r.Guide.Checks {
		add(plan.Task{Verb: guide.Measure, On: p.r.Guide.Checks[i].ID})
	}
	return tasks
}
