package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"elbowroom/app"
)

// codesCmd reads what a reader of codes showed, or explains one code.
type codesCmd struct {
	machineFlags
	What   string `arg:"" name:"what" help:"File with what a reader of codes shows or exports, rows of bytes or a CAN capture; - for standard input; or a code, such as P0327, to have it explained."`
	Link   string `enum:",can,older" default:"" placeholder:"LINK" help:"Over what rows of bytes without identifier were read: can, or older for the links before it."`
	Deltas bool   `help:"The times of a capture are differences from line to line."`
}

// Help stands under the usage of codes.
func (codesCmd) Help() string {
	return "The form is told by the text itself and stated. A capture may be of any length; it is read as it comes. " +
		"What is not understood is listed with its line.\n\n" + exitHelp()
}

// Run reads and prints.
func (c *codesCmd) Run(r *run) error {
	a, err := r.open()
	if err != nil {
		return err
	}
	q := app.Ask{Guide: r.guideName(c.Machine, a), Machine: c.Machine, Variant: c.Variant}
	in := app.CodeInput{Name: c.What, Link: c.Link, Deltas: c.Deltas}
	switch f, err := os.Open(c.What); {
	case c.What == "-":
		in.Name, in.Text = "", r.Stdin
		return c.read(r, a, q, in)
	case err == nil:
		defer f.Close()
		in.Text = f
		return c.read(r, a, q, in)
	case !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%w: %w", errUsage, err)
	}
	sheet, err := a.Code(q, c.What)
	switch {
	case errors.Is(err, app.ErrInput) && strings.ContainsAny(c.What, `./\`):
		return fmt.Errorf("%w: %s: there is no such file", app.ErrInput, c.What)
	case err != nil:
		return err
	case r.cli.JSON:
		return r.json(codeJSON(sheet))
	}
	p := r.page()
	p.codeSheet(sheet)
	return r.show(p)
}

// read reads the codes from a file.
func (c *codesCmd) read(r *run, a UseCases, q app.Ask, in app.CodeInput) error {
	if in.Text == nil {
		in.Text = strings.NewReader("")
	}
	read, err := a.ReadCodes(app.Job{Ask: q}, in)
	if err != nil {
		return err
	}
	if foundNothing(read) {
		r.exit = Nothing
	}
	if r.cli.JSON {
		return r.json(codesJSON(read))
	}
	p := r.page()
	p.codesRead(read)
	return r.show(p)
}

// foundNothing reports whether a text held nothing that is known here.
func foundNothing(c *app.CodesRead) bool {
	return len(c.Units) == 0 && len(c.Empty) == 0 && len(c.Cleared) == 0
}
