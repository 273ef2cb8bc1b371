package report

import (
	"strings"
	"unicode/utf8"
)

// table writes columns side by side; where they do not fit, every row becomes
// a list of facts.
func (t *texter) table(g Table) {
	t.under("", g.Says)
	widths := make([]int, len(g.Columns))
	sum := 2 * (len(widths) - 1)
	for i, c := range g.Columns {
		widths[i] = utf8.RuneCountInString(clean(c.Head))
		for _, r := range g.Rows {
			if i < len(r.Cells) {
				for _, l := range r.Cells[i].lines() {
					widths[i] = max(widths[i], utf8.RuneCountInString(l))
				}
			}
		}
		sum += widths[i]
	}
	if t.narrow(widths, sum) {
		t.grid(g, widths)
	} else {
		t.tableAsFacts(g)
	}
	t.under("", g.Note)
}

// leastColumn is the narrowest column in which text can still be read.
const leastColumn = 10

// narrow makes the widest columns narrower until all fit, and reports whether
// they then do.
func (t *texter) narrow(widths []int, sum int) bool {
	for sum > t.wide {
		widest := 0
		for i := range widths {
			if widths[i] > widths[widest] {
				widest = i
			}
		}
		if len(widths) == 0 || widths[widest] <= leastColumn {
			return false
		}
		by := min(sum-t.wide, max(1, (widths[widest]-leastColumn)/4))
		widths[widest] -= by
		sum -= by
	}
	return true
}

func (t *texter) grid(g Table, widths []int) {
	head := make([]Cell, len(g.Columns))
	rules := make([]string, len(widths))
	for i, c := range g.Columns {
		head[i] = Cell{Text: c.Head}
		rules[i] = strings.Repeat("-", widths[i])
	}
	t.gridRow(g, head, widths)
	t.line(strings.Join(rules, "  "))
	for _, r := range g.Rows {
		if r.Sum {
			t.line(strings.Join(rules, "  "))
		}
		t.gridRow(g, r.Cells, widths)
	}
}

func (t *texter) gridRow(g Table, cells []Cell, widths []int) {
	cols := make([][]string, len(widths))
	n := 0
	for i := range widths {
		if i < len(cells) {
			for _, l := range cells[i].lines() {
				cols[i] = append(cols[i], fold(l, widths[i])...)
			}
		}
		n = max(n, len(cols[i]))
	}
	for k := range n {
		var b strings.Builder
		for i, w := range widths {
			text := ""
			if k < len(cols[i]) {
				text = cols[i][k]
			}
			pad := strings.Repeat(" ", max(0, w-utf8.RuneCountInString(text)))
			if i > 0 {
				b.WriteString("  ")
			}
			if g.Columns[i].Align == Right {
				b.WriteString(pad + text)
			} else {
				b.WriteString(text + pad)
			}
		}
		t.line(b.String())
	}
}

func (t *texter) tableAsFacts(g Table) {
	for _, r := range g.Rows {
		t.line("")
		for i, c := range r.Cells[:min(len(r.Cells), len(g.Columns))] {
			for k, l := range c.lines() {
				name := ""
				if k == 0 {
					name = g.Columns[i].Head
				}
				t.named("  ", Fact{name, l}, min(12, t.wide/3))
			}
		}
	}
}

// lines returns what a cell says, a line for each of its parts.
func (c Cell) lines() []string {
	list := paragraphs(c.Text)
	for _, s := range c.Struck {
		value, why := cutBar(s)
		list = append(list, clean("was "+value+", "+why))
	}
	if len(c.Ticks) > 0 {
		var boxes []string
		for _, k := range c.Ticks {
			boxes = append(boxes, strings.TrimSpace(tickBox(k.Done)+clean(k.Says)))
		}
		list = append(list, strings.Join(boxes, "  "))
	}
	return list
}
