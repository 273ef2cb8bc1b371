package demo

import (
	"slices"
	"strings"
	"testing"

	"elbowroom/bay"
	"elbowroom/guide"
)

// TestItems compares every cell of items.csv with the guide.
func TestItems(t *testing.T) {
	rows := table(t, "items", 152)
	r := seen(t, "LHD")
	if len(r.Items) != len(rows) {
		t.Fatalf("%d items, want %d", len(r.Items), len(rows))
	}
	for _, row := range rows {
		it := r.Item(guide.ID(row["id"]))
		if it == nil {
			t.Errorf("%s is missing", row["id"])
			continue
		}
		if !strings.HasPrefix(row["name"], it.Name) || len(it.Name) < 4 {
			t.Errorf("%s is called %q, want the beginning of %q", it.ID, it.Name, row["name"])
		}
		if string(it.Class) != row["class"] {
			t.Errorf("%s has class %q, want %q", it.ID, it.Class, row["class"])
		}
		want := guide.Shape{
			Form:   guide.Box,
			Centre: guide.Point{X: row.number(t, "x"), Y: row.number(t, "y"), Z: row.number(t, "z")},
			Size:   guide.Point{X: row.number(t, "dx"), Y: row.number(t, "dy"), Z: row.number(t, "dz")},
		}
		if len(it.At) != 1 || it.At[0].String() != want.String() {
			t.Errorf("%s sits at %v, want %v", it.ID, it.At, want)
		}
		if side := it.Side; side == guide.Left && want.Centre.Y <= 0 || side == guide.Right && want.Centre.Y >= 0 {
			t.Errorf("%s is said to be %s at y = %v", it.ID, side, want.Centre.Y)
		}
	}
}

// torqueWords says how the torque column of items.csv is known, where it is
// no number. An empty cell promises no torque.
var torqueWords = map[string]guide.Known{
	"not applicable":    guide.NotApplicable,
	"unknown":           guide.Unknown,
	"not in scope":      guide.OutOfScope,
	"single-use, angle": guide.Unknown, // the stages are not given, so they are not invented
	"do not open":       "",
	"":                  "",
}

// TestTorques compares the torque of every item, on the engine B, with
// items.csv.
func TestTorques(t *testing.T) {
	r := seen(t, "LHD")
	for _, row := range table(t, "items", 152) {
		var given []float64
		var known []guide.Known
		for _, j := range r.Item(guide.ID(row["id"])).Joints {
			if !r.Fits(j.For) {
				continue
			}
			if len(j.Stages) > 0 {
				if len(j.Stages) > 1 || j.Stages[0].Torque.Unit != "N·m" {
					t.Errorf("%s: stages %v, want one torque", row["id"], j.Stages)
				}
				given = append(given, j.Stages[0].Torque.Number)
			} else {
				known = append(known, j.Torque)
			}
		}
		words, isWord := torqueWords[row["torque_nm"]]
		switch {
		case !isWord && !slices.Equal(given, []float64{row.number(t, "torque_nm")}):
			t.Errorf("%s: torque %v, want %s", row["id"], given, row["torque_nm"])
		case isWord && len(given) > 0:
			t.Errorf("%s: torque %v, want none", row["id"], given)
		case isWord && words != "" && !slices.Equal(known, []guide.Known{words}):
			t.Errorf("%s: torque %v, want %s", row["id"], known, words)
		case isWord && words == "" && (slices.Contains(known, guide.Unknown) || slices.Contains(known, guide.OutOfScope)):
			t.Errorf("%s: torque %v where none is promised", row["id"], known)
		}
	}
}

// notJoints are fixings that are words in the guide, because nothing is
// counted there.
var notJoints = []string{"hook-on", "held by rail", "quick coupling", "clips", "clip", "push-in", "hand", "sealed system", "part of CO02", "part of FU01"}

// TestFixings compares count, thread and drive of the fixing column.
func TestFixings(t *testing.T) {
	r := seen(t, "LHD")
	compared := 0
	for _, row := range table(t, "items", 152) {
		it := r.Item(guide.ID(row["id"]))
		fixing := row["fixing"]
		if fixing == "" || slices.Contains(notJoints, fixing) {
			if len(it.Joints) > 0 || fixing != "" && it.Fixing == "" {
				t.Errorf("%s: fixing %q is %q and %v", it.ID, fixing, it.Fixing, it.Joints)
			}
			continue
		}
		var got []string
		for _, j := range it.Joints {
			if !r.Fits(j.For) {
				continue
			}
			got = append(got, j.String())
		}
		if it.Class == guide.Connect {
			compareConnector(t, it, row)
			continue
		}
		for _, part := range strings.Split(fixing, " + ") {
			compared++
			if !slices.ContainsFunc(got, func(s string) bool { return saysFixing(s, part) }) && it.Fixing != "in a "+strings.Split(part, ",")[0] {
				t.Errorf("%s: no joint says %q: %q", it.ID, part, got)
			}
		}
	}
	if compared < 90 {
		t.Errorf("only %d fixings were compared", compared)
	}
}

// compareConnector compares the lock and the number of ways of an in-line
// connector.
func compareConnector(t *testing.T, it *guide.Item, row row) {
	t.Helper()
	if it.Connector == nil || it.Connector.Lock != row["fixing"] {
		t.Errorf("%s: connector %v, want a %s", it.ID, it.Connector, row["fixing"])
		return
	}
	pins := 0.0 // not given
	if name, ok := strings.CutSuffix(row["name"], "-way"); ok {
		pins = figures(name[strings.LastIndex(name, " "):])[0]
	}
	if float64(it.Connector.Pins) != pins {
		t.Errorf("%s: %d ways, want %v", it.ID, it.Connector.Pins, pins)
	}
}

