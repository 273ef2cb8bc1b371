package demo

import (
	"testing"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// TestObviousAnswers prices what a customer would pay for the obvious answer
// of each case: labour at 84.00 an hour, what the way in consumes, and the
// part itself. Risk is left out.
func TestObviousAnswers(t *testing.T) {
	w, err := Workshop()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name    string
		machine int
		item    guide.ID
		labour  string
		total   string
	}{
		{"A: right knock sensor", 0, "SE13", "218.40", "400.40"},
		{"B: thermostat housing", 1, "CO02", "155.40", "299.40"},
		{"C: high-pressure pump", 2, "FU01", "156.80", "837.80"},
	} {
		r, err := guide.Resolve(load(t), w.Machines[c.machine].Variant)
		if err != nil {
			t.Fatal(err)
		}
		req := plan.Request{Variant: variant(r), Tasks: []plan.Task{{Verb: guide.Replace, On: c.item}}, Rate: w.Rate}
		way := -1
		for i, x := range r.Item(c.item).Ways {
			if x.Do == guide.Replace {
				way = i
			}
		}
		cost, _ := replay(t, r, req, []int{way})
		if cost.Labour.String() != c.labour {
			t.Errorf("%s: labour %s, want %s", c.name, cost.Labour, c.labour)
		}
		if total := cost.Money() - cost.Risk + partsOf(t, r, c.item); total.String() != c.total {
			t.Errorf("%s: %s, want %s", c.name, total, c.total)
		}
	}
}

// partsOf prices what a replacement of the item takes on this variant.
func partsOf(t *testing.T, r *guide.Resolved, id guide.ID) (sum money.Amount) {
	t.Helper()
	for _, u := range r.Item(id).Parts {
		sum += price(t, r, u)
	}
	return sum
}

func price(t *testing.T, r *guide.Resolved, u guide.Use) money.Amount {
	t.Helper()
	for _, p := range r.Guide.Parts {
		if p.ID == u.What {
			if !r.Fits(p.For) {
				return 0
			}
			return money.Amount(u.Count * float64(p.Price))
		}
	}
	t.Fatalf("no part %s", u.What)
	return 0
}

// TestRepairParts prices the parts of the repairs that end the three cases.
func TestRepairParts(t *testing.T) {
	r := seen(t, "LHD")
	for _, c := range []struct {
		name string
		uses []guide.Use
		want string
	}{
		{"A: two terminals and the seal of X3", []guide.Use{{Count: 2, What: "connector-terminal"}, {Count: 1, What: "connector-seal"}}, "14.00"},
		{"B: pair of terminals at SE03", []guide.Use{{Count: 1, What: "terminal-pair"}}, "9.00"},
		{"C: section of the holder F14 and two terminals", []guide.Use{{Count: 1, What: "fuse-holder-section"}, {Count: 2, What: "fuse-terminal"}}, "27.00"},
	} {
		var sum money.Amount
		for _, u := range c.uses {
			sum += price(t, r, u)
		}
		if sum.String() != c.want {
			t.Errorf("%s: %s, want %s", c.name, sum, c.want)
		}
	}
}

// TestSingleUseHasAPart: what is marked as used once is for sale.
func TestSingleUseHasAPart(t *testing.T) {
	r := seen(t, "LHD")
	n := 0
	for _, it := range r.Items {
		for _, j := range it.Joints {
			if j.Reuse != guide.SingleUse {
				continue
			}
			n++
			if price(t, r, guide.Use{Count: 1, What: j.Part}) == 0 {
				t.Errorf("%s: %v has no part with a price", it.ID, j)
			}
		}
		for _, w := range it.Ways {
			for _, u := range w.Uses {
				if u.What != "" && !u.Litres && price(t, r, u) == 0 {
					t.Errorf("%s: %v has no price", it.ID, u)
				}
			}
		}
	}
	if n != 2 {
		t.Errorf("%d joints are single-use, want those of the pump and of the crank pulley", n)
	}
}
