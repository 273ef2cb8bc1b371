package joblog

import (
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/plan"
)

// walk takes in one event, in the order of the log.
func (f *folding) walk(p *placed) {
	switch b := p.body.(type) {
	case *Arrived:
		f.s.Arrivals = append(f.s.Arrivals, Arrival{p.stamp(), *b})
	case *SignNoted:
		f.s.Signs = append(f.s.Signs, Sign{Stamp: p.stamp(), Says: b.Says})
	case *CodeNoted:
		f.s.Codes = append(f.s.Codes, Code{Stamp: p.stamp(), CodeNoted: *b})
	case *SignWithdrawn:
		f.withdraw(p, b)
	case *ReadingTaken:
		f.read[p.ID] = len(f.s.Readings)
		f.s.Readings = append(f.s.Readings, Reading{Stamp: p.stamp(), ReadingTaken: *b})
	case *Note:
		f.s.Notes = append(f.s.Notes, Remark{p.stamp(), *b})
	case *PictureAdded:
		f.s.Pictures = append(f.s.Pictures, Picture{p.stamp(), *b})
	case *HandedOver:
		f.s.Handovers = append(f.s.Handovers, Passing{p.stamp(), *b})
	case *Deviation:
		f.s.Deviations = append(f.s.Deviations, Signature{p.stamp(), *b})
	case *PriceAgreed:
		f.s.Prices = append(f.s.Prices, Price{p.stamp(), *b})
	case *Closed:
		f.closed = f.closed.put(p, true)
	case *Reopened:
		f.closed = f.closed.put(p, false)
	default:
		f.walkWork(p)
	}
}

// walkWork takes in events that speak of readings, plans and the machine.
func (f *folding) walkWork(p *placed) {
	switch b := p.body.(type) {
	case *VerdictRecorded:
		f.judge(p, b)
	case *ProofMade:
		f.prove(p, b)
	case *PlanTaken:
		f.take(p)
	case *StepDone:
		if t := f.act[p]; t != nil {
			f.perform(p, t)
		}
	case *Ticked:
		f.tick(p, b.Fastener, mark{true, b.Wrench, b.Value})
	case *Unticked:
		f.tick(p, b.Fastener, mark{})
	case *PartNew:
		f.partNew(p, b)
	case *Laid:
		if f.rig == nil || f.rig.r.Item(b.Item) == nil {
			f.refuse(p, UnknownThing, "there is no item %s", b.Item)
			return
		}
		f.rig.lies[b.Item] = b.Lies
	}
}

func (f *folding) withdraw(p *placed, b *SignWithdrawn) {
	w := &Withdrawal{p.stamp(), b.Reason}
	if i := slices.IndexFunc(f.s.Signs, func(s Sign) bool { return s.ID == b.Of }); i >= 0 {
		f.s.Signs[i].Withdrawn = w
		return
	}
	if i := slices.IndexFunc(f.s.Codes, func(c Code) bool { return c.ID == b.Of }); i >= 0 {
		f.s.Codes[i].Withdrawn = w
		return
	}
	f.refuse(p, UnknownEvent, "there is no sign or code %s to withdraw", b.Of)
}

func (f *folding) reading(id ID) *Reading {
	i, ok := f.read[id]
	if !ok {
		return nil
	}
	return &f.s.Readings[i]
}

// judge adds a verdict to its reading. It takes the place of verdicts that its
// author had seen.
func (f *folding) judge(p *placed, b *VerdictRecorded) {
	r := f.reading(b.Of)
	if r == nil {
		f.refuse(p, UnknownEvent, "there is no reading %s to judge", b.Of)
		return
	}
	r.Judged = slices.DeleteFunc(r.Judged, func(j Judged) bool { return p.saw(f.byID[j.ID]) })
	r.Judged = append(r.Judged, Judged{p.stamp(), b.Verdict, b.Limit, b.Why})
}

