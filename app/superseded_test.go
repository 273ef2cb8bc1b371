package app_test

import (
	"testing"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joblog"
)

// oneJoint is a guide with one cover on one joint, as a job sees it.
func oneJoint(t *testing.T, text string, was ...string) *guide.Resolved {
	t.Helper()
	j, err := guide.Parse[guide.Joint](text)
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range was {
		j.Was = append(j.Was, guide.Was{Value: w, Reason: "because"})
	}
	r, err := guide.Resolve(&guide.Guide{Format: 1, ID: "g", Items: []guide.Item{{ID: "A1", Name: "Cover", Joints: []guide.Joint{j}}}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Which values of a job count as superseded, with each unit as written:
// 1 kgf·m is 9.806 65 N·m, and 22 N·m are 194.7 lbf·in and not 195, by the
// factors of NIST SP 811, appendix B.8.
func TestOldValues(t *testing.T) {
	const screw = "1 x M8x30 T45 8.8 into aluminium, "
	for _, c := range []struct {
		name, reason string
		then, ticked string
		now          string
		was          []string
		old          string // empty: not listed
	}{
		{"as on the sheet", "the sheet had the old value", screw + "22 N·m dry", "22 N·m", screw + "20 N·m dry", []string{"22 N·m"}, "22 N·m"},
		{"nothing said", "then the revision at the time says it", screw + "22 N·m dry", "", screw + "20 N·m dry", []string{"22 N·m"}, "22 N·m"},
		{"the present one", "somebody knew better than the sheet", screw + "22 N·m dry", "20 N·m", screw + "20 N·m dry", []string{"22 N·m"}, ""},
		{"another way to write it", "a unit is a unit", screw + "22 N·m dry", "22 Nm", screw + "20 N·m dry", []string{"22 N·m"}, "22 Nm"},
		{"in another unit", "1 kgf·m is 9.80665 N·m exactly", screw + "9.80665 N·m dry", "1 kgf·m", screw + "9 N·m dry", []string{"9.80665 N·m"}, "1 kgf·m"},
		{"rounded in another unit", "nobody has said that it is the same", screw + "22 N·m dry", "195 lbf·in", screw + "20 N·m dry", []string{"22 N·m"}, ""},
		{"another value", "neither old nor present", screw + "22 N·m dry", "25 N·m", screw + "20 N·m dry", []string{"22 N·m"}, ""},
		{"back again", "a value that was superseded and holds again", screw + "22 N·m dry", "22 N·m", screw + "22 N·m dry", []string{"22 N·m", "20 N·m"}, ""},
		{"the angle was added", "the torque alone is another tightening", screw + "40 N·m", "40 N·m", screw + "40 N·m + 90°", []string{"40 N·m"}, "40 N·m"},
		{"the angle was changed", "stage by stage", screw + "40 N·m + 60°", "40 N·m + 60°", screw + "40 N·m + 90°", []string{"40 N·m + 60°"}, "40 N·m + 60°"},
		{"dry instead of oiled", "a value does not carry over", screw + "10 N·m oiled", "10 N·m", screw + "10 N·m dry", []string{"10 N·m oiled"}, "10 N·m"},
		{"nothing superseded", "a value that nobody calls old", screw + "22 N·m dry", "22 N·m", screw + "20 N·m dry", nil, ""},
		{"no number", "words of a list without a number", screw + "22 N·m dry", "Hand  tight", screw + "20 N·m dry", []string{"hand tight"}, "Hand  tight"},
		{"another fastener", "the joint itself was made another one", "1 x M6 T30, 22 N·m dry", "22 N·m", screw + "20 N·m dry", []string{"22 N·m"}, "22 N·m"},
	} {
		lines := []joblog.JointLine{{Item: "A1", Joint: 1, Count: 1, Ticks: [][]joblog.Tick{{{Stamp: joblog.Stamp{By: "ada", At: 7}, Done: true, Value: c.ticked}}}}}
		list := app.OldValues(oneJoint(t, c.now, c.was...), app.TightenedIn([]app.PlanAt{{Guide: oneJoint(t, c.then)}}, lines))
		switch {
		case c.old == "" && len(list) > 0:
			t.Errorf("%s: listed %+v: %s", c.name, list, c.reason)
		case c.old != "" && (len(list) != 1 || list[0].Value != c.old || list[0].Was.Reason != "because" || list[0].By != "ada" || list[0].At != 7):
			t.Errorf("%s: %+v: %s", c.name, list, c.reason)
		}
	}
}

// Fasteners are told apart by value and person, those that are open with the
// value that they are still to get; connectors have none.
func TestOldValuesByFastener(t *testing.T) {
	then, now := oneJoint(t, "4 x M6x25 T30, 10 N·m dry"), oneJoint(t, "4 x M6x25 T30, 9 N·m dry", "10 N·m")
	tick := func(by joblog.Person, at joblog.Moment, value string) []joblog.Tick {
		return []joblog.Tick{{Stamp: joblog.Stamp{By: by, At: at}, Done: true, Value: value}}
	}
	lines := []joblog.JointLine{
		{Item: "A1", Joint: 0, Count: 1, Ticks: [][]joblog.Tick{tick("ada", 1, "10 N·m")}},
		{Item: "A1", Joint: 1, Count: 4, Ticks: [][]joblog.Tick{tick("ada", 1, "10 N·m"), tick("ben", 2, "10 N·m"), tick("ada", 3, "10 N·m"), nil}},
		{Item: "A1", Joint: 2, Count: 1, Ticks: [][]joblog.Tick{tick("ada", 1, "10 N·m")}}, // the revision has no such joint
	}
	told := app.TightenedIn([]app.PlanAt{{Guide: then}}, lines)
	list := app.OldValues(now, told)
	if len(list) != 3 || len(list[0].Fasteners) != 2 || list[0].Fasteners[1] != 3 || list[0].At != 3 || list[1].By != "ben" || !list[2].Open || list[2].Fasteners[0] != 4 {
		t.Errorf("%+v", list)
	}
	if last := told[len(told)-1]; len(last.Unsaid) != 1 || last.Unsaid[0] != 1 {
		t.Errorf("of the joint that the revision does not have: %+v", last)
	}
}
