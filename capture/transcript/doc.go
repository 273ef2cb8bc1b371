// Package transcript reads what was said of an engine as text with times.
//
// [Read] tells the form by the text itself: WebVTT, SubRip, lines that begin
// with a time ("[0:33] Behind it …"), a spreadsheet of joints saved with
// commas, semicolons or tabs, or plain notes. The result is a list of cues in
// the order of the text. A cue has words, times where the form has them, the
// speaker where the form names one, and for every byte of its words the line
// and column it came from.
//
// # Speakers
//
// WebVTT names its speakers in voice tags. In the other forms a name and a
// colon at the begin of a cue is a speaker when the labels that come more than
// once open most of the cues; otherwise it is text ("Oil pressure: …").
//
// # Spreadsheets
//
// The first row names the columns. Columns that are understood (item, quantity,
// fastener, thread, drive, torque with its unit in the heading, notes) are put
// into one sentence of a row; any other cell follows with its heading. No cell
// is dropped.
//
// # What can be wrong
//
// A text that is empty, too large, binary or not UTF-8 is an error and gives no
// cues. Times that run backwards, overlap, or cannot be read are warnings with
// their place: the words are kept, in the order of the text. Package transcript
// does not judge words; package capture does.
package transcript
