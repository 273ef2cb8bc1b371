// Package plan holds a plan of one visit as data: what was asked, the ordered
// steps, what they cost, the bound that proves how good the plan is, and the
// alternatives. It computes nothing; access makes plans and plan/audit checks
// them, each from the definition below and neither from the other.
//
// # The machine
//
// A visit starts in a state and moves through steps. A state is:
//
//   - for every item of the variant how it stands. An item carries a stack of
//     the clearing ways by which it left its place: empty is on; the top way's
//     verb says whether it is aside or off. An item that was found aside or
//     off carries one entry with no way: "found". An item that came away with
//     another as one assembly ("together") is off, and is held by that other
//     item: it cannot be cleared or refitted on its own and returns with it;
//   - for every condition its value, or a change in progress towards a value
//     with a remaining wait;
//   - the place where the worker stands and the tool in hand, both none at
//     first;
//   - the tasks done.
//
// # The steps
//
// Clear item by way: the item is on, or it is aside and the way's verb is off
// and it was not found so. Every need of the way is met, every required
// condition holds, every "fitted" item is on. Afterwards the way is on top of
// the item's stack, and every item of "together" that stands on comes away
// with it (those already cleared stay as they are and do not come back with it).
//
// Refit item: undoes the top of the item's stack. The needs, conditions,
// fitted items, place, tools and people of the way on top must be met again,
// as they were for clearing. For an item that was found aside or off, any
// clearing way of the variant with the verb that matches how it was found may
// be taken for the way back. The items it holds return with it.
//
// Change condition from one value to another, by one of its changes, when the
// needs, conditions and fitted items of the change are met. A change with no
// wait takes effect at once. A change with a wait begins: its hands-on minutes
// pass first, then the condition has no value at all, and requirements on it
// (also "not" requirements) are unmet, until the step Await ends it, which
// costs the wait that is still left. The hands-on minutes and waits of steps
// after the beginning count against the remaining wait of every change in
// progress.
//
// Do task by way: needs, conditions and fitted items of the way are met; the
// task was not done before; every task ordered before it is done. A task
// marked Before is done while every item stands as found and is done before
// any Clear or Refit step. A task marked Proof is done when every item stands
// as the visit must end and every task that is not a proof is done, and no
// Clear or Refit step follows it. A check may name the check ways of its point or bring its own;
// the minutes of the check are added to those of the way, and the check's own
// conditions and "closed" rule hold too.
//
// After every step each condition value in force must have what it demands:
// its fitted items on, its "with" requirements met. A need "X" is met when X
// stands aside or off, "X off" when X stands off; a fitted item must stand on.
// "all" in a fitted list means every item of the variant that has a clearing
// way. Items without a clearing way always stand on. A need on an item that is
// not part of the variant is met; a way of an item that is not part of the
// variant does not exist.
//
// A way is open when its selector fits the variant, every tool is at hand or
// hired, and enough people are there.
//
// # The end
//
// Every task is done; every item that is not left open stands on, also those
// found off; every condition has its end value ("found" is the value at the
// start of the visit, also when that value was given by the request) unless
// left open; no change is in progress, except on a condition whose end is any.
//
// # What it costs
//
// Hands-on minutes of a step are those of its way or change, times the people
// where they count as labour. Set-up minutes are added when a step's place
// differs from the place the worker is at, or its first tool from the tool in
// hand (nothing for the first of each; a step that names no place or tool
// leaves it as it is). Waiting is what Await steps cost. Money is hands-on and
// set-up minutes at the rate, waiting at the waiting rate, uses and hire at
// their price (hire once per tool), and risk at its expected price and
// minutes. The objective is either all minutes (hands-on, set-up, waiting; no
// money, no risk) or all money.
//
// The objective is a whole number so that optimality is exact: milliseconds
// for minutes; for money, minor units times milliseconds per hour (a
// millisecond at 84.00 an hour is 8400, a cent is 3 600 000).
package plan
