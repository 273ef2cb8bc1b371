package cli

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/circuit"
	"elbowroom/guide"
)

// circuitCmd says what a wiring should do and where to measure it.
type circuitCmd struct {
	Of string `arg:"" optional:"" name:"circuit" help:"Circuit by ID, several parted by commas, or an item such as EL05 or \"fuel pump fuse\". Without, what is under suspicion in the job."`
	jobFlags
	Given    []string `sep:"none" placeholder:"WHAT" help:"What holds while measuring: \"EL02 12.6 V\", \"SE03 90 °C\", \"EL06 off\", \"wires 80 °C\"."`
	Measured []string `sep:"none" placeholder:"TEXT" help:"Readings along one line, to find where resistance sits: \"EL05 supply side 13.6 V\" against the battery negative, \"EL02 to EL05 supply side 2.71 V\", \"7.2 A\" by a clamp; several parted by a comma and a space."`
	At       []string `name:"judge" sep:"none" placeholder:"TEXT" help:"Judge a reading that was taken at another point than its check has, such as \"T38: right 1400 pF, engine still, EL01 unplugged, at EL01\"; the limit is carried there."`
	SVG      string   `name:"svg" placeholder:"FILE" help:"Write the drawing as an SVG file; - for standard output."`
	Down     bool     `help:"Draw from top to bottom instead of from left to right."`
}

// Help stands under the usage of circuit.
func (circuitCmd) Help() string {
	return "Minutes are those from how the machine stands now to a probe at the point; putting back and measuring are not in them. " +
		"A point without minutes is one to which the guide has no way.\n\n" + exitHelp()
}

// circuitAnswer is the JSON of circuit.
type circuitAnswer struct {
	Variant   string        `json:"variant,omitempty" says:"the variant"`
	Circuits  []wiringLine  `json:"circuits" says:"the circuits that were joined"`
	Others    []wiringLine  `json:"others" says:"the other circuits of the guide, those under suspicion first"`
	States    []string      `json:"states" says:"states that the expected values are of, in the order of expected"`
	Points    []pointLine   `json:"points" says:"points from supply to ground"`
	Split     []splitLine   `json:"split" says:"where to test first and what then; each line of depth n follows one of depth n-1"`
	Faults    []faultLine   `json:"faults" says:"what the points read with a suspected place at fault"`
	Elsewhere []logLine     `json:"elsewhere" says:"readings about this wiring that were not taken at one of its points"`
	Located   []locatedLine `json:"located" says:"where the measured readings put extra resistance"`
	Found     string        `json:"found,omitempty" says:"the same in one sentence"`
	Used      []string      `json:"used" says:"the measured readings, with their uncertainty"`
	Judged    []judgeLine   `json:"judged" says:"readings taken at other points than their checks have"`
	Assumes   []string      `json:"assumes" says:"what was taken for granted"`
	Notes     []string      `json:"notes" says:"what did not agree or was left out"`
	Written   string        `json:"written,omitempty" says:"file of the drawing"`
	Defer     string        `json:"deference" says:"what comes before this"`
}

type wiringLine struct {
	ID       guide.ID `json:"id" says:"circuit of the guide"`
	Name     string   `json:"name" says:"its name"`
	Share    float64  `json:"share" says:"of the suspicion that lies on its items"`
	Suspects []string `json:"suspects" says:"likeliest first"`
}

type pointLine struct {
	Point    string          `json:"point" says:"the point"`
	Item     guide.ID        `json:"item,omitempty" says:"item it sits on"`
	Touch    bool            `json:"touch" says:"a probe can touch it"`
	Minutes  *float64        `json:"minutes,omitempty" says:"to get there from how the machine stands; absent when the guide has no way"`
	Expected []expectedLine  `json:"expected" says:"what it should read, by state"`
	Verdict  circuit.Verdict `json:"verdict" says:"what the job's readings said of it"`
	Read     string          `json:"read,omitempty" says:"what was read there last"`
	By       guide.ID        `json:"by,omitempty" says:"with which check"`
	Checks   []guide.ID      `json:"checks" says:"checks that measure here"`
	Instead  []insteadLine   `json:"instead" says:"where else the same line can be measured, the quickest first"`
	Hangs    []hangLine      `json:"hangs" says:"what fails along with it, the nearest first"`
	More     int             `json:"hangs_more,omitempty" says:"how many more hang on it"`
	Limits   []carriedLine   `json:"limits" says:"limits of resistance and capacitance that hold here"`
}

type expectedLine struct {
	Volts   *float64 `json:"volts,omitempty" says:"against the negative of the battery; absent where nothing feeds it"`
	Amperes *float64 `json:"amperes,omitempty" says:"through it"`
	Says    string   `json:"says" says:"in words"`
}

