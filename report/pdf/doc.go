// Package pdf writes PDF files: pages of text in letters that are embedded,
// lines, areas and patterns, all of it vectors.
//
// It answers how wide a text is and turns what is drawn on pages into the bytes
// of a file (ISO 32000-1, version 1.7). It lays nothing out: whoever draws says
// where everything stands.
//
// # Units
//
// Lengths are points (1/72 inch). The origin of a page is its upper left
// corner, x to the right, y down; text stands on its base line.
//
// # The letters
//
// The Go fonts of Bigelow & Holmes, made to the legibility demands of DIN 1450:
// 0 and O, 1, I and l cannot be taken for one another, which is what a torque
// read at arm's length needs, and all figures are equally wide. The files stand
// unchanged in the folder letters with their licence (BSD, three clauses), taken
// from golang.org/x/image v0.48.0. They hold the Latin, Greek and Cyrillic of
// the WGL4 set with N·m, °C, Ω, ≥ and ±. Only the glyphs that a file uses are
// put into it.
//
// A character that the letters lack is printed as an empty box or by a near one
// (see Shown); what is copied out of the file or searched in it is always the
// character itself. Text runs from left to right, one glyph for each character:
// scripts that join or reorder their letters are printed apart.
//
// # What it promises
//
//   - The same calls give the same bytes: no clock, no chance, no map order.
//     The time in the file is the one handed in.
//   - Any string can be drawn; none makes it fail or panic. Lengths that are no
//     finite numbers count as 0.
//
// Why this is not one of the general libraries: the one considered is sixteen
// thousand lines with its own layout, indexes tables of widths by the number of
// the character, and a few hundred lines are all that papers need.
package pdf
