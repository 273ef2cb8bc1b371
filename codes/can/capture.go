package can

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"

	"elbowroom/codes"
	"elbowroom/codes/answer"
	"elbowroom/codes/live"
	"elbowroom/span"
)

// Options say how a capture is to be read. The zero Options suit most.
type Options struct {
	File    string // for the findings
	Also    []Named
	Timeout Micros // between frames of one message; 0 is the standard's second
	Deltas  bool   // the times are differences to the line before
}

// Named gives an identifier a role that ISO 15765-4 does not give it.
type Named struct {
	ID       uint32
	Extended bool
	Role     Role
}

// Capture is what a capture holds.
type Capture struct {
	Timed    bool      `json:"timed"`
	Begin    Micros    `json:"begin"` // time of the first frame, as in the capture
	Seconds  float64   `json:"seconds"`
	Lines    int       `json:"lines"`
	Frames   int       `json:"frames"`
	Remote   int       `json:"remote,omitempty"` // frames that ask for data
	Errors   int       `json:"errors,omitempty"` // frames that report an error on the bus
	Buses    []string  `json:"buses"`
	Units    []Control `json:"units"`
	Series   []Series  `json:"series"`
	Requests []Asked   `json:"requests"`
	Others   []Count   `json:"others"` // identifiers that carry no diagnosis
	Findings span.List `json:"findings"`
}

// Control is what one control unit said.
type Control struct {
	Bus     string           `json:"bus"`
	Name    string           `json:"name"` // its identifier
	Codes   []codes.Seen     `json:"codes"`
	Either  [][]codes.Seen   `json:"either,omitempty"` // see answer.Answer
	Frozen  []Frozen         `json:"frozen,omitempty"`
	Support []answer.Support `json:"support,omitempty"`
	Ready   []answer.Ready   `json:"ready,omitempty"` // the last of each item
	States  []State          `json:"states,omitempty"`
	Info    []answer.Info    `json:"info,omitempty"`
	Cleared []float64        `json:"cleared,omitempty"` // when its codes were cleared, seconds
	Refused []Refused        `json:"refused,omitempty"`
}

// Frozen is a freeze frame: values at the moment a code was stored.
type Frozen struct {
	Frame  int          `json:"frame"`
	Values []live.Value `json:"values"`
}

// State is a state in words from a moment on.
type State struct {
	Seconds float64 `json:"seconds"`
	Words   string  `json:"words"`
}

// Refused is a service that a control unit refused.
type Refused struct {
	Service byte   `json:"service"`
	Reason  string `json:"reason"`
	Times   int    `json:"times"`
}

// Series is one channel over time. Time is in seconds from the begin of the
// capture and nil when the capture has no times; Value is in Unit.
type Series struct {
	Control string    `json:"control"`
	Channel string    `json:"channel"`
	Unit    string    `json:"unit"`
	Time    []float64 `json:"time"`
	Value   []float64 `json:"value"`
	Unused  int       `json:"unused,omitempty"` // how often the control unit said that it makes no use of it
}

// Asked is a request, how often it was sent and how often nobody answered.
type Asked struct {
	Request  string `json:"request"` // hexadecimal, such as "01 0C"
	Times    int    `json:"times"`
	Answered int    `json:"answered"`
}

// Count is how many frames an identifier sent.
type Count struct {
	Bus    string `json:"bus"`
	Name   string `json:"name"`
	Frames int    `json:"frames"`
}

const (
	// longestLine is the longest line that is read, in bytes.
	longestLine = 1 << 16
	// longGap is a silence of the whole bus that is worth a word.
	longGap Micros = 600 * micro
)

// Read reads a capture to its end. The error is that of r alone; what is wrong
// with the text is in Capture.Findings.
func Read(r io.Reader, opt Options) (*Capture, error) {
	d := NewDecoder(opt)
	b := bufio.NewReaderSize(r, longestLine)
	for line := 1; ; line++ {
		text, err := b.ReadSlice('\n')
		if errors.Is(err, bufio.ErrBufferFull) {
			d.keep(span.Finding{
				Pos: span.Pos{File: opt.File, Line: line, Col: 1}, Severity: span.Error, Rule: ruleLine,
				Says: fmt.Sprintf("the line is longer than %d bytes; this is no capture", longestLine),
			})
			for errors.Is(err, bufio.ErrBufferFull) {
				_, err = b.ReadSlice('\n')
			}
		} else if len(text) > 0 {
			d.Line(text, line)
		}
		if errors.Is(err, io.EOF) {
			return d.Capture(), nil
		}
		if err != nil {
			return d.Capture(), err
		}
	}
}

// Decoder takes a capture line by line or frame by frame. Use NewDecoder.
type Decoder struct {
	opt     Options
	lines   Lines
	joined  *Assembler
	out     Capture
	last    Micros
	units   map[address]*unit
	others  map[address]int
	asked   map[string]*Asked
	waiting map[string]bool
	kinds   map[string]*kind
	order   []*kind
	buses   map[string]bool
}

// unit is a Control that is being gathered.
type unit struct {
	Control
	where  address
	series map[string]*Series
	order  []*Series
	stored int // codes that the last list of stored codes held, -1 before
	// what is already there, by itself, so that nothing is searched for
	known  map[codeKey]int // place in Codes, of those not cleared
	told   map[answer.Info]bool
	frozen map[frozenKey]bool
}

// codeKey tells codes apart: the same one may be stored and pending.
type codeKey struct {
	code   codes.Full
	memory codes.Memory
}

