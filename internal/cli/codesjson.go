package cli

import (
	"elbowroom/app"
	"elbowroom/codes/can"
	"elbowroom/codes/dump"
	"elbowroom/guide"
	"elbowroom/span"
)

// codesAnswer is the JSON of codes for a text or a capture.
type codesAnswer struct {
	Form     app.CodeForm  `json:"form" says:"as what it was read: text, rows, capture log or capture print"`
	Says     string        `json:"says" says:"the same in words, with how much of it"`
	Guide    guide.ID      `json:"guide,omitempty" says:"the guide that the codes were held against"`
	Variant  string        `json:"variant,omitempty" says:"the variant"`
	Units    []codesUnit   `json:"units" says:"what each control unit said"`
	Empty    []string      `json:"empty" says:"memories that the source says hold no code"`
	Cleared  []string      `json:"cleared" says:"where codes were cleared"`
	Shared   []causeLine   `json:"shared" says:"what several codes have in common, best first"`
	Take     []takeLine    `json:"take" says:"codes as the job may take them, with those that it has"`
	Series   []seriesLine  `json:"series" says:"values over time"`
	Requests []requestLine `json:"requests" says:"of a capture: what was asked and how often it was answered"`
	Others   []otherLine   `json:"others" says:"of a capture: frames that carry no diagnosis"`
	Asked    []textLine    `json:"asked" says:"requests among rows of bytes"`
	Unread   []textLine    `json:"unread" says:"lines that were not understood, whole"`
	Findings span.List     `json:"findings" says:"what is wrong or doubtful in the text"`
	Notes    []string      `json:"notes" says:"about the text as a whole"`
	Alone    []string      `json:"alone" says:"codes of known items that share nothing with another code"`
	Unknown  []string      `json:"unknown" says:"codes that no fault of the guide lists"`
}

type codesUnit struct {
	Name     string         `json:"name" says:"identifier, or as the source calls it; empty where it does not tell control units apart"`
	Bus      string         `json:"bus,omitempty" says:"of a capture"`
	Codes    []readCode     `json:"codes" says:"codes in the order in which they were read"`
	Either   []string       `json:"either" says:"messages that can be read in two ways, each way by itself"`
	Frames   []freezeFrame  `json:"freeze_frames" says:"values at the moment a code was stored"`
	Lamp     *bool          `json:"lamp,omitempty" says:"the warning lamp, where the source speaks of it"`
	Distance string         `json:"distance,omitempty" says:"distance driven"`
	Monitors []monitorLine  `json:"monitors" says:"on-board tests"`
	Support  []supportLine  `json:"support" says:"data that it answers to"`
	Info     []infoLine     `json:"information" says:"what it says of itself"`
	States   []stateLine    `json:"states" says:"states in words, with their time"`
	Refused  []refusedLine  `json:"refused" says:"what it refused"`
	Values   []channelValue `json:"values" says:"the latest value of each channel"`
}

type readCode struct {
	Code     string   `json:"code" says:"the code, with its failure type where it has one"`
	Status   string   `json:"status" says:"how the control unit holds it, in words"`
	Memory   string   `json:"memory,omitempty" says:"stored, pending, permanent, reported or frozen"`
	Byte     string   `json:"status_byte,omitempty" says:"status byte, hexadecimal"`
	Pending  bool     `json:"pending,omitempty" says:"failed, not confirmed"`
	Type     string   `json:"failure_type,omitempty" says:"failure type in words"`
	Words    string   `json:"words,omitempty" says:"what stands beside it, as written"`
	Line     int      `json:"line,omitempty" says:"where it was read first"`
	First    float64  `json:"first,omitempty" says:"seconds from the begin of a capture"`
	Last     float64  `json:"last,omitempty" says:"the same, when it was read last"`
	Distance string   `json:"distance,omitempty" says:"distance driven when it was stored"`
	Times    int      `json:"times,omitempty" says:"how often it occurred"`
	Before   bool     `json:"before_clearing,omitempty" says:"read before the codes were cleared"`
	Group    string   `json:"group,omitempty" says:"public group of the standard"`
	Owner    string   `json:"owner" says:"who gives it its meaning"`
	Faults   []string `json:"faults" says:"faults of the guide that list it"`
}

type freezeFrame struct {
	Number int            `json:"number" says:"as the control unit counts, or in order"`
	Code   string         `json:"code,omitempty" says:"that stored it, where the source says so"`
	Values []channelValue `json:"values" says:"what it holds"`
}

type channelValue struct {
	Name    string  `json:"name" says:"the channel, or as written where it is none"`
	Known   bool    `json:"known" says:"the name is a channel of the public standard"`
	Number  float64 `json:"number" says:"latest value"`
	Unit    string  `json:"unit,omitempty" says:"its unit"`
	Count   int     `json:"count" says:"how many values there are"`
	Lowest  float64 `json:"lowest" says:"lowest of them"`
	Highest float64 `json:"highest" says:"highest of them"`
	At      float64 `json:"at,omitempty" says:"seconds from the begin of a capture"`
	Unused  bool    `json:"unused,omitempty" says:"the control unit says that it makes no use of it"`
	Line    int     `json:"line,omitempty" says:"where it stands in the text"`
}

