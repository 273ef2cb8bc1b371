package suspect

import (
	"fmt"
	"math"
	"strings"

	"elbowroom/span"
)

// Range is a number that nobody has measured: the value used and the ends
// between which it may lie.
type Range struct {
	Low    float64 `json:"low"`
	Middle float64 `json:"middle"`
	High   float64 `json:"high"`
}

// Exactly returns the range of a number that is known.
func Exactly(p float64) Range { return Range{p, p, p} }

// Assumptions are the probabilities that a guide does not state. Those of
// Default are judgements of this project, not measurements; a workshop that
// has counted puts its own in their place.
type Assumptions struct {
	SignGiven    Range `json:"sign_given"`    // a fault that names a sign brings it
	SignLeak     Range `json:"sign_leak"`     // a sign comes with none of its faults
	CodeGiven    Range `json:"code_given"`    // a fault that lists a code sets it
	CodeLeak     Range `json:"code_leak"`     // a code is stored with none of its faults
	PendingGiven Range `json:"pending_given"` // the same for a code that is not confirmed
	PendingLeak  Range `json:"pending_leak"`
	VictimGiven  Range `json:"victim_given"` // a fault sets a code that names a part fed, grounded or connected through it
	NoCode       Range `json:"no_code"`      // a fault with codes has set one of them, where all codes were read
	CheckFails   Range `json:"check_fails"`  // a check fails with a fault that names it, where the guide has no odds
	CheckKin     Range `json:"check_kin"`    // the same with a fault that sets much the same codes as one that names the check
	CheckLeak    Range `json:"check_leak"`   // a check fails with any other fault, where the guide has no odds
	Touched      Range `json:"touched"`      // factor on faults of what was touched just before it began
	Unlisted     Range `json:"unlisted"`     // share of causes that the guide does not list
	UnlistedSign Range `json:"unlisted_sign"`
	Further      Range `json:"further"`     // expected number of further faults beside the first
	ProofMissed  Range `json:"proof_miss"`  // the proof passes although a fault is left
	ProofFailed  Range `json:"proof_fails"` // the proof fails although nothing is left
}

// Default returns the assumptions of this project.
func Default() Assumptions {
	return Assumptions{
		SignGiven:    Range{0.30, 0.50, 0.80},
		SignLeak:     Range{0.03, 0.10, 0.25},
		CodeGiven:    Range{0.40, 0.70, 0.95},
		CodeLeak:     Range{0.002, 0.01, 0.04},
		PendingGiven: Range{0.30, 0.50, 0.80},
		PendingLeak:  Range{0.01, 0.04, 0.12},
		VictimGiven:  Range{0.05, 0.20, 0.50},
		NoCode:       Range{0.20, 0.50, 0.80},
		CheckFails:   Range{0.50, 0.80, 0.98},
		CheckKin:     Range{0.05, 0.40, 0.90},
		CheckLeak:    Range{0.01, 0.03, 0.10},
		Touched:      Range{3, 10, 30},
		Unlisted:     Range{0.02, 0.06, 0.15},
		UnlistedSign: Range{0.02, 0.05, 0.12},
		Further:      Range{0.02, 0.05, 0.15},
		ProofMissed:  Range{0.02, 0.08, 0.25},
		ProofFailed:  Range{0.0005, 0.002, 0.01},
	}
}

// Group names one set of assumptions that are varied together.
type Group string

// The groups. The odds of a check without odds of its own are a group of
// their own: "check T16".
const (
	groupSigns    Group = "complaint"
	groupCodes    Group = "codes"
	groupPending  Group = "codes that are not confirmed"
	groupVictim   Group = "codes of what hangs on a part"
	groupNoCode   Group = "codes that are missing"
	groupTouched  Group = "what was touched"
	groupUnlisted Group = "causes not listed"
	groupFurther  Group = "further faults"
	groupProof    Group = "proof"
)

// setting says which group of assumptions is taken at which end. The zero
// value takes every range at its middle.
type setting struct {
	group  Group
	strong bool // evidence as telling as it may be, else as weak
}

// given returns the probability that a cause shows itself.
func (s setting) given(g Group, r Range) float64 {
	if s.group != g || g == "" {
		return r.Middle
	}
	if s.strong {
		return r.High
	}
	return r.Low
}

// leak returns the probability that something shows without its cause.
func (s setting) leak(g Group, r Range) float64 {
	if s.group != g || g == "" {
		return r.Middle
	}
	if s.strong {
		return r.Low
	}
	return r.High
}

// figure is one assumption with its name, its greatest value and what it is.
type figure struct {
	name string // as JSON has it
	r    *Range
	most float64
	says string
}

// mostFactor bounds what is a factor or a number and no probability.
const mostFactor = 1e6

