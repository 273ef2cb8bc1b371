package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/span"
)

// mostFindings is how many findings of a guide that cannot be used are shown;
// vet shows all of them.
const mostFindings = 20

// failure is what goes wrong, as JSON on standard error.
type failure struct {
	Error failed `json:"error" says:"what went wrong"`
}

type failed struct {
	Code     string    `json:"code" says:"name of the exit status"`
	Exit     Exit      `json:"exit" says:"exit status"`
	Message  string    `json:"message" says:"what, where, why and what to do"`
	Findings span.List `json:"findings,omitempty" says:"what is wrong with the text of the guide"`
}

// fail reports an error on standard error and returns its exit status.
func (r *run) fail(err error) Exit {
	code := exitOf(err)
	var list span.List
	errors.As(err, &list)
	message := err.Error()
	if len(list) > 0 {
		message = strings.TrimSpace(strings.TrimSuffix(strings.Replace(message, list.Error(), "", 1), "\n"))
		message = strings.TrimSuffix(message, ":")
	}
	if r.cli.JSON || slices.Contains(r.Args, "--json") { // the flag may not have been read yet
		data, _ := json.MarshalIndent(failure{failed{nameOf(code), code, message, list}}, "", "  ")
		fmt.Fprintln(r.Stderr, string(data))
		return code
	}
	p := r.page()
	p.para("elbowroom: ", "  ", message)
	for i, f := range list {
		if i == mostFindings {
			p.line(fmt.Sprintf("  and %d more; all of them: elbowroom vet", len(list)-mostFindings))
			break
		}
		p.finding(f)
	}
	if errors.Is(err, guide.ErrVariant) {
		p.para("  > ", "    ", "name the variant with --variant, or a machine with --machine")
	}
	if code == Internal {
		p.para("  ", "  ", "This is a fault of the program, not of what you typed. Nothing was changed.")
	}
	if err := p.writeTo(r.Stderr); err != nil {
		return Internal
	}
	return code
}

// finding prints one finding: where and how grave, what, what to do.
func (p *page) finding(f span.Finding) {
	where := f.Severity.String() + ", " + f.Rule
	if at := f.Pos.String(); at != "" {
		where = at + ": " + where
	}
	p.para("  ", "    ", where)
	says := f.Says
	if f.Text != "" {
		says += fmt.Sprintf(": %q", f.Text)
	}
	p.para("    ", "    ", says)
	if f.Expect != "" {
		p.para("    ", "    ", "expected: "+f.Expect)
	}
	if len(f.Nearest) > 0 {
		p.para("    ", "    ", "nearest known: "+strings.Join(f.Nearest, ", "))
	}
	if f.Do != "" {
		p.para("    > ", "      ", f.Do)
	}
}
