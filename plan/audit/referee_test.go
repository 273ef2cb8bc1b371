package audit_test

import (
	"math/big"
	"slices"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// referee replays a plan a second time, written from the text of package plan
// with names, maps and plain lists, and shares no code with the audit. It says
// yes or no, gives no reasons and knows no certificates.
type referee struct {
	r     *guide.Resolved
	req   plan.Request
	stack map[guide.ID][]layer
	held  map[guide.ID]bool // items that came away with another
	value map[guide.ID]guide.ID
	under map[guide.ID]*underway
	done  map[int]bool
	hired map[guide.ID]bool
	place guide.ID
	tool  guide.ID
	moved bool
	proof bool
	cost  plan.Cost
	risk  *big.Rat
}

type layer struct {
	verb  guide.Verb
	way   int // -1 for found
	holds []guide.ID
}

type underway struct {
	change int
	left   time.Duration
}

// job is what one step asks for, put together from ways, checks and cautions.
type job struct {
	needs    []guide.Need
	with     []guide.Req
	fitted   []guide.ID
	tools    []guide.ID
	cautions []guide.ID
	place    guide.ID
	people   int
	minutes  time.Duration
	uses     []guide.Use
	risks    []guide.Risk
}

func newReferee(r *guide.Resolved, req plan.Request) *referee {
	f := &referee{
		r: r, req: req, stack: map[guide.ID][]layer{}, held: map[guide.ID]bool{}, value: map[guide.ID]guide.ID{},
		under: map[guide.ID]*underway{}, done: map[int]bool{}, hired: map[guide.ID]bool{}, risk: new(big.Rat),
	}
	for _, s := range req.Found {
		verb := guide.Aside
		if s.Off {
			verb = guide.Off
		}
		f.stack[s.Item] = []layer{{verb, -1, nil}}
	}
	for _, c := range r.Guide.Conditions {
		f.value[c.ID] = c.Start
	}
	for _, s := range req.Given {
		f.value[s.Condition] = s.Value
	}
	return f
}

func (f *referee) start(id guide.ID) guide.ID {
	for _, s := range f.req.Given {
		if s.Condition == id {
			return s.Value
		}
	}
	return f.r.Condition(id).Start
}

// stands is "" for on.
func (f *referee) stands(id guide.ID) guide.Verb {
	if f.held[id] {
		return guide.Off
	}
	if s := f.stack[id]; len(s) > 0 {
		return s[len(s)-1].verb
	}
	return ""
}

func (f *referee) isOn(id guide.ID) bool {
	if id != "all" {
		return f.r.Item(id) == nil || f.stands(id) == ""
	}
	for i := range f.r.Items {
		if f.stands(f.r.Items[i].ID) != "" {
			return false
		}
	}
	return true
}

func (f *referee) holds(q guide.Req) bool {
	v, ok := f.value[q.Condition]
	return ok && v != "" && (v == q.Value) != q.Not
}

func (f *referee) leaves(id guide.ID) bool {
	return slices.Contains(f.req.LeaveOpen, id) || slices.Contains(f.req.LeaveOpen, "all")
}

// allows reports whether what a job asks for is there.
func (f *referee) allows(j job) bool {
	ok := max(j.people, 1) <= max(f.req.People, 1)
	for _, n := range j.needs {
		if f.r.Item(n.Item) != nil {
			v := f.stands(n.Item)
			ok = ok && v != "" && (v == guide.Off || !n.Off)
		}
	}
	for _, q := range j.with {
		ok = ok && f.holds(q)
	}
	for _, id := range j.fitted {
		ok = ok && f.isOn(id)
	}
	for _, id := range j.tools {
		ok = ok && (!slices.Contains(f.req.Missing, id) || f.hire(id) != nil)
	}
	for _, id := range j.cautions {
		for _, c := range f.r.Guide.Cautions {
			if c.ID == id {
				ok = ok && (c.Ask == "" || c.Answer != "")
				for _, q := range c.Safe {
					ok = ok && f.holds(q)
				}
			}
		}
	}
	return ok
}

func (f *referee) hire(id guide.ID) *money.Amount {
	for _, t := range f.r.Guide.Tools {
		if t.ID == id {
			return t.Hire
		}
	}
	return nil
}

// bears reports whether every value in force has what it demands.
func (f *referee) bears() bool {
	for _, c := range f.r.Guide.Conditions {
		for _, v := range c.Values {
			if f.value[c.ID] != v.ID {
				continue
			}
			j := job{with: v.With, fitted: v.Fitted}
			for _, id := range v.Cautions {
				for _, k := range f.r.Guide.Cautions {
					if k.ID == id {
						j.with = append(slices.Clone(j.with), k.Safe...)
					}
				}
			}
			if !f.allows(j) {
				return false
			}
		}
	}
	return true
}

// jobOf puts a job together, nil when the step names something that is not
// there. With it come the owner and verb of the way.
func (f *referee) jobOf(s plan.Step) (*job, guide.ID, guide.Verb) {
	switch s.Kind {
	case plan.Clear, plan.Refit:
		it := f.r.Item(s.Item)
		if it == nil || s.Way < 0 || s.Way >= len(it.Ways) || !it.Ways[s.Way].Do.Clears() || !f.r.Fits(it.Ways[s.Way].For) {
			return nil, "", ""
		}
		w := it.Ways[s.Way]
		j := f.wayJob(w, it.Cautions)
		if s.Kind == plan.Clear {
			j.minutes, j.uses = w.Out, nil
		} else {
			j.minutes, j.risks = w.Back, nil
		}
		return j, it.ID, w.Do
	case plan.Change:
		c := f.r.Condition(s.Condition)
		if c == nil || s.Change < 0 || s.Change >= len(c.Changes) || c.Changes[s.Change].WaitUnknown {
			return nil, "", ""
		}
		h := c.Changes[s.Change]
		j := &job{needs: h.Needs, with: h.With, fitted: h.Fitted, tools: h.Tools, cautions: h.Cautions, place: h.Place, people: h.People, minutes: h.Minutes, uses: h.Uses}
		for _, v := range c.Values {
			for _, id := range v.Cautions {
				if v.ID == h.To && f.unanswered(id) {
					return nil, "", ""
				}
			}
		}
		return j, "", ""
	case plan.Do:
		return f.taskJob(s)
	}
	return &job{}, "", ""
}

func (f *referee) unanswered(id guide.ID) bool {
	return slices.ContainsFunc(f.r.Guide.Cautions, func(c guide.Caution) bool { return c.ID == id && c.Ask != "" && c.Answer == "" })
}

func (f *referee) wayJob(w guide.Way, cautions []guide.ID) *job {
	return &job{
		needs: w.Needs, with: w.With, fitted: w.Fitted, tools: w.Tools, cautions: slices.Concat(w.Cautions, cautions),
		place: w.From, people: w.People, minutes: w.Out, uses: w.Uses, risks: w.Risks,
	}
}

func (f *referee) taskJob(s plan.Step) (*job, guide.ID, guide.Verb) {
	if s.Task < 0 || s.Task >= len(f.req.Tasks) {
		return nil, "", ""
	}
	t := f.req.Tasks[s.Task]
	c := f.r.Check(t.On)
	if t.Verb != guide.Measure || c == nil {
		it := f.r.Item(t.On)
		if s.Way < 0 || s.Way >= len(it.Ways) || it.Ways[s.Way].Do != t.Verb || !f.r.Fits(it.Ways[s.Way].For) {
			return nil, "", ""
		}
		return f.wayJob(it.Ways[s.Way], it.Cautions), it.ID, t.Verb
	}
	owner, ways, cautions := c.ID, c.Ways, []guide.ID(nil)
	if !slices.ContainsFunc(ways, func(w guide.Way) bool { return w.Do == guide.Measure }) {
		ways = nil
		if it := f.r.Item(c.Point); it != nil {
			owner, ways, cautions = it.ID, it.Ways, it.Cautions
		}
	}
	var j *job
	switch {
	case s.Way >= 0 && s.Way < len(ways) && ways[s.Way].Do == guide.Measure && f.r.Fits(ways[s.Way].For):
		j = f.wayJob(ways[s.Way], cautions)
	case s.Way == -1 && len(ways) == 0 && c.Point == "":
		j = &job{}
	default:
		return nil, "", ""
	}
	j.with, j.tools, j.cautions = slices.Concat(j.with, c.With), slices.Concat(j.tools, c.Instrument), slices.Concat(j.cautions, c.Cautions)
	j.minutes = j.minutes.Round(time.Millisecond) + c.Minutes.Round(time.Millisecond)
	if c.Closed {
		j.fitted = append(slices.Clone(j.fitted), "all")
	}
	return j, owner, guide.Measure
}
