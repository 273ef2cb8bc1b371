package access

import (
	"fmt"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
)

// The largest numbers that are planned with. They lie far above any repair and
// keep every sum exact.
const (
	maxPeople = 20
	maxRate   = 1_000_000                // minor units for an hour
	maxTime   = 100 * time.Hour          // of one step or wait
	maxPrice  = money.Amount(10_000_000) // minor units of one part, litre, hire or breakage
	maxCount  = 1000.0                   // of one part or litres
	maxOdds   = 1_000_000
)

// checkGuide refuses numbers that cannot be planned with. Everything else that
// may be wrong with a guide is for vet to find.
func checkGuide(r *guide.Resolved) error {
	if err := checkNames(r); err != nil {
		return err
	}
	for i := range r.Items {
		if err := checkWays(string(r.Items[i].ID), r.Items[i].Ways); err != nil {
			return err
		}
	}
	for i := range r.Guide.Checks {
		c := &r.Guide.Checks[i]
		if err := checkTime(string(c.ID)+".minutes", c.Minutes); err != nil {
			return err
		}
		if err := checkWays(string(c.ID), c.Ways); err != nil {
			return err
		}
	}
	for i := range r.Guide.Conditions {
		if err := checkCondition(&r.Guide.Conditions[i]); err != nil {
			return err
		}
	}
	return checkPrices(r.Guide)
}

// checkNames refuses items, conditions and values that are named twice.
func checkNames(r *guide.Resolved) error {
	seen := map[guide.ID]bool{}
	for i := range r.Items {
		if id := r.Items[i].ID; seen[id] {
			return fmt.Errorf("%w: there are two items %s", ErrGuide, id)
		}
		seen[r.Items[i].ID] = true
	}
	clear(seen)
	for _, c := range r.Guide.Conditions {
		if seen[c.ID] {
			return fmt.Errorf("%w: there are two conditions %s", ErrGuide, c.ID)
		}
		seen[c.ID] = true
		values := map[guide.ID]bool{}
		for _, v := range c.Values {
			if values[v.ID] {
				return fmt.Errorf("%w: condition %s has the value %s twice", ErrGuide, c.ID, v.ID)
			}
			values[v.ID] = true
		}
	}
	return nil
}

func checkTime(where string, d time.Duration) error {
	if d < 0 || d > maxTime {
		return fmt.Errorf("%w: %s: %v is not between 0 and %v", ErrGuide, where, d, maxTime)
	}
	return nil
}

func checkPrice(where string, a money.Amount) error {
	if a < 0 || a > maxPrice {
		return fmt.Errorf("%w: %s: %v is not between 0 and %v", ErrGuide, where, a, maxPrice)
	}
	return nil
}

func checkPeople(where string, n int) error {
	if n < 0 || n > maxPeople {
		return fmt.Errorf("%w: %s: %d people; it must be from 0 to %d", ErrGuide, where, n, maxPeople)
	}
	return nil
}

func checkWays(owner string, ways []guide.Way) error {
	if len(ways) > maxWays {
		return fmt.Errorf("%w: %s has %d ways; at most %d are possible", ErrGuide, owner, len(ways), maxWays)
	}
	for i := range ways {
		w := &ways[i]
		where := fmt.Sprintf("%s.ways[%d]", owner, i)
		for _, err := range []error{
			checkTime(where+".out", w.Out), checkTime(where+".back", w.Back), checkPeople(where, w.People), checkUses(where, w.Uses),
		} {
			if err != nil {
				return err
			}
		}
		for _, k := range w.Risks {
			if k.Times < 0 || k.Of < 0 || k.Times > maxOdds || k.Of > maxOdds {
				return fmt.Errorf("%w: %s: odds of %d in %d", ErrGuide, where, k.Times, k.Of)
			}
			if err := checkTime(where+".risks", k.Minutes); err != nil {
				return err
			}
			if err := checkPrice(where+".risks", k.Price); err != nil {
				return err
			}
		}
	}
	return nil
}

func checkUses(where string, uses []guide.Use) error {
	for _, u := range uses {
		if !(u.Count >= 0 && u.Count <= maxCount) {
			return fmt.Errorf("%w: %s: uses %v of %s; it must be from 0 to %v", ErrGuide, where, u.Count, u.What, maxCount)
		}
	}
	return nil
}

func checkCondition(c *guide.Condition) error {
	known := func(id guide.ID) bool {
		for _, v := range c.Values {
			if v.ID == id {
				return true
			}
		}
		return false
	}
	if !known(c.Start) {
		return fmt.Errorf("%w: %s.start: there is no value %q", ErrGuide, c.ID, c.Start)
	}
	if c.End != "" && c.End != guide.AnyEnd && c.End != guide.AsFound && !known(guide.ID(c.End)) {
		return fmt.Errorf("%w: %s.end: there is no value %q", ErrGuide, c.ID, c.End)
	}
	for i := range c.Changes {
		h := &c.Changes[i]
		where := fmt.Sprintf("%s.changes[%d]", c.ID, i)
		for _, err := range []error{
			checkTime(where+".minutes", h.Minutes), checkTime(where+".wait", h.Wait), checkPeople(where, h.People), checkUses(where, h.Uses),
		} {
			if err != nil {
				return err
			}
		}
	}
	return nil
}

func checkPrices(g *guide.Guide) error {
	if err := checkTime("setup.move", g.Setup.Move); err != nil {
		return err
	}
	if err := checkTime("setup.tool", g.Setup.Tool); err != nil {
		return err
	}
	for i := range g.Parts {
		if err := checkPrice(string(g.Parts[i].ID)+".price", g.Parts[i].Price); err != nil {
			return err
		}
	}
	for i := range g.Fluids {
		if err := checkPrice(string(g.Fluids[i].ID)+".per-litre", g.Fluids[i].PerLitre); err != nil {
			return err
		}
	}
	for i := range g.Tools {
		if h := g.Tools[i].Hire; h != nil {
			if err := checkPrice(string(g.Tools[i].ID)+".hire", *h); err != nil {
				return err
			}
		}
	}
	return nil
}