type monitorLine struct {
	Name     string `json:"name" says:"the test"`
	Fitted   bool   `json:"fitted" says:"the vehicle has it"`
	Complete bool   `json:"complete" says:"it has run to its end"`
	Cycle    bool   `json:"cycle,omitempty" says:"in this drive cycle, not since the codes were cleared"`
}

type supportLine struct {
	Service string   `json:"service" says:"service, hexadecimal"`
	Items   []string `json:"items" says:"data items, hexadecimal"`
}

type infoLine struct {
	Name string `json:"name" says:"what it is"`
	Text string `json:"text" says:"as text, or in hexadecimal digits"`
}

type stateLine struct {
	Seconds float64 `json:"seconds" says:"from the begin"`
	Words   string  `json:"words" says:"the state"`
}

type refusedLine struct {
	Service string `json:"service" says:"service, hexadecimal"`
	Reason  string `json:"reason" says:"as the control unit gave it"`
	Times   int    `json:"times" says:"how often"`
}

type causeLine struct {
	Item     string   `json:"item" says:"item of the guide"`
	Kind     string   `json:"kind" says:"connector, ground, splice, fuse, relay, supply, control unit or item"`
	Explains []string `json:"explains" says:"codes"`
	New      []string `json:"new" says:"codes that nothing further up explains"`
	Silent   []string `json:"silent" says:"items on it of which no code was read"`
	Says     string   `json:"says" says:"in one sentence"`
}

type takeLine struct {
	Entry  string   `json:"entry" says:"as --code takes it"`
	Says   string   `json:"says,omitempty" says:"what to know of it"`
	Units  []string `json:"units" says:"control units that named it"`
	Ticked bool     `json:"ticked" says:"offered as taken"`
	Have   bool     `json:"have,omitempty" says:"the machine has it already"`
}

type seriesLine struct {
	Unit    string    `json:"control" says:"control unit"`
	Channel string    `json:"channel" says:"channel"`
	In      string    `json:"unit" says:"unit of the values"`
	Time    []float64 `json:"time" says:"seconds from the begin; empty where the source has no times"`
	Value   []float64 `json:"value" says:"values"`
}

type requestLine struct {
	Request  string `json:"request" says:"hexadecimal"`
	Times    int    `json:"times" says:"how often it was asked"`
	Answered int    `json:"answered" says:"how often somebody answered"`
}

type otherLine struct {
	Bus    string `json:"bus" says:"bus"`
	Name   string `json:"name" says:"identifier"`
	Frames int    `json:"frames" says:"how many"`
}

type textLine struct {
	Line int    `json:"line" says:"number of the line"`
	Text string `json:"text" says:"the line"`
}

// codeAnswer is the JSON of codes for one code.
type codeAnswer struct {
	Code   string      `json:"code" says:"the code"`
	Bytes  string      `json:"bytes" says:"as sent, hexadecimal"`
	Parts  []codePart  `json:"parts" says:"letter, digit, block, number, failure type"`
	Guide  guide.ID    `json:"guide,omitempty" says:"the guide whose faults are listed"`
	Faults []codeFault `json:"faults" says:"faults of the guide that list it"`
}

type codePart struct {
	Text string `json:"text" says:"the part"`
	Says string `json:"says" says:"what it says"`
}

type codeFault struct {
	ID     guide.ID `json:"id" says:"name in the guide"`
	Name   string   `json:"name" says:"what is wrong"`
	On     guide.ID `json:"on,omitempty" says:"item"`
	Family string   `json:"family" says:"codes as the guide lists them"`
}

func codeJSON(s *app.CodeSheet) codeAnswer {
	out := codeAnswer{Code: s.Code.String(), Bytes: s.Bytes, Parts: []codePart{}, Faults: []codeFault{}}
	if s.Guide != nil {
		out.Guide = s.Guide.ID
	}
	for _, x := range s.Parts {
		out.Parts = append(out.Parts, codePart(x))
	}
	for _, f := range s.Faults {
		out.Faults = append(out.Faults, codeFault{f.ID, f.Name, f.On, f.Family})
	}
	return out
}