// saysFixing reports whether a joint in its short form says the count, the
// thread and the drive of a fixing such as "1 x M6 T30", "2 unions M14x1.5"
// or "M12x1.25 16 mm".
func saysFixing(joint, fixing string) bool {
	words := strings.Fields(strings.ReplaceAll(fixing, ",", ""))
	if !strings.ContainsRune("0123456789", rune(words[0][0])) {
		words = append([]string{"1"}, words...) // a single one is not counted
	}
	if !strings.HasPrefix(joint, words[0]+" ") {
		return false
	}
	for _, w := range words[1:] {
		switch w = strings.TrimSuffix(w, "s"); {
		case w == "x" || w == "mm" || w == "rubber" && strings.Contains(joint, "rubber"):
		case !strings.Contains(joint, w):
			return false
		}
	}
	return true
}

// TestVariantTorques holds the rules of section "variants": thermostat housing
// and knock sensors.
func TestVariantTorques(t *testing.T) {
	g := load(t)
	for _, c := range []struct {
		engine guide.ID
		want   float64
		reason string
	}{
		{"A", 8, "screws go into the housing"},
		{"B", 9, "metal inserts"},
	} {
		r, err := guide.Resolve(g, guide.Selector{{Values: []guide.ID{"LHD"}}, {Values: []guide.ID{c.engine}}})
		if err != nil {
			t.Fatal(err)
		}
		var got []float64
		for _, j := range r.Item("CO02").Joints {
			if r.Fits(j.For) {
				got = append(got, j.Stages[0].Torque.Number)
			}
		}
		if !slices.Equal(got, []float64{c.want}) {
			t.Errorf("thermostat housing, engine %s: %v N·m, want %v: %s", c.engine, got, c.want, c.reason)
		}
	}
	for _, id := range []guide.ID{"SE13", "SE14"} {
		was := seen(t, "LHD").Item(id).Joints[0].Was
		if len(was) != 1 || was[0].Value != "22 N·m" || was[0].Until != "revision 3" || was[0].Reason != "lead fractures" {
			t.Errorf("%s: superseded values %v", id, was)
		}
	}
}

// TestMirror checks that the driver's side carries servo and steering shaft.
func TestMirror(t *testing.T) {
	left, right := seen(t, "LHD"), seen(t, "RHD")
	for _, it := range left.Items {
		other := right.Item(it.ID)
		mirrored := strings.HasPrefix(string(it.ID), "BD")
		if y, z := it.At[0].Centre.Y, other.At[0].Centre.Y; mirrored != (y != z) || mirrored && y != -z {
			t.Errorf("%s at y = %v on LHD and %v on RHD", it.ID, y, z)
		}
		if mirrored && (it.Side == other.Side || it.Side == "") {
			t.Errorf("%s is %q on LHD and %q on RHD", it.ID, it.Side, other.Side)
		}
	}
}

// TestOverlaps: what shares room says so, and nothing else says so.
func TestOverlaps(t *testing.T) {
	share := map[[2]guide.ID]bool{}
	g := load(t)
	for _, drive := range []guide.ID{"LHD", "RHD"} {
		r := seen(t, drive)
		for _, o := range bay.New(r).Overlaps() {
			t.Errorf("%s: %s and %s share %.0f mm and do not say so", drive, o.A, o.B, float64(o.Millimetres))
		}
		bare := *r
		bare.Items = slices.Clone(r.Items)
		for i := range bare.Items {
			bare.Items[i].Inside, bare.Items[i].PartOf = nil, ""
		}
		for _, o := range bay.New(&bare).Overlaps() {
			share[[2]guide.ID{o.A, o.B}], share[[2]guide.ID{o.B, o.A}] = true, true
		}
	}
	for _, it := range g.Items {
		for _, host := range it.Inside {
			if !share[[2]guide.ID{it.ID, host}] {
				t.Errorf("%s says that it lies inside %s, but they are apart", it.ID, host)
			}
		}
	}
}

// TestNames: people find things by the words they use.
func TestNames(t *testing.T) {
	r := seen(t, "LHD")
	for words, want := range map[string]guide.ID{
		"MAP sensor":      "SE02",
		"ECT":             "SE03",
		"thermostat":      "CO02",
		"generator":       "AC14",
		"cat left":        "EX04",
		"hatch":           "PN03",
		"knock sensor 1":  "SE13",
		"coil 6":          "IG06",
		"ECU":             "EL01",
		"F14":             "EL05",
		"valley":          "X3",
		"crank sensor":    "SE08",
		"oil pan":         "ST07",
		"EVAP valve":      "AC09",
		"brake booster":   "BD01",
		"water pump":      "CO05",
		"expansion tank":  "CO01",
		"earth G5":        "G5",
		"top cover":       "PN01",
		"lambda upstream": "SE17",
	} {
		hits := r.Find(words)
		if !slices.ContainsFunc(hits[:min(3, len(hits))], func(h guide.Hit) bool { return h.Item.ID == want }) {
			t.Errorf("%q does not find %s among the first three of %d", words, want, len(hits))
		}
	}
}
