// Package guide is the vocabulary: what is known of one family of engine
// variants, as plain data.
//
// A Guide says which items there are and where they sit, which ways lead to
// them, which conditions the machine can be in, which joints hold it together,
// how it is wired, which checks can be made, which faults occur, which fluids,
// tools and parts are needed, which cautions apply, and who says so.
//
// # Units
//
// Places and sizes are millimetres in the frame of the bay: x forward, y left,
// z up (axes as ISO 8855), origin at the crankshaft centreline at the engine's
// front face. Minutes are time.Duration. Physical values are quantity.Value
// and keep the unit they were written in. Prices are money.Amount in the
// guide's currency.
//
// # What the words promise
//
//   - An item stands on, aside or off. A Way with verb Off or Aside clears it;
//     any other verb is a task on it.
//   - Way.Needs are items that must stand aside or off (or strictly off) while
//     the way is gone, out and back: the refit of an item is the reverse of
//     its strip and has the same needs, conditions, place and tools.
//   - A Condition is a finite-valued state of the machine. A Change moves it
//     from one value to another; a Value can demand that items are fitted and
//     that other conditions hold for as long as it lasts.
//   - Nothing here is inherited silently except from a Kind, and Resolve makes
//     that explicit.
//
// The package reads no files (guide/file does), finds no faults with a guide
// (guide/vet does) and plans nothing (access does). All slices keep the order
// in which the guide was written.
package guide