func codesJSON(c *app.CodesRead) codesAnswer {
	out := codesAnswer{
		Form: c.Form, Says: c.Says, Variant: c.Variant, Units: []codesUnit{}, Empty: []string{}, Cleared: some(c.Cleared), Shared: []causeLine{}, Take: []takeLine{},
		Series: []seriesLine{}, Requests: []requestLine{}, Others: []otherLine{}, Asked: textLines(c.Asked), Unread: textLines(c.Unread),
		Findings: span.List{}, Notes: some(c.Notes), Alone: []string{}, Unknown: []string{},
	}
	if c.Guide != nil {
		out.Guide = c.Guide.ID
	}
	out.Findings = append(out.Findings, c.Findings...)
	for i := range c.Units {
		out.Units = append(out.Units, unitJSON(&c.Units[i]))
	}
	for _, m := range c.Empty {
		out.Empty = append(out.Empty, string(m))
	}
	for _, t := range c.Take {
		out.Take = append(out.Take, takeLine{t.Entry, t.Says, some(t.Units), t.Ticked, t.Have})
	}
	for _, e := range c.Causes.Alone {
		out.Alone = append(out.Alone, e.Code.String())
	}
	for _, x := range c.Causes.Unknown {
		out.Unknown = append(out.Unknown, x.String())
	}
	out.shared(c)
	out.bus(c)
	return out
}

func (a *codesAnswer) shared(c *app.CodesRead) {
	for _, x := range c.Causes.Shared {
		l := causeLine{Item: x.Node.Name, Kind: x.Node.Kind, Explains: []string{}, New: []string{}, Silent: some(x.Silent), Says: x.Says}
		for _, e := range x.Explains {
			l.Explains = append(l.Explains, e.Code.String())
		}
		for _, n := range x.New {
			l.New = append(l.New, n.String())
		}
		a.Shared = append(a.Shared, l)
	}
}

func (a *codesAnswer) bus(c *app.CodesRead) {
	for _, s := range c.Series {
		a.Series = append(a.Series, seriesOf(s))
	}
	for _, r := range c.Requests {
		a.Requests = append(a.Requests, requestLine(r))
	}
	for _, o := range c.Others {
		a.Others = append(a.Others, otherLine(o))
	}
}

func seriesOf(s can.Series) seriesLine {
	return seriesLine{s.Control, s.Channel, s.Unit, append([]float64{}, s.Time...), append([]float64{}, s.Value...)}
}

func textLines(list []dump.Line) []textLine {
	out := []textLine{}
	for _, l := range list {
		out = append(out, textLine{l.Pos.Line, l.Text})
	}
	return out
}

func unitJSON(u *app.UnitRead) codesUnit {
	out := codesUnit{
		Name: u.Name, Bus: u.Bus, Codes: []readCode{}, Either: some(u.Either), Frames: []freezeFrame{}, Lamp: u.Lamp, Distance: u.Distance.String(),
		Monitors: []monitorLine{}, Support: []supportLine{}, Info: []infoLine{}, States: []stateLine{}, Refused: []refusedLine{}, Values: valuesJSON(u.Values),
	}
	for _, x := range u.Codes {
		out.Codes = append(out.Codes, readCodeOf(x))
	}
	for _, f := range u.Frames {
		out.Frames = append(out.Frames, freezeFrame{f.Number, f.Code, valuesJSON(f.Values)})
	}
	for _, m := range u.Monitors {
		out.Monitors = append(out.Monitors, monitorLine(m))
	}
	for _, s := range u.Support {
		l := supportLine{Service: hex(s.Service), Items: []string{}}
		for _, i := range s.Items {
			l.Items = append(l.Items, i.String())
		}
		out.Support = append(out.Support, l)
	}
	for _, i := range u.Info {
		out.Info = append(out.Info, infoLine{i.Name, i.Text})
	}
	for _, s := range u.States {
		out.States = append(out.States, stateLine(s))
	}
	for _, r := range u.Refused {
		out.Refused = append(out.Refused, refusedLine{hex(r.Service), r.Reason, r.Times})
	}
	return out
}

func readCodeOf(x app.CodeRead) readCode {
	out := readCode{
		Code: x.Seen.Code.String(), Status: x.Status, Memory: string(x.Memory), Pending: x.Pending, Type: x.Type, Words: x.Words, Line: x.Pos.Line,
		First: x.First, Last: x.Last, Distance: x.Distance.String(), Times: x.Times, Before: x.Before, Group: x.Group, Owner: x.Owner, Faults: some(x.Faults),
	}
	if x.HasStatus {
		out.Byte = x.Seen.Status.String()
	}
	return out
}

func valuesJSON(list []app.ValueRead) []channelValue {
	out := []channelValue{}
	for _, v := range list {
		out = append(out, channelValue{
			Name: v.Name, Known: v.Known, Number: v.Value.Number, Unit: v.Value.Unit, Count: v.Count, Lowest: v.Lowest.Number, Highest: v.Highest.Number,
			At: v.At, Unused: v.Unused, Line: v.Line,
		})
	}
	return out
}

// hex writes a byte in two hexadecimal digits.
func hex(b byte) string {
	const digits = "0123456789ABCDEF"
	return string([]byte{digits[b>>4], digits[b&15]})
}
