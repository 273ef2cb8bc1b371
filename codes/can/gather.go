package can

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/codes"
	"elbowroom/codes/answer"
	"elbowroom/codes/live"
	"elbowroom/span"
)

// message takes a whole message.
func (d *Decoder) message(m Message, role Role) {
	a := answer.Decode(m.Data, answer.CAN)
	for _, n := range a.Notes {
		d.keep(span.Finding{
			Pos: span.Pos{File: d.opt.File, Line: m.Line, Col: 1}, Severity: n.Severity, Rule: ruleContent,
			Text: fmt.Sprintf("%s: % X", Name(m.ID, m.Extended), clip(n.Bytes)), Says: n.Says, Do: n.Do,
		})
	}
	if a.Kind == answer.Request {
		d.request(a)
		return
	}
	if role == Tester && a.Kind != answer.Foreign {
		d.keep(span.Finding{
			Pos: span.Pos{File: d.opt.File, Line: m.Line, Col: 1}, Severity: span.Warning, Rule: ruleContent,
			Text: Name(m.ID, m.Extended), Says: "an answer under an identifier that asks; it is taken as that of a control unit",
		})
	}
	if a.Kind == answer.Foreign {
		return
	}
	d.answered(a, m.Data)
	u := d.unit(address{m.Bus, m.ID, m.Extended})
	u.take(a, d.seconds(m), span.Pos{File: d.opt.File, Line: m.Line, Col: 1})
}

// clip shortens bytes to what a finding shows.
func clip(b []byte) []byte { return b[:min(len(b), longestShown/2)] }

// seconds is the time of a message from the begin of the capture.
func (d *Decoder) seconds(m Message) float64 {
	if !m.Timed {
		return 0
	}
	return (m.Last - d.out.Begin).Seconds()
}

func (d *Decoder) unit(where address) *unit {
	u := d.units[where]
	if u == nil {
		u = &unit{
			where: where, series: map[string]*Series{}, stored: -1,
			known: map[codeKey]int{}, told: map[answer.Info]bool{}, frozen: map[frozenKey]bool{},
		}
		u.Bus, u.Name = where.bus, Name(where.id, where.extended)
		d.units[where] = u
	}
	return u
}

// byItem are the services whose answers repeat the first byte that was asked.
func byItem(service byte) bool {
	return service == 0x01 || service == 0x02 || service == 0x09 || service == 0x19
}

// request notes what was asked.
func (d *Decoder) request(a answer.Answer) {
	text := fmt.Sprintf("%02X", a.Service)
	if byItem(a.Service) && len(a.Asked) > 0 {
		text += fmt.Sprintf(" %02X", a.Asked[0])
	}
	r := d.asked[text]
	if r == nil {
		r = &Asked{Request: text}
		d.asked[text] = r
	}
	r.Times++
	d.waiting[text] = true
}

// answered notes that somebody answered.
func (d *Decoder) answered(a answer.Answer, data []byte) {
	if a.Waiting() {
		return
	}
	text := fmt.Sprintf("%02X", a.Service)
	if a.Kind == answer.Reply && byItem(a.Service) && len(data) > 1 {
		text += fmt.Sprintf(" %02X", data[1])
	}
	for k := range d.waiting {
		if k == text || a.Kind == answer.Refusal && strings.HasPrefix(k, text) {
			delete(d.waiting, k)
			d.asked[k].Answered++
		}
	}
}

// take adds what an answer holds.
func (u *unit) take(a answer.Answer, at float64, pos span.Pos) {
	for _, c := range a.Codes {
		u.code(c, at, pos)
	}
	u.Either = append(u.Either, a.Either...)
	if a.Service == 0x03 && a.Announced >= 0 {
		u.stored = a.Announced
	}
	if a.Service == 0x02 {
		u.freeze(a)
	} else {
		for _, v := range a.Values {
			u.value(v, at)
		}
	}
	for _, s := range a.Support {
		u.support(s)
	}
	for _, r := range a.Ready {
		u.Ready = slices.DeleteFunc(u.Ready, func(o answer.Ready) bool { return o.PID == r.PID })
		u.Ready = append(u.Ready, r)
	}
	if words := strings.Join(a.Fuel, "; "); words != "" && (len(u.States) == 0 || u.States[len(u.States)-1].Words != words) {
		u.States = append(u.States, State{at, words})
	}
	for _, i := range a.Info {
		if !u.told[i] {
			u.told[i] = true
			u.Info = append(u.Info, i)
		}
	}
	if a.Cleared {
		u.clear(at)
	}
	if a.Kind == answer.Refusal && !a.Waiting() {
		u.refuse(a)
	}
}

