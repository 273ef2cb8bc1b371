package desk

import (
	"context"
	"fmt"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/joblog"
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
		if err := d.first(ctx, place.ID, store.Draft{Kind: store.Guide, Name: string(g.ID), Text: file.Print(g), Words: g.Title}); err != nil {
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

// first adds a text unless there is one of that name.
func (d *Desk) first(ctx context.Context, place store.PlaceID, t store.Draft) error {
	_, _, err := d.keep.Text(ctx, place, t.Kind, t.Name)
	if store.CodeOf(err) != store.NotFound {
		return err
	}
	t.At = d.now()
	_, err = d.keep.PutText(ctx, place, t)
	return err
}
