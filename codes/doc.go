// Package codes knows trouble codes: how they are built, how people write
// them, what their status says, and which of them one cause may explain.
//
// # A code
//
// A Code is the two bytes that a control unit sends; String writes it as the
// trade does, "P0327" (SAE J2012, ISO 15031-6). The letter is the upper two
// bits, the first digit the next two, and the last three digits are
// hexadecimal: "P0A80" is a code. Full adds the failure type byte that
// ISO 14229 puts behind the two, "P0327-1C". A Range is a family as guides
// write it, "P0560-P0563", "P0100-P01FF"; its order is that of the bytes.
//
// Parse reads what people type. It never takes a letter O for the digit 0, nor
// guesses a letter that is not there: it says what it would have been and asks.
// Every error is a span.List with all that is wrong and where.
//
// # What a code means
//
// Control says who defines a code, Group in which public block of hundred it
// lies, FailureType.Words what the third byte says, Status.Set which bits of
// the status byte are set (ISO 14229-1). The text behind a single code is not
// kept here: for codes that the standard controls it belongs to the guide,
// for the rest to the maker. A code names what was noticed, often at the
// victim; grouping by a shared supply, ground or connector (Causes) therefore
// comes before any suspicion of the item that the code names.
//
// # Beside this package
//
// codes/live scales data (SAE J1979, ISO 15031-5), codes/answer reads the
// messages that carry codes and data, codes/can reads captures of a CAN bus,
// codes/dump reads what a reader of codes exports as text.
//
// Everything is a pure function of its arguments; no input makes it panic.
package codes
