// Package joblog keeps a job as a list of events that is only ever added to,
// and works out from it how the machine stands: what is off and where it lies,
// what was done and by whom, what must not be done now, what is still lacking.
//
// # What it answers
//
// [Fold] turns a [Log] into a [State]. [State.May] says whether something can
// be done now, [State.Handover] what the next person must know,
// [State.Unclosable] everything that keeps the job from being closed.
// [Accept] is the gate for events that come in from outside. [Encode] and
// [Decode] are the one form in which events travel and are kept.
//
// The package is pure: it has no clock and no source of chance. Ids and times
// come from the caller; [NextID] makes an id from a time and random octets.
// Times are milliseconds, UTC; durations are time.Duration; torques stay as
// they were typed.
//
// # The order of events
//
// A log is a set: adding an event twice changes nothing, the order of arrival
// changes nothing, the union of two logs does not depend on which is added to
// which. Fold puts the set into one order that only the events themselves
// decide:
//
//   - an event stands after every event of its device with a smaller number,
//     and after every event that it says it had seen ([Event.Seen]); this is
//     what is meant by "had seen" below, through any number of steps;
//   - for the rest, by hybrid time: the time of its id, or that of something it
//     had seen when that is later, then a count within the same time, then the
//     id itself (the hybrid logical clock of Kulkarni and others, 2014, worked
//     out by the reader instead of the writer).
//
// A clock that jumps can therefore put the events of a phone before or after
// those of another phone that it had not met, and nothing else: no event ever
// comes before its cause. The time of receipt has no part in it. Numbers that
// are missing in between are gaps ([State.Gaps]); a job with a gap cannot be
// closed, because what has not arrived may be a bolt.
//
// # When people do not agree
//
// An opinion on a step or a fastener holds until somebody who had seen it says
// otherwise. Two who say the same without knowing of each other are both shown
// (Twice). Two who differ are a dispute (Disputed), shown until somebody who
// had seen both says which holds. Until then what is disputed counts as open:
// a step that takes apart or leads away from the closed machine counts as done,
// every other step, every fastener and every proof as not done. A dispute keeps
// the job from being closed.
//
// Notes, readings, signs, pictures and prices never contradict: all are kept.
// Of where an item lies, the last in the order counts.
//
// # The machine
//
// The steps that count are replayed by plan/audit on the revision of the guide
// that the plan pins. A step out of the order of the plan that the machine
// allows is no deviation ([StepState.Early] marks it). A step that the machine
// does not allow at that moment does not count, and the state says why; what it
// speaks of is then unsure, and the job cannot be closed, until the step is
// undone, the log is put right, or somebody signs a [Deviation] that names the
// step. Then it counts, and the replay goes on from how the machine stands. (A
// replay that went on so no longer knows which tasks were wanted before
// anything was touched, and an item found off goes back by any way of its
// kind.)
//
// An item that comes off or aside opens its joints, one that comes off also its
// connector; a replacement opens those of the item it replaces. Every fastener
// must be ticked after that, also the clips, one by one or a joint at a time.
// Single-use parts that a way or a replacement uses, and single-use fasteners,
// must be recorded as new, once for each time that something was opened.
//
// # What must not be done
//
// Prohibitions are what the values in force forbid in the guide's words, and
// every value of a condition that plan/audit refuses to bring about, in the
// present state and in every state that turning the key or the starter leads to
// (changes without minutes), because of an item that is not on or of a
// condition that is not as the guide's start has it; also where an item that
// must be fitted is on and its fasteners are not all ticked, of which the guide's
// own rules know nothing. What is refused for want of access, or by a change
// without a caution that only needs another condition first, is no prohibition.
//
// # Time worked
//
// What passes between two events of one person on one device counts for the
// step that the person ticks next, except pauses. A silence longer than
// [MaxSilence] and a clock that goes back are not counted and make the time
// unclear. Somebody who works with two devices at once is counted twice.
//
// # Closing
//
// A closing counts when nothing is lacking or every lack is covered by a
// deviation that names its key, has a reason, is signed by its author and comes
// after the lack. Whatever arrives later can show that it did not count.
//
// # The form of events, and newer programs
//
// An event is a JSON object of at most [MaxEvent] bytes with the fields schema,
// id, job, author, device, seq, at, seen, kind and body. Keys are lower-case
// letters, digits and underscores, none is said twice, none is unknown, names
// of devices under seen apart. These fields and rules hold in every schema;
// a new kind, or a new field anywhere, raises the schema.
//
// An event of a newer schema is foreign: whoever only carries it (a log, a
// store, a server) keeps it as it came, byte for byte but for blanks between
// the parts; whoever must understand it (Fold) refuses it with the reason, and
// the job cannot be closed there. An event of this or an older schema that is
// not exactly as described is no event.
//
// An id is a UUID of version 7 (RFC 9562). It is never older than the time of
// its event, and the ids of one device rise with its numbers.
package joblog
