package cli

import (
	"fmt"
	"strings"

	"elbowroom/app"
	"elbowroom/guide/file"
	"elbowroom/span"
)

// guideCmd gathers what is done with a guide as a text.
type guideCmd struct {
	Print  guidePrintCmd  `cmd:"" help:"Print the guide as one text in its standard form."`
	Schema guideSchemaCmd `cmd:"" help:"Describe the format of guides as JSON Schema, for editors."`
	Test   guideTestCmd   `cmd:"" help:"Run the tests that the guide carries."`
}

type (
	guidePrintCmd  struct{}
	guideSchemaCmd struct{}
	guideTestCmd   struct{}
)

// Help stands under the usage of guide test.
func (guideTestCmd) Help() string { return exitHelp() }

// guideAnswer is the JSON of guide print.
type guideAnswer struct {
	Guide string `json:"guide" says:"name of the guide"`
	Text  string `json:"text" says:"the guide in its standard form, YAML"`
}

// testAnswer is the JSON of guide test.
type testAnswer struct {
	Guide  string           `json:"guide" says:"name of the guide"`
	Tests  []app.TestResult `json:"tests" says:"every test that the guide carries"`
	Failed int              `json:"failed" says:"how many failed"`
}

// first returns the guide that the flags name first; an error when it cannot
// be used.
func (r *run) first() (UseCases, *app.Loaded, error) {
	a, err := r.open()
	if err != nil {
		return nil, nil, err
	}
	l := a.Guides()[0]
	if l.Guide == nil || l.Findings.Has(span.Error) {
		return a, l, fmt.Errorf("%w: guide %s:\n%w", app.ErrInput, l.Name, l.Findings)
	}
	return a, l, nil
}

// Run prints the guide.
func (guidePrintCmd) Run(r *run) error {
	_, l, err := r.first()
	if err != nil {
		return err
	}
	text := file.Print(l.Guide)
	if r.cli.JSON {
		return r.json(guideAnswer{l.Name, string(text)})
	}
	_, err = r.Stdout.Write(text)
	return err
}

// Run prints the schema, which is JSON in any case.
func (guideSchemaCmd) Run(r *run) error {
	_, err := r.Stdout.Write(file.Schema())
	return err
}

// Run runs the guide's tests.
func (guideTestCmd) Run(r *run) error {
	a, l, err := r.first()
	if err != nil {
		return err
	}
	results, err := a.TestGuide(l.Name)
	if err != nil {
		return err
	}
	out := testAnswer{Guide: l.Name, Tests: append([]app.TestResult{}, results...)}
	for _, t := range results {
		if !t.Passed {
			out.Failed++
			r.exit = TestsFail
		}
	}
	if r.cli.JSON {
		return r.json(out)
	}
	p := r.page()
	for _, t := range results {
		mark := "ok     "
		if !t.Passed {
			mark = "FAILED "
		}
		p.para(mark+"  "+string(t.ID)+"  ", strings.Repeat(" ", 9), t.Says)
	}
	switch {
	case len(results) == 0:
		p.line(l.Name + ": the guide carries no tests")
	default:
		p.line(fmt.Sprintf("%s: %s, %d failed", l.Name, count(len(results), "test"), out.Failed))
	}
	return r.show(p)
}
