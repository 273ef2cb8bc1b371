package app

import (
	"fmt"
	"net/url"
	"strings"

	"elbowroom/guide"
	"elbowroom/span"
	"elbowroom/suspect"
)

// Job is what is known of the trouble of one machine, as a user writes it: the
// question about the machine with the state it stands in now, and what was
// told, read and done so far. Every field may be empty.
type Job struct {
	Ask
	Complaint string   // in the customer's words; the machine's when empty
	Codes     []string // "P0327", "P0332 pending"; the machine's when nil
	AllCodes  bool     // the codes are everything that is stored
	Ticks     []string // "yes: lamp on", "no: whistle", "not known: lazy": signs of the guide settled by a person
	Touched   []string // items worked on just before it began
	Around    []string // conditions under which it shows: "wet", "hot"
	Log       []string // in the order in which it happened: "T35: 38 kΩ, unplugged", "repaired F10", "proof passed"
}

// Limits of what is taken from a user.
const (
	maxLog       = 300
	maxEntry     = 600 // bytes of one entry of a log
	maxComplaint = 4000
)

// Words that begin an entry of a log.
const (
	repairedWord = "repaired"
	proofWord    = "proof"
	anywayWord   = "anyway" // before a reading: count it although it is not comparable
)

// Values returns the job as the query of an address; JobFromValues reads it
// back.
func (j Job) Values() url.Values {
	v := j.Ask.Values()
	if j.Complaint != "" {
		v.Set("complaint", j.Complaint)
	}
	if j.AllCodes {
		v.Set("all-codes", "yes")
	}
	for key, list := range map[string][]string{"code": j.Codes, "sign": j.Ticks, "touched": j.Touched, "around": j.Around, "log": j.Log} {
		if len(list) > 0 {
			v[key] = list
		}
	}
	if j.Codes != nil && len(j.Codes) == 0 {
		v.Set("code", "") // none, whatever the machine says
	}
	return v
}

// JobFromValues reads an address made by Values. Unknown keys are ignored; the
// error wraps ErrInput and names the key.
func JobFromValues(v url.Values) (Job, error) {
	q, err := FromValues(v)
	j := Job{
		Ask: q, Complaint: strings.TrimSpace(v.Get("complaint")), AllCodes: v.Get("all-codes") == "yes",
		Ticks: words(v["sign"]), Touched: words(v["touched"]), Around: words(v["around"]), Log: words(v["log"]),
	}
	if list, ok := v["code"]; ok {
		j.Codes = append([]string{}, words(list)...)
	}
	if err != nil {
		return j, err
	}
	return j, j.check()
}

// check refuses what is too long to be meant.
func (j Job) check() error {
	if len(j.Complaint) > maxComplaint {
		return fmt.Errorf("%w: complaint: longer than %d characters; keep to what the customer said", ErrInput, maxComplaint)
	}
	for key, list := range map[string][]string{"code": j.Codes, "sign": j.Ticks, "touched": j.Touched, "around": j.Around, "log": j.Log} {
		if len(list) > maxLog {
			return fmt.Errorf("%w: %s: more than %d entries", ErrInput, key, maxLog)
		}
		for i, s := range list {
			if len(s) > maxEntry {
				return fmt.Errorf("%w: %s %d: longer than %d characters", ErrInput, key, i+1, maxEntry)
			}
		}
	}
	return nil
}

// inquest is a job with everything that it names found.
type inquest struct {
	asked
	job    Job
	c      suspect.Case
	log    []Entry
	assume *suspect.Assumptions
	own    []OwnFigure // of the workshop, in assume
}

