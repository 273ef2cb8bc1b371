package compare

import (
	"fmt"
	"strings"

	"elbowroom/guide"
)

// facts lists everything that is compared, sort of thing by sort of thing.
func facts(r *guide.Resolved) [][]thing {
	g := r.Guide
	return [][]thing{
		each(r.Items, itemFacts(r)), each(g.Checks, checkFacts), each(g.Conditions, conditionFacts),
		each(g.Cautions, cautionFacts), each(g.Parts, partFacts), each(g.Fluids, fluidFacts),
		each(g.Tools, toolFacts), each(g.Laws, lawFacts), each(g.Faults, faultFacts),
	}
}

func each[T any](list []T, of func(*T) thing) []thing {
	things := make([]thing, len(list))
	for i := range list {
		things[i] = of(&list[i])
	}
	return things
}

// tell writes a fact: values by their own text, durations as minutes, lists
// with commas, and nothing for what is not given.
func tell[T fmt.Stringer](name string, list []T) fact {
	words := make([]string, len(list))
	for i, v := range list {
		words[i] = v.String()
	}
	return fact{name, strings.Join(words, ", ")}
}

func names[T ~string](name string, list []T) fact {
	words := make([]string, len(list))
	for i, v := range list {
		words[i] = string(v)
	}
	return fact{name, strings.Join(words, ", ")}
}

func number(name string, n int) fact {
	if n == 0 {
		return fact{name, ""}
	}
	return fact{name, fmt.Sprint(n)}
}

func yes(name string, b bool) fact {
	if !b {
		return fact{name, ""}
	}
	return fact{name, "yes"}
}

func itself(was []guide.Was, list ...fact) part {
	return part{of: Itself, at: -1, facts: list, was: was}
}

// counted tells parts of the same name apart: the second becomes "… (2)".
type counted map[string]int

func (c counted) name(of Of, name string) string {
	key := string(of) + name
	c[key]++
	if n := c[key]; n > 1 {
		return fmt.Sprintf("%s (%d)", name, n)
	}
	return name
}

func itemFacts(r *guide.Resolved) func(*guide.Item) thing {
	return func(it *guide.Item) thing {
		t := thing{sort: Item, id: it.ID, name: it.Name}
		connector := fact{"connector", ""}
		if c := it.Connector; c != nil {
			connector.text = strings.TrimSpace(fmt.Sprintf("%d pins, %s. %s", c.Pins, c.Lock, c.Trick))
		}
		t.parts = append(t.parts, itself(it.Was,
			fact{"name", it.Name}, fact{"side", string(it.Side)}, tell("place", it.At), fact{"fixing", it.Fixing}, connector,
			fact{"part of", string(it.PartOf)}, tell("parts", it.Parts), names("cautions", it.Cautions), fact{"note", it.Note}))
		n := counted{}
		for i := range it.Joints {
			if j := &it.Joints[i]; r.Fits(j.For) {
				t.parts = append(t.parts, jointFacts(n, j, i))
			}
		}
		for i := range it.Ways {
			if w := &it.Ways[i]; r.Fits(w.For) {
				t.parts = append(t.parts, wayFacts(n, w, i))
			}
		}
		return t
	}
}

func jointFacts(n counted, j *guide.Joint, at int) part {
	name := string(j.ID)
	if name == "" {
		what := j.What
		if what == "" {
			what = "screw"
		}
		name = strings.TrimSpace(what + " " + j.Thread)
	}
	torque := fact{"torque", ""}
	var stages []string
	for _, s := range j.Stages {
		stages = append(stages, s.String())
	}
	if torque.text = strings.Join(stages, " + "); torque.text == "" {
		torque.text = string(j.Torque)
	}
	if j.State != "" && len(stages) > 0 {
		torque.text += " " + string(j.State)
	}
	lengths := make([]string, len(j.Lengths))
	for i, l := range j.Lengths {
		lengths[i] = fmt.Sprint(l)
	}
	return part{Joint, n.name(Joint, name), at, []fact{
		torque, number("count", j.Count),
		{"lengths", strings.Join(lengths, "/")},
		{"drive", j.Drive},
		{"class", j.Class},
		{"into", j.Into},
		{"pattern", j.Pattern},
		{"re-use", string(j.Reuse)},
		{"part", string(j.Part)},
		{"note", j.Note},
	}, j.Was}
}

func wayFacts(n counted, w *guide.Way, at int) part {
	name := string(w.ID)
	if name == "" {
		name = string(w.Do)
		if w.From != "" {
			name += " from " + string(w.From)
		}
		if len(w.For) > 0 {
			name += " for " + w.For.String()
		}
	}
	minutes := guide.FormatMinutes(w.Out)
	if w.Do.Clears() {
		minutes += " out, " + guide.FormatMinutes(w.Back) + " back"
	}
	return part{Way, n.name(Way, name), at, []fact{
		{"minutes", minutes},
		tell("needs", w.Needs), tell("conditions", w.With), names("fitted", w.Fitted), names("tools", w.Tools),
		number("hands", w.Hands), number("people", w.People),
		{"sight", string(w.Sight)},
		names("comes off with it", w.Together), names("undoes and tightens", w.Opens),
		tell("uses", w.Uses), tell("risks", w.Risks), names("cautions", w.Cautions),
		{"afterwards", w.Then},
		{"note", w.Note},
	}, nil}
}

