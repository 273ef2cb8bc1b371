package app_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/report"
)

// TestEveryFastenerOfThePlanIsOnTheTorquePaper: whatever comes undone in a
// visit has a box for each of its fasteners on the torque sheet, in all cases
// and for every goal of the demonstration's table of plans.
func TestEveryFastenerOfThePlanIsOnTheTorquePaper(t *testing.T) {
	a := paperApp(t)
	checked := 0
	for i, name := range slices.Sorted(maps.Keys(goals)) {
		for _, variant := range []string{"LHD A", "RHD B"}[i%2 : i%2+1] { // in turns
			goal := goals[name]
			ask := app.Ask{Variant: variant, Tasks: strings.Fields(goal)}
			ans, err := a.Plan(ask)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if len(ans.Steps) == 0 {
				continue
			}
			p, err := a.Paper(app.PaperAsk{Ask: ask, Kind: report.Torque})
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if err := p.Check(); err != nil {
				t.Errorf("%s, %s: %v", name, variant, err)
			}
			for _, s := range ans.Steps {
				if s.Item == nil || s.Step.Kind != plan.Refit && (s.Step.Kind != plan.Do || s.Step.Verb != guide.Replace) {
					continue
				}
				for i, j := range s.Item.Joints {
					if !ans.Resolved.Fits(j.For) {
						continue
					}
					for n := 1; n <= j.Count; n++ {
						id := fmt.Sprintf("fastener %s/%d/%d", s.Item.ID, i+1, n)
						if _, ok := p.Tick(id); !ok {
							t.Errorf("%s, %s: step %d tightens %s, and the torque paper has no box for it", name, variant, s.Number, id)
						}
						checked++
					}
				}
			}
		}
	}
	if checked < 500 {
		t.Errorf("only %d fasteners looked for", checked)
	}
}

// TestSumsOnPaperEqualTheQuote: what stands on the paper adds up to what stands
// on the paper, and is what the quote says.
func TestSumsOnPaperEqualTheQuote(t *testing.T) {
	a := paperApp(t)
	for _, c := range paperCases {
		q, err := a.Quote(app.QuoteAsk{Ask: c.ask})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if len(q.Bill.Lines) == 0 {
			continue
		}
		var price *report.Table
		for _, s := range a.QuotePaper(q).Sections {
			if s.Title == "Price" {
				price = s.Blocks[0].Table
			}
		}
		if price == nil {
			t.Fatalf("%s: no price on the paper", c.name)
		}
		lines, sums := 0, map[string]int{}
		for _, r := range price.Rows {
			text := r.Cells[len(r.Cells)-1].Text
			if text == "not known" {
				continue
			}
			cents := centsOf(t, text)
			switch what := r.Cells[0].Text; {
			case what == "Net", what == "Total", strings.HasPrefix(what, "Tax"):
				sums[strings.Split(what, ",")[0]] = cents
			default:
				lines += cents
			}
		}
		if sums["Net"] != lines || sums["Total"] != sums["Net"]+sums["Tax"] || sums["Total"] != int(q.Bill.Total) {
			t.Errorf("%s: lines %d, net %d, tax %d, total %d; the quote says %d", c.name, lines, sums["Net"], sums["Tax"], sums["Total"], q.Bill.Total)
		}
	}
}

func centsOf(t *testing.T, text string) int {
	t.Helper()
	var units, cents int
	if _, err := fmt.Sscanf(text, "%d.%02d", &units, &cents); err != nil {
		t.Fatalf("%q is no price: %v", text, err)
	}
	return 100*units + cents
}

// TestPlanPaperKeepsTheOrder: every step of the plan is a card, in order, with
// its cautions, and the boxes of the refit are those of the torque sheet.
func TestPlanPaperKeepsTheOrder(t *testing.T) {
	a := paperApp(t)
	for _, c := range paperCases {
		ans, err := a.Plan(c.ask)
		if err != nil {
			t.Fatal(err)
		}
		p, err := a.Paper(app.PaperAsk{Ask: c.ask, Kind: report.Plan})
		if err != nil {
			t.Fatal(err)
		}
		next := 0
		for _, s := range p.Sections {
			for _, b := range s.Blocks {
				if b.Step == nil {
					continue
				}
				if next >= len(ans.Steps) || b.Step.Title != ans.Steps[next].Title || b.Step.Number != next+1 {
					t.Fatalf("%s: card %d is %q", c.name, next+1, b.Step.Title)
				}
				for k, x := range ans.Steps[next].Cautions {
					if b.Step.Cautions[k].Says != x.Text {
						t.Errorf("%s: step %d lacks the caution %s", c.name, next+1, x.ID)
					}
				}
				next++
			}
		}
		if next != len(ans.Steps) {
			t.Errorf("%s: %d of %d steps on paper", c.name, next, len(ans.Steps))
		}
	}
}

// TestSamePaperSameMark: the mark of a paper follows from what it says.
func TestSamePaperSameMark(t *testing.T) {
	a := paperApp(t)
	ask := app.PaperAsk{Ask: paperCases[0].ask, Kind: report.Torque}
	one, err := a.Paper(ask)
	if err != nil {
		t.Fatal(err)
	}
	two, err := a.Paper(ask)
	if err != nil {
		t.Fatal(err)
	}
	if one.Mark() != two.Mark() {
		t.Errorf("the same question gives %s and %s", one.Mark(), two.Mark())
	}
	ask.Variant = "RHD B"
	if other, err := a.Paper(ask); err != nil || other.Mark() == one.Mark() {
		t.Errorf("another variant gives the same mark, %v", err)
	}
}

func TestPaperRefuses(t *testing.T) {
	a := paperApp(t)
	for _, q := range []app.PaperAsk{
		{Kind: "poster"},
		{Kind: report.Job, Ask: paperCases[0].ask},
		{Kind: report.Plan, Ask: paperCases[0].ask, Views: []guide.View{"inside"}},
	} {
		if _, err := a.Paper(q); err == nil || !strings.Contains(err.Error(), "write one of") {
			t.Errorf("%s %v: %v", q.Kind, q.Views, err)
		}
	}
	if _, err := a.PaperOfLog(report.Plan, nil); err == nil {
		t.Error("a plan of a log was made")
	}
	if _, err := a.PaperOfLog(report.Job, nil); err == nil {
		t.Error("a report of nothing was made")
	}
}