func (f *folding) prove(p *placed, b *ProofMade) {
	for _, id := range b.Readings {
		if f.reading(id) == nil {
			f.refuse(p, UnknownEvent, "there is no reading %s to prove anything by", id)
			return
		}
	}
	f.s.Proofs = append(f.s.Proofs, Proof{Stamp: p.stamp(), ProofMade: *b})
}

// take begins a plan.
func (f *folding) take(p *placed) {
	t := f.plans[p.ID]
	f.now = t
	if t.r == nil {
		return
	}
	req, _ := t.body.Asked() // read once already by takePlans
	if f.rig != nil {
		f.compare(p, t, req)
	}
	g, err := newRig(t.r, t.body.Pin, req, f.rig)
	if err != nil {
		t.r = nil
		f.refuse(p, UnknownGuide, "the plan cannot be used with its guide: %s", strings.ReplaceAll(err.Error(), "\n", "; "))
		return
	}
	f.rig = g
}

// compare says where a plan takes an item to stand otherwise than the log says.
func (f *folding) compare(p *placed, t *taken, req plan.Request) {
	for _, it := range t.r.Items {
		if !f.rig.knows(it.ID) {
			continue
		}
		var takes guide.Verb
		if i := slices.IndexFunc(req.Found, func(s plan.Standing) bool { return s.Item == it.ID }); i >= 0 {
			takes = guide.Aside
			if req.Found[i].Off {
				takes = guide.Off
			}
		}
		if has := f.rig.state.Standing(it.ID); has != takes {
			f.s.Conflicts = append(f.s.Conflicts, Conflict{
				Sort: Differs, Key: "item " + string(it.ID), Events: []ID{p.ID},
				Says: "the plan takes the " + itemName(t.r, it.ID) + " to be " + stands(takes) + ", by the log it is " + stands(has),
			})
		}
	}
}

func stands(v guide.Verb) string {
	if v == "" {
		return "on"
	}
	return string(v)
}

// perform carries out a step on the machine.
func (f *folding) perform(p *placed, t *ticked) {
	if f.rig == nil || t.plan.r == nil {
		return
	}
	a, ok := f.rig.translate(t.plan, t.act)
	if !ok {
		t.refused = []string{"the present guide, " + f.rig.pin.String() + ", has no such way any more"}
	} else {
		t.refused = f.rig.do(p, a)
	}
	if len(t.refused) == 0 {
		t.early = f.skips(t)
	} else if d := f.signature(t); ok && d != nil {
		t.signed = d
		if why := f.rig.force(p, a); why != nil {
			t.signed, t.refused = nil, why
		}
	}
	if len(t.refused) > 0 && t.signed == nil {
		f.s.Refused = append(f.s.Refused, Refusal{
			Event: p.ID, Why: ImpossibleStep, Plan: t.key.plan, Step: t.key.step,
			Says: t.name() + ", " + guide.Uncapital(actWords(t.plan.r, t.act)) + ", cannot have been done then: " + strings.Join(t.refused, "; "),
		})
	}
	if b, isDone := p.body.(*StepDone); isDone && b.Lies != "" && t.act.Kind == plan.Clear {
		f.rig.lies[a.Item] = b.Lies
	}
}

// skips reports whether a step of the plan before this one is not done yet.
func (f *folding) skips(t *ticked) bool {
	for n := 1; n < t.key.step; n++ {
		if e := f.steps[stepKey{plan: t.key.plan, step: n}]; e == nil || !e.counts || f.actAt(e) > f.actAt(t) {
			return true
		}
	}
	return false
}

// actAt returns the place in the order at which a step is carried out.
func (f *folding) actAt(t *ticked) int {
	for _, h := range t.heads {
		if h.value {
			return h.since.pos
		}
	}
	return len(f.order)
}

// signature returns the deviation that lets a step count although the guide
// does not allow it.
func (f *folding) signature(t *ticked) *placed {
	for _, p := range f.signed {
		d := p.body.(*Deviation)
		named := slices.ContainsFunc(t.heads, func(h head[bool]) bool {
			return slices.Contains(d.Done, h.at.ID) || slices.Contains(d.Done, h.since.ID)
		})
		if named || slices.Contains(d.Steps, StepNo{t.key.plan, t.key.step}) {
			return p
		}
	}
	return nil
}

