package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/span"
)

// entryView is the form for a reading: quick to fill with one thumb.
type entryView struct {
	Action          string // where the form is posted to; empty keeps all in the address
	Check, Name, At string
	Good            []string
	Values          []valueField
	Numbers         []valueField // conditions with a number
	Claims          []claimField
	Words           []wordField
	AllHeld         bool
	Set             []string
	Places          []offer // other points of its line where it can be read
	Using           []offer
	Extra           string // anything else, as typed
	Planned         bool   // the reading is taken where the next step leads
	After           []string
	AfterSays       []string
	Hidden          []field
	Error           string
	Details         []string
	Close           string
	Recording       string // address for what a logger wrote of this check
}

type valueField struct {
	Name, Label, Says, Value, Unit string
	Unitname                       string
	Units                          []offer
	Signname                       string
	Signs                          []offer // what the keys for digits of a phone lack
	Held                           string  // of a condition: the clause as it holds
	On                             bool
}

type claimField struct {
	Name, Text string
	Yes, No    bool
}

type wordField struct {
	Text string
	On   bool
}

// typedEntry is a form as it was typed, with what is wrong with it.
type typedEntry struct {
	values url.Values
	err    error
}

// addEntry adds the form for the check that is asked for, or for the next step.
func (s *site) addEntry(p *jobPage, st state, n *app.NextStep, typed *typedEntry) error {
	check := st.check
	if check == "" && n.Check != nil {
		check = string(n.Check.ID)
	}
	if check == "" {
		return nil
	}
	f, err := s.use.Form(st.inquiry(), check)
	if err != nil {
		return err
	}
	p.Entry = entryOf(st, f, typed)
	if n.Check != nil && n.Check.ID == f.Check.ID && n.After != nil {
		p.Entry.Planned, p.Entry.After, p.Entry.AfterSays = true, n.After, n.AfterSays
	}
	return nil
}

func entryOf(st state, f *app.Form, typed *typedEntry) *entryView {
	var was url.Values
	e := &entryView{
		Check: string(f.Check.ID), Name: guide.Capital(f.Check.Name), At: f.Check.At, Good: prettyAll(f.Limits), Set: f.Set,
		Hidden: st.fields("at"),
	}
	using := string(f.Instrument)
	if typed != nil {
		was, using, e.Extra = typed.values, typed.values.Get("using"), typed.values.Get("words")
		e.Error, e.Details = wrong(typed.err)
	}
	for i, v := range f.Values {
		e.Values = append(e.Values, fieldOf("v", i, v, was))
	}
	for i, v := range f.Numbers {
		x := fieldOf("n", i, v, was)
		x.Held = v.Name + " " + v.Says
		x.On = slices.Contains(was["held"], x.Held)
		e.Numbers = append(e.Numbers, x)
	}
	e.AllHeld = was.Get("all-held") == "yes"
	for i, c := range f.Claims {
		name := "c" + strconv.Itoa(i)
		e.Claims = append(e.Claims, claimField{name, c, was.Get(name) == "yes", was.Get(name) == "no"})
	}
	for _, w := range f.Words {
		e.Words = append(e.Words, wordField{w, slices.Contains(was["held"], w)})
	}
	for _, p := range f.Places {
		e.Places = append(e.Places, offer{Value: p.At, Text: say("entry.place", p.At, p.How), Here: was.Get("point") == p.At})
	}
	for _, in := range f.Instruments {
		e.Using = append(e.Using, offer{Value: string(in.ID), Text: in.Name, Here: string(in.ID) == using})
	}
	closed := st
	closed.check = ""
	e.Close = closed.to("/job")
	closed.check = e.Check
	e.Recording = closed.to("/recording")
	return e
}

func prettyAll(list []string) (out []string) {
	for _, s := range list {
		out = append(out, pretty(s))
	}
	return out
}

// wrong says in plain words what is wrong with a form: every finding as one
// sentence with what to do, or the error itself.
func wrong(err error) (head string, details []string) {
	var list span.List
	if !errors.As(err, &list) || len(list) == 0 {
		return sentences(plain(err))
	}
	for _, f := range list {
		text := guide.Capital(f.Says)
		if f.Text != "" {
			text += ": “" + f.Text + "”"
		}
		for _, more := range []string{f.Expect, f.Do} {
			if more != "" {
				text += "; " + more
			}
		}
		details = append(details, text)
	}
	return say("entry.wrong"), details
}

