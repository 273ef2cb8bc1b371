package app

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading"
)

// Form is what a person is asked for to enter a reading of one check. Compose
// turns what was filled in into the text of an entry.
type Form struct {
	Check       *guide.Check
	Limits      []string // what is good, short
	Values      []FormValue
	Claims      []string // observations to answer with yes or no
	Words       []string // conditions in words, to tick
	Numbers     []FormValue
	Set         []string             // states of the machine that the check asks for, in words
	Places      []Place              // other points of its line where it can be read
	Instruments []reading.Instrument // here, serving the check
	Instrument  guide.ID             // used last for such a check in this job, else the only one
}

// FormValue is one number to type.
type FormValue struct {
	Name  string // as it stands in the entry: "right", "SE13", "ambient"; empty for the reading itself
	Label string
	Says  string // the range, for a condition
	Unit  string // most likely unit
	Units []string
}

// mostUnits bounds the units offered for a value.
const mostUnits = 8

// Form returns what to ask for a reading of a check. Errors wrap ErrInput or
// ErrUnknown.
func (a *App) Form(j Job, check string) (*Form, error) {
	w, err := a.Walk(j.Ask, check)
	if err != nil {
		return nil, err
	}
	c, r := w.Check, w.Resolved
	f := &Form{Check: c, Instruments: w.Instruments, Instrument: lastUsed(j.Log, w.Instruments)}
	f.values(r, c)
	f.Places = placesOf(r, c)
	for _, k := range c.When {
		if k.Words != "" {
			f.Words = append(f.Words, k.Words)
			continue
		}
		says := strings.TrimSpace(strings.TrimPrefix(k.String(), k.Subject))
		f.Numbers = append(f.Numbers, valueOf(k.Subject, guide.Capital(k.Subject), says, firstUnit(k.Low, k.High)))
	}
	for _, q := range c.With {
		if !q.Not {
			f.Set = append(f.Set, stateText(r, q.Condition, q.Value))
		}
	}
	return f, nil
}

// values lists the numbers and observations that the limits speak of.
func (f *Form) values(r *guide.Resolved, c *guide.Check) {
	unit := ""
	for _, m := range c.Limits {
		f.Limits = append(f.Limits, limitText(r, m))
		if m.Words != "" {
			f.words(m.Words)
			continue
		}
		if unit == "" {
			unit = limitUnit(r, m)
		}
	}
	if unit == "" {
		return
	}
	var own []FormValue
	for _, name := range partNames(r, c) {
		own = append(own, valueOf(name.Name, name.Label, "", unit))
	}
	f.Values = append(own, f.Values...)
}

// words takes a limit in words apart: claims to confirm, and numbers such as
// "low at most 0.5 V" to type.
func (f *Form) words(text string) {
	for _, claim := range strings.Split(text, ",") {
		claim = strings.TrimSpace(strings.SplitN(claim, " = ", 2)[0])
		if subject, unit, ok := numberClaim(claim); ok {
			f.Values = append(f.Values, valueOf(subject, guide.Capital(claim), "", unit))
		} else if claim != "" {
			f.Claims = append(f.Claims, claim)
		}
	}
}

// numberClaim reads "low at most 0.5 V".
func numberClaim(claim string) (subject, unit string, ok bool) {
	for _, word := range []string{" at most ", " at least "} {
		if s, rest, found := strings.Cut(claim, word); found {
			if v, err := quantity.Parse(rest); err == nil {
				return s, v.Unit, true
			}
		}
	}
	return "", "", false
}

// limitText is a limit as people read it; of a law, its name.
func limitText(r *guide.Resolved, m guide.Limit) string {
	text := strings.TrimPrefix(m.String(), "words: ")
	for _, l := range r.Guide.Laws {
		if l.ID == m.Law && l.Name != "" {
			text += " (" + l.Name + ")"
		}
	}
	return text
}

func limitUnit(r *guide.Resolved, m guide.Limit) string {
	if u := firstUnit(m.Low, m.High, m.Nominal); u != "" {
		return u
	}
	for _, l := range r.Guide.Laws {
		if l.ID == m.Law {
			of := strings.Fields(l.Of)
			return of[len(of)-1]
		}
	}
	return ""
}

func firstUnit(list ...quantity.Value) string {
	for _, v := range list {
		if !v.Zero() {
			return v.Unit
		}
	}
	return ""
}