func checkFacts(c *guide.Check) thing {
	t := thing{sort: Check, id: c.ID, name: c.Name}
	var odds []string
	for _, o := range c.Fails {
		odds = append(odds, fmt.Sprintf("%s %g", o.Fault, o.P))
	}
	otherwise := fact{"fails otherwise", ""}
	if c.Otherwise != nil {
		otherwise.text = fmt.Sprint(*c.Otherwise)
	}
	t.parts = append(t.parts, itself(nil,
		fact{"name", c.Name}, tell("limit", c.Limits), tell("when", c.When), tell("conditions", c.With), fact{"measured at", c.At},
		fact{"point", string(c.Point)}, names("instrument", c.Instrument), fact{"minutes", guide.FormatMinutes(c.Minutes)},
		yes("everything fitted", c.Closed), fact{"fails with", strings.Join(odds, ", ")}, otherwise, names("cautions", c.Cautions), fact{"note", c.Note}))
	n := counted{}
	for i := range c.Ways {
		t.parts = append(t.parts, wayFacts(n, &c.Ways[i], i))
	}
	return t
}

func conditionFacts(c *guide.Condition) thing {
	t := thing{sort: Condition, id: c.ID, name: c.Name}
	t.parts = append(t.parts, itself(nil, fact{"name", c.Name}, fact{"start", string(c.Start)}, fact{"end", string(c.End)}, fact{"note", c.Note}))
	n := counted{}
	for i := range c.Values {
		v := &c.Values[i]
		t.parts = append(t.parts, part{Value, string(v.ID), i, []fact{
			{"name", v.Name}, {"forbids", v.Forbids}, names("fitted", v.Fitted), tell("conditions", v.With), names("cautions", v.Cautions),
		}, nil})
	}
	for i := range c.Changes {
		ch := &c.Changes[i]
		t.parts = append(t.parts, part{Change, n.name(Change, fmt.Sprintf("%s to %s", ch.From, ch.To)), i, []fact{
			{"step", ch.Do},
			{"minutes", guide.FormatMinutes(ch.Minutes)},
			{"wait", guide.FormatMinutes(ch.Wait)},
			yes("wait unknown", ch.WaitUnknown),
			tell("needs", ch.Needs), tell("conditions", ch.With), names("fitted", ch.Fitted), names("tools", ch.Tools), number("people", ch.People),
			names("undoes or tightens", ch.Opens), tell("uses", ch.Uses),
			{"by", ch.By},
			names("cautions", ch.Cautions),
			{"place", string(ch.Place)},
			{"note", ch.Note},
		}, nil})
	}
	return t
}

func cautionFacts(c *guide.Caution) thing {
	return thing{Caution, c.ID, "caution", []part{itself(nil, fact{"text", c.Text}, fact{"authority", c.Authority},
		tell("safe with", c.Safe), fact{"asks for", c.Ask}, fact{"answer", c.Answer})}}
}

func partFacts(p *guide.Part) thing {
	return thing{Part, p.ID, p.Name, []part{itself(nil, fact{"name", p.Name}, fact{"number", p.Number}, fact{"price", p.Price.String()},
		number("days to get", p.LeadDays), yes("single-use", p.SingleUse), fact{"for", p.For.String()}, fact{"note", p.Note})}}
}

func fluidFacts(f *guide.Fluid) thing {
	var amounts []string
	for _, a := range f.Amounts {
		amounts = append(amounts, strings.TrimSpace(a.Quantity.String()+" "+a.What+" "+a.For.String()))
	}
	return thing{Fluid, f.ID, f.Name, []part{itself(nil, fact{"name", f.Name}, fact{"grade", f.Grade},
		fact{"amount", strings.Join(amounts, ", ")}, fact{"price a litre", f.PerLitre.String()}, fact{"note", f.Note})}}
}

func toolFacts(t *guide.Tool) thing {
	return thing{Tool, t.ID, t.Name, []part{itself(nil, fact{"name", t.Name}, fact{"lowest", t.Lowest.String()},
		fact{"highest", t.Highest.String()}, yes("special", t.Special), fact{"note", t.Note})}}
}

func lawFacts(l *guide.Law) thing {
	var params, points []string
	for _, p := range l.Params {
		params = append(params, fmt.Sprintf("%s %g", p.ID, p.Value))
	}
	for _, p := range l.Points {
		points = append(points, fmt.Sprintf("%g: %g", p[0], p[1]))
	}
	return thing{Law, l.ID, l.Name, []part{itself(nil, fact{"form", string(l.Form)}, fact{"of", l.Of + " from " + l.From},
		fact{"parameters", strings.Join(params, ", ")}, fact{"points", strings.Join(points, ", ")}, fact{"tolerance", l.Tolerance},
		fact{"range", l.Lowest.String() + " to " + l.Highest.String()})}}
}

func faultFacts(f *guide.Fault) thing {
	wear, task := "", ""
	if f.Wear != nil {
		wear = fmt.Sprintf("life %s, shape %g", f.Wear.Life, f.Wear.Shape)
	}
	if f.Task != nil {
		task = f.Task.String()
	}
	return thing{Fault, f.ID, f.Name, []part{itself(nil, fact{"name", f.Name}, fact{"weight", fmt.Sprint(f.Weight)}, fact{"wear", wear},
		fact{"signs", strings.Join(f.Signs, ", ")}, fact{"codes", strings.Join(f.Codes, ", ")}, names("found by", f.FoundBy),
		fact{"repair", f.Repair}, fact{"task", task})}}
}
