package relational

import (
	"context"

	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
)

var (
	customers = record[store.Customer]{shape[store.Customer]{"customers", "id, name, address, phone, mail, note, since, erased, version", func(v *store.Customer) []any {
		return []any{&v.ID, &v.Name, &v.Address, &v.Phone, &v.Mail, &v.Note, &v.Since, &v.Erased, &v.Version}
	}}, "customer"}
	machines = record[store.Machine]{shape[store.Machine]{"machines", "id, name, plate, serial, customer, guide, variant, note, data, version", func(v *store.Machine) []any {
		return []any{&v.ID, &v.Name, &v.Plate, &v.Serial, &v.Customer, &v.Guide, &v.Variant, &v.Note, &v.Data, &v.Version}
	}}, "machine"}
)

// Customers implements store.Customers.
func (s *Store) Customers(ctx context.Context, place store.PlaceID, after string, limit int) (out []store.Customer, err error) {
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		out, err = customers.list(ctx, q, no, "AND id > ? ORDER BY id LIMIT ?", after, page(limit))
		return err
	})
	return out, err
}

// Customer implements store.Customers.
func (s *Store) Customer(ctx context.Context, place store.PlaceID, id string) (v store.Customer, err error) {
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		v, err = customers.get(ctx, q, no, id)
		return err
	})
	return v, err
}

// PutCustomer implements store.Customers.
func (s *Store) PutCustomer(ctx context.Context, place store.PlaceID, v store.Customer) (int64, error) {
	var c check
	c.id("the id", v.ID)
	c.given("the name", v.Name)
	c.fields("the address", v.Address, "the telephone number", v.Phone, "the mail address", v.Mail, "the note", v.Note)
	if v.Erased != 0 {
		c.say("the customer", "is erased by Erase and by nothing else")
	}
	if err := c.err("the customer"); err != nil {
		return 0, err
	}
	var version int64
	err := s.change(ctx, place, true, func(q db, no int64) error {
		old, err := customers.list(ctx, q, no, "AND id = ?", v.ID)
		if err != nil {
			return err
		}
		if len(old) > 0 && old[0].Erased != 0 {
			return store.Errorf(store.Refused, "the customer %s was erased; somebody who comes back gets a new id", v.ID)
		}
		if version, err = customers.put(ctx, q, no, v); err != nil {
			return err
		}
		return index(ctx, q, no, store.Hit{Kind: store.HitCustomer, ID: v.ID, Title: v.Name}, v.ID, v.Name, v.Address, v.Phone, squeezed(v.Phone), v.Mail, v.Note)
	})
	return version, err
}

// Erase implements store.Customers.
func (s *Store) Erase(ctx context.Context, place store.PlaceID, id string, now joblog.Moment) error {
	var c check
	c.moment("the time", now)
	if err := c.err("the erasing"); err != nil {
		return err
	}
	err := s.change(ctx, place, true, func(q db, no int64) error {
		v, err := customers.get(ctx, q, no, id)
		if err != nil || v.Erased != 0 {
			return err
		}
		if _, err := customers.put(ctx, q, no, store.Customer{ID: id, Erased: now, Version: v.Version}); err != nil {
			return err
		}
		if err := unindex(ctx, q, no, store.HitCustomer, id); err != nil {
			return err
		}
		if err := eraseMachines(ctx, q, no, id); err != nil {
			return err
		}
		if _, err := q.exec(ctx, "UPDATE papers SET customer = NULL WHERE place = ? AND job IN (SELECT id FROM jobs WHERE place = ? AND customer = ?)", no, no, id); err != nil {
			return err
		}
		_, err = q.exec(ctx, "UPDATE links SET revoked = ? WHERE place = ? AND revoked = 0 AND job IN (SELECT id FROM jobs WHERE place = ? AND customer = ?)", now, no, no, id)
		return err
	})
	if err == nil && s.d.Scrub != nil {
		err = s.explain(s.d.Scrub(ctx))
	}
	return err
}

func eraseMachines(ctx context.Context, q db, no int64, customer string) error {
	list, err := machines.list(ctx, q, no, "AND customer = ? ORDER BY id", customer)
	if err != nil {
		return err
	}
	for _, m := range list {
		m.Plate, m.Serial, m.Note = "", "", ""
		if _, err := machines.put(ctx, q, no, m); err != nil {
			return err
		}
		if err := indexMachine(ctx, q, no, m); err != nil {
			return err
		}
	}
	return nil
}

// Machines implements store.Machines.
func (s *Store) Machines(ctx context.Context, place store.PlaceID, after guide.ID, limit int) ([]store.Machine, error) {
	return s.machineList(ctx, place, "AND id > ? ORDER BY id LIMIT ?", after, page(limit))
}

// MachinesOf implements store.Machines.
func (s *Store) MachinesOf(ctx context.Context, place store.PlaceID, customer string) ([]store.Machine, error) {
	return s.machineList(ctx, place, "AND customer = ? ORDER BY id", customer)
}

func (s *Store) machineList(ctx context.Context, place store.PlaceID, where string, args ...any) (out []store.Machine, err error) {
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		out, err = machines.list(ctx, q, no, where, args...)
		return err
	})
	return out, err
}

// Machine implements store.Machines.
func (s *Store) Machine(ctx context.Context, place store.PlaceID, id guide.ID) (v store.Machine, err error) {
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		v, err = machines.get(ctx, q, no, id)
		return err
	})
	return v, err
}

// PutMachine implements store.Machines.
func (s *Store) PutMachine(ctx context.Context, place store.PlaceID, v store.Machine) (int64, error) {
	var c check
	c.id("the id", string(v.ID))
	c.given("the name", v.Name)
	c.ref("the guide", v.Guide)
	c.fields("the plate", v.Plate, "the serial number", v.Serial, "the variant", v.Variant, "the note", v.Note)
	c.data("the data", v.Data, store.MaxField)
	if err := c.err("the machine"); err != nil {
		return 0, err
	}
	var version int64
	err := s.change(ctx, place, true, func(q db, no int64) (err error) {
		if v.Customer != "" {
			if _, err := customers.get(ctx, q, no, v.Customer); err != nil {
				return err
			}
		}
		if version, err = machines.put(ctx, q, no, v); err != nil {
			return err
		}
		return indexMachine(ctx, q, no, v)
	})
	return version, err
}

func indexMachine(ctx context.Context, q db, no int64, v store.Machine) error {
	return index(ctx, q, no, store.Hit{Kind: store.HitMachine, ID: string(v.ID), Title: v.Name}, string(v.ID), v.Name, v.Plate, squeezed(v.Plate), v.Serial, squeezed(v.Serial), v.Guide, v.Variant, v.Note)
}
