package relational

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"elbowroom/joblog"
	"elbowroom/store"
)

// check gathers what is wrong with what was given, all of it.
type check struct{ wrong []string }

func (c *check) say(what, wrong string) { c.wrong = append(c.wrong, what+" "+wrong) }

// name wants the form of package joblog: a letter first.
func (c *check) name(what, s string) {
	if s == "" || s[0] >= '0' && s[0] <= '9' {
		c.say(what, "must begin with a letter, and "+quoted(s)+" does not")
		return
	}
	c.id(what, s)
}

// id wants letters, digits and _ - . @, a letter or digit first.
func (c *check) id(what, s string) {
	if s == "" || len(s) > 64 || strings.ContainsRune("_-.@", rune(s[0])) || strings.Trim(s, idLetters) != "" {
		c.say(what, "must be 1 to 64 letters (a to z), digits or _ - . @, a letter or digit first, and "+quoted(s)+" is not")
	}
}

const idLetters = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-.@"

// ref is an id that need not be given.
func (c *check) ref(what, s string) {
	if s != "" {
		c.id(what, s)
	}
}

func (c *check) text(what, s string, most int) {
	switch {
	case len(s) > most:
		c.say(what, "has "+strconv.Itoa(len(s))+" bytes, and at most "+strconv.Itoa(most)+" are kept")
	case !utf8.ValidString(s):
		c.say(what, "is no valid UTF-8")
	case strings.ContainsRune(s, 0):
		c.say(what, "contains a NUL")
	}
}

// fields wants texts of the usual size; pairs of what and text.
func (c *check) fields(pairs ...string) {
	for i := 0; i+1 < len(pairs); i += 2 {
		c.text(pairs[i], pairs[i+1], store.MaxField)
	}
}

func (c *check) given(what, s string) {
	if s == "" {
		c.say(what, "must be given")
	}
	c.text(what, s, store.MaxField)
}

func (c *check) data(what string, b []byte, most int) {
	if len(b) > most {
		c.say(what, "has "+strconv.Itoa(len(b))+" bytes, and at most "+strconv.Itoa(most)+" are kept")
	}
}

func (c *check) moment(what string, m joblog.Moment) {
	if m <= 0 {
		c.say(what, "must be given")
	}
}

func (c *check) hash(what string, h store.Hash) {
	if h.IsZero() {
		c.say(what, "must be given")
	}
}

// err is Refused with everything that is wrong, or nil.
func (c *check) err(thing string) error {
	if len(c.wrong) == 0 {
		return nil
	}
	return store.Errorf(store.Refused, "%s cannot be kept: %s", thing, strings.Join(c.wrong, "; "))
}

// quoted prints an id for people, however long or strange.
func quoted(id any) string {
	s, ok := plain([]any{id})[0].(string)
	if !ok {
		return ""
	}
	if len(s) > 80 {
		s = s[:80] + "…"
	}
	return strconv.Quote(s)
}

// page returns the limit of an answer.
func page(limit int) int {
	if limit <= 0 || limit > store.MaxPage {
		return store.MaxPage
	}
	return limit
}
