// Package record reads what a logger wrote while the engine ran, and finds in
// it the stretches that a limit can be judged on.
//
// # What goes in
//
// Any logger's text table as a stream: comma, semicolon, tab or bar between
// the cells; decimal point or comma; quotes; UTF-8, UTF-16 or Latin-1; lines
// of talk before the header; a row of units or units in the names; time in
// seconds or milliseconds, as a clock or as a date; channels that are written
// less often than others. Look says how the head of a file is written, Read
// streams the whole. Memory does not grow with the file.
//
// # What is said
//
// A recording is never repaired in silence. Every line of the file is counted
// in exactly one of the kinds of Counts, every cell of a row of values
// likewise, and what was not used is a finding with line and column. What was
// guessed (the meaning of a channel by its name) is marked as a guess in every
// answer that rests on it, until a person settles it; a Mapping keeps what was
// settled as text, to be used for the next file of the same source.
//
// # Decimal separators
//
// The separator that most cells of the head have is the file's. A cell with
// the other one is still a decimal, and such cells are counted, unless it
// could be a grouped thousand ("1.234" in a file of decimal commas): then it
// is not used. Cells with two separators are never used. Where commas stand
// between the cells there are no decimal commas except inside quotes.
//
// # Stretches
//
// A stretch is a time in which every numeric condition of a limit held and
// every channel concerned was steady, for at least the asked time, after a
// time of settling. Steadiness is the ratio of two filtered variances by Cao
// and Rhinehart (see Steadiness), on values taken far enough apart that noise
// does not carry over. A stretch ends at a gap or a jump of the clock. Its
// mean carries an uncertainty that counts the values as fewer when they hang
// together (batch means), and never less than the resolution allows.
// Conditions in words are handed back for a person to confirm.
//
// Judge hands stretches over to package reading, one verdict each.
//
// # What is judged
//
// A channel by its mean, least, most or first value; two channels as one (their
// difference, sum or quotient, in the unit of the first); several as the parts
// of one reading (right and left); how fast or by how much a channel changes; a
// Run, the time until a channel reaches a level, from the start of the engine or
// from another level, and what is not reached is said to take longer than the
// recording shows; or the Pattern of a signal: its levels, pulses, duty,
// frequency, gaps, turns, and the pulses that stand where none belongs.
// Question.Want reads all of these from words; Ask guesses them from the name of
// a check.
//
// # Before and after
//
// Two recordings are compared only where their conditions fall into the same
// bins (Matching); Compare says the difference with its uncertainty, how much of
// each was matched, and whether the change is the same everywhere. Bins should
// be narrow: what varies within one counts as scatter.
//
// # Drawing
//
// Plot is the drawing as data, Plot.Text the same in words, Plot.SVG an inline
// picture for a phone or a desk.
//
// # What it does not do
//
// It opens no file and draws no conclusion from a lone sample. A quoted cell
// ends with its line. Nothing is resampled: values are used when they were
// written, and a slow channel counts as known until its value is too old.
package record
