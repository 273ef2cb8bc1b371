// Package storetest is the one suite that every back end of package store must
// pass. A back end's test calls Run with a way to make an empty database and to
// open it, also several times at once, as several servers do.
//
// The suite tests what the contract promises and nothing of how it is kept:
// the order of bytes, milliseconds, idempotent and complete logs under many
// writers, isolation of places, huge and strange values, cancellation, copies.
// It has no skip: a back end passes all of it.
package storetest

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"

	"elbowroom/joblog"
	"elbowroom/store"
)

// Fresh makes an empty database that lasts for one test and returns how to open
// a store on it. Every call is one more server on the same database; the suite
// closes what it opened.
type Fresh func(t *testing.T) (open func() store.Store)

// tests lists the suite; the name says what is promised.
var tests = []struct {
	name string
	run  func(t *testing.T, w *world)
}{
	{"places are records in the order of bytes", testPlaces},
	{"nothing is found from another place", testIsolation},
	{"what has no place is refused, and so is nonsense", testRefused},
	{"texts keep every revision", testTexts},
	{"of two drafts on one revision the second is told", testTextRace},
	{"people come back with passkeys and identities", testPeople},
	{"a place keeps an owner, whoever asks at once", testLastOwner},
	{"sessions hold until they end", testSessions},
	{"attempts are counted exactly", testAttempts},
	{"customers and machines are records", testCustomers},
	{"erasing a customer keeps the knowledge", testErase},
	{"jobs are listed by time, page by page", testJobs},
	{"records tell who was slower", testVersions},
	{"search finds beginnings of words in any writing", testSearch},
	{"a query is words and nothing else", testQuery},
	{"events come back as they came in", testEvents},
	{"an event twice is stored once", testIdempotent},
	{"all events of a call or none", testAllOrNothing},
	{"events of newer programs are kept byte for byte", testForeign},
	{"a reader misses nothing while many write", testCursors},
	{"many who send the same events store them once", testSameAtOnce},
	{"watching tells of every server", testWatch},
	{"a context that ends leaves nothing half done", testCancelled},
	{"pictures are what their hash says", testPictures},
	{"papers are numbered without gaps and never change", testPapers},
	{"links hold until they end", testLinks},
	{"the trail is only added to", testTrail},
	{"settings are records, also of the whole installation", testSettings},
	{"huge and strange values come back byte for byte", testHuge},
	{"a copy made while writing is whole and of one moment", testCopy},
	{"a copy that is torn or altered changes nothing", testTornCopy},
	{"a closed store says so", testClosed},
}

// Run runs the suite. Names of tests narrow it as usual with -run.
func Run(t *testing.T, fresh Fresh) {
	for _, one := range tests {
		t.Run(one.name, func(t *testing.T) {
			w := &world{t: t, open: fresh(t), fresh: fresh}
			w.Store = w.server()
			one.run(t, w)
		})
	}
}

// world is a store with two places, and what tests need to fill it.
type world struct {
	store.Store
	t     *testing.T
	open  func() store.Store
	fresh Fresh
}

// The places, people and times of the tests.
const (
	here  store.PlaceID = "north"
	there store.PlaceID = "south"
	noon                = joblog.Moment(1_780_000_000_123)
)

// server opens one more store on the database.
func (w *world) server() store.Store {
	s := w.open()
	w.t.Cleanup(func() {
		if err := s.Close(); err != nil {
			w.t.Errorf("closing: %v", err)
		}
	})
	return s
}

// places makes both places.
func (w *world) places() {
	w.t.Helper()
	for _, id := range []store.PlaceID{here, there} {
		w.must1(w.PutPlace(w.ctx(), store.Place{ID: id, Name: "Workshop " + string(id), Opened: noon}))
	}
}

func (w *world) ctx() context.Context { return w.t.Context() }

func (w *world) must(err error) {
	w.t.Helper()
	if err != nil {
		w.t.Fatal(err)
	}
}

func (w *world) must1(_ any, err error) { w.t.Helper(); w.must(err) }

// want wants an error with a code.
func (w *world) want(code store.Code, err error) {
	w.t.Helper()
	if !errors.Is(err, code) {
		w.t.Errorf("the error is %v; it should be %q", err, code)
	}
	if err != nil && len(err.Error()) < 15 {
		w.t.Errorf("the error says too little: %q", err)
	}
}

// job makes a job at a place.
func (w *world) job(place store.PlaceID, id joblog.Job) store.Job {
	w.t.Helper()
	j := store.Job{ID: id, Title: "rattle " + string(id), State: "in", Opened: noon, Updated: noon}
	v, err := w.PutJob(w.ctx(), place, j)
	w.must(err)
	j.Version = v
	return j
}

// note returns a note as an incoming event. Equal arguments make equal events.
func note(job joblog.Job, device joblog.Device, seq int64, text string) store.Incoming {
	at := noon + joblog.Moment(seq)
	r := rand.New(rand.NewPCG(uint64(seq), hashOf(string(job)+"/"+string(device))))
	var random [10]byte
	for i := range random {
		random[i] = byte(r.Uint32())
	}
	raw, err := joblog.Encode(joblog.Event{
		Schema: joblog.Schema, ID: joblog.NewID(at, random), Job: job, Author: "kim", Device: device,
		Seq: seq, At: at, Kind: joblog.KindNote, Body: &joblog.Note{Text: text},
	})
	if err != nil {
		panic(fmt.Sprintf("the event of the test is none: %v", err))
	}
	return store.Incoming{Raw: raw, Received: at + 5}
}

func hashOf(s string) (h uint64) {
	for _, c := range []byte(s) {
		h = h*1099511628211 + uint64(c)
	}
	return h
}

// notes returns notes of one device with numbers from first.
func notes(job joblog.Job, device joblog.Device, first, n int64) []store.Incoming {
	var out []store.Incoming
	for i := range n {
		out = append(out, note(job, device, first+i, "note "+string(device)))
	}
	return out
}
