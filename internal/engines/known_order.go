package engines

import (
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// orderCases are about set-ups.
func orderCases() []KnownCase {
	g := machine(part("A", from("top", off(1, 1))), part("B", from("below", off(1, 1))),
		part("C", from("top", off(1, 1))), part("D", from("below", off(1, 1))),
		part("X", replaced(1, "A", "B"), replaced(10)), part("Y", replaced(1, "A", "B", "C", "D")))
	g.Setup = guide.Setup{Move: mins(2)}
	with1 := func(w guide.Way, tool guide.ID) guide.Way {
		w.Tools = []guide.ID{tool}
		return w
	}
	tools := machine(part("A", with1(from("top", off(1, 1)), "T1")), part("B", with1(from("top", off(1, 1)), "T2")),
		part("C", with1(from("below", off(1, 1)), "T1")), part("X", replaced(1, "A", "B", "C")))
	tools.Setup = guide.Setup{Move: mins(2), Tool: mins(1)}
	tools.Tools = []guide.Tool{{ID: "T1", Name: "wrench"}, {ID: "T2", Name: "pliers"}}
	apart := machine(part("A", from("top", off(1, 1))), part("B", from("below", off(1, 1)), from("top", off(2, 2))), part("X", replaced(1, "A", "B")))
	apart.Setup = guide.Setup{Move: mins(3)}
	move := g
	move.Setup.Move = mins(3)
	return []KnownCase{
		known("one move out, one back", "A from the top, B from below: 4 + 1 of work, two moves", 9, g, want("replace:X")),
		known("dear moves", "two moves of 3 make the long work with nothing off the better one", 10, move, want("replace:X")),
		known("grouped", "four items from two places and still two moves: 8 + 1 + 4", 13, g, want("replace:Y")),
		known("place and tool", "B, A, C and back: a tool change and a move each way: 6 + 1 + 6", 13, tools, want("replace:X")),
		known("dearer way, no move", "B from the top takes longer and saves two moves: 2 + 4 + 1", 7, apart, want("replace:X")),
	}
}

// priceCases are about money. A minute costs 1.00 throughout.
func priceCases() []KnownCase {
	rate := func(r *plan.Request) { r.Rate = 6000 }
	x := but(want("replace:X"), rate)
	open := but(x, func(r *plan.Request) { r.LeaveOpen = []guide.ID{"A"} })
	found := but(plan.Request{}, func(r *plan.Request) {
		r.Rate, r.Found = 6000, []plan.Standing{{Item: "A", Off: true}}
	})
	seals := func(w *guide.Way) { w.Uses = []guide.Use{{Count: 2, What: "seal"}, {Count: 1, Words: "a rag"}} }
	breaks := func(times, of int, minutes float64, price money.Amount) func(w *guide.Way) {
		return func(w *guide.Way) {
			w.Risks = []guide.Risk{{What: "tab breaks", Times: times, Of: of, Minutes: mins(minutes), Price: price}}
		}
	}
	sealed := machine(part("A", edit(off(1, 1), seals)), part("X", replaced(5, "A")))
	sealed.Parts = []guide.Part{{ID: "seal", Name: "seal", Price: 250}}
	back := machine(part("A", edit(off(1, 7), breaks(1, 2, 0, 1000)), edit(off(2, 3), seals)))
	back.Parts = sealed.Parts
	risky := machine(part("A", edit(off(1, 1), breaks(1, 4, 8, 1200)), off(3, 3)), part("X", replaced(1, "A")))
	odd := byMoney(known("odds that do not divide", "a seventh of 1.00 is rounded to the nearest unit of the objective", 0,
		machine(part("X", edit(replaced(0), breaks(1, 7, 0, 100)))), x), 0)
	odd.Objective = 51_428_571 // 360 000 000 / 7 = 51 428 571.43
	cases := []KnownCase{
		byMoney(known("seals", "1 + 1 + 5 of work and two seals at 2.50", 0, sealed, x), 1200),
		byMoney(known("seals, left open", "no seal is fitted: 1 + 5", 0, sealed, open), 600),
		byMoney(known("found off, by money", "7.00 by the first way, whose risk is past; 3.00 and two seals by the second", 0, back, found), 700),
		byMoney(known("risk", "2.00 and a quarter of 20.00 lose to 6.00", 0, risky, x), 700),
		known("risk, by minutes", "risk has no minutes by this objective: 2 + 1", 3, risky, want("replace:X")),
		odd,
	}
	return append(append(cases, hires()...), people()...)
}

func hires() []KnownCase {
	puller := func(w *guide.Way) { w.Tools = []guide.ID{"PULLER"} }
	price := money.Amount(1500)
	g := machine(part("A", edit(off(5, 5), puller), off(13, 13)), part("B", edit(off(5, 5), puller), off(13, 13)),
		part("X", replaced(1, "A", "B")), part("Y", replaced(1, "A")))
	g.Tools = []guide.Tool{{ID: "PULLER", Name: "puller", Hire: &price}}
	owned := g
	owned.Tools = []guide.Tool{{ID: "PULLER", Name: "puller"}}
	missing := func(r *plan.Request) { r.Rate, r.Missing = 6000, []guide.ID{"PULLER"} }
	dear := money.Amount(1700)
	dearer := g
	dearer.Tools = []guide.Tool{{ID: "PULLER", Name: "puller", Hire: &dear}}
	return []KnownCase{
		byMoney(known("hired once", "two items with one hire: 20 + 1 and 15.00", 0, g, but(want("replace:X"), missing)), 3600),
		byMoney(known("hire just pays", "10 + 1 and 15.00 against 26 + 1", 0, g, but(want("replace:Y"), missing)), 2600),
		byMoney(known("hire does not pay", "10 + 1 and 17.00 against 26 + 1", 0, dearer, but(want("replace:Y"), missing)), 2700),
		byMoney(known("cannot be hired", "the long ways: 52 + 1", 0, owned, but(want("replace:X"), missing)), 5300),
	}
}

func people() []KnownCase {
	two := func(w *guide.Way) { w.People = 2 }
	g := machine(part("A", edit(off(5, 5), two), off(11, 11)), part("X", replaced(1, "A")))
	pair := but(want("replace:X"), func(r *plan.Request) { r.People = 2 })
	return []KnownCase{
		known("two people", "five minutes of two people are ten: 20 + 1", 21, g, pair),
		known("one person", "alone only the long way is open: 22 + 1", 23, g, want("replace:X")),
	}
}

// refusedCases are requests that have no plan or make no sense, and what is
// just short of that.
func refusedCases() []KnownCase {
	unknown := condition("charge", "live", "gone", 0, 1, 0)
	unknown.Changes[0].WaitUnknown = true
	live := conditioned([]guide.Condition{unknown}, part("X", with(replaced(5), "charge=gone")))
	ask := func(w *guide.Way) { w.Cautions = []guide.ID{"CHARGE"} }
	asked := machine(part("A", edit(off(1, 1), ask)), part("X", replaced(5, "A")))
	asked.Cautions = []guide.Caution{{ID: "CHARGE", Text: "capacitors", Ask: "how long to wait"}}
	around := machine(part("A", edit(off(1, 1), ask), off(9, 9)), part("X", replaced(5, "A")))
	around.Cautions = asked.Cautions
	answered := asked
	answered.Cautions = []guide.Caution{{ID: "CHARGE", Text: "capacitors", Ask: "how long to wait", Answer: "5 min"}}
	variant := machine(part("A", edit(off(1, 1), func(w *guide.Way) { w.For = guide.Selector{{Values: []guide.ID{"RHD"}}} }), off(4, 4)), part("X", replaced(5, "A")))
	variant.Axes = []guide.Axis{{ID: "drive", Question: "Which side is the wheel?", Values: []guide.AxisValue{{ID: "LHD"}, {ID: "RHD"}}}}
	side := func(v guide.ID) plan.Request {
		return but(want("replace:X"), func(r *plan.Request) { r.Variant = guide.Selector{{Axis: "drive", Values: []guide.ID{v}}} })
	}
	bad := known("unknown item", "a name that the guide does not have is bad input, not impossible", 0, asked, want("replace:Z"))
	bad.Outcome = plan.BadInput
	idle := known("waiting dearer than working", "idling at a higher price would pay for pointless work", 0, asked, but(want("replace:X"), func(r *plan.Request) { r.Rate, r.WaitRate = 1, 2 }))
	idle.Outcome = plan.BadInput
	return []KnownCase{
		impossible("maker value unknown", "only the maker can say how long to wait", live, want("replace:X")),
		impossible("caution without answer", "the only way hangs on an answer that nobody has given", asked, want("replace:X")),
		known("around the caution", "the way without it is dearer and open: 18 + 5", 23, around, want("replace:X")),
		known("caution answered", "with the answer the way is open: 2 + 5", 7, answered, want("replace:X")),
		known("other variant", "the short way exists on the other side only: 8 + 5", 13, variant, side("LHD")),
		known("this variant", "and here it is: 2 + 5", 7, variant, side("RHD")),
		impossible("no such work", "X has no way of being cleaned", asked, want("clean:X")),
		bad, idle,
	}
}
