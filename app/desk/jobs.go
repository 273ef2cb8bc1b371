package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
)

// JobLine is one job in a list.
type JobLine struct {
	Job     joblog.Job
	Title   string
	Machine guide.ID
	Name    string // of the machine
	Stands  string // where
	State   string // one of the Stands words
	Off     []string
	MustNot []string
	Next    string
	Done    int
	Steps   int
	Lacking int
	Opened  joblog.Moment
	Updated joblog.Moment
}

// Jobs lists the jobs of a place, the last touched first; closed ones only
// when they are asked for. After is the last job of the page before.
func (d *Desk) Jobs(ctx context.Context, who Who, closed bool, after joblog.Job) ([]JobLine, error) {
	f := store.JobFilter{Standing: store.OpenOnly, Limit: PageOfJobs}
	if closed {
		f.Standing = store.ClosedOnly
	}
	if after != "" {
		row, err := d.keep.Job(ctx, who.Place, after)
		if err != nil {
			return nil, err
		}
		f.After = &row
	}
	rows, err := d.keep.Jobs(ctx, who.Place, f)
	if err != nil {
		return nil, err
	}
	lines := make([]JobLine, len(rows))
	for i, r := range rows {
		lines[i] = line(r)
	}
	return lines, nil
}

// JobsOf lists the open jobs of one machine, the last touched first.
func (d *Desk) JobsOf(ctx context.Context, who Who, machine guide.ID) ([]JobLine, error) {
	rows, err := d.keep.Jobs(ctx, who.Place, store.JobFilter{Standing: store.OpenOnly, Machine: machine, Limit: PageOfJobs})
	if err != nil {
		return nil, err
	}
	lines := make([]JobLine, len(rows))
	for i, r := range rows {
		lines[i] = line(r)
	}
	return lines, nil
}

// PageOfJobs is how many jobs one answer lists.
const PageOfJobs = 50

func line(r store.Job) JobLine {
	var f facts
	_ = json.Unmarshal(r.Data, &f) // a summary; without it the line says less
	return JobLine{
		Job: r.ID, Title: r.Title, Machine: r.Machine, Name: f.Machine, Stands: r.Stands, State: r.State,
		Off: f.Off, MustNot: f.MustNot, Next: f.Next, Done: f.Done, Steps: f.Steps, Lacking: f.Open,
		Opened: r.Opened, Updated: r.Updated,
	}
}

// NewJob is what is said when a machine comes in.
type NewJob struct {
	Machine   guide.ID
	Complaint string
	Distance  string
	Stands    string
	Codes     []string
}

// OpenJob opens a job for a machine of the place and returns its name.
func (d *Desk) OpenJob(ctx context.Context, who Who, n NewJob) (joblog.Job, error) {
	if !who.MayWrite() {
		return "", fmt.Errorf("%w: %s may read jobs and not open them", ErrNotAllowed, who.Name)
	}
	m, err := d.keep.Machine(ctx, who.Place, n.Machine)
	if store.CodeOf(err) == store.NotFound {
		return "", fmt.Errorf("machine %q is %w; enter the machine first", n.Machine, app.ErrUnknown)
	}
	if err != nil {
		return "", err
	}
	if err := n.complete(m); err != nil {
		return "", err
	}
	name, err := d.newJobName()
	if err != nil {
		return "", err
	}
	title := m.Name
	if n.Complaint != "" {
		title += ": " + cutWords(strings.Join(strings.Fields(n.Complaint), " "), titleBytes)
	}
	data, err := json.Marshal(facts{Machine: m.Name})
	if err != nil {
		return "", err
	}
	now := d.now()
	row := store.Job{
		ID: name, Title: title, Machine: m.ID, Customer: m.Customer, Stands: n.Stands, State: StandsNew,
		Opened: now, Updated: now, Words: cut(n.Complaint, store.MaxField), Data: data,
	}
	bodies := []joblog.Body{&joblog.Arrived{Machine: m.ID, Complaint: n.Complaint, Distance: n.Distance, Stands: n.Stands}}
	for _, c := range n.Codes {
		bodies = append(bodies, &joblog.CodeNoted{Code: c})
	}
	return name, d.begin(ctx, &opened{who: who, row: row, log: joblog.NewLog(name)}, bodies)
}

