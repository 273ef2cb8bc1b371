package store

import (
	"elbowroom/guide"
	"elbowroom/joblog"
)

// PlaceID names a place.
type PlaceID string

// Everywhere is the place of settings that belong to the whole installation.
const Everywhere PlaceID = ""

// Place is one workshop of a chain.
type Place struct {
	ID      PlaceID       `json:"id"`
	Name    string        `json:"name"`
	Opened  joblog.Moment `json:"opened,omitzero"`
	Version int64         `json:"version"`
}

// TextKind is what a text is.
type TextKind string

// The kinds of text.
const (
	Guide    TextKind = "guide"    // in the format of guide/file, named by the guide's id
	Workshop TextKind = "workshop" // of package workshop, named by the place
)

// Revision is one revision of a text, without what it says.
type Revision struct {
	Kind   TextKind      `json:"kind"`
	Name   string        `json:"name"`
	Number int64         `json:"number"` // from 1, without gaps
	Hash   Hash          `json:"hash"`   // SHA-256 of what it says
	Size   int64         `json:"size"`   // bytes
	Author joblog.Person `json:"author,omitempty"`
	At     joblog.Moment `json:"at"`
	Note   string        `json:"note,omitempty"` // why
}

// Draft is a revision to be.
type Draft struct {
	Kind   TextKind
	Name   string
	Text   []byte
	Expect Hash // the revision that it replaces; zero for the first
	Author joblog.Person
	At     joblog.Moment
	Note   string
	Words  string // for guides: what else Search finds it by (engine, other names)
}

// Role is what somebody may do.
type Role string

// The roles.
const (
	Owner      Role = "owner"
	Technician Role = "technician"
	Reader     Role = "reader"
)

// Person works at a place.
type Person struct {
	ID         joblog.Person `json:"id"`
	Name       string        `json:"name"`
	Role       Role          `json:"role"`
	Password   []byte        `json:"password,omitempty"` // its hash, as the caller makes it; nil: none
	Passkeys   []Passkey     `json:"passkeys,omitempty"`
	Identities []Identity    `json:"identities,omitempty"`
	Disabled   bool          `json:"disabled,omitempty"`
	Since      joblog.Moment `json:"since,omitzero"`
	Version    int64         `json:"version"`
}

// Passkey is a public key that a device of a person holds the other half of.
type Passkey struct {
	ID    []byte        `json:"id"`   // credential id, unlike any other
	Data  []byte        `json:"data"` // key, counter and flags, as the caller encodes them
	Name  string        `json:"name,omitempty"`
	Since joblog.Moment `json:"since,omitzero"`
}

// Identity is how somebody else (an OpenID provider) names a person.
type Identity struct {
	Issuer  string `json:"issuer"`
	Subject string `json:"subject"`
}

// Worker is a person at a place.
type Worker struct {
	Place  PlaceID
	Person Person
}

// Session is somebody signed in on a device.
type Session struct {
	Token   Hash          `json:"token"` // SHA-256 of the token; the token itself is kept nowhere
	Place   PlaceID       `json:"place"`
	Person  joblog.Person `json:"person"`
	Device  string        `json:"device,omitempty"` // in words, for the list of sessions
	Since   joblog.Moment `json:"since"`
	Expires joblog.Moment `json:"expires"`
	Revoked joblog.Moment `json:"revoked,omitzero"`
}

// Customer is who brings a machine and pays.
type Customer struct {
	ID      string        `json:"id"`
	Name    string        `json:"name,omitempty"`
	Address string        `json:"address,omitempty"`
	Phone   string        `json:"phone,omitempty"`
	Mail    string        `json:"mail,omitempty"`
	Note    string        `json:"note,omitempty"`
	Since   joblog.Moment `json:"since,omitzero"`
	Erased  joblog.Moment `json:"erased,omitzero"` // set by Erase only
	Version int64         `json:"version"`
}

// Machine is one individual.
type Machine struct {
	ID       guide.ID `json:"id"`
	Name     string   `json:"name"`
	Plate    string   `json:"plate,omitempty"`
	Serial   string   `json:"serial,omitempty"`
	Customer string   `json:"customer,omitempty"`
	Guide    string   `json:"guide,omitempty"`   // name of a text; it need not be there
	Variant  string   `json:"variant,omitempty"` // as the caller prints it
	Note     string   `json:"note,omitempty"`
	Data     []byte   `json:"data,omitempty"` // whatever else the caller keeps, opaque
	Version  int64    `json:"version"`
}

