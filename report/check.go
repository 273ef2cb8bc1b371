package report

import (
	"errors"
	"fmt"
	"math"
)

// ErrDocument is wrapped by the errors of Check and Read.
var ErrDocument = errors.New("the paper is not made as it must be")

// Check says everything that is wrong with a document: something missing that
// must be on every page, a block that is nothing or two things, an id twice, a
// drawing that cannot be drawn. It returns nil when nothing is. A document that
// fails can be printed all the same.
func (d Document) Check() error {
	var list []error
	bad := func(format string, args ...any) {
		list = append(list, fmt.Errorf("%w: "+format, append([]any{ErrDocument}, args...)...))
	}
	for _, f := range []struct{ name, value string }{
		{"number", d.Number}, {"title", d.Title}, {"variant", d.Variant}, {"guide", d.Guide}, {"deference", d.Deference},
	} {
		if clean(f.value) == "" {
			bad("%s is empty; it must stand on every page", f.name)
		}
	}
	if d.Date.IsZero() {
		bad("it has no date; pass one in")
	}
	seen := map[string]bool{}
	for _, t := range d.Ticks() {
		switch id := plainID(t.ID); {
		case id == "":
			bad("the tick box %q has no id", t.Says)
		case seen[id]:
			bad("two tick boxes have the id %q", t.ID)
		default:
			seen[id] = true
		}
	}
	for i, s := range d.Sections {
		for k, b := range s.Blocks {
			if err := b.check(); err != nil {
				bad("section %d (%s), block %d: %w", i+1, s.Title, k+1, err)
			}
		}
	}
	return errors.Join(list...)
}

func (b Block) check() error {
	set := 0
	for _, is := range []bool{b.Text != nil, b.List != nil, b.Facts != nil, b.Table != nil, b.Caution != nil, b.Step != nil, b.Ticks != nil, b.Drawing != nil, b.Sign != nil} {
		if is {
			set++
		}
	}
	switch {
	case set != 1:
		return fmt.Errorf("it is %d things and must be one", set)
	case b.Table != nil:
		return b.Table.check()
	case b.Drawing != nil:
		return b.Drawing.check()
	case b.Step != nil && b.Step.Picture != nil:
		return b.Step.Picture.check()
	}
	return nil
}

func (t Table) check() error {
	if len(t.Columns) == 0 {
		return errors.New("a table without columns")
	}
	for i, r := range t.Rows {
		if len(r.Cells) > len(t.Columns) {
			return fmt.Errorf("row %d has %d cells for %d columns", i+1, len(r.Cells), len(t.Columns))
		}
	}
	return nil
}

func (d Drawing) check() error {
	if !(d.W > 0 && d.H > 0) || math.IsInf(d.W, 0) || math.IsInf(d.H, 0) {
		return fmt.Errorf("drawing %q is %v by %v large", d.Title, d.W, d.H)
	}
	for i, s := range d.Shapes {
		if _, err := ParsePath(s.Path); err != nil {
			return fmt.Errorf("drawing %q, shape %d: %w", d.Title, i+1, err)
		}
		if s.Pattern < 0 || s.Pattern > len(d.Patterns) {
			return fmt.Errorf("drawing %q, shape %d: there is no pattern %d", d.Title, i+1, s.Pattern)
		}
	}
	return nil
}
