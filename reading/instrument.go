package reading

import (
	"elbowroom/guide"
	"elbowroom/quantity"
)

// Instrument is an individual instrument: what it can measure and how well.
type Instrument struct {
	ID       guide.ID       `json:"id,omitempty"`
	Name     string         `json:"name"`
	Is       guide.ID       `json:"is,omitempty"`        // tool of the guides that it serves as
	Ranges   []Range        `json:"ranges,omitempty"`    // none: its accuracy is not known
	Leads    quantity.Value `json:"leads,omitzero"`      // resistance of its two leads together
	FourWire bool           `json:"four_wire,omitempty"` // leads do not count
	Zeroed   bool           `json:"zeroed,omitempty"`    // the leads were zeroed before this reading
	Due      string         `json:"due,omitempty"`       // ISO 8601 date of its next check
}

// Range is one measuring range of an instrument with its accuracy: ±(Percent
// of the reading + Full per cent of Highest + Digits of Step), limits of a
// rectangular distribution (GUM 4.3.7); or Standard, a standard uncertainty.
// Short forms, as a workshop writes them:
//
//	0..600 Ω ± (0.5 % + 3 x 0.1 Ω)
//	0..10 bar ± 0.6 % of full scale, step 0.1 bar
//	-40..500 °C ± 1.5 K
//	0..50 V, standard uncertainty 0.02 V
type Range struct {
	Lowest   quantity.Value `json:"lowest" yaml:"lowest"`
	Highest  quantity.Value `json:"highest" yaml:"highest"`
	Percent  float64        `json:"percent,omitempty" yaml:"percent,omitempty"` // of the reading
	Full     float64        `json:"full,omitempty" yaml:"full,omitempty"`       // per cent of Highest
	Digits   float64        `json:"digits,omitempty" yaml:"digits,omitempty"`   // counts of Step
	Step     quantity.Value `json:"step,omitzero" yaml:"step,omitempty"`        // resolution of the display
	Fixed    quantity.Value `json:"fixed,omitzero" yaml:"fixed,omitempty"`      // half width that is the same everywhere
	Standard quantity.Value `json:"standard,omitzero" yaml:"standard,omitempty"`
}
