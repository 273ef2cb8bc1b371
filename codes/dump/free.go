package dump

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"elbowroom/codes"
	"elbowroom/codes/live"
	"elbowroom/quantity"
	"elbowroom/span"
)

// detail reads a line below a code that says more of it.
func (r *reader) detail(text string, line int) bool {
	if r.last < 0 || !strings.ContainsAny(text, ":=") {
		return false
	}
	name, _ := cut(text)
	if _, known := live.Channel(name); known {
		return false
	}
	return r.mark(&r.out.Codes[r.last], text, line)
}

// headWords are the words of headings; a line of nothing else is one.
var headWords = []string{
	"code", "codes", "dtc", "dtcs", "fault", "faults", "trouble", "diagnostic", "memory", "emission", "related", "the", "of", "in", "are", "is",
	"number", "list", "found", "read", "service", "mode", "03", "07", "0a", "0A", "status", "entries", "all", "there", "were", "count", "total",
}

// heading reads "Pending codes", "No stored codes", "Stored codes: 3", "Freeze
// frame", "Live data", "Control unit: 7E8".
func (r *reader) heading(text string, line int) bool {
	plain := strings.Trim(text, " \t*=-#_:.[]<>")
	if name, rest, ok := strings.Cut(plain, ":"); ok && isControl(strings.ToLower(strings.TrimSpace(name))) {
		r.unit, r.memory, r.frozen, r.last = strings.TrimSpace(rest), codes.Unsaid, false, -1
		return r.unit != ""
	}
	switch strings.ToLower(plain) {
	case "freeze frame", "freeze frame data", "condition data", "freeze frames":
		r.frozen, r.last = true, -1
		return true
	case "live data", "current data", "data stream", "data":
		r.frozen, r.memory, r.last = false, codes.Unsaid, -1
		return true
	}
	return r.memoryHeading(plain, line)
}

func isControl(name string) bool {
	switch name {
	case "control unit", "ecu", "module", "unit", "control module", "system":
		return true
	}
	return false
}

// memoryHeading reads headings about codes, with or without their number.
func (r *reader) memoryHeading(plain string, line int) bool {
	var memory codes.Memory
	none, codesNamed, number := false, false, -1
	for _, w := range strings.FieldsFunc(strings.ToLower(plain), func(c rune) bool { return !isWord(c) }) {
		m, isMemory := memoryWords[w]
		n, err := strconv.Atoi(w)
		switch {
		case isMemory && (memory == codes.Unsaid || memory == m):
			memory = m
		case w == "no" || w == "none":
			none = true
		case slices.Contains(headWords, w):
			codesNamed = codesNamed || strings.HasPrefix(w, "code") || strings.HasPrefix(w, "dtc") || strings.HasPrefix(w, "fault") || w == "trouble"
		case err == nil && number < 0:
			number = n
		default:
			return false
		}
	}
	if !codesNamed {
		return false
	}
	if none || number == 0 {
		r.out.None = append(r.out.None, memory)
		return true
	}
	if number > 0 {
		r.promise = append(r.promise, promise{memory, r.unit, number, r.pos(line, 1)})
	}
	r.memory, r.frozen, r.last = memory, false, -1
	return true
}

