package app

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/codes"
	"elbowroom/codes/answer"
	"elbowroom/codes/can"
	"elbowroom/codes/dump"
	"elbowroom/codes/live"
	"elbowroom/quantity"
)

// unit returns the unit of a name, made when it is new.
func (c *CodesRead) unit(name string) *UnitRead {
	i := slices.IndexFunc(c.Units, func(u UnitRead) bool { return u.Name == name })
	if i < 0 {
		i = len(c.Units)
		c.Units = append(c.Units, UnitRead{Name: name})
	}
	return &c.Units[i]
}

// control takes everything that one control unit of a capture said.
func (c *CodesRead) control(k *can.Control) {
	u := c.unit(k.Name)
	u.Bus, u.Support, u.Info, u.States, u.Refused = k.Bus, k.Support, k.Info, k.States, k.Refused
	for _, s := range k.Codes {
		u.Codes = append(u.Codes, codeRead(s))
	}
	u.either(k.Either)
	for _, f := range k.Frozen {
		frame := FrameRead{Number: f.Frame}
		for _, v := range f.Values {
			frame.Values = append(frame.Values, ValueRead{Name: v.Channel, Known: true, Value: v.Value, Count: 1, Lowest: v.Value, Highest: v.Value, Unused: v.Unused})
		}
		u.Frames = append(u.Frames, frame)
	}
	for _, r := range k.Ready {
		u.ready(r)
	}
	for _, at := range k.Cleared {
		c.Cleared = append(c.Cleared, fmt.Sprintf("The codes of %s were cleared at %.3f s; what was read before is marked.", k.Name, at))
	}
}

// ready takes readiness: item 01 since the codes were cleared, 41 in this
// drive cycle.
func (u *UnitRead) ready(r answer.Ready) {
	cycle := r.PID != 0x01
	if !cycle {
		lamp := r.Lamp
		u.Lamp = &lamp
		u.Announce = append(u.Announce, fmt.Sprintf("says that it stores %s", counted(r.Codes, "code")))
	}
	for _, m := range r.Monitors {
		u.Monitors = append(u.Monitors, MonitorRead{m.Name, m.Fitted, m.Complete, cycle})
	}
}

// either puts messages that can be read two ways into words.
func (u *UnitRead) either(list [][]codes.Seen) {
	for _, reading := range list {
		var names []string
		for _, s := range reading {
			names = append(names, s.Code.String())
		}
		if len(names) == 0 {
			names = []string{"no code"}
		}
		u.Either = append(u.Either, join(names))
	}
}

func codeRead(s codes.Seen) CodeRead {
	x := CodeRead{Seen: s, Status: statusText(s)}
	if s.Code.Typed {
		x.Type, _ = s.Code.Type.Words()
	}
	return x
}

// statusText says how the control unit holds a code.
func statusText(s codes.Seen) string {
	var out []string
	switch s.Memory {
	case codes.Stored:
		out = append(out, "stored")
	case codes.Waiting:
		out = append(out, "pending: failed in this or the last drive cycle, not confirmed")
	case codes.Permanent:
		out = append(out, "permanent: a reader cannot clear it")
	case codes.Frozen:
		out = append(out, "it stored the freeze frame")
	}
	if s.HasStatus {
		out = append(out, s.Status.Words())
	}
	if len(out) == 0 {
		out = append(out, "the source does not say whether it is stored or pending")
	}
	if !s.Distance.Zero() {
		out = append(out, "at "+s.Distance.String())
	}
	if s.Times > 0 {
		out = append(out, counted(s.Times, "time"))
	}
	if s.Before {
		out = append(out, "read before the codes were cleared")
	}
	return strings.Join(out, "; ")
}

// formSays begins the sentence about a text.
var formSays = map[CodeForm]string{
	TextForm: "Read as the text of a reader", RowsForm: "Read as rows of bytes",
	LogForm: "Read as a text with frames of a CAN capture in it", PrintForm: "Read as a text with frames of a CAN capture in it",
}

// dumped takes a text of a reader.
func (c *CodesRead) dumped(d *dump.Dump, lines int) {
	c.Says = fmt.Sprintf("%s: %s, %d of them not understood.", formSays[c.Form], counted(lines, "line"), len(d.Unread))
	for _, s := range d.Codes {
		u := c.unit(s.Unit)
		u.Codes = append(u.Codes, codeRead(s))
	}
	for i := range d.Controls {
		k := d.Controls[i]
		k.Codes, k.Either = nil, nil // in d, with those of the other lines
		c.control(&k)
	}
	for _, e := range d.Either {
		name := ""
		if len(e) > 0 {
			name = e[0].Unit
		}
		c.unit(name).either([][]codes.Seen{e})
	}
	if len(d.Ready)+len(d.Support)+len(d.Info)+len(d.Monitors) > 0 || d.Lamp != nil || !d.Distance.Zero() {
		c.general(d)
	}
	for _, l := range d.Cleared {
		c.Cleared = append(c.Cleared, fmt.Sprintf("The codes were cleared at line %d; what was read before is marked.", l.Pos.Line))
	}
	c.Series = append(c.Series, d.Series...)
	for _, v := range d.Values {
		c.value(v)
	}
	c.latest()
	c.Empty, c.Asked, c.Unread, c.Findings = d.None, d.Asked, d.Unread, d.Findings
}