func fieldOf(kind string, i int, v app.FormValue, was url.Values) valueField {
	name := kind + strconv.Itoa(i)
	f := valueField{Name: name, Label: firstOf(v.Label, guide.Capital(v.Name), say("entry.value")), Says: pretty(v.Says), Value: was.Get(name), Unitname: "u" + name, Signname: "s" + name}
	unit := firstOf(was.Get(f.Unitname), v.Unit)
	f.Unit = unit
	for _, sign := range signs {
		f.Signs = append(f.Signs, offer{Value: sign.Value, Text: sign.Text, Here: sign.Value == was.Get(f.Signname)})
	}
	for _, u := range v.Units {
		f.Units = append(f.Units, offer{Value: u, Text: u, Here: u == unit})
	}
	return f
}

// enter reads a filled form, judges the reading and goes on with it in the log.
// A form that cannot be read comes back with what is wrong, as it was typed.
func (s *site) enter(w http.ResponseWriter, r *http.Request) {
	v := r.URL.Query()
	st, err := readState(v)
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	if st.check == "" { // a form without its check: back to the job
		http.Redirect(w, r, st.to("/job"), http.StatusSeeOther)
		return
	}
	f, err := s.use.Form(st.inquiry(), st.check)
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	text := f.Compose(filled(f, validValues(v)))
	err = numbers(f, validValues(v))
	if err == nil {
		_, err = s.use.Judge(st.ask, text)
	}
	if err != nil {
		s.showJob(w, r, st, &typedEntry{validValues(v), err})
		return
	}
	st.check = ""
	st.job.Log = append(slices.Clone(st.job.Log), text)
	if v.Get("planned") == "yes" {
		st.ask.Start = slices.DeleteFunc(slices.Clone(v["after"]), func(t string) bool { return strings.TrimSpace(t) == "" })
	}
	w.Header().Set("Cache-Control", "no-store")
	http.Redirect(w, r, st.to("/job"), http.StatusSeeOther)
}

// numbers reports the first field of a form in which something stands that is
// no number, so that no value is set aside unseen.
func numbers(f *app.Form, v url.Values) error {
	look := func(kind string, list []app.FormValue) error {
		for i, x := range list {
			text := numberIn(v, kind+strconv.Itoa(i))
			over := strings.HasPrefix(text, overLimit)
			if text == "" || text == overLimit || !over && strings.ContainsAny(text, "0123456789") {
				continue
			}
			return inputError(errors.New(say("entry.no-number", firstOf(x.Label, guide.Capital(x.Name), say("entry.value")), text)))
		}
		return nil
	}
	return errors.Join(look("v", f.Values), look("n", f.Numbers))
}

// signs can stand before a number.
var signs = []offer{{Value: "", Text: "="}, {Value: ">", Text: ">"}, {Value: "<", Text: "<"}, {Value: "-", Text: "−"}, {Value: overLimit, Text: overLimit}}

// numberIn is what stands in a field for a number, with the sign chosen for it.
func numberIn(v url.Values, field string) string {
	text, sign := strings.TrimSpace(v.Get(field)), v.Get("s"+field)
	switch {
	case sign == overLimit:
		return strings.TrimSpace(overLimit + " " + strings.TrimPrefix(text, overLimit))
	case text == "" || strings.HasPrefix(text, sign):
		return text
	case sign == ">" || sign == "<" || sign == "-":
		return sign + text
	}
	return text
}

// overLimit is what a meter shows above its range.
const overLimit = "OL"

// decimal writes a price with a point that was typed with a comma. A comma
// before three digits may set off thousands, and stays to be refused.
func decimal(text string) string {
	whole, cents, ok := strings.Cut(strings.TrimSpace(text), ",")
	if !ok || len(cents) == 0 || len(cents) > 2 || strings.Contains(whole, ".") {
		return text
	}
	return whole + "." + cents
}

// filled reads the fields of a form.
func filled(f *app.Form, v url.Values) app.Filled {
	in := app.Filled{
		Values: map[string]string{}, Units: map[string]string{}, Claims: map[string]bool{},
		Instrument: v.Get("using"), At: v.Get("point"), Words: v.Get("words"),
	}
	take := func(kind string, list []app.FormValue) {
		for i, x := range list {
			name := kind + strconv.Itoa(i)
			in.Values[x.Name], in.Units[x.Name] = numberIn(v, name), v.Get("u"+name)
		}
	}
	take("v", f.Values)
	take("n", f.Numbers)
	for i, c := range f.Claims {
		if answer := v.Get("c" + strconv.Itoa(i)); answer != "" {
			in.Claims[c] = answer == "yes"
		}
	}
	all := v.Get("all-held") == "yes"
	for _, w := range f.Words {
		if all || slices.Contains(v["held"], w) {
			in.Held = append(in.Held, w)
		}
	}
	for i, x := range f.Numbers { // without its number a condition holds as it is written
		clause := x.Name + " " + x.Says
		if v.Get("n"+strconv.Itoa(i)) == "" && (all || slices.Contains(v["held"], clause)) {
			in.Held = append(in.Held, clause)
		}
	}
	return in
}
