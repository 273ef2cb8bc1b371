package app

import (
	"fmt"

	"elbowroom/codes"
	"elbowroom/guide"
	"elbowroom/suspect"
	"elbowroom/workshop"
)

// Inquiry is a job as it stands: what is known, and who is suspected.
type Inquiry struct {
	Job       Job
	Guide     *guide.Guide
	Resolved  *guide.Resolved
	Machine   *workshop.Machine // nil when asked for a guide alone
	Variant   string
	Complaint string
	Codes     []CodeLine
	Causes    codes.Causes // what several of the codes have in common, best first
	Shared    []string     // the same in sentences: what leads, and what stands behind it
	Log       []Entry
	Off       []string // what is off or aside now, in words
	Forbidden []string // what must not be done in this state
	Differs   []string // in which respects this machine differs from its variant
	Belief    suspect.Belief
	Arrival   *suspect.Belief // what was believed before anything was read or repaired; nil where nobody asked
	Own       []OwnFigure     // figures of this workshop that stand in the place of assumed ones
	Deference string          // local codes, the maker and licensed practice come first
}

// CodeLine is one trouble code with what the public standard and the guide
// say of it.
type CodeLine struct {
	Code    string
	Pending bool
	Group   string   // public group of the standard
	Owner   string   // who gives the code its meaning
	Faults  []string // faults of the guide that list it
}

// Suspects says who is suspected, and why. Errors wrap ErrInput or ErrUnknown.
func (a *App) Suspects(j Job) (*Inquiry, error) {
	in, err := a.inquire(j)
	if err != nil {
		return nil, err
	}
	b, err := suspect.Believe(in.c, in.options())
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	return in.answer(b), nil
}

// SuspectsSince says who is suspected and also who was before anything was read
// or repaired, from complaint, codes and signs alone. Errors are those of
// Suspects.
func (a *App) SuspectsSince(j Job) (*Inquiry, error) {
	now, err := a.Suspects(j)
	if err != nil {
		return nil, err
	}
	j.Log = nil
	first, err := a.Suspects(j)
	if err != nil {
		return nil, err
	}
	now.Arrival = &first.Belief
	return now, nil
}

// options steer what is believed: with the workshop's own figures.
func (in *inquest) options() suspect.Options { return suspect.Options{Assume: in.assume} }

// answer puts a belief beside what is known.
func (in *inquest) answer(b *suspect.Belief) *Inquiry {
	q := &Inquiry{
		Job: in.job, Guide: in.loaded.Guide, Resolved: in.r, Machine: in.machine, Variant: in.variantText(),
		Complaint: in.c.Complaint, Log: in.log, Belief: *b, Own: in.own, Deference: deference,
	}
	for _, c := range in.c.Codes {
		q.Codes = append(q.Codes, in.codeLine(c))
	}
	up := newUpstream(in.r.Guide, in.r)
	q.Causes = up.causes(in.readCodes())
	q.Shared = up.inCommon(q.Causes.Shared)
	for _, text := range in.start {
		q.Off = append(q.Off, standsText(in.r, text))
	}
	q.Forbidden = forbiddenNow(in.r, in.req)
	if in.machine != nil {
		for _, e := range in.machine.Exceptions {
			q.Differs = append(q.Differs, fmt.Sprintf("%s: %s", itemName(in.r, e.Item), e.Says))
		}
	}
	return q
}

func (in *inquest) codeLine(c suspect.Code) CodeLine {
	l := CodeLine{Code: c.Code, Pending: c.Pending}
	code, err := codes.Parse(c.Code)
	if err != nil {
		return l
	}
	l.Group, _ = code.Code.Group()
	l.Owner = code.Code.Control().Words()
	for _, f := range in.r.Guide.Faults {
		if lists(f, code.Code) {
			l.Faults = append(l.Faults, fmt.Sprintf("%s (%s)", f.Name, f.ID))
		}
	}
	return l
}

// readCodes returns the codes of the case.
func (in *inquest) readCodes() []codes.Code {
	var read []codes.Code
	for _, c := range in.c.Codes {
		if code, err := codes.Parse(c.Code); err == nil {
			read = append(read, code.Code)
		}
	}
	return read
}

// sits reports whether an item is part of a circuit.
func sits(c guide.Circuit, item guide.ID) bool {
	for _, n := range c.Nodes {
		if n.On == item {
			return true
		}
	}
	return false
}
