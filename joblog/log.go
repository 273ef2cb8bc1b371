package joblog

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
)

// ErrLog is wrapped by the errors of a Log that cannot take an event.
var ErrLog = errors.New("the log cannot take the event")

// Log is a set of events of one job. Adding an event twice changes nothing,
// and neither does the order in which events are added. The zero Log is not
// usable: see NewLog. A Log is not safe for concurrent use.
type Log struct {
	job     Job
	entries map[ID][]entry // more than one where an id clashes, see Add
	size    int
}

// entry is a record with its event as written, by which events are compared.
type entry struct {
	record Record
	text   []byte
}

// NewLog returns an empty log of a job.
func NewLog(job Job) *Log { return &Log{job: job, entries: map[ID][]entry{}} }

// Job returns the job.
func (l *Log) Job() Job { return l.job }

// Len returns the number of events.
func (l *Log) Len() int { return l.size }

// Add puts a record into the log and reports whether it was new. Of a record
// that is there already the earlier time of receipt is kept. An event with the
// id of another one but other content is kept beside it, so that the union of
// two logs is the same either way round; which of them counts is said by Fold,
// and Accept refuses such an event before it gets here. The error wraps
// ErrForm for a malformed event and ErrLog for an event of another job or one
// too many.
func (l *Log) Add(r Record) (added bool, err error) {
	text, err := Encode(r.Event)
	if err != nil {
		return false, err
	}
	if r.Event.Job != l.job {
		return false, fmt.Errorf("%w: it belongs to job %s and not to %s", ErrLog, r.Event.Job, l.job)
	}
	list := l.entries[r.Event.ID]
	i, known := slices.BinarySearchFunc(list, text, func(e entry, t []byte) int { return bytes.Compare(e.text, t) })
	if known {
		have := &list[i].record.Received
		if r.Received != 0 && (*have == 0 || r.Received < *have) {
			*have = r.Received
		}
		return false, nil
	}
	if l.size >= MaxEvents {
		return false, fmt.Errorf("%w: a job has %d events at most", ErrLog, MaxEvents)
	}
	l.entries[r.Event.ID] = slices.Insert(list, i, entry{r, text})
	l.size++
	return true, nil
}

// Merge adds every record of another log of the same job and returns how many
// were new. The error wraps ErrLog; nothing is added then.
func (l *Log) Merge(other *Log) (added int, err error) {
	if other.job != l.job {
		return 0, fmt.Errorf("%w: the other log is that of job %s and not of %s", ErrLog, other.job, l.job)
	}
	for _, r := range other.Records() {
		ok, err := l.Add(r)
		if err != nil {
			return added, err
		}
		if ok {
			added++
		}
	}
	return added, nil
}

// Records returns every record by id; the order of the fold is another one,
// see the package comment.
func (l *Log) Records() []Record {
	list := make([]Record, 0, l.size)
	for _, id := range l.ids() {
		for _, e := range l.entries[id] {
			list = append(list, e.record)
		}
	}
	return list
}

func (l *Log) ids() []ID {
	ids := make([]ID, 0, len(l.entries))
	for id := range l.entries {
		ids = append(ids, id)
	}
	slices.SortFunc(ids, ID.Compare)
	return ids
}

// Event returns the event of that id. Where an id clashes it is the one that
// counts.
func (l *Log) Event(id ID) (Event, bool) {
	list := l.entries[id]
	if len(list) == 0 {
		return Event{}, false
	}
	return list[0].record.Event, true
}

// Has returns, for every device, how many of its events are here without a gap
// from the first: what the next event of another device may say it has seen.
func (l *Log) Has() map[Device]int64 {
	have := map[Device]map[int64]bool{}
	for _, list := range l.entries {
		for _, e := range list {
			d := e.record.Event.Device
			if have[d] == nil {
				have[d] = map[int64]bool{}
			}
			have[d][e.record.Event.Seq] = true
		}
	}
	up := map[Device]int64{}
	for d, seqs := range have {
		n := int64(0)
		for seqs[n+1] {
			n++
		}
		if n > 0 {
			up[d] = n
		}
	}
	return up
}
