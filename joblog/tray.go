package joblog

import (
	"fmt"
	"math"
	"slices"

	"elbowroom/guide"
)

// opening is one time that an item's joints came apart.
type opening struct {
	item   guide.ID
	since  *placed // nil when the item was found off or aside
	found  bool
	joints []joint
	back   bool // the item is on again
}

// joint is a joint that is apart, number 0 for the connector.
type joint struct {
	number int
	ticks  []heads[mark] // by fastener
}

// mark is what is said of a fastener.
type mark struct {
	in     bool
	wrench guide.ID
	value  string
}

// open notes that the joints of an item come apart. An item that is moved
// aside first and then taken off is opened once. at is nil for an item that was
// found so.
func (g *rig) open(at *placed, id guide.ID, off bool) {
	it := g.r.Item(id)
	if it == nil {
		return
	}
	o := g.openings[id]
	if o == nil || o.back {
		o = g.begin(at, id)
		for i := range it.Joints {
			if j := &it.Joints[i]; g.r.Fits(j.For) {
				o.joints = append(o.joints, joint{i + 1, make([]heads[mark], max(j.Count, 0))})
				if j.Reuse == guide.SingleUse {
					g.setNeed(at, id, j.Part, i+1, j.Count)
				}
			}
		}
	}
	if off && it.Connector != nil {
		o.addConnector()
	}
	o.back = g.state.Standing(id) == "" // a task opened and closed it again
}

// openConnector notes that only the connector of an item comes apart. What else
// is known of the item's joints stays.
func (g *rig) openConnector(at *placed, id guide.ID) {
	o := g.openings[id]
	if o == nil {
		o = g.begin(at, id)
	}
	o.joints = slices.DeleteFunc(o.joints, func(j joint) bool { return j.number == 0 })
	o.addConnector()
	o.back = g.state.Standing(id) == ""
}

// begin begins an opening of an item.
func (g *rig) begin(at *placed, id guide.ID) *opening {
	if g.openings[id] == nil {
		g.order = append(g.order, id)
	}
	o := &opening{item: id, since: at, found: at == nil}
	g.openings[id] = o
	return o
}

func (o *opening) addConnector() {
	if !slices.ContainsFunc(o.joints, func(j joint) bool { return j.number == 0 }) {
		o.joints = append(o.joints, joint{0, make([]heads[mark], 1)})
	}
}

// close notes that an item went back; it may still be aside.
func (g *rig) close(at *placed, id guide.ID, way *guide.Way) {
	o := g.openings[id]
	if o == nil {
		return
	}
	if o.found {
		g.require(at, id, way)
	}
	o.back = g.state.Standing(id) == ""
}

// tick notes what an event says of a fastener. found is false when the item is
// not open or the guide has no such fastener.
func (g *rig) tick(at *placed, f Fastener, m mark) (found bool) {
	o := g.openings[f.Item]
	if o == nil {
		return false
	}
	for i := range o.joints {
		j := &o.joints[i]
		if j.number != f.Joint || f.Index > len(j.ticks) {
			continue
		}
		for k := range j.ticks {
			if f.Index == 0 || f.Index == k+1 {
				j.ticks[k] = j.ticks[k].put(at, m)
			}
		}
		return true
	}
	return false
}

// missing returns the numbers of the fasteners that are not in for certain.
func (j joint) missing() []int {
	var list []int
	for i, h := range j.ticks {
		if m, ok := h.agreed(); !ok || !m.in {
			list = append(list, i+1)
		}
	}
	return list
}

// need is a single-use part that must be new.
type need struct {
	on, part guide.ID
	joint    int // where the guide names no part
	count    int
	since    *placed
	recorded int
	by       []Stamp
}

// require notes the single-use parts that a way uses.
func (g *rig) require(at *placed, owner guide.ID, way *guide.Way) {
	if way != nil {
		g.requireUses(at, owner, way.Uses)
	}
}

func (g *rig) requireUses(at *placed, owner guide.ID, uses []guide.Use) {
	for _, u := range uses {
		once := slices.ContainsFunc(g.r.Guide.Parts, func(p guide.Part) bool { return p.ID == u.What && p.SingleUse })
		if once && !u.Litres && u.Count > 0 && u.Count < MaxList {
			g.setNeed(at, owner, u.What, 0, int(math.Ceil(u.Count)))
		}
	}
}

