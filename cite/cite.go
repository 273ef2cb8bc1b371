// Package cite says where a statement comes from.
//
// Every fact of a guide can carry a Source: who says so, in which document or
// with which hands, when, on which machine, and who confirmed it. The grade
// orders sources for a reader who must choose between two that disagree; the
// package itself never chooses.
package cite

// Grade tells how a statement came to be known.
type Grade string

// The grades, best first.
const (
	Standard  Grade = "standard"   // a published standard or law
	Maker     Grade = "maker"      // the maker's own document
	FirstHand Grade = "first-hand" // done or measured by the person named
	Computed  Grade = "computed"   // worked out by a stated rule
	Hearsay   Grade = "hearsay"    // told by somebody else
	Guess     Grade = "guess"      // nobody has checked
	Invented  Grade = "invented"   // made up for demonstration
)

// Grades lists every grade, best first.
var Grades = []Grade{Standard, Maker, FirstHand, Computed, Hearsay, Guess, Invented}

// Rank returns the place of g in Grades, or len(Grades) for an unknown one;
// lower is better.
func (g Grade) Rank() int {
	for i, x := range Grades {
		if x == g {
			return i
		}
	}
	return len(Grades)
}

// Source is one origin of facts.
type Source struct {
	ID        string `yaml:",key"`
	Grade     Grade  `yaml:"grade"`
	Who       string `yaml:"who,omitempty"`       // the person, or the body that publishes
	Document  string `yaml:"document,omitempty"`  // title, edition
	Page      string `yaml:"page,omitempty"`      // page, table, clause
	Date      string `yaml:"date,omitempty"`      // ISO 8601 date of the statement
	Machine   string `yaml:"machine,omitempty"`   // on which machine it was seen
	Confirmed string `yaml:"confirmed,omitempty"` // who confirmed it
	Note      string `yaml:"note,omitempty"`
}

// String returns one line for people: "first-hand, I. Pellow, 2024-05-02".
func (s Source) String() string {
	line := string(s.Grade)
	for _, part := range []string{s.Who, s.Document, s.Page, s.Date, s.Machine} {
		if part != "" {
			line += ", " + part
		}
	}
	if s.Confirmed != "" {
		line += ", confirmed by " + s.Confirmed
	}
	return line
}

// Allowed lists the words that a Grade knows.
func (Grade) Allowed() []string {
	words := make([]string, len(Grades))
	for i, g := range Grades {
		words[i] = string(g)
	}
	return words
}