// inquire settles a job: machine, guide and state, and the case that it makes.
func (a *App) inquire(j Job) (*inquest, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	k, err := a.ask(j.Ask)
	if err != nil {
		return nil, err
	}
	in := &inquest{asked: k, job: j}
	if in.assume, in.own, err = a.assumed(); err != nil {
		return nil, err
	}
	in.c = suspect.Case{Guide: k.r, Complaint: j.Complaint, CodesRead: j.AllCodes, Conditions: j.Around}
	codes := j.Codes
	if m := k.machine; m != nil {
		if in.c.Complaint == "" {
			in.c.Complaint = m.Complaint
		}
		if codes == nil {
			codes = m.Codes
		}
		if !m.Distance.Zero() {
			in.c.Age = append(in.c.Age, m.Distance)
		}
	}
	for _, step := range []func() error{
		func() error { return in.codes(codes) },
		func() error { return in.ticks(j.Ticks) },
		func() error { return in.touched(j.Touched) },
		func() error { return a.entries(in) },
	} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return in, nil
}

// codes reads "P0327" and "P0327 pending".
func (in *inquest) codes(list []string) error {
	for _, text := range list {
		name, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
		c := suspect.Code{Code: strings.ToUpper(name)}
		switch strings.TrimSpace(rest) {
		case "":
		case "pending":
			c.Pending = true
		default:
			return fmt.Errorf("%w: code %q: write the code, and pending after it when it is not confirmed", ErrInput, text)
		}
		in.c.Codes = append(in.c.Codes, c)
	}
	return nil
}

// ticks reads "yes: lamp on".
func (in *inquest) ticks(list []string) error {
	for _, text := range list {
		is, sign, ok := strings.Cut(text, ":")
		t := suspect.Tick{Sign: strings.TrimSpace(sign), Is: suspect.Answer(strings.TrimSpace(is))}
		if !ok || t.Sign == "" || t.Is != suspect.Present && t.Is != suspect.Absent && t.Is != suspect.NotKnown {
			return fmt.Errorf("%w: sign %q: write yes, no or not known, a colon and the sign, such as \"yes: misfire\"", ErrInput, text)
		}
		in.c.Ticks = append(in.c.Ticks, t)
	}
	return nil
}

func (in *inquest) touched(list []string) error {
	for _, text := range list {
		id := guide.ID(strings.TrimSpace(text))
		if up := guide.ID(strings.ToUpper(string(id))); in.r.Item(id) == nil && in.r.Item(up) != nil {
			id = up
		}
		if in.r.Item(id) == nil {
			hits := in.r.Find(text)
			if len(hits) != 1 && !(len(hits) > 1 && hits[0].Exact() && !hits[1].Exact()) {
				return fmt.Errorf("%w: touched: %s", ErrInput, notOne(in.r, text, hits))
			}
			id = hits[0].Item.ID
		}
		in.c.Touched = append(in.c.Touched, id)
	}
	return nil
}

// fault returns a fault of the guide.
func (in *inquest) fault(id guide.ID) *guide.Fault {
	for i := range in.r.Guide.Faults {
		if in.r.Guide.Faults[i].ID == id {
			return &in.r.Guide.Faults[i]
		}
	}
	return nil
}

// repair reads what follows "repaired": a fault, or a task as verb:item.
func (in *inquest) repair(text string) (*suspect.Repair, error) {
	text = strings.TrimSpace(text)
	if f := in.fault(guide.ID(strings.ToUpper(text))); f != nil {
		return &suspect.Repair{Fault: f.ID, Says: f.Repair}, nil
	}
	if strings.Contains(text, ":") {
		t, err := ParseTask(in.r, text)
		if err != nil {
			return nil, err
		}
		return &suspect.Repair{Task: &guide.TaskID{Verb: t.Verb, On: t.On}, Says: taskText(in.r, t)}, nil
	}
	var known []string
	for _, f := range in.r.Guide.Faults {
		known = append(known, string(f.ID))
	}
	return nil, fmt.Errorf("%w: log: repaired %q: write a fault of the guide or a task, such as repaired F10 or repaired replace:SE13%s", ErrInput, text, nearby(text, known))
}

func nearby(text string, known []string) string {
	if near := span.Nearest(text, known); len(near) > 0 {
		return "; nearest: " + join(near)
	}
	return ""
}
