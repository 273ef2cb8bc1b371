package store

import (
	"context"
	"io"
	"io/fs"
	"time"

	"elbowroom/guide"
	"elbowroom/joblog"
)

// Store is everything that a back end does. Whoever uses a store declares the
// few methods it needs; this interface is for the suite and for the wiring.
type Store interface {
	Places
	Texts
	People
	Sessions
	Customers
	Machines
	Jobs
	Log
	Pictures
	Papers
	Trail
	Settings
	Copies

	// Close waits for what is being written and gives everything back. It is
	// safe to call twice.
	Close() error
}

// Limits of what is kept.
const (
	MaxText  = 48 << 20 // bytes of a text; that of one file of a guide
	MaxField = 64 << 10 // bytes of any other field of text or opaque data, except what follows
	MaxPaper = 16 << 20 // bytes of an issued paper
	MaxBatch = 1000     // events of one Append
	MaxPage  = 1000     // rows of one answer; a limit of 0 or more than this means this
)

// Places keeps the workshops of a chain. Their descriptions are Texts.
type Places interface {
	// Places returns every place, by id.
	Places(ctx context.Context) ([]Place, error)
	// Place returns one place, or NotFound.
	Place(ctx context.Context, id PlaceID) (Place, error)
	// PutPlace makes or replaces a place and returns its new version.
	PutPlace(ctx context.Context, p Place) (int64, error)
}

// Texts keeps guides and descriptions of workshops with all their revisions.
type Texts interface {
	// PutText adds a revision and makes it the current one. Draft.Expect must
	// be the hash of the current revision (zero: there is none), else Conflict.
	// A draft that says what the current revision says changes nothing and
	// returns that revision.
	PutText(ctx context.Context, place PlaceID, d Draft) (Revision, error)
	// Text returns the current revision and what it says, or NotFound.
	Text(ctx context.Context, place PlaceID, kind TextKind, name string) (Revision, []byte, error)
	// TextByHash returns what a revision says, also when it is not current.
	TextByHash(ctx context.Context, place PlaceID, hash Hash) ([]byte, error)
	// History returns every revision of a text, the newest first.
	History(ctx context.Context, place PlaceID, kind TextKind, name string) ([]Revision, error)
	// CurrentTexts returns the current revision of every text of a kind, by name.
	CurrentTexts(ctx context.Context, place PlaceID, kind TextKind) ([]Revision, error)
}

// People keeps who works at a place and how they prove who they are.
type People interface {
	// People returns everybody, also those disabled, by id.
	People(ctx context.Context, place PlaceID) ([]Person, error)
	// Person returns one of them, or NotFound.
	Person(ctx context.Context, place PlaceID, id joblog.Person) (Person, error)
	// PutPerson makes or replaces a person with passkeys and identities. It is
	// Refused when it would leave a place that has an owner without one who is
	// not disabled, and Exists when a passkey belongs to somebody else.
	PutPerson(ctx context.Context, place PlaceID, p Person) (int64, error)
	// ByPasskey returns whose passkey this is, at any place, or NotFound.
	ByPasskey(ctx context.Context, id []byte) (PlaceID, Person, error)
	// ByIdentity returns everybody with this outside identity: one person may
	// work at several places.
	ByIdentity(ctx context.Context, is Identity) ([]Worker, error)
}

