package app

import (
	"errors"
	"fmt"

	"elbowroom/capture"
	"elbowroom/capture/draft"
	"elbowroom/capture/lexicon"
	"elbowroom/capture/transcript"
	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/span"
)

// NarrationAsk is a narration to be turned into facts.
type NarrationAsk struct {
	Name string // of the file; it helps to tell a spreadsheet and names the source
	Text []byte

	Guide   string // beside which the facts are laid; empty for an engine of which nothing is written
	Lexicon []NamedText
	Options draft.Options
	// Decisions about the facts, replayed in order. Without any, a narration
	// becomes a draft of its own; with some, they are carried out on the guide.
	Decisions []draft.Decision
}

// NamedText is a text with the name of its file.
type NamedText struct {
	Name string
	Text []byte
}

// Narrated is what a narration gave.
type Narrated struct {
	Name     string
	Guide    *guide.Guide // nil without one
	Report   *capture.Report
	Sheet    *draft.Sheet // the facts beside the guide
	Draft    *guide.Guide // the draft, or the guide with what was decided
	Refused  []draft.Refused
	Findings span.List // about the text: times out of order and the like
}

// Nothing reports whether the narration holds no fact of an engine.
func (c *Narrated) Nothing() bool { return len(c.Report.Facts) == 0 }

// Narration listens to a narration, lays its facts beside a guide, and makes a
// draft of them. Errors wrap ErrInput or ErrUnknown; those of reading a text
// carry a span.List with every place.
func (a *App) Narration(q NarrationAsk) (*Narrated, error) {
	c := &Narrated{Name: q.Name}
	if q.Guide != "" {
		l, err := a.Guide(q.Guide)
		if err != nil {
			return nil, err
		}
		c.Guide = l.Guide
	}
	lex, err := lexicons(q.Lexicon)
	if err != nil {
		return nil, err
	}
	t, list := transcript.Read(q.Name, q.Text)
	if t == nil {
		return nil, fmt.Errorf("%w: narration %s:\n%w", ErrInput, q.Name, list)
	}
	c.Findings = list
	o := capture.Options{Lexicon: lex}
	if c.Guide != nil {
		o.Namer, o.Units = draft.NewNames(c.Guide, lex), usualUnits(c.Guide)
	}
	q.Options.Lexicon = lex
	c.Report = capture.Listen(t, o)
	c.Sheet = draft.Lay(c.Report, c.Guide, q.Options)
	if q.Decisions == nil {
		c.Draft, c.Refused = draft.Merge(nil, c.Sheet, c.Sheet.All())
		return c, nil
	}
	c.Draft, c.Refused = draft.Merge(c.Guide, c.Sheet, q.Decisions)
	return c, nil
}

// lexicons lays the given lexicons over the one that comes with the program.
func lexicons(texts []NamedText) (*lexicon.Lexicon, error) {
	lex := lexicon.Default()
	var all span.List
	for _, t := range texts {
		l, list := lexicon.Read(t.Name, t.Text)
		all = append(all, list...)
		lex = lex.With(l)
	}
	if len(all) > 0 {
		return nil, errors.Join(fmt.Errorf("%w: the lexicon cannot be used", ErrInput), all)
	}
	return lex, nil
}

// usualUnits are the limits of a guide's checks and their conditions, for
// narrators who drop the unit.
func usualUnits(g *guide.Guide) []quantity.Value {
	var out []quantity.Value
	for i := range g.Checks {
		for _, m := range g.Checks[i].Limits {
			out = append(out, m.Low, m.High)
		}
		for _, c := range g.Checks[i].When {
			out = append(out, c.Low, c.High)
		}
	}
	return out
}
