package file

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/quantity"
)

// maker is the source of random guides: every field of every type of the vocabulary, by
// reflection, so that a new field cannot be forgotten. Only what a guide must
// keep to (names that exist, sizes above zero) is written by hand.
type maker struct {
	t     *rapid.T
	names map[string][]guide.ID
}

// sorts are the sorts of things that can be referred to, in order.
var sorts = slices.Sorted(maps.Keys(home))

// makeGuide draws a guide that Read must accept.
func makeGuide(t *rapid.T) *guide.Guide {
	m := &maker{t: t, names: map[string][]guide.ID{}}
	g := &guide.Guide{}
	for _, sort := range sorts {
		for i := range rapid.IntRange(1, 3).Draw(t, "number of "+sort) {
			m.names[sort] = append(m.names[sort], guide.ID(fmt.Sprintf("%s-%d", sort, i)))
		}
	}
	g.Axes = []guide.Axis{
		{ID: "drive", Question: m.text(), Values: []guide.AxisValue{{ID: "LHD"}, {ID: "RHD", Name: m.text(), Mirror: m.names["item"][:1]}}},
		{ID: "build", Question: m.text(), Values: []guide.AxisValue{{ID: "A", When: m.text()}, {ID: "B"}}},
	}
	v := reflect.ValueOf(g).Elem()
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if f.Name != "Axes" && f.Name != "Conditions" {
			m.fill(v.Field(i), f.Tag, 0)
		}
	}
	g.Conditions = m.conditions()
	m.keys(g)
	g.Format = guide.Format
	return g
}

// keys gives the entries the names that others refer to.
func (m *maker) keys(g *guide.Guide) {
	v := reflect.ValueOf(g).Elem()
	members := fieldsOf(v.Type())
	for _, sort := range sorts {
		key := home[sort]
		if sort == "condition" {
			continue
		}
		entries := v.Field(members.all[members.byName[key]].index)
		fresh := reflect.MakeSlice(entries.Type(), 0, len(m.names[sort]))
		for i, id := range m.names[sort] {
			e := reflect.New(entries.Type().Elem()).Elem()
			if i < entries.Len() {
				e.Set(entries.Index(i))
			} else {
				m.fill(e, "", 0)
			}
			e.Field(0).SetString(string(id))
			fresh = reflect.Append(fresh, e)
		}
		entries.Set(fresh)
	}
}

func (m *maker) conditions() []guide.Condition {
	var out []guide.Condition
	for i, id := range m.names["condition"] {
		var c guide.Condition
		m.fill(reflect.ValueOf(&c).Elem(), "", 0)
		c.ID = id
		off, own := guide.ID("off"), guide.ID(fmt.Sprintf("v%d", i))
		c.Values = append(c.Values[:1:1], guide.Value{ID: off, Forbids: m.text()})
		c.Values[0].ID = own
		c.Start, c.End = own, guide.End(m.pick("off", "found", "any", ""))
		for j := range c.Changes {
			c.Changes[j].From, c.Changes[j].To = own, off
		}
		out = append(out, c)
	}
	return out
}

func (m *maker) pick(words ...string) string { return rapid.SampledFrom(words).Draw(m.t, "word") }

func (m *maker) id(sort string) guide.ID {
	return rapid.SampledFrom(m.names[sort]).Draw(m.t, sort)
}

var anyText = rapid.StringOfN(rapid.SampledFrom([]rune("aeio nrst ABZ019 .,;:#'\"\\|>&*!%@`{}[]()-=+/_?~µ°Ω²é½—→\n\u00a0漢🔧")), 1, 40, -1)

func (m *maker) text() string {
	s := anyText.Draw(m.t, "text")
	if strings.TrimSpace(s) == "" {
		return "x" + s
	}
	return s
}

func (m *maker) words() string {
	return m.pick("cover", "trim tab breaks", "red-white", "10 s of cranking", "reset: clock", "O-ring, new")
}

func (m *maker) value(units ...string) quantity.Value {
	n := rapid.IntRange(1, 100_000).Draw(m.t, "number")
	return quantity.Of(float64(n)/100, m.pick(units...))
}

