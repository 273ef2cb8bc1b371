// Package cli is the command line: it turns words into an app.Ask, calls one
// use case and lays out what comes back, for a person or as JSON.
//
// It adds nothing to an answer. Text goes to standard output, what went wrong
// to standard error, and the exit status says how it ended; the table of exit
// statuses is in exit.go and in every -h. A file is written under another name
// first and renamed when it is complete, so that nothing half-written is left.
//
// Text is wrapped to the width of the terminal (COLUMNS, else 80) and printed
// in plain ASCII where the locale is not UTF-8. It has no colours. JSON keeps
// its field names; "elbowroom schema" describes it.
package cli
