package file

import (
	"encoding"
	"fmt"
	"math"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"elbowroom/guide"
)

func width(s string) int { return utf8.RuneCountInString(s) }

// scalarText returns values that are one text or number: short forms, times,
// units, money, numbers and truth values.
func scalarText(v reflect.Value, flow bool) (string, bool) {
	if s, ok := shortText(v); ok {
		return quoted(s, flow), true
	}
	if v.Type() == durationType {
		return guide.FormatMinutes(time.Duration(v.Int())), true
	}
	if m, ok := v.Interface().(encoding.TextMarshaler); ok && !hasShort(v.Type()) {
		b, err := m.MarshalText()
		if err != nil {
			return "", false
		}
		if s := string(b); likeNumber.MatchString(s) {
			return s, true
		}
		return quoted(string(b), flow), true
	}
	switch v.Kind() {
	case reflect.Bool:
		return strconv.FormatBool(v.Bool()), true
	case reflect.Int:
		return strconv.FormatInt(v.Int(), 10), true
	case reflect.Float64:
		return number(v.Float()), true
	}
	return "", false
}

func number(f float64) string {
	if a := math.Abs(f); f != 0 && (a < 1e-12 || a >= 1e15) {
		return strconv.FormatFloat(f, 'e', -1, 64)
	}
	if f == 0 {
		return "0"
	}
	return strconv.FormatFloat(f, 'f', -1, 64)
}

// safe matches text that needs no quotes in any place outside brackets, before
// the exceptions below. A text may begin with - only before a digit.
var (
	safe = regexp.MustCompile(`^(?:-[0-9]|[^\s\-?:,\[\]{}#&*!|>'"%@~=` + "`" + `])`)
	// reserved are words that some reader of YAML takes for something else.
	reserved = regexp.MustCompile(`^(?i:true|false|null|yes|no|on|off|y|n|~|<<)$`)
)

// quoted returns a text as a scalar, in quotes where it needs them.
func quoted(s string, flow bool) string {
	switch {
	case safe.MatchString(s) && !reserved.MatchString(s) && !likeNumber.MatchString(s) &&
		!strings.Contains(s, ": ") && !strings.Contains(s, " #") && !strings.HasSuffix(s, ":") &&
		strings.TrimSpace(s) == s && !strings.ContainsFunc(s, func(c rune) bool { return c == '\n' || c == '\u00a0' || forbidden(c) }) &&
		!(flow && strings.ContainsAny(s, ",[]{}:#")):
		return s
	case strings.ContainsAny(s, `"\`) && !strings.ContainsFunc(s, func(c rune) bool { return c == '\n' || forbidden(c) }):
		return "'" + strings.ReplaceAll(s, "'", "''") + "'"
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, c := range s {
		switch {
		case c == '"' || c == '\\':
			b.WriteString(`\` + string(c))
		case c == '\n':
			b.WriteString(`\n`)
		case forbidden(c):
			fmt.Fprintf(&b, `\u%04x`, c)
		default:
			b.WriteRune(c)
		}
	}
	b.WriteByte('"')
	return b.String()
}

func keyText(name string) string { return quoted(name, true) }

// inlineText returns a text on one line; texts of several lines only inside
// brackets.
func inlineText(s string, flow bool) (string, bool) {
	if strings.Contains(s, "\n") && !flow && literal(s) {
		return "", false
	}
	return quoted(s, flow), true
}

// literal reports whether a text of several lines can be a block.
func literal(s string) bool {
	body := strings.TrimSuffix(s, "\n")
	if body == "" || strings.HasPrefix(body, "\n") || strings.HasSuffix(body, "\n") {
		return false
	}
	for _, l := range strings.Split(body, "\n") {
		if strings.TrimSpace(l) != l || strings.ContainsFunc(l, forbidden) {
			return false
		}
	}
	return true
}

// foldable reports whether a text of one line may be broken at its spaces.
func foldable(s string) bool {
	return strings.Join(strings.Fields(s), " ") == s && !strings.ContainsFunc(s, func(c rune) bool { return forbidden(c) || c == '\u00a0' })
}

// blockText returns a long text over several lines.
func blockText(s string, depth int) (first string, lines []string) {
	if strings.Contains(s, "\n") && literal(s) {
		first = "|-"
		if strings.HasSuffix(s, "\n") {
			first = "|"
		}
		return first, strings.Split(strings.TrimSuffix(s, "\n"), "\n")
	}
	if strings.Contains(s, "\n") || !foldable(s) {
		return quoted(s, false), nil
	}
	line := ""
	for _, w := range strings.Fields(s) {
		if line != "" && depth+width(line)+1+width(w) > Width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += w
	}
	return ">-", append(lines, line)
}