// Sessions keeps who is signed in, and counts attempts.
type Sessions interface {
	// PutSession keeps a new session. Exists when the token is known.
	PutSession(ctx context.Context, s Session) error
	// Session returns the session of a token when it holds at that moment: not
	// expired, not revoked, its person there and not disabled. Else NotFound.
	Session(ctx context.Context, token Hash, now joblog.Moment) (Session, error)
	// SessionsOf returns the sessions of a person that hold, the newest first.
	SessionsOf(ctx context.Context, place PlaceID, person joblog.Person, now joblog.Moment) ([]Session, error)
	// Extend moves the expiry of a session that holds; else NotFound.
	Extend(ctx context.Context, token Hash, now, expires joblog.Moment) error
	// Revoke ends one session of a place; NotFound when there is none.
	Revoke(ctx context.Context, place PlaceID, token Hash, now joblog.Moment) error
	// RevokeAll ends every session of a person and returns how many held.
	RevokeAll(ctx context.Context, place PlaceID, person joblog.Person, now joblog.Moment) (int, error)
	// Attempt counts one more attempt under a key and returns how many there
	// were in the present window, this one included. A window begins with the
	// first attempt and lasts that long.
	Attempt(ctx context.Context, key string, now joblog.Moment, window time.Duration) (int, error)
	// ForgetAttempts sets the count of a key back to none.
	ForgetAttempts(ctx context.Context, key string) error
	// Sweep removes sessions and links that ended before a moment, and counts
	// whose window began before it.
	Sweep(ctx context.Context, before joblog.Moment) error
}

// Customers keeps what is known of customers apart from everything else.
type Customers interface {
	// Customers returns those whose id comes after one, by id.
	Customers(ctx context.Context, place PlaceID, after string, limit int) ([]Customer, error)
	// Customer returns one of them; of one that was erased, id and Erased only.
	Customer(ctx context.Context, place PlaceID, id string) (Customer, error)
	// PutCustomer makes or replaces a customer. Refused when it was erased.
	PutCustomer(ctx context.Context, place PlaceID, c Customer) (int64, error)
	// Erase removes everything that says who a customer is: the fields of the
	// customer, the plates, serial numbers and notes of their machines, the
	// customer's part of their papers, and ends their links. Jobs, events,
	// readings and times stay, under an id that no longer means anybody. What
	// people wrote into events is kept as written. Older copies made by Backup
	// still hold the customer. Erasing twice changes nothing.
	Erase(ctx context.Context, place PlaceID, id string, now joblog.Moment) error
}

// Machines keeps the individual machines.
type Machines interface {
	// Machines returns those whose id comes after one, by id.
	Machines(ctx context.Context, place PlaceID, after guide.ID, limit int) ([]Machine, error)
	// MachinesOf returns the machines of a customer, by id.
	MachinesOf(ctx context.Context, place PlaceID, customer string) ([]Machine, error)
	// Machine returns one of them, or NotFound.
	Machine(ctx context.Context, place PlaceID, id guide.ID) (Machine, error)
	// PutMachine makes or replaces a machine. NotFound when it names a customer
	// that is not there.
	PutMachine(ctx context.Context, place PlaceID, m Machine) (int64, error)
}

// Jobs keeps one row of summary for every job, written by the caller after
// each fold, and finds jobs.
type Jobs interface {
	// Jobs lists jobs, the last updated first.
	Jobs(ctx context.Context, place PlaceID, f JobFilter) ([]Job, error)
	// Job returns one of them, or NotFound.
	Job(ctx context.Context, place PlaceID, id joblog.Job) (Job, error)
	// PutJob makes or replaces a job. NotFound when it names a machine or a
	// customer that is not there.
	PutJob(ctx context.Context, place PlaceID, j Job) (int64, error)
	// Search finds jobs, machines, customers and guides that contain every word
	// of the query, or a word that begins with it; letters with and without
	// marks and in either case are the same. The last written come first. A
	// query without a letter or digit finds nothing.
	Search(ctx context.Context, place PlaceID, query string, limit int) ([]Hit, error)
}

// Log keeps the events of jobs: see the package comment.
type Log interface {
	// Append adds events to a job. Receipts are in the order of the events.
	// NotFound without the job; Refused when one is no event, is of another job
	// or there are more than MaxBatch; Conflict when an id is known with other
	// content.
	Append(ctx context.Context, place PlaceID, job joblog.Job, events []Incoming) ([]Receipt, error)
	// Events returns every event of a job in the order of cursors; none for a
	// job without events, NotFound without the job.
	Events(ctx context.Context, place PlaceID, job joblog.Job) ([]Event, error)
	// After returns the events of a place after a cursor, in order.
	After(ctx context.Context, place PlaceID, after Cursor, limit int) ([]Event, error)
	// Watch sends the cursor of the newest event of a place, once at the start
	// and then whenever it has moved, by whatever server. Cursors that nobody
	// fetched in time are left out, the newest is not. The channel is closed
	// when the context ends or the store is closed.
	Watch(ctx context.Context, place PlaceID) (<-chan Cursor, error)
}