func (m *maker) selector() guide.Selector {
	return rapid.SampledFrom([]guide.Selector{
		nil,
		{{Values: []guide.ID{"LHD"}}},
		{{Axis: "drive", Values: []guide.ID{"LHD", "RHD"}}},
		{{Values: []guide.ID{"RHD"}}, {Axis: "build", Values: []guide.ID{"A"}}},
	}).Draw(m.t, "selector")
}

// fill draws a value of any type of the vocabulary.
func (m *maker) fill(v reflect.Value, tag reflect.StructTag, depth int) {
	ref := strings.Fields(tag.Get("ref"))
	optional := strings.HasSuffix(tag.Get("yaml"), ",omitempty")
	if optional && v.Kind() != reflect.Bool && rapid.IntRange(0, 2).Draw(m.t, "left out") == 0 {
		return
	}
	if m.special(v) {
		return
	}
	switch v.Kind() {
	case reflect.String:
		m.str(v, ref)
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(m.t, "bool"))
	case reflect.Int:
		v.SetInt(int64(rapid.IntRange(0, 9999).Draw(m.t, "int")))
	case reflect.Float64:
		v.SetFloat(float64(rapid.IntRange(-100_000, 100_000).Draw(m.t, "float")) / float64(rapid.SampledFrom([]int{1, 64, 1000, 10_000_000}).Draw(m.t, "scale")))
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		m.fill(v.Elem(), "", depth)
	case reflect.Slice:
		m.slice(v, ref, depth)
	case reflect.Array:
		for i := range v.Len() {
			m.fill(v.Index(i), "", depth)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			m.fill(v.Field(i), v.Type().Field(i).Tag, depth+1)
		}
		m.mend(v)
	default:
		panic("no generator for " + v.Type().String())
	}
}

func (m *maker) slice(v reflect.Value, ref []string, depth int) {
	key, value := keyField(v.Type().Elem())
	n := rapid.IntRange(1, 3).Draw(m.t, "length")
	for i := range n {
		e := reflect.New(v.Type().Elem()).Elem()
		if e.Kind() == reflect.String {
			m.str(e, ref)
		} else {
			m.fill(e, "", depth)
		}
		if key >= 0 {
			e.Field(key).SetString(fmt.Sprintf("k%d", i))
		}
		if key >= 0 && v.Type().Elem() == reflect.TypeFor[guide.Odds]() {
			e.Field(key).SetString(string(m.names["fault"][0]))
		}
		v.Set(reflect.Append(v, e))
		if value >= 0 && v.Type().Elem() == reflect.TypeFor[guide.Odds]() {
			return
		}
	}
}

func (m *maker) str(v reflect.Value, ref []string) {
	if w, ok := v.Interface().(worded); ok {
		v.SetString(m.pick(w.Allowed()...))
		return
	}
	switch v.Interface().(type) {
	case guide.ID:
		if len(ref) > 0 {
			v.SetString(string(m.id(ref[0])))
			return
		}
		v.SetString(m.pick("a1", "no", "Zündung", "k_2", "true"))
	case guide.Verb:
		v.SetString(m.pick("off", "aside", "replace", "check", "bleed"))
	default:
		v.SetString(m.text())
	}
}

