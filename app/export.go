package app

import (
	"fmt"
	"io"
)

// Export writes the choice model of the question for a general-purpose solver;
// format is "mps" or "lp".
func (a *App) Export(q Ask, format string, w io.Writer) error {
	k, err := a.ask(q)
	if err != nil {
		return err
	}
	switch format {
	case "mps":
		return k.planner.WriteMPS(w, k.req)
	case "lp":
		return k.planner.WriteLP(w, k.req)
	}
	return fmt.Errorf("%w: export format %q: write mps or lp", ErrInput, format)
}
