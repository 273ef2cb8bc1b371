package app

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/bay"
	"elbowroom/guide"
)

// Item returns the sheet of one item. The error wraps ErrUnknown with the
// nearest names.
func (a *App) Item(q Ask, id guide.ID) (*ItemSheet, error) {
	s, b, err := a.look(q)
	if err != nil {
		return nil, err
	}
	it := b.r.Item(id)
	if it == nil {
		it = b.r.Item(guide.ID(strings.ToUpper(string(id))))
	}
	if it == nil {
		return nil, fmt.Errorf("item %q is %w: %s", id, ErrUnknown, notOne(b.r, string(id), b.r.Find(string(id))))
	}
	sheet := &ItemSheet{Resolved: b.r, Variant: s.variant.String(), Item: it, Connector: it.Connector}
	fillSheet(sheet, b)
	sheet.Ways, err = a.wayLines(q, s, b, it)
	return sheet, err
}

func fillSheet(sheet *ItemSheet, b *bench) {
	r, it := b.r, sheet.Item
	for _, k := range r.Guide.Kinds {
		if k.ID == it.Kind {
			sheet.Kind = k.Name
		}
	}
	sheet.Where = b.scene.Where(it.ID, bay.From{})
	sheet.Source = SourceText(r.Guide, it.Source)
	for _, j := range it.Joints {
		if r.Fits(j.For) {
			sheet.Joints = append(sheet.Joints, FactLine{Text: j.String(), Was: WasTexts(j.Was), Source: SourceText(r.Guide, j.Source)})
		}
	}
	if len(sheet.Joints) == 0 && it.Fixing != "" {
		sheet.Joints = append(sheet.Joints, FactLine{Text: it.Fixing, Was: WasTexts(it.Was)})
	}
	for _, u := range it.Parts {
		sheet.Parts = append(sheet.Parts, partLine(r, u))
	}
	sheet.Cautions = (&builder{r: r}).cautions(sheetCautions(it))
	sheet.Checks = checkLines(r, it.ID)
	sheet.Faults = faultLines(r, it.ID)
	sheet.Notes = noteLines(r, it)
	sheet.Blocks = blocks(r, it.ID)
}

func sheetCautions(it *guide.Item) []guide.ID {
	ids := slices.Clone(it.Cautions)
	for _, w := range it.Ways {
		ids = append(ids, w.Cautions...)
	}
	return ids
}

// WasTexts returns superseded values in words: value, until when, why.
func WasTexts(was []guide.Was) []string {
	var out []string
	for _, w := range was {
		text := w.Value
		if w.Until != "" {
			text += ", until " + w.Until
		}
		if w.Reason != "" {
			text += ": " + w.Reason
		}
		out = append(out, text)
	}
	return out
}

// SourceText returns the source in one line; the guide's own source when none
// is named.
func SourceText(g *guide.Guide, id guide.ID) string {
	if id == "" {
		id = g.Source
	}
	for _, s := range g.Sources {
		if s.ID == string(id) {
			return s.String()
		}
	}
	return string(id)
}

func checkLines(r *guide.Resolved, id guide.ID) []CheckLine {
	var out []CheckLine
	for _, c := range r.Guide.Checks {
		if !slices.Contains(c.On, id) && c.Point != id {
			continue
		}
		line := CheckLine{ID: c.ID, Name: c.Name, At: c.At, Minutes: c.Minutes, Source: SourceText(r.Guide, c.Source)}
		for _, l := range c.Limits {
			line.Limits = append(line.Limits, l.String())
		}
		for _, w := range c.When {
			line.When = append(line.When, w.String())
		}
		for _, w := range c.With {
			line.When = append(line.When, reqText(r, w))
		}
		out = append(out, line)
	}
	return out
}

func reqText(r *guide.Resolved, w guide.Req) string {
	text := stateText(r, w.Condition, w.Value)
	if w.Not {
		return "not " + text
	}
	return text
}

func faultLines(r *guide.Resolved, id guide.ID) []FactLine {
	var out []FactLine
	for _, f := range r.Guide.Faults {
		if f.On != id {
			continue
		}
		text := f.Name
		if len(f.Signs) > 0 {
			text += ": " + strings.Join(f.Signs, ", ")
		}
		if len(f.Codes) > 0 {
			text += " (" + strings.Join(f.Codes, ", ") + ")"
		}
		out = append(out, FactLine{ID: f.ID, Text: text, Source: SourceText(r.Guide, f.Source)})
	}
	return out
}

func noteLines(r *guide.Resolved, it *guide.Item) []FactLine {
	var out []FactLine
	if it.Note != "" {
		out = append(out, FactLine{Text: it.Note, Source: SourceText(r.Guide, it.Source)})
	}
	for _, n := range r.Guide.Notes {
		if n.On != it.ID || !r.Fits(n.For) {
			continue
		}
		line := FactLine{Text: n.Text, Source: SourceText(r.Guide, n.Source)}
		if n.Contradict > 0 && n.Contradict <= len(r.Guide.Notes) {
			other := r.Guide.Notes[n.Contradict-1]
			line.Text += " This contradicts: “" + other.Text + "” (" + SourceText(r.Guide, other.Source) + ")."
		}
		out = append(out, line)
	}
	return out
}

// blocks lists the items that cannot be cleared or worked on, by some way,
// while this one is in its place.
func blocks(r *guide.Resolved, id guide.ID) []guide.ID {
	var out []guide.ID
	for _, it := range r.Items {
		for _, w := range it.Ways {
			needs := slices.ContainsFunc(w.Needs, func(n guide.Need) bool { return n.Item == id })
			if needs && r.Fits(w.For) && !slices.Contains(out, it.ID) {
				out = append(out, it.ID)
			}
		}
	}
	return out
}
