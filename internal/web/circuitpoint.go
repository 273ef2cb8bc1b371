package web

import (
	"math"

	"elbowroom/app"
	"elbowroom/circuit"
	"elbowroom/guide"
)

// pointRow is one line of the table of points.
type pointRow struct {
	Name, Href, Minutes string
	Expect              []string
	Verdict, Kind, Read string
	Here                bool
}

// pointView is the sheet of one point.
type pointView struct {
	pointRow
	Item, Bay, Close string
	Expects          []readingAt
	Checks           []checkLink
	Instead          []insteadRow
	Hangs            []hangGroup
	More             string
	Limits           []limitRow
	With             []readingAt
}

// readingAt is what a point reads in one state or with one fault.
type readingAt struct{ When, Says string }

// checkLink is a check that measures at a point, with its form.
type checkLink struct {
	ID, Name, Href string
	Good           []string
}

// insteadRow is another place on the same line.
type insteadRow struct{ Name, Href, Minutes, Between, Beside string }

// hangGroup is what hangs on a point in one way.
type hangGroup struct {
	How   string
	Parts []link
}

// limitRow is a limit that holds at a point.
type limitRow struct {
	Part, Limit, Whose string
	Steps              []string
}

func pointOf(st state, x wires, p *app.WirePoint) pointRow {
	row := pointRow{Name: p.Name, Href: x.at(st, p.Key), Read: p.Read, Here: p.Key == x.point, Minutes: reachText(p)}
	for _, e := range p.Expect {
		if len(p.Expect) > 1 {
			row.Expect = append(row.Expect, app.VoltsText(e.Volts))
		} else {
			row.Expect = append(row.Expect, e.Says)
		}
	}
	if len(row.Expect) > 1 && row.Expect[0] == row.Expect[1] {
		row.Expect = row.Expect[:1]
	}
	if math.IsNaN(float64(p.Expect[0].Volts)) && len(p.Limits) > 0 {
		row.Expect = []string{say("wire.unplugged", pretty(p.Limits[0].Limit))}
	}
	if p.Verdict != circuit.NotMeasured {
		row.Kind = kindOfMark(p.Verdict)
		row.Verdict = say("verdict." + row.Kind)
		row.Read = string(p.By) + ": " + p.Read
	}
	return row
}

// reachText says how long it takes to get to a point, or why nobody knows.
func reachText(p *app.WirePoint) string {
	switch {
	case p.Item == "":
		return say("wire.unplaced")
	case !p.Touch:
		return say("wire.inside")
	case !p.Known:
		return say("wire.no-way")
	}
	return app.Minutes(p.Minutes)
}

func kindOfMark(v circuit.Verdict) string {
	switch v {
	case circuit.Conforming:
		return "good"
	case circuit.NonConforming:
		return "bad"
	case circuit.TooClose:
		return "close"
	}
	return "none"
}

// sheetAt lays out the sheet of a point.
func sheetAt(st state, x wires, w *app.Wiring, p *app.WirePoint) *pointView {
	closed := x
	closed.point = ""
	v := &pointView{pointRow: pointOf(st, x, p), Item: string(p.Item), Close: closed.to(st)}
	if p.Item != "" && w.Resolved.Item(p.Item) != nil {
		bay := st.bare()
		bay.item = p.Item
		v.Bay, v.Item = bay.to("/bay"), nameOf(w.Resolved, p.Item)
	}
	for _, e := range p.Expect {
		when := say("wire.should")
		if len(p.Expect) > 1 {
			when = say("wire.should-in", e.Scene)
		}
		v.Expects = append(v.Expects, readingAt{when, e.Says})
	}
	for _, c := range p.Checks {
		to := st.bare()
		to.check = string(c.ID)
		l := checkLink{ID: string(c.ID), Name: guide.Capital(c.Name), Href: to.to("/job") + "#entry"}
		for _, g := range c.Limits {
			l.Good = append(l.Good, pretty(g))
		}
		v.Checks = append(v.Checks, l)
	}
	for _, i := range p.Instead {
		v.Instead = append(v.Instead, insteadRow{i.Name, x.at(st, i.Key), app.Minutes(i.Minutes), i.Between, i.Beside})
	}
	for _, f := range p.With {
		v.With = append(v.With, readingAt{guide.Capital(f.Case), f.Reads})
	}
	v.hangs(st, p)
	v.limits(p)
	return v
}

func (v *pointView) hangs(st state, p *app.WirePoint) {
	for _, how := range []circuit.How{circuit.FedThrough, circuit.ReturnsThrough, circuit.BothThrough} {
		g := hangGroup{How: guide.Capital(string(how))}
		for _, h := range p.Hangs {
			if h.How != how {
				continue
			}
			l := link{Text: guide.Capital(h.Name)}
			if h.Item != "" {
				l.Href = wires{of: string(h.Item)}.to(st)
			}
			g.Parts = append(g.Parts, l)
		}
		if len(g.Parts) > 0 {
			v.Hangs = append(v.Hangs, g)
		}
	}
	if p.More > 0 {
		v.More = say("wire.more", p.More)
	}
}

func (v *pointView) limits(p *app.WirePoint) {
	for _, l := range p.Limits {
		row := limitRow{Part: string(l.Part), Limit: pretty(l.Limit), Whose: string(l.Check), Steps: l.Steps}
		if !l.Written {
			row.Whose = say("wire.carried", l.Check)
		}
		v.Limits = append(v.Limits, row)
	}
}

// wiringView is what the job page says of the wiring.
type wiringView struct {
	Circuits []circuitCard
	All      string
}

// maxWirings is how many circuits the job page names.
const maxWirings = 3

// wiringLinks lists the circuits that matter to a job; nothing where the guide
// describes none.
func wiringLinks(st state, n *app.NextStep) wiringView {
	list := app.Circuits(&n.Inquiry, n.Check)
	v := wiringView{}
	if len(list) == 0 {
		return v
	}
	v.All = wires{}.to(st)
	for _, l := range list {
		if (l.Matters() || l.Next) && len(v.Circuits) < maxWirings {
			v.Circuits = append(v.Circuits, cardsOf(st, []app.CircuitLine{l})...)
		}
	}
	return v
}
