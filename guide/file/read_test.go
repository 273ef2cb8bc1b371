package file

import (
	"strings"
	"testing"
	"testing/fstest"

	"elbowroom/guide"
)

// component documents a new component with three ways and two joints: the
// work of a person with a keyboard between two jobs.
const component = `SE99:
  name: Knock sensor, spare
  kind: knock
  at: box -150 -40 200 size 30 30 25
  joints:
    - 1 x M8x30 T40 8.8 into aluminium, 20 N·m dry, single-use, part knock-screw
    - 2 clips, torque not applicable
  ways:
    - off from top; needs PN01; 3/4 min; seen; 1 hand
    - check from cab; 4 min; by feel; 1 hand
    - replace from top; needs PN01 off; with cold; 4 min; seen; 2 hands; uses 1 knock-screw
`

const around = `format: 1
guide: sample
conditions:
  engine: {name: Engine temperature, values: [cold, hot], start: hot}
places: {top: from above, cab: through the cab hatch}
parts: {knock-screw: Screw M8x30}
kinds: {knock: Knock sensor}
`

func TestAComponentTakesFewLines(t *testing.T) {
	if n := strings.Count(component, "\n"); n >= 15 {
		t.Fatalf("a component with three ways and two joints takes %d lines; it must take fewer than 15", n)
	}
	text := around + "items:\n  PN01:\n    name: Cover\n    ways: off from top; 1/1 min\n" + shifted(component)
	g, _, list := Read(fstest.MapFS{"g.yaml": {Data: []byte(text)}}, "g.yaml")
	if g == nil {
		t.Fatal(list)
	}
	it := g.Items[1]
	if len(it.Ways) != 3 || len(it.Joints) != 2 || it.Ways[2].With[0] != (guide.Req{Condition: "engine", Value: "cold"}) {
		t.Errorf("read back wrongly: %+v", it)
	}
}

func shifted(s string) string {
	return "  " + strings.TrimSuffix(strings.ReplaceAll(s, "\n", "\n  "), "  ")
}
