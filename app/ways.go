package app

import (
	"elbowroom/guide"
)

// wayLines lists every way of an item.
func (a *App) wayLines(_ Ask, _ setting, b *bench, it *guide.Item) ([]WayLine, error) {
	var out []WayLine
	for _, w := range it.Ways {
		line := WayLine{Way: w, Verb: w.Do, Text: wayText(b.r, w), Open: b.r.Fits(w.For)}
		if !w.Do.Clears() {
			line.Task = string(w.Do) + ":" + string(it.ID)
		}
		if !line.Open {
			line.Reason = "only on " + w.For.String()
		}
		out = append(out, line)
	}
	return out, nil
}
