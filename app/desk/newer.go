package desk

import (
	"context"
	"fmt"
	"slices"

	"elbowroom/guide"
	"elbowroom/guide/compare"
	"elbowroom/guide/file"
	"elbowroom/joblog"
	"elbowroom/store"
)

// newer says, in the words of the trade, what a newer revision of the guide
// changes for the job: first what touches steps that are done. It is empty
// while the job follows the current revision.
func (d *Desk) newer(ctx context.Context, o *opened, t *joblog.PlanTaken) ([]string, error) {
	_, text, err := d.keep.Text(ctx, o.who.Place, store.Guide, string(t.Pin.Guide))
	switch {
	case store.CodeOf(err) == store.NotFound:
		return nil, nil
	case err != nil:
		return nil, err
	}
	if store.Sum(text).String() == t.Pin.Hash {
		return nil, nil
	}
	now, _, list := file.Read(oneFile(text), textDir)
	i := slices.IndexFunc(o.basis.Editions, func(e joblog.Edition) bool { return e.Pin == t.Pin })
	if now == nil {
		return []string{"The current revision of the guide cannot be read: " + list.Error()}, nil
	}
	if i < 0 || store.Sum(file.Print(now)).String() == t.Pin.Hash {
		return nil, nil
	}
	old, err := o.resolved(t)
	if err != nil {
		return nil, err
	}
	req, err := t.Asked()
	if err != nil {
		return nil, err
	}
	is, err := guide.Resolve(now, req.Variant)
	if err != nil {
		return []string{"The current revision of the guide does not know this variant: " + err.Error()}, nil
	}
	return touches(o.state, old, compare.Revisions(old, is)), nil
}

func touches(s joblog.State, r *guide.Resolved, differences []compare.Difference) []string {
	var list []string
	for _, t := range s.Touched(r, differences) {
		text := t.Says
		switch {
		case len(t.Done) > 0:
			text += " (touches " + steps(t.Done) + ", done already)"
		case len(t.Planned) > 0:
			text += " (touches " + steps(t.Planned) + ")"
		default:
			continue
		}
		list = append(list, text)
	}
	return list
}

// steps says "step 3" or "steps 3, 4 and 9".
func steps(numbers []int) string {
	text := fmt.Sprint(numbers[0])
	for i, n := range numbers[1:] {
		if i == len(numbers)-2 {
			text += fmt.Sprintf(" and %d", n)
		} else {
			text += fmt.Sprintf(", %d", n)
		}
	}
	if len(numbers) == 1 {
		return "step " + text
	}
	return "steps " + text
}