// special draws types whose values must fit together.
func (m *maker) special(v reflect.Value) bool {
	switch p := v.Addr().Interface().(type) {
	case *time.Duration:
		*p = time.Duration(rapid.SampledFrom([]int{1, 60, 500, 60_000, 90_000, 3_600_000, 7_200_000, 86_400_001}).Draw(m.t, "ms")) * time.Millisecond * time.Duration(rapid.IntRange(1, 6).Draw(m.t, "times"))
	case *money.Amount:
		*p = money.Amount(rapid.IntRange(0, 1_000_000).Draw(m.t, "cents"))
	case *quantity.Value:
		*p = m.value("N·m", "V", "°C", "mm", "1", "%", "MΩ")
		p.Number *= float64(rapid.SampledFrom([]int{-1, 1}).Draw(m.t, "sign"))
	case *guide.Selector:
		*p = m.selector()
	case *guide.Req:
		i := rapid.IntRange(0, len(m.names["condition"])-1).Draw(m.t, "condition")
		*p = guide.Req{Condition: m.names["condition"][i], Value: guide.ID(m.pick("off", fmt.Sprintf("v%d", i))), Not: rapid.Bool().Draw(m.t, "not")}
	case *guide.Use:
		*p = m.use()
	case *guide.Risk:
		of := rapid.IntRange(1, 99).Draw(m.t, "of")
		*p = guide.Risk{What: m.words(), Of: of, Times: rapid.IntRange(0, of).Draw(m.t, "times"), Minutes: time.Duration(rapid.IntRange(0, 9).Draw(m.t, "min")) * time.Minute, Price: money.Amount(rapid.IntRange(0, 999).Draw(m.t, "price"))}
	case *guide.Shape:
		*p = m.shape()
	case *guide.Stage:
		*p = rapid.SampledFrom([]guide.Stage{{Torque: m.value("N·m", "lbf·ft")}, {Angle: 90}, {Angle: 12.5}, {Shoulder: true}}).Draw(m.t, "stage")
	case *guide.Clause:
		*p = m.clause()
	case *guide.Limit:
		*p = m.limit()
	case *guide.TaskID:
		*p = guide.TaskID{Verb: guide.Verb(m.pick("replace", "check")), On: m.id(m.pick("item", "check"))}
	case *guide.Wire:
		*p = guide.Wire{From: "k0", To: "k0", Length: m.value("m", "mm"), Farad: m.value("pF", "nF"), Colour: m.pick("", "red-white", "blue: thin")}
	default:
		return false
	}
	return true
}

func (m *maker) use() guide.Use {
	switch rapid.IntRange(0, 3).Draw(m.t, "use") {
	case 0:
		return guide.Use{Count: 2, What: m.id("part")}
	case 1:
		return guide.Use{Count: 0.25, Litres: true, What: m.id("fluid")}
	case 2:
		return guide.Use{Count: 1, Words: m.pick("rag", "L shaped clip", "spare rivets", "rag, clean")}
	}
	return guide.Use{Count: 1.5, Litres: true, Words: "brake cleaner"}
}

func (m *maker) point() guide.Point {
	n := func() float64 { return float64(rapid.IntRange(-9999, 9999).Draw(m.t, "mm")) / 4 }
	return guide.Point{X: n(), Y: n(), Z: n()}
}

func (m *maker) shape() guide.Shape {
	n := func() float64 { return float64(rapid.IntRange(1, 9999).Draw(m.t, "mm")) / 8 }
	switch rapid.IntRange(0, 2).Draw(m.t, "form") {
	case 0:
		return guide.Shape{Form: guide.Box, Centre: m.point(), Size: guide.Point{X: n(), Y: n(), Z: n()}, Turn: m.point()}
	case 1:
		return guide.Shape{Form: guide.Cylinder, Centre: m.point(), Size: guide.Point{X: n(), Y: n()}, Along: m.pick("x", "y", "z")}
	}
	return guide.Shape{Form: guide.Path, Path: []guide.Point{m.point(), m.point(), m.point()}, Thick: n()}
}

func (m *maker) clause() guide.Clause {
	switch rapid.IntRange(0, 3).Draw(m.t, "clause") {
	case 0:
		return guide.Clause{Subject: "engine oil", Low: m.value("°C"), High: quantity.Of(2000, "°C")}
	case 1:
		return guide.Clause{Subject: "coolant", High: m.value("°C")}
	case 2:
		return guide.Clause{Subject: "supply", Low: quantity.Of(-5, "mV"), High: quantity.Of(5, "V")}
	}
	return guide.Clause{Words: m.pick("unplugged", "5 s of cranking, fuel relay out", "range 3; see note", "key on..off", "2.5 mm² lead")}
}

