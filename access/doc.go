// Package access plans the way in: which items to clear by which ways, which
// conditions to bring about, in which order to strip, work and refit, so that
// all wanted tasks are done in one visit at the least cost, and proves how
// good the plan is.
//
// # What it answers
//
// [Planner.Plan] answers a request with a plan and its proof. [Planner.Reach]
// prices every other task on the engine when added to the visit.
// [Planner.Moves] prices single tasks from any state that the machine is
// brought to, for decisions made one step at a time.
// [Planner.RunnersUp] gives the best plans that differ in a way a person would
// call different, [Planner.WhyNot] what a way that was not taken would cost,
// and [Planner.Holds] within which limits of its minutes a plan stays best.
// [Planner.Avoided] names makers' values that are missing and close ways,
// [Planner.Remarks] what looks like a slip in a request. [Planner.WriteMPS] and
// [Planner.WriteLP] write the choice of ways in open formats, and
// [Planner.WriteFullLP] the whole problem of a small request.
//
// # Guarantees
//
// What a machine is, what steps do and what they cost is defined in package
// plan; this package adds nothing to it. Costs are whole numbers, so that
// "optimal" is exact. A plan that is not proved optimal says so and carries a
// bound that no plan can beat. The same request gives the same answer: there
// is no clock, no randomness, no file and no map order. Conditions that make
// work safe are preconditions; a way or change that hangs on a maker's value
// nobody has written down is not used, and when nothing else is left the
// request is impossible and the missing value is named.
//
// # How
//
// A request is compiled into whole numbers (model). Leaving out that anything
// is ever lost again gives a problem of choice (relaxation) that
// elbowroom/access/andor solves exactly; its cost is a bound, because a
// clearing way carries the price of its refit and a change of a condition the
// price of the way back. From the chosen set a plan is built straight away, each
// task with what it needs and at the end everything back (builder), or it is put
// in order by searching (search). Where order costs nothing, the plan costs as
// much as the bound and is proved best.
// Otherwise the bound is raised by what places and tools cost at least and by
// waits that no work can fill (filling), every way is dropped that no better
// plan can use, and a search over the real states closes the gap or reports
// it. Two things keep that search small: steps that can be taken at once
// without giving anything up are taken at once (eager), and what nothing can
// want any more is left alone (wants). At last the steps are put into the
// order of the trade (arrange).
//
// Durations are time.Duration and whole milliseconds; the objective is that of
// plan.Cost.
package access
