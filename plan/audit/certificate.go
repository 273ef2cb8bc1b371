package audit

import (
	"fmt"
	"math"

	"elbowroom/plan"
)

// certificate checks that every landmark is one, that the weights fit into
// what the acts cost, and that the sum is right and no higher than the bound.
func (r *Report) certificate(m *machine, p plan.Plan) {
	c := &p.Certificate
	if !r.sane(c, p.Bound) {
		return
	}
	weights, after := map[key]int64{}, m.followers()
	sum := c.Base
	for i, l := range c.Landmarks {
		r.landmark(m, i+1, l, weights, after)
		sum += l.Weight
	}
	if c.Sum != sum {
		r.add(0, "the certificate says that base and landmarks come to %d, and they come to %d", c.Sum, sum)
	}
	if sum > p.Bound {
		r.add(0, "the landmarks come to %d and the bound is only %d", sum, p.Bound)
	}
	if sum < p.Bound && c.Cases <= 0 {
		r.add(0, "the bound %d is above the landmarks' %d, and no further cases were searched", p.Bound, sum)
	}
	r.fits(m, weights, c.Base, after)
}

// sane reports whether no figure of the certificate is negative or above the
// bound by itself. What is not sane is not added up: the sum could overflow.
func (r *Report) sane(c *plan.Certificate, bound int64) bool {
	before := len(r.Findings)
	if c.Base < 0 || c.Base > max(bound, 0) {
		r.add(0, "the base %d is negative or above the bound %d", c.Base, bound)
	}
	for i, l := range c.Landmarks {
		if l.Weight < 0 || l.Weight > max(bound, 0) {
			r.add(0, "landmark %d has the weight %d, which is negative or above the bound %d", i+1, l.Weight, bound)
		}
	}
	if int64(len(c.Landmarks)) > math.MaxInt64/max(bound, 1)-1 {
		r.add(0, "%d landmarks under a bound of %d are more than can be added up", len(c.Landmarks), bound)
	}
	return len(r.Findings) == before
}

// landmark checks one landmark and adds its weight to each of its acts.
func (r *Report) landmark(m *machine, n int, l plan.Landmark, weights map[key]int64, after *followers) {
	seen := map[key]bool{}
	var without []int
	for _, a := range l.Acts {
		k, ok := m.keyOf(a)
		if !ok {
			r.add(0, "landmark %d names %s, which this request does not have", n, actWords(a))
			continue
		}
		if !seen[k] {
			weights[k] += l.Weight
		}
		seen[k] = true
		without = append(without, m.slots(k)...)
	}
	if m.newReach(without, after).goals() {
		r.add(0, "landmark %d is none: everything wanted can be reached without any of its %d acts", n, len(l.Acts))
	}
}

func actWords(a plan.Act) string {
	switch {
	case a.Condition != "":
		return fmt.Sprintf("change %d of %s", a.Change, a.Condition)
	case a.Tool != "":
		return "the hire of " + string(a.Tool)
	case a.Back:
		return fmt.Sprintf("the refit of %s by way %d", a.Item, a.Way)
	}
	return fmt.Sprintf("%s %s by way %d", a.Verb, a.Item, a.Way)
}

// keyOf finds the act that a landmark names.
func (m *machine) keyOf(a plan.Act) (key, bool) {
	switch {
	case a.Condition != "":
		i, ok := m.condAt[a.Condition]
		return key{byChanging, i, "", a.Change}, ok && a.Change >= 0 && a.Change < len(m.conds[i].changes)
	case a.Tool != "":
		for i := range m.gear {
			if m.gear[i].id == a.Tool {
				return key{byHiring, i, "", 0}, true
			}
		}
		return key{}, false
	case a.Verb.Clears() || a.Back:
		return m.keyOfItem(a)
	}
	for _, t := range m.tasks {
		for _, w := range t.ways {
			if w.owner == a.Item && w.index == a.Way && w.act.verb == a.Verb {
				return key{byWorking, 0, w.owner, w.index}, true
			}
		}
	}
	return key{}, false
}

func (m *machine) keyOfItem(a plan.Act) (key, bool) {
	i, ok := m.itemAt[a.Item]
	if !ok || a.Way < 0 || a.Way >= len(m.items[i].ways) {
		return key{}, false
	}
	it := &m.items[i]
	way := it.ways[a.Way]
	if way == nil || a.Verb != "" && a.Verb != way.verb {
		return key{}, false
	}
	if a.Back {
		return key{byReturning, i, "", a.Way}, it.found == way.verb
	}
	return key{byClearing, i, "", a.Way}, true
}