type frozenKey struct {
	frame int
	value live.Value
}

// NewDecoder returns an empty decoder.
func NewDecoder(opt Options) *Decoder {
	return &Decoder{
		opt: opt, lines: Lines{File: opt.File}, joined: NewAssembler(opt.File, opt.Timeout),
		units: map[address]*unit{}, others: map[address]int{}, asked: map[string]*Asked{},
		waiting: map[string]bool{}, kinds: map[string]*kind{}, buses: map[string]bool{},
	}
}

// Line takes one line of a capture.
func (d *Decoder) Line(text []byte, line int) {
	d.out.Lines++
	f, finds, ok := d.lines.Frame(text, line)
	d.keep(finds...)
	if ok {
		d.Frame(&f)
	}
}

// Frame takes one frame.
func (d *Decoder) Frame(f *Frame) {
	d.out.Frames++
	d.buses[f.Bus] = true
	d.clock(f)
	switch {
	case f.Error:
		d.out.Errors++
		return
	case f.Remote:
		d.out.Remote++
		return
	}
	role := d.role(f)
	if role == Other {
		d.others[address{f.Bus, f.ID, f.Extended}]++
		return
	}
	m, ok := d.joined.Push(f)
	if len(d.joined.finds) > 0 {
		d.keep(d.joined.Findings()...)
	}
	if ok {
		d.message(m, role)
	}
}

func (d *Decoder) role(f *Frame) Role {
	for _, n := range d.opt.Also {
		if n.ID == f.ID && n.Extended == f.Extended {
			return n.Role
		}
	}
	return RoleOf(f.ID, f.Extended)
}

// clock brings the time of a frame in order.
func (d *Decoder) clock(f *Frame) {
	first := !d.out.Timed
	switch {
	case !f.Timed && first:
		return
	case !f.Timed:
		d.complain(f, span.Warning, "a line without a time among lines with one; it is given the time of the line before", "")
		f.Time, f.Timed = d.last, true
	case d.opt.Deltas:
		f.Time += d.last
	}
	if first {
		d.out.Timed, d.out.Begin = true, f.Time
		if d.out.Frames > 1 {
			d.complain(f, span.Warning, "the lines before had no time; their values stand at the begin", "")
		}
	} else if f.Time < d.last {
		d.complain(f, span.Warning, fmt.Sprintf("the time goes back by %.6f s", (d.last-f.Time).Seconds()), "if the times are differences from line to line, say so; if two captures were joined, read them apart")
	} else if f.Time-d.last > longGap {
		d.complain(f, span.Advice, fmt.Sprintf("nothing for %.0f s", (f.Time-d.last).Seconds()), "")
	}
	d.last = f.Time
	d.out.Seconds = max(d.out.Seconds, (f.Time - d.out.Begin).Seconds())
}

func (d *Decoder) complain(f *Frame, sev span.Severity, says, do string) {
	d.keep(span.Finding{Pos: span.Pos{File: d.opt.File, Line: f.Line, Col: 1}, Severity: sev, Rule: ruleTime, Says: says, Do: do})
}

// Capture ends the reading and returns what was gathered.
func (d *Decoder) Capture() *Capture {
	d.joined.Close()
	d.keep(d.joined.Findings()...)
	c := d.out
	for b := range d.buses {
		c.Buses = append(c.Buses, b)
	}
	slices.Sort(c.Buses)
	for where, n := range d.others {
		c.Others = append(c.Others, Count{where.bus, Name(where.id, where.extended), n})
	}
	slices.SortFunc(c.Others, func(a, b Count) int { return cmp.Or(cmp.Compare(a.Bus, b.Bus), cmp.Compare(a.Name, b.Name)) })
	for _, a := range d.asked {
		c.Requests = append(c.Requests, *a)
	}
	slices.SortFunc(c.Requests, func(a, b Asked) int { return cmp.Compare(a.Request, b.Request) })
	d.finish(&c)
	c.Findings = d.findings()
	return &c
}

// finish orders the control units and their series.
func (d *Decoder) finish(c *Capture) {
	var all []*unit
	several := false
	for _, u := range d.units {
		all = append(all, u)
		several = several || u.where.bus != all[0].where.bus
	}
	slices.SortFunc(all, func(a, b *unit) int {
		return cmp.Or(cmp.Compare(a.where.bus, b.where.bus), cmp.Compare(a.Name, b.Name))
	})
	for _, u := range all {
		name := u.Name
		if several {
			name = u.where.bus + " " + name
		}
		for i := range u.Codes {
			u.Codes[i].Unit = name
		}
		u.Control.Name = name
		c.Units = append(c.Units, u.Control)
		slices.SortFunc(u.order, func(a, b *Series) int { return cmp.Compare(a.Channel, b.Channel) })
		for _, s := range u.order {
			s.Control = name
			if !c.Timed {
				s.Time = nil
			}
			c.Series = append(c.Series, *s)
		}
		d.compareNumber(u)
	}
}

// compareNumber holds the number of codes in readiness against those read.
func (d *Decoder) compareNumber(u *unit) {
	for _, r := range u.Ready {
		if r.PID == 0x01 && u.stored >= 0 && r.Codes != u.stored && len(u.Cleared) == 0 {
			d.keep(span.Finding{
				Pos: span.Pos{File: d.opt.File}, Severity: span.Warning, Rule: ruleContent, Text: u.Name,
				Says: fmt.Sprintf("the control unit says that it stores %d codes; %d were read", r.Codes, u.stored), Do: "read the stored codes again",
			})
		}
	}
}