func (m *maker) limit() guide.Limit {
	l := guide.Limit{Of: m.pick(append([]string{"", ""}, guide.LimitOf...)...)}
	switch rapid.IntRange(0, 5).Draw(m.t, "limit") {
	case 0:
		l.Low, l.High = m.value("V"), quantity.Of(2000, "V")
	case 1:
		l.High = m.value("Ω")
	case 2:
		l.Low = m.value("MΩ")
	case 3:
		l.Nominal, l.Within = m.value("Ω"), m.value("Ω", "%", "mΩ").String()
	case 4:
		l.Law, l.Within = m.id("law"), m.value("%").String()
	case 5:
		l.Of, l.Words = "", m.text()
	}
	if l.Of == "rate" && l.Law == "" {
		l.Per = m.per()
	}
	if rapid.Bool().Draw(m.t, "for a variant") {
		l.For = guide.Selector{{Axis: "drive", Values: []guide.ID{"LHD"}}, {Values: []guide.ID{"A", "B"}}}
	}
	for range rapid.IntRange(0, 2).Draw(m.t, "clauses") {
		l.When = append(l.When, m.clause())
	}
	return l
}

// per draws the time of a rate, or none.
func (m *maker) per() quantity.Value {
	return rapid.SampledFrom([]quantity.Value{{}, quantity.Of(30, "s"), quantity.Of(2, "min")}).Draw(m.t, "per")
}

// mend makes the fields of a struct agree with one another.
func (m *maker) mend(v reflect.Value) {
	switch p := v.Addr().Interface().(type) {
	case *guide.Way:
		p.Hands, p.People = p.Hands%3, p.People%10
		if p.Back = 0; p.Do.Clears() {
			p.Back = 90 * time.Second
		}
	case *guide.Joint:
		m.mendJoint(p)
	case *guide.Circuit:
		for i := range p.Wires {
			p.Wires[i].To = p.Nodes[len(p.Nodes)-1].ID
		}
		for i := range p.Nodes {
			p.Nodes[i].Against = p.Nodes[0].ID
		}
	case *guide.Test:
		p.Start = nil
	}
}

func (m *maker) mendJoint(p *guide.Joint) {
	p.Count = p.Count%9 + 1
	p.Thread = m.pick("", "M6", "M12x1.25", "G1/4", "odd thread")
	p.Drive = m.pick("", "T30", "hex 10", "hex key 5", "slot", "odd drive")
	p.What = m.pick("", "clip", "press stud", "glass", "union, long")
	p.Class = m.pick("", "8.8", "A2-70", "plastic", "odd")
	p.Into = m.pick("", "aluminium", "grey cast iron")
	p.Pattern = m.pick("", "crosswise", "1-2-3", "from the middle", "a, b")
	p.Lengths = p.Lengths[:min(1, len(p.Lengths))]
	for i := range p.Lengths {
		p.Lengths[i] = float64(rapid.IntRange(1, 200).Draw(m.t, "length")) / 2
	}
	if len(p.Lengths) == 0 {
		p.Lengths = nil
	}
	if len(p.Stages) > 0 {
		p.Torque = guide.Given
	} else if p.Torque == guide.Given {
		p.Torque = guide.Unknown
	}
}

// TestEveryGuideReadsBack: what is printed reads to an equal guide, as a file
// and as a folder, prints the same again, fits the schema, is the same tree to
// any other program, and has every word where its position says.
func TestEveryGuideReadsBack(t *testing.T) {
	schema := compiled(t)
	rapid.Check(t, func(t *rapid.T) {
		g := makeGuide(t)
		once := Print(g)
		if err := validate(schema, once); err != nil {
			t.Fatalf("%v\n%s", err, once)
		}
		treeHolds(t, "g.yaml", once)
		g2 := again(t, map[string][]byte{"g.yaml": once})
		if diff := cmp.Diff(g, g2); diff != "" {
			t.Fatalf("printed and read again differs:\n%s\n%s", diff, once)
		}
		if twice := Print(g2); string(twice) != string(once) {
			t.Fatalf("printing is not stable:\n%s", cmp.Diff(string(once), string(twice)))
		}
		if diff := cmp.Diff(g, again(t, PrintFolder(g))); diff != "" {
			t.Fatalf("printed as a folder and read again differs:\n%s", diff)
		}
	})
}
