package suspect

import (
	"fmt"

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

// check returns what is wrong with the assumptions.
func (a *Assumptions) check() span.List {
	var list span.List
	look := func(name string, r Range, most float64) {
		if !(0 <= r.Low && r.Low <= r.Middle && r.Middle <= r.High && r.High <= most) {
			list = append(list, span.Finding{
				Rule: "assumption", Where: "options.assume." + name, Text: fmt.Sprint(r),
				Says:   fmt.Sprintf("the range of %s does not rise from low over middle to high within 0 to %g", name, most),
				Expect: "0 <= low <= middle <= high", Do: "put the three numbers in order",
			})
		}
	}
	for _, p := range []struct {
		name string
		r    Range
	}{
		{"sign_given", a.SignGiven},
		{"sign_leak", a.SignLeak},
		{"code_given", a.CodeGiven},
		{"code_leak", a.CodeLeak},
		{"pending_given", a.PendingGiven},
		{"pending_leak", a.PendingLeak},
		{"victim_given", a.VictimGiven},
		{"no_code", a.NoCode},
		{"check_fails", a.CheckFails},
		{"check_kin", a.CheckKin},
		{"check_leak", a.CheckLeak},
		{"unlisted", a.Unlisted},
		{"unlisted_sign", a.UnlistedSign},
		{"proof_miss", a.ProofMissed},
		{"proof_fails", a.ProofFailed},
	} {
		look(p.name, p.r, 1)
	}
	look("touched", a.Touched, 1e6)
	look("further", a.Further, 1e6)
	return list
}
