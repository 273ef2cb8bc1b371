// Package workshop holds what one workshop knows of itself, as plain data: its
// people, its tools with their ranges, accuracy and due dates, its rates, and the
// machines that are in, each with the guide it needs and the state it is in.
//
// It is read from one text file by guide/file and by nothing else. It knows no
// clock: whether a tool is due is asked with a date. Money is in the
// workshop's currency.
package workshop

import (
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/quantity"
	"elbowroom/reading"
)

// Workshop is one place of work.
type Workshop struct {
	Format   int           `yaml:"format"`
	ID       guide.ID      `yaml:"workshop"`
	Name     string        `yaml:"name"`
	Town     string        `yaml:"town,omitempty"`
	About    string        `yaml:"about,omitempty"`
	Currency string        `yaml:"currency"` // ISO 4217
	Rate     money.PerHour `yaml:"rate"`     // labour, an hour
	WaitRate money.PerHour `yaml:"wait-rate,omitempty"`
	VAT      float64       `yaml:"vat,omitempty"` // per cent
	People   []Person      `yaml:"people,omitempty"`
	Tools    []Tool        `yaml:"tools,omitempty"`
	Machines []Machine     `yaml:"machines,omitempty"`
}

// Person works here.
type Person struct {
	ID   guide.ID `yaml:",key"`
	Name string   `yaml:"name"`
	Role string   `yaml:"role,omitempty"`
}

// Tool is an individual tool that the workshop owns.
type Tool struct {
	ID       guide.ID        `yaml:",key"`
	Name     string          `yaml:"name"`
	Is       guide.ID        `yaml:"is,omitempty"` // tool of the guides that it serves as
	Lowest   quantity.Value  `yaml:"lowest,omitempty"`
	Highest  quantity.Value  `yaml:"highest,omitempty"`
	Measures []reading.Range `yaml:"measures,omitempty"`  // measuring ranges with their accuracy
	Leads    quantity.Value  `yaml:"leads,omitempty"`     // resistance of its two leads together
	FourWire bool            `yaml:"four-wire,omitempty"` // measures resistance with four wires
	Due      string          `yaml:"due,omitempty"`       // ISO 8601 date of the next check of the tool
	Note     string          `yaml:"note,omitempty"`
}

// Instruments returns the tools that measure, as package reading knows them, in
// the order of the file: those with measuring ranges or leads, and those that
// serve as a tool of the guides, whose accuracy may be unknown.
func (w *Workshop) Instruments() []reading.Instrument {
	var out []reading.Instrument
	for _, t := range w.Tools {
		if len(t.Measures) > 0 || !t.Leads.Zero() || t.Is != "" {
			out = append(out, reading.Instrument{ID: t.ID, Name: t.Name, Is: t.Is, Ranges: t.Measures, Leads: t.Leads, FourWire: t.FourWire, Due: t.Due})
		}
	}
	return out
}

// Machine is one individual that is in, or has been.
type Machine struct {
	ID         guide.ID       `yaml:",key"`
	Name       string         `yaml:"name"`
	Plate      string         `yaml:"plate,omitempty"`
	Built      string         `yaml:"built,omitempty"`
	Distance   quantity.Value `yaml:"distance,omitempty"`
	Guide      guide.ID       `yaml:"guide,omitempty"` // empty: nothing is written down yet
	Variant    guide.Selector `yaml:"variant,omitempty"`
	Exceptions []Exception    `yaml:"exceptions,omitempty"`
	Complaint  string         `yaml:"complaint,omitempty"`
	Codes      []string       `yaml:"codes,omitempty"`
	Stands     string         `yaml:"stands,omitempty"` // where: "lift 1"
	Found      []string       `yaml:"found,omitempty"`  // what is off or aside now: "PN03", "CO01 aside", "position=raised"
	Next       []guide.TaskID `yaml:"next,omitempty"`   // tasks in view
	Note       string         `yaml:"note,omitempty"`
}

// Exception is a respect in which one machine differs from its variant.
type Exception struct {
	Item    guide.ID       `yaml:"item"`
	Variant guide.Selector `yaml:"variant,omitempty"` // facts of this variant hold for the item
	Says    string         `yaml:"says"`
}
