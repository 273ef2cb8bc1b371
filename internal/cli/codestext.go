package cli

import (
	"fmt"
	"strings"

	"elbowroom/app"
	"elbowroom/codes/dump"
)

// Bounds of what is printed of a text of codes; JSON has all of it.
const (
	mostUnread  = 20
	mostChannel = 60
	codeWidth   = 10
)

// codeSheet explains one code.
func (p *page) codeSheet(s *app.CodeSheet) {
	p.field(s.Code.String(), "sent as "+s.Bytes)
	for _, x := range s.Parts {
		p.field("  "+x.Text, x.Says)
	}
	if s.Guide == nil {
		return
	}
	p.head("faults of "+firstText(s.Guide.Title, string(s.Guide.ID)), "lists")
	for _, f := range s.Faults {
		name := fmt.Sprintf("%s (%s)", f.Name, f.ID)
		if f.Item != "" {
			name += ", " + f.Item
		}
		p.row("  ", "    ", name, f.Family)
	}
	if len(s.Faults) == 0 {
		p.line("  none lists it")
	}
}

func firstText(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// codesRead lays out what a text or a capture holds.
func (p *page) codesRead(c *app.CodesRead) {
	p.para("", "", c.Says)
	p.lines("Mind", c.Notes)
	p.lines("Cleared", c.Cleared)
	if m := c.Machine; m != nil {
		p.field("Machine", fmt.Sprintf("%s, %s", m.ID, m.Name))
	}
	p.field("Variant", c.Variant)
	if c.Guide != nil {
		p.field("Guide", firstText(c.Guide.Title, string(c.Guide.ID)))
	}
	told := map[string]bool{}
	for i := range c.Units {
		p.unit(&c.Units[i], told)
	}
	for _, m := range c.Empty {
		p.space()
		p.line("No " + string(m) + " codes.")
	}
	p.inCommon(c)
	p.notUnderstood(c)
	p.take(c)
	if foundNothing(c) {
		p.space()
		p.line("Nothing was found that is known here.")
	}
}

// unit lays out what one control unit said. What a code means stands where it
// is named first.
func (p *page) unit(u *app.UnitRead, told map[string]bool) {
	name := u.Name
	switch {
	case name == "":
		name = "control unit not said"
	case u.Bus != "":
		name = fmt.Sprintf("control unit %s on %s", name, u.Bus)
	}
	p.head(name, "")
	for _, x := range u.Codes {
		p.readCode(x, !told[x.CodeLine.Code])
		told[x.CodeLine.Code] = true
	}
	for _, e := range u.Either {
		p.para("  either  ", "          ", e)
	}
	for _, f := range u.Frames {
		text := "Freeze frame"
		if f.Code != "" {
			text += " of " + f.Code
		}
		p.indented(2, text+":")
		p.values(f.Values)
	}
	p.readiness(u)
	for _, i := range u.Info {
		p.indented(2, fmt.Sprintf("%s: %s", i.Name, i.Text))
	}
	for _, s := range u.States {
		p.indented(2, fmt.Sprintf("%s from %.3f s", s.Words, s.Seconds))
	}
	for _, r := range u.Refused {
		p.indented(2, fmt.Sprintf("service %02X refused %s: %s", r.Service, times(r.Times), r.Reason))
	}
	for _, s := range u.Support {
		p.indented(2, fmt.Sprintf("service %02X: answers to %d data items", s.Service, len(s.Items)))
	}
	if len(u.Values) > 0 {
		p.indented(2, "Latest values:")
		p.values(u.Values)
	}
}

func (p *page) readCode(x app.CodeRead, first bool) {
	indent := strings.Repeat(" ", codeWidth+2)
	p.para("  "+pad(x.Seen.Code.String(), codeWidth), indent, x.Status)
	if x.Type != "" {
		p.para(indent, indent, "type "+x.Seen.Code.Type.String()+": "+x.Type)
	}
	if x.Words != "" {
		p.para(indent, indent, "“"+x.Words+"”")
	}
	if !first {
		return
	}
	says := firstText(x.Group, x.Owner)
	if len(x.Faults) > 0 {
		says += "; " + strings.Join(x.Faults, ", ")
	}
	p.para(indent, indent, says)
}

func (p *page) values(list []app.ValueRead) {
	var rows [][]string
	for i, v := range list {
		if i == mostChannel {
			rows = append(rows, []string{"    ", fmt.Sprintf("and %d more; all of them with --json", len(list)-i), "", ""})
			break
		}
		value, says := v.Value.String(), ""
		switch {
		case v.Unused:
			value = "not used"
		case v.Count > 1:
			says = fmt.Sprintf("%d values, %s to %s", v.Count, v.Lowest, v.Highest)
			if v.Timed {
				says += fmt.Sprintf(", last at %.3f s", v.At)
			}
		case !v.Known:
			says = "name not known, as written"
		}
		rows = append(rows, []string{"  ", v.Name, value, says})
	}
	p.table(rows, 2)
}

func (p *page) readiness(u *app.UnitRead) {
	if u.Lamp != nil {
		p.indented(2, "Warning lamp: "+map[bool]string{true: "on", false: "off"}[*u.Lamp])
	}
	for _, a := range u.Announce {
		p.indented(2, "It "+a+".")
	}
	if !u.Distance.Zero() {
		p.indented(2, "Distance driven: "+u.Distance.String())
	}
	for _, cycle := range []bool{false, true} {
		var open, done, none []string
		for _, m := range u.Monitors {
			switch {
			case m.Cycle != cycle:
			case !m.Fitted:
				none = append(none, m.Name)
			case m.Complete:
				done = append(done, m.Name)
			default:
				open = append(open, m.Name)
			}
		}
		since := map[bool]string{false: "", true: " in this drive cycle"}[cycle]
		for _, l := range []struct {
			says string
			list []string
		}{{"Not run to the end%s, so that missing codes prove nothing: ", open}, {"Run to the end%s: ", done}, {"Not fitted%s: ", none}} {
			if len(l.list) > 0 && (l.says[0] != 'N' || l.says[4] != 'f' || !cycle) {
				p.para("  ", "    ", fmt.Sprintf(l.says, since)+strings.Join(l.list, ", "))
			}
		}
	}
}

func (p *page) inCommon(c *app.CodesRead) {
	if len(c.Shared) == 0 {
		return
	}
	p.head("in common", "")
	for _, text := range c.Shared {
		p.para("  - ", "    ", text)
	}
}

// notUnderstood lists what was not read, with its place.
func (p *page) notUnderstood(c *app.CodesRead) {
	silent := 0
	for _, q := range c.Requests {
		if q.Answered < q.Times {
			silent++
			if silent == 1 {
				p.head("asked and not always answered", "")
			}
			p.indented(2, fmt.Sprintf("%s: %s, answered %s", q.Request, times(q.Times), times(q.Answered)))
		}
	}
	frames := 0
	for _, o := range c.Others {
		frames += o.Frames
	}
	if frames > 0 {
		p.head("other traffic", "")
		p.indented(2, fmt.Sprintf("Frames that carry no diagnosis: %d, of so many identifiers: %d", frames, len(c.Others)))
	}
	p.textLines("requests", c.Asked)
	p.textLines("not understood", c.Unread)
	if len(c.Findings) > 0 {
		p.head("look at", "")
		for i, f := range c.Findings {
			if i == mostFindings {
				p.line(fmt.Sprintf("  and %d more; all of them with --json", len(c.Findings)-i))
				break
			}
			p.finding(f)
		}
	}
}

func times(n int) string {
	switch n {
	case 0:
		return "never"
	case 1:
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

func (p *page) textLines(head string, list []dump.Line) {
	if len(list) == 0 {
		return
	}
	p.head(head, "")
	for i, l := range list {
		if i == mostUnread {
			p.line(fmt.Sprintf("  and %d more; all of them with --json", len(list)-i))
			return
		}
		p.para(fmt.Sprintf("  line %-5d ", l.Pos.Line), "             ", l.Text)
	}
}

// take says how to go on with the codes.
func (p *page) take(c *app.CodesRead) {
	if len(c.Take) == 0 || c.Guide == nil {
		return
	}
	command := "elbowroom suspects"
	if c.Machine != nil {
		command += " --machine " + string(c.Machine.ID)
	} else if c.Variant != "" {
		command += fmt.Sprintf(" --variant %q", c.Variant)
	}
	var left []string
	for _, t := range c.Take {
		entry := t.Entry
		if strings.Contains(entry, " ") {
			entry = `"` + entry + `"`
		}
		if t.Ticked {
			command += " --code " + entry
		} else {
			left = append(left, fmt.Sprintf("%s (%s)", t.Entry, t.Says))
		}
	}
	p.head("go on with", "")
	p.line("  " + p.fold(command)) // in one line, to be copied
	if len(left) > 0 {
		p.para("  ", "    ", "Left out: "+strings.Join(left, "; "))
	}
}
