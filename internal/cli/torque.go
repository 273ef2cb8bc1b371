package cli

import (
	"fmt"
	"os"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joint"
)

// torqueCmd says how joints are tightened.
type torqueCmd struct {
	What []string `arg:"" optional:"" sep:"none" name:"what" help:"Tasks as for plan, such as replace:SE13: every joint of that visit. Or one item, with a torque to hold against it if you like: SE13 \"22 N·m\". Or a thread by itself: M8 8.8 dry 22 N·m into aluminium engaged 12 mm. Or a torque alone. Without any, the tasks in view for the machine."`
	visitOptions
	State   string `placeholder:"STATE" help:"State of the threads: dry, oiled or thread-locked. A torque for another state is refused, never converted."`
	Adapter string `placeholder:"LENGTH" help:"Adapter on the wrench: its reach from the square drive to the fastener, such as \"60 mm\"."`
	Bend    string `placeholder:"DEGREES" help:"Angle of the adapter: 0 straight ahead, 90 square to the wrench, 180 back along the handle."`
	Arm     string `placeholder:"LENGTH" help:"Length of the wrench from the mark on its handle to the square drive; else that of each tool."`
	Joint   int    `placeholder:"N" help:"Number of the joint on the sheet that the adapter is for."`
	Day     string `placeholder:"DATE" help:"Day on which the tools must be in date, such as 2026-03-16; else today."`
	Unit    string `placeholder:"UNIT" help:"Second unit beside the guide's: N·m, lbf·ft, lbf·in or kgf·m."`
	SVG     string `name:"svg" placeholder:"FILE" help:"Write the drawing of the adapter as an SVG file; - for standard output."`
}

// Help stands under the usage of torque.
func (torqueCmd) Help() string {
	return "A value is never changed: one that cannot be right, is superseded or is for other threads is said to be so. " +
		"Where rounding would carry a value across a limit or a mark of the wrench, both are shown. An angle is turned as it is written.\n\n" + exitHelp()
}

// Run works out and prints.
func (c *torqueCmd) Run(r *run) error {
	a, err := r.open()
	if err != nil {
		return err
	}
	q := app.TorqueAsk{State: guide.State(c.State), Day: c.Day, Unit: c.Unit, Through: app.Through{Line: c.Joint, Reach: c.Adapter, Bend: c.Bend, Arm: c.Arm}}
	text := strings.Join(c.What, " ")
	switch {
	case text != "" && !strings.Contains(text, ":") && app.BareThread(text):
		return c.thread(r, a, q, text)
	case text != "" && !strings.Contains(text, ":"):
		q.Ask, err = c.ask(r.guideName(c.Machine, a), nil)
		q.Item, q.Value = itemAndTorque(text)
	default:
		q.Ask, err = c.visit(r, a, c.What)
	}
	if err != nil {
		return err
	}
	s, err := a.Torque(q)
	if err != nil {
		return err
	}
	r.exit = exitOfSheet(s)
	if done, err := c.draw(r, adapterOf(s, c.Joint)); done || err != nil {
		return err
	}
	if r.cli.JSON {
		return r.json(torqueJSON(s, c.SVG))
	}
	p := r.page()
	p.torqueSheet(s)
	p.written(c.SVG)
	return r.show(p)
}

// thread answers for a thread by itself, or for a torque alone.
func (c *torqueCmd) thread(r *run, a UseCases, q app.TorqueAsk, text string) error {
	b, err := a.Fastener(q, text)
	if err != nil {
		return err
	}
	r.exit = exitOfFindings(b.Findings)
	var fit *joint.Fit
	for _, st := range b.Stages {
		if f := st.Choice.Best(); f != nil && f.Through.Reach > 0 {
			fit = f
		}
	}
	if done, err := c.draw(r, fit); done || err != nil {
		return err
	}
	if r.cli.JSON {
		return r.json(threadJSON(b, c.SVG))
	}
	p := r.page()
	p.bareThread(b)
	p.written(c.SVG)
	return r.show(p)
}

// threadStates are what --state takes.
var threadStates = []string{string(guide.Dry), string(guide.Oiled), string(guide.Locked)}

// mostTorqueWords is how many words a torque may have: "22 N m".
const mostTorqueWords = 3

// itemAndTorque splits a torque off the end of the words.
func itemAndTorque(text string) (item, torque string) {
	words := strings.Fields(text)
	for n := min(mostTorqueWords, len(words)-1); n > 0; n-- {
		if tail := strings.Join(words[len(words)-n:], " "); app.BareThread(tail) && !strings.HasPrefix(tail, "M") {
			return strings.Join(words[:len(words)-n], " "), tail
		}
	}
	return text, ""
}

// adapterOf returns the wrench with its adapter of one line of the sheet, or of
// the first that has one.
func adapterOf(s *app.TorqueSheet, line int) *joint.Fit {
	for i := range s.Joints {
		for k := range s.Joints[i].Stages {
			f := s.Joints[i].Stages[k].Choice.Best()
			if f != nil && f.Through.Reach > 0 && (line == 0 || line == s.Joints[i].Number) {
				return f
			}
		}
	}
	return nil
}

// draw writes the drawing; done when it went to standard output.
func (c *torqueCmd) draw(r *run, f *joint.Fit) (done bool, err error) {
	if c.SVG == "" {
		return false, nil
	}
	if f == nil {
		return false, fmt.Errorf("%w: --svg %s: there is no wrench with an adapter to draw; give its reach with --adapter", errUsage, c.SVG)
	}
	svg := f.Through.SVG("adapter", f.Wrench.Name+" with an adapter")
	head, rest, _ := strings.Cut(svg, ">")
	svg = head + "><style>" + joint.Style() + "</style>" + rest + "\n"
	if c.SVG == "-" {
		_, err := fmt.Fprint(r.Stdout, svg)
		return true, err
	}
	return false, writeWhole(c.SVG, func(w *os.File) error {
		_, err := w.WriteString(svg)
		return err
	})
}

// exitOfSheet returns the exit status of a sheet.
func exitOfSheet(s *app.TorqueSheet) Exit {
	if s.Blocked != "" {
		return Impossible
	}
	code := Done
	for _, l := range s.Joints {
		code = worse(code, exitOfFindings(l.Findings))
	}
	return code
}

func exitOfFindings(list []app.TorqueFinding) Exit {
	code := Done
	for _, f := range list {
		if f.Sort == app.NoTool {
			return NoTool
		}
		code = Findings
	}
	return code
}

// worse returns the graver of two exit statuses of joints.
func worse(a, b Exit) Exit {
	for _, e := range []Exit{NoTool, Findings} {
		if a == e || b == e {
			return e
		}
	}
	return Done
}
