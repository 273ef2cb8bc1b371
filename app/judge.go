package app

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/reading"
	"elbowroom/suspect"
	"elbowroom/workshop"
)

// Entry is one entry of a job's log, read. Exactly one of Reading, Repair and
// Proof is set.
type Entry struct {
	Text    string
	Check   *guide.Check
	Reading *reading.Reading
	Verdict *reading.Verdict
	Repair  *suspect.Repair
	Proof   *suspect.Proof
	Anyway  bool // a reading that is not comparable is to count all the same, softened

	Elsewhere *Elsewhere // of a reading taken at another point than its check's, else nil
}

// Judgement is one reading with its verdict.
type Judgement struct {
	Resolved    *guide.Resolved
	Machine     *workshop.Machine // nil when asked for a guide alone
	Variant     string
	Check       *guide.Check
	Reading     reading.Reading
	Verdict     reading.Verdict
	Instruments []reading.Instrument // of the workshop that serve for the check
	Elsewhere   *Elsewhere           // when it was taken at another point than the named check's, else nil
}

// Judge says whether a reading is good. The text is that of an entry of a log:
// the check, a colon, values and conditions. A reading taken at another point
// ("T58 at EL01: 0.62 Ω, unplugged") is judged by the limit of that point: the
// guide's own, or one carried there along the wiring. Errors wrap ErrInput or
// ErrUnknown; a span.List inside says where in the text.
func (a *App) Judge(q Ask, text string) (*Judgement, error) {
	s, b, err := a.look(q)
	if err != nil {
		return nil, err
	}
	return a.judge(s, b.r, text)
}

func (a *App) judge(s setting, r *guide.Resolved, text string) (*Judgement, error) {
	if len(text) > maxEntry {
		return nil, fmt.Errorf("%w: reading: longer than %d characters", ErrInput, maxEntry)
	}
	rd, err := reading.Read(r, text)
	if err != nil {
		return nil, fmt.Errorf("%w: reading %q:\n%w", ErrInput, text, err)
	}
	j := &Judgement{Resolved: r, Machine: s.machine, Variant: s.variant.String(), Check: r.Check(rd.Check), Reading: rd}
	if j.Check == nil {
		return nil, fmt.Errorf("%w: reading %q: begin with the check that it was taken for, such as T35: 38 kΩ", ErrInput, text)
	}
	opt := a.judging(s.machine)
	j.Verdict = reading.Judge(r, j.Check, rd, opt)
	a.judgeElsewhere(s, r, j)
	j.Instruments = serving(opt.Instruments, j.Check)
	return j, nil
}

// Walk is what to know of a check before walking to the machine: its limits
// and conditions, and which instrument here is good enough for them.
type Walk struct {
	Resolved    *guide.Resolved
	Machine     *workshop.Machine
	Variant     string
	Check       *guide.Check
	Fitness     []reading.Fitness // by limit, the better instrument first
	Instruments []reading.Instrument
}

// Walk answers before a check is made. The check is named by its ID or, where
// only one fits, by words. Errors wrap ErrInput or ErrUnknown.
func (a *App) Walk(q Ask, check string) (*Walk, error) {
	s, b, err := a.look(q)
	if err != nil {
		return nil, err
	}
	t, err := ParseTask(b.r, string(guide.Measure)+":"+check)
	if err != nil {
		return nil, err
	}
	w := &Walk{Resolved: b.r, Machine: s.machine, Variant: s.variant.String(), Check: b.r.Check(t.On)}
	if w.Check == nil {
		return nil, fmt.Errorf("%w: %q is no check of this guide; nearest: %s", ErrUnknown, check, join(checksOf(b.r, t.On)))
	}
	opt := a.judging(s.machine)
	w.Instruments = serving(opt.Instruments, w.Check)
	w.Fitness = reading.Adequate(b.r, w.Check, opt.Instruments, opt)
	return w, nil
}

// checksOf lists the checks that examine an item.
func checksOf(r *guide.Resolved, item guide.ID) []string {
	var out []string
	for _, c := range r.Guide.Checks {
		if c.Point == item || slices.Contains(c.On, item) {
			out = append(out, string(c.ID))
		}
	}
	return out
}

// judging is how readings on a machine are judged here.
func (a *App) judging(m *workshop.Machine) reading.Options {
	opt := reading.Options{Today: a.Clock().Format("2006-01-02")}
	if a.workshop != nil {
		opt.Instruments = a.workshop.Instruments()
	}
	if m != nil {
		for _, e := range m.Exceptions {
			opt.Exceptions = append(opt.Exceptions, reading.Exception{Item: e.Item, Variant: e.Variant})
		}
	}
	return opt
}

// serving are the instruments that serve as one of those the check asks for.
func serving(all []reading.Instrument, c *guide.Check) []reading.Instrument {
	var out []reading.Instrument
	for _, in := range all {
		for _, id := range c.Instrument {
			if in.Is == id {
				out = append(out, in)
			}
		}
	}
	return out
}

// entries reads the log of a job and turns it into what happened.
func (a *App) entries(in *inquest) error {
	for i, text := range in.job.Log {
		e := Entry{Text: text}
		err := a.entry(in, &e)
		if err != nil {
			return fmt.Errorf("log %d: %w", i+1, err)
		}
		in.log = append(in.log, e)
		in.c.Events = append(in.c.Events, e.event())
	}
	r, err := withCarried(in.r, in.variant, in.log, in.assume.CheckFails.Middle)
	if err != nil {
		return fmt.Errorf("log: %w", err)
	}
	in.c.Guide = r
	return nil
}

func (a *App) entry(in *inquest, e *Entry) (err error) {
	first, rest, _ := strings.Cut(strings.TrimSpace(e.Text), " ")
	switch first {
	case repairedWord:
		e.Repair, err = in.repair(rest)
	case proofWord:
		e.Proof, err = proof(rest)
	default:
		text := e.Text
		if first == anywayWord {
			e.Anyway, text = true, rest
		}
		var j *Judgement
		if j, err = a.judge(in.setting, in.r, text); err == nil {
			e.Check, e.Reading, e.Verdict, e.Elsewhere = j.Check, &j.Reading, &j.Verdict, j.Elsewhere
		}
	}
	return err
}

func proof(text string) (*suspect.Proof, error) {
	how, says, _ := strings.Cut(strings.TrimSpace(text), ",")
	switch how {
	case "passed", "failed":
		return &suspect.Proof{Passed: how == "passed", Says: strings.TrimSpace(says)}, nil
	}
	return nil, fmt.Errorf("%w: log: proof %q: write proof passed or proof failed", ErrInput, text)
}

func (e Entry) event() suspect.Event {
	switch {
	case e.Repair != nil:
		return suspect.Event{Repair: e.Repair}
	case e.Proof != nil:
		return suspect.Event{Proof: e.Proof}
	}
	_, says, _ := strings.Cut(e.Text, ":")
	v := suspect.FromReading(*e.Verdict, strings.TrimSpace(says), e.Anyway)
	return suspect.Event{Verdict: &v}
}
