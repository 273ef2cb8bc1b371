// Package draft lays what a narration gave beside a guide, and carries out
// what a person decides.
//
// [Lay] makes a [Sheet]: every fact of a capture.Report becomes a [Proposal]
// that is new to the guide, agrees with it, contradicts it (with both sources
// and times), or cannot be placed until somebody says which item is meant.
// [Merge] takes a list of [Decision] values (accept, change, reject, undo) and
// returns the guide with the accepted facts. Decisions are data: the same base
// and the same list give the same guide, so a list can be kept, sent and
// replayed, and undoing is adding one more decision. [All] accepts everything,
// which is how a narration of an engine without a guide becomes a first draft.
//
// # Where facts go
//
// Fasteners, threads, drives, torques, the state of threads and the order of
// tightening become joints; a fastener whose number nobody said becomes no
// joint but a note. Fluids, single-use parts and special tools become entries
// of their own. What the format cannot hold without something that was not
// said (a way without minutes, a check without minutes) becomes a note on the
// item, in words: nothing is made up to fill a field. A limit is compared with
// the checks of the guide all the same.
//
// # Provenance
//
// Every entry names a source with who said it, the name of the narration as
// document and the time as page; hearsay names whom the narrator quoted. A
// value that a decision replaces stays as superseded value with its own
// source.
//
// The result can be printed by guide/file and read back. The package reads no
// files and knows no clock: the date of the narration is passed in.
package draft
