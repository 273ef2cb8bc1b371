package engines

import (
	"elbowroom/guide"
	"elbowroom/plan"
)

// choiceCases are about which ways to take.
func choiceCases() []KnownCase {
	cover := part("A", off(1, 2))
	either := machine(part("A", off(1, 1)), part("C", off(3, 3)), part("X", replaced(10, "A"), replaced(4, "C")))
	shared := machine(
		part("P", off(3, 3)), part("Q", off(3, 3)), part("S", off(4, 4)),
		part("X", replaced(1, "P"), replaced(1, "S")), part("Y", replaced(1, "Q"), replaced(1, "S")))
	loop := machine(part("A", off(1, 1, "B")), part("B", off(1, 1, "A"), off(5, 5)), part("X", replaced(1, "A")))
	closed := machine(part("A", off(1, 1, "B")), part("B", off(1, 1, "A")), part("X", replaced(1, "A")))
	back := machine(part("A", off(1, 9), off(4, 4)), part("X", replaced(1, "A")))
	open := but(want("replace:X"), func(r *plan.Request) { r.LeaveOpen = []guide.ID{"all"} })
	return []KnownCase{
		known("cover and coil", "cover out 1, coil 8, cover back 2", 11, machine(cover, part("X", replaced(8, "A"))), want("replace:X")),
		known("either way", "the cheap cover leads to the dear work: 2 + 10 against 6 + 4", 10, either, want("replace:X")),
		known("shared way", "each task alone goes by its own cover (6); both go by the shared one: 8 + 1 + 1", 10, shared, want("replace:X", "replace:Y")),
		known("way out of a circle", "A and B need each other; B has a dear way out: 10 + 2 + 1", 13, loop, want("replace:X")),
		impossible("circle", "A needs B and B needs A", closed, want("replace:X")),
		known("way back", "the way that is quick out is slow back: 4 + 4 + 1", 9, back, want("replace:X")),
		known("left open", "the way back counts only when there is one: 1 + 1", 2, back, open),
		known("no minutes", "steps that cost nothing are steps all the same", 0, machine(part("A", off(0, 0)), part("X", replaced(0, "A"))), want("replace:X")),
		known("nothing to do", "a request without tasks on a machine that is closed", 0, machine(cover), plan.Request{}),
	}
}

// standingCases are about aside, off, assemblies and machines found open.
func standingCases() []KnownCase {
	both := machine(part("A", aside(1, 1), off(4, 4)), part("X", replaced(1, "A off"), replaced(2, "A")))
	detour := machine(part("A", aside(1, 1), off(4, 4, "B off")), part("B", off(3, 3, "A")), part("X", replaced(5, "A off")))
	deadlock := machine(part("A", off(4, 4, "B off")), part("B", off(3, 3, "A")), part("X", replaced(5, "A off")))
	return append([]KnownCase{
		known("aside will do", "the work with A aside is dearer and still the best: 2 + 2", 4, both, want("replace:X")),
		known("aside, then off", "A comes off only with B off, and B only with A aside: 1 + 3 + 4 + 5 and back", 21, detour, want("replace:X")),
		impossible("each blocks the other", "the same without the way aside", deadlock, want("replace:X")),
	}, append(assemblies(), foundOpen()...)...)
}

func assemblies() []KnownCase {
	carry := func(w *guide.Way) { w.Together = []guide.ID{"B"} }
	plain := machine(part("A", edit(off(3, 4), carry)), part("B", off(10, 10)), part("X", replaced(2, "B off")))
	held := machine(part("A", edit(off(3, 4), carry)), part("B", off(10, 10)), part("X", replaced(2, "B off")),
		part("Y", edit(replaced(1, "B off"), func(w *guide.Way) { w.Fitted = []guide.ID{"A"} })))
	apart := machine(part("A", edit(off(3, 3, "B"), carry)), part("B", aside(1, 1)), part("X", replaced(1, "A off")))
	never := machine(part("A", edit(off(3, 4), carry)), part("B"), part("X", replaced(2, "B off")))
	return []KnownCase{
		known("assembly", "B comes away and goes back with A", 9, plain, want("replace:X")),
		known("held by the assembly", "Y needs B off and A fitted, and B cannot part from A: its own way, 20 + 2 + 1", 23, held, want("replace:X", "replace:Y")),
		known("apart before", "B was aside before A came off, so it does not go back with A: 6 + 2 + 1", 9, apart, want("replace:X")),
		known("only as an assembly", "B has no way of its own and comes away with A all the same", 9, never, want("replace:X")),
	}
}

func foundOpen() []KnownCase {
	found := func(off bool, list ...string) plan.Request {
		return but(want(list...), func(r *plan.Request) { r.Found = []plan.Standing{{Item: "A", Off: off}} })
	}
	ways := machine(part("A", off(1, 7), off(2, 3)), part("X", replaced(3, "A")))
	asideOnly := machine(part("A", aside(1, 1)), part("X", replaced(3, "A")))
	either := machine(part("A", aside(1, 2), off(4, 5)), part("X", replaced(1, "A off")))
	check := func(ids ...guide.ID) guide.Guide {
		return machine(part("A", off(5, 5)), part("X", edit(checked(2), func(w *guide.Way) { w.Fitted = ids })))
	}
	before := func(r *plan.Request) { r.Tasks[0].Before = true }
	leave := func(r *plan.Request) { r.LeaveOpen = []guide.ID{"A"} }
	return []KnownCase{
		known("found off", "nothing to strip: 3, and the cheaper way back, 3", 6, ways, found(true, "replace:X")),
		known("found off, no task", "the visit puts it back", 3, ways, found(true)),
		known("found off and left", "nothing is to be done", 0, ways, but(found(true), leave)),
		impossible("no way back", "found off, and the only way goes aside", asideOnly, found(true)),
		known("no way back, left", "the same when it may stay off", 3, asideOnly, but(found(true, "replace:X"), leave)),
		known("found aside, wanted off", "back first, then off: 2 + 4 + 1 + 5", 12, either, found(false, "replace:X")),
		known("before, as found", "checked with A off as it was found, then A back: 2 + 5", 7, check(), but(found(true, "check:X"), before)),
		impossible("before, and closed", "the check wants A fitted before anything is touched", check("A"), but(found(true, "check:X"), before)),
		known("closed, not before", "A goes back and the check follows: 5 + 2", 7, check("A"), found(true, "check:X")),
	}
}
