package app

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"elbowroom/circuit"
	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading"
)

// Elsewhere says how a reading was judged that was taken at another point than
// the one that its check is written for.
type Elsewhere struct {
	Asked   *guide.Check // the check that was named
	At      string       // where it was taken: "EL01"
	Carried bool         // the limit was carried there along the wiring; else the guide has a check there, Judgement.Check
	Says    []string     // how
	More    []guide.ID   // items that are measured along there and not at the check's own point
	Less    []guide.ID   // the other way round
}

// judgeElsewhere judges a reading by the limit of the point where it was taken:
// that of the guide, where it has one there, else one carried along the wiring.
// Where neither can be had the reading stays judged at its own point, and says
// why.
func (a *App) judgeElsewhere(s setting, r *guide.Resolved, j *Judgement) {
	there := reading.There(r, j.Check, j.Reading)
	if slices.Contains(there, j.Check) || len(there) > 1 {
		return
	}
	opt := a.judging(s.machine)
	if len(there) == 1 {
		c := there[0]
		rd := j.Reading
		rd.Check, rd.Point = c.ID, ""
		j.Elsewhere = &Elsewhere{Asked: j.Check, At: j.Reading.Point, Says: []string{
			fmt.Sprintf("%s was named, but it was taken at %s, where the guide has %s: judged as %s", j.Check.ID, j.Reading.Point, c.ID, c.ID),
		}}
		j.Check, j.Reading, j.Verdict = c, rd, reading.Judge(r, c, rd, opt)
		return
	}
	made, e, unsure, err := carried(r, j.Check, j.Reading)
	if err != nil {
		j.Verdict.Remarks = append(j.Verdict.Remarks, err.Error())
		return
	}
	opt.Carried = unsure
	rd := j.Reading
	rd.Check, rd.Point = made.ID, ""
	j.Elsewhere, j.Check, j.Reading, j.Verdict = e, made, rd, reading.Judge(r, made, rd, opt)
}

// pointOf finds the item that a reading was taken at.
func pointOf(r *guide.Resolved, said string) (guide.ID, error) {
	first, _, _ := strings.Cut(strings.TrimSpace(said), " ")
	at := guide.ID(strings.Trim(strings.ToUpper(first), ",;."))
	if r.Item(at) == nil {
		return "", fmt.Errorf("no item of the guide is called %s; write where it was taken by its name, such as at EL01", first)
	}
	return at, nil
}

// carried makes a check of another one for the point where a reading was taken,
// and says how its limits were worked out and what is uncertain about that.
// Conditions that speak of the point of the check do not hold at the other one
// and are left out.
func carried(r *guide.Resolved, c *guide.Check, rd reading.Reading) (*guide.Check, *Elsewhere, []reading.Component, error) {
	at, err := pointOf(r, rd.Point)
	if err != nil {
		return nil, nil, nil, err
	}
	g, err := circuit.Build(r)
	if err != nil {
		return nil, nil, nil, err
	}
	made := madeFor(c, at)
	k := carrier{g: g, c: c, from: c.Point, at: at, copper: copperOf(rd)}
	for _, l := range c.Limits {
		if !r.Fits(l.For) {
			continue
		}
		b, ok := carriable(r, c, l)
		if !ok {
			return nil, nil, nil, fmt.Errorf("the limit %s of %s cannot be carried to %s: only resistances, capacitances and insulations of a part are carried along a line", limitText(r, l), c.ID, at)
		}
		limit, err := k.carry(b)
		if err != nil {
			return nil, nil, nil, err
		}
		limit.When = l.When
		made.Limits = append(made.Limits, limit)
	}
	if len(made.Limits) == 0 {
		return nil, nil, nil, fmt.Errorf("%s has no limit that could be carried to %s", c.ID, at)
	}
	e := &Elsewhere{Asked: c, At: string(at), Carried: true, Says: k.says}
	e.More, e.Less = k.scope()
	return made, e, k.unsure, nil
}

// madeFor is a check without limits for another point.
func madeFor(c *guide.Check, at guide.ID) *guide.Check {
	made := *c
	made.ID = c.ID + "-at-" + at
	made.Name = fmt.Sprintf("%s, at %s", c.Name, at)
	made.Point, made.Ways, made.At, made.Limits = at, nil, string(at)+", unplugged", nil
	made.When = slices.DeleteFunc(slices.Clone(c.When), func(k guide.Clause) bool { return c.Point != "" && hasWords(k.Words, string(c.Point)) })
	if !slices.ContainsFunc(made.When, func(k guide.Clause) bool { return k.Words == "unplugged" }) {
		made.When = append(made.When, guide.Clause{Words: string(at) + " unplugged"})
	}
	return &made
}

// copperOf says how wires are reckoned: at the temperature that the reading
// gives for them, else at 20 °C.
func copperOf(rd reading.Reading) circuit.Copper {
	for _, st := range rd.Stated {
		if strings.EqualFold(st.Subject, "wires") && st.Value.Dimension() == quantity.Temperature {
			return circuit.Copper{At: st.Value}
		}
	}
	return circuit.Copper{}
}

// carrier carries the limits of one check to another point.
type carrier struct {
	g        *circuit.Graph
	c        *guide.Check
	from, at guide.ID
	copper   circuit.Copper
	says     []string
	unsure   []reading.Component
}

// given is where the limit of a part holds as written.
func (k *carrier) given(part guide.ID) guide.ID { return cmp.Or(k.from, part) }

