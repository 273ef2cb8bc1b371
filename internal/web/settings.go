package web

import (
	"slices"
	"strings"

	"elbowroom/guide"
)

// settings is the form that says how the machine stands, what is at hand and
// what may stay open.
type settings struct {
	Hidden    []field
	Variants  []axis
	Standing  []standing
	Opened    int // items that stand off or aside
	Given     []condition
	Leave     bool
	Missing   []missing
	People    []choice
	Changed   bool // anything differs from what the machine says
	AsArrived string
}

// standing is one item that can stand off or aside.
type standing struct {
	Name, ID   string
	Off, Aside *tickBox
}

// tickBox is one value of a form.
type tickBox struct {
	Value string
	Label string
	On    bool
}

// condition is one condition with the values it may have at the start.
type condition struct {
	Name   string
	Values []choice
}

// choice is one value in a list.
type choice struct {
	Value, Text string
	On          bool
}

// missing is a tool that is not at hand, with the address that takes it back.
type missing struct{ Name, Href string }

func settingsOf(st state, r *guide.Resolved, j subject) settings {
	start := st.ask.Start
	if start == nil && j.machine != nil {
		start = j.machine.Machine.Found
	}
	asked := []string{"start", "leave", "people", "q", "item", "view"}
	g := settings{Leave: slices.Contains(st.ask.Leave, "all")}
	if st.ask.Machine == "" { // a machine knows its own
		g.Variants = j.Axes
		asked = append(asked, "variant")
	}
	g.Hidden = st.fields(asked...)
	for i := range r.Items {
		if x, ok := standingOf(r, &r.Items[i], start); ok {
			g.Standing = append(g.Standing, x)
			if x.Off != nil && x.Off.On || x.Aside != nil && x.Aside.On {
				g.Opened++
			}
		}
	}
	for _, c := range r.Guide.Conditions {
		g.Given = append(g.Given, conditionOf(c, start))
	}
	for _, id := range st.ask.Missing {
		other := st
		other.ask.Missing = slices.DeleteFunc(slices.Clone(st.ask.Missing), func(m string) bool { return m == id })
		g.Missing = append(g.Missing, missing{Name: toolNamed(r, guide.ID(id)), Href: other.to("/plan")})
	}
	for n := 1; n <= 3; n++ {
		text := say("people.many", n)
		if n == 1 {
			text = say("people.one")
		}
		g.People = append(g.People, choice{amountOf(n), text, max(st.ask.People, 1) == n})
	}
	g.Changed = st.ask.Start != nil
	arrived := st
	arrived.ask.Start = nil
	g.AsArrived = arrived.to("/plan")
	return g
}

func amountOf(n int) string { return strings.TrimSuffix(amount(float64(n), false), "\u00a0×") }

// standingOf returns the boxes of an item; ok is false when it has no clearing
// way on the variant.
func standingOf(r *guide.Resolved, it *guide.Item, start []string) (x standing, ok bool) {
	x = standing{Name: it.Name, ID: string(it.ID)}
	on := func(how guide.Verb) bool {
		return slices.ContainsFunc(start, func(s string) bool {
			id, said, _ := strings.Cut(strings.TrimSpace(s), " ")
			return strings.EqualFold(id, x.ID) && strings.TrimSpace(said) == string(how)
		})
	}
	for _, w := range it.Ways {
		switch {
		case !r.Fits(w.For):
		case w.Do == guide.Off && x.Off == nil:
			x.Off = &tickBox{Value: x.ID + " off", Label: say("stands.off", it.Name), On: on(guide.Off)}
		case w.Do == guide.Aside && x.Aside == nil:
			x.Aside = &tickBox{Value: x.ID + " aside", Label: say("stands.aside", it.Name), On: on(guide.Aside)}
		}
	}
	if on("") { // said without how: off where that is possible
		if x.Off != nil {
			x.Off.On = true
		} else if x.Aside != nil {
			x.Aside.On = true
		}
	}
	return x, x.Off != nil || x.Aside != nil
}

func conditionOf(c guide.Condition, start []string) condition {
	v := condition{Name: firstOf(c.Name, string(c.ID))}
	for _, value := range c.Values {
		v.Values = append(v.Values, choice{
			Value: string(c.ID) + "=" + string(value.ID), Text: firstOf(value.Name, string(value.ID)),
			On: slices.Contains(start, string(c.ID)+"="+string(value.ID)),
		})
	}
	usual := func(x choice) bool { return x.On }
	if !slices.ContainsFunc(v.Values, usual) {
		for i := range v.Values {
			v.Values[i].On = c.Values[i].ID == c.Start
		}
	}
	for i := range v.Values { // the usual start needs no words in the address
		if c.Values[i].ID == c.Start {
			v.Values[i].Value = ""
		}
	}
	return v
}

// verbText names a task verb on a button.
func verbText(v guide.Verb) string {
	if text, ok := english["verb."+string(v)]; ok {
		return text
	}
	return guide.Capital(string(v))
}
