package app

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"elbowroom/codes"
	"elbowroom/codes/answer"
	"elbowroom/codes/can"
	"elbowroom/codes/dump"
	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/span"
	"elbowroom/workshop"
)

// CodeInput is what somebody read from the control units of a machine, as a
// file or as pasted text.
type CodeInput struct {
	Name   string // of the file, for the places of findings; may be empty
	Text   io.Reader
	Link   string // over which rows of bytes without identifier were read: "can", "older" or empty
	Deltas bool   // the times of a capture are differences from line to line
}

// CodesRead is what a text or a capture holds, and what it means for a job.
type CodesRead struct {
	Job     Job
	Name    string
	Form    CodeForm
	Says    string            // as what it was read, with how much of it
	Guide   *guide.Guide      // nil when there is none
	Machine *workshop.Machine // nil when none was named
	Variant string

	Units    []UnitRead
	Empty    []codes.Memory // memories that the source says hold no code
	Cleared  []string       // where codes were cleared, in words
	Series   []can.Series   // values over time; without times where the source has none
	Requests []can.Asked    // of a capture
	Others   []can.Count    // frames that carry no diagnosis
	Asked    []dump.Line    // requests among rows of bytes
	Unread   []dump.Line    // lines that were not understood, whole
	Findings span.List
	Notes    []string // about the text as a whole

	Causes codes.Causes // what several of the codes have in common
	Shared []string     // the same in sentences
	Take   []TakenCode  // what the job may take, with what it has already
}

// UnitRead is what one control unit said. Name is its identifier, or what the
// source calls it, and empty where the source does not tell units apart.
type UnitRead struct {
	Name     string
	Bus      string
	Codes    []CodeRead
	Either   []string // messages that can be read in two ways
	Frames   []FrameRead
	Lamp     *bool
	Distance quantity.Value
	Monitors []MonitorRead
	Announce []string // how many codes readiness says are stored
	Support  []answer.Support
	Info     []answer.Info
	States   []can.State
	Refused  []can.Refused
	Values   []ValueRead // the latest of each

	at int    // codes that stand above the line being read
	by string // the last of them that stored a freeze frame
}

// CodeRead is one code as it was found.
type CodeRead struct {
	codes.Seen
	CodeLine
	Status string // in words
	Type   string // of failure, in words
}

// FrameRead is a freeze frame.
type FrameRead struct {
	Number int
	Code   string // that stored it, where the source says so
	Values []ValueRead
}

// ValueRead is a channel with its latest value.
type ValueRead struct {
	Name    string // the channel, or as written where it is none
	Known   bool   // Name is a channel of the public standard
	Value   quantity.Value
	Count   int // how many values the source holds
	Lowest  quantity.Value
	Highest quantity.Value
	At      float64 // seconds from the begin, when Timed
	Timed   bool
	Unused  bool // the control unit says that it makes no use of it
	Line    int
}

// MonitorRead is one on-board test.
type MonitorRead struct {
	Name     string
	Fitted   bool
	Complete bool
	Cycle    bool // in this drive cycle, not since the codes were cleared
}

// TakenCode is a code as a job may take it.
type TakenCode struct {
	Entry  string // of Job.Codes: "P0332 pending"
	Code   codes.Code
	Says   string
	Units  []string
	Ticked bool // offered as taken
	Have   bool // the job has it already
}

// linkNames are the links that a question may name.
var linkNames = map[string]answer.Link{"": answer.Unknown, "can": answer.CAN, "older": answer.Older}

// ReadCodes reads what a reader of codes showed or a capture holds: a text,
// rows of bytes, or a capture of a CAN bus, which is read as a stream of any
// length. The codes are put beside the guide of the job. Nothing is dropped
// without a word: see Findings and Unread. Errors wrap ErrInput or ErrUnknown,
// or are those of reading the text.
func (a *App) ReadCodes(j Job, in CodeInput) (*CodesRead, error) {
	link, ok := linkNames[in.Link]
	if !ok {
		return nil, fmt.Errorf("%w: link %q: write can or older", ErrInput, in.Link)
	}
	c := &CodesRead{Job: j, Name: in.Name}
	up, err := a.upstreamOf(j.Ask, c)
	if err != nil {
		return nil, err
	}
	if err := c.read(in, link); err != nil {
		return nil, err
	}
	c.relate(up)
	return c, nil
}

// upstreamOf finds the guide of a question, nil when nothing is written for
// the machine or nothing is loaded. A variant that is not settled is no
// obstacle: faults and wiring are then taken whole.
func (a *App) upstreamOf(q Ask, c *CodesRead) (*upstream, error) {
	s, err := a.settleLoosely(q)
	if err != nil {
		return nil, err
	}
	c.Machine, c.Variant = s.machine, s.variant.String()
	if s.loaded == nil {
		return nil, nil
	}
	c.Guide = s.loaded.Guide
	var r *guide.Resolved
	if len(s.variant) > 0 {
		if r, err = guide.Resolve(s.loaded.Guide, s.variant); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrInput, err)
		}
	}
	return newUpstream(s.loaded.Guide, r), nil
}

