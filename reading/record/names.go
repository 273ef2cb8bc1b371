package record

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/quantity"
)

// names gives the columns their names and units: from the line of names, the
// line of units, or brackets in the names.
func (s *sniffed) names() {
	header, _ := cut(s.rawLine(s.Header), s.Delimiter, MostColumns)
	units, _ := cut(s.rawLine(s.Units), s.Delimiter, MostColumns)
	seen := make(map[[2]string]int, len(s.Columns))
	for i := range s.Columns {
		c := &s.Columns[i]
		if s.Header > 0 && i < len(header) {
			c.Name, c.Unit = nameAndUnit(word(header[i]))
		}
		if s.Units > 0 && i < len(units) {
			if u, _ := bare(word(units[i])); u != "" {
				c.Unit = u
			}
		}
		if c.Unit == "" {
			c.Unit = c.In
		}
		if c.Name == "" {
			c.Name = fmt.Sprintf("column %d", i+1)
		}
		c.Is = unitOf(c.Unit, c.Name)
		key := [2]string{c.Name, c.Unit}
		seen[key]++
		c.Nth = seen[key]
	}
}

// nameAndUnit parts "Coolant temp (°C)", "speed [rpm]", "rail / bar" and
// "ECT °C" into name and unit; the unit is empty when none is found.
func nameAndUnit(w string) (name, unit string) {
	w = strings.Join(strings.Fields(w), " ")
	if open := strings.LastIndexAny(w, "([{"); open > 0 {
		if u, ok := bare(w[open:]); ok {
			return strings.TrimSpace(w[:open]), u
		}
	}
	for _, mark := range []string{" / ", "/", ", ", " in "} {
		if at := strings.LastIndex(w, mark); at > 0 {
			if u := strings.TrimSpace(w[at+len(mark):]); clearUnit(u) || strings.Contains(mark, "/") && unitOf(u, w) != "" {
				return strings.TrimSpace(w[:at]), u
			}
		}
	}
	if at := strings.LastIndexAny(w, " _"); at > 0 {
		if u := w[at+1:]; clearUnit(u) {
			return strings.TrimSpace(w[:at]), u
		}
	}
	return w, ""
}

// clearUnit reports whether a word is a unit and hardly anything else: not a
// lone letter, not "in" or "min".
func clearUnit(u string) bool {
	return len([]rune(u)) >= 2 && u != "in" && !strings.EqualFold(u, "min") && !strings.EqualFold(u, "rpm") && unitOf(u, "") != "" && unitOf(u, "") != "1" || u == "%"
}

// bare takes the brackets off a unit.
func bare(w string) (string, bool) {
	w = strings.TrimSpace(w)
	if len(w) >= 2 && strings.IndexByte("([{", w[0]) >= 0 && strings.IndexByte(")]}", w[len(w)-1]) >= 0 {
		return strings.TrimSpace(w[1 : len(w)-1]), true
	}
	return w, false
}

// writings are ways in which loggers write units, in small letters, that
// package quantity does not read.
var writings = map[string]string{
	"c": "°C", "deg c": "°C", "degc": "°C", "deg. c": "°C", "celsius": "°C", "grad c": "°C", "ºc": "°C", "℃": "°C",
	"deg f": "°F", "degf": "°F", "fahrenheit": "°F", "ºf": "°F", "℉": "°F",
	"r/min": "rpm", "rev/min": "rpm", "u/min": "rpm", "tr/min": "rpm", "min-1": "rpm", "rpm": "rpm", "1/min": "rpm",
	"sec": "s", "second": "s", "seconds": "s", "sek": "s", "msec": "ms", "millis": "ms", "milliseconds": "ms",
	"volt": "V", "volts": "V", "amp": "A", "amps": "A", "ampere": "A", "amperes": "A", "millivolt": "mV",
	"ohm": "Ω", "ohms": "Ω", "deg": "°", "degrees": "°", "percent": "%", "pct": "%", "kmh": "km/h", "kph": "km/h", "kpa": "kPa", "hpa": "hPa", "mbar": "mbar",
	"gm/s": "g/s", "gram/sec": "g/s", "g/sec": "g/s", "ratio": "1", "lambda": "1",
}

// unitOf returns the name in package quantity of a unit as loggers write it;
// empty when it is not known. A lone F is Fahrenheit beside a temperature.
func unitOf(w, name string) string {
	if w == "" {
		return ""
	}
	low := strings.ToLower(w)
	if low == "f" && strings.Contains(strings.ToLower(name), "temp") {
		return "°F"
	}
	if to, ok := writings[low]; ok {
		return to
	}
	if v, err := quantity.Parse("1 " + w); err == nil {
		return v.Unit
	}
	return folded[low]
}

// folded are the units by their names in small letters; "" where capitals
// tell two apart.
var folded = func() map[string]string {
	m := map[string]string{}
	for _, u := range quantity.Units() {
		low := strings.ToLower(u)
		if _, twice := m[low]; twice || len(low) < 2 {
			u = ""
		}
		m[low] = u
	}
	return m
}()

// unitBehind returns the unit written behind a number in a cell, "12.5 V".
func unitBehind(cell []byte) (string, bool) {
	w := text(cell)
	at := strings.LastIndexFunc(w, func(r rune) bool { return r >= '0' && r <= '9' })
	if at < 0 || at == len(w)-1 {
		return "", false
	}
	unit := strings.TrimSpace(w[at+1:])
	if unitOf(unit, "") == "" {
		return "", false
	}
	_, kind := careful(cell, '.', unit)
	return unit, slices.Contains([]cellKind{numberCell, otherDecimal, ambiguousCell}, kind)
}