// partNames names what a check of several items reads one by one: by side
// where that tells them apart, else by ID.
func partNames(r *guide.Resolved, c *guide.Check) []FormValue {
	if len(c.On) < 2 || c.Point == "" && !compares(c) {
		if compares(c) {
			return []FormValue{{Name: "first"}, {Name: "second"}}
		}
		return []FormValue{{}}
	}
	bySide := map[guide.Side]int{}
	for _, id := range c.On {
		if it := r.Item(id); it != nil {
			bySide[it.Side]++
		}
	}
	var out []FormValue
	for _, id := range c.On {
		it := r.Item(id)
		if it == nil {
			continue
		}
		name := string(id)
		if it.Side != "" && bySide[it.Side] == 1 {
			name = string(it.Side)
		}
		out = append(out, FormValue{Name: name, Label: itemName(r, id)})
	}
	return out
}

func compares(c *guide.Check) bool {
	return slices.ContainsFunc(c.Limits, func(m guide.Limit) bool { return m.Of == "left-right" || m.Of == "spread" || m.Of == "sum" })
}

func valueOf(name, label, says, unit string) FormValue {
	v := FormValue{Name: name, Label: label, Says: says, Unit: unit, Units: []string{unit}}
	one, err := quantity.Parse("1 " + unit)
	if err != nil || unit == "1" {
		return v
	}
	for _, u := range quantity.Units() {
		if u != unit && quantity.Of(1, u).Dimension() == one.Dimension() && len(v.Units) < mostUnits {
			v.Units = append(v.Units, u)
		}
	}
	return v
}

// lastUsed is the instrument that the log named last among those that serve,
// or the only one.
func lastUsed(log []string, have []reading.Instrument) guide.ID {
	for i := len(log) - 1; i >= 0; i-- {
		for _, in := range have {
			if strings.Contains(log[i], usingWord+string(in.ID)) {
				return in.ID
			}
		}
	}
	if len(have) == 1 {
		return have[0].ID
	}
	return ""
}

// usingWord begins the clause of an entry that names the instrument.
const usingWord = "using "

// Filled is a Form filled in. Keys are the names of its values and numbers.
type Filled struct {
	Values     map[string]string // "38", "> 10", "38 kΩ", "OL"
	Units      map[string]string
	Claims     map[string]bool // answered claims
	Held       []string        // conditions in words that held
	Instrument string
	At         string // one of Form.Places; empty: the check's own point
	Words      string // anything else, in words
	Anyway     bool
}

// Compose writes what was filled in as the text of an entry, for Judge and for
// the log of a job to read.
func (f *Form) Compose(in Filled) string {
	var parts []string
	for _, v := range slices.Concat(f.Values, f.Numbers) {
		if text := withUnit(in.Values[v.Name], firstText(in.Units[v.Name], v.Unit)); text != "" {
			parts = append(parts, strings.TrimSpace(v.Name+" "+text))
		}
	}
	for _, c := range f.Claims {
		if yes, ok := in.Claims[c]; ok && yes {
			parts = append(parts, c)
		} else if ok {
			parts = append(parts, "no "+c)
		}
	}
	parts = append(parts, in.Held...)
	if w := strings.TrimSpace(in.Words); w != "" {
		parts = append(parts, w)
	}
	if in.Instrument != "" {
		parts = append(parts, usingWord+in.Instrument)
	}
	head := string(f.Check.ID)
	if slices.ContainsFunc(f.Places, func(p Place) bool { return p.At == in.At }) {
		head += " at " + in.At
	}
	text := fmt.Sprintf("%s: %s", head, strings.Join(parts, ", "))
	if in.Anyway {
		text = anywayWord + " " + text
	}
	return text
}

func firstText(list ...string) string {
	for _, s := range list {
		if s != "" {
			return s
		}
	}
	return ""
}

// withUnit adds the unit to a number that was typed without one, and reads a
// decimal comma: no value of a form has two numbers.
func withUnit(text, unit string) string {
	text = strings.ReplaceAll(strings.TrimSpace(text), ",", ".")
	if text == "" || text == "OL" {
		return text
	}
	last := text[len(text)-1]
	if last >= '0' && last <= '9' || last == '.' {
		if unit == "1" || unit == "" {
			return text
		}
		return text + " " + unit
	}
	return text
}
