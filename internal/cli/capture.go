package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/capture/draft"
	"elbowroom/capture/transcript"
	"elbowroom/guide/file"
)

// captureCmd turns a narration into facts and a draft.
type captureCmd struct {
	File      string   `arg:"" name:"file" help:"Narration: captions (WebVTT, SubRip), lines that begin with a time, notes, or a spreadsheet of joints with commas; - for standard input."`
	Lexicon   []string `placeholder:"FILE" sep:"none" help:"Words of your own, one class to a line: \"thing actuator: swirl flap box\". Can be given more than once."`
	Draft     string   `placeholder:"FILE" help:"Write the draft as text of a guide; - prints it instead of the report. A file that is there is not overwritten."`
	Decisions string   `placeholder:"FILE" help:"JSON list of decisions about the facts, such as [{\"do\": \"accept\", \"fact\": \"knock-sensor/torque\"}], carried out in order: accept, change, reject, undo. With --draft the guide is written with what was accepted."`
	Who       string   `placeholder:"NAME" help:"Who speaks, where the narration does not say."`
	On        string   `placeholder:"MACHINE" help:"On which machine it was seen."`
	Date      string   `placeholder:"DATE" help:"When it was said, such as 2026-11-25."`
}

// Help stands under the usage of capture.
func (captureCmd) Help() string {
	return "Nothing is looked up and nothing leaves the machine. A fact keeps its words, its time, who said it and how surely. " +
		"What was left unsaid becomes a question, what was said twice and differently a contradiction with both times; a passage that makes no sense gives nothing at all. " +
		"With --guide the facts are laid beside that guide: + new, = the same, ! otherwise, ? which item.\n\n" + exitHelp()
}

// capturing is what the command asks of the program.
type capturing interface {
	Narration(q app.NarrationAsk) (*app.Narrated, error)
}

// Run reads, listens and prints.
func (c *captureCmd) Run(r *run) error {
	q, err := c.ask(r)
	if err != nil {
		return err
	}
	a, err := r.open()
	if err != nil {
		return err
	}
	u, ok := a.(capturing)
	if !ok {
		return fmt.Errorf("%w: this program listens to no narration", errUsage)
	}
	if r.guideGiven() {
		q.Guide = r.cli.Guide[0]
	}
	got, err := u.Narration(q)
	if err != nil {
		return err
	}
	if got.Nothing() {
		r.exit = Nothing
	}
	if c.Draft != "" {
		if err := c.write(r, got); err != nil {
			return err
		}
	}
	switch {
	case c.Draft == "-":
		return nil
	case r.cli.JSON:
		return r.json(captureJSON(got))
	}
	p := r.page()
	p.captured(got)
	if c.Draft != "" {
		p.space()
		p.line("Draft written to " + c.Draft + ".")
	}
	return r.show(p)
}

// guideGiven reports whether the command line names a guide: without one the
// facts stand alone and are not laid beside the demonstration.
func (r *run) guideGiven() bool {
	return slices.ContainsFunc(r.Args, func(s string) bool { return s == "--guide" || strings.HasPrefix(s, "--guide=") })
}

// ask reads the files that the command names.
func (c *captureCmd) ask(r *run) (app.NarrationAsk, error) {
	q := app.NarrationAsk{Name: filepath.Base(c.File), Options: draft.Options{Narrator: c.Who, Machine: c.On, Date: c.Date}}
	var err error
	if c.File == "-" {
		q.Name = "standard input"
		q.Text, err = io.ReadAll(io.LimitReader(r.Stdin, transcript.MaxSize+1))
	} else {
		q.Text, err = readFile(c.File, transcript.MaxSize)
	}
	if err != nil {
		return q, err
	}
	for _, name := range c.Lexicon {
		text, err := readFile(name, maxLexicon)
		if err != nil {
			return q, err
		}
		q.Lexicon = append(q.Lexicon, app.NamedText{Name: name, Text: text})
	}
	if c.Decisions != "" {
		q.Decisions, err = readDecisions(c.Decisions)
	}
	return q, err
}

// Bounds of what is read besides the narration, in bytes.
const (
	maxLexicon   = 1 << 20
	maxDecisions = 8 << 20
)

// readFile reads a file of at most so many bytes and one more, so that the
// reader of the text can say that it is too large.
func readFile(name string, most int64) ([]byte, error) {
	f, err := os.Open(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%w: %s: there is no such file", errUsage, name)
	case err != nil:
		return nil, fmt.Errorf("%w: %w", errUsage, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, fmt.Errorf("%w: %s cannot be read: it may be a folder", errUsage, name)
	}
	return data, nil
}

// readDecisions reads a JSON list of decisions.
func readDecisions(name string) ([]draft.Decision, error) {
	data, err := readFile(name, maxDecisions)
	if err != nil {
		return nil, err
	}
	list := []draft.Decision{}
	d := json.NewDecoder(strings.NewReader(string(data)))
	d.DisallowUnknownFields()
	if err := d.Decode(&list); err != nil {
		return nil, fmt.Errorf("%w: %s is no list of decisions: %w; write [{\"do\": \"accept\", \"fact\": \"…\"}]", app.ErrInput, name, err)
	}
	return list, nil
}

// write prints the draft as text of a guide.
func (c *captureCmd) write(r *run, got *app.Narrated) error {
	text := file.Print(got.Draft)
	if c.Draft == "-" {
		_, err := r.Stdout.Write(text)
		return err
	}
	f, err := os.OpenFile(c.Draft, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	switch {
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("%w: --draft %s: the file is there already; name another", errUsage, c.Draft)
	case err != nil:
		return fmt.Errorf("%w: --draft: %w", errUsage, err)
	}
	if _, err := f.Write(text); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
