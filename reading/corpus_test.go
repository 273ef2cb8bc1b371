package reading_test

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/internal/corpus"
	"elbowroom/reading"
	"elbowroom/span"
)

// bench is the guide of testdata with one check for every form of limit.
func bench(t testing.TB, variant string) *guide.Resolved {
	t.Helper()
	g, _, list := file.Read(os.DirFS("testdata"), "bench.yaml")
	if g == nil || len(list) > 0 {
		t.Fatal(list)
	}
	return resolve(t, g, variant)
}

func resolve(t testing.TB, g *guide.Guide, variant string) *guide.Resolved {
	t.Helper()
	s, err := guide.Parse[guide.Selector](variant)
	if err != nil {
		t.Fatal(err)
	}
	r, err := guide.Resolve(g, s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func instruments(t testing.TB) []reading.Instrument {
	t.Helper()
	w, err := demo.Workshop()
	if err != nil {
		t.Fatal(err)
	}
	return w.Instruments()
}

// TestParse runs what people type through Parse alone.
func TestParse(t *testing.T) {
	corpus.Run(t, "testdata/parse.txt", func(t *testing.T, c corpus.Case) string {
		rd, err := reading.Parse(c.Input)
		if err != nil {
			return findings(t, err)
		}
		return shape(rd)
	})
}

// findings prints the errors of reading; anything but a span.List is a fault.
func findings(t *testing.T, err error) string {
	var list span.List
	if !errors.As(err, &list) {
		t.Fatalf("%v is no span.List", err)
	}
	for _, f := range list {
		if f.Says == "" || f.Do == "" || f.Pos.Col == 0 {
			t.Errorf("%v: what is wrong, where and what to do belong to every finding", f)
		}
	}
	return list.Error()
}

func shape(rd reading.Reading) string {
	var b strings.Builder
	fmt.Fprintf(&b, "check %s\n", rd.Check)
	for _, p := range rd.Parts {
		fmt.Fprintf(&b, "part %q %s step %g", p.Name, p, p.Step)
		if p.Item != "" {
			fmt.Fprintf(&b, " of %s", p.Item)
		}
		if p.Repeats != nil {
			fmt.Fprintf(&b, ", mean of %d, deviation %.3g", p.Repeats.Number, p.Repeats.Deviation)
		}
		b.WriteString("\n")
	}
	for _, s := range rd.Stated {
		if s.Value.Zero() {
			fmt.Fprintf(&b, "words %q\n", s.Text)
			continue
		}
		fmt.Fprintf(&b, "stated %q %s %s", s.Subject, s.Bound, s.Value)
		if !s.Within.Zero() {
			fmt.Fprintf(&b, " ± %s", s.Within)
		}
		b.WriteString("\n")
	}
	for name, s := range map[string]string{"at": rd.Point} {
		if s != "" {
			fmt.Fprintf(&b, "%s %s\n", name, s)
		}
	}
	if rd.Tool+rd.By+rd.Day+rd.Picture != "" {
		fmt.Fprintf(&b, "tool %q by %q day %q picture %q\n", rd.Tool, rd.By, rd.Day, rd.Picture)
	}
	return b.String()
}

// TestJudge runs readings of the bench and of the demonstration to their
// verdicts: "judge bench LHD A", the reading, then options one on a line.
func TestJudge(t *testing.T) {
	for _, name := range corpus.Files(t, "testdata/judge*.txt") {
		corpus.Run(t, name, func(t *testing.T, c corpus.Case) string {
			which, variant, _ := strings.Cut(c.Args, " ")
			var r *guide.Resolved
			if which == "demo" {
				r = engine(t, variant)
			} else {
				r = bench(t, variant)
			}
			lines := strings.Split(c.Input, "\n")
			rd, err := reading.Read(r, lines[0])
			if err != nil {
				return findings(t, err)
			}
			if c.Command == "read" {
				return shape(rd)
			}
			return verdict(reading.Judge(r, r.Check(rd.Check), rd, options(t, lines[1:])))
		})
	}
}

func options(t *testing.T, lines []string) (opt reading.Options) {
	for _, l := range lines {
		word, rest, _ := strings.Cut(l, " ")
		switch word {
		case "instruments":
			opt.Instruments = instruments(t)
		case "zeroed":
			opt.Instruments = instruments(t)
			for i := range opt.Instruments {
				opt.Instruments[i].Zeroed = true
			}
		case "today":
			opt.Today = rest
		case "strict":
			opt.Strict = true
		case "assume":
			opt.Assume = true
		case "simple":
			opt.Simple = true
		case "exception":
			item, variant, _ := strings.Cut(rest, " ")
			s, err := guide.Parse[guide.Selector](variant)
			if err != nil {
				t.Fatal(err)
			}
			opt.Exceptions = append(opt.Exceptions, reading.Exception{Item: guide.ID(item), Variant: s})
		default:
			t.Fatalf("no option %q", l)
		}
	}
	return opt
}

// verdict prints everything that a verdict says, but for the budgets' numbers
// beyond the standard uncertainty.
func verdict(v reading.Verdict) string {
	var b strings.Builder
	line := func(word string, items ...string) {
		for _, s := range items {
			if s != "" {
				fmt.Fprintf(&b, "%s: %s\n", word, s)
			}
		}
	}
	line(string(v.Outcome), v.Says)
	for _, d := range v.Parts {
		if len(v.Parts) > 1 || len(d.Budget.Components) > 1 {
			fmt.Fprintf(&b, "part %s [%s]: %s, p %.3f, %s\n", d.Part, d.Limit, d.Outcome, d.Probability, d.Budget)
		}
	}
	for _, c := range v.Conditions {
		if c.State != reading.Met && c.State != reading.Assumed || c.Limit != "" {
			fmt.Fprintf(&b, "condition %s: %s %s\n", c.Clause, c.State, c.Off)
		}
	}
	for _, c := range v.Corrections {
		fmt.Fprintf(&b, "correction %s: %s becomes %s, %s\n", c.Name, c.From, c.To, c.Says)
	}
	line("refused", v.Refused...)
	line("missing", v.Missing...)
	line("unused", v.Unused...)
	line("anyway", v.Anyway)
	line("remark", v.Remarks...)
	if v.Partial {
		b.WriteString("partial\n")
	}
	return b.String()
}
