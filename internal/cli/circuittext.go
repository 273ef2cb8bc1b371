package cli

import (
	"fmt"
	"math"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/circuit"
	"elbowroom/guide"
)

// Bounds of what is printed.
const (
	mostCircuits = 5  // others under suspicion
	mostReads    = 6  // points of one fault
	leastHanging = 2  // parts on a node for it to be listed
	carryIndent  = 10 // of how a limit was worked out
)

// wiring lays a wiring out for somebody with a meter in hand.
func (p *page) wiring(w *app.Wiring) {
	if w.Graph == nil {
		p.para("", "", "No wiring of the guide is under suspicion. Name one of these circuits, or an item on one:")
		for _, l := range w.Others {
			p.para("  ", "    ", fmt.Sprintf("%s: %s", l.ID, l.Name))
		}
		return
	}
	for _, l := range w.Shown {
		p.row("", "  ", fmt.Sprintf("%s (%s)", guide.Capital(l.Name), l.ID), onIt(l))
	}
	p.space()
	if m := w.Machine; m != nil {
		p.field("Machine", fmt.Sprintf("%s, %s", m.ID, m.Name))
	}
	p.field("Variant", w.Variant)
	p.lines("Mind", w.Differs)
	p.lines("Now", w.Off)
	p.lines("Never", w.Forbidden)
	p.soFar(w)
	p.wirePoints(w)
	p.splits(w)
	p.located(w.Located)
	p.wireFaults(w)
	p.elsewhere(w)
	p.hanging(w)
	p.carriedLimits(w)
	p.space()
	p.lines("Assumed", w.Assumes)
	p.lines("Mind", w.Notes)
	p.otherCircuits(w)
	p.space()
	p.para("", "", w.Deference)
}

// onIt says how much of the suspicion lies on a circuit.
func onIt(l app.CircuitLine) string {
	if !l.Matters() {
		return ""
	}
	return fmt.Sprintf("%.0f %% of the suspicion", 100*l.Share)
}

func (p *page) soFar(w *app.Wiring) {
	for i, e := range w.Log {
		text := e.Text
		if e.Verdict != nil {
			text = fmt.Sprintf("%s: %s", e.Text, strings.ToUpper(string(e.Verdict.Outcome)))
		}
		for _, x := range w.Elsewhere {
			if x.Text == e.Text {
				text += "; not taken at a point of this wiring"
			}
		}
		p.field([]string{"So far", ""}[min(i, 1)], text)
	}
}

// wirePoints is the table of points.
func (p *page) wirePoints(w *app.Wiring) {
	p.head("points, from the supply on", "")
	if len(w.Scenes) > 1 {
		for i, s := range w.Scenes {
			p.para("  ", "      ", fmt.Sprintf("(%d) is with %s", i+1, s))
		}
	}
	rows := [][]string{{"  point", "to get there", "should read"}}
	for _, x := range w.Points {
		rows = append(rows, []string{"  " + x.Name, reachText(x), readText(x)})
	}
	p.table(rows, 1)
}

func reachText(x app.WirePoint) string {
	switch {
	case x.Item == "":
		return "not placed"
	case !x.Touch:
		return "inside"
	case !x.Known:
		return "no way"
	}
	return app.Minutes(x.Minutes)
}

// readText says what a point should read and what it did.
func readText(x app.WirePoint) string {
	var says []string
	for i, e := range x.Expect {
		if len(x.Expect) > 1 {
			says = append(says, fmt.Sprintf("(%d) %s", i+1, app.VoltsText(e.Volts)))
		} else {
			says = append(says, e.Says)
		}
	}
	if len(x.Expect) > 1 && app.VoltsText(x.Expect[0].Volts) == app.VoltsText(x.Expect[1].Volts) {
		says = []string{app.VoltsText(x.Expect[0].Volts)}
	}
	if len(x.Expect) > 0 && math.IsNaN(float64(x.Expect[0].Volts)) && len(x.Limits) > 0 {
		says = []string{x.Limits[0].Limit + ", unplugged"}
	}
	text := strings.Join(says, " ")
	if x.Verdict != circuit.NotMeasured {
		text += fmt.Sprintf("; READ %s by %s: %s", x.Read, x.By, strings.ToUpper(string(x.Verdict)))
	}
	return text
}

// splits says where to test first and what then.
func (p *page) splits(w *app.Wiring) {
	for _, s := range w.Splits {
		in := strings.Repeat("  ", s.Depth+1)
		text := s.Name
		if s.When != "" {
			text = s.When + ": then " + s.Name
		}
		if s.Depth == 0 {
			p.head("best split of "+string(s.Circuit), fmt.Sprintf("%s on average, %s at most", app.Minutes(s.Expected.Round(time.Minute)), app.Minutes(s.Worst)))
		}
		p.row(in, in+"  ", fmt.Sprintf("%s (%.0f %% before, %.0f %% behind)", text, 100*s.Before, 100*s.After), app.Minutes(s.Minutes))
		p.para(in+"  ", in+"  ", s.Says)
	}
}

