package dump

import (
	"fmt"
	"strings"

	"elbowroom/codes"
	"elbowroom/codes/answer"
	"elbowroom/codes/can"
	"elbowroom/codes/live"
	"elbowroom/quantity"
	"elbowroom/span"
)

// Options say how a dump is to be read. The zero Options suit most.
type Options struct {
	File string      // for the positions
	Link answer.Link // of rows of bytes that carry no identifier
}

// Dump is what a text holds.
type Dump struct {
	Codes    []codes.Seen     `json:"codes"`
	Either   [][]codes.Seen   `json:"either,omitempty"` // readings of one message between which the link decides
	None     []codes.Memory   `json:"none,omitempty"`   // memories that the text says are empty
	Values   []Value          `json:"values"`
	Monitors []live.Monitor   `json:"monitors,omitempty"`
	Lamp     *bool            `json:"lamp,omitempty"` // the warning lamp, when the text speaks of it
	Distance quantity.Value   `json:"distance,omitzero"`
	Controls []can.Control    `json:"controls,omitempty"` // from bytes with identifiers
	Series   []can.Series     `json:"series,omitempty"`   // from bytes with identifiers
	Ready    []answer.Ready   `json:"ready,omitempty"`    // from bytes without
	Support  []answer.Support `json:"support,omitempty"`
	Info     []answer.Info    `json:"info,omitempty"`
	Asked    []Line           `json:"asked,omitempty"`   // requests among bytes without identifier
	Cleared  []Line           `json:"cleared,omitempty"` // rows of bytes in which codes were cleared
	Unread   []Line           `json:"unread"`            // not understood
	Findings span.List        `json:"findings"`
}

// Value is a value that a line names.
type Value struct {
	Name    string         `json:"name"`              // as written
	Channel string         `json:"channel,omitempty"` // of package live, "" when the name is none
	Value   quantity.Value `json:"value"`
	Frozen  bool           `json:"frozen,omitempty"` // of a freeze frame, not live
	Unit    string         `json:"unit,omitempty"`   // control unit
	Pos     span.Pos       `json:"pos"`
}

// Line is a line of the text.
type Line struct {
	Pos  span.Pos `json:"pos"`
	Text string   `json:"text"`
}

// The rules of the findings of this package.
const (
	ruleNumber  = "dump-number"
	ruleUnit    = "dump-unit"
	ruleContent = "dump-content"
	ruleCount   = "dump-count"
)

// reader goes through the lines.
type reader struct {
	opt     Options
	out     Dump
	bus     *can.Decoder // nil before the first row of bytes with identifier
	lines   can.Lines
	joined  *can.Assembler // rows of bytes without identifier
	memory  codes.Memory   // of the heading above
	frozen  bool           // below a heading of a freeze frame
	unit    string         // control unit named above
	last    int            // index of the code that details below belong to, -1
	promise []promise
}

// promise is a number of codes that the text announces.
type promise struct {
	memory codes.Memory
	unit   string
	n      int
	pos    span.Pos
}

// Read reads a dump. It always returns what it could make of the text.
func Read(text string, opt Options) *Dump {
	r := &reader{opt: opt, last: -1, lines: can.Lines{File: opt.File}, joined: can.NewAssembler(opt.File, 0)}
	text = strings.TrimPrefix(text, "\uFEFF")
	for i, line := range strings.Split(text, "\n") {
		r.line(strings.ToValidUTF8(strings.TrimRight(line, "\r"), "\uFFFD"), i+1)
	}
	r.finish()
	return &r.out
}

func (r *reader) pos(line, col int) span.Pos { return span.Pos{File: r.opt.File, Line: line, Col: col} }

// line reads one line by the first recogniser that knows it.
func (r *reader) line(text string, line int) {
	if strings.TrimSpace(text) == "" {
		r.last = -1
		return
	}
	if r.captured(text, line) || r.bytes(text, line) || r.listed(text, line) || r.detail(text, line) ||
		r.heading(text, line) || r.readiness(text, line) || r.value(text, line) {
		return
	}
	r.unread(text, line)
}

func (r *reader) unread(text string, line int) {
	r.out.Unread = append(r.out.Unread, Line{r.pos(line, 1), text})
}

func (r *reader) find(sev span.Severity, rule string, line, col int, text, says, do string) {
	r.out.Findings = append(r.out.Findings, span.Finding{Pos: r.pos(line, col), Severity: sev, Rule: rule, Text: text, Says: says, Do: do})
}

// finish adds what the rows of bytes gave and holds announced numbers against
// what was read.
func (r *reader) finish() {
	r.joined.Close()
	r.out.Findings = append(r.out.Findings, r.joined.Findings()...)
	if r.bus != nil {
		c := r.bus.Capture()
		r.out.Controls, r.out.Series = c.Units, c.Series
		for _, u := range c.Units {
			r.out.Codes = append(r.out.Codes, u.Codes...)
			r.out.Either = append(r.out.Either, u.Either...)
		}
		r.out.Findings = append(r.out.Findings, c.Findings...)
	}
	found := r.counts()
	for _, p := range r.promise {
		if n := found[place{p.memory, p.unit}]; n != p.n {
			r.find(span.Warning, ruleCount, p.pos.Line, p.pos.Col, "", fmt.Sprintf("the text announces %d codes, %d were found", p.n, n), "look whether the export is complete")
		}
	}
	r.out.Findings.Sort()
}

// place is where codes are kept; an empty part stands for all.
type place struct {
	memory codes.Memory
	unit   string
}

// counts counts the codes of every place, each also under the places that hold
// it.
func (r *reader) counts() map[place]int {
	n := map[place]int{}
	for _, c := range r.out.Codes {
		in := map[place]bool{{c.Memory, c.Unit}: true, {codes.Unsaid, c.Unit}: true, {c.Memory, ""}: true, {}: true}
		for p := range in {
			n[p]++
		}
	}
	return n
}
