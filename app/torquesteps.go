package app

import (
	"maps"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/joint"
	"elbowroom/plan"
	"elbowroom/workshop"
)

// torqueMaker collects the lines of a sheet.
type torqueMaker struct {
	torqueTerms
	r       *guide.Resolved
	shop    *workshop.Workshop // nil when there is none
	owned   []joint.Wrench
	differs map[guide.ID]*guide.Resolved // of items that are of another variant on this machine
	s       *TorqueSheet
	undone  map[guide.ID]int // item that stands undone, and the step that undid it
}

func (a *App) torqueMaker(r *guide.Resolved, machine *workshop.Machine, variant string, k torqueTerms) *torqueMaker {
	m := &torqueMaker{
		torqueTerms: k, r: r, shop: a.workshop, undone: map[guide.ID]int{}, differs: map[guide.ID]*guide.Resolved{},
		s: &TorqueSheet{Guide: r.Guide, Resolved: r, Machine: machine, Variant: variant, Day: k.day, Unit: k.unit, Deference: deference},
	}
	if m.shop != nil {
		m.owned = m.shop.Wrenches()
	}
	if machine != nil {
		for _, e := range machine.Exceptions {
			m.differs[e.Item] = otherVariant(r, e.Variant)
			m.except(e.Item)
		}
	}
	return m
}

// except notes in which respects the machine differs in an item.
func (m *torqueMaker) except(id guide.ID) {
	if m.s.Machine == nil {
		return
	}
	for _, e := range m.s.Machine.Exceptions {
		if e.Item == id {
			m.s.Exceptions = append(m.s.Exceptions, itemName(m.r, id)+": "+e.Says)
		}
	}
}

// otherVariant returns the guide as it would be resolved with some choices of
// the variant changed, for asking which facts hold.
func otherVariant(r *guide.Resolved, s guide.Selector) *guide.Resolved {
	x := *r
	x.Variant = maps.Clone(r.Variant)
	for _, c := range s {
		for _, axis := range r.Guide.Axes {
			for _, v := range axis.Values {
				if (c.Axis == "" || c.Axis == axis.ID) && slices.Contains(c.Values, v.ID) {
					x.Variant[axis.ID] = v.ID
				}
			}
		}
	}
	return &x
}

// joints returns the joints of an item on this machine.
func (m *torqueMaker) joints(it *guide.Item) []guide.Joint {
	r := m.r
	if other := m.differs[it.ID]; other != nil {
		r = other
	}
	return slices.DeleteFunc(slices.Clone(it.Joints), func(j guide.Joint) bool { return !r.Fits(j.For) })
}

// steps follows the plan and adds every joint that is tightened, in the order
// in which that happens.
func (m *torqueMaker) steps(ans *Answer) {
	for _, f := range ans.Request.Found {
		m.undone[f.Item] = 0
	}
	for i := range ans.Steps {
		line := &ans.Steps[i]
		undone, tightened := touched(m.r, line)
		if _, off := m.undone[line.Step.Item]; off && line.Step.Kind == plan.Do { // it is off already, and its refit is a step of its own
			own := func(id guide.ID) bool { return id == line.Step.Item }
			undone, tightened = slices.DeleteFunc(slices.Clone(undone), own), slices.DeleteFunc(slices.Clone(tightened), own)
		}
		for _, id := range undone {
			m.undone[id] = line.Number
		}
		for _, id := range tightened {
			if it := m.r.Item(id); it != nil {
				m.tighten(it, m.undone[id], line.Number)
			}
			delete(m.undone, id)
		}
	}
	m.leftOpen()
}

// touched returns the items whose fasteners a step undoes and those whose it
// tightens. Clearing an item undoes its own, refitting tightens them; a part
// that is replaced or repaired is undone and tightened in one step. What else a
// way or a change of state undoes, it says itself.
func touched(r *guide.Resolved, line *StepLine) (undone, tightened []guide.ID) {
	s := line.Step
	if _, ch := changeOf(r, s); ch != nil {
		if s.Phase == plan.RefitPhase {
			return nil, ch.Opens
		}
		return ch.Opens, nil
	}
	if s.Kind == plan.Await || s.Kind == plan.Change {
		return nil, nil
	}
	var all []guide.ID
	if line.Item != nil && (s.Kind != plan.Do || s.Verb == guide.Replace || s.Verb == guide.Repair) {
		all = append(all, line.Item.ID)
	}
	if line.Way != nil {
		for _, id := range line.Way.Opens {
			if !slices.Contains(all, id) {
				all = append(all, id)
			}
		}
	}
	switch s.Kind {
	case plan.Clear:
		return all, nil
	case plan.Refit:
		return nil, all
	}
	return all, all
}

// tighten adds the joints of an item.
func (m *torqueMaker) tighten(it *guide.Item, undone, step int) {
	joints := m.joints(it)
	if len(joints) == 0 {
		m.s.Bare = append(m.s.Bare, BareLine{Step: step, Item: it, Fixing: it.Fixing})
		return
	}
	for n, group := range places(joints) {
		line := TorqueLine{Number: len(m.s.Joints) + 1, Undone: undone, Step: step, Item: it, Ordinal: n + 1}
		m.fill(&line, group)
		m.s.Joints = append(m.s.Joints, line)
	}
}

// places puts joints that describe the same fasteners in several states
// together, in the order of the guide.
func places(joints []guide.Joint) [][]guide.Joint {
	var out [][]guide.Joint
	for i := range joints {
		k := slices.IndexFunc(out, func(g []guide.Joint) bool {
			return joint.SamePlace(&g[0], &joints[i]) && !slices.ContainsFunc(g, func(x guide.Joint) bool { return x.State == joints[i].State })
		})
		if k < 0 {
			out = append(out, []guide.Joint{joints[i]})
			continue
		}
		out[k] = append(out[k], joints[i])
	}
	return out
}

// leftOpen lists what was undone and is not tightened in this visit, in the
// order in which it was undone.
func (m *torqueMaker) leftOpen() {
	ids := slices.SortedFunc(maps.Keys(m.undone), func(a, b guide.ID) int {
		if m.undone[a] != m.undone[b] {
			return m.undone[a] - m.undone[b]
		}
		return strings.Compare(string(a), string(b))
	})
	for _, id := range ids {
		it := m.r.Item(id)
		if it == nil {
			continue
		}
		for n, group := range places(m.joints(it)) {
			line := TorqueLine{Number: len(m.s.Open) + 1, Undone: m.undone[id], Item: it, Ordinal: n + 1}
			m.fill(&line, group)
			m.s.Open = append(m.s.Open, line)
		}
	}
}
