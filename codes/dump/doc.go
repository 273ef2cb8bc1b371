// Package dump reads what a reader of public on-board diagnostics exports or
// shows as text: lists of codes, live data, freeze frames, readiness, and rows
// of hexadecimal bytes. It follows no particular program's layout; it looks
// for what public standards and the trade's words make recognisable.
//
// # What is found
//
// In free text: codes with their failure type, where they were stored
// ("pending codes" above them, or "stored" beside them), a status byte, the
// distance and how often; lines "name: value unit" as values, with the channel
// of package live when the name is known; readiness; the number of codes
// announced. In rows of bytes: messages as control units send them, with or
// without identifier ("7E8 06 41 00 BE 3F A8 13", "41 05 7B"), and lines of a
// capture, as package can reads them.
//
// # What is asked
//
// A letter O in place of a nought, "1,250" that may be 1.25 or 1250, a unit
// that does not fit the channel, a list of codes that two kinds of link write
// differently: each is a finding with its place that says what to do, and
// nothing is taken. A value that its channel cannot carry is kept and doubted.
//
// Every line that is not understood is in Dump.Unread, whole; text beside a
// code stays with the code. Nothing is dropped.
package dump
