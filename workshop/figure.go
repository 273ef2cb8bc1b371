package workshop

import (
	"fmt"
	"slices"

	"elbowroom/guide"
)

// Figure is a number that this workshop knows better than the program assumes,
// by the name that the program has for it: "code-given". It was either counted
// (Seen of Of), or is written with the ends between which it may lie.
//
//	assumptions:
//	  code-given: {seen: 41, of: 66, says: "jobs with a proved fault, 2025"}
//	  check-leak: {low: 0.01, middle: 0.02, high: 0.05}
type Figure struct {
	ID     guide.ID `yaml:",key"`
	Seen   int      `yaml:"seen,omitempty"`
	Of     int      `yaml:"of,omitempty"`
	Low    float64  `yaml:"low,omitempty"`
	Middle float64  `yaml:"middle,omitempty"`
	High   float64  `yaml:"high,omitempty"`
	Says   string   `yaml:"says,omitempty"` // how it was had
}

// Assumed are the names of what the program assumes, those of package suspect.
var Assumed = []guide.ID{
	"sign-given", "sign-leak", "code-given", "code-leak", "pending-given", "pending-leak", "victim-given", "no-code", "check-fails", "check-kin",
	"check-leak", "unlisted", "unlisted-sign", "proof-miss", "proof-fails", "touched", "further",
}

// Factors are those of Assumed that are no probabilities and may exceed 1.
var Factors = []guide.ID{"touched", "further"}

// Counted reports whether the figure was counted.
func (f Figure) Counted() bool { return f.Of > 0 }

// Complete reports a figure of nothing that is assumed, or one that cannot be.
func (f Figure) Complete() error {
	var errs guide.FormErrors
	fail := func(field, text, says, expect string) {
		errs = append(errs, guide.FormError{Field: field, Text: text, Says: says, Expect: expect})
	}
	factor := slices.Contains(Factors, f.ID)
	ends := f.Low != 0 || f.Middle != 0 || f.High != 0
	if !slices.Contains(Assumed, f.ID) {
		var known []string
		for _, id := range Assumed {
			known = append(known, string(id))
		}
		errs = append(errs, guide.FormError{Text: string(f.ID), Says: "nothing that is assumed is called so", Expect: "the name of an assumption, such as code-given", Known: known})
	}
	switch {
	case f.Of < 0 || f.Seen < 0 || f.Seen > f.Of:
		fail("seen", fmt.Sprintf("%d of %d", f.Seen, f.Of), "not a count", "how often it was seen, and of how many cases, such as seen: 41, of: 66")
	case f.Counted() && factor:
		fail("of", fmt.Sprint(f.Of), "this is a factor or a number, not a share, and is not counted", "low, middle and high")
	case f.Counted() && ends:
		fail("of", fmt.Sprint(f.Of), "what was counted has its ends already", "seen and of, or low, middle and high")
	case !f.Counted() && !ends:
		fail("middle", "", "no number is given", "seen and of, or low, middle and high")
	case !(0 <= f.Low && f.Low <= f.Middle && f.Middle <= f.High) || f.High > 1 && !factor:
		fail("middle", fmt.Sprintf("%g, %g, %g", f.Low, f.Middle, f.High), "these do not rise from low over middle to high, or exceed what it can be", "three rising numbers; a probability is at most 1")
	}
	if len(errs) == 0 {
		return nil
	}
	return errs
}
