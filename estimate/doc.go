// Package estimate says how long work takes, what it costs and whether a part
// that is in reach is better replaced now or later.
//
// # What it answers
//
// [Learn] turns recorded times into a [Norm]; [Norm.Expect] gives the minutes
// of an operation with their spread: own measured times first, else those of
// the guide, else a time built up from fasteners and connectors ([Built]).
// [Visit.Run] adds operations up to hands-on time, waiting and elapsed time, each with
// its half, four-fifths and nineteen-twentieths points, and to a price.
// [Terms.Bill] makes the lines of a quote. [Life] is how long a part lasts,
// entered by a person ([Entered]), fitted from history ([FitLife]) or both
// ([Temper]); [Decide] chooses what to replace while it is in reach.
// [BestAge] and its relatives answer when to replace at all.
//
// # How times are taken
//
// The minutes of a guide are averages. Around them a time is log-normal; a
// machine that is slow is slow in everything, and so is a person, so part of
// the spread is common to all operations of a visit. The rest is each
// operation's own. Logarithms of recorded times are taken for normal with the
// guide as prior, so that learning is one exact conjugate step: with few
// records the guide prevails, with many the records do.
//
// Sums of log-normal times have no closed form. They are worked out on a
// lattice of fixed points ([Points] of them), the same for every visit: no
// chance is involved, and two visits that differ in one step differ only by
// that step.
//
// # Units and money
//
// Times are time.Duration. Ages and lives are plain numbers in whatever unit
// the caller keeps to (kilometres, hours, months). Money is a [Sum]: whole
// minor units of one [Currency], as many decimals as ISO 4217 gives it. There
// is one rounding rule, half away from zero, applied once for each line; totals
// are sums of lines as printed, and lines that share one amount are cut so that
// they add up to it.
//
// # What it does not do
//
// The package knows no clock, no planner, no calendar and no shop. What is exposed, what a
// later way in costs and which operations a visit has come from the caller. It
// gives no verdict without the figures behind it.
package estimate
