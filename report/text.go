package report

import (
	"io"
	"strings"
	"unicode/utf8"
)

// Widths of the text form in characters.
const (
	usualColumns = 80
	leastColumns = 40
	mostColumns  = 400
)

// Text writes the document as plain text of the given width; 0 means 80. It is
// one page without an end: the head stands once, the foot at the end. Boxes are
// [ ] and [x]. The error is the writer's.
func (d Document) Text(w io.Writer, columns int) error {
	if columns == 0 {
		columns = usualColumns
	}
	t := texter{wide: min(max(columns, leastColumns), mostColumns)}
	t.document(d)
	_, err := io.WriteString(w, t.out.String())
	return err
}

type texter struct {
	out  strings.Builder
	wide int
}

func letters(s string) float64 { return float64(utf8.RuneCountInString(s)) }

// fold breaks a text into lines of n characters.
func fold(s string, n int) []string {
	var list []string
	for _, p := range paragraphs(s) {
		list = append(list, wrap(p, float64(max(n, 1)), letters)...)
	}
	return list
}

func (t *texter) line(s string) {
	t.out.WriteString(strings.TrimRight(s, " "))
	t.out.WriteByte('\n')
}

// under writes a text with a first word before it and its further lines
// indented as far.
func (t *texter) under(first, s string) {
	n := utf8.RuneCountInString(first)
	lines := fold(s, t.wide-n)
	if len(lines) == 0 {
		if strings.TrimSpace(first) != "" {
			t.line(first)
		}
		return
	}
	for i, l := range lines {
		if i > 0 {
			first = strings.Repeat(" ", n)
		}
		t.line(first + l)
	}
}

func (t *texter) document(d Document) {
	t.under("", "Variant "+d.Variant)
	t.under("", d.About)
	t.under("", d.Identity())
	t.line(strings.Repeat("=", t.wide))
	t.under("", d.Title)
	t.facts(d.Lead)
	for _, s := range d.Sections {
		t.line("")
		t.under("", strings.ToUpper(clean(s.Title)))
		for _, b := range s.Blocks {
			t.block(b)
		}
	}
	t.line(strings.Repeat("=", t.wide))
	t.under("", d.Guide)
	t.under("", strings.Trim(clean(d.From)+", "+d.day(), ", "))
	t.under("", d.Deference)
}

func (t *texter) block(b Block) {
	switch {
	case b.Text != nil:
		t.under("", b.Text.Lead)
		t.under("", b.Text.Says)
	case b.List != nil:
		t.under("", b.List.Head)
		for _, p := range b.List.Points {
			t.under("  - ", p)
		}
	case b.Facts != nil:
		t.facts(b.Facts.List)
	case b.Table != nil:
		t.table(*b.Table)
	case b.Caution != nil:
		t.caution(*b.Caution, "")
	case b.Step != nil:
		t.step(*b.Step)
	case b.Ticks != nil:
		t.ticks(*b.Ticks, "")
	case b.Drawing != nil:
		t.picture(*b.Drawing, "")
	case b.Sign != nil:
		t.sign(*b.Sign)
	}
}

func (t *texter) picture(d Drawing, indent string) {
	says := strings.TrimSuffix(clean(d.Title), ".") + ". " + d.Says
	t.under(indent+"[picture] ", says)
}

func (t *texter) facts(list []Fact) {
	n := 0
	for _, f := range list {
		n = max(n, utf8.RuneCountInString(clean(f.Name)))
	}
	n = min(n, t.wide/3)
	for _, f := range list {
		t.named("", f, n)
	}
}

func (t *texter) named(indent string, f Fact, n int) {
	name := clean(f.Name)
	if utf8.RuneCountInString(name) > n {
		t.under(indent, name)
		name = ""
	}
	t.under(indent+name+strings.Repeat(" ", n-utf8.RuneCountInString(name)+2), f.Says)
}

func (t *texter) caution(c Caution, indent string) {
	head := "CAUTION  "
	if c.MustNot {
		head = "FORBIDDEN  "
	}
	t.under(indent+head, c.Says)
	pad := indent + strings.Repeat(" ", len(head))
	t.under(pad, c.Because)
	if a := clean(c.Authority); a != "" {
		t.under(pad, "says: "+a)
	}
}

func tickBox(done bool) string {
	if done {
		return "[x] "
	}
	return "[ ] "
}

func (t *texter) step(s Step) {
	t.line("")
	const indent = "         "
	for _, c := range s.Cautions {
		t.caution(c, indent)
	}
	first := "    "
	if s.Done != nil {
		first = tickBox(s.Done.Done)
	}
	n := number(s.Number)
	title := clean(s.Title)
	if m := clean(s.Minutes); m != "" {
		title += "  (" + m + ")"
	}
	t.under(first+strings.Repeat(" ", max(0, 3-len(n)))+n+"  ", title)
	if s.Done != nil && s.Done.By != "" {
		t.under(indent, "done: "+s.Done.By)
	}
	t.under(indent, clean(s.Figure))
	for _, w := range s.Was {
		value, why := cutBar(w)
		t.under(indent+"was: ", clean(value+", "+why))
	}
	for _, l := range s.Lines {
		t.under(indent+clean(l.Name)+": ", l.Says)
	}
	if s.Picture != nil {
		t.picture(*s.Picture, indent)
	}
	for _, g := range s.Ticks {
		t.ticks(g, indent)
	}
}

func (t *texter) ticks(g Ticks, indent string) {
	head := g.Head
	if g.Flow && g.Ref != "" {
		head = g.Ref + "#  " + head
	}
	t.under(indent, head)
	if g.Flow {
		t.flow(g.List, indent)
		return
	}
	for _, k := range g.List {
		says := k.label()
		if clean(k.Says) != "" {
			says += "  (" + clean(k.ID) + ")"
		}
		if k.By != "" {
			says += ", " + k.By
		}
		t.under(indent+tickBox(k.Done), says)
	}
}

func (t *texter) flow(list []Tick, indent string) {
	line := indent
	for _, k := range list {
		one := tickBox(k.Done) + clean(k.Says) + "  "
		if line != indent && utf8.RuneCountInString(line+one) > t.wide {
			t.line(line)
			line = indent
		}
		line += one
	}
	if line != indent {
		t.line(line)
	}
}

func (t *texter) sign(g Sign) {
	t.line("")
	t.under("", g.Says)
	for _, l := range g.Lines {
		t.line("")
		if l.Name != "" {
			t.under("", l.Name+", "+l.When)
		} else {
			t.line(strings.Repeat("_", t.wide*3/5) + "  " + strings.Repeat("_", t.wide/5))
		}
		t.under("", l.Role)
	}
}