// translate turns an act of a plan into one of the guide in use now, where the
// plan was made with another revision: the way is found again by what it does.
func (g *rig) translate(t *taken, a Act) (Act, bool) {
	if t.body.Pin == g.pin || a.Kind == plan.Await {
		return a, true
	}
	if a.Kind == plan.Change {
		old, c := changeOf(t.r, a.Condition, a.Change), g.r.Condition(a.Condition)
		if old == nil || c == nil {
			return a, false
		}
		a.Change = slices.IndexFunc(c.Changes, func(ch guide.Change) bool { return ch.From == old.From && ch.To == old.To && ch.Do == old.Do })
		return a, a.Change >= 0
	}
	if a.Way < 0 {
		return a, true
	}
	was := (&rig{r: t.r}).ways(a)
	if a.Way >= len(was) {
		return a, false
	}
	w := was[a.Way]
	a.Way = slices.IndexFunc(g.ways(a), func(v guide.Way) bool {
		return v.ID == w.ID && v.Do == w.Do && v.From == w.From && v.For.String() == w.For.String()
	})
	return a, a.Way >= 0
}

// ways returns the list of ways that the way of an act is counted in.
func (g *rig) ways(a Act) []guide.Way {
	if c := g.r.Check(a.Item); c != nil && a.Kind == plan.Do && a.Verb == guide.Measure {
		own := slices.ContainsFunc(c.Ways, func(w guide.Way) bool { return w.Do == guide.Measure })
		if own {
			return c.Ways
		}
		a.Item = c.Point
	}
	if it := g.r.Item(a.Item); it != nil {
		return it.Ways
	}
	return nil
}

func (f *folding) tick(p *placed, b Fastener, m mark) {
	if f.rig == nil {
		f.refuse(p, UnknownPlan, "no plan was taken before it, so that no guide says what the fastener is")
		return
	}
	it := f.rig.r.Item(b.Item)
	switch {
	case it == nil:
		f.refuse(p, UnknownThing, "this variant has no item %s", b.Item)
	case b.Joint == 0 && it.Connector == nil && f.rig.openings[b.Item] == nil:
		f.refuse(p, UnknownThing, "the %s has no connector", itemName(f.rig.r, b.Item))
	case b.Joint > len(it.Joints):
		f.refuse(p, UnknownThing, "the %s has no joint %d", itemName(f.rig.r, b.Item), b.Joint)
	case b.Joint > 0 && b.Index > it.Joints[b.Joint-1].Count || b.Joint == 0 && b.Index > 1:
		f.refuse(p, UnknownThing, "joint %d of the %s has no fastener %d", b.Joint, itemName(f.rig.r, b.Item), b.Index)
	case !f.rig.tick(p, b, m):
		f.s.Conflicts = append(f.s.Conflicts, Conflict{
			Sort: Differs, Key: fastenerKey(b.Item, b.Joint, b.Index), Events: []ID{p.ID},
			Says: "a fastener of the " + itemName(f.rig.r, b.Item) + " was ticked, which by the log was not apart",
		})
	}
}

func (f *folding) partNew(p *placed, b *PartNew) {
	if f.rig == nil {
		f.refuse(p, UnknownPlan, "no plan was taken before it, so that no guide says what the part is")
		return
	}
	known := b.Part == "" || slices.ContainsFunc(f.rig.r.Guide.Parts, func(x guide.Part) bool { return x.ID == b.Part })
	switch {
	case !known:
		f.refuse(p, UnknownThing, "the guide has no part %s", b.Part)
	case !f.rig.record(p, b):
		f.s.Conflicts = append(f.s.Conflicts, Conflict{
			Sort: Differs, Key: "part " + string(b.On) + " " + string(b.Part), Events: []ID{p.ID},
			Says: "a new part was recorded on " + itemName(f.rig.r, b.On) + " which nothing done so far asks for",
		})
	}
}
