package desk

import (
	"errors"

	"elbowroom/joblog"
	"elbowroom/store"
)

// Errors that a shell maps to a status. Errors of package app (ErrInput,
// ErrUnknown, ErrAudit) and the codes of package store come through as well.
var (
	ErrNotAllowed = errors.New("not allowed")        // who asks may not do this
	ErrSignIn     = errors.New("sign in first")      // nobody is known to ask
	ErrTooOften   = errors.New("tried too often")    // wait before trying again
	ErrRefused    = errors.New("cannot be accepted") // well formed, but not possible here; the text says why
)

// Who is who asks for something: found by a session, never said by the
// request itself.
type Who struct {
	Place store.PlaceID
	ID    joblog.Person
	Name  string
	Role  store.Role
	From  string // address or device in words, for the trail
}

// MayWrite reports whether the person may change jobs.
func (w Who) MayWrite() bool { return w.Role == store.Owner || w.Role == store.Technician }

// MayManage reports whether the person may change people and the workshop.
func (w Who) MayManage() bool { return w.Role == store.Owner }
