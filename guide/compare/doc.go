// Package compare says in the words of the trade what two revisions of a guide
// have different: a torque, a way, minutes, a limit, a caution.
//
// # What it answers
//
// [Revisions] takes the two guides as they are seen for one variant, so that
// kinds are written out and facts of other variants do not disturb. Every
// [Difference] names the thing, the fact, what it was and what it is, and the
// reason where the newer guide gives one with a superseded value. [Said] lists
// what the newer guide itself says of its revisions.
//
// # How facts are matched
//
// Items, checks, conditions and everything else with an id match by id. A way
// matches by its own id, else by verb, place and variant; a joint by its own
// id, else by what and thread; a change of a condition by its two values; of
// several that are alike the first matches the first. A thing that only one
// side has is one difference, not one for each of its facts.
//
// Differences come in the order of the guide, items first, older facts before
// added ones. Sources, pictures, notes on the guide, and guide tests are not
// compared: no step depends on them.
package compare
