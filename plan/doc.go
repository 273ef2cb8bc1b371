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
//     item: it cannot be cleared or refitted on its own and returns with it,
//     in the step that undoes the very way by which it came away;
//   - for every condition its value, or a change in progress towards a value
//     with a remaining wait;
//   - the place where the worker stands and the tool in hand, both none at
//     first;
//   - the tasks done.
//
// # The steps
//
// Every step that is based on a way or a change asks for the same things: the
// way is open, every need is met, every required condition holds, every
// "fitted" item is on, all judged in the state before the step.
//
// Clear item by way: the item is on, or it is aside and the way's verb is off
// and it was not found so (an item found aside goes back first). Every need of
// the way is met, every required condition holds, every "fitted" item is on.
// Afterwards the way is on top of the item's stack, and every item of
// "together" that stands on comes away with it (those already cleared stay as
// they are and do not come back with it). The names in "together" of the item
// itself and of items that are not part of the variant mean nothing.
//
// Refit item: undoes the top of the item's stack. The needs, conditions, fitted
// items, place, tools and people of the way on top must be met again, as they
// were for clearing. For an item that was found aside or off, any clearing way
// of the variant with the verb that matches how it was found may be taken for
// the way back. The items it holds return with it.
//
// Change condition from one value to another, by one of its changes, when the
// needs, conditions and fitted items of the change are met. A change with no
// wait takes effect at once. A change with a wait begins: its hands-on minutes
// pass first, then the condition has no value at all, and requirements on it
// (also "not" requirements) are unmet, until the step Await ends it, which
// costs the wait that is still left, and nothing when none is left. The
// hands-on minutes and waits of steps after the beginning count against the
// remaining wait of every change in progress; minutes pass once however many
// people work through them, and set-up minutes do not count. A condition with a
// change in progress cannot be changed; what the value that it leaves demanded
// is demanded no longer. A change whose wait only the maker knows is never
// open.
//
// Do task by way: needs, conditions and fitted items of the way are met; the
// task was not done before; every task ordered before it is done. How the item
// itself stands matters only where the way says so. A task marked Before is
// done while every item stands as found and is done before any Clear or Refit
// step. A task marked Proof is done when every item stands as the visit must
// end and every task that is not a proof is done, and no Clear or Refit step
// follows it. "As the visit must end" is: every item that is not left open is
// on.
//
// A task with the verb check on the name of a check is that check; every other
// task is one on an item, with the ways of its verb. A check that brings ways
// with the verb check of its own uses those and no others; otherwise it uses
// the check ways of its point; with neither it has one way without place, needs
// or minutes, written -1. The minutes of the check are added to those of the
// way, its instruments follow the tools of the way, and its own conditions,
// cautions and "closed" rule (every item on) hold too.
//
// After every step each condition value in force must have what it demands: its
// fitted items on, its "with" requirements met. A need "X" is met when X stands
// aside or off, "X off" when X stands off; a fitted item must stand on. "all"
// in a fitted list means every item of the variant. An item without a clearing
// way leaves its place only with another ("together"); where it was found aside
// or off, nothing brings it back. A need on an item that is not part of the
// variant is met, and so is a demand that it be fitted; a way of an item that
// is not part of the variant does not exist. A requirement on a condition that
// the guide does not have is never met. The state at the start is not judged:
// what a value demands there must hold after the first step.
//
// A way or change is open when its selector fits the variant, every tool is at
// hand or can be hired, enough people are there (0 means 1, both in the way and
// in the request), and none of its cautions asks for a value that has no
// answer. The conditions that make a caution safe are required like the way's
// own. The cautions of a way are those it names and those of its item; of a
// change, those it names; the cautions of a value close every change to it
// while unanswered, and what makes them safe is demanded as long as the value
// lasts.
//
// # The end
//
// Every task is done; every item that is not left open stands on, also those
// found aside or off; every condition has its end value ("found", and an end
// that is not said, is the value at the start of the visit, also when that
// value was given by the request); no change is in progress, except on a
// condition whose end is any. A condition that is left open has the end any.
//
// # What it costs
//
// Hands-on minutes of a step are those of its way or change times its people:
// Out for clearing and for a task, Back for a refit. Times of the guide are
// rounded to whole milliseconds one by one. Set-up minutes are added when a
// step's place differs from the place the worker is at, or its first tool from
// the tool in hand (nothing for the first of each; a step that names no place
// or tool leaves it as it is). Waiting is what Await steps cost. Money is
// hands-on and set-up minutes at the rate, waiting at the waiting rate, uses
// and hire at their price (hire once per tool), and risk at its expected price
// and minutes. What a clearing way uses is charged with the refit (seals are
// new when they go back), what it risks with the clearing (things break coming
// apart), so that an item found off costs its seals and no risk; a task and a
// change are charged for both at once. A use is its count times the price of
// the part, or its litres times the price of a litre of the fluid, rounded half
// away from zero to a whole minor unit; any other use has no price. A risk is
// Times/Of of its price and its minutes at the rate, rounded to the nearest
// unit of the objective; Of 0 is no risk. The spare that a replacement takes
// (Item.Parts) is no cost of the way in. The objective is either all minutes
// (hands-on, set-up, waiting; no money, no risk) or all money.
//
// The objective is a whole number so that optimality is exact: milliseconds for
// minutes; for money, minor units times milliseconds per hour (a millisecond at
// 84.00 an hour is 8400, a cent is 3 600 000). The money components of a Cost
// are rounded each by itself, labour and idle by money.PerHour.For of their
// sums, and are reported under both objectives.
//
// # How a step is written
//
// Item is the owner of Way: the item, or the check that has ways of its own (or
// none at all); Verb is the verb of the way. Place and Tool are where the
// worker stands and what is in hand after the step. Wait is set on Await steps
// only, with From, To and Change of the change that it ends. The phase of a
// change is Refit when it leads to the end value of its condition and Strip
// otherwise, also when the end is any; an Await step has the phase of its
// change.
//
// # Requests that cannot be used
//
// Bad input is: a name that the guide (for items: the variant) does not have; a
// task with the verb off or aside; an index in After out of range; an item or
// condition named twice in Found or Given; an unknown objective; negative
// people or rates; a waiting rate above the rate (it would reward pointless
// work); a guide with negative minutes, prices, counts or odds, with an item,
// condition or value named twice, or with a start or end of a condition that is
// none of its values. A request without tasks is good: it puts the machine back
// as it must end. A task without an open way, tasks ordered in a circle and the
// like are good input and impossible.
//
// # The certificate
//
// An act is a way of an item or check used for clearing or for a task, a change
// of a condition, the hire of a tool, or (Back) the refit of an item that was
// found aside or off, by that way. Tasks that may be done by the same way of
// the same owner share its act, and weights on it must fit for each of them. A
// set of acts is a landmark when without them not every goal (tasks, items on,
// end values) can be reached even if nothing were ever lost again: once on,
// aside, off, or a value, for ever. (Tasks marked Before are reached with the
// items as found; a Proof when every item is on that must end so and the other
// tasks are done.)
//
// The cost of an act is its hands-on time, uses and risk, without set-up and
// without waiting, which other work may fill. A clearing way of an item that
// must end on is paid out and back. Changes of one condition are a walk from
// its start to its end: weights fit when no walk, with each change reduced by
// the weights charged to it, costs less than what Base claims for the
// condition. Base may hold the cheapest way of each task, the cheapest way back
// of each item found aside or off that must end on, and the cheapest walk of
// each condition, each after the weights charged to its acts. A bound above the
// sum of the landmarks is one that Cases further cases have proved.
package plan
