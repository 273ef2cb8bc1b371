package cli

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"os"

	"elbowroom/app"
	"elbowroom/joblog"
)

// quoteCmd prices a visit.
type quoteCmd struct {
	visitFlags
	Instead int      `placeholder:"N" help:"Quote that one of the other ways in (see plan) instead of the best plan."`
	Limit   string   `placeholder:"SUM" help:"What the customer has authorised, with tax, such as 500.00: says when it is reached and when to ask again."`
	Fixed   bool     `help:"One price that holds, with an allowance for what may come on top, instead of a price with its range."`
	Person  string   `placeholder:"ID" help:"Who is to do the work; times measured here tell people apart."`
	Keep    []string `sep:"none" placeholder:"SPAN" help:"How much longer the machine is to serve, such as \"60000 km\" or \"36 months\": decides what in reach is better replaced now."`
	Age     []string `sep:"none" placeholder:"ITEM=SPAN" help:"Age of a part where it is not that of the machine, such as \"IG06=40000 km\"."`
	Life    []string `sep:"none" placeholder:"ITEM=A/B" help:"Life of a part as you know it: half last longer than A, one in ten is gone before B, such as \"IG06=160000 km/90000 km\"."`
	Failure string   `placeholder:"SUM" help:"What a failure on the road costs beside the repair, net, such as 150.00."`
	Steps   bool     `help:"Also the expected minutes of every step, and stopping after each of them."`
	Log     string   `placeholder:"FILE" help:"Job log, one event a line, to compare the quote with the time it took; - for standard input."`
}

// Help stands under the usage of quote.
func (quoteCmd) Help() string {
	return "Prices are worked out at the average time of each step, measured here where it was, else from the guide. The range says how often a price is kept; risks that have been counted come as lines of their own.\n\n" + exitHelp()
}

// Run prices the visit and prints.
func (c *quoteCmd) Run(r *run) error {
	a, err := r.open()
	if err != nil {
		return err
	}
	q, err := c.question(r, a)
	if err != nil {
		return err
	}
	if c.Instead < 0 {
		return fmt.Errorf("%w: --instead %d: write the number of one of the other ways in, from 1", errUsage, c.Instead)
	}
	q.Instead = c.Instead
	ask := app.QuoteAsk{Ask: q, Limit: c.Limit, Fixed: c.Fixed, Person: c.Person, Keep: c.Keep, Ages: c.Age, Lives: c.Life, Fails: c.Failure}
	if c.Log != "" {
		if ask.Log, err = r.jobLog(c.Log); err != nil {
			return err
		}
	}
	out, err := a.Quote(ask)
	if err != nil {
		return err
	}
	if r.exit = exitOfOutcome(out.Answer.Plan.Outcome); c.Instead > 0 && r.exit == Bounded {
		r.exit = Done // it is dearer because it was asked for
	}
	if r.cli.JSON {
		return r.json(quoteJSON(out))
	}
	p := r.page()
	p.quote(out, c.Steps)
	return r.show(p)
}

// mostLog bounds the bytes of a job log that is read at once.
const mostLog = 64 << 20

// jobLog reads events, one a line, as they travel and are kept.
func (r *run) jobLog(name string) ([]joblog.Record, error) {
	in := io.Reader(r.Stdin)
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, fmt.Errorf("%w: --log: %w", errUsage, err)
		}
		defer f.Close()
		in = f
	} else {
		name = "standard input"
	}
	lines := bufio.NewScanner(io.LimitReader(in, mostLog))
	lines.Buffer(nil, 2*joblog.MaxEvent)
	var out []joblog.Record
	for n := 1; lines.Scan(); n++ {
		text := bytes.TrimSpace(lines.Bytes())
		if len(text) == 0 {
			continue
		}
		rec, err := joblog.DecodeRecord(text)
		if err != nil {
			event, plain := joblog.Decode(text)
			if plain != nil {
				return nil, fmt.Errorf("%w: %s:%d: %w", app.ErrInput, name, n, plain)
			}
			rec = joblog.Record{Event: event}
		}
		out = append(out, rec)
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("%w: %s cannot be read: %w", errUsage, name, err)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%w: %s holds no event; a job log has one event a line", app.ErrInput, name)
	}
	return out, nil
}

// people lists who works here, for completion.
func people(a UseCases) []candidate {
	var out []candidate
	if w := a.Workshop(); w != nil {
		for _, p := range w.People {
			out = append(out, candidate{string(p.ID), p.Name})
		}
	}
	return out
}
