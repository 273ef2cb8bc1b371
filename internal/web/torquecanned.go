package web

import (
	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joint"
	"elbowroom/quantity"
)

// cannedTorques are joints with everything that a joint can show.
func cannedTorques(st state) []torqueView {
	plate, plug := &guide.Item{ID: "T1", Name: "Cover plate"}, &guide.Item{ID: "T2", Name: "Drain plug"}
	nm := func(n float64) quantity.Value { return quantity.Of(n, "N·m") }
	wrench := joint.Wrench{Name: "small wrench", Lowest: nm(5), Highest: nm(25), Mark: nm(0.5), Arm: 260, Due: "2026-10-14"}
	choose := func(t joint.NewtonMetres, a joint.Adapter, day string) joint.Choice {
		return joint.Choose([]joint.Wrench{wrench}, t, a, day)
	}
	full := app.TorqueLine{
		Number: 1, Step: 4, Item: plate, Fastener: "8 × M8x30 T40 10.9 into aluminium", Joint: guide.Joint{Count: 8, State: guide.Oiled, Stages: []guide.Stage{{Torque: nm(15)}, {Angle: 90}}},
		Layout: joint.Lay("crosswise", 8), Next: joint.NextTime(guide.SingleUse, nil), Part: &app.PartLine{Name: "plate screw", Count: 8},
		Stages: []app.TorqueStage{
			{Text: "15 N·m", Also: "11.1 lbf·ft", Tool: "small wrench", Set: "12.2 N·m", Marks: []string{"12 N·m gives 14.8 N·m", "12.5 N·m gives 15.4 N·m"}, Choice: choose(15, joint.Adapter{Reach: 60, Bend: 0}, "")},
			{Text: "90°", Angle: 90, Tool: "angle gauge", Set: "90°"},
		},
		Was: []app.WasLine{{Value: "18 N·m", Until: "revision 2", Date: "2024-02-01", Reason: "threads stripped"}}, Others: []string{"20 N·m dry"}, Source: "first-hand, house",
		Findings: []app.TorqueFinding{{Sort: app.ToolOverdue, Says: "the wrench was due for its check on 2026-01-14", Do: "use it once it has been checked"}},
	}
	unknown := app.TorqueLine{
		Number: 2, Item: plug, Fastener: "1 × M14x1.5 hex 17", Joint: guide.Joint{Count: 1, Torque: guide.Unknown}, Layout: joint.Lay("", 1),
		Findings: []app.TorqueFinding{{Sort: app.TorqueMissing, Says: "nobody has written down the torque", Do: "ask the maker"}},
	}
	none := app.TorqueLine{Number: 3, Item: plug, Fastener: "2 clips", Joint: guide.Joint{Count: 2, Torque: guide.NotApplicable}, Layout: joint.Lay("", 2)}
	var out []torqueView
	for _, l := range []app.TorqueLine{full, unknown, none} {
		out = append(out, torqueOf(st.bare(), tightening{}, &l, "/plan"))
	}
	return out
}
