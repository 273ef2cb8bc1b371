package codes

import (
	"fmt"
	"strings"
)

// Status is the status byte of a trouble code (ISO 14229-1).
type Status byte

// The bits of a Status, with the names of ISO 14229-1 in words.
const (
	TestFailed            Status = 1 << iota // the last test failed
	FailedThisCycle                          // testFailedThisOperationCycle
	Pending                                  // pendingDTC
	Confirmed                                // confirmedDTC
	NotTestedSinceClear                      // testNotCompletedSinceLastClear
	FailedSinceClear                         // testFailedSinceLastClear
	NotTestedThisCycle                       // testNotCompletedThisOperationCycle
	WarningLightRequested                    // warningIndicatorRequested
	statusBits            = 8
)

// bits holds the name of the standard and plain words, lowest bit first.
var bits = [statusBits]struct{ name, words string }{
	{"testFailed", "fails now"},
	{"testFailedThisOperationCycle", "failed in this operation cycle"},
	{"pendingDTC", "pending: failed in this or the last completed cycle"},
	{"confirmedDTC", "confirmed: stored"},
	{"testNotCompletedSinceLastClear", "not tested to the end since the codes were cleared"},
	{"testFailedSinceLastClear", "failed since the codes were cleared"},
	{"testNotCompletedThisOperationCycle", "not yet tested to the end in this operation cycle"},
	{"warningIndicatorRequested", "asks for the warning lamp"},
}

// Has reports whether every bit of want is set.
func (s Status) Has(want Status) bool { return s&want == want }

// String writes two hexadecimal digits.
func (s Status) String() string { return fmt.Sprintf("%02X", byte(s)) }

// Set returns the names of ISO 14229-1 of the bits that are set, lowest first.
func (s Status) Set() []string {
	var names []string
	for i, b := range bits {
		if s&(1<<i) != 0 {
			names = append(names, b.name)
		}
	}
	return names
}

// Words says in plain words what is set; "nothing set" for 0.
func (s Status) Words() string {
	var words []string
	for i, b := range bits {
		if s&(1<<i) != 0 {
			words = append(words, b.words)
		}
	}
	if len(words) == 0 {
		return "nothing set"
	}
	return strings.Join(words, "; ")
}

// Untested reports whether the test has not run to its end since the codes
// were cleared: then the absence of a failure says nothing.
func (s Status) Untested() bool { return s.Has(NotTestedSinceClear) }

// ParseStatus returns the status in which exactly the bits named are set. It
// takes the names of ISO 14229-1 and returns those that are none.
func ParseStatus(names []string) (s Status, unknown []string) {
	for _, n := range names {
		found := false
		for i, b := range bits {
			if b.name == n {
				s |= 1 << i
				found = true
			}
		}
		if !found {
			unknown = append(unknown, n)
		}
	}
	return s, unknown
}