// figures lists the assumptions in their order.
func (a *Assumptions) figures() []figure {
	return []figure{
		{"sign_given", &a.SignGiven, 1, "a fault that names a sign brings it"},
		{"sign_leak", &a.SignLeak, 1, "a sign comes with none of its faults"},
		{"code_given", &a.CodeGiven, 1, "a fault that lists a code sets it"},
		{"code_leak", &a.CodeLeak, 1, "a code is stored with none of its faults"},
		{"pending_given", &a.PendingGiven, 1, "a fault that lists a code sets it unconfirmed"},
		{"pending_leak", &a.PendingLeak, 1, "a code is stored unconfirmed with none of its faults"},
		{"victim_given", &a.VictimGiven, 1, "a fault sets a code of what hangs on its part"},
		{"no_code", &a.NoCode, 1, "a fault with codes has set one of them"},
		{"check_fails", &a.CheckFails, 1, "a check fails with a fault that names it, where the guide has no odds"},
		{"check_kin", &a.CheckKin, 1, "a check fails with a fault that sets the same codes as one that names it"},
		{"check_leak", &a.CheckLeak, 1, "a check fails with any other fault, where the guide has no odds"},
		{"unlisted", &a.Unlisted, 1, "the cause is one that the guide does not list"},
		{"unlisted_sign", &a.UnlistedSign, 1, "a cause that is not listed brings a sign"},
		{"proof_miss", &a.ProofMissed, 1, "the proof passes although a fault is left"},
		{"proof_fails", &a.ProofFailed, 1, "the proof fails although nothing is left"},
		{"touched", &a.Touched, mostFactor, "factor on faults of what was touched just before it began"},
		{"further", &a.Further, mostFactor, "number of further faults beside the first"},
	}
}

// check returns what is wrong with the assumptions.
func (a *Assumptions) check() span.List {
	var list span.List
	for _, f := range a.figures() {
		if f.r.within(f.most) {
			continue
		}
		list = append(list, span.Finding{
			Rule: "assumption", Where: "options.assume." + f.name, Text: fmt.Sprint(*f.r),
			Says:   fmt.Sprintf("the range of %s does not rise from low over middle to high within 0 to %g", f.name, f.most),
			Expect: "0 <= low <= middle <= high", Do: "put the three numbers in order",
		})
	}
	return list
}

// within reports whether a range rises from 0 to most.
func (r Range) within(most float64) bool {
	return 0 <= r.Low && r.Low <= r.Middle && r.Middle <= r.High && r.High <= most
}

// String prints "0.62 (0.50 to 0.73)", or the number alone where it is known.
func (r Range) String() string {
	if r.Low == r.High {
		return fmt.Sprintf("%.3g", r.Middle)
	}
	return fmt.Sprintf("%.3g (%.3g to %.3g)", r.Middle, r.Low, r.High)
}

// Figure is one assumption by the name that a workshop writes: "code-given".
type Figure struct {
	Name  string
	Says  string // what it is
	Range Range
	Most  float64 // its greatest value: 1 for a probability
}

// Figures lists the assumptions by name, in their order.
func (a Assumptions) Figures() []Figure {
	var out []Figure
	for _, f := range a.figures() {
		out = append(out, Figure{written(f.name), f.says, *f.r, f.most})
	}
	return out
}

// written is a name as it stands in a workshop's file.
func written(name string) string { return strings.ReplaceAll(name, "_", "-") }

// Set puts a range in the place of the one of that name. The error says what is
// wrong with the name or the range; nothing is changed then.
func (a *Assumptions) Set(name string, r Range) error {
	var known []string
	for _, f := range a.figures() {
		known = append(known, written(f.name))
		if written(f.name) != name {
			continue
		}
		if !r.within(f.most) {
			return fmt.Errorf("%s is %s; it must rise from low over middle to high within 0 to %g", name, r, f.most)
		}
		*f.r = r
		return nil
	}
	if near := span.Nearest(name, known); len(near) > 0 {
		return fmt.Errorf("nothing that is assumed is called %s; nearest: %s", name, strings.Join(near, ", "))
	}
	return fmt.Errorf("nothing that is assumed is called %s; known: %s", name, strings.Join(known, ", "))
}

// wilsonFactor is the factor of a two-sided 95 % interval (normal
// distribution).
const wilsonFactor = 1.959964

// Counted returns the range of a probability that was counted: seen so often
// of so many. The ends are those of Wilson's score interval, 95 % (E. B. Wilson,
// J. Am. Stat. Assoc. 22 (1927) 209), which stays within 0 to 1 and says
// something for nothing seen too. Of must be above 0 and seen within 0 to of.
func Counted(seen, of int) Range {
	n, p := float64(of), float64(seen)/float64(of)
	z2 := wilsonFactor * wilsonFactor
	middle := (p + z2/(2*n)) / (1 + z2/n)
	half := wilsonFactor / (1 + z2/n) * math.Sqrt(p*(1-p)/n+z2/(4*n*n))
	return Range{Low: min(p, max(0, middle-half)), Middle: p, High: max(p, min(1, middle+half))}
}
