package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"elbowroom/app"
)

// planCmd plans a visit.
type planCmd struct {
	visitFlags
	RunnersUp int    `name:"runners-up" placeholder:"N" default:"3" help:"How many other ways in to show."`
	Instead   int    `placeholder:"N" help:"Show that one of the other ways in, in full, instead of the best plan."`
	Explain   bool   `help:"Show why no plan is cheaper, and how long the plan stays the best."`
	MPS       string `name:"mps" placeholder:"FILE" help:"Write the problem as an MPS file that any solver reads; - for standard output."`
	LP        string `name:"lp" placeholder:"FILE" help:"Write the problem as an LP file."`
}

// Help stands under the usage of plan.
func (planCmd) Help() string {
	return "Minutes come first, money second. A plan is shown only after an independent check has replayed it step by step.\n\n" + exitHelp()
}

// Run plans and prints.
func (c *planCmd) Run(r *run) error {
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
	if c.MPS != "" || c.LP != "" {
		return c.export(r, a, q)
	}
	ans, err := a.Plan(q)
	if err != nil {
		return err
	}
	if r.exit = exitOfOutcome(ans.Plan.Outcome); c.Instead > 0 && r.exit == Bounded {
		r.exit = Done // it is dearer because it was asked for
	}
	if r.cli.JSON {
		return r.json(planJSON(ans, c.RunnersUp))
	}
	p := r.page()
	p.answer(ans, c)
	return r.show(p)
}

// question turns the flags into an Ask; without tasks, those in view for the
// machine are taken.
func (v *visitFlags) question(r *run, a UseCases) (app.Ask, error) {
	return v.visit(r, a, v.Tasks)
}

// visit turns tasks and flags into an Ask.
func (v *visitOptions) visit(r *run, a UseCases, tasks []string) (app.Ask, error) {
	q, err := v.ask(r.guideName(v.Machine, a), tasks)
	if err != nil || len(q.Tasks)+len(q.Before)+len(q.Proof) > 0 {
		return q, err
	}
	for _, m := range a.Home() {
		if string(m.Machine.ID) == q.Machine {
			q.Tasks = m.Ask.Tasks
		}
	}
	if len(q.Tasks) == 0 && q.Start == nil && q.Machine == "" {
		return q, fmt.Errorf("%w: nothing to plan: write a task, such as replace:SE13", errUsage)
	}
	return q, nil
}

// export writes the problem instead of solving it.
func (c *planCmd) export(r *run, a UseCases, q app.Ask) error {
	out := exportAnswer{Written: []string{}}
	for _, f := range []struct{ name, format string }{{c.MPS, "mps"}, {c.LP, "lp"}} {
		switch f.name {
		case "":
		case "-":
			if err := a.Export(q, f.format, r.Stdout); err != nil {
				return err
			}
		default:
			if err := writeWhole(f.name, func(w *os.File) error { return a.Export(q, f.format, w) }); err != nil {
				return err
			}
			out.Written = append(out.Written, f.name)
		}
	}
	switch {
	case r.cli.JSON && c.MPS != "-" && c.LP != "-":
		return r.json(out)
	case len(out.Written) > 0:
		_, err := fmt.Fprintln(r.Stderr, "written:", strings.Join(out.Written, ", "))
		return err
	}
	return nil
}

// exportAnswer is the JSON of plan --mps and --lp.
type exportAnswer struct {
	Written []string `json:"written" says:"files that were written"`
}

// writeWhole writes a file under another name in the same folder and renames
// it when it is complete: whoever reads the name never sees half a file.
func writeWhole(name string, write func(*os.File) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+"-")
	if err != nil {
		return unwritable(name, err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if err = write(f); err != nil {
		return err
	}
	if err = f.Chmod(0o644); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if err = f.Close(); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if err = os.Rename(f.Name(), name); err != nil {
		return unwritable(name, err)
	}
	return nil
}

// unwritable says why a file cannot be written, under the name that the user
// gave it.
func unwritable(name string, err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	return fmt.Errorf("%w: %s cannot be written: %w", errUsage, name, err)
}
