package vet

import (
	"fmt"

	"elbowroom/quantity"
)

// Shapes that are taken for a law of life: below the least, new parts would
// fail far more than old ones; above the most, all would fail in one week.
const (
	leastShape = 0.2
	mostShape  = 50
)

// lookWear finds laws of life that nothing can be worked out from.
func lookWear(e *examiner) {
	for _, f := range e.g.Faults {
		if f.Wear == nil {
			continue
		}
		at := within("faults", f.ID) + ".wear"
		life := f.Wear.Life
		switch d := life.Dimension(); {
		case d != quantity.Distance && d != quantity.Time:
			e.report(at+".life", life.String(), fmt.Sprintf("fault %s: a life of %q is neither a distance nor a time", f.ID, life), "write by when 63 % have failed, such as 180000 km or 60 months")
		case !(life.Number > 0):
			e.report(at+".life", life.String(), fmt.Sprintf("fault %s: a life of %s is none", f.ID, life), "write by when 63 % have failed, such as 180000 km or 60 months")
		}
		if s := f.Wear.Shape; !(s >= leastShape && s <= mostShape) {
			e.report(at+".shape", fmt.Sprint(s), fmt.Sprintf("fault %s: no part has a life of shape %g", f.ID, s), "write 1 where age does not matter, 2 to 4 for what wears out")
		}
	}
}
