package desk

import (
	"cmp"
	"fmt"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joint"
)

// sheetWrenches lists the torque wrenches of the workshop.
func (m *stepMaker) sheetWrenches() []SheetWrench {
	var list []SheetWrench
	for _, t := range m.torque.Tools {
		s := SheetWrench{ID: guide.ID(t.Wrench.ID), Name: t.Wrench.Name}
		if t.Overdue {
			s.Note = "check overdue since " + t.Wrench.Due
		}
		list = append(list, s)
	}
	return list
}

// tightened adds what is known of a joint of an item: how it opens, and when
// it is to be closed how it is tightened and with what.
func (m *stepMaker) tightened(s *SheetJoint, it *guide.Item, j *guide.Joint, closing bool) {
	s.Drive, s.State, s.Note = j.Drive, string(j.State), j.Note
	s.Was = app.WasTexts(j.Was)
	s.Source = app.SourceText(m.r.Guide, cmp.Or(j.Source, it.Source))
	next := joint.NextTime(j.Reuse, j.Stages)
	if next.Renew {
		s.Reuse = next.Says
	}
	if !closing {
		return
	}
	for _, st := range j.Stages {
		s.Stages = append(s.Stages, st.String())
	}
	switch {
	case len(j.Stages) > 0:
		s.Big = strings.Join(s.Stages, " + ")
	case j.Torque == guide.Unknown:
		s.Big, s.Unknown = "torque not known: ask the maker", true
	}
	if len(s.Stages) < 2 {
		s.Stages = nil
	}
	m.laid(s, j)
	m.wrench(s, it)
}

// laid places the fasteners in the order in which they are tightened.
func (m *stepMaker) laid(s *SheetJoint, j *guide.Joint) {
	l := joint.Lay(j.Pattern, j.Count)
	order := l.Order
	if order == nil {
		for i := range l.Places {
			order = append(order, i+1)
		}
	}
	for _, n := range order {
		s.Dots = append(s.Dots, SheetDot{Index: n, X: l.Places[n-1].X, Y: l.Places[n-1].Y})
	}
	if l.Says != "" {
		s.Note = strings.TrimSpace(s.Note + " " + guide.Capital(l.Says) + ".")
	}
}

// wrench names the wrench to take for the last torque of the joint with what
// to set on it, or says why none will do.
func (m *stepMaker) wrench(s *SheetJoint, it *guide.Item) {
	l := m.line(it, s.Joint)
	if l == nil {
		return
	}
	for _, st := range l.Stages {
		if best := st.Choice.Best(); best != nil && st.Set != "" {
			s.Wrench, s.Setting = guide.ID(best.Wrench.ID), fmt.Sprintf("%s at %s", best.Wrench.Name, st.Set)
			if st.Foot != nil {
				s.Setting += " with " + st.Foot.Name
			}
			if len(st.Marks) > 0 {
				s.Setting += " (" + strings.Join(st.Marks, ", ") + ")"
			}
		}
	}
	for _, f := range l.Findings {
		if f.Sort == app.TorqueMissing {
			continue // said in large already
		}
		text := guide.Capital(f.Says)
		if f.Do != "" {
			text += ": " + f.Do
		}
		s.Doubts = append(s.Doubts, text)
	}
}

// line returns the line of the torque sheet for a joint, counted as events
// count it.
func (m *stepMaker) line(it *guide.Item, number int) *app.TorqueLine {
	ordinal := 0
	for i := range it.Joints {
		if m.r.Fits(it.Joints[i].For) {
			ordinal++
		}
		if i+1 == number {
			break
		}
	}
	for i := range m.torque.Joints {
		if l := &m.torque.Joints[i]; l.Item.ID == it.ID && l.Ordinal == ordinal {
			return l
		}
	}
	return nil
}