// code adds a code, or renews one that was read before.
func (u *unit) code(c codes.Seen, at float64, pos span.Pos) {
	key := codeKey{c.Code, c.Memory}
	if i, ok := u.known[key]; ok {
		u.Codes[i].Status, u.Codes[i].Last = c.Status, at
		return
	}
	u.known[key] = len(u.Codes)
	c.Pos, c.First, c.Last = pos, at, at
	u.Codes = append(u.Codes, c)
}

func (u *unit) value(v live.Value, at float64) {
	s := u.series[v.Channel]
	if s == nil {
		s = &Series{Channel: v.Channel}
		u.series[v.Channel] = s
		u.order = append(u.order, s)
	}
	if v.Unused {
		s.Unused++
		return
	}
	s.Unit = v.Value.Unit
	s.Time = append(s.Time, at)
	s.Value = append(s.Value, v.Value.Number)
}

// freeze adds the values of a freeze frame, each once.
func (u *unit) freeze(a answer.Answer) {
	for _, v := range a.Values {
		key := frozenKey{a.Frame, v}
		if u.frozen[key] {
			continue
		}
		u.frozen[key] = true
		i := slices.IndexFunc(u.Frozen, func(f Frozen) bool { return f.Frame == a.Frame })
		if i < 0 {
			i = len(u.Frozen)
			u.Frozen = append(u.Frozen, Frozen{Frame: a.Frame})
		}
		u.Frozen[i].Values = append(u.Frozen[i].Values, v)
	}
}

func (u *unit) support(s answer.Support) {
	for i := range u.Support {
		if o := &u.Support[i]; o.Service == s.Service {
			o.Items = append(o.Items, s.Items...)
			slices.Sort(o.Items)
			o.Items = slices.Compact(o.Items)
			return
		}
	}
	u.Support = append(u.Support, s)
}

func (u *unit) clear(at float64) {
	u.Cleared = append(u.Cleared, at)
	for _, i := range u.known {
		u.Codes[i].Before = true
	}
	u.known = map[codeKey]int{}
}

func (u *unit) refuse(a answer.Answer) {
	why := answer.Reason(a.Refused)
	for i := range u.Refused {
		if r := &u.Refused[i]; r.Service == a.Service && r.Reason == why {
			r.Times++
			return
		}
	}
	u.Refused = append(u.Refused, Refused{a.Service, why, 1})
}

// kind gathers findings that say the same.
type kind struct {
	kept []span.Finding
	more int // not kept
	last int // line of the last
}

const (
	// perKind is how many findings that say the same are kept one by one.
	perKind = 100
	// mostKinds is how many different findings are kept.
	mostKinds = 1000
)

// keep stores findings; beyond perKind of the same it counts.
func (d *Decoder) keep(finds ...span.Finding) {
	for _, f := range finds {
		name := f.Rule + f.Says
		if f.Rule == ruleTime || f.Rule == rulePause || f.Rule == ruleSequence || f.Rule == ruleEnd {
			name = f.Rule // their sentences hold figures
		}
		k := d.kinds[name]
		if k == nil {
			if len(d.kinds) >= mostKinds {
				name = "others"
				k = d.kinds[name]
			}
			if k == nil {
				k = &kind{}
				d.kinds[name] = k
				d.order = append(d.order, k)
			}
		}
		k.last = f.Pos.Line
		if len(k.kept) < perKind {
			k.kept = append(k.kept, f)
		} else {
			k.more++
		}
	}
}

// findings returns what was kept, and of the rest how many there are.
func (d *Decoder) findings() span.List {
	var all span.List
	for _, k := range d.order {
		all = append(all, k.kept...)
		if k.more > 0 {
			first := k.kept[0]
			first.Pos.Line, first.Text = k.last, ""
			first.Says = fmt.Sprintf("%d more of this kind, the last here: %s", k.more, first.Says)
			all = append(all, first)
		}
	}
	all.Sort()
	return all
}
