package app

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"elbowroom/circuit"
	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading"
)

// PointLimit is a limit of a part that holds at a point: as a check has it, or
// carried there from the point of a check.
type PointLimit struct {
	Check   guide.ID // whose limit it is
	Part    guide.ID
	Limit   string
	Written bool     // the check measures at this point
	Steps   []string // how it was worked out
	Assumes []string
}

// limits lists at every point the limits of resistance and capacitance that
// hold there.
func (w *wirer) limits() error {
	for i := range w.in.r.Guide.Checks {
		c := &w.in.r.Guide.Checks[i]
		for _, part := range c.On {
			for _, l := range c.Limits {
				if b, ok := carriable(w.in.r, c, l); ok {
					w.limitEverywhere(c, part, b, l)
				}
			}
		}
	}
	return nil
}

// limitEverywhere lists one limit at every item of the wiring where it can be
// had, unless a check of the guide has its own there.
func (w *wirer) limitEverywhere(c *guide.Check, part guide.ID, b circuit.Bounds, l guide.Limit) {
	from := c.Point
	if from == "" {
		from = part
	}
	for i := range w.out.Points {
		p := &w.out.Points[i]
		if !p.Touch || !w.leads(part, p) {
			continue
		}
		made := PointLimit{Check: c.ID, Part: part, Limit: limitText(w.in.r, l), Written: p.Item == from}
		if !made.Written {
			d := w.g.LimitFor(part, from, p.Item, b, w.state.Copper)
			if d.Quiet != "" || w.written(part, p.Item, b) {
				continue
			}
			made.Limit, made.Steps, made.Assumes = boundsText(circuit.Bounds{Low: d.Low, High: d.High}), d.Steps, d.Assumes
		}
		if !slices.ContainsFunc(p.Limits, func(o PointLimit) bool { return o.Part == made.Part && o.Limit == made.Limit }) {
			p.Limits = append(p.Limits, made)
		}
	}
}

// leads reports whether a point lies on the line of a part, on the nearest node
// of its item.
func (w *wirer) leads(part guide.ID, p *WirePoint) bool {
	for _, n := range w.g.On(part) {
		if p.Item == part {
			return p.At.Node == n
		}
		for _, place := range w.g.Where(circuit.Point{Node: n}, w.reach) {
			if w.g.Nodes[place.At.Node].On == p.Item {
				return place.At == p.At
			}
		}
	}
	return false
}

// written reports whether a check of the guide has a limit of this kind for the
// part at an item.
func (w *wirer) written(part, at guide.ID, b circuit.Bounds) bool {
	for i := range w.in.r.Guide.Checks {
		c := &w.in.r.Guide.Checks[i]
		if !slices.Contains(c.On, part) || c.Point != at {
			continue
		}
		for _, l := range c.Limits {
			if own, ok := carriable(w.in.r, c, l); ok && dimension(own) == dimension(b) {
				return true
			}
		}
	}
	return false
}

func dimension(b circuit.Bounds) quantity.Dimension {
	if b.Low.Zero() {
		return b.High.Dimension()
	}
	return b.Low.Dimension()
}

// insulation is the resistance in ohms from which a limit is one of insulation
// and not of a part; nothing that lies in series changes it.
const insulation = 100e3

// carriable returns the limit of a part's resistance or capacitance as bounds;
// false for every other limit.
func carriable(r *guide.Resolved, c *guide.Check, l guide.Limit) (circuit.Bounds, bool) {
	b := circuit.Bounds{Low: l.Low, High: l.High}
	if l.Of != "" || l.Law != "" || l.Words != "" || !r.Fits(l.For) {
		return b, false
	}
	if !l.Nominal.Zero() {
		around, ok := tolerance(l.Nominal, l.Within)
		if !ok {
			return b, false
		}
		b = around
	}
	switch dimension(b) {
	case quantity.Capacitance:
		return b, true
	case quantity.Resistance:
		return b, b.Low.SI() < insulation && !hasWords(c.Name, "insulation")
	}
	return b, false
}

// tolerance reads "0.10 Ω" or "5 %" about a nominal value.
func tolerance(nominal quantity.Value, within string) (circuit.Bounds, bool) {
	half := 0.0
	if percent, ok := strings.CutSuffix(strings.TrimSpace(within), "%"); ok {
		p, err := strconv.ParseFloat(strings.TrimSpace(percent), 64)
		if err != nil {
			return circuit.Bounds{}, false
		}
		half = math.Abs(nominal.Number) * p / 100
	} else {
		v, err := quantity.Parse(within)
		if err != nil {
			return circuit.Bounds{}, false
		}
		if v, err = v.In(nominal.Unit); err != nil {
			return circuit.Bounds{}, false
		}
		half = v.Number
	}
	return circuit.Bounds{Low: quantity.Of(nominal.Number-half, nominal.Unit), High: quantity.Of(nominal.Number+half, nominal.Unit)}, true
}

