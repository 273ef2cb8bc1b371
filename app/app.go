// Package app holds the use cases: one function per thing a user does, shared
// by the command line and the web.
//
// It owns what the engines must not know: the clock and the time budget of a
// search, which guides and which workshop are loaded, and the audit of every
// plan before anybody sees it. A plan that the audit refuses is never shown;
// the user gets ErrAudit with the report instead.
//
// Questions come in as Ask (plain text fields, the same for a command line and
// for an address in the browser) and answers go out as data that a shell only
// has to lay out. The package prints nothing and serves nothing.
package app

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"sync"
	"time"

	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/span"
	"elbowroom/workshop"
)

// Errors that a shell maps to an exit status or an HTTP status.
var (
	ErrInput   = errors.New("bad input")            // the question or the guide cannot be used
	ErrUnknown = errors.New("not known here")       // no such guide, machine, item
	ErrAudit   = errors.New("refused by the audit") // a plan that did not stand up to the independent check
)

// Source is one guide to load.
type Source struct {
	Name string // what users call it
	FS   fs.FS
	Dir  string
}

// Loaded is a guide in memory with where its text stands.
type Loaded struct {
	Name      string
	Guide     *guide.Guide
	Positions *file.Positions
	Findings  span.List // of reading; empty for a guide that can be used
}

// App is the program without a shell. It is safe for use by several
// goroutines.
type App struct {
	Clock func() time.Time
	// Registry finds a machine that the workshop's description does not name,
	// nil when there is none; itself nil where no register is kept.
	Registry func(id string) (*workshop.Machine, error)

	workshop *workshop.Workshop
	guides   []*Loaded

	mu       sync.Mutex
	resolved map[string]*bench

	prices pricings
}

// Open reads the guides. A guide with errors is kept with its findings and
// refused when it is used; only an unreadable place is an error here.
func Open(clock func() time.Time, shop *workshop.Workshop, sources ...Source) (*App, error) {
	a := &App{Clock: clock, workshop: shop, resolved: map[string]*bench{}}
	for _, s := range sources {
		l, err := Load(s)
		if err != nil {
			return nil, err
		}
		a.guides = append(a.guides, l)
	}
	return a, nil
}

// Load reads one guide. The error is about the place, never about the text:
// what is wrong with the text is in Findings.
func Load(s Source) (*Loaded, error) {
	if _, err := fs.Stat(s.FS, s.Dir); err != nil {
		return nil, fmt.Errorf("guide %s: %w: %w", s.Name, ErrUnknown, err)
	}
	g, pos, list := file.Read(s.FS, s.Dir)
	return &Loaded{Name: s.Name, Guide: g, Positions: pos, Findings: list}, nil
}

// Workshop returns the workshop, or nil when none was given.
func (a *App) Workshop() *workshop.Workshop { return a.workshop }

// Guides returns the loaded guides in the order given to Open.
func (a *App) Guides() []*Loaded { return a.guides }

// Guide returns a guide by the name it was loaded under or by its own id. The
// error wraps ErrUnknown and offers the nearest names, or wraps ErrInput when
// the guide has errors.
func (a *App) Guide(name string) (*Loaded, error) {
	var known []string
	for _, l := range a.guides {
		if l.Name == name || l.Guide != nil && string(l.Guide.ID) == name {
			if l.Guide == nil || l.Findings.Has(span.Error) {
				return l, fmt.Errorf("%w: guide %s:\n%w", ErrInput, name, l.Findings)
			}
			return l, nil
		}
		known = append(known, l.Name)
	}
	return nil, unknown("guide", name, known)
}

// Machine returns a machine of the workshop. The error wraps ErrUnknown and
// offers the nearest ids.
func (a *App) Machine(id string) (*workshop.Machine, error) {
	var known []string
	if a.workshop != nil {
		for i := range a.workshop.Machines {
			m := &a.workshop.Machines[i]
			if string(m.ID) == id {
				return m, nil
			}
			known = append(known, string(m.ID))
		}
	}
	if a.Registry != nil {
		if m, err := a.Registry(id); m != nil || err != nil {
			return m, err
		}
	}
	return nil, unknown("machine", id, known)
}

func unknown(what, name string, known []string) error {
	near := span.Nearest(name, known)
	if len(near) == 0 {
		near = known
	}
	if len(near) == 0 {
		return fmt.Errorf("%s %q is %w: there is none", what, name, ErrUnknown)
	}
	slices.Sort(near)
	return fmt.Errorf("%s %q is %w; known and near: %s", what, name, ErrUnknown, join(near))
}
