package desk

import (
	"context"
	"fmt"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/joblog"
	"elbowroom/span"
	"elbowroom/store"
	"elbowroom/workshop"
)

// readWorkshop reads the description of a workshop; nil for no text.
func readWorkshop(text []byte) (*workshop.Workshop, error) {
	if len(text) == 0 {
		return nil, nil
	}
	var w workshop.Workshop
	if _, list := file.Decode("workshop.yaml", text, &w); len(list) > 0 {
		return nil, fmt.Errorf("%w: the description of the workshop:\n%w", app.ErrInput, list)
	}
	return &w, nil
}

// Furnish gives a place its workshop, guides, machines and people as they are
// written in files. Everything is added that is not there yet; what is there
// stays, so that furnishing twice changes nothing.
func (d *Desk) Furnish(ctx context.Context, place store.Place, shop []byte, guides []*guide.Guide) error {
	w, err := readWorkshop(shop)
	if err != nil {
		return err
	}
	if _, err := d.keep.PutPlace(ctx, place); err != nil && store.CodeOf(err) != store.Exists {
		return err
	}
	for _, g := range guides {
		text, err := printed(g)
		if err != nil {
			return err
		}
		if err := d.first(ctx, place.ID, store.Draft{Kind: store.Guide, Name: string(g.ID), Text: text, Words: g.Title}); err != nil {
			return err
		}
	}
	if w == nil {
		return nil
	}
	if err := d.first(ctx, place.ID, store.Draft{Kind: store.Workshop, Name: string(place.ID), Text: shop}); err != nil {
		return err
	}
	for i, p := range w.People {
		role := store.Technician
		if i == 0 {
			role = store.Owner
		}
		_, err := d.keep.PutPerson(ctx, place.ID, store.Person{ID: joblog.Person(p.ID), Name: p.Name, Role: role, Since: d.now()})
		if err != nil && store.CodeOf(err) != store.Exists {
			return err
		}
	}
	for _, m := range w.Machines {
		_, err := d.keep.PutMachine(ctx, place.ID, store.Machine{
			ID: m.ID, Name: m.Name, Plate: m.Plate, Guide: string(m.Guide), Variant: m.Variant.String(), Note: m.Note, Data: machineText(m),
		})
		if err != nil && store.CodeOf(err) != store.Exists {
			return err
		}
	}
	return nil
}

// printed prints a guide that is to be kept. The error says what of it could
// not be read again: one that was made in memory may hold what no file can.
func printed(g *guide.Guide) ([]byte, error) {
	text, list := file.PrintBack(g)
	if list.Has(span.Error) {
		return nil, fmt.Errorf("%w: guide %s cannot be kept, because what is written of it could not be read again:\n%w", app.ErrInput, g.ID, list)
	}
	return text, nil
}

// first adds a text. One that is there already is replaced only when nobody
// has ever changed it here.
func (d *Desk) first(ctx context.Context, place store.PlaceID, t store.Draft) error {
	rev, _, err := d.keep.Text(ctx, place, t.Kind, t.Name)
	switch {
	case store.CodeOf(err) == store.NotFound:
	case err != nil:
		return err
	case rev.Author != "":
		return nil
	}
	t.Expect, t.At = rev.Hash, d.now()
	_, err = d.keep.PutText(ctx, place, t)
	return err
}

// Demonstrate furnishes the store with the sample guides and an invented
// workshop, and returns its owner.
func (d *Desk) Demonstrate(ctx context.Context, shop []byte) (*Who, error) {
	w, err := readWorkshop(shop)
	if err != nil {
		return nil, err
	}
	if w == nil || len(w.People) == 0 {
		return nil, fmt.Errorf("%w: the demonstration has nobody in it", app.ErrInput)
	}
	place := store.Place{ID: store.PlaceID(w.ID), Name: w.Name, Opened: d.now()}
	if err := d.Furnish(ctx, place, shop, d.opts.Sample); err != nil {
		return nil, err
	}
	p := w.People[0]
	return &Who{Place: place.ID, ID: joblog.Person(p.ID), Name: p.Name, Role: store.Owner, From: "demonstration"}, nil
}
