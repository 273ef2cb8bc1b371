package suspect

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/suspect/decide"
)

// Shop is what only the workshop and its planner know: what work costs.
type Shop interface {
	// Ground prices the actions over the states of the machine; action i of
	// the list is decide.Action(i).
	Ground(actions []Action) (decide.Ground, error)
	// Spares prices what a repair puts in, beyond what its way uses up; false
	// when no price is known. SparesOf reads it off a guide.
	Spares(a Action) (money.Amount, bool)
	// Refer is the price of referring the machine on.
	Refer() money.Amount
	// Units turns money into the Ground's whole units of cost.
	Units(m money.Amount) int64
	// Money turns units of cost back into money.
	Money(units float64) money.Amount
}

// ActionSort is the sort of an Action.
type ActionSort string

// The sorts of action.
const (
	CheckAction  ActionSort = "check"
	RepairAction ActionSort = "repair"
	ProofAction  ActionSort = "proof"
)

// Action is one piece of work that the next step may be.
type Action struct {
	Sort   ActionSort    `json:"sort"`
	Check  guide.ID      `json:"check,omitempty"`  // what to measure; a proof without one looks for the complaint itself
	Task   *guide.TaskID `json:"task,omitempty"`   // the repair's task, where the guide has one
	Faults []guide.ID    `json:"faults,omitempty"` // what the repair takes out
	// On is where a repair without a task is done: at this item, as its check
	// ways reach it. Empty: outside what the guide describes.
	On guide.ID `json:"on,omitempty"`
	// Own is the time of the work itself where no way states it.
	Own    time.Duration `json:"own,omitempty"`
	Spares money.Amount  `json:"spares,omitempty"`
	// Assumed says what of it is assumed, in words.
	Assumed []string `json:"assumed,omitempty"`
	Name    string   `json:"name"` // "insulation (T35)", "renew the sensor (SE13)"
}

// What is taken for a repair or a proof whose time nobody has written down.
const (
	repairHere    = 30 * time.Minute // at an item that the guide describes, beyond reaching it
	repairOutside = 60 * time.Minute // outside the bay, reaching it included
	roadTest      = 20 * time.Minute // looking for the complaint under its own conditions
)

// SparesOf prices what a replacement puts in by the guide: the parts of the
// item. It is zero for repairs that are no replacement (their way says what
// they use up), and not known for a repair without a task and for parts
// without a price.
func SparesOf(r *guide.Resolved, a Action) (money.Amount, bool) {
	if a.Sort != RepairAction {
		return 0, true
	}
	if a.Task == nil {
		return 0, false
	}
	if a.Task.Verb != guide.Replace {
		return 0, true
	}
	it := r.Item(a.Task.On)
	if it == nil || len(it.Parts) == 0 {
		return 0, false
	}
	sum := money.Amount(0)
	for _, u := range it.Parts {
		i := slices.IndexFunc(r.Guide.Parts, func(p guide.Part) bool { return p.ID == u.What && r.Fits(p.For) })
		switch {
		case u.Litres:
		case i < 0 || r.Guide.Parts[i].Price == 0:
			return 0, false
		default:
			sum += money.Amount(u.Count * float64(r.Guide.Parts[i].Price))
		}
	}
	return sum, true
}

// repairsOf lists the repairs of the given hypotheses, one for each task, in
// their order.
func (m *model) repairsOf(hyps []int) []Action {
	var out []Action
	for _, h := range hyps {
		f := m.hyps[h].fault
		if f == nil {
			continue
		}
		if f.Task != nil {
			if i := slices.IndexFunc(out, func(a Action) bool { return a.Task != nil && *a.Task == *f.Task }); i >= 0 {
				out[i].Faults = append(out[i].Faults, f.ID)
				continue
			}
		}
		a := Action{Sort: RepairAction, Task: f.Task, Faults: []guide.ID{f.ID}, Name: m.repairName(f)}
		if f.Task == nil {
			a.On, a.Own = f.On, repairHere
			if f.On == "" {
				a.Own = repairOutside
			}
			a.Assumed = append(a.Assumed, fmt.Sprintf("%d min of work, because the guide has no task for %s", int(a.Own.Minutes()), f.ID))
		}
		out = append(out, a)
	}
	return out
}

// repairName says a repair in the words of the guide.
func (m *model) repairName(f *guide.Fault) string {
	on := ""
	if it := m.r.Item(f.On); it != nil {
		on = fmt.Sprintf(" (%s)", it.ID)
	}
	if f.Repair != "" {
		return f.Repair + on
	}
	return "repair " + f.Name + on
}

// price fills in the spares of repairs. What has no price is taken at the
// median of all replacements of the guide that have one.
func (m *model) price(actions []Action, shop Shop) {
	var missing []int
	for i := range actions {
		if actions[i].Sort != RepairAction {
			continue
		}
		p, ok := shop.Spares(actions[i])
		actions[i].Spares = p
		if !ok {
			missing = append(missing, i)
		}
	}
	if len(missing) == 0 {
		return
	}
	middle, known := m.medianSpares(shop)
	for _, i := range missing {
		a := &actions[i]
		a.Spares = middle
		if known {
			a.Assumed = append(a.Assumed, fmt.Sprintf("spares at %s, the median of the guide's replacements", middle))
		} else {
			a.Assumed = append(a.Assumed, "spares at nothing, because no replacement of the guide has a price")
		}
	}
}

// medianSpares is the middle price of the guide's replacements, the lower of
// two; false when none has a price.
func (m *model) medianSpares(shop Shop) (money.Amount, bool) {
	all := make([]int, m.other())
	for h := range all {
		all[h] = h
	}
	var known []money.Amount
	for _, a := range m.repairsOf(all) {
		if p, ok := shop.Spares(a); ok && p > 0 {
			known = append(known, p)
		}
	}
	if len(known) == 0 {
		return 0, false
	}
	slices.Sort(known)
	return known[(len(known)-1)/2], true
}

// closing chooses the closing proof: the check that was named; else a check that
// failed in this job with everything fitted, else one that failed and needs
// nothing open, the last such; else looking for the complaint itself.
func (m *model) closing(named guide.ID) Action {
	pick := named
	if pick == "" {
		pick = m.failedCheck(func(c *guide.Check) bool { return c.Closed })
	}
	if pick == "" {
		pick = m.failedCheck(func(c *guide.Check) bool { return c.Point == "" && len(c.Ways) == 0 })
	}
	if c := m.r.Check(pick); c != nil {
		return Action{Sort: ProofAction, Check: pick, Name: fmt.Sprintf("%s (%s)", c.Name, c.ID)}
	}
	a := Action{Sort: ProofAction, Own: roadTest, Name: "look for the complaint under its own conditions"}
	a.Assumed = append(a.Assumed, fmt.Sprintf("%d min for the proof", int(roadTest.Minutes())))
	return a
}

// failedCheck returns the last check of the job that failed and pleases.
func (m *model) failedCheck(pleases func(*guide.Check) bool) guide.ID {
	for i := len(m.steps) - 1; i >= 0; i-- {
		o := m.steps[i].seen
		if o == nil || !pleases(o.k.c) {
			continue
		}
		worst := o.conforms
		if len(o.each) > 0 {
			worst = slices.Min(o.each)
		}
		if worst < 0.5 {
			return o.k.c.ID
		}
	}
	return ""
}

// checkName says a check in the words of the guide.
func checkName(c *guide.Check) string {
	return fmt.Sprintf("%s (%s)", strings.TrimSpace(c.Name), c.ID)
}
