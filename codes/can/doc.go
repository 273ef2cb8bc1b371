// Package can reads captures of a CAN bus that the open tool candump (Linux
// can-utils) writes, and takes the diagnostic messages out of them.
//
// # Lines
//
// Both forms are read, mixed if need be: the log, "(1436509052.249713) vcan0
// 7E8#064100BE3FA813", and the print, "vcan0  7E8   [7]  06 41 00 BE 3F A8 13",
// with or without a time in front. CAN FD ("##"), remote requests, error
// frames, swapped bytes and directions are understood. A line that is not
// understood is a finding with its place, never dropped without a word.
//
// # Messages
//
// An Assembler puts together what ISO 15765-2 splits: single frame, first frame
// and consecutive frames, with normal addressing, also on CAN FD. Flow control
// is not needed to listen; only a refusal in it is reported. A wrong sequence
// number, a pause longer than Options.Timeout and a message without its end
// are reported, and what was there of it is not used.
//
// Diagnostic identifiers are those of ISO 15765-4: 7DF, 7E0 to 7EF, and with
// 29 bits 18DA.... and 18DB33F1; Options.Also adds a maker's. Frames of all
// other identifiers are counted in Capture.Others.
//
// # Result
//
// Read works on a stream; its memory grows with the values found, not with
// the length of the capture. Capture holds, per control unit, codes with
// status, readiness, support and information, and per channel a Series of
// times and values that a recording can take over as it is.
package can