// settleLoosely is settle for questions that can do without a guide.
func (a *App) settleLoosely(q Ask) (setting, error) {
	if q.Machine != "" && q.Guide == "" {
		m, err := a.Machine(q.Machine)
		if err != nil {
			return setting{}, err
		}
		if m.Guide == "" {
			return setting{machine: m}, nil
		}
	}
	if q.Machine == "" && q.Guide == "" && len(a.guides) == 0 {
		return setting{}, nil
	}
	return a.settle(q)
}

// relate puts the codes beside the guide and the job.
func (c *CodesRead) relate(up *upstream) {
	lines := map[codes.Code]CodeLine{}
	for i := range c.Units {
		for k := range c.Units[i].Codes {
			x := &c.Units[i].Codes[k]
			code := x.Seen.Code.Code
			if _, ok := lines[code]; !ok {
				lines[code] = lineOf(up, code)
			}
			x.CodeLine = lines[code]
			x.Pending = pendingOf(x.Seen)
		}
	}
	read := sortedKeys(lines)
	c.Take = c.taken(up)
	if up == nil {
		return
	}
	c.Causes = up.causes(read)
	c.Shared = up.inCommon(c.Causes.Shared)
}

// lineOf says of a code what the standard and the guide do.
func lineOf(up *upstream, code codes.Code) CodeLine {
	l := CodeLine{Code: code.String(), Owner: code.Control().Words()}
	l.Group, _ = code.Group()
	if up == nil {
		return l
	}
	for _, f := range up.g.Faults {
		if (f.On == "" || up.has(f.On)) && lists(f, code) {
			l.Faults = append(l.Faults, fmt.Sprintf("%s (%s)", f.Name, f.ID))
		}
	}
	return l
}

// standing is how firmly a code is held by its control unit.
type standing int

const (
	listed    standing = iota // named, but no test of it failed
	waiting                   // failed, not confirmed
	confirmed                 // stored, or the source does not say
)

func standingOf(s codes.Seen) standing {
	failed := s.Status & (codes.TestFailed | codes.FailedThisCycle | codes.Pending | codes.FailedSinceClear)
	switch {
	case s.Memory == codes.Waiting:
		return waiting
	case !s.HasStatus || s.Status.Has(codes.Confirmed):
		return confirmed
	case s.Memory != codes.Reported && s.Memory != codes.Unsaid:
		return confirmed
	case failed != 0:
		return waiting
	}
	return listed
}

func pendingOf(s codes.Seen) bool { return standingOf(s) == waiting }

// taken lists the codes for the job: each once, as firmly as any control unit
// holds it. Not ticked are those that no test failed, and those that did not
// come back after their control unit was cleared and read again.
func (c *CodesRead) taken(up *upstream) []TakenCode {
	type found struct {
		firm    standing
		gone    bool
		units   []string
		returns bool
	}
	all := map[codes.Code]*found{}
	for _, u := range c.Units {
		again := slices.ContainsFunc(u.Codes, func(x CodeRead) bool { return !x.Before }) && slices.ContainsFunc(u.Codes, func(x CodeRead) bool { return x.Before })
		for _, x := range u.Codes {
			f := all[x.Seen.Code.Code]
			if f == nil {
				f = &found{}
				all[x.Seen.Code.Code] = f
			}
			f.firm = max(f.firm, standingOf(x.Seen))
			f.gone, f.returns = f.gone || x.Before && again, f.returns || !x.Before
			if u.Name != "" && !slices.Contains(f.units, u.Name) {
				f.units = append(f.units, u.Name)
			}
		}
	}
	out := c.inJob()
	for _, code := range sortedKeys(all) {
		f := all[code]
		t := TakenCode{Entry: code.String(), Code: code, Units: f.units, Ticked: f.firm != listed && (f.returns || !f.gone)}
		switch {
		case f.firm == waiting:
			t.Entry, t.Says = code.String()+" pending", "pending"
		case f.firm == listed:
			t.Says = "listed, but no test of it failed"
		}
		if f.gone && !f.returns {
			t.Says = strings.TrimPrefix(t.Says+", not seen again after clearing", ", ")
		}
		if lineOf(up, code).Faults == nil && up != nil {
			t.Says = strings.TrimPrefix(t.Says+", no fault of the guide lists it", ", ")
		}
		i := slices.IndexFunc(out, func(o TakenCode) bool { return o.Code == code })
		if i < 0 {
			out = append(out, t)
			continue
		}
		out[i].Units = t.Units
		if f.firm == confirmed {
			out[i].Entry, out[i].Says = t.Entry, t.Says
		}
	}
	slices.SortStableFunc(out, func(a, b TakenCode) int { return int(a.Code) - int(b.Code) })
	return out
}

// inJob lists the codes that the job has.
func (c *CodesRead) inJob() []TakenCode {
	list := c.Job.Codes
	if list == nil && c.Machine != nil {
		list = c.Machine.Codes
	}
	var out []TakenCode
	for _, text := range list {
		name, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
		full, err := codes.Parse(name)
		if err != nil {
			continue // the job itself says what is wrong with it
		}
		out = append(out, TakenCode{Entry: strings.TrimSpace(text), Code: full.Code, Says: strings.TrimSpace(rest), Ticked: true, Have: true})
	}
	return out
}

func sortedKeys[V any](m map[codes.Code]V) []codes.Code {
	var out []codes.Code
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
