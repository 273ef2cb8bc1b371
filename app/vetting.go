package app

import (
	"elbowroom/guide"
	"elbowroom/guide/vet"
	"elbowroom/span"
)

// Vet examines a guide. What reading it found comes first; when that holds an
// error nothing further is examined. The error wraps ErrUnknown.
func (a *App) Vet(name string) (span.List, error) {
	l, err := a.Guide(name)
	if l == nil {
		return nil, err
	}
	if l.Guide == nil || l.Findings.Has(span.Error) {
		return l.Findings, nil
	}
	list := append(span.List{}, l.Findings...)
	list = append(list, vet.Check(l.Guide, l.Positions, vet.Options{
		Wrenches: a.wrenches(), Overlaps: func(v guide.Selector) []vet.Overlap { return a.overlaps(l, v) },
	})...)
	list.Sort()
	return list, nil
}

func (a *App) wrenches() []vet.Wrench {
	if a.workshop == nil {
		return nil
	}
	var out []vet.Wrench
	for _, t := range a.workshop.Tools {
		if !t.Lowest.Zero() && !t.Highest.Zero() {
			out = append(out, vet.Wrench{Name: t.Name, Lowest: t.Lowest, Highest: t.Highest})
		}
	}
	return out
}

func (a *App) overlaps(l *Loaded, v guide.Selector) []vet.Overlap {
	b, err := a.bench(l, v)
	if err != nil {
		return nil
	}
	var out []vet.Overlap
	for _, o := range b.scene.Overlaps() {
		out = append(out, vet.Overlap{A: o.A, B: o.B, Millimetres: float64(o.Millimetres)})
	}
	return out
}
