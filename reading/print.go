package reading

import (
	"strconv"
	"strings"

	"elbowroom/quantity"
)

// String prints the reading as Parse reads it.
func (rd Reading) String() string {
	var clauses []string
	for _, p := range rd.Parts {
		clauses = append(clauses, p.written())
	}
	for _, s := range rd.Stated {
		clauses = append(clauses, s.Text)
	}
	add := func(word, s string) {
		if s != "" {
			clauses = append(clauses, word+s)
		}
	}
	head := string(rd.Check)
	if strings.ContainsAny(rd.Point, ",;") || !isPoint(rd.Point) && !strings.Contains(rd.Point, ":") {
		head = strings.TrimSpace(head + " " + strings.TrimSuffix("at "+rd.Point, "at "))
	} else {
		add("at ", rd.Point)
	}
	add("using ", rd.Tool)
	add("by ", rd.By)
	add("", rd.Day)
	add("picture ", rd.Picture)
	return head + ": " + strings.Join(clauses, ", ")
}

// written returns the part as it was typed, or as it prints.
func (p Part) written() string {
	if p.Text != "" {
		return p.Text
	}
	return p.String()
}

// String prints the part: "left > 10 MΩ", "right OL".
func (p Part) String() string {
	var words []string
	if p.Name != "" {
		words = append(words, p.Name)
	}
	switch {
	case p.Value.Zero():
		return strings.Join(append(words, "OL"), " ")
	case p.Bound == Above:
		words = append(words, ">")
	case p.Bound == Below:
		words = append(words, "<")
	}
	words = append(words, digits(p.Value, p.Step))
	if !p.Within.Zero() {
		words = append(words, "± "+p.Within.String())
	}
	if p.Pressure != "" {
		words = append(words, string(p.Pressure))
	}
	return strings.Join(words, " ")
}

// digits prints a value with as many digits as were typed.
func digits(v quantity.Value, step float64) string {
	places := 0
	for s := step; s > 0 && s < 0.5 && places < 15; s *= 10 {
		places++
	}
	if n := strconv.FormatFloat(v.Number, 'f', places, 64); step > 0 {
		if f, err := strconv.ParseFloat(n, 64); err == nil && f == v.Number {
			return strings.TrimSuffix(n+" "+v.Unit, " 1")
		}
	}
	return v.String()
}