// located says where the measured readings put extra resistance.
func (p *page) located(l *app.Located) {
	if l == nil {
		return
	}
	p.head("where the resistance sits", "")
	p.para("  ", "  ", guide.Capital(foundText(l)))
	var rows [][]string
	for _, s := range l.Lines {
		rows = append(rows, []string{"  " + s.Drop, s.Ohm, "of " + s.Expected, fmt.Sprintf("%s to %s: %s", s.From, s.To, s.Finding)})
	}
	p.table(rows, 0, 1, 2)
	for _, u := range l.Used {
		p.para("  used: ", "        ", u)
	}
	for _, a := range l.Assumes {
		p.para("  assumed: ", "           ", a)
	}
}

// wireFaults says what suspected places would make the points read.
func (p *page) wireFaults(w *app.Wiring) {
	if len(w.Faults) == 0 {
		return
	}
	last := ""
	if n := len(w.Scenes); n > 1 {
		last = "with " + w.Scenes[n-1]
	}
	p.head("what it would read", last)
	for _, f := range w.Faults {
		reads := readsOf(w, f)
		if len(reads) > mostReads {
			reads = append(reads[:mostReads], fmt.Sprintf("and %d more", len(reads)-mostReads))
		}
		p.para("  ", "    ", fmt.Sprintf("%s, %s: %s", f.Place, f.Case, strings.Join(append(f.Shown, reads...), "; ")))
	}
}

// plainVolts and plainPart are what a voltage must differ by to be printed.
const (
	plainVolts = 0.05
	plainPart  = 0.02
)

// readsOf lists what somebody would read at the points that can be reached,
// where it plainly differs; at any point when none of these tells.
func readsOf(w *app.Wiring, f app.FaultLine) []string {
	var near, all []string
	for _, x := range f.Reads {
		text := fmt.Sprintf("%s %s, not %s", x.Name, app.VoltsText(x.Volts), app.VoltsText(x.Should))
		all = append(all, text)
		off := math.Abs(float64(x.Volts - x.Should))
		if pt, ok := w.Point(x.Key); ok && pt.Known && !(off < max(plainVolts, plainPart*math.Abs(float64(x.Should)))) {
			near = append(near, text)
		}
	}
	if len(near) > 0 {
		return near
	}
	return all
}

// elsewhere lists points that are measured quicker at another place: the
// quickest, and the one with least in between.
func (p *page) elsewhere(w *app.Wiring) {
	head := false
	for _, x := range w.Points {
		if len(x.Instead) == 0 || x.Known && x.Instead[0].Minutes+worthwhile > x.Minutes {
			continue
		}
		if !head {
			p.head("without getting there", "")
			head = true
		}
		near := x.Instead[0]
		for _, i := range x.Instead {
			if i.Crosses < near.Crosses && (!x.Known || i.Minutes < x.Minutes) {
				near = i
			}
		}
		texts := []string{insteadText(x.Instead[0])}
		if near != x.Instead[0] {
			texts = append(texts, insteadText(near))
		}
		p.para("  ", "    ", x.Name+": "+strings.Join(texts, "; or "))
	}
}

// worthwhile is how much shorter another way to a line must be to be told.
const worthwhile = 5 * time.Minute

func insteadText(i app.Instead) string {
	text := fmt.Sprintf("%s at %s", app.Minutes(i.Minutes), i.Name)
	if i.Between != "" {
		text += ", with " + i.Between + " in between"
	}
	return text
}

// hanging lists what fails along with shared nodes.
func (p *page) hanging(w *app.Wiring) {
	head, told := false, map[string]bool{}
	for _, x := range w.Points {
		name, _, _ := strings.Cut(x.Name, ",")
		if len(x.Hangs) < leastHanging || told[name] {
			continue
		}
		told[name] = true
		if !head {
			p.head("what else hangs on it", "")
			head = true
		}
		p.para("  ", "    ", name+": "+hangsText(x))
	}
}

// hangsText groups what hangs on a point by how it does.
func hangsText(x app.WirePoint) string {
	var groups []string
	for _, how := range []circuit.How{circuit.FedThrough, circuit.ReturnsThrough, circuit.BothThrough} {
		var names []string
		for _, h := range x.Hangs {
			if h.How == how {
				names = append(names, h.Name)
			}
		}
		if len(names) > 0 {
			groups = append(groups, string(how)+" "+strings.Join(names, ", "))
		}
	}
	text := strings.Join(groups, "; ")
	if x.More > 0 {
		text += fmt.Sprintf("; and %d more", x.More)
	}
	return text
}

// carriedLimits lists limits of resistance and capacitance by point.
func (p *page) carriedLimits(w *app.Wiring) {
	head := false
	for _, x := range w.Points {
		for _, l := range x.Limits {
			if !head {
				p.head("resistance and capacitance, unplugged", "")
				head = true
			}
			whose := string(l.Check)
			if !l.Written {
				whose += ", carried here"
			}
			p.row("  ", "    ", fmt.Sprintf("%s, of %s (%s)", x.Name, l.Part, whose), l.Limit)
			for _, s := range l.Steps {
				p.indented(carryIndent, s)
			}
		}
	}
}

func (p *page) otherCircuits(w *app.Wiring) {
	n := 0
	for _, l := range w.Others {
		if n == mostCircuits || !l.Matters() {
			break
		}
		n++
		p.field([]string{"Also", ""}[min(n-1, 1)], fmt.Sprintf("%s: %s, %.0f %% of the suspicion", l.ID, l.Name, 100*l.Share))
	}
}
