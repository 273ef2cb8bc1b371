package vet

import (
	"fmt"
	"slices"

	"elbowroom/cite"
	"elbowroom/guide"
)

func lookProvenance(e *examiner) {
	if e.g.Source != "" {
		return // the source of every fact that names none
	}
	say := func(path, what string) {
		e.report(path, "", what+" has no source", "write source: who says so; or source: at the top for everything that names none")
	}
	for _, k := range e.g.Kinds {
		if k.Source == "" {
			say(within("kinds", k.ID), "kind "+string(k.ID))
		}
	}
	for i := range e.g.Items {
		it := &e.g.Items[i]
		if k := e.kinds[it.Kind]; it.Source == "" && (k == nil || k.Source == "") {
			say(within("items", it.ID), e.named(it.ID))
		}
	}
	for _, c := range e.g.Conditions {
		if c.Source == "" {
			say(within("conditions", c.ID), "condition "+string(c.ID))
		}
	}
	for _, c := range e.g.Cautions {
		if c.Source == "" && c.Authority == "" {
			say(within("cautions", c.ID), "caution "+string(c.ID))
		}
	}
	for _, c := range e.g.Checks {
		if c.Source == "" {
			say(within("checks", c.ID), "check "+string(c.ID))
		}
	}
	for _, f := range e.g.Faults {
		if f.Source == "" {
			say(within("faults", f.ID), "fault "+string(f.ID))
		}
	}
	for i, n := range e.g.Notes {
		if n.Source == "" {
			say(fmt.Sprintf("notes[%d]", i), fmt.Sprintf("note %d on %s", i+1, n.On))
		}
	}
}

// source finds a source by its name.
func (e *examiner) source(id guide.ID) (cite.Source, bool) {
	i := slices.IndexFunc(e.g.Sources, func(s cite.Source) bool { return s.ID == string(id) })
	if i < 0 {
		return cite.Source{}, false
	}
	return e.g.Sources[i], true
}

// by prints who says something: "by Ines (first-hand)".
func (e *examiner) by(id guide.ID) string {
	s, ok := e.source(id)
	switch {
	case !ok && id == "":
		return "by nobody"
	case !ok:
		return "by " + string(id)
	case s.Who == "":
		return fmt.Sprintf("by %s (%s)", s.ID, s.Grade)
	}
	return fmt.Sprintf("by %s (%s)", s.Who, s.Grade)
}

func lookNotesConflict(e *examiner) {
	for i, n := range e.g.Notes {
		if n.Contradict == 0 {
			continue
		}
		path := fmt.Sprintf("notes[%d]", i)
		if n.Contradict < 1 || n.Contradict > len(e.g.Notes) || n.Contradict == i+1 {
			e.report(path, fmt.Sprint(n.Contradict), fmt.Sprintf("note %d contradicts note %d, which is not another note of this guide", i+1, n.Contradict),
				"write the number of the note that is meant, counted from 1")
			continue
		}
		m := e.g.Notes[n.Contradict-1]
		e.report(path, n.Text, fmt.Sprintf("on %s %q, said %s, disagrees with %q, said %s", n.On, n.Text, e.by(e.origin(n)), m.Text, e.by(e.origin(m))),
			e.better(n, m))
	}
}

// origin is the source of a note, or that of the guide.
func (e *examiner) origin(n guide.Note) guide.ID {
	if n.Source != "" {
		return n.Source
	}
	return e.g.Source
}

// better says which of two notes has the better source, and leaves the choice.
func (e *examiner) better(n, m guide.Note) string {
	a, aok := e.source(e.origin(n))
	b, bok := e.source(e.origin(m))
	switch {
	case aok && bok && a.Grade.Rank() < b.Grade.Rank():
		return "go and look; until then the first weighs more, being " + string(a.Grade)
	case aok && bok && a.Grade.Rank() > b.Grade.Rank():
		return "go and look; until then the second weighs more, being " + string(b.Grade)
	}
	return "go and look, and write down which of the two holds and on which variant"
}

func lookAsk(e *examiner) {
	for _, c := range e.g.Cautions {
		if c.Ask != "" && c.Answer == "" {
			e.report(within("cautions", c.ID), "", fmt.Sprintf("caution %s asks the maker for %q, and nobody has answered: every plan that meets it stops", c.ID, c.Ask),
				"look the value up in the maker's instructions and write answer: with its source; never guess it")
		}
	}
	for _, c := range e.g.Conditions {
		for i, ch := range c.Changes {
			if ch.WaitUnknown {
				e.report(nth(within("conditions", c.ID), "changes", i), "", fmt.Sprintf("how long to wait from %s to %s of %s only the maker can say: every plan that needs it stops", ch.From, ch.To, c.ID),
					"look the time up in the maker's instructions and write wait: with its source; never guess it")
			}
		}
	}
}

func lookAuthority(e *examiner) {
	for _, c := range e.g.Cautions {
		if c.Authority == "" {
			e.report(within("cautions", c.ID), c.Text, fmt.Sprintf("caution %s names no authority", c.ID), "write authority: the regulation, standard or maker's document that it follows")
		}
	}
}
