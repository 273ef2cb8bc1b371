// Package suspect answers which fault it is, how sure that is, and what to do
// next.
//
// A Case is what is known of one machine: the guide seen for its variant, its
// age, the complaint, codes, what was touched, verdicts of readings, repairs
// and proofs. Believe turns a case into shares of the suspects, with what
// spoke for and against each. Problem makes the decision problem of package
// suspect/decide out of a case and of the prices of moves, and Next puts the
// answer into words: the next step, its reason, the runner-up, what each
// result would lead to, and when to stop.
//
// # The model
//
// A world is the set of faults that were present when the machine came. The
// prior of a world with one fault is the fault's weight in the guide, seen at
// the machine's age (Weibull hazard over its mean over one life) and raised
// where something was touched just before it began. A world of two or three
// faults has the product of their rates, and is looked at only when the best
// world of one fault explains the evidence worse by a stated factor. One more
// suspect is always there: something that the guide does not list.
//
// Signs, codes and verdicts are causes joined by a noisy OR with a leak: every
// fault that is present brings the sign with its own probability, and the leak
// brings it without any. A check that looks at several parts is judged part by
// part. A verdict near its limit is a soft sign, weighted by the probability
// that the value conforms. A code is explained by the faults that list it and,
// less surely, by what the part that it names is supplied, grounded or
// connected through. The same check made again between two repairs replaces
// its earlier verdict: its noise is persistent.
//
// A repair is an intervention: it takes its faults out of every world from
// then on, and what was read before it keeps speaking of the world before it.
//
// # What is assumed
//
// Every probability that the guide does not state is a Range with a low, a
// middle and a high value, and the answer says how far each share moves when
// each such range is taken at its ends. See Assumptions.
//
// # Units and guarantees
//
// Shares and probabilities are numbers from 0 to 1; prices are money.Amount,
// costs of moves the whole numbers of the Ground. Everything is a pure
// function of its arguments, and equal arguments give equal answers in equal
// order. Bad input is a span.List that names the field.
//
// The package plans no way in (the Ground prices moves), judges no reading
// (package reading does) and decides nothing by itself (suspect/decide does).
package suspect
