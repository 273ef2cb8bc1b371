package guide

import "strings"

// ReadShort reads "LHD", "LHD A", "A|B" or "drive=LHD build=A|B".
func (s *Selector) ReadShort(text string) error {
	*s = nil
	var errs FormErrors
	for _, w := range whole(strings.ReplaceAll(text, ",", " ")).words() {
		var c Choice
		values := w
		if i := strings.Index(w.s, "="); i >= 0 {
			axis, e := piece{w.s[:i], w.off}.id()
			c.Axis, errs = axis, append(errs, e...)
			values = piece{w.s[i+1:], w.off + i + 1}
		}
		for _, v := range values.split("|") {
			id, e := v.id()
			c.Values, errs = append(c.Values, id), append(errs, e...)
		}
		*s = append(*s, c)
	}
	if len(*s) == 0 {
		return whole(text).errorf("no variant", "values like LHD, A|B or drive=LHD")
	}
	return errs.orNil()
}

// Short returns the selector as ReadShort reads it.
func (s Selector) Short() (string, bool) {
	for _, c := range s {
		for _, v := range c.Values {
			if !isID(string(v)) {
				return "", false
			}
		}
		if len(c.Values) == 0 || c.Axis != "" && !isID(string(c.Axis)) {
			return "", false
		}
	}
	return s.String(), len(s) > 0
}

// MarshalText implements encoding.TextMarshaler with String.
func (s Selector) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler; the empty text selects
// every variant.
func (s *Selector) UnmarshalText(b []byte) error {
	if strings.TrimSpace(string(b)) == "" {
		*s = nil
		return nil
	}
	return s.ReadShort(string(b))
}

const expectTask = "verb:item, like replace:SE13"

// ReadShort reads "replace:SE13".
func (t *TaskID) ReadShort(text string) error {
	p := whole(text)
	parts := p.split(":")
	if len(parts) != 2 {
		return p.errorf("not a task", expectTask)
	}
	verb, errs := parts[0].id()
	on, more := parts[1].id()
	*t = TaskID{Verb(verb), on}
	return append(errs, more...).orNil()
}

// Short returns the task as ReadShort reads it.
func (t TaskID) Short() (string, bool) {
	return t.String(), isID(string(t.Verb)) && isID(string(t.On))
}

// String returns the task as people type it: "replace:SE13".
func (t TaskID) String() string { return string(t.Verb) + ":" + string(t.On) }

// MarshalText implements encoding.TextMarshaler with String.
func (t TaskID) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler with ReadShort.
func (t *TaskID) UnmarshalText(b []byte) error { return t.ReadShort(string(b)) }
