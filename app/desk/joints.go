package desk

import (
	"fmt"
	"strings"

	"elbowroom/guide"
	"elbowroom/joint"
	"elbowroom/workshop"
)

// owned returns the torque wrenches of a workshop.
func owned(w *workshop.Workshop) []joint.Wrench {
	if w == nil {
		return nil
	}
	var list []joint.Wrench
	for _, t := range w.Tools {
		if _, err := joint.TorqueIn(t.Highest); t.Highest.Zero() || err != nil {
			continue
		}
		list = append(list, joint.Wrench{ID: string(t.ID), Name: t.Name, Lowest: t.Lowest, Highest: t.Highest, Due: t.Due})
	}
	return list
}

func (m *stepMaker) sheetWrenches() []SheetWrench {
	var list []SheetWrench
	for _, w := range m.wrenches {
		s := SheetWrench{ID: guide.ID(w.ID), Name: w.Name}
		if w.Due != "" && w.Due < m.day {
			s.Note = "check overdue since " + w.Due
		}
		list = append(list, s)
	}
	return list
}

// tightened adds what is known of a joint of an item: how it opens, and when
// it is to be closed how it is tightened and with what.
func (m *stepMaker) tightened(s *SheetJoint, it *guide.Item, j *guide.Joint, closing bool) {
	s.Drive, s.State, s.Note = j.Drive, string(j.State), j.Note
	s.Was = struck(j.Was)
	s.Source = m.source(j.Source, it.Source)
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
	m.wrench(s, j)
}

func struck(was []guide.Was) []string {
	var list []string
	for _, w := range was {
		text := w.Value
		if w.Until != "" {
			text += ", until " + w.Until
		}
		if w.Reason != "" {
			text += ": " + w.Reason
		}
		list = append(list, text)
	}
	return list
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

// wrench names the wrench to take for the last torque of the joint, or says
// why none will do.
func (m *stepMaker) wrench(s *SheetJoint, j *guide.Joint) {
	torques := joint.Torques(j.Stages)
	if len(torques) == 0 {
		return
	}
	want := torques[len(torques)-1]
	c := joint.Choose(m.wrenches, want, joint.Adapter{}, m.day)
	best := c.Best()
	if best == nil {
		s.Setting = "no wrench of this workshop reaches " + joint.Show(want, "N·m").String()
		if len(c.Would) > 0 {
			s.Setting += "; it would take " + strings.Join(c.Would, ", or ")
		}
		return
	}
	s.Wrench = guide.ID(best.Wrench.ID)
	s.Setting = fmt.Sprintf("%s at %s", best.Wrench.Name, joint.Show(best.Setting, "N·m"))
	if best.Use != joint.Serves {
		s.Setting = guide.Capital(best.Says)
	}
}

// source says where a fact of a joint comes from.
func (m *stepMaker) source(ids ...guide.ID) string {
	for _, id := range append(ids, m.r.Guide.Source) {
		for _, s := range m.r.Guide.Sources {
			if id != "" && s.ID == string(id) {
				return s.String()
			}
		}
	}
	return ""
}
