package cli

import (
	"fmt"
	"time"

	"elbowroom/app"
)

// commands is the grammar of the command line.
type commands struct {
	Guide    []string `placeholder:"PATH" default:"demo" sep:"none" help:"Guide to use: demo, or a folder or file of one. Can be given more than once; the first is used unless the machine names another."`
	Workshop string   `placeholder:"FILE" help:"File of the workshop: rates, tools, machines. With the demo guide, the demo's own."`
	JSON     bool     `name:"json" help:"Print JSON instead of text; see: elbowroom schema."`

	Plan       planCmd       `cmd:"" help:"Plan a visit: what to take off, in which order, and back."`
	Reach      reachCmd      `cmd:"" help:"List what else is in reach of a visit, with what it adds."`
	Quote      quoteCmd      `cmd:"" help:"Price a visit: lines, range, stop points, limit, and what in reach is better replaced now."`
	Where      whereCmd      `cmd:"" help:"Say where an item is, what leads to it and what is known of it."`
	Judge      judgeCmd      `cmd:"" help:"Say whether a reading is good, and how surely."`
	Codes      codesCmd      `cmd:"" help:"Read trouble codes from a reader's text or a CAN capture, or explain a code."`
	Capture    captureCmd    `cmd:"" help:"Turn a narration into facts, questions and a draft of a guide."`
	Suspects   suspectsCmd   `cmd:"" help:"Say which faults are suspected, what spoke for and against each."`
	Next       nextCmd       `cmd:"" help:"Say what to check or repair next, what it costs and why."`
	Torque     torqueCmd     `cmd:"" help:"Say how the joints of a visit are tightened, with which wrench, and whether a torque can be right."`
	Paper      paperCmd      `cmd:"" help:"Make a paper: plan, torque sheet, lay-out list, quote, handover or job report; as text, PDF or HTML."`
	Circuit    circuitCmd    `cmd:"" help:"Say what a wiring should read at each point, where to measure it, and where resistance sits."`
	Vet        vetCmd        `cmd:"" help:"Examine a guide for errors, gaps and implausible values."`
	GuideCmd   guideCmd      `cmd:"" name:"guide" help:"Print a guide, describe its format, run the tests it carries."`
	Serve      serveCmd      `cmd:"" help:"Serve the pages to a browser."`
	Backup     backupCmd     `cmd:"" help:"Copy everything that is kept, while the server runs."`
	Restore    restoreCmd    `cmd:"" help:"Read a copy into an empty store."`
	Schema     schemaCmd     `cmd:"" help:"Describe the JSON of a command as JSON Schema."`
	Completion completionCmd `cmd:"" help:"Print a script that completes commands, tasks and items in a shell."`
	Complete   completeCmd   `cmd:"" passthrough:"" hidden:"" help:"Print what may follow a line; used by the completion scripts."`
	Version    versionCmd    `cmd:"" help:"Print the version."`
}

// machineFlags say which machine or variant a question is about.
type machineFlags struct {
	Machine string `placeholder:"ID" help:"Machine of the workshop, such as V1: gives guide, variant and what is off already."`
	Variant string `placeholder:"NAMES" help:"Variant of the guide, such as LHD or \"LHD A\" or drive=LHD."`
}

// visitFlags are the rest of a question about a visit.
type visitFlags struct {
	Tasks []string `arg:"" optional:"" sep:"none" name:"task" help:"Task as verb:item, such as replace:SE13, check:X3 or \"replace:right knock sensor\". Without any, the tasks in view for the machine."`
	visitOptions
}

// visitOptions are a question about a visit without its tasks.
type visitOptions struct {
	machineFlags
	Before  []string      `placeholder:"TASK" help:"Task to do as the machine is found, before anything is touched."`
	Proof   []string      `placeholder:"TASK" help:"Task to do when everything is back."`
	Order   []string      `placeholder:"A<B" help:"The first task before the second: check:X3<replace:SE13."`
	Start   []string      `placeholder:"WHAT" help:"How the machine is found: PN03, \"CO01 aside\", engine=hot. Replaces what is known of the machine; none for everything fitted."`
	Leave   []string      `placeholder:"WHAT" help:"Item or condition that may stay open at the end; all for everything."`
	Missing []string      `placeholder:"TOOL" help:"Tool that is not at hand."`
	People  int           `placeholder:"N" default:"1" help:"How many people work."`
	By      string        `enum:"money,minutes" default:"money" help:"What the plan is best at: money or minutes."`
	Rate    string        `placeholder:"SUM" help:"Price of an hour of work, such as 84.00; else the workshop's."`
	Budget  time.Duration `placeholder:"TIME" help:"How long to search, such as 5s or 2m. Default ${default}." default:"10s"`
}

// mostPeople is the largest party that a question may ask for.
const mostPeople = 20

// ask turns the flags into a question.
func (v visitOptions) ask(guide string, tasks []string) (app.Ask, error) {
	q := app.Ask{
		Guide: guide, Machine: v.Machine, Variant: v.Variant, Tasks: tasks, Before: v.Before, Proof: v.Proof, Order: v.Order,
		Start: v.Start, Leave: v.Leave, Missing: v.Missing, People: v.People, By: v.By, Rate: v.Rate, Budget: v.Budget,
	}
	if len(v.Start) == 1 && v.Start[0] == "none" {
		q.Start = []string{}
	}
	switch {
	case v.People < 1 || v.People > mostPeople:
		return q, fmt.Errorf("%w: --people %d: write a number from 1 to %d", errUsage, v.People, mostPeople)
	case v.Budget <= 0:
		return q, fmt.Errorf("%w: --budget %s: write a time above nothing, such as 10s", errUsage, v.Budget)
	}
	return q, nil
}

// guideName is the guide of a question: left to the machine where one is
// named and no guide was.
func (r *run) guideName(machine string, a UseCases) string {
	if machine != "" || len(a.Guides()) == 0 {
		return ""
	}
	return a.Guides()[0].Name
}
