package app

import (
	"fmt"

	"elbowroom/suspect"
	"elbowroom/workshop"
)

// OwnFigure is a number of this workshop that stands in the place of one that
// the program assumes.
type OwnFigure struct {
	Name    string
	Is      string // what it is
	Own     suspect.Range
	Instead suspect.Range // what the program assumes
	Says    string        // how it was had
}

// Text is the figure in one sentence: whose it is, and instead of what.
func (f OwnFigure) Text() string {
	text := fmt.Sprintf("This workshop's figure: %s, %s instead of %s", f.Is, f.Own, f.Instead)
	if f.Says != "" {
		text += "; " + f.Says
	}
	return text
}

// assumed returns what is assumed here: the program's figures with those of the
// workshop in their place. The error wraps ErrInput; a file that was read has
// none.
func (a *App) assumed() (*suspect.Assumptions, []OwnFigure, error) {
	all := suspect.Default()
	if a.workshop == nil {
		return &all, nil, nil
	}
	var own []OwnFigure
	for _, f := range a.workshop.Figures {
		o := OwnFigure{Name: string(f.ID), Own: rangeOf(f), Says: f.Says}
		for _, d := range suspect.Default().Figures() {
			if d.Name == o.Name {
				o.Is, o.Instead = d.Says, d.Range
			}
		}
		if f.Counted() {
			o.Says = howCounted(f)
		}
		if err := all.Set(o.Name, o.Own); err != nil {
			return nil, nil, fmt.Errorf("%w: assumptions of the workshop: %w", ErrInput, err)
		}
		own = append(own, o)
	}
	return &all, own, nil
}

func rangeOf(f workshop.Figure) suspect.Range {
	if f.Counted() {
		return suspect.Counted(f.Seen, f.Of)
	}
	return suspect.Range{Low: f.Low, Middle: f.Middle, High: f.High}
}

func howCounted(f workshop.Figure) string {
	text := fmt.Sprintf("seen %d times in %d", f.Seen, f.Of)
	if f.Says != "" {
		text += ": " + f.Says
	}
	return text
}
