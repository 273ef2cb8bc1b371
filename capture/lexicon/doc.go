// Package lexicon holds the words of the trade as people say them, in classes:
// what ends the name of a thing, what fastens, how a unit is spoken, what
// takes back what was just said.
//
// # The text
//
// A lexicon is a text that anybody can extend. A line is a class, for some
// classes a value, a colon, and phrases between commas:
//
//	# our own words
//	thing actuator: swirl flap motor, dump valve
//	unit N·m: newts
//	same: map sensor = manifold pressure sensor
//	drop: mil
//
// Phrases are compared in small letters, a hyphen counts as a space, and
// things, fasteners, small parts and tools are known in the plural too. A
// phrase may stand in several classes. "same" names one thing in several ways,
// the first being the one that is kept; "drop" takes phrases out of every
// class. [Default] is the lexicon that comes with the program; [Lexicon.With]
// lays another one over it.
//
// # Errors
//
// [Read] reports all errors at once with line and column: an unknown class, a
// class with a wrong or missing value, an empty phrase, a phrase twice in a
// class. Nothing is guessed.
package lexicon
