package draft

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/capture"
	"elbowroom/guide"
	"elbowroom/quantity"
)

// Do is what a person decides about a fact.
type Do string

// The decisions.
const (
	Accept Do = "accept"
	Change Do = "change" // accept with another value or on another item
	Reject Do = "reject"
	Undo   Do = "undo" // takes back the latest decision about the fact, or without a fact the latest at all
)

// Decision is one decision of a person.
type Decision struct {
	Do    Do         `json:"do"`
	Fact  string     `json:"fact,omitempty"`
	Items []guide.ID `json:"items,omitempty"` // of Accept and Change: the items that are meant, where that was open or wrong
	Value string     `json:"value,omitempty"` // of Change: the value as a guide writes it
	By    string     `json:"by,omitempty"`    // who decided
	Why   string     `json:"why,omitempty"`
}

// standing is what was decided about a fact in the end.
type standing struct {
	Decision
	place int // in the list of decisions
}

// Refused is a decision that cannot be carried out, with the reason.
type Refused struct {
	Place int    `json:"place"` // in the list, from 0
	Says  string `json:"says"`
}

// settle replays decisions: the last one about a fact counts, an undo takes
// back the one before it.
func (s *Sheet) settle(ds []Decision) (map[string]standing, []Refused) {
	var stack []standing
	var refused []Refused
	for i, d := range ds {
		f := s.Report.Fact(d.Fact)
		switch {
		case d.Do == Undo:
			k := len(stack) - 1
			for k >= 0 && d.Fact != "" && stack[k].Fact != d.Fact {
				k--
			}
			if k < 0 {
				refused = append(refused, Refused{i, "nothing to undo" + about(d.Fact)})
				continue
			}
			stack = slices.Delete(stack, k, k+1)
			continue
		case f == nil:
			refused = append(refused, Refused{i, fmt.Sprintf("no fact is called %q; the facts are those of the report", d.Fact)})
			continue
		case d.Do != Accept && d.Do != Change && d.Do != Reject:
			refused = append(refused, Refused{i, fmt.Sprintf("%q is no decision; write accept, change, reject or undo", d.Do)})
			continue
		case d.Do == Change && d.Value != "":
			if _, err := changed(f, d.Value); err != nil {
				refused = append(refused, Refused{i, err.Error()})
				continue
			}
		}
		stack = append(stack, standing{d, i})
	}
	out := map[string]standing{}
	for _, d := range stack {
		out[d.Fact] = d
	}
	return out, refused
}

func about(fact string) string {
	if fact == "" {
		return ""
	}
	return " about " + fact
}

// All accepts every fact that can be placed, for a first draft.
func (s *Sheet) All() []Decision {
	var ds []Decision
	for _, p := range s.Proposals {
		if p.Status != Which && p.Status != Heard && p.Status != Agrees {
			ds = append(ds, Decision{Do: Accept, Fact: p.Fact})
		}
	}
	return ds
}

// changed returns a fact with another value, read as a guide writes it.
func changed(f *capture.Fact, text string) (*capture.Fact, error) {
	c := *f
	c.Value = capture.Value{Text: strings.TrimSpace(text), What: f.Value.What, On: f.Value.On}
	var err error
	switch f.Kind {
	case capture.Count:
		var j guide.Joint
		if j, err = guide.Parse[guide.Joint](text); err == nil {
			c.Value.Count, c.Value.What = j.Count, j.What
		}
	case capture.Thread, capture.Drive:
		err = fastenerText(f.Kind, c.Value.Text)
	case capture.Threads, capture.Reuse, capture.Sight:
		err = oneWord(f.Kind, c.Value.Text)
	case capture.Torque:
		err = changedTorque(&c, text)
	case capture.LimitKind:
		var m guide.Limit
		if m, err = guide.Parse[guide.Limit](text); err == nil {
			c.Value.Low, c.Value.High = m.Low, m.High
		}
	case capture.Loses, capture.Holds, capture.Minutes:
		c.Value.Low, err = quantity.Parse(text)
		c.Value.High = c.Value.Low
	}
	if err != nil {
		return nil, fmt.Errorf("%q is no %s: %w", text, f.Kind, err)
	}
	if c.Value.Text == "" {
		return nil, fmt.Errorf("the new %s is empty", f.Kind)
	}
	return &c, nil
}

// fastenerText reports a text that is more or less than a thread or a drive.
func fastenerText(kind capture.Kind, text string) error {
	j, err := guide.Parse[guide.Joint]("1 x " + text)
	if err != nil {
		return err
	}
	alone := guide.Joint{Count: 1, Thread: j.Thread, Lengths: j.Lengths}
	if kind == capture.Drive {
		alone = guide.Joint{Count: 1, Drive: j.Drive}
	}
	if alone.String() != j.String() || alone.Thread == "" && alone.Drive == "" {
		return fmt.Errorf("write the %s alone, such as M8 or hex 13", kind)
	}
	return nil
}

// oneWord reports a word that the guide does not know for the kind.
func oneWord(kind capture.Kind, text string) error {
	known := guide.State("").Allowed()
	switch kind {
	case capture.Sight:
		known = append(guide.Sight("").Allowed(), "not seen")
	case capture.Reuse:
		known = guide.Reuse("").Allowed()
		text, _, _ = strings.Cut(text, " ")
	}
	if !slices.Contains(known, text) {
		return fmt.Errorf("write one of %s", strings.Join(known, ", "))
	}
	return nil
}

func changedTorque(c *capture.Fact, text string) error {
	if text == "not applicable" {
		return nil
	}
	j, err := guide.Parse[guide.Joint]("1 screw, " + text)
	if err != nil {
		return err
	}
	for _, s := range j.Stages {
		if !s.Torque.Zero() {
			c.Value.Low, c.Value.High = s.Torque, s.Torque
		}
		c.Value.Angle += s.Angle
	}
	return nil
}
