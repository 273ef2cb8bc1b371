// Package span holds positions in a text and the findings that point at them.
//
// A Pos names a file, a line and a column, both counted from 1 and columns in
// characters, not bytes. A Finding is one thing that is wrong or doubtful at a
// position: what, the offending text, what was expected, and what to do. All
// findings of a reading are collected in a List, never only the first.
package span

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Pos is a place in a file. The zero Pos means "no place known".
type Pos struct {
	File string `json:"file,omitempty"`
	Line int    `json:"line,omitempty"`
	Col  int    `json:"column,omitempty"`
}

// String prints file:line:column, leaving out what is not known.
func (p Pos) String() string {
	switch {
	case p.Line == 0:
		return p.File
	case p.File == "":
		return fmt.Sprintf("%d:%d", p.Line, p.Col)
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col)
}

// Compare orders positions by file, line, column.
func (p Pos) Compare(q Pos) int {
	return cmp.Or(cmp.Compare(p.File, q.File), cmp.Compare(p.Line, q.Line), cmp.Compare(p.Col, q.Col))
}

// Severity says how much a finding matters.
type Severity int

// The severities, gravest first.
const (
	Error   Severity = iota // the guide cannot be used as written
	Warning                 // usable, but something is likely wrong or unsafe
	Advice                  // a gap or an improvement
)

// String returns "error", "warning" or "advice".
func (s Severity) String() string { return [...]string{"error", "warning", "advice"}[s] }

// MarshalText implements encoding.TextMarshaler with String.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Finding is one thing to look at.
type Finding struct {
	Pos      Pos      `json:"pos"`
	Severity Severity `json:"severity"`
	Rule     string   `json:"rule"`             // short stable name, such as "unknown-item"
	Where    string   `json:"where,omitempty"`  // path inside the guide, such as "items.SE13.ways[0].needs"
	Text     string   `json:"text,omitempty"`   // the offending text
	Says     string   `json:"says"`             // what is wrong, one sentence
	Expect   string   `json:"expect,omitempty"` // what was expected
	Nearest  []string `json:"nearest,omitempty"`
	Do       string   `json:"do,omitempty"` // what to do about it
}

// String prints the finding on one line.
func (f Finding) String() string {
	var b strings.Builder
	if at := f.Pos.String(); at != "" {
		b.WriteString(at + ": ")
	}
	fmt.Fprintf(&b, "%s: %s", f.Severity, f.Says)
	if f.Text != "" {
		fmt.Fprintf(&b, ": %q", f.Text)
	}
	if f.Expect != "" {
		b.WriteString("; expected " + f.Expect)
	}
	if len(f.Nearest) > 0 {
		b.WriteString("; nearest known: " + strings.Join(f.Nearest, ", "))
	}
	if f.Do != "" {
		b.WriteString("; " + f.Do)
	}
	return b.String()
}

// List is a collection of findings. As an error it prints one per line.
type List []Finding

// Error implements error.
func (l List) Error() string {
	lines := make([]string, len(l))
	for i, f := range l {
		lines[i] = f.String()
	}
	return strings.Join(lines, "\n")
}

// Sort orders the list by position, then severity, then rule and text.
func (l List) Sort() {
	slices.SortStableFunc(l, func(a, b Finding) int {
		return cmp.Or(a.Pos.Compare(b.Pos), cmp.Compare(a.Severity, b.Severity),
			cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Where, b.Where), cmp.Compare(a.Text, b.Text))
	})
}

// Has reports whether the list holds a finding of severity s or graver.
func (l List) Has(s Severity) bool {
	return slices.ContainsFunc(l, func(f Finding) bool { return f.Severity <= s })
}
