package access

import (
	"time"

	"elbowroom/plan"
)

// Holds says for every way that the best plan takes how long it may take
// before another plan is better, and for every other way that could serve the
// visit below how many minutes it becomes worth while. Minutes are hands-on,
// out and back together, people counted; under the money objective a minute
// costs the rate. Ways come in the order of the plan, then in guide order.
// There are none when the visit has no plan.
//
// The figures follow from solving again, once without each way of the plan and
// once with each other way forced: every plan with the way rises and falls
// with its minutes, every plan without it stays.
func (p *Planner) Holds(req plan.Request, lim Limits) ([]plan.Hold, error) {
	if err := p.check(req); err != nil {
		return nil, err
	}
	lim = lim.latched()
	best := solve(p.compile(req, false).m, lim)
	if best.cost >= far {
		return nil, nil
	}
	h := &holder{p: p, req: req, lim: lim, m: best.m, best: best.solution()}
	h.taken()
	h.others()
	return h.list, nil
}

type holder struct {
	p    *Planner
	req  plan.Request
	lim  Limits
	m    *model
	best solution
	used []int32 // by way: how often the plan takes it
	list []plan.Hold
}

func (h *holder) taken() {
	h.used = make([]int32, len(h.m.ways))
	var order []int32
	for _, a := range h.best.acts {
		if a.kind != doClear && a.kind != doTask {
			continue
		}
		if h.used[a.way]++; h.used[a.way] == 1 {
			order = append(order, a.way)
		}
	}
	for _, n := range order {
		if h.stopped() {
			return
		}
		other := h.m.without(func(o int32) bool { return o == n }, h.lim)
		hold := h.hold(n)
		hold.Taken = true
		if other.outcome == plan.Impossible {
			hold.Always, hold.Proved = true, true
		} else {
			// A plan that takes the way k times rises k times as fast.
			slack := (min(other.cost, other.bound) - h.best.cost) / int64(h.used[n])
			hold.Until = hold.Now + h.minutes(max(0, slack))
			hold.Proved = other.outcome == plan.Optimal && h.best.outcome == plan.Optimal && h.used[n] == 1
		}
		h.list = append(h.list, hold)
	}
}

func (h *holder) others() {
	for n := range h.m.ways {
		if h.used[n] > 0 || h.m.ways[n].out.hands+h.m.ways[n].back.hands == 0 || h.stopped() {
			continue
		}
		hold := h.hold(int32(n))
		forced := h.p.forced(h.req, hold.Act)
		if forced == nil {
			continue
		}
		s := solve(forced, h.lim).solution()
		if s.cost >= far {
			continue
		}
		slack := min(s.bound, s.cost) - h.best.cost
		hold.Until = hold.Now - h.minutes(slack)
		hold.Proved = s.outcome == plan.Optimal && h.best.outcome == plan.Optimal
		if hold.Until < 0 {
			hold.Until, hold.Always = 0, true
		}
		h.list = append(h.list, hold)
	}
}

func (h *holder) stopped() bool { return stopped(h.lim.Stop) }

func (h *holder) hold(n int32) plan.Hold {
	y := &h.m.ways[n]
	return plan.Hold{
		Act: plan.Act{Item: y.owner, Verb: y.verb, Way: int(y.index), Change: -1},
		Now: millis(y.out.hands + y.back.hands),
	}
}

// minutes turns an amount of the objective into hands-on minutes. Without a
// rate minutes cost nothing and no number of them matters.
func (h *holder) minutes(objective int64) time.Duration {
	if !h.m.cost.byMoney {
		return millis(objective)
	}
	if h.m.cost.rate == 0 {
		return 0
	}
	return millis(objective / h.m.cost.rate)
}
