// Package vet examines a guide for errors, gaps and implausible values. It
// answers what a careful colleague would ask after reading it: can every item
// be reached, can every way be gone, can every torque be right, can every
// fault be found, does every word mean one thing, and who says so.
//
// Check returns one finding for each thing to look at, with its place in the
// text, how much it matters, the rule that found it and what to do. Rules
// lists every rule with the sentence that it stands for; the names are stable,
// so that a finding can be looked up and a count compared over time.
//
// # Severities
//
// A guide that was read without errors can always be planned with; vet never
// changes that. A warning says that something is likely wrong or cannot work
// as written, an advice names a gap or an improvement.
//
// # What it promises
//
// Same guide, same findings, in the order of the text. The work grows in step
// with the size of the guide and the number of its variants, of which the
// first 64 combinations are examined; with more, each value is examined at
// least once.
//
// It reads no files (guide/file does, and reports what cannot be understood),
// draws no shapes (overlaps are handed in) and knows no planner: what can be
// reached is worked out here once more, from the meaning of the words.
package vet