// monitorNames are the names of tests in package live.
var monitorNames = func() []string {
	var names []string
	for _, b := range []byte{0, 0x08} {
		for _, m := range live.ReadMonitors([4]byte{0, b, 0, 0}).Monitors {
			names = append(names, m.Name)
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}()

// monitorShort are short forms of the names of tests (SAE J1930).
var monitorShort = map[string]string{
	"egr": "exhaust gas recirculation", "evap": "evaporative system", "evap system": "evaporative system", "o2 sensor": "oxygen sensor",
	"o2 sensor heater": "oxygen sensor heater", "secondary air": "secondary air system", "air": "secondary air system", "a/c": "air conditioning refrigerant",
	"comprehensive components": "components", "comprehensive component": "components", "dpf": "particulate filter", "boost": "boost pressure",
}

// readiness reads "Catalyst monitor: not complete" and "Warning lamp: on".
func (r *reader) readiness(text string, line int) bool {
	name, rest, ok := parts(text)
	if !ok {
		return false
	}
	name, rest = strings.ToLower(name), strings.ToLower(rest)
	switch name {
	case "mil", "warning lamp", "malfunction indicator lamp", "check engine lamp", "mil status":
		if rest == "on" || rest == "off" {
			on := rest == "on"
			r.out.Lamp = &on
			return true
		}
		return false
	}
	name = strings.TrimSpace(strings.TrimSuffix(name, "monitor"))
	if long, ok := monitorShort[name]; ok {
		name = long
	}
	if !slices.Contains(monitorNames, name) {
		return false
	}
	m := live.Monitor{Name: name, Fitted: true}
	switch rest {
	case "complete", "completed", "ready", "passed":
		m.Complete = true
	case "incomplete", "not complete", "not completed", "not ready":
	case "not supported", "not fitted", "n/a", "not available":
		m.Fitted = false
	default:
		return false
	}
	r.out.Monitors = append(r.out.Monitors, m)
	return true
}

// parts splits a line into name and value: at a colon or an equals sign, a
// tabulator, a bar, a semicolon, or two spaces.
func parts(text string) (name, value string, ok bool) {
	text = strings.Trim(text, " \t-*•;|")
	for _, sep := range []string{":", "=", "\t", "|", ";", "  "} {
		if a, b, found := strings.Cut(text, sep); found {
			a, b = strings.TrimSpace(a), strings.Trim(b, " \t:=|;")
			return a, strings.Join(strings.FieldsFunc(b, func(c rune) bool { return c == '\t' || c == '|' || c == ';' || c == ' ' }), " "), a != "" && b != ""
		}
	}
	return "", "", false
}

// value reads "Coolant temperature: 83 °C".
func (r *reader) value(text string, line int) bool {
	name, rest, ok := parts(text)
	if !ok || strings.IndexFunc(name, unicode.IsLetter) < 0 {
		return false
	}
	v, q, ok := measured(rest)
	if !ok {
		return false
	}
	channel, known := live.Channel(name)
	col := utf8.RuneCountInString(text) - utf8.RuneCountInString(strings.TrimLeft(text, " \t-*•;|")) + 1
	if q != nil {
		r.find(span.Error, ruleNumber, line, col, clip(rest), q.says, q.do)
		r.unread(text, line)
		return true
	}
	if isDistance(strings.ToLower(name)) && v.Dimension() == quantity.Distance {
		r.out.Distance = v
		return true
	}
	if n, err := strconv.Atoi(rest); err == nil && v.Unit == "1" && isNumberOfCodes(name) {
		r.promise = append(r.promise, promise{codes.Unsaid, r.unit, n, r.pos(line, col)})
		return true
	}
	if known && !r.suits(channel, v, line, col, rest) {
		r.unread(text, line)
		return true
	}
	r.out.Values = append(r.out.Values, Value{Name: name, Channel: channel, Value: v, Frozen: r.frozen, Unit: r.unit, Pos: r.pos(line, col)})
	return true
}

func isNumberOfCodes(name string) bool {
	switch strings.ToLower(name) {
	case "number of codes", "number of dtcs", "number of trouble codes", "dtc count", "code count", "codes stored", "codes":
		return true
	}
	return false
}

// suits reports whether a value can be of the channel: its unit must fit, and
// what the channel cannot carry is doubted.
func (r *reader) suits(channel string, v quantity.Value, line, col int, rest string) bool {
	s, ok := live.ScalingOf(channel)
	if !ok {
		return true
	}
	if v.Dimension() != s.Lowest().Dimension() {
		says := channel + " is measured in " + s.Unit + ", not in " + v.Unit
		if v.Unit == "1" {
			says = "the unit of " + channel + " is missing"
		}
		r.find(span.Error, ruleUnit, line, col, clip(rest), says, "write it with its unit, such as "+s.Highest().String())
		return false
	}
	low, errLow := v.Compare(s.Lowest())
	high, errHigh := v.Compare(s.Highest())
	if errLow == nil && errHigh == nil && (low < 0 || high > 0) {
		r.find(span.Warning, ruleContent, line, col, clip(rest), channel+" reaches from "+s.Lowest().String()+" to "+s.Highest().String()+"; this lies outside", "look at the reader again")
	}
	return true
}