type insteadLine struct {
	Point   string  `json:"point" says:"where"`
	Between string  `json:"between,omitempty" says:"what is measured along with it"`
	Beside  string  `json:"beside,omitempty" says:"what lies on the line too and is unplugged before resistance is measured"`
	Minutes minutes `json:"minutes" says:"to get there"`
}

type hangLine struct {
	Item guide.ID    `json:"item,omitempty" says:"item"`
	Name string      `json:"name" says:"what"`
	How  circuit.How `json:"how" says:"fed or returning through it"`
}

type carriedLine struct {
	Check   guide.ID `json:"check" says:"whose limit it is"`
	Part    guide.ID `json:"part" says:"item it is of"`
	Limit   string   `json:"limit" says:"the limit here"`
	Written bool     `json:"written" says:"the guide has it for this point; else it was worked out"`
	Steps   []string `json:"steps" says:"how it was worked out"`
	Assumes []string `json:"assumes" says:"what was taken for granted"`
}

type splitLine struct {
	Circuit guide.ID `json:"circuit" says:"the circuit"`
	Depth   int      `json:"depth" says:"tests before this one"`
	When    string   `json:"when,omitempty" says:"what led here"`
	Point   string   `json:"point" says:"where to test"`
	Minutes minutes  `json:"minutes" says:"to get there"`
	Says    string   `json:"says" says:"what the test tells"`
	Before  float64  `json:"before" says:"share of the suspicion before the point"`
	After   float64  `json:"after" says:"share behind it"`
}

type faultLine struct {
	Place string     `json:"place" says:"what is at fault"`
	Case  string     `json:"case" says:"how"`
	Share float64    `json:"share" says:"suspicion on it"`
	Reads []readLine `json:"reads" says:"points that then read something else"`
	Shown []string   `json:"shown" says:"what a control unit then shows"`
}

type readLine struct {
	Point  string   `json:"point" says:"the point"`
	Volts  *float64 `json:"volts,omitempty" says:"what it reads; absent where nothing feeds it"`
	Should *float64 `json:"should,omitempty" says:"what it should read"`
}

type locatedLine struct {
	From     string          `json:"from" says:"point"`
	To       string          `json:"to" says:"point"`
	Drop     string          `json:"drop" says:"drop as fitted"`
	Ohm      string          `json:"ohm" says:"resistance with its 95 % uncertainty"`
	Expected string          `json:"expected" says:"by the guide"`
	Finding  circuit.Finding `json:"finding" says:"sound, too much resistance, and so on"`
	Worst    bool            `json:"worst" says:"it holds most"`
}

// Run works out and prints.
func (c *circuitCmd) Run(r *run) error {
	a, err := r.open()
	if err != nil {
		return err
	}
	if strings.Contains(c.Of, ":") || strings.HasPrefix(c.Of, "repaired ") || strings.HasPrefix(c.Of, "proof ") {
		c.Of, c.Log = "", append([]string{c.Of}, c.Log...) // an entry and no circuit
	}
	j, err := c.job(r.guideName(c.Machine, a))
	if err != nil {
		return err
	}
	w, err := a.Circuit(j, app.Wires{Of: c.Of, Given: c.Given, Measured: c.Measured})
	if err != nil {
		return err
	}
	var judged []*app.Judgement
	for _, text := range c.At {
		v, err := a.Judge(j.Ask, text)
		if err != nil {
			return err
		}
		judged = append(judged, v)
		r.exit = graver(r.exit, exitOfVerdict(v.Verdict.Outcome))
	}
	if done, err := c.draw(r, w); done || err != nil {
		return err
	}
	if r.cli.JSON {
		return r.json(circuitJSON(w, judged, c.At, c.SVG))
	}
	p := r.page()
	p.wiring(w)
	for i, v := range judged {
		p.judged(v, c.At[i], false)
	}
	if c.SVG != "" {
		p.field("Written", c.SVG)
	}
	return r.show(p)
}

// draw writes the drawing; done when it went to standard output.
func (c *circuitCmd) draw(r *run, w *app.Wiring) (done bool, err error) {
	if c.SVG == "" {
		return false, nil
	}
	if w.Graph == nil {
		return false, fmt.Errorf("%w: --svg %s: no circuit was named and none is under suspicion, so there is nothing to draw", errUsage, c.SVG)
	}
	d := circuit.Drawing{Graph: w.Graph, ID: "wiring", Title: wiringTitle(w), Suspect: w.Suspect, Legend: true}
	if c.Down {
		d.Direction = circuit.Downwards
	}
	for _, p := range w.Points {
		if p.Verdict != circuit.NotMeasured {
			d.Marks = append(d.Marks, circuit.Mark{At: p.At, Verdict: p.Verdict, Says: fmt.Sprintf("%s: %s", p.By, p.Read)})
		}
	}
	svg := standalone(d.SVG())
	if c.SVG == "-" {
		_, err := fmt.Fprint(r.Stdout, svg)
		return true, err
	}
	return false, writeWhole(c.SVG, func(f *os.File) error {
		_, err := f.WriteString(svg)
		return err
	})
}

