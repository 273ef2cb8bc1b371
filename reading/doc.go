// Package reading answers whether a measured value is good: it holds what was
// read and under which conditions, what the instrument can do, and which limit
// a guide sets, and returns a verdict with its reasons.
//
// # Verdicts
//
// A verdict is conforming, non-conforming, too close to call, or not
// comparable (the conditions of the limit are not met, not known, or the limit
// is one of another measuring point or variant). Beside it stand the rule that
// decided, the margin, the probability of conformance, the uncertainty budget,
// what is missing, by how much a condition is missed, and what would be learned
// from the reading anyway.
//
// # How it is decided
//
// The value is corrected for what is known (leads, supply, cable, pressure of
// the air) and gets an uncertainty (JCGM 100, the "GUM"). The probability that
// the true value lies inside the limit follows from both (JCGM 106). At or
// above the demanded confidence, 0.95 when nothing else is said, the reading
// conforms; when the probability of lying beyond one bound is as high it does
// not; else it is too close to call (the rule of ISO 14253-1).
//
// Every clause under which a limit holds must be known to hold, numbers and
// words alike; Options.Assume lets words count as met that nobody spoke of.
// States of the machine that a check asks for count as brought about unless
// the reading says otherwise. A value outside the ranges of its instrument, at
// another measuring point, of another variant, or that looks like a wrong unit
// is not comparable.
//
// # Units
//
// Values are quantity.Value and keep the unit that a person used. Inside,
// everything is SI; a difference of temperatures is in kelvin.
//
// # What it promises
//
// Everything is a pure function of its arguments: no clock (the day is passed
// in), no files. Nothing that was typed is silently dropped: what served for
// nothing is listed. Input never panics. Errors of Parse and Read are a
// span.List; an outcome is never an error.
//
// The package does not know recordings (reading/record), circuits, faults or
// prices.
package reading
