package desk

import (
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
)

// Customers lists the customers of a place whose id comes after one.
func (d *Desk) Customers(ctx context.Context, who Who, after string) ([]store.Customer, error) {
	if !who.MayWrite() {
		return nil, fmt.Errorf("%w: %s may not look at customers", ErrNotAllowed, who.Name)
	}
	return d.keep.Customers(ctx, who.Place, after, PageOfJobs)
}

// PutCustomer makes a customer, when the id is empty, or replaces one.
func (d *Desk) PutCustomer(ctx context.Context, who Who, c store.Customer) (string, error) {
	if !who.MayWrite() {
		return "", fmt.Errorf("%w: %s may not change customers", ErrNotAllowed, who.Name)
	}
	if strings.TrimSpace(c.Name) == "" {
		return "", fmt.Errorf("%w: name: say who it is", app.ErrInput)
	}
	if c.ID == "" {
		letters, err := d.letters(10)
		if err != nil {
			return "", err
		}
		c.ID, c.Since = "c-"+letters, d.now()
	}
	_, err := d.keep.PutCustomer(ctx, who.Place, c)
	return c.ID, err
}

// letters returns some letters by chance that cannot be taken for each other.
func (d *Desk) letters(n int) (string, error) {
	chance := make([]byte, n)
	if _, err := io.ReadFull(d.opts.Random, chance); err != nil {
		return "", err
	}
	for i := range chance {
		chance[i] = nameLetters[int(chance[i])%len(nameLetters)]
	}
	return string(chance), nil
}

// Belongs says whose machine it is. An empty customer says nobody's.
func (d *Desk) Belongs(ctx context.Context, who Who, machine guide.ID, customer string) error {
	if !who.MayWrite() {
		return fmt.Errorf("%w: %s may not change machines", ErrNotAllowed, who.Name)
	}
	m, err := d.keep.Machine(ctx, who.Place, machine)
	if err != nil {
		return err
	}
	m.Customer = customer
	_, err = d.keep.PutMachine(ctx, who.Place, m)
	return err
}

// Erase forgets who a customer is. What was learned on their machines stays,
// and belongs to nobody then. Only an owner may, and it cannot be undone.
func (d *Desk) Erase(ctx context.Context, who Who, customer string) error {
	if err := who.manages(); err != nil {
		return err
	}
	machines, err := d.keep.MachinesOf(ctx, who.Place, customer)
	if err != nil {
		return err
	}
	if err := d.keep.Erase(ctx, who.Place, customer, d.now()); err != nil {
		return err
	}
	for _, m := range machines {
		if err := d.forgetPlate(ctx, who, m.ID); err != nil {
			return err
		}
	}
	d.note(ctx, who.Place, store.Entry{Person: who.ID, From: who.From, Did: "erase-customer", On: customer})
	return nil
}

// forgetPlate takes the plate out of what this package keeps of a machine.
func (d *Desk) forgetPlate(ctx context.Context, who Who, id guide.ID) error {
	m, err := d.keep.Machine(ctx, who.Place, id)
	if err != nil {
		return err
	}
	w, err := readMachine(id, m.Data)
	if err != nil {
		return err
	}
	w.Plate, w.Note, w.Complaint = "", "", ""
	m.Data = machineText(*w)
	_, err = d.keep.PutMachine(ctx, who.Place, m)
	return err
}

// LinkTime is how long a customer's link holds when nobody ends it.
const LinkTime = 30 * 24 * time.Hour

// Share makes a link by which a customer sees how their job stands, or one of
// its papers. The token is kept nowhere: whoever loses it gets a new one.
func (d *Desk) Share(ctx context.Context, who Who, job joblog.Job, kind string, number int64) (token string, err error) {
	if !who.MayWrite() {
		return "", fmt.Errorf("%w: %s may not share jobs", ErrNotAllowed, who.Name)
	}
	if token, err = d.token(); err != nil {
		return "", err
	}
	now := d.now()
	err = d.keep.PutLink(ctx, store.Link{
		Token: sha256.Sum256([]byte(token)), Place: who.Place, Job: job, Kind: kind, Number: number, By: who.ID, Since: now, Expires: now.Add(LinkTime),
	})
	if err == nil {
		d.note(ctx, who.Place, store.Entry{Person: who.ID, From: who.From, Did: "share", On: string(job), Says: kind})
	}
	return token, err
}

// Shares lists the links of a job, the newest first.
func (d *Desk) Shares(ctx context.Context, who Who, job joblog.Job) ([]store.Link, error) {
	return d.keep.LinksOf(ctx, who.Place, job)
}

// Unshare ends a link at once.
func (d *Desk) Unshare(ctx context.Context, who Who, link string) error {
	if !who.MayWrite() {
		return fmt.Errorf("%w: %s may not end links", ErrNotAllowed, who.Name)
	}
	h, err := store.ParseHash(link)
	if err != nil {
		return fmt.Errorf("%w: link: %w", app.ErrInput, err)
	}
	if err := d.keep.RevokeLink(ctx, who.Place, h, d.now()); err != nil {
		return err
	}
	d.note(ctx, who.Place, store.Entry{Person: who.ID, From: who.From, Did: "unshare", On: link[:8]})
	return nil
}

// Shown is what a customer sees by a link: how the job stands in plain words,
// or a paper as it was issued. Nothing else of the workshop is in it.
type Shown struct {
	Workshop string
	Title    string
	Stands   string
	Next     string
	Paper    *store.Paper
}

// Show returns what a link shows. The error is store.NotFound for a link that
// never was, was ended or is over.
func (d *Desk) Show(ctx context.Context, token string) (*Shown, error) {
	l, err := d.keep.Link(ctx, sha256.Sum256([]byte(token)), d.now())
	if err != nil {
		return nil, err
	}
	p, err := d.keep.Place(ctx, l.Place)
	if err != nil {
		return nil, err
	}
	row, err := d.keep.Job(ctx, l.Place, l.Job)
	if err != nil {
		return nil, err
	}
	s := &Shown{Workshop: p.Name, Title: line(row).Name, Stands: row.State}
	if l.Kind == "" {
		return s, nil
	}
	paper, err := d.keep.Paper(ctx, l.Place, l.Kind, l.Number, l.Revision)
	if err != nil {
		return nil, err
	}
	if paper.Job != l.Job {
		return nil, store.Errorf(store.NotFound, "the paper belongs to another job")
	}
	s.Paper = &paper
	return s, nil
}