// standalone puts the style into a drawing that stands in no page.
func standalone(svg string) string {
	head, rest, _ := strings.Cut(svg, ">")
	return head + "><style>" + circuit.Style() + "</style>" + rest
}

func wiringTitle(w *app.Wiring) string {
	var names []string
	for _, l := range w.Shown {
		names = append(names, l.Name)
	}
	return strings.Join(names, "; ")
}

// known returns a number for JSON, which has none for what is not known.
func known(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

func circuitJSON(w *app.Wiring, judged []*app.Judgement, texts []string, svg string) circuitAnswer {
	out := circuitAnswer{
		Variant: w.Variant, Circuits: wiringLines(w.Shown), Others: wiringLines(w.Others), States: some(w.Scenes), Points: []pointLine{},
		Split: []splitLine{}, Faults: []faultLine{}, Elsewhere: []logLine{}, Located: []locatedLine{}, Used: []string{},
		Judged: judgeJSON(judged, texts, nil).Readings, Assumes: some(w.Assumes), Notes: some(w.Notes), Written: svg, Defer: w.Deference,
	}
	for _, p := range w.Points {
		out.Points = append(out.Points, pointJSON(p))
	}
	for _, s := range w.Splits {
		out.Split = append(out.Split, splitLine{s.Circuit, s.Depth, s.When, s.Name, inMinutes(s.Minutes), s.Says, s.Before, s.After})
	}
	for _, f := range w.Faults {
		l := faultLine{Place: f.Place, Case: f.Case, Share: f.Share, Reads: []readLine{}, Shown: some(f.Shown)}
		for _, x := range f.Reads {
			l.Reads = append(l.Reads, readLine{x.Name, known(float64(x.Volts)), known(float64(x.Should))})
		}
		out.Faults = append(out.Faults, l)
	}
	for _, e := range w.Elsewhere {
		out.Elsewhere = append(out.Elsewhere, logLine{Text: e.Text, Verdict: string(e.Verdict.Outcome), Says: e.Verdict.Says})
	}
	if l := w.Located; l != nil {
		out.Found, out.Used, out.Assumes = foundText(l), l.Used, slices.Concat(out.Assumes, l.Assumes)
		for _, s := range l.Lines {
			out.Located = append(out.Located, locatedLine{s.From, s.To, s.Drop, s.Ohm, s.Expected, s.Finding, s.Worst})
		}
	}
	return out
}

// foundText is what the readings along a line say, or why they say nothing.
func foundText(l *app.Located) string {
	if l.Quiet != "" {
		return l.Quiet
	}
	return l.Says
}

func wiringLines(list []app.CircuitLine) []wiringLine {
	out := []wiringLine{}
	for _, l := range list {
		out = append(out, wiringLine{l.ID, l.Name, l.Share, some(l.Suspects)})
	}
	return out
}

func pointJSON(p app.WirePoint) pointLine {
	l := pointLine{
		Point: p.Name, Item: p.Item, Touch: p.Touch, Expected: []expectedLine{}, Verdict: p.Verdict, Read: p.Read, By: p.By,
		Checks: []guide.ID{}, Instead: []insteadLine{}, Hangs: []hangLine{}, More: p.More, Limits: []carriedLine{},
	}
	if p.Known {
		l.Minutes = known(p.Minutes.Minutes())
	}
	for _, e := range p.Expect {
		l.Expected = append(l.Expected, expectedLine{known(float64(e.Volts)), known(float64(e.Amperes)), e.Says})
	}
	for _, c := range p.Checks {
		l.Checks = append(l.Checks, c.ID)
	}
	for _, i := range p.Instead {
		l.Instead = append(l.Instead, insteadLine{i.Name, i.Between, i.Beside, inMinutes(i.Minutes)})
	}
	for _, h := range p.Hangs {
		l.Hangs = append(l.Hangs, hangLine{h.Item, h.Name, h.How})
	}
	for _, x := range p.Limits {
		l.Limits = append(l.Limits, carriedLine{x.Check, x.Part, x.Limit, x.Written, some(x.Steps), some(x.Assumes)})
	}
	return l
}
