// Package corpus finds and runs test cases that are kept as text.
//
// A test whose data has moved must fail, not pass with nothing to do: Files
// fails the test when no file matches, and Run when a file holds no case, a
// case without a reason, or two cases with the same name.
//
// # Cases
//
// A file of cases is read by people. Each case is a reason, a command, its
// input, a line of four dashes, and the output up to the next empty line:
//
//	# The colon is part of the text and needs quotes.
//	read
//	name: bolt: long
//	----
//	1:1: error: …
//
// With the flag -rewrite the outputs are replaced by what was computed; the
// difference is then reviewed like any other change.
package corpus

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var rewrite = flag.Bool("rewrite", false, "replace the expected outputs of test cases by the computed ones")

// Rewriting reports whether outputs are to be replaced, for tests that keep
// whole files of expected output.
func Rewriting() bool { return *rewrite }

// Files returns the files that match a pattern of path/filepath, in order.
// The test fails at once when there is none.
func Files(t testing.TB, pattern string) []string {
	t.Helper()
	names, err := filepath.Glob(pattern)
	if err != nil {
		t.Fatalf("pattern %q: %v", pattern, err)
	}
	if len(names) == 0 {
		t.Fatalf("no file matches %q: the test would check nothing", pattern)
	}
	return names
}

// Read returns the content of a file; the test fails at once when it is
// missing or empty.
func Read(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if len(bytes.TrimSpace(data)) == 0 {
		t.Fatalf("%s is empty: the test would check nothing", name)
	}
	return data
}

// Case is one case of a file.
type Case struct {
	Line    int    // of the command
	Reason  string // the comment above it
	Command string // first word
	Args    string // the rest of the line
	Input   string
	Want    string // expected output
}

// Parse reads the cases of a file. It returns an error for a case without a
// reason or without dashes, and for a file without a case.
func Parse(text string) ([]Case, error) {
	var cases []Case
	lines := strings.Split(text, "\n")
	for i := 0; i < len(lines); {
		if strings.TrimSpace(lines[i]) == "" {
			i++
			continue
		}
		c, next, err := parseCase(lines, i)
		if err != nil {
			return nil, err
		}
		cases = append(cases, c)
		i = next
	}
	if len(cases) == 0 {
		return nil, fmt.Errorf("no case in the file: the test would check nothing")
	}
	return cases, nil
}

func parseCase(lines []string, i int) (c Case, next int, err error) {
	var reason []string
	for ; i < len(lines) && strings.HasPrefix(lines[i], "#"); i++ {
		reason = append(reason, strings.TrimSpace(strings.TrimPrefix(lines[i], "#")))
	}
	c.Reason = strings.Join(reason, " ")
	if c.Reason == "" {
		return c, i, fmt.Errorf("line %d: a case begins with a # line that gives its reason", i+1)
	}
	if i >= len(lines) || strings.TrimSpace(lines[i]) == "" {
		return c, i, fmt.Errorf("line %d: a reason without a case", i+1)
	}
	c.Line = i + 1
	c.Command, c.Args, _ = strings.Cut(lines[i], " ")
	var input, want []string
	for i++; i < len(lines) && lines[i] != "----"; i++ {
		input = append(input, lines[i])
	}
	if i >= len(lines) {
		return c, i, fmt.Errorf("line %d: the case has no line of four dashes", c.Line)
	}
	for i++; i < len(lines) && lines[i] != ""; i++ {
		want = append(want, lines[i])
	}
	c.Input, c.Want = strings.Join(input, "\n"), strings.Join(want, "\n")
	return c, i, nil
}

// Run runs every case of a file as a subtest. Compute returns the output; an
// empty line in it would end the case early and fails the test.
func Run(t *testing.T, name string, compute func(t *testing.T, c Case) string) {
	t.Helper()
	cases, err := Parse(string(Read(t, name)))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	var out strings.Builder
	for _, c := range cases {
		t.Run(fmt.Sprintf("line %d %s", c.Line, c.Reason), func(t *testing.T) {
			got := strings.TrimSuffix(compute(t, c), "\n")
			if strings.Contains(got, "\n\n") || got == "" {
				t.Fatalf("%s:%d: output is empty or holds an empty line:\n%s", name, c.Line, got)
			}
			if got != c.Want && !*rewrite {
				t.Errorf("%s:%d: %s\ninput:\n%s\ngot:\n%s\nwant:\n%s", name, c.Line, c.Reason, c.Input, got, c.Want)
			}
			c.Want = got
		})
		out.WriteString(c.String() + "\n")
	}
	if *rewrite && !t.Failed() {
		if err := os.WriteFile(name, []byte(strings.TrimSuffix(out.String(), "\n")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// String prints the case as Parse reads it.
func (c Case) String() string {
	head := c.Command
	if c.Args != "" {
		head += " " + c.Args
	}
	input := c.Input
	if input != "" {
		input += "\n"
	}
	return "# " + c.Reason + "\n" + head + "\n" + input + "----\n" + c.Want + "\n"
}
