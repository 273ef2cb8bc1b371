package web

import (
	"fmt"
	"maps"
	"net/url"
	"slices"
	"strings"
	"unicode"

	"elbowroom/app"
	"elbowroom/guide"
)

// state is everything that an address says: the question and where the reader
// stands on the page.
type state struct {
	ask   app.Ask
	job   app.Job    // what is known of the trouble; its own Ask is not used
	words string     // what is searched for
	view  guide.View // of the drawing
	item  guide.ID   // whose sheet is open
	reach bool       // list what is also in reach on the page itself
	check string     // whose form for a reading is open
	typed url.Values // the address as it came
}

// readState reads the query of an address. The error wraps app.ErrInput; the
// state is good enough to show what was typed.
func readState(v url.Values) (state, error) {
	v = validValues(v)
	if n := len(v["variant"]); n > 1 { // one choice for each axis, from a form
		v["variant"] = []string{strings.TrimSpace(strings.Join(v["variant"], " "))}
	}
	j, err := app.JobFromValues(v)
	st := state{
		ask: j.Ask, job: j, check: strings.TrimSpace(v.Get("at")), words: strings.TrimSpace(v.Get("q")), view: guide.View(v.Get("view")),
		item: guide.ID(strings.TrimSpace(v.Get("item"))), reach: v.Get("reach") == "show", typed: v,
	}
	st.ask.Tasks = once(st.ask.Tasks)
	st.job.Ask = app.Ask{}
	switch {
	case err != nil:
		return st, err
	case len(st.words) > maxWords:
		st.words = strings.ToValidUTF8(st.words[:maxWords], "")
		return st, fmt.Errorf("%w: %s", app.ErrInput, say("error.words-long", maxWords))
	case len(st.item) > maxWords, len(st.check) > maxWords:
		return st, fmt.Errorf("%w: %s", app.ErrInput, say("error.words-long", maxWords))
	}
	return st, nil
}

// printable returns the text as valid UTF-8 without control characters, which
// no page may carry.
func printable(text string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsControl(c) || c == '\uFFFE' || c == '\uFFFF' {
			return '\uFFFD'
		}
		return c
	}, strings.ToValidUTF8(text, "\uFFFD"))
}

// validValues returns a copy in which every text is printable.
func validValues(v url.Values) url.Values {
	c := url.Values{}
	for key, list := range v {
		for _, text := range list {
			c[key] = append(c[key], printable(text))
		}
	}
	return c
}

// once drops repeated entries: a task that is ticked twice is one task.
func once(list []string) []string {
	var out []string
	for _, s := range list {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

// values returns the query that readState reads back.
func (s state) values() url.Values {
	v := s.inquiry().Values()
	for key, value := range map[string]string{"q": s.words, "view": string(s.view), "item": string(s.item), "at": s.check} {
		if value != "" {
			v.Set(key, value)
		}
	}
	if s.reach {
		v.Set("reach", "show")
	}
	return v
}

// to returns the address of a page in this state.
func (s state) to(path string) string {
	if q := s.values().Encode(); q != "" {
		return path + "?" + q
	}
	return path
}

// bare returns the state without what belongs to one page only.
func (s state) bare() state { return state{ask: s.ask, job: s.job} }

// inquiry returns the question with what is known of the trouble.
func (s state) inquiry() app.Job {
	s.job.Ask = s.ask
	return s.job
}

// field is one hidden input of a form.
type field struct{ Name, Value string }

// fields returns the state as hidden inputs, without the named keys, which the
// form asks for itself.
func (s state) fields(without ...string) []field {
	v := s.values()
	var out []field
	for _, key := range slices.Sorted(maps.Keys(v)) {
		if slices.Contains(without, key) {
			continue
		}
		for _, value := range v[key] {
			out = append(out, field{key, value})
		}
	}
	return out
}

// with returns the state with one more task.
func (s state) with(task string) state {
	s.ask.Tasks = once(append(slices.Clone(s.ask.Tasks), task))
	return s
}

// without returns the state without a task, wherever it stands in the visit,
// and without any order that speaks of it.
func (s state) without(task string) state {
	drop := func(list []string) []string {
		return slices.DeleteFunc(slices.Clone(list), func(t string) bool { return t == task })
	}
	s.ask.Tasks, s.ask.Before, s.ask.Proof = drop(s.ask.Tasks), drop(s.ask.Before), drop(s.ask.Proof)
	s.ask.Order = slices.DeleteFunc(slices.Clone(s.ask.Order), func(o string) bool {
		first, then, _ := strings.Cut(o, "<")
		return strings.TrimSpace(first) == task || strings.TrimSpace(then) == task
	})
	return s
}

// tasks returns all tasks of the question in the order of the visit.
func (s state) tasks() []string { return slices.Concat(s.ask.Before, s.ask.Tasks, s.ask.Proof) }