// limitFigures is how many figures of a carried limit are printed.
const limitFigures = 4

func boundsText(b circuit.Bounds) string {
	show := func(v quantity.Value) quantity.Value { return quantity.Of(float(v.Number, limitFigures), v.Unit) }
	return guide.Limit{Low: showGiven(b.Low, show), High: showGiven(b.High, show)}.String()
}

func showGiven(v quantity.Value, show func(quantity.Value) quantity.Value) quantity.Value {
	if v.Zero() {
		return v
	}
	return show(v)
}

// JudgeAt says whether a reading is good that was taken at another point than
// the one that its check is written for: "T38: 1400 pF, EL01 unplugged, at
// EL01". The limit is carried there along the wiring of the guide, and the
// verdict says how. Conditions that speak of the point of the check do not
// hold at the other one and are left out. A reading at the check's own point is
// judged as it is. Errors wrap ErrInput or ErrUnknown.
func (a *App) JudgeAt(q Ask, text string) (*Judgement, error) {
	s, b, err := a.look(q)
	if err != nil {
		return nil, err
	}
	j, err := a.judge(s, b.r, text)
	if err != nil {
		return nil, err
	}
	first, _, _ := strings.Cut(strings.TrimSpace(j.Reading.Point), " ")
	at := guide.ID(strings.ToUpper(first))
	if at == "" || at == j.Check.Point || len(j.Verdict.Refused) == 0 {
		return j, nil
	}
	if b.r.Item(at) == nil {
		return nil, fmt.Errorf("%w: reading %q: at %s: no item of the guide is called so; write where it was taken, such as at EL01", ErrInput, text, first)
	}
	made, says, err := carried(b.r, j.Check, at)
	if err != nil {
		return nil, fmt.Errorf("%w: reading %q: %w", ErrInput, text, err)
	}
	j.Check = made
	j.Verdict = reading.Judge(b.r, made, j.Reading, a.judging(s.machine))
	j.Verdict.Remarks = append(j.Verdict.Remarks, says...)
	return j, nil
}

// carried makes a check of another one for another point, and says how its
// limits were worked out.
func carried(r *guide.Resolved, c *guide.Check, at guide.ID) (*guide.Check, []string, error) {
	g, err := circuit.Build(r)
	if err != nil {
		return nil, nil, err
	}
	from := c.Point
	made := *c
	made.Point, made.Ways, made.At, made.Limits = at, nil, string(at)+", unplugged", nil
	made.When = slices.DeleteFunc(slices.Clone(c.When), func(k guide.Clause) bool { return from != "" && hasWords(k.Words, string(from)) })
	made.When = append(made.When, guide.Clause{Words: string(at) + " unplugged"})
	var says []string
	for _, l := range c.Limits {
		b, ok := carriable(r, c, l)
		if !ok {
			return nil, nil, fmt.Errorf("the limit %s of %s cannot be carried to %s: only resistances and capacitances of a part are carried along a line", limitText(r, l), c.ID, at)
		}
		limit, how, err := carry(g, c, b, from, at)
		if err != nil {
			return nil, nil, err
		}
		limit.When = l.When
		made.Limits, says = append(made.Limits, limit), append(says, how...)
	}
	return &made, says, nil
}

// carry carries one limit for every item of a check; it must come to the same
// for all of them.
func carry(g *circuit.Graph, c *guide.Check, b circuit.Bounds, from, at guide.ID) (guide.Limit, []string, error) {
	var limit guide.Limit
	var says []string
	for i, part := range c.On {
		given := from
		if given == "" {
			given = part
		}
		d := g.LimitFor(part, given, at, b, circuit.Copper{})
		if d.Quiet != "" {
			return limit, nil, fmt.Errorf("the limit %s of %s cannot be carried to %s: %s", boundsText(b), c.ID, at, d.Quiet)
		}
		if i > 0 && (d.Low != limit.Low || d.High != limit.High) {
			return limit, nil, fmt.Errorf("carried to %s the limit of %s comes to another value for %s than for %s; enter them at the point of the check", at, c.ID, part, c.On[0])
		}
		limit.Low, limit.High = d.Low, d.High
		for _, how := range slices.Concat(d.Steps, d.Assumes) {
			if !slices.Contains(says, how) {
				says = append(says, how)
			}
		}
	}
	return limit, append([]string{fmt.Sprintf("the limit %s of %s carried to %s is %s", boundsText(b), c.ID, at, boundsText(circuit.Bounds{Low: limit.Low, High: limit.High}))}, says...), nil
}
