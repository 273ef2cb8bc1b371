package compare

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"elbowroom/demo"
	"elbowroom/guide"
)

func demoGuide(t testing.TB) *guide.Guide {
	t.Helper()
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func seen(t testing.TB, g *guide.Guide) *guide.Resolved {
	t.Helper()
	r, err := guide.Resolve(g, guide.Selector{{Values: []guide.ID{"LHD"}}, {Values: []guide.ID{"A"}}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func item(g *guide.Guide, id guide.ID) *guide.Item {
	return &g.Items[slices.IndexFunc(g.Items, func(it guide.Item) bool { return it.ID == id })]
}

func check(g *guide.Guide, id guide.ID) *guide.Check {
	return &g.Checks[slices.IndexFunc(g.Checks, func(c guide.Check) bool { return c.ID == id })]
}

func condition(g *guide.Guide, id guide.ID) *guide.Condition {
	return &g.Conditions[slices.IndexFunc(g.Conditions, func(c guide.Condition) bool { return c.ID == id })]
}

func parse[T any, P interface {
	*T
	ReadShort(string) error
}](t testing.TB, text string) T {
	t.Helper()
	v, err := guide.Parse[T, P](text)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestTheSameHasNoDifference(t *testing.T) {
	if d := Revisions(seen(t, demoGuide(t)), seen(t, demoGuide(t))); len(d) > 0 {
		t.Errorf("%+v", d)
	}
}

// TestDifferences makes one change at a time to the demonstration's guide and
// reads what is said of it, one way and the other.
func TestDifferences(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(t *testing.T, g *guide.Guide) // makes the newer guide
		says []string
	}{
		{"torque", func(t *testing.T, g *guide.Guide) {
			j := parse[guide.Joint](t, "11 x M6x45 T30 8.8 into aluminium, 9 N·m dry, crosswise, reusable")
			j.Was = []guide.Was{{Value: "10 N·m", Until: "revision 4", Reason: "gaskets creep"}}
			item(g, "AR04").Joints = []guide.Joint{j}
		}, []string{"intake plenum (AR04), joint screw M6: torque 10 N·m dry → 9 N·m dry (superseded until revision 4, gaskets creep)"}},
		{"torque of a kind", func(t *testing.T, g *guide.Guide) {
			i := slices.IndexFunc(g.Kinds, func(k guide.Kind) bool { return k.ID == "fuel-rail" })
			g.Kinds[i].Joints = []guide.Joint{parse[guide.Joint](t, "4 x M8 E10 10.9 into aluminium, 24 N·m oiled, outwards, reusable")}
		}, []string{
			"right fuel rail (FU04), joint screw M8: torque 24 N·m dry → 24 N·m oiled",
			"left fuel rail (FU05), joint screw M8: torque 24 N·m dry → 24 N·m oiled",
		}},
		{"single-use from now on", func(t *testing.T, g *guide.Guide) { item(g, "AR04").Joints[0].Reuse = guide.SingleUse }, []string{
			"intake plenum (AR04), joint screw M6: re-use reusable → single-use",
		}},
		{"minutes", func(t *testing.T, g *guide.Guide) { item(g, "AR04").Ways[0].Back += 6 * 60e9 }, []string{
			"intake plenum (AR04), way off from top: minutes 24 min out, 34 min back → 24 min out, 40 min back",
		}},
		{"needs and tools", func(t *testing.T, g *guide.Guide) {
			w := &item(g, "AR05").Ways[0]
			w.Needs = append(w.Needs, guide.Need{Item: "SE13", Off: true})
			w.Tools = []guide.ID{"mirror"}
		}, []string{
			"lower intake manifold (AR05), way off from top: needs AR04 → AR04, SE13 off",
			"lower intake manifold (AR05), way off from top: tools not given → mirror",
		}},
		{"another way", func(t *testing.T, g *guide.Guide) {
			it := item(g, "SE03")
			it.Ways = append(it.Ways, parse[guide.Way](t, "replace from top; needs AR04; with key=off, engine=cold; 8 min; seen; 1 hand"))
		}, []string{"engine coolant temperature sensor (SE03), way replace from top: new, minutes 8 min; needs AR04; conditions key=off, engine=cold; hands 1; sight seen"}},
		{"a way for another variant", func(t *testing.T, g *guide.Guide) {
			it := item(g, "SE03")
			it.Ways = append(it.Ways, parse[guide.Way](t, "replace from below; for RHD; 8 min; seen; 1 hand"))
		}, nil},
		{"a new item", func(t *testing.T, g *guide.Guide) {
			g.Items = append(g.Items, guide.Item{ID: "ZZ01", Name: "Rain cap"})
		}, []string{"rain cap (ZZ01): new"}},
		{"limit", func(t *testing.T, g *guide.Guide) {
			check(g, "T35").Limits = []guide.Limit{parse[guide.Limit](t, ">= 2 MΩ")}
		}, []string{
			"check insulation (T35): limit >= 1 MΩ → >= 2 MΩ",
		}},
		{"condition of a limit", func(t *testing.T, g *guide.Guide) { check(g, "T36").When = check(g, "T36").When[:1] }, []string{
			"check insulation, sensor side (T36): when X3 apart, meter <= 50 V → X3 apart",
		}},
		{"wait", func(t *testing.T, g *guide.Guide) { condition(g, "engine").Changes[3].Wait += 20 * 60e9 }, []string{
			"condition engine temperature (engine), change warm to cold: wait 70 min → 90 min",
		}},
		{"one of several like changes", func(t *testing.T, g *guide.Guide) { condition(g, "running").Changes[1].Do = "Start it" }, []string{
			"condition engine running (running), change no to yes (2): step Start the engine → Start it",
		}},
		{"prohibition", func(t *testing.T, g *guide.Guide) { condition(g, "oil").Values[1].Forbids = "do not crank" }, []string{
			"condition engine oil (oil), value drained: forbids do not start → do not crank",
		}},
		{"caution", func(t *testing.T, g *guide.Guide) { g.Cautions[0].Authority = "somebody" }, []string{": authority "}},
		{"part", func(t *testing.T, g *guide.Guide) { g.Parts[0].Price += 10 }, []string{"part rivet for the wheel-arch liner (liner-rivet): price 0.60 → 0.70"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			old, now := demoGuide(t), demoGuide(t)
			c.edit(t, now)
			there, back := Revisions(seen(t, old), seen(t, now)), Revisions(seen(t, now), seen(t, old))
			if len(there) != len(c.says) || len(back) != len(c.says) {
				t.Fatalf("%d and %d differences, want %d: %+v", len(there), len(back), len(c.says), there)
			}
			for i, want := range c.says {
				if !strings.Contains(there[i].Says, want) {
					t.Errorf("it says\n%s\nwant\n%s", there[i].Says, want)
				}
				turned := map[Sort]Sort{Added: Removed, Removed: Added, Changed: Changed}
				if b := back[i]; b.Sort != turned[there[i].Sort] || b.Was != there[i].Is || b.Is != there[i].Was || b.Old != there[i].New || b.New != there[i].Old {
					t.Errorf("the other way round it is %+v, there %+v", b, there[i])
				}
			}
		})
	}
}

func TestSaid(t *testing.T) {
	now := demoGuide(t)
	old := *now
	old.Revisions = now.Revisions[:2]
	said := Said(&old, now)
	if len(said) != 1 || said[0].ID != "r3" || !strings.Contains(said[0].Says, "22 → 20 N·m") {
		t.Errorf("%+v", said)
	}
	if said := Said(now, &old); len(said) != 0 {
		t.Errorf("the older one says more: %+v", said)
	}
}

// TestEveryFieldIsCompared: a field that is added to the vocabulary must be
// compared here or named as left out.
func TestEveryFieldIsCompared(t *testing.T) {
	left := map[string]string{
		"Item.ID": "matched", "Item.Also": "other names", "Item.Kind": "written out", "Item.Class": "drawing", "Item.For": "the variant",
		"Item.Landmark": "drawing", "Item.Inside": "drawing", "Item.Seen": "said by the ways", "Item.Pictures": "pictures", "Item.Was": "reasons", "Item.Source": "sources",
		"Joint.ID": "matched", "Joint.For": "the variant", "Joint.What": "matched", "Joint.Thread": "matched", "Joint.Was": "reasons", "Joint.Source": "sources",
		"Way.ID": "matched", "Way.Do": "matched", "Way.From": "matched", "Way.For": "matched", "Way.Source": "sources",
		"Check.ID": "matched", "Check.On": "whom it speaks of", "Check.Tells": "what it tells", "Check.Source": "sources",
		"Condition.ID": "matched", "Condition.Source": "sources", "Value.ID": "matched",
		"Change.From": "matched", "Change.To": "matched", "Change.Source": "sources",
	}
	shown := map[string]bool{}
	for _, x := range []struct {
		zero any
		of   func(v any) thing
	}{
		{guide.Item{}, func(v any) thing { it := v.(guide.Item); return itemFacts(&guide.Resolved{Guide: &guide.Guide{}})(&it) }},
		{guide.Joint{}, func(v any) thing { j := v.(guide.Joint); return thing{parts: []part{jointFacts(counted{}, &j, 0)}} }},
		{guide.Way{}, func(v any) thing { w := v.(guide.Way); return thing{parts: []part{wayFacts(counted{}, &w, 0)}} }},
		{guide.Check{}, func(v any) thing { c := v.(guide.Check); return checkFacts(&c) }},
		{guide.Condition{}, func(v any) thing { c := v.(guide.Condition); return conditionFacts(&c) }},
		{guide.Change{}, func(v any) thing { return conditionFacts(&guide.Condition{Changes: []guide.Change{v.(guide.Change)}}) }},
		{guide.Value{}, func(v any) thing { return conditionFacts(&guide.Condition{Values: []guide.Value{v.(guide.Value)}}) }},
	} {
		typ := reflect.TypeOf(x.zero)
		for i := range typ.NumField() {
			name := typ.Name() + "." + typ.Field(i).Name
			shown[name] = true
			v := reflect.New(typ).Elem()
			if typ.Name() == "Way" {
				v.FieldByName("Do").SetString(string(guide.Off)) // so that Back counts
			}
			if name == "Joint.State" {
				v.FieldByName("Stages").Set(reflect.MakeSlice(v.FieldByName("Stages").Type(), 1, 1))
			}
			empty := x.of(v.Interface())
			if !fill(v.Field(i)) {
				t.Errorf("%s: the test cannot fill it", name)
				continue
			}
			differs := !reflect.DeepEqual(flat(x.of(v.Interface())), flat(empty))
			if differs && left[name] != "" && left[name] != "matched" && left[name] != "reasons" {
				t.Errorf("%s is compared although it is named as left out: %s", name, left[name])
			}
			if !differs && left[name] == "" {
				t.Errorf("%s is not compared, and no reason is given", name)
			}
		}
	}
	for name := range left {
		if !shown[name] {
			t.Errorf("%s does not exist any more", name)
		}
	}
}

func flat(x thing) []string {
	var texts []string
	for _, p := range x.parts {
		texts = append(texts, string(p.of)+p.name)
		for _, f := range p.facts {
			texts = append(texts, f.name+"="+f.text)
		}
	}
	return texts
}

// fill sets a value to something that is not its zero.
func fill(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.String:
		v.SetString("x")
	case reflect.Int, reflect.Int64:
		v.SetInt(7 * 60e9)
	case reflect.Float64:
		v.SetFloat(7)
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fill(v.Index(0))
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem())
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Field(i).Type() != reflect.TypeFor[guide.Selector]() {
				fill(v.Field(i))
			}
		}
	case reflect.Array:
		return fill(v.Index(0))
	default:
		return false
	}
	return true
}
