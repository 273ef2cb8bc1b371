// Package workshop holds what one workshop knows of itself, as plain data: its
// people, its tools with their ranges, accuracy and due dates, its rates, and the
// machines that are in, each with the guide it needs and the state it is in.
// What it has counted itself (Figures) takes the place of what the program
// assumes of any workshop.
//
// It is read from one text file by guide/file and by nothing else. It knows no
// clock: whether a tool is due is asked with a date. Money is in the
// workshop's currency.
package workshop

import (
	"strconv"
	"time"

	"elbowroom/guide"
	"elbowroom/joint"
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
	Small    money.PerHour `yaml:"consumables,omitempty"` // cleaner, grease, rags, for an hour of labour
	VAT      float64       `yaml:"vat,omitempty"`         // per cent
	Day      time.Duration `yaml:"day,omitempty"`         // hours worked in a day; 0 means eight
	People   []Person      `yaml:"people,omitempty"`
	Tools    []Tool        `yaml:"tools,omitempty"`
	Machines []Machine     `yaml:"machines,omitempty"`
	Times    []Timed       `yaml:"times,omitempty"`       // measured here
	Lives    []Lived       `yaml:"lives,omitempty"`       // of parts, seen here
	Figures  []Figure      `yaml:"assumptions,omitempty"` // known better here than the program assumes
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
	Mark     quantity.Value  `yaml:"mark,omitempty"`      // torque wrench: from one mark of its scale to the next
	Percent  float64         `yaml:"deviation,omitempty"` // torque wrench: permissible deviation, per cent of the setting; that of ISO 6789 when left out
	Arm      quantity.Value  `yaml:"arm,omitempty"`       // torque wrench: from the mark on the handle to the square drive
	Reach    quantity.Value  `yaml:"reach,omitempty"`     // adapter: from the square drive to the fastener
	Drive    string          `yaml:"drive,omitempty"`     // adapter: what it fits, as in joints: "hex 17"
	Measures []reading.Range `yaml:"measures,omitempty"`  // measuring ranges with their accuracy
	Leads    quantity.Value  `yaml:"leads,omitempty"`     // resistance of its two leads together
	FourWire bool            `yaml:"four-wire,omitempty"` // measures resistance with four wires
	Due      string          `yaml:"due,omitempty"`       // ISO 8601 date of the next check of the tool
	Note     string          `yaml:"note,omitempty"`
}

// Wrenches returns the torque wrenches and drivers, as package joint knows
// them, in the order of the file: the tools whose range is a torque.
func (w *Workshop) Wrenches() []joint.Wrench {
	var out []joint.Wrench
	for _, t := range w.Tools {
		if t.Lowest.Dimension() != quantity.Torque || t.Highest.Dimension() != quantity.Torque {
			continue
		}
		out = append(out, joint.Wrench{
			ID: string(t.ID), Name: t.Name, Lowest: t.Lowest, Highest: t.Highest, Mark: t.Mark, Deviation: t.Percent / 100,
			Arm: millimetres(t.Arm), Due: t.Due,
		})
	}
	return out
}

// Adapter returns the first adapter that fits a drive, with its reach; nil
// when there is none.
func (w *Workshop) Adapter(drive string) (*Tool, joint.Adapter) {
	for i := range w.Tools {
		if t := &w.Tools[i]; drive != "" && t.Drive == drive && millimetres(t.Reach) > 0 {
			return t, joint.Adapter{Reach: millimetres(t.Reach)}
		}
	}
	return nil, joint.Adapter{}
}

// millimetres returns a length; 0 when it is none.
func millimetres(v quantity.Value) joint.Millimetres {
	mm, err := v.In("mm")
	if err != nil {
		return 0
	}
	return joint.Millimetres(mm.Number)
}

// Complete reports what cannot be so of a tool: a field for torque wrenches or
// adapters that is of another kind, or a due date that is none.
func (t Tool) Complete() error {
	var errs guide.FormErrors
	add := func(field, text, says, expect string) {
		errs = append(errs, guide.FormError{Field: field, Text: text, Says: says, Expect: expect})
	}
	if v := t.Mark; !v.Zero() && (v.Dimension() != quantity.Torque || v.Number <= 0) {
		add("mark", v.String(), "not the distance of two marks of a torque wrench", "a torque, such as 0.5 N·m")
	}
	for _, l := range []struct {
		field string
		v     quantity.Value
	}{{"arm", t.Arm}, {"reach", t.Reach}} {
		if !l.v.Zero() && millimetres(l.v) <= 0 {
			add(l.field, l.v.String(), "not a length", "a length, such as 260 mm")
		}
	}
	if t.Percent < 0 || t.Percent >= 100 {
		add("deviation", strconv.FormatFloat(t.Percent, 'f', -1, 64), "not a permissible deviation", "per cent of the setting, such as 4")
	}
	if _, err := time.Parse(time.DateOnly, t.Due); t.Due != "" && err != nil {
		add("due", t.Due, "not a day", "year, month and day, such as 2026-03-16")
	}
	if len(errs) == 0 {
		return nil
	}
	return errs
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
