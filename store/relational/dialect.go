package relational

import (
	"context"
	"database/sql"
	"time"

	"elbowroom/store"
)

// Dialect is what differs between databases.
type Dialect struct {
	// Write is the connections for writing and Read those for reading; they may
	// be the same.
	Write, Read *sql.DB
	Begin       string   // begins a transaction that may write
	Snapshot    string   // begins one that reads everything as at one moment
	Numbered    bool     // parameters are $1, $2 and not ?
	ForUpdate   string   // at the end of a query: keep the rows for this transaction
	LockSchema  string   // first statement of a migration, keeps other servers out
	Steps       []string // the schema: the script that leads from each version to the next, from 0
	// Find is a query for kind, id and title of what is found; its parameters
	// are the number of the place, the result of Match and the limit.
	Find  string
	Match func(place int64, words []string) string
	// Code says what an error of the driver means, "" when nothing special.
	Code func(error) store.Code
	// Scrub makes what was erased unreadable where deleting alone does not.
	Scrub func(ctx context.Context) error
	// PollEvery is how often a watcher looks for itself, in case a notice was
	// lost or another program wrote.
	PollEvery time.Duration
	// Settle is a statement that lets the database learn what it holds, run after
	// much was added at once.
	Settle string
	// Tell passes a notice on to other servers; nil when there are none. It must
	// not block.
	Tell func(place int64, newest store.Cursor)
	// Close gives back what the back end holds besides the connections.
	Close func() error
}

// CommitTime is how long one transaction of gathered events may take.
const CommitTime = 60 * time.Second