// price returns the objective of one direction of an act without set-up.
func (m *machine) price(e *effort) int64 {
	if m.byMinutes {
		return e.labour
	}
	return e.labour*m.rate + int64(e.parts+e.fluids)*plan.CentPerObjective + e.risk
}

// fits checks that the weights and the base do not claim more than the acts
// cost: first acts that stand alone, then tasks, items to be brought back and
// conditions, of which every plan pays for one choice.
func (r *Report) fits(m *machine, weights map[key]int64, base int64, after *followers) {
	full := m.newReach(nil, after)
	room := int64(0)
	for i := range m.gear {
		price := int64(m.gear[i].price) * plan.CentPerObjective
		if m.byMinutes {
			price = 0
		}
		r.within("the hire of "+string(m.gear[i].id), weights[key{byHiring, i, "", 0}], price)
	}
	for i := range m.items {
		room += r.itemRoom(m, full, i, weights)
	}
	for k := range m.tasks {
		room += m.taskRoom(full, k, weights)
	}
	for i := range m.conds {
		left, ok := m.walk(full, i, weights)
		if !ok {
			r.add(0, "the weights on changes of %s are more than going there and back costs", m.conds[i].id)
		}
		room += left
	}
	if base > room {
		r.add(0, "the base is %d, and after the weights every plan is sure to cost only %d more", base, room)
	}
}

func (r *Report) within(what string, weight, price int64) {
	if weight > price {
		r.add(0, "the landmarks charge %d to %s, which costs %d", weight, what, price)
	}
}

// itemRoom checks the clearing ways of an item and returns what its way back
// is sure to cost when it was found aside or off.
func (r *Report) itemRoom(m *machine, full *reach, i int, weights map[key]int64) int64 {
	it := &m.items[i]
	least := int64(math.MaxInt64)
	for k, a := range it.ways {
		if a == nil {
			continue
		}
		paid := m.price(&a.out)
		if !it.leave {
			paid += m.price(&a.back)
		}
		r.within(fmt.Sprintf("taking %s %s by way %d", it.id, a.verb, k), weights[key{byClearing, i, "", k}], paid)
		back := key{byReturning, i, "", k}
		if full.usable[a.slot+1] {
			least = min(least, m.price(&a.back)-weights[back])
		} else if it.found == a.verb {
			r.within(fmt.Sprintf("refitting %s by way %d", it.id, k), weights[back], m.price(&a.back))
		}
	}
	if it.found == "" || least == math.MaxInt64 {
		return 0
	}
	if it.leave {
		return min(0, least)
	}
	return least
}

// taskRoom returns what a task is sure to cost beyond the weights.
func (m *machine) taskRoom(full *reach, k int, weights map[key]int64) int64 {
	least := int64(math.MaxInt64)
	for _, w := range m.tasks[k].ways {
		id := key{byWorking, 0, w.owner, w.index}
		if full.usable[w.act.slot] {
			least = min(least, m.price(&w.act.out)-weights[id])
		}
	}
	if least == math.MaxInt64 {
		return 0
	}
	return least
}

// walk returns the least that the changes of a condition cost beyond the
// weights, from its start to its end, and false when a round trip would cost
// less than nothing (Bellman-Ford).
func (m *machine) walk(full *reach, i int, weights map[key]int64) (int64, bool) {
	const far = math.MaxInt64 / 4
	c := &m.conds[i]
	dist := make([]int64, len(c.values))
	for v := range dist {
		dist[v] = far
	}
	dist[c.start] = 0
	shorter := false
	for range len(c.values) + 1 {
		shorter = false
		for k := range c.changes {
			id := key{byChanging, i, "", k}
			ch := &c.changes[k]
			if !full.usable[ch.act.slot] || dist[ch.from] == far {
				continue
			}
			if d := dist[ch.from] + m.price(&ch.act.out) - weights[id]; d < dist[ch.to] {
				dist[ch.to], shorter = d, true
			}
		}
	}
	if shorter {
		return 0, false
	}
	if c.end >= 0 {
		if dist[c.end] == far {
			return 0, true
		}
		return dist[c.end], true
	}
	least := int64(far)
	for _, d := range dist {
		least = min(least, d)
	}
	return least, true
}
