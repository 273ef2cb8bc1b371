package capture

import (
	"elbowroom/capture/lexicon"
	"elbowroom/quantity"
)

// units is what is known of the units of a narration.
type units struct {
	torque   []string                       // the torque units that were said, each once
	last     map[quantity.Dimension]string  // unit said last, as the narration goes on
	factor   map[quantity.Dimension]float64 // how many of it the word meant: 0.001 in for a thousandth
	usual    map[quantity.Dimension]string  // from elsewhere, such as a guide
	metric   bool                           // metric units were said, and no customary ones
	imperial bool                           // customary ones were said, and no metric ones
}

// unitsSaid looks at every unit of the narration once, before it is listened
// to.
func unitsSaid(p *parser, usual []quantity.Value) units {
	u := units{factor: map[quantity.Dimension]float64{}, last: map[quantity.Dimension]string{}, usual: map[quantity.Dimension]string{}}
	metric, customary := p.lex.Values(lexicon.Metric)[""], p.lex.Values(lexicon.Customary)[""]
	var m, c int
	for i := range p.chunks {
		a := &p.chunks[i].amount
		if p.chunks[i].sort != amountChunk || a.unit == "" || a.unit == "turn" {
			continue
		}
		folded := lexicon.Fold(a.unit)
		if has(metric, folded) && a.unit != "mm" {
			m++
		}
		if has(customary, folded) && a.unit != "in" {
			c++
		}
		if quantity.Of(1, a.unit).Dimension() == quantity.Torque && !has(u.torque, a.unit) {
			u.torque = append(u.torque, a.unit)
		}
	}
	u.metric, u.imperial = m > 0 && c == 0, c > 0 && m == 0
	u.usual = commonest(usual)
	return u
}

// commonest returns for each dimension the unit that comes most often, the
// earlier of equals. Kelvin is left out: in a workshop it is a difference.
func commonest(values []quantity.Value) map[quantity.Dimension]string {
	count := map[string]int{}
	out := map[quantity.Dimension]string{}
	for _, v := range values {
		if v.Unit == "" || v.Unit == "K" {
			continue
		}
		count[v.Unit]++
	}
	for _, v := range values {
		if d := v.Dimension(); count[v.Unit] > count[out[d]] {
			out[d] = v.Unit
		}
	}
	return out
}

func has(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// heard notes a unit that was said.
func (u *units) heard(a *amount) {
	if a.unit != "" && a.unit != "turn" {
		d := quantity.Of(1, a.unit).Dimension()
		u.last[d], u.factor[d] = a.unit, a.factor
	}
}

// systemUnits are the units that a dropped one is taken for by the system of
// the narration.
var systemUnits = map[quantity.Dimension][2]string{
	quantity.Pressure: {"bar", "psi"}, quantity.Temperature: {"°C", "°F"}, quantity.Torque: {"N·m", ""}, quantity.Voltage: {"V", "V"},
	quantity.Current: {"A", "A"}, quantity.Resistance: {"Ω", "Ω"}, quantity.Rotation: {"rpm", "rpm"}, quantity.Length: {"mm", ""}, quantity.Volume: {"L", ""},
}

// dropped returns the unit that was meant where none was said, and whether it
// was only assumed. An empty unit cannot be told.
func (u *units) dropped(d quantity.Dimension) (unit string, assumed bool) {
	if d == quantity.Torque && len(u.torque) == 1 {
		return u.torque[0], false
	}
	if d == quantity.Torque && len(u.torque) > 1 {
		return "", false
	}
	if unit := u.last[d]; unit != "" {
		return unit, false
	}
	if unit := u.usual[d]; unit != "" {
		return unit, true
	}
	switch {
	case d == quantity.Rotation, d == quantity.Voltage:
		return systemUnits[d][0], true
	case u.metric:
		return systemUnits[d][0], true
	case u.imperial:
		return systemUnits[d][1], true
	}
	return "", false
}
