package report

import (
	"fmt"
	"strings"
	"time"

	"elbowroom/report/pdf"
)

// sampleDay is the date of the papers of these tests.
var sampleDay = time.Date(2026, 3, 16, 9, 30, 0, 0, time.UTC)

// sample is a paper with one of everything.
func sample() Document {
	done := Tick{ID: "step 1", Done: true, By: "Ines Pellow, 08:12"}
	open := Tick{ID: "step 2"}
	return Document{
		Kind: Plan, Number: "V1 plan", Title: "Plan", About: "V1, Varnock Tidewain panel van", Variant: "LHD A",
		Guide: "Varnock V27P, revision 3, 2026-03-02", From: "Marrow Lane Motors, Saltry", Date: sampleDay,
		Deference: "Local codes, the maker's instructions and licensed practice come first.",
		Lead:      []Fact{{"To do", "Replace the knock sensor, right (SE13)"}, {"Time", "2 h 36 min"}},
		Sections: []Section{
			{Title: "Everything", Blocks: []Block{
				{Text: &Text{Lead: "Why", Says: "The lead breaks when the screw is too tight; 20 N·m dry, never 22 N·m."}},
				{Text: &Text{Says: "Read this from two metres.", Big: true}},
				{List: &List{Head: "Mind", Points: []string{"90 °C", "≥ 0.55 Ω ± 5 %"}}},
				{Facts: &Facts{List: []Fact{{"Complaint", "lazy on hills"}}}},
				{Caution: &Caution{Says: "Do not start the engine", Because: "The oil is drained", MustNot: true}},
				{Caution: &Caution{Says: "Hot", Because: "Wait", Authority: "ISO 13732-1"}},
				{Table: sampleTable(3)},
				{Ticks: &Ticks{Head: "On the shelf", List: []Tick{{ID: "part G1", Says: "plenum gasket, Größe 2"}, {ID: "part G2"}}}},
				{Drawing: sampleDrawing()},
			}},
			{Title: "Strip", Apart: true, Blocks: []Block{
				{Step: &Step{Number: 1, Title: "Take off the cover (PN01)", Minutes: "1 min", Done: &done, Lines: []Fact{{"undo", "4 press studs"}}}},
				{Step: &Step{
					Number: 2, Title: "Refit the plenum (AR04)", Figure: "10 N·m dry", Was: []string{"12 N·m|until revision 2"}, Done: &open,
					Cautions: []Caution{{Says: "Keep the ports covered"}}, Picture: sampleDrawing(),
					Ticks: []Ticks{{Ref: "AR04/1", Head: "11 × M6x45", Flow: true, List: []Tick{{ID: "fastener AR04/1/1", Says: "1"}, {ID: "fastener AR04/1/6", Says: "2"}}}},
				}},
				{Sign: &Sign{Says: "Agreed.", Lines: []SignLine{{Role: "customer"}, {Role: "workshop", Name: "Ines Pellow", When: "2026-03-16"}}}},
			}},
		},
	}
}

func sampleTable(rows int) *Table {
	t := &Table{Says: "Prices.", Columns: []Column{{Head: "For"}, {Head: "Price, EUR", Align: Right}, {Head: "Seen"}}, Note: "Without tax."}
	for i := range rows {
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: fmt.Sprintf("line %d", i+1)}, {Text: fmt.Sprintf("%d.00", i), Struck: []string{"9.99|until today"}}, {Ticks: []Tick{{ID: fmt.Sprintf("line %d", i+1)}}}}})
	}
	t.Rows = append(t.Rows, Row{Sum: true, Cells: []Cell{{Text: "Total"}, {Text: "480.48", Big: true}}})
	return t
}

func sampleDrawing() *Drawing {
	return &Drawing{
		Title: "Order", W: 100, H: 60, Wide: 40, Patterns: []Pattern{{W: 5, H: 5, Shapes: []Shape{{Path: "M0 0L5 5", Stroke: "#000000", Width: 1}}}},
		Shapes: []Shape{
			{Path: NewPath(pdf.Rect(5, 5, 40, 40)), Fill: "#eeeeee", Pattern: 1, Stroke: "#000000", Width: 1, Clip: "M0 0L30 0L30 60L0 60Z"},
			{Path: NewPath(Circle(70, 30, 20)), Stroke: "#b8121b", Width: 2, Dash: []float64{4, 2}, Round: true, LineShare: 0.5},
			{Text: "side", X: 96, Y: 30, Size: 8, Turn: 90, Anchor: "middle", Stroke: "#ffffff", Width: 2},
		},
	}
}

// long is a paper of many pages with long and short blocks of every sort.
func long(n int) Document {
	d := sample()
	for i := range n {
		s := Section{Title: fmt.Sprintf("Section %d", i+1)}
		s.Blocks = append(s.Blocks,
			Block{Text: &Text{Says: strings.Repeat("Words of a paragraph that goes on for a while. ", 1+i*7%23)}},
			Block{Table: untickable(sampleTable(i * 5 % 37))},
		)
		for k := range 1 + i%5 {
			number := 100*i + k + 10
			step := Step{Number: number, Title: fmt.Sprintf("Step %d", number), Done: &Tick{ID: fmt.Sprintf("step %d", number)}, Minutes: "1 min"}
			for c := range (i + k) % 3 {
				step.Cautions = append(step.Cautions, Caution{Says: fmt.Sprintf("Caution %d of step %d", c, number), Authority: "HSE"})
			}
			for l := range (i * k) % 7 {
				step.Lines = append(step.Lines, Fact{"line", fmt.Sprint(l)})
			}
			s.Blocks = append(s.Blocks, Block{Step: &step})
		}
		d.Sections = append(d.Sections, s)
	}
	return d
}

// untickable takes the boxes out of a table.
func untickable(t *Table) *Table {
	for i := range t.Rows {
		for k := range t.Rows[i].Cells {
			t.Rows[i].Cells[k].Ticks = nil
		}
	}
	return t
}
