package store

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"
)

// Code is what an error means to the caller.
type Code string

// The codes. Every error of a store that matches none of them is a fault of
// the machine or the network, and the call may be tried again.
const (
	NotFound Code = "not found" // nothing of that id at that place
	Exists   Code = "exists"    // something of that id is there already
	Conflict Code = "conflict"  // somebody was faster, or an id is known with other content
	Refused  Code = "refused"   // what was given cannot be kept; the text says why
	Full     Code = "full"      // no room is left; nothing was stored
	Busy     Code = "busy"      // others kept the store for too long; nothing was stored
	ReadOnly Code = "read-only" // the store cannot be written; nothing was stored
	Newer    Code = "newer"     // made by a newer program than this one
	Damaged  Code = "damaged"   // what is kept is not what was put there
)

// Error makes a code an error, so that errors.Is(err, store.NotFound) works.
func (c Code) Error() string { return string(c) }

// Error is an error of a store.
type Error struct {
	Code  Code
	Says  string // a sentence for people
	Cause error  // may be nil
}

// Errorf returns an error with a code.
func Errorf(c Code, format string, args ...any) error {
	return &Error{Code: c, Says: fmt.Sprintf(format, args...)}
}

// Error returns the sentence and its cause.
func (e *Error) Error() string {
	if e.Cause == nil {
		return e.Says
	}
	return e.Says + ": " + e.Cause.Error()
}

// Is reports whether the target is the code of the error.
func (e *Error) Is(target error) bool {
	c, ok := target.(Code)
	return ok && c == e.Code
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Cause }

// CodeOf returns the code of an error, "" when it has none.
func CodeOf(err error) Code {
	var e *Error
	if errors.As(err, &e) {
		return e.Code
	}
	return ""
}

// OfSystem gives an error of the file system its code and says what it is
// about: Full when no room is left, ReadOnly when nothing may be written there.
// Other errors, and those with a code, come back as they are.
func OfSystem(what string, err error) error {
	switch {
	case err == nil || CodeOf(err) != "":
		return err
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		return &Error{Code: Full, Says: "no room is left for " + what + "; nothing was stored: make room and try again", Cause: err}
	case errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrPermission):
		return &Error{Code: ReadOnly, Says: "the place for " + what + " cannot be written: look at the rights and whether the disk is mounted read-only", Cause: err}
	}
	return err
}