// carry carries one limit for every item of the check; it must come to the same
// for all of them.
func (k *carrier) carry(b circuit.Bounds) (guide.Limit, error) {
	var limit guide.Limit
	var how []string
	if len(k.c.On) == 0 {
		return limit, fmt.Errorf("%s names no item that a line could lead from; its limit holds at its own point alone", k.c.ID)
	}
	for i, part := range k.c.On {
		d := k.g.LimitFor(part, k.given(part), k.at, b, k.copper)
		if d.Quiet != "" {
			return limit, fmt.Errorf("the limit %s of %s cannot be carried to %s: %s", boundsText(b), k.c.ID, k.at, d.Quiet)
		}
		if i > 0 && (d.Low != limit.Low || d.High != limit.High) {
			return limit, fmt.Errorf("carried to %s the limit of %s comes to another value for %s than for %s; enter them at the point of the check", k.at, k.c.ID, part, k.c.On[0])
		}
		limit.Low, limit.High = d.Low, d.High
		how = appendNew(how, slices.Concat(d.Steps, d.Assumes)...)
		if i == 0 {
			for _, u := range d.Unsure {
				k.unsure = append(k.unsure, reading.Within(u.Name, quantity.Of(u.Half, siUnit(b))))
			}
		}
	}
	k.says = append(k.says, fmt.Sprintf("the limit %s of %s carried to %s is %s", boundsText(b), k.c.ID, k.at, boundsText(circuit.Bounds{Low: limit.Low, High: limit.High})))
	k.says = appendNew(k.says, how...)
	return limit, nil
}

// siUnit is the unit in which circuit says how unsure a limit is.
func siUnit(b circuit.Bounds) string {
	if dimension(b) == quantity.Capacitance {
		return "F"
	}
	return "Ω"
}

// scope lists which items are measured along at the other point and not at the
// check's own, and the other way round.
func (k *carrier) scope() (more, less []guide.ID) {
	for _, part := range k.c.On {
		own, there := k.g.OnLine(part, k.given(part)), k.g.OnLine(part, k.at)
		for _, id := range there {
			if !slices.Contains(own, id) && !slices.Contains(more, id) {
				more = append(more, id)
			}
		}
		for _, id := range own {
			if !slices.Contains(there, id) && !slices.Contains(less, id) {
				less = append(less, id)
			}
		}
	}
	return more, less
}

// Place is another point at which a check's quantity can be read.
type Place struct {
	At  string // as Filled.At takes it: "EL01", "sensor half of X3"
	How string // by which limit it is judged: "judged as T39", "its limit is carried there: 0.5832..0.6832 Ω"
}

// placesOf lists where else along its line a check can be read, and by which
// limit that is judged.
func placesOf(r *guide.Resolved, c *guide.Check) []Place {
	g, err := circuit.Build(r)
	if err != nil || len(c.On) == 0 {
		return nil
	}
	var out []Place
	for _, item := range g.Line(c.On[0]) {
		rd := reading.Reading{Check: c.ID, Point: string(item)}
		there := reading.There(r, c, rd)
		switch {
		case slices.Contains(there, c):
			continue
		case len(there) == 1:
			out = append(out, Place{string(item), "judged as " + string(there[0].ID)})
		case len(there) > 1:
			for _, o := range there {
				at, _, _ := strings.Cut(o.At, ",")
				out = append(out, Place{at, "judged as " + string(o.ID)})
			}
		default:
			if made, _, _, err := carried(r, c, rd); err == nil {
				out = append(out, Place{string(item), "limit carried there: " + made.Limits[0].String()})
			}
		}
	}
	return out
}

// Title names the check of an entry, and where it was read when that was not
// its own point.
func (e Entry) Title() string {
	switch {
	case e.Check == nil:
		return ""
	case e.Elsewhere != nil && e.Elsewhere.Carried:
		return fmt.Sprintf("%s at %s: %s", e.Elsewhere.Asked.ID, e.Elsewhere.At, e.Elsewhere.Asked.Name)
	}
	return fmt.Sprintf("%s %s", e.Check.ID, e.Check.Name)
}

// withCarried returns the guide with the checks that were made for other points
// in it, so that their verdicts are evidence: each names the faults that its
// own check names, without those on items that are not measured along there,
// and with those on items that are measured along as well. sure is how surely
// one of the latter makes it fail.
func withCarried(r *guide.Resolved, variant guide.Selector, log []Entry, sure float64) (*guide.Resolved, error) {
	g := *r.Guide
	g.Checks, g.Faults = slices.Clone(g.Checks), slices.Clone(g.Faults)
	made := map[guide.ID]bool{}
	for _, e := range log {
		if e.Elsewhere == nil || !e.Elsewhere.Carried || made[e.Check.ID] {
			continue
		}
		made[e.Check.ID] = true
		g.Checks = append(g.Checks, evidence(&g, e, sure))
	}
	if len(made) == 0 {
		return r, nil
	}
	return guide.Resolve(&g, variant)
}

// evidence gives a check that was made for another point its odds. Where the
// guide states odds for the original they are kept; else the faults name the
// made check as they name the original.
func evidence(g *guide.Guide, e Entry, sure float64) guide.Check {
	c, x := *e.Check, e.Elsewhere
	stated := len(c.Fails) > 0 || c.Otherwise != nil
	c.Fails = nil
	for i := range g.Faults {
		f := &g.Faults[i]
		if f.On != "" && slices.Contains(x.Less, f.On) {
			continue
		}
		more := f.On != "" && slices.Contains(x.More, f.On)
		odds := slices.IndexFunc(x.Asked.Fails, func(o guide.Odds) bool { return o.Fault == f.ID })
		switch {
		case stated && odds >= 0:
			c.Fails = append(c.Fails, x.Asked.Fails[odds])
		case stated && more:
			c.Fails = append(c.Fails, guide.Odds{Fault: f.ID, P: sure})
		case !stated && (more || slices.Contains(f.FoundBy, x.Asked.ID)):
			f.FoundBy = append(slices.Clone(f.FoundBy), c.ID)
		}
	}
	return c
}
