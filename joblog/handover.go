package joblog

import (
	"fmt"
	"strings"

	"elbowroom/guide"
)

// Handover is what the next person must know, as data: the exact state, the
// next step, what must not be done.
type Handover struct {
	Job        Job              `json:"job"`
	Machine    guide.ID         `json:"machine,omitempty"`
	Complaint  string           `json:"complaint,omitempty"`
	Stands     string           `json:"stands,omitempty"`
	Pin        Pin              `json:"pin,omitzero"`
	Variant    []string         `json:"variant,omitempty"`
	Done       int              `json:"done"`  // steps of the plan that are done
	Steps      int              `json:"steps"` // steps of the plan
	Last       string           `json:"last,omitempty"`
	Tray       []OffLine        `json:"tray,omitempty"`
	Loose      []JointLine      `json:"loose,omitempty"` // joints of items that are on, with fasteners not ticked
	Fasteners  Count            `json:"fasteners"`
	Connectors Count            `json:"connectors"`
	Conditions []ConditionState `json:"conditions,omitempty"` // those that must stand otherwise in the end
	Present    *Present         `json:"present,omitempty"`
	MustNot    []Prohibition    `json:"must_not,omitempty"`
	Unsettled  []string         `json:"unsettled,omitempty"` // what people do not agree on, what does not count, what has not arrived
	Said       string           `json:"said,omitempty"`      // with the last handover
	By         Person           `json:"by,omitempty"`        // who handed over last
}

// Handover returns what the next person must know.
func (s State) Handover() Handover {
	h := Handover{Job: s.Job, Tray: s.Tray, Fasteners: s.Fasteners, Connectors: s.Connectors, Present: s.Present, MustNot: s.MustNot}
	if n := len(s.Arrivals); n > 0 {
		a := s.Arrivals[n-1]
		h.Machine, h.Complaint, h.Stands = a.Machine, a.Complaint, a.Stands
	}
	if s.Plan != nil {
		h.Pin, h.Variant, h.Steps = s.Plan.Pin, s.Plan.Variant, len(s.Plan.Steps)
		for _, st := range s.Plan.Steps {
			if st.Done {
				h.Done++
			}
		}
	}
	if n := len(s.Worked); n > 0 {
		h.Last = s.said(s.Worked[n-1])
	}
	h.Loose = s.loose()
	for _, c := range s.Conditions {
		if c.End != "" && c.Value != c.End {
			h.Conditions = append(h.Conditions, c)
		}
	}
	for _, c := range s.Conflicts {
		if c.Blocking {
			h.Unsettled = append(h.Unsettled, c.Says)
		}
	}
	for _, r := range s.Refused {
		if r.Why != NotFinished {
			h.Unsettled = append(h.Unsettled, r.Says)
		}
	}
	for _, g := range s.Gaps {
		h.Unsettled = append(h.Unsettled, g.String())
	}
	if n := len(s.Handovers); n > 0 {
		h.Said, h.By = s.Handovers[n-1].Says, s.Handovers[n-1].By
	}
	return h
}

// loose lists the joints of items that are on whose fasteners are not all in.
func (s State) loose() []JointLine {
	off := map[guide.ID]bool{}
	for _, l := range s.Tray {
		off[l.Item] = l.Stands != ""
	}
	var list []JointLine
	for _, j := range s.Joints {
		if len(j.Missing) > 0 && !off[j.Item] {
			list = append(list, j)
		}
	}
	return list
}

// said names a step that was ticked.
func (s State) said(w Worked) string {
	if s.Plan != nil && w.Plan == s.Plan.ID && w.Step > 0 {
		return s.Plan.Steps[w.Step-1].Says
	}
	if s.rig != nil {
		return actWords(s.rig.r, w.Act)
	}
	return actWords(nil, w.Act)
}

// Sentences says the handover in plain words, prohibitions first: what is read
// aloud and written down.
func (h Handover) Sentences() []string {
	var list []string
	for _, p := range h.MustNot {
		list = append(list, p.Says+": "+strings.Join(p.Because, "; ")+".")
	}
	for _, l := range h.Tray {
		if l.Stands != "" {
			list = append(list, guide.Capital(l.sentence()))
		}
	}
	for _, j := range h.Loose {
		list = append(list, fmt.Sprintf("The %s is on, but of its %s only %d of %d are ticked; not yet: %s.", j.Name, j.Says, j.In, j.Count, numbers(j.Missing)))
	}
	if h.Fasteners.Out+h.Connectors.Out > 0 {
		list = append(list, guide.Capital(counts(h.Fasteners, h.Connectors))+".")
	}
	for _, c := range h.Conditions {
		list = append(list, guide.Capital(c.Says)+".")
	}
	list = append(list, h.progress()...)
	for _, u := range h.Unsettled {
		list = append(list, "Not settled: "+u+".")
	}
	if h.Said != "" {
		list = append(list, string(h.By)+" says: "+h.Said)
	}
	return list
}

func (l OffLine) sentence() string {
	s := "the " + l.Name + " is " + string(l.Stands)
	if l.With != "" {
		s += ", together with " + string(l.With)
	}
	if l.Lies != "" {
		s += "; it lies in " + l.Lies
	}
	if l.Found {
		s += "; it was found so"
	}
	if l.Unsure {
		s += "; this is not settled"
	}
	return s + "."
}

func (h Handover) progress() []string {
	if h.Steps == 0 {
		return []string{"No plan was taken."}
	}
	list := []string{fmt.Sprintf("%d of %d steps are done.", h.Done, h.Steps)}
	if h.Last != "" {
		list = append(list, "Ticked last: "+h.Last+".")
	}
	if h.Present == nil {
		return append(list, "No step is left.")
	}
	next := fmt.Sprintf("Next is step %d: %s.", h.Present.Step, h.Present.Says)
	if len(h.Present.Why) > 0 {
		next += " It cannot be done now: " + strings.Join(h.Present.Why, "; ") + "."
	}
	return append(list, next)
}
