package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/report"
)

// paperCmd makes a paper.
type paperCmd struct {
	Kind string `arg:"" name:"paper" help:"Which one: plan, torque, layout or quote of a visit; handover or job of a log."`
	visitFlags
	PDF   string   `name:"pdf" placeholder:"FILE" help:"Write it as PDF; - for standard output."`
	HTML  string   `name:"html" placeholder:"FILE" help:"Write it as one page of HTML that prints; - for standard output."`
	Size  string   `enum:"a4,letter" default:"a4" help:"Paper of the PDF: a4 or letter."`
	Force bool     `help:"Replace a file that is there already."`
	View  []string `sep:"none" placeholder:"SIDE" help:"plan: draw the bay from there: above, below, left, right, front, rear or corner; else from where the work is reached."`
	Unit  string   `placeholder:"UNIT" help:"torque: second unit beside the guide's: N·m, lbf·ft, lbf·in or kgf·m."`
	Limit string   `placeholder:"SUM" help:"quote: what the customer has authorised, with tax, such as 500.00."`
	Fixed bool     `help:"quote: one price that holds instead of a price with its range."`
	Log   string   `placeholder:"FILE" help:"handover, job: log of the job, one event a line; - for standard input."`
}

// Help stands under the usage of paper.
func (paperCmd) Help() string {
	return "Without --pdf and --html the paper is printed as text. Every page bears the variant, the revisions of paper and guide, and the date. " +
		"The revision of a paper follows from what it says: where two differ, the papers differ. A file is written whole or not at all, and never over another one unless --force says so.\n\n" + exitHelp()
}

// Run makes the paper and writes it.
func (c *paperCmd) Run(r *run) error {
	a, err := r.open()
	if err != nil {
		return err
	}
	d, outcome, err := c.make(r, a)
	if err != nil {
		return err
	}
	r.exit = exitOfOutcome(outcome)
	written, err := c.write(r, d)
	switch {
	case err != nil:
		return err
	case r.cli.JSON && c.PDF != "-" && c.HTML != "-":
		return r.json(paperAnswer{Outcome: outcome, Mark: d.Mark(), Written: written, Document: *d})
	case len(written) > 0:
		_, err = fmt.Fprintln(r.Stderr, "written:", strings.Join(written, ", "))
		return err
	case c.PDF != "" || c.HTML != "":
		return nil
	}
	return d.Text(r.Stdout, r.page().width)
}

// paperAnswer is the JSON of paper.
type paperAnswer struct {
	Outcome  plan.Outcome    `json:"outcome" says:"what was proved of the plan behind it; optimal for a paper of a log"`
	Mark     string          `json:"mark" says:"the revision of the paper, which follows from what it says"`
	Written  []string        `json:"written" says:"files that were written"`
	Document report.Document `json:"document" says:"the paper itself: what stands on every page, and sections of blocks, each of which is one thing"`
}

// make finds out what the paper says.
func (c *paperCmd) make(r *run, a UseCases) (*report.Document, plan.Outcome, error) {
	kind := report.Kind(c.Kind)
	if slices.Contains(app.LogPapers, kind) {
		d, err := c.ofLog(r, a, kind)
		return d, plan.Optimal, err
	}
	if !slices.Contains(app.AskedPapers, kind) {
		return nil, "", fmt.Errorf("%w: there is no paper %q; write %s, or with --log %s", errUsage, c.Kind, wordList(app.AskedPapers), wordList(app.LogPapers))
	}
	if c.Log != "" {
		return nil, "", fmt.Errorf("%w: --log is for the papers %s; a %s comes from a question", errUsage, wordList(app.LogPapers), c.Kind)
	}
	q, err := c.question(r, a)
	if err != nil {
		return nil, "", err
	}
	ask := app.PaperAsk{Ask: q, Kind: kind, Torque: app.TorqueAsk{Unit: c.Unit}, Quote: app.QuoteAsk{Limit: c.Limit, Fixed: c.Fixed}}
	for _, v := range c.View {
		ask.Views = append(ask.Views, guide.View(v))
	}
	p, err := a.Paper(ask)
	if err != nil {
		return nil, "", err
	}
	return &p.Document, p.Outcome, nil
}

func (c *paperCmd) ofLog(r *run, a UseCases, kind report.Kind) (*report.Document, error) {
	switch {
	case c.Log == "":
		return nil, fmt.Errorf("%w: the paper %s is made from the log of a job; name its file with --log", errUsage, c.Kind)
	case len(c.Tasks) > 0:
		return nil, fmt.Errorf("%w: the paper %s takes no tasks: what was done stands in the log", errUsage, c.Kind)
	}
	log, err := r.jobLog(c.Log)
	if err != nil {
		return nil, err
	}
	return a.PaperOfLog(kind, log)
}

func wordList(kinds []report.Kind) string {
	var words []string
	for _, k := range kinds {
		words = append(words, string(k))
	}
	return strings.Join(words, ", ")
}

// paperKinds lists every paper, for completion.
func paperKinds() []string {
	var words []string
	for _, k := range slices.Concat(app.AskedPapers, app.LogPapers) {
		words = append(words, string(k))
	}
	return words
}

// write writes the files that were asked for and returns their names.
func (c *paperCmd) write(r *run, d *report.Document) ([]string, error) {
	size := report.A4
	if c.Size == "letter" {
		size = report.Letter
	}
	written := []string{}
	for _, f := range []struct {
		name string
		as   func(io.Writer) error
	}{
		{c.PDF, func(w io.Writer) error { return d.PDF(w, size) }},
		{c.HTML, func(w io.Writer) error { return d.HTML(w, report.Web{}) }},
	} {
		switch f.name {
		case "":
		case "-":
			if err := f.as(r.Stdout); err != nil {
				return written, err
			}
		default:
			if err := writePaper(f.name, c.Force, f.as); err != nil {
				return written, err
			}
			written = append(written, f.name)
		}
	}
	return written, nil
}

// writePaper writes a whole file or nothing. Without force a file that is there
// stays, also one that came up meanwhile.
func writePaper(name string, force bool, as func(io.Writer) error) error {
	if force {
		return writeWhole(name, func(f *os.File) error { return as(f) })
	}
	if _, err := os.Lstat(name); err == nil {
		return taken(name)
	}
	f, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+"-")
	if err != nil {
		return unwritable(name, err)
	}
	defer os.Remove(f.Name())
	if err := errors.Join(as(f), f.Chmod(0o644), f.Close()); err != nil {
		return unwritable(name, err)
	}
	err = os.Link(f.Name(), name) // fails when the name is taken by now
	switch {
	case errors.Is(err, fs.ErrExist):
		return taken(name)
	case err != nil: // a disk without links
		err = os.Rename(f.Name(), name)
	}
	if err != nil {
		return unwritable(name, err)
	}
	return nil
}

func taken(name string) error {
	return fmt.Errorf("%w: %s is there already; write --force to replace it", errUsage, name)
}