// setNeed asks for parts anew. What one step asks for twice is asked for once.
func (g *rig) setNeed(at *placed, on, part guide.ID, joint, count int) {
	i := slices.IndexFunc(g.needs, func(n *need) bool {
		return n.on == on && n.part == part && (part != "" || n.joint == joint)
	})
	switch {
	case i < 0:
		g.needs = append(g.needs, &need{on: on, part: part, joint: joint, count: count, since: at})
	case g.needs[i].since == at:
		g.needs[i].count = max(g.needs[i].count, count)
	default:
		*g.needs[i] = need{on: on, part: part, joint: joint, count: count, since: at}
	}
}

// record notes that parts are new; false when nothing asked for them.
func (g *rig) record(at *placed, b *PartNew) bool {
	for _, n := range g.needs {
		if n.on == b.On && n.part == b.Part && (b.Part != "" || n.joint == b.Joint) {
			n.recorded += b.Count
			n.by = append(n.by, at.stamp())
			return true
		}
	}
	return false
}

// trayLines lists what is off or aside, and what is on with fasteners still to
// tick, in the order in which it came away.
func (g *rig) trayLines() []OffLine {
	var lines []OffLine
	listed := map[guide.ID]bool{}
	add := func(id guide.ID) {
		if listed[id] {
			return
		}
		listed[id] = true
		if l, out := g.offLine(id); out {
			lines = append(lines, l)
		}
	}
	for _, id := range g.order {
		add(id)
		for _, it := range g.r.Items {
			if g.held[it.ID] == id {
				add(it.ID)
			}
		}
	}
	for _, it := range g.r.Items {
		add(it.ID)
	}
	return lines
}

func (g *rig) offLine(id guide.ID) (OffLine, bool) {
	stands := g.state.Standing(id)
	l := OffLine{
		Item: id, Name: itemName(g.r, id), Stands: stands, With: g.held[id], Lies: g.lies[id],
		Unsure: g.unsure[id], Left: g.left(id),
	}
	if o := g.openings[id]; o != nil {
		for _, j := range o.joints {
			l.Out += len(j.missing())
		}
		l.Found = o.found && stands != ""
	}
	if p := g.removed[id]; p != nil && stands != "" {
		s := p.stamp()
		l.Removed = &s
	}
	return l, stands != "" || l.Out > 0 || l.Unsure
}

// jointLines lists the joints that were opened and counts, connectors apart,
// the fasteners that came out and those that are in.
func (g *rig) jointLines() (lines []JointLine, fasteners, connectors Count) {
	for _, id := range g.order {
		o, it := g.openings[id], g.r.Item(id)
		if it == nil {
			continue
		}
		for _, j := range o.joints {
			l := JointLine{Item: id, Name: itemName(g.r, id), Joint: j.number, Says: jointWords(it, j.number), Count: len(j.ticks), Missing: j.missing()}
			l.In = l.Count - len(l.Missing)
			for _, h := range j.ticks {
				l.Ticks = append(l.Ticks, marks(h))
			}
			count := &fasteners
			if j.number == 0 {
				count = &connectors
			}
			count.Out, count.In = count.Out+l.Count, count.In+l.In
			lines = append(lines, l)
		}
	}
	return lines, fasteners, connectors
}

func marks(h heads[mark]) []Tick {
	var ticks []Tick
	for _, o := range h {
		ticks = append(ticks, Tick{o.at.stamp(), o.value.in, o.value.wrench, o.value.value})
	}
	return ticks
}

func (g *rig) partLines() []PartLine {
	var lines []PartLine
	for _, n := range g.needs {
		l := PartLine{On: n.on, Part: n.part, Joint: n.joint, Need: n.count, New: n.recorded, By: n.by}
		switch it := g.r.Item(n.on); {
		case n.part != "":
			l.Says = partWords(g.r, n.part)
		case it != nil:
			l.Says = jointWords(it, n.joint)
		}
		lines = append(lines, l)
	}
	return lines
}

func (g *rig) conditionStates() []ConditionState {
	var list []ConditionState
	for i := range g.r.Guide.Conditions {
		c := &g.r.Guide.Conditions[i]
		s := ConditionState{Condition: c.ID, Value: g.state.Value(c.ID), End: g.ends[c.ID], Unsure: g.unsure[c.ID]}
		s.Coming, _ = g.state.Coming(c.ID)
		s.Says = valueWords(g.r, c.ID, s.Value)
		if s.Coming != "" {
			s.Says = fmt.Sprintf("%s: on its way to %s", conditionName(g.r, c.ID), s.Coming)
		}
		list = append(list, s)
	}
	return list
}
