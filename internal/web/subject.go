package web

import (
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/span"
)

// subject is what the question is about, as the heading of a page shows it.
type subject struct {
	ID       string // of the machine; empty for a guide alone
	Name     string
	Guide    string // title of the guide
	Variant  string
	Edition  string // revision and date of the guide
	Stands   string
	Offers   []offer // everything else that can be asked about
	NoGuide  bool    // the machine has none
	Axes     []axis
	loaded   *app.Loaded
	machine  *app.MachineLine
	Currency string
}

// offer is one machine or variant in a choice.
type offer struct {
	Value string // for the field "for"
	Text  string
	Here  bool
}

// axis is one respect in which variants differ, as a choice.
type axis struct {
	Name, Question string
	Values         []axisValue
}

type axisValue struct {
	Value, Text, When string
	Here              bool
}

// subject finds what the question is about. Nothing that is unknown stops it:
// the use cases say what is wrong.
func (s *site) subject(q app.Ask) subject {
	machines, guides := s.use.Home(), s.use.Guides()
	var j subject
	if i := slices.IndexFunc(machines, func(m app.MachineLine) bool { return q.Machine != "" && string(m.Machine.ID) == q.Machine }); i >= 0 {
		m := machines[i]
		j.machine, j.ID, j.Name, j.Variant, j.Stands = &m, q.Machine, m.Machine.Name, m.Variant, m.Machine.Stands
		j.Guide = m.GuideTitle
		j.NoGuide = m.GuideName == "" && q.Guide == ""
		if q.Guide == "" {
			q.Guide = m.GuideName
		}
	}
	if q.Variant != "" {
		j.Variant = q.Variant
	}
	j.useGuide(guides, q)
	if j.Name == "" {
		j.Name = j.Guide
	}
	j.Offers = offers(machines, guides, q)
	return j
}

// useGuide fills what the guide says: its title, edition and axes.
func (j *subject) useGuide(guides []*app.Loaded, q app.Ask) {
	if j.NoGuide || len(guides) == 0 {
		return
	}
	i := slices.IndexFunc(guides, func(l *app.Loaded) bool { return names(l, q.Guide) })
	if q.Guide == "" {
		i = 0
	}
	if i < 0 || guides[i].Guide == nil {
		return
	}
	j.loaded = guides[i]
	g := j.loaded.Guide
	j.Guide, j.Currency = guideTitle(j.loaded), g.Currency
	j.Edition = edition(g)
	j.Axes = axes(g, j.Variant)
}

func names(l *app.Loaded, name string) bool {
	return l.Name == name || l.Guide != nil && string(l.Guide.ID) == name
}

func guideTitle(l *app.Loaded) string {
	if l.Guide != nil && l.Guide.Title != "" {
		return l.Guide.Title
	}
	return l.Name
}

// edition says which state of a guide this is. People write the revision as a
// bare number or in words.
func edition(g *guide.Guide) string {
	revision := g.Revision
	if revision != "" && strings.Trim(revision, "0123456789.") == "" {
		revision = say("edition.revision", revision)
	}
	if revision == "" || g.Date == "" {
		return firstOf(revision, g.Date)
	}
	return say("edition.both", revision, g.Date)
}

// axes returns the choices that settle a variant, with those made.
func axes(g *guide.Guide, variant string) []axis {
	var made guide.Selector
	if err := made.UnmarshalText([]byte(variant)); err != nil {
		made = nil // the use cases say what is wrong with it
	}
	var out []axis
	for _, a := range g.Axes {
		x := axis{Name: firstOf(a.Name, string(a.ID)), Question: a.Question}
		for _, v := range a.Values {
			here := slices.ContainsFunc(made, func(c guide.Choice) bool {
				return (c.Axis == "" || c.Axis == a.ID) && slices.Contains(c.Values, v.ID)
			})
			x.Values = append(x.Values, axisValue{
				Value: string(a.ID) + "=" + string(v.ID), Text: firstOf(v.Name, string(v.ID)), When: v.When, Here: here,
			})
		}
		out = append(out, x)
	}
	return out
}

func firstOf(texts ...string) string {
	for _, t := range texts {
		if t != "" {
			return t
		}
	}
	return ""
}

// offers lists every machine and every guide that can be asked about.
func offers(machines []app.MachineLine, guides []*app.Loaded, q app.Ask) []offer {
	var out []offer
	for _, m := range machines {
		id := string(m.Machine.ID)
		out = append(out, offer{Value: "machine:" + id, Text: id + " " + m.Machine.Name, Here: id == q.Machine})
	}
	for _, l := range guides {
		if l.Guide == nil || l.Findings.Has(span.Error) {
			continue
		}
		here := q.Machine == "" && (names(l, q.Guide) || q.Guide == "" && l == guides[0])
		out = append(out, offer{Value: "guide:" + l.Name, Text: say("offer.guide", guideTitle(l)), Here: here})
	}
	return out
}

// chosen reads the field "for" of a form into the question.
func chosen(value string, q app.Ask) app.Ask {
	kind, name, _ := strings.Cut(value, ":")
	switch kind {
	case "machine":
		if name != q.Machine {
			return app.Ask{Machine: name}
		}
	case "guide":
		if q.Machine != "" || name != q.Guide {
			return app.Ask{Guide: name}
		}
	}
	return q
}