// general takes what a text says of the machine as a whole.
func (c *CodesRead) general(d *dump.Dump) {
	u := c.unit("")
	for _, r := range d.Ready {
		u.ready(r)
	}
	u.Support, u.Info = append(u.Support, d.Support...), append(u.Info, d.Info...)
	for _, m := range d.Monitors {
		u.Monitors = append(u.Monitors, MonitorRead{Name: m.Name, Fitted: m.Fitted, Complete: m.Complete})
	}
	if d.Lamp != nil {
		u.Lamp = d.Lamp
	}
	if !d.Distance.Zero() {
		u.Distance = d.Distance
	}
}

// value takes a value of a text: into the freeze frame, or as the next of its
// series.
func (c *CodesRead) value(v dump.Value) {
	u := c.unit(v.Unit)
	name := v.Channel
	if name == "" {
		name = v.Name
	}
	x := ValueRead{Name: name, Known: v.Channel != "", Value: v.Value, Count: 1, Lowest: v.Value, Highest: v.Value, Line: v.Pos.Line}
	if v.Frozen {
		u.freeze(x)
		return
	}
	i := slices.IndexFunc(u.Values, func(o ValueRead) bool { return o.Name == name && o.Value.Unit == v.Value.Unit })
	if i < 0 {
		u.Values = append(u.Values, x)
		i = len(u.Values) - 1
	} else {
		u.Values[i].add(x)
	}
	if u.Values[i].Count > 1 {
		c.extend(u.Name, u.Values[i], v.Value)
	}
}

// freeze takes a value into the freeze frame of the code above it. The same
// name again begins another frame.
func (u *UnitRead) freeze(x ValueRead) {
	for u.at < len(u.Codes) && u.Codes[u.at].Pos.Line <= x.Line { // both come in the order of the lines
		if k := u.Codes[u.at]; k.Memory == codes.Frozen {
			u.by = k.Seen.Code.String()
		}
		u.at++
	}
	n := len(u.Frames)
	if n == 0 || u.Frames[n-1].Code != u.by || slices.ContainsFunc(u.Frames[n-1].Values, func(v ValueRead) bool { return v.Name == x.Name }) {
		u.Frames = append(u.Frames, FrameRead{Number: n, Code: u.by})
		n++
	}
	u.Frames[n-1].Values = append(u.Frames[n-1].Values, x)
}

func (v *ValueRead) add(x ValueRead) {
	v.Value, v.Line = x.Value, x.Line
	v.Count++
	if x.Value.Number < v.Lowest.Number {
		v.Lowest = x.Value
	}
	if x.Value.Number > v.Highest.Number {
		v.Highest = x.Value
	}
}

// extend adds a value to the series of a channel that came more than once. The
// first value of two is both lowest and highest before the second comes.
func (c *CodesRead) extend(unit string, v ValueRead, next quantity.Value) {
	i := slices.IndexFunc(c.Series, func(s can.Series) bool {
		return s.Control == unit && s.Channel == v.Name && s.Unit == next.Unit && s.Time == nil
	})
	if i < 0 {
		first := v.Lowest.Number
		if first == next.Number {
			first = v.Highest.Number
		}
		i = len(c.Series)
		c.Series = append(c.Series, can.Series{Control: unit, Channel: v.Name, Unit: next.Unit, Value: []float64{first}})
	}
	c.Series[i].Value = append(c.Series[i].Value, next.Number)
}

// latest lists the last value of every series under its control unit.
func (c *CodesRead) latest() {
	for _, s := range c.Series {
		u := c.unit(s.Control)
		if slices.ContainsFunc(u.Values, func(v ValueRead) bool { return v.Name == s.Channel && v.Value.Unit == s.Unit }) {
			continue
		}
		v := ValueRead{Name: s.Channel, Count: len(s.Value), Unused: len(s.Value) == 0 && s.Unused > 0}
		_, v.Known = live.ScalingOf(s.Channel)
		if n := len(s.Value); n > 0 {
			v.Value, v.Lowest, v.Highest = quantity.Of(s.Value[n-1], s.Unit), quantity.Of(slices.Min(s.Value), s.Unit), quantity.Of(slices.Max(s.Value), s.Unit)
			if len(s.Time) == n {
				v.At, v.Timed = s.Time[n-1], true
			}
		}
		u.Values = append(u.Values, v)
	}
}
