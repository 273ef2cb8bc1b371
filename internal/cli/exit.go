package cli

import (
	"errors"
	"fmt"
	"strings"

	"elbowroom/app"
	"elbowroom/plan"
	"elbowroom/span"
)

// Exit is an exit status.
type Exit int

// The exit statuses.
const (
	Done       Exit = 0
	Internal   Exit = 1
	BadInput   Exit = 2
	Bounded    Exit = 3
	Impossible Exit = 4
	Limit      Exit = 5
	Findings   Exit = 6
	Refused    Exit = 7
	TestsFail  Exit = 8
	Nothing    Exit = 9

	NonConforming Exit = 10
	TooClose      Exit = 11
	NotComparable Exit = 12
	NoTool        Exit = 13
)

// status is one row of the table of exit statuses.
type status struct {
	code Exit
	name string // stable, in JSON
	says string // in -h
}

// statuses is the table of exit statuses, in order.
var statuses = []status{
	{Done, "done", "done; for a plan: proved to be the best"},
	{Internal, "internal", "a fault of this program"},
	{BadInput, "bad-input", "the command, the question or the guide cannot be used"},
	{Bounded, "bounded", "a plan, not proved to be the best; its gap is printed"},
	{Impossible, "impossible", "proved: no plan exists; what blocks it is printed"},
	{Limit, "limit", "stopped before any plan was found or ruled out"},
	{Findings, "findings", "vet found something at or above --at; something about a torque is wrong or open"},
	{Refused, "refused", "a plan did not stand up to the independent audit"},
	{TestsFail, "tests-failed", "a test that the guide carries failed"},
	{Nothing, "nothing", "nothing was found"},
	{NonConforming, "non-conforming", "a reading is outside its limit"},
	{TooClose, "too-close", "a reading is too close to its limit to call"},
	{NotComparable, "not-comparable", "a reading was not taken as its limit demands"},
	{NoTool, "no-tool", "no torque tool here reaches a torque; what would do is printed"},
}

// nameOf returns the stable name of an exit status.
func nameOf(code Exit) string {
	for _, s := range statuses {
		if s.code == code {
			return s.name
		}
	}
	return ""
}

// exitHelp is the table as it stands in -h.
func exitHelp() string {
	var b strings.Builder
	b.WriteString("Exit status:\n")
	for _, s := range statuses {
		fmt.Fprintf(&b, "  %2d  %s\n", s.code, s.says)
	}
	return b.String()
}

// errUsage is wrapped by errors about the command itself.
var errUsage = errors.New("bad command")

// exitOf returns the exit status of an error.
func exitOf(err error) Exit {
	var list span.List
	switch {
	case err == nil:
		return Done
	case errors.Is(err, app.ErrAudit):
		return Refused
	case errors.Is(err, errUsage), errors.Is(err, app.ErrInput), errors.Is(err, app.ErrUnknown), errors.As(err, &list):
		return BadInput
	}
	return Internal
}

// exitOfOutcome returns the exit status of a planner's outcome.
func exitOfOutcome(o plan.Outcome) Exit {
	switch o {
	case plan.Optimal:
		return Done
	case plan.Bounded:
		return Bounded
	case plan.Impossible:
		return Impossible
	case plan.Limit:
		return Limit
	case plan.BadInput:
		return BadInput
	}
	return Internal
}
