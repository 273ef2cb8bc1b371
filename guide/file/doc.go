// Package file reads a guide from a folder of text files and prints it back.
//
// # The folder
//
// A guide is a folder of *.yaml files, or a single one. Which file holds what
// does not matter: top-level keys may be spread and shared between files, and
// are put together in the order of the file names. The format is YAML 1.2
// with the schema of Schema, less everything that reads differently in two
// programs: no anchors, aliases, tags, merge keys, several documents, tabs,
// leading zeros, empty values, or truth values other than true and false.
// Words such as off, on, yes and no are plain words.
//
// # Short forms
//
// What a guide says a hundred times is one line of text: a way, a joint, a
// shape, a limit. The grammar stands at the types of package guide. The same
// can always be written as a mapping with the fields of the type, and ways,
// joints and limits also as a mapping that holds a line under "do", "joint"
// or "limit" and the rest beside it:
//
//	ways:
//	  - off from top; needs PN01; 10/14 min
//	  - do: replace from top; needs PN01 off; 4 min
//	    note: keep the lead at 45°
//
// A list of names, needs, states, uses or tasks may be one text with commas.
// An entry that has nothing but its name may be that text: {top: from above}.
//
// # Errors
//
// All errors of all files are reported at once, with file, line and column,
// the offending text, what was expected and the nearest known name. A syntax
// error costs the entry it stands in; the entries around it are still read.
// Names that no entry has are errors of reading too. When there is any error,
// no guide is returned.
//
// # Bounds
//
// Sizes and depths are bounded by the constants of this package, so that
// hostile input cannot take more than seconds. A guide of 50,000 items is
// read in a few seconds.
//
// The package judges nothing that can be read: guide/vet does.
package file