// Job is the summary of a job, written by the caller from the fold of its
// events. It can be made again from them at any time.
type Job struct {
	ID       joblog.Job    `json:"id"`
	Title    string        `json:"title"`
	Machine  guide.ID      `json:"machine,omitempty"`
	Customer string        `json:"customer,omitempty"`
	Stands   string        `json:"stands,omitempty"` // where: "lift 1"
	State    string        `json:"state"`            // a word of the caller's
	Opened   joblog.Moment `json:"opened"`
	Closed   joblog.Moment `json:"closed,omitzero"` // zero while it is open
	Updated  joblog.Moment `json:"updated"`
	Pin      joblog.Pin    `json:"pin,omitzero"`
	Words    string        `json:"words,omitempty"` // what else Search finds it by: complaint, codes
	Data     []byte        `json:"data,omitempty"`  // whatever else the caller keeps (what is off, what must not be done), opaque
	Version  int64         `json:"version"`
}

// JobFilter says which jobs to list. Empty fields do not narrow.
type JobFilter struct {
	Standing Standing
	States   []string
	Machine  guide.ID
	Customer string
	After    *Job // the last job of the page before: its Updated and ID count
	Limit    int
}

// Standing is whether a job is open.
type Standing int

// The ways a job stands.
const (
	OpenOrClosed Standing = iota
	OpenOnly
	ClosedOnly
)

// HitKind is what was found.
type HitKind string

// What Search finds.
const (
	HitJob      HitKind = "job"
	HitMachine  HitKind = "machine"
	HitCustomer HitKind = "customer"
	HitGuide    HitKind = "guide"
)

// Hit is something that Search found.
type Hit struct {
	Kind  HitKind `json:"kind"`
	ID    string  `json:"id"`
	Title string  `json:"title"`
}

// Cursor is the place of an event in the order of arrival at a place. 0 is
// before the first event. Cursors need not follow each other without gaps.
type Cursor int64

// Incoming is an event as it came in.
type Incoming struct {
	Raw      []byte // as joblog.Encode made it, or as it was sent
	Received joblog.Moment
}

// Receipt says that an event is stored.
type Receipt struct {
	ID       joblog.ID
	Cursor   Cursor
	Received joblog.Moment // when it first came in
	New      bool          // false when it was there already
}

// Event is a stored event.
type Event struct {
	Cursor   Cursor        `json:"cursor"`
	Job      joblog.Job    `json:"job"`
	ID       joblog.ID     `json:"id"`
	Received joblog.Moment `json:"received"`
	Raw      []byte        `json:"raw"` // byte for byte as it first came in
}

// Picture says what a picture is and what it belongs to.
type Picture struct {
	Hash  Hash          `json:"hash"` // SHA-256 of the content
	Type  string        `json:"type"` // "image/jpeg"
	Size  int64         `json:"size"` // bytes
	Job   joblog.Job    `json:"job,omitempty"`
	Event joblog.ID     `json:"event,omitzero"` // that says what it shows; it may come later than the picture
	Added joblog.Moment `json:"added"`
}

// Paper is something that was given to a customer, frozen.
type Paper struct {
	Job      joblog.Job    `json:"job"`
	Kind     string        `json:"kind"`   // "quote", "report", …
	Number   int64         `json:"number"` // of its kind at the place
	Revision int64         `json:"revision"`
	At       joblog.Moment `json:"at"`
	By       joblog.Person `json:"by,omitempty"`
	Type     string        `json:"type"`               // media type of Content
	Content  []byte        `json:"content"`            // without anything that says who the customer is
	Customer []byte        `json:"customer,omitempty"` // what says who the customer is; removed by Erase
}

// Link lets whoever has it see a paper, or the state of a job.
type Link struct {
	Token    Hash          `json:"token"` // SHA-256 of the token
	Place    PlaceID       `json:"place"`
	Job      joblog.Job    `json:"job"`
	Kind     string        `json:"kind,omitempty"` // of the paper; empty: the job
	Number   int64         `json:"number,omitempty"`
	Revision int64         `json:"revision,omitempty"` // 0: the newest
	By       joblog.Person `json:"by,omitempty"`
	Since    joblog.Moment `json:"since"`
	Expires  joblog.Moment `json:"expires"`
	Revoked  joblog.Moment `json:"revoked,omitzero"`
}

// Entry is one line of the audit trail.
type Entry struct {
	Number int64         `json:"number"`
	At     joblog.Moment `json:"at"`
	Person joblog.Person `json:"person,omitempty"`
	From   string        `json:"from,omitempty"` // address or device
	Did    string        `json:"did"`            // "sign-in", "erase-customer", …
	On     string        `json:"on,omitempty"`   // what it was done to
	Says   string        `json:"says,omitempty"`
}

// Setting is something small with a name.
type Setting struct {
	Name    string `json:"name"`
	Value   []byte `json:"value"`
	Version int64  `json:"version"`
}

// Summary says what a copy holds.
type Summary struct {
	Schema   int            `json:"schema"`
	Rows     map[string]int `json:"rows"` // by table
	Pictures int            `json:"pictures"`
	Bytes    int64          `json:"bytes"` // of all files
}
