package transcript

import (
	"encoding/csv"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"elbowroom/span"
)

// column is what a column of a spreadsheet holds.
type column int

const (
	otherColumn column = iota
	itemColumn
	countColumn
	whatColumn
	threadColumn
	driveColumn
	torqueColumn
	noteColumn
)

// headings are the names of columns, folded.
var headings = map[string]column{
	"item": itemColumn, "part": itemColumn, "component": itemColumn, "name": itemColumn, "thing": itemColumn, "what": itemColumn,
	"qty": countColumn, "quantity": countColumn, "count": countColumn, "number": countColumn, "no.": countColumn, "pcs": countColumn, "how many": countColumn,
	"fastener": whatColumn, "fasteners": whatColumn, "fixing": whatColumn,
	"thread": threadColumn, "size": threadColumn,
	"drive": driveColumn, "socket": driveColumn, "tool": driveColumn, "wrench": driveColumn, "spanner": driveColumn,
	"torque": torqueColumn, "tightening": torqueColumn, "tightening torque": torqueColumn,
	"note": noteColumn, "notes": noteColumn, "remark": noteColumn, "remarks": noteColumn, "comment": noteColumn, "comments": noteColumn,
}

// order is how the cells of a row are put into a sentence.
var order = []column{itemColumn, countColumn, whatColumn, threadColumn, driveColumn, torqueColumn}

// heading returns what a column holds and the unit in brackets.
func heading(cell string) (column, string) {
	name, unit, _ := strings.Cut(strings.ToLower(strings.TrimSpace(cell)), "(")
	if unit != "" {
		at := strings.IndexByte(cell, '(')
		unit, _, _ = strings.Cut(cell[at+1:], ")")
	}
	name = strings.TrimSpace(name)
	if c, ok := headings[name]; ok {
		return c, strings.TrimSpace(unit)
	}
	if first, rest, ok := strings.Cut(name, " "); ok && headings[first] == torqueColumn {
		return torqueColumn, rest
	}
	return otherColumn, ""
}

// delimiter returns what parts the cells of a first line.
func delimiter(line string) rune {
	best, most := ',', 0
	for _, d := range ",;\t" {
		if n := strings.Count(line, string(d)); n > most {
			best, most = d, n
		}
	}
	return best
}

// isTable reports whether the first line names columns, an item among them.
func isTable(name string, lines []string) bool {
	for _, l := range lines {
		if strings.TrimSpace(l) == "" {
			continue
		}
		items, others := 0, 0
		for _, cell := range strings.Split(l, string(delimiter(l))) {
			switch c, _ := heading(strings.Trim(strings.TrimSpace(cell), `"`)); c {
			case itemColumn:
				items++
			case otherColumn:
			default:
				others++
			}
		}
		low := strings.ToLower(name)
		return items > 0 && others > 0 || (strings.HasSuffix(low, ".csv") || strings.HasSuffix(low, ".tsv")) && strings.ContainsAny(l, ",;\t")
	}
	return false
}

// cell is one cell with its place.
type cell struct {
	text string
	pos  span.Pos
}

// readTable makes a cue of every row.
func (s *source) readTable(text string) []Cue {
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.LazyQuotes = delimiter(s.firstLine()), -1, true
	var head []cell
	var cues []Cue
	for {
		record, err := r.Read()
		if err != nil {
			var parse *csv.ParseError
			if errors.As(err, &parse) {
				s.warn(span.Pos{File: s.name, Line: parse.Line, Col: max(parse.Column, 1)}, "table", "the row cannot be read: "+parse.Err.Error(), "", "close the quotes; the rows from here on were not read")
			}
			return cues
		}
		row := make([]cell, len(record))
		for i, text := range record {
			line, col := r.FieldPos(i)
			row[i] = cell{strings.TrimSpace(text), s.pos(line-1, col-1)}
		}
		if head == nil {
			head = row
			s.checkHead(head)
			continue
		}
		if len(row) > len(head) {
			s.warn(row[len(head)].pos, "table", fmt.Sprintf("the row has %d cells, the first row names %d", len(row), len(head)), "", "name the column; the cells are kept")
		}
		if c := tableCue(head, row); c.Text != "" {
			cues = append(cues, c)
		}
	}
}

func (s *source) firstLine() string {
	for _, l := range s.lines {
		if strings.TrimSpace(l) != "" {
			return l
		}
	}
	return ""
}

// checkHead warns when no column names the item.
func (s *source) checkHead(head []cell) {
	for _, h := range head {
		if c, _ := heading(h.text); c == itemColumn {
			return
		}
	}
	s.warn(head[0].pos, "table", "no column names the item", "", "call it item; the rows are read as plain notes")
}

// tableCue puts a row into words: "Oil cooler: 4 bolts, M8, hex 13, 22 Nm.
// coolant drained first".
func tableCue(head, row []cell) Cue {
	c := Cue{}
	used := make([]bool, len(row))
	put := func(glue string, x cell, after string) {
		if c.Text != "" {
			c.add(glue, x.pos)
		}
		c.add(x.text, x.pos)
		if after != "" {
			c.add(after, span.Pos{File: x.pos.File, Line: x.pos.Line, Col: x.pos.Col + utf8.RuneCountInString(x.text)})
		}
	}
	last := otherColumn
	for _, want := range order {
		for i, x := range row {
			if i >= len(head) || x.text == "" {
				continue
			}
			if is, unit := heading(head[i].text); is == want {
				used[i] = true
				put(glue(last, want), x, unitAfter(x.text, unit))
				last = want
			}
		}
	}
	for i, x := range row {
		if used[i] || x.text == "" {
			continue
		}
		if i < len(head) {
			if is, _ := heading(head[i].text); is == otherColumn && head[i].text != "" {
				x.text = head[i].text + " " + x.text
			}
		}
		put(". ", x, "")
	}
	return c
}

func glue(last, next column) string {
	switch {
	case last == itemColumn:
		return ": "
	case last == countColumn && next == whatColumn:
		return " "
	}
	return ", "
}

// unitAfter returns the unit of a heading where the cell is a bare number.
func unitAfter(text, unit string) string {
	if unit == "" || strings.Trim(text, "0123456789.,-– ") != "" {
		return ""
	}
	return " " + unit
}
