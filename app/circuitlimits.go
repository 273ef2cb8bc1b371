package app

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"elbowroom/circuit"
	"elbowroom/guide"
	"elbowroom/quantity"
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
				if b, ok := carriable(w.in.r, c, l); ok && !b.Insulation() {
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

// carriable returns the limit of a part's resistance or capacitance, or of its
// insulation, as bounds; false for every other limit.
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
		return b, b.Insulation() || !hasWords(c.Name, "insulation")
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
