package suspect

import (
	"fmt"
	"math"

	"elbowroom/codes"
	"elbowroom/span"
)

// Limits of what a case may hold; more is a mistake or an attack.
const (
	mostText   = 20_000 // bytes of the complaint with its conditions
	mostEvents = 10_000
	mostCodes  = 10_000
)

// validate checks the case and the options and fills in what they leave to
// the default.
func (m *model) validate() error {
	m.r = m.c.Guide
	var list span.List
	bad := func(where, text, says, do string) {
		list = append(list, span.Finding{Rule: "case", Where: where, Text: text, Says: says, Do: do})
	}
	if m.r == nil || m.r.Guide == nil {
		bad("guide", "", "the case has no guide", "resolve a guide for the variant of the machine first")
		return list
	}
	m.options(bad)
	list = append(list, m.a.check()...)
	m.arrival(bad)
	if len(m.c.Events) > mostEvents {
		bad("events", "", fmt.Sprintf("%d events are more than a job can have (%d)", len(m.c.Events), mostEvents), "leave out what does not belong to this job")
	} else {
		for i := range m.c.Events {
			m.event(i, bad)
		}
	}
	if len(list) > 0 {
		return list
	}
	return nil
}

type complain func(where, text, says, do string)

func (m *model) options(bad complain) {
	m.a = Default()
	if m.opt.Assume != nil {
		m.a = *m.opt.Assume
	}
	switch {
	case m.opt.MaxFaults == 0:
		m.opt.MaxFaults = mostFaults
	case m.opt.MaxFaults < 0 || m.opt.MaxFaults > mostFaults:
		bad("options.max_faults", fmt.Sprint(m.opt.MaxFaults), fmt.Sprintf("a world holds 1 to %d faults, not %d", mostFaults, m.opt.MaxFaults), "ask for 1, 2 or 3")
		return
	}
	switch m.opt.Combine {
	case WhenCalled, Never:
	case Always:
		if n := countSets(len(m.r.Guide.Faults)+1, m.opt.MaxFaults); n > mostWorlds {
			bad("options.combine", string(Always), fmt.Sprintf("%d faults have more than %d combinations of up to %d", len(m.r.Guide.Faults), mostWorlds, m.opt.MaxFaults), "leave combine empty: combinations are then looked at when the evidence calls for them")
		}
	default:
		bad("options.combine", string(m.opt.Combine), fmt.Sprintf("%q is no way to combine faults", m.opt.Combine), "write always, never or nothing")
	}
}

// arrival checks what was known when the machine came.
func (m *model) arrival(bad complain) {
	size := len(m.c.Complaint)
	for _, c := range m.c.Conditions {
		size += len(c)
	}
	if size > mostText {
		bad("complaint", "", fmt.Sprintf("%d bytes of complaint are more than %d", size, mostText), "keep to what the customer said")
	}
	for i, age := range m.c.Age {
		if age.Zero() || !(age.SI() >= 0) || math.IsInf(age.SI(), 0) {
			bad(fmt.Sprintf("age[%d]", i), age.String(), "an age is a distance or a time from zero up", "write it as in “214300 km” or “96 months”")
		}
	}
	if len(m.c.Codes) > mostCodes {
		bad("codes", "", fmt.Sprintf("%d codes are more than any control unit keeps", len(m.c.Codes)), "look at the source of the codes")
	} else {
		for i, c := range m.c.Codes {
			if _, err := codes.Parse(c.Code); err != nil {
				bad(fmt.Sprintf("codes[%d]", i), c.Code, err.Error(), "write it as in P0327")
			}
		}
	}
	for i, id := range m.c.Touched {
		if m.r.Item(id) == nil {
			bad(fmt.Sprintf("touched[%d]", i), string(id), fmt.Sprintf("this variant has no item %s", id), "name an item of the guide")
		}
	}
	all := m.knownSigns()
	for i, t := range m.c.Ticks {
		where := fmt.Sprintf("ticks[%d]", i)
		if t.Is != Present && t.Is != Absent && t.Is != NotKnown {
			bad(where+".is", string(t.Is), fmt.Sprintf("%q is no answer", t.Is), "write yes, no or not known")
		}
		if !all(t.Sign) {
			bad(where+".sign", t.Sign, fmt.Sprintf("no fault of the guide has the sign %q", t.Sign), "tick a sign as the guide writes it; other words belong to the complaint")
		}
	}
}

// knownSigns returns a test for signs of the guide, by their words.
func (m *model) knownSigns() func(string) bool {
	known := map[string]bool{}
	key := func(s string) string {
		if words := concepts(s); len(words) > 0 {
			return fmt.Sprint(words)
		}
		return s
	}
	for _, f := range m.r.Guide.Faults {
		for _, s := range f.Signs {
			known[key(s)] = true
		}
	}
	return func(s string) bool { return known[key(s)] }
}

// event checks one event.
func (m *model) event(i int, bad complain) {
	where := fmt.Sprintf("events[%d]", i)
	e := m.c.Events[i]
	n := 0
	if e.Verdict != nil {
		n++
		m.checkVerdict(where+".verdict", *e.Verdict, bad)
	}
	if e.Repair != nil {
		n++
		m.checkRepair(where+".repair", *e.Repair, bad)
	}
	if e.Proof != nil {
		n++
	}
	if n != 1 {
		bad(where, "", fmt.Sprintf("an event is one verdict, repair or proof; this one is %d of them", n), "give each its own event")
	}
}

func (m *model) checkVerdict(where string, v Verdict, bad complain) {
	if m.r.Check(v.Check) == nil {
		bad(where+".check", string(v.Check), fmt.Sprintf("the guide has no check %s", v.Check), "name a check of the guide")
	}
	probability := func(where string, p float64) {
		if !(p >= 0 && p <= 1) {
			bad(where, fmt.Sprint(p), "a probability lies between 0 and 1", "write 1 for a value that conforms and 0 for one that does not")
		}
	}
	probability(where+".conforms", v.Conforms)
	for i, p := range v.Parts {
		probability(fmt.Sprintf("%s.parts[%d].conforms", where, i), p.Conforms)
	}
	if len(v.Parts) > mostEvents {
		bad(where+".parts", "", fmt.Sprintf("%d parts are more than a check looks at", len(v.Parts)), "name each part once")
	}
}

func (m *model) checkRepair(where string, r Repair, bad complain) {
	if (r.Task == nil) == (r.Fault == "") {
		bad(where, "", "a repair names its task, or the fault where the guide has no task for it", "name one of the two")
		return
	}
	for _, f := range m.r.Guide.Faults {
		if f.ID == r.Fault || r.Task != nil && f.Task != nil && *f.Task == *r.Task {
			return
		}
	}
	if r.Task != nil {
		if m.r.Item(r.Task.On) == nil {
			bad(where+".task", r.Task.String(), fmt.Sprintf("this variant has no item %s", r.Task.On), "name a task of the guide")
		}
		return
	}
	bad(where+".fault", string(r.Fault), fmt.Sprintf("the guide has no fault %s", r.Fault), "name a fault of the guide")
}