// Pictures keeps pictures by their content.
type Pictures interface {
	// PutPicture keeps a picture. Refused when the content does not have the
	// hash and size that p says. A picture that is there is not kept twice.
	PutPicture(ctx context.Context, place PlaceID, p Picture, content io.Reader) error
	// Picture returns a picture; the caller closes the content.
	Picture(ctx context.Context, place PlaceID, hash Hash) (Picture, io.ReadCloser, error)
	// PicturesOf returns the pictures of a job, oldest first.
	PicturesOf(ctx context.Context, place PlaceID, job joblog.Job) ([]Picture, error)
}

// Papers keeps what was given to customers, and the links by which they see it.
type Papers interface {
	// Issue freezes a paper. With number 0 it gets the next number of its kind
	// at the place, without gaps, and revision 1; with the number of an issued
	// paper of the same job, the next revision.
	Issue(ctx context.Context, place PlaceID, p Paper) (Paper, error)
	// Paper returns one revision of a paper; revision 0 is the newest.
	Paper(ctx context.Context, place PlaceID, kind string, number, revision int64) (Paper, error)
	// PapersOf returns the papers of a job without their content, newest first.
	PapersOf(ctx context.Context, place PlaceID, job joblog.Job) ([]Paper, error)

	// PutLink keeps a link. NotFound without its job, Exists for a known token.
	PutLink(ctx context.Context, l Link) error
	// Link returns the link of a token when it holds at that moment.
	Link(ctx context.Context, token Hash, now joblog.Moment) (Link, error)
	// LinksOf returns every link of a job, newest first.
	LinksOf(ctx context.Context, place PlaceID, job joblog.Job) ([]Link, error)
	// RevokeLink ends a link of a place; NotFound when there is none.
	RevokeLink(ctx context.Context, place PlaceID, token Hash, now joblog.Moment) error
}

// Trail keeps who did what; it is only ever added to.
type Trail interface {
	// Note adds an entry. Its Number is given by the store.
	Note(ctx context.Context, place PlaceID, e Entry) error
	// Trail returns the entries before a number (0: the newest), newest first.
	Trail(ctx context.Context, place PlaceID, before int64, limit int) ([]Entry, error)
}

// Settings keeps small things by name. The place Everywhere is that of the
// whole installation.
type Settings interface {
	// Setting returns a setting, or NotFound.
	Setting(ctx context.Context, place PlaceID, name string) (Setting, error)
	// PutSetting makes or replaces a setting and returns its new version.
	PutSetting(ctx context.Context, place PlaceID, s Setting) (int64, error)
}

// Copies makes and reads copies of everything, pictures included. A copy is a
// set of files that can be read without this program; both back ends write and
// read the same ones. See package store/copies for their form.
type Copies interface {
	// Backup writes everything as it stands at one moment, while others go on
	// reading and writing. The copy is complete only when Backup returns nil
	// and its manifest, which is written last, is there.
	Backup(ctx context.Context, to Sink) (Summary, error)
	// Restore reads a copy into an empty store. The whole copy is checked first
	// (its manifest, the hash of every file, its schema). A copy that is torn or
	// altered is Damaged, one of a newer program Newer, a store that is not
	// empty Refused; nothing is changed then.
	Restore(ctx context.Context, from fs.FS) (Summary, error)
}

// Sink takes the files of a copy one after the other.
type Sink interface {
	// Create begins the next file. The one before it was closed.
	Create(name string) (io.WriteCloser, error)
}