// begin keeps a job that is not kept yet with its first events. What cannot be
// accepted leaves no job behind.
func (d *Desk) begin(ctx context.Context, o *opened, bodies []joblog.Body) (err error) {
	defer d.writing(o.who.Place, o.row.ID)()
	if o.people, err = d.keep.People(ctx, o.who.Place); err != nil {
		return err
	}
	if err := d.fold(ctx, o); err != nil { // who works here
		return err
	}
	in, err := d.compose(o, o.row.Opened, bodies...)
	if err != nil {
		return err
	}
	if o.row.Version, err = d.keep.PutJob(ctx, o.who.Place, o.row); err != nil {
		return err
	}
	return d.add(ctx, o, in)
}

// complete takes what is written down of the machine for what nobody said.
func (n *NewJob) complete(m store.Machine) error {
	w, err := readMachine(m.ID, m.Data)
	if err != nil {
		return err
	}
	if n.Complaint == "" && len(n.Codes) == 0 {
		n.Complaint, n.Codes = w.Complaint, w.Codes
	}
	if n.Stands == "" {
		n.Stands = w.Stands
	}
	return nil
}

// titleBytes is how much of a complaint stands in the title of its job.
const titleBytes = 60

// cutWords shortens a text to at most n bytes, between two words where there is
// a space, and shows that something is missing.
func cutWords(s string, n int) string {
	if len(s) <= n {
		return s
	}
	short := cut(s, n-len("…"))
	if i := strings.LastIndexByte(short, ' '); i > 0 && s[len(short)] != ' ' {
		short = short[:i]
	}
	return strings.TrimRight(short, " ,;:.") + "…"
}

// nameLetters are the letters of a job's name: none that is taken for another
// when it is read aloud or from a dirty print.
const nameLetters = "23456789abcdefghjkmnpqrstuvwxyz"

// newJobName makes a name that nobody else makes: "j-" and the day, then
// letters by chance.
func (d *Desk) newJobName() (joblog.Job, error) {
	letters, err := d.letters(6)
	return joblog.Job("j" + d.opts.Clock().UTC().Format("060102") + "-" + letters), err
}

// Kept is a job with everything that its page shows.
type Kept struct {
	JobLine
	Who      Who
	State    joblog.State
	Handover joblog.Handover
	People   []SheetPerson
	Has      map[joblog.Device]int64
	Old      []OldValue // superseded values that it used or is about to
	OldNote  string     // what could not be compared
}

// Job returns a job as it stands.
func (d *Desk) Job(ctx context.Context, who Who, job joblog.Job) (*Kept, error) {
	o, err := d.open(ctx, who, job)
	if err != nil {
		return nil, err
	}
	// a server that was killed may have left an older one
	d.summarize(ctx, o)
	k := &Kept{
		JobLine: line(o.summary()), Who: who, State: o.state, Handover: o.state.Handover(),
		People: o.sheetPeople(), Has: o.log.Has(),
	}
	k.Old, k.OldNote, err = d.oldIn(ctx, o)
	return k, err
}

// Say adds what somebody says of a job at a page of this server: the bodies of
// the events, in order. Errors wrap ErrNotAllowed and ErrRefused.
func (d *Desk) Say(ctx context.Context, who Who, job joblog.Job, bodies ...joblog.Body) (*joblog.State, error) {
	defer d.writing(who.Place, job)()
	o, err := d.open(ctx, who, job)
	if err != nil {
		return nil, err
	}
	if err := d.write(ctx, o, bodies...); err != nil {
		return nil, err
	}
	return &o.state, nil
}

// Find finds jobs, machines, customers and guides by any word.
func (d *Desk) Find(ctx context.Context, who Who, words string) ([]store.Hit, error) {
	return d.keep.Search(ctx, who.Place, words, PageOfJobs)
}
