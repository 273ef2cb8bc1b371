package draft

import (
	"slices"
	"strings"

	"elbowroom/capture"
	"elbowroom/guide"
	"elbowroom/quantity"
)

// fasten puts a fact into a joint of the item; false when there is no joint it
// can belong to.
func (m *merger) fasten(it *guide.Item, f *capture.Fact) bool {
	if f.Kind == capture.Count {
		return m.count(it, f)
	}
	if f.Kind == capture.Torque && f.Value.Text == "not applicable" {
		return m.notTightened(it)
	}
	i := m.jointFor(it, f)
	if i < 0 {
		return false
	}
	j := &it.Joints[i]
	old := *j
	if !m.fill(it, i, f) {
		return false
	}
	m.supersede(it, i, &old, f)
	m.said[jointKey(it, i)] = append(m.said[jointKey(it, i)], f)
	return true
}

// count finds the joint of the fasteners that were counted, or makes one.
func (m *merger) count(it *guide.Item, f *capture.Fact) bool {
	if f.Value.Count == 0 || f.Value.What != "" && !isBolted(lastWord(f.Value.What)) && !clipLike(f.Value.What) {
		return false
	}
	what := f.Value.What
	if what == "screw" {
		what = ""
	}
	i := slices.IndexFunc(it.Joints, func(j guide.Joint) bool {
		return screwLike(j.What) == screwLike(what) && (j.What == what || screwLike(what))
	})
	key := string(it.ID)
	if i >= 0 && !m.written(it, i, capture.Count, f) {
		m.joint[key] = i
		if it.Joints[i].Count != f.Value.Count {
			old := it.Joints[i]
			it.Joints[i].Count = f.Value.Count
			m.supersede(it, i, &old, f)
			m.said[jointKey(it, i)] = append(m.said[jointKey(it, i)], f)
		}
		return true
	}
	if i >= 0 {
		return it.Joints[i].Count == f.Value.Count
	}
	j := guide.Joint{Count: f.Value.Count, What: what, Source: m.sourceOf(f)}
	if !isBolted(lastWord(f.Value.What)) && f.Value.What != "" {
		j.Torque = guide.NotApplicable
	} else if f.Value.Count > 0 {
		j.Torque = guide.Unknown
	}
	it.Joints = append(it.Joints, j)
	m.joint[key] = len(it.Joints) - 1
	m.written(it, len(it.Joints)-1, capture.Count, f)
	m.said[jointKey(it, len(it.Joints)-1)] = []*capture.Fact{f}
	return true
}

// screwLike reports fasteners that people mix up in speech.
func screwLike(what string) bool { return what == "" || what == "screw" || what == "bolt" }

func clipLike(what string) bool {
	return slices.Contains([]string{"tab", "clamp", "hose clip", "grommet", "rivet", "press stud", "clip"}, what)
}

// written notes that this merge writes a field, and reports whether it had
// written it before with a fact that is at least as sure: the second of two
// that contradict each other becomes a note.
func (m *merger) written(it *guide.Item, i int, kind capture.Kind, f *capture.Fact) bool {
	key := jointKey(it, i) + "/" + string(kind)
	grade, done := m.own[key]
	if done && !capture.Surer(f.Grade, grade) {
		return true
	}
	m.own[key] = f.Grade
	return false
}

// jointFor returns the joint that a fact about fasteners belongs to: the one
// named, the one counted, the only one, or a thing's own thread. -1 is none.
func (m *merger) jointFor(it *guide.Item, f *capture.Fact) int {
	if f.Value.On != "" {
		return slices.IndexFunc(it.Joints, func(j guide.Joint) bool { return j.What == f.Value.On })
	}
	if i, ok := m.joint[string(it.ID)]; ok {
		return i
	}
	switch {
	case len(it.Joints) == 1:
		return 0
	case len(it.Joints) > 1 || f.Kind == capture.Order:
		return -1
	case !ownThread(it, f):
		return -1
	}
	it.Joints = append(it.Joints, guide.Joint{Count: 1, Torque: guide.Unknown, Source: m.sourceOf(f)})
	m.joint[string(it.ID)] = len(it.Joints) - 1
	return len(it.Joints) - 1
}

// ownThread reports whether a thing is screwed in by itself, so that there is
// one thread and nothing to count.
func ownThread(it *guide.Item, f *capture.Fact) bool {
	words := strings.Fields(strings.ToLower(f.Item.Bare))
	last := words[len(words)-1]
	return slices.Contains([]string{"sensor", "switch", "sender", "plug", "screw", "valve", "injector", "solenoid", "tap", "probe"}, last) && it.Fixing == ""
}

// fill writes one field of a joint; false when the joint cannot hold it.
func (m *merger) fill(it *guide.Item, i int, f *capture.Fact) bool {
	j := &it.Joints[i]
	if m.written(it, i, f.Kind, f) {
		return false
	}
	switch f.Kind {
	case capture.Thread:
		parsed, err := guide.Parse[guide.Joint]("1 x " + f.Value.Text)
		if err != nil {
			return false
		}
		j.Thread, j.Lengths = parsed.Thread, parsed.Lengths
	case capture.Drive:
		if _, err := guide.Parse[guide.Joint]("1 x " + f.Value.Text); err != nil {
			return false // inches stay words
		}
		j.Drive = f.Value.Text
	case capture.Threads:
		j.State = guide.State(f.Value.Text)
	case capture.Order:
		j.Pattern = f.Value.Text
	case capture.Reuse:
		j.Reuse = guide.Reusable
		if strings.HasPrefix(f.Value.Text, "single-use") {
			j.Reuse = guide.SingleUse
		}
	case capture.Torque:
		return fillTorque(j, f)
	}
	return true
}

// fillTorque writes a torque of one value, with its angle. A range, a torque
// without unit or only by hand stays words.
func fillTorque(j *guide.Joint, f *capture.Fact) bool {
	v := f.Value
	if v.Low.Zero() || v.Low != v.High || v.Low.Dimension() != quantity.Torque || v.Low.Number <= 0 {
		return false
	}
	j.Stages, j.Torque = []guide.Stage{{Torque: v.Low}}, guide.Given
	if v.Angle > 0 {
		j.Stages = append(j.Stages, guide.Stage{Angle: v.Angle})
	}
	return true
}

// supersede keeps the value that a fact replaces.
func (m *merger) supersede(it *guide.Item, i int, old *guide.Joint, f *capture.Fact) {
	j := &it.Joints[i]
	had, same := jointSays(old, f)
	if now, _ := jointSays(j, f); had == "" || same || now == had || i >= m.based[it.ID] {
		return
	}
	j.Was = append(slices.Clone(j.Was), guide.Was{Value: had, Reason: "narration " + m.s.Report.Name + ", " + origin(f), Source: old.Source})
}

// notTightened notes that nothing is tightened.
func (m *merger) notTightened(it *guide.Item) bool {
	if len(it.Joints) > 0 {
		return it.Joints[0].Torque == guide.NotApplicable
	}
	if it.Fixing == "" {
		it.Fixing = "no screws"
	}
	return true
}
