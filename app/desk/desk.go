package desk

import (
	"context"
	"fmt"
	"io"
	"sync"
	"testing/fstest"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/joblog"
	"elbowroom/store"
	"elbowroom/workshop"
)

// Keep is what the desk needs of a store.
type Keep interface {
	store.Places
	store.Texts
	store.People
	store.Sessions
	store.Customers
	store.Machines
	store.Jobs
	store.Log
	store.Pictures
	store.Papers
	store.Trail
	store.Settings
}

// Options are the choices of whoever opens the desk.
type Options struct {
	Clock  func() time.Time
	Random io.Reader // ids, tokens: crypto/rand.Reader but for tests
	// Device names this server among the devices that write events. Servers
	// that share a store must have different names, and keep them.
	Device joblog.Device
	Sample []*guide.Guide // guides that a new workshop may begin with
	// QuickPasswords makes new passwords cheap to try. It is for tests alone.
	QuickPasswords bool
}

// Desk is the use cases over one store. It is safe for use by many at once.
type Desk struct {
	keep Keep
	opts Options

	mu     sync.Mutex
	apps   map[store.PlaceID]*placeApp
	guides map[string]*guide.Guide // by place and hash
	held   map[string]*held        // by place and job: its events
	jobs   map[string]*sync.Mutex  // by place and job: one writer of this server at a time
	times  measured
	joints tightenedJobs
}

// New returns a desk over a store.
func New(keep Keep, opts Options) *Desk {
	return &Desk{keep: keep, opts: opts, apps: map[store.PlaceID]*placeApp{}, guides: map[string]*guide.Guide{}, held: map[string]*held{}, jobs: map[string]*sync.Mutex{}}
}

func (d *Desk) now() joblog.Moment { return joblog.MomentOf(d.opts.Clock()) }

// placeApp is the program as one place has it: its workshop and its guides.
type placeApp struct {
	app    *app.App
	texts  string // hashes of the texts it was made from
	guides map[string]store.Hash
	looked time.Time
}

// App returns the program with the workshop and the guides of a place. It is
// made anew when one of the texts has changed.
func (d *Desk) App(ctx context.Context, place store.PlaceID) (*app.App, error) {
	d.mu.Lock()
	known := d.apps[place]
	d.mu.Unlock()
	if known != nil && d.opts.Clock().Sub(known.looked).Abs() < lookAgain {
		return known.app, nil
	}
	shops, err := d.keep.CurrentTexts(ctx, place, store.Workshop)
	if err != nil {
		return nil, err
	}
	guides, err := d.keep.CurrentTexts(ctx, place, store.Guide)
	if err != nil {
		return nil, err
	}
	key, hashes := "", map[string]store.Hash{}
	for _, t := range shops {
		key += t.Name + "=" + t.Hash.String() + "\n"
	}
	for _, t := range guides {
		key += t.Name + "=" + t.Hash.String() + "\n"
		hashes[t.Name] = t.Hash
	}
	var made *app.App
	if known != nil && known.texts == key {
		made = known.app
	} else if made, err = d.makeApp(ctx, place, shops, guides); err != nil {
		return nil, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if held := d.apps[place]; held != nil && held.texts == key {
		made = held.app // somebody was faster
	}
	d.apps[place] = &placeApp{made, key, hashes, d.opts.Clock()}
	return made, nil
}

// lookAgain is how long a place may go on with texts that another server has
// replaced.
const lookAgain = 2 * time.Second

func (d *Desk) makeApp(ctx context.Context, place store.PlaceID, shops, guides []store.Revision) (*app.App, error) {
	var sources []app.Source
	for _, t := range guides {
		text, err := d.keep.TextByHash(ctx, place, t.Hash)
		if err != nil {
			return nil, err
		}
		sources = append(sources, app.Source{Name: t.Name, FS: oneFile(text), Dir: textDir})
	}
	var text []byte
	for _, t := range shops {
		var err error
		if text, err = d.keep.TextByHash(ctx, place, t.Hash); err != nil {
			return nil, err
		}
	}
	shop, err := readWorkshop(text)
	if err != nil {
		return nil, err
	}
	made, err := app.Open(d.opts.Clock, shop, sources...)
	if err != nil {
		return nil, err
	}
	made.Registry = func(id string) (*workshop.Machine, error) { return d.registered(place, guide.ID(id)) }
	return made, nil
}

// textDir and textFile are where a guide kept as one text stands for reading.
const (
	textDir  = "guide"
	textFile = "guide.yaml"
)

func oneFile(text []byte) fstest.MapFS {
	return fstest.MapFS{textDir + "/" + textFile: &fstest.MapFile{Data: text}}
}

// guideAt returns the revision of a guide with the hash.
func (d *Desk) guideAt(ctx context.Context, place store.PlaceID, hash string) (*guide.Guide, error) {
	key := string(place) + "/" + hash // what one place keeps is not found by another, whatever it knows
	d.mu.Lock()
	g := d.guides[key]
	d.mu.Unlock()
	if g != nil {
		return g, nil
	}
	h, err := store.ParseHash(hash)
	if err != nil {
		return nil, err
	}
	text, err := d.keep.TextByHash(ctx, place, h)
	if err != nil {
		return nil, err
	}
	g, _, list := file.Read(oneFile(text), textDir)
	if g == nil {
		return nil, fmt.Errorf("%w: the guide kept as %s:\n%w", app.ErrInput, hash, list)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.guides) >= mostGuides {
		clear(d.guides)
	}
	d.guides[key] = g
	return g, nil
}

// mostGuides bounds how many revisions are held in memory.
const mostGuides = 32

// writing locks a job for writing by this server.
func (d *Desk) writing(place store.PlaceID, job joblog.Job) (unlock func()) {
	key := string(place) + "/" + string(job)
	d.mu.Lock()
	l := d.jobs[key]
	if l == nil {
		l = &sync.Mutex{}
		d.jobs[key] = l
	}
	d.mu.Unlock()
	l.Lock()
	return l.Unlock
}
