// Package store says, in words and types, what is kept for a workshop and how
// it is kept. It holds no code that keeps anything: store/sqlite and
// store/postgres do, and store/storetest is the one suite that both pass.
//
// # Words
//
// A place is one workshop of a chain. Everything belongs to exactly one place
// and is asked for with the place; what belongs to another place is not found,
// whatever is known of its id. Three things are found without a place, by a
// secret that cannot be guessed or that somebody else vouches for, and say
// which place they belong to: a session and a link by the hash of their token,
// a person by a passkey or an outside identity.
//
// A record is something that is replaced as a whole (a place, person, customer,
// machine, job, setting). It carries a Version: 0 makes a new one (Exists if
// there is one already), any other value must be the version that was read
// (Conflict if somebody else was faster). Put returns the new version.
//
// A text is a guide or the description of a workshop. Its revisions are named
// by the SHA-256 of what they say and are kept for ever; the newest one holds.
//
// The job log is the list of events of package joblog, as they were written,
// byte for byte, also those of newer programs. It is only ever added to. So is
// the audit trail, and an issued paper never changes.
//
// # Events
//
// Append stores all events of one call or none, and returns only after they
// would survive a power cut. An event that is there already is not stored
// again: its receipt says so. The same id with other content is a Conflict.
// When Append fails with an error that is none of this package (a broken
// connection, a context that ended) the events may or may not be stored; to
// send them again is always right.
//
// Every stored event has a Cursor. Within a place cursors rise in the order in
// which events become visible: whoever reads with After from the last cursor
// that was returned misses nothing, also with several servers writing at once.
//
// # Promises
//
//   - Times are milliseconds, UTC, and come from the caller; the store has no
//     clock. Text is valid UTF-8 without NUL, at most MaxText bytes, and comes
//     back byte for byte. Lists are in the order of bytes, whatever the
//     language of the machine.
//   - Every method may be called by many at once. A context that ends stops the
//     call; nothing is half done.
//   - Errors that mean something to the caller match one Code with errors.Is.
//   - Names of places, people and jobs have the form of package joblog: a
//     letter, then letters, digits and any of _ - . @, 64 characters at most.
//     All other ids are made of the same characters, first a letter or digit.
//
// # What it does not do
//
// It does not judge: whether an event may enter a log (joblog.Accept), who may
// do what, whether a guide can be read, is for the caller to ask first. It
// hashes no passwords and makes no tokens.
package store
