package file

import (
	"math"
	"reflect"
	"regexp"
	"strconv"
	"strings"

	"elbowroom/span"
)

var (
	wholeNumber = regexp.MustCompile(`^-?(0|[1-9][0-9]*)$`)
	realNumber  = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][-+]?[0-9]{1,3})?$`)
	// likeNumber is what some reader of YAML takes for a number.
	likeNumber = regexp.MustCompile(`^[-+]?(\.[0-9]+|[0-9][0-9_]*(\.[0-9_]*)?)([eE][-+]?[0-9]+)?$|^[-+]?0[xob][0-9a-fA-F_]+$|^[-+]?\.(inf|Inf|INF)$|^\.(nan|NaN|NAN)$`)
	// sameNumber is a number that prints back as it was written.
	sameNumber = regexp.MustCompile(`^-?(0|[1-9][0-9]{0,14})(\.[0-9]*[1-9])?$`)
	truth      = regexp.MustCompile(`^(true|True|TRUE|false|False|FALSE)$`)
	leading    = regexp.MustCompile(`^[-+]?0[0-9]`)
)

// mostNumber bounds every number: far above anything measured.
const mostNumber = 1e15

// plain decodes a scalar into a string, a truth value or a number.
func (d *decoder) plain(n *node, v reflect.Value, at *trail) {
	if n.kind != scalar {
		d.refuse(n, "shape", n.kind.String()+" where one value belongs", "one value", "", at)
		return
	}
	switch v.Kind() {
	case reflect.String:
		d.str(n, v, at)
	case reflect.Bool:
		d.truth(n, v, at)
	case reflect.Int:
		d.whole(n, v, at)
	case reflect.Float64:
		d.real(n, v, at)
	default:
		panic("file: cannot decode into " + v.Type().String())
	}
}

// str decodes text. Plain text that other readers of YAML take for a number
// with another spelling, or for a truth value, must be quoted.
func (d *decoder) str(n *node, v reflect.Value, at *trail) {
	if n.style == plain && truth.MatchString(n.text) {
		d.refuse(n, "quote", "reads as a truth value", "text", "put it in quotes", at)
		return
	}
	if n.style == plain && likeNumber.MatchString(n.text) && !sameNumber.MatchString(n.text) {
		d.refuse(n, "quote", "reads as a number that other programs write differently", "text", "put it in quotes", at)
		return
	}
	if strings.TrimSpace(n.text) == "" {
		d.refuse(n, "empty", "empty text", "text", "write it, or leave the line out", at)
		return
	}
	if w, ok := v.Interface().(worded); ok && !d.word(n, w.Allowed(), at) {
		return
	}
	v.SetString(n.text)
	if c, ok := v.Interface().(checker); ok {
		d.forms(n, c.Check(), at)
	}
}

func (d *decoder) word(n *node, allowed []string, at *trail) bool {
	for _, w := range allowed {
		if w == n.text {
			return true
		}
	}
	d.add(span.Finding{Pos: n.pos, Rule: "word", Says: "unknown word", Text: n.text, Expect: "one of " + strings.Join(allowed, ", "), Nearest: span.Nearest(n.text, allowed)}, at)
	return false
}

func (d *decoder) truth(n *node, v reflect.Value, at *trail) {
	if n.style != plain || n.text != "true" && n.text != "false" {
		d.refuse(n, "value", "not a truth value", "true or false", "", at)
		return
	}
	v.SetBool(n.text == "true")
}

func (d *decoder) whole(n *node, v reflect.Value, at *trail) {
	switch {
	case n.style != plain:
		d.refuse(n, "value", "a number in quotes", "a whole number", "remove the quotes", at)
	case leading.MatchString(n.text):
		d.refuse(n, "leading-zero", "a leading zero", "a whole number without it: some programs read 010 as eight", "", at)
	case !wholeNumber.MatchString(n.text):
		d.refuse(n, "value", "not a whole number", "a number like 3", "", at)
	default:
		i, err := strconv.ParseInt(n.text, 10, 64)
		if err != nil || math.Abs(float64(i)) > mostNumber {
			d.refuse(n, "value", "number too large", "", "", at)
		}
		if i < 0 {
			d.refuse(n, "value", "negative number", "0 or more", "", at)
		}
		v.SetInt(i)
	}
}

func (d *decoder) real(n *node, v reflect.Value, at *trail) {
	switch {
	case n.style != plain:
		d.refuse(n, "value", "a number in quotes", "a number", "remove the quotes", at)
	case leading.MatchString(n.text):
		d.refuse(n, "leading-zero", "a leading zero", "a number without it: some programs read 010 as eight", "", at)
	case !realNumber.MatchString(n.text):
		d.refuse(n, "value", "not a number", "a number like 12.5 or 1.1e-3", "", at)
	default:
		f, err := strconv.ParseFloat(n.text, 64)
		if err != nil || math.Abs(f) > mostNumber {
			d.refuse(n, "value", "number too large", "at most 1e15", "", at)
			return
		}
		v.SetFloat(f)
	}
}
