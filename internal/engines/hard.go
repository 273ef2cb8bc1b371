package engines

import (
	"fmt"

	"elbowroom/guide"
	"elbowroom/plan"
)

// hardRate is the labour rate of the larger families, minor units an hour.
const hardRate = 8400

// Hard returns a machine of deep layers: every item has one to four ways of
// one to three items each from the two or three layers above it, and up to six
// tasks lie in the deepest quarter. There are no conditions, places or tools,
// and nothing that was cleared can get in the way of anything, so only the
// choice of ways matters. items is the number of items, at least 8.
func Hard(seed uint64, items int) Case {
	d := newDice(0x4a2d, seed)
	items = max(items, 8)
	layers := min(max(3, items/12), 24)
	g := &guide.Guide{Format: guide.Format, ID: "hard", Currency: "EUR"}
	first := make([]int, layers+1) // first item of each layer
	for k := range first {
		first[k] = items * k / layers
	}
	for k := range layers {
		for i := first[k]; i < first[k+1]; i++ {
			it := guide.Item{ID: itemID(i), Name: "item"}
			for range d.between(1, 4) {
				it.Ways = append(it.Ways, hardWay(d, first, k))
			}
			it.Ways = append(it.Ways, guide.Way{Do: guide.Replace, Needs: hardWay(d, first, k).Needs, Out: d.minutes(1, 5)})
			g.Items = append(g.Items, it)
		}
	}
	req := plan.Request{Rate: hardRate, By: plan.ByMoney}
	deep := first[layers-max(1, layers/4)]
	for _, i := range some(d, indexes(deep, items), 1, 6) {
		req.Tasks = append(req.Tasks, plan.Task{Verb: guide.Replace, On: itemID(i)})
	}
	return Case{Name: fmt.Sprintf("hard %d of %d", seed, items), Guide: g, Request: req}
}

// hardWay returns an off way of layer k with one to three needs from the
// layers above.
func hardWay(d dice, first []int, k int) guide.Way {
	w := guide.Way{Do: guide.Off, Out: d.minutes(0, 9), Back: d.minutes(0, 9)}
	if k == 0 {
		return w
	}
	above := indexes(first[max(0, k-d.between(1, 3))], first[k])
	var ids []guide.ID
	for _, i := range some(d, above, 1, 3) {
		ids = append(ids, itemID(i))
	}
	w.Needs = needs(ids, never)
	return w
}

func indexes(from, to int) []int {
	var list []int
	for i := from; i < to; i++ {
		list = append(list, i)
	}
	return list
}
