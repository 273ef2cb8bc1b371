package cli

import (
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Bounds of the width of a page, in characters. Below the least a table is
// cut; above the most a line is too long to follow by eye.
const (
	usualWidth = 80
	leastWidth = 40
	mostWidth  = 110
)

// page collects lines of text of one width.
type page struct {
	b     strings.Builder
	width int
	ascii bool
}

// newPage takes width and letters from the environment.
func newPage(env func(string) string) *page {
	width, err := strconv.Atoi(env("COLUMNS"))
	if err != nil || width <= 0 {
		width = usualWidth
	}
	return &page{width: min(max(width, leastWidth), mostWidth), ascii: !utf8Locale(env)}
}

// utf8Locale reports whether the locale prints UTF-8, as POSIX orders the
// variables. With none of them set the locale is "C", which does not.
func utf8Locale(env func(string) string) bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := strings.ToLower(env(name)); v != "" {
			return strings.Contains(v, "utf-8") || strings.Contains(v, "utf8")
		}
	}
	return false
}

// writeTo writes the page.
func (p *page) writeTo(w io.Writer) error {
	text := p.b.String()
	if p.ascii {
		text = plain(text)
	}
	_, err := io.WriteString(w, text)
	return err
}

// line adds one line as it is.
func (p *page) line(s string) { p.b.WriteString(strings.TrimRight(s, " ") + "\n") }

// space adds an empty line unless the page is empty or ends with one.
func (p *page) space() {
	if s := p.b.String(); s != "" && !strings.HasSuffix(s, "\n\n") {
		p.b.WriteString("\n")
	}
}

// para adds wrapped text: the first line after first, the others after rest.
func (p *page) para(first, rest, text string) {
	for i, line := range wrap(p.fold(text), p.width-max(length(first), length(rest))) {
		if i == 0 {
			p.line(first + line)
			continue
		}
		p.line(rest + line)
	}
}

// indented adds wrapped text behind n spaces.
func (p *page) indented(n int, text string) {
	p.para(strings.Repeat(" ", n), strings.Repeat(" ", n), text)
}

// labelWidth is the column at which the text of a field begins.
const labelWidth = 12

// field adds a label with its text; nothing when the text is empty.
func (p *page) field(label, text string) {
	if text != "" {
		p.para(pad(label, labelWidth), strings.Repeat(" ", labelWidth), text)
	}
}

// head begins a section; right stands at the right edge.
func (p *page) head(title, right string) {
	p.space()
	p.row("", "", strings.ToUpper(title), right)
}

// row adds wrapped text with something at the right edge of its first line.
func (p *page) row(first, rest, text, right string) {
	right = p.fold(right)
	room := p.width - max(length(first), length(rest))
	if right != "" {
		room -= length(right) + 2
	}
	for i, line := range wrap(p.fold(text), room) {
		switch {
		case i > 0:
			p.line(rest + line)
		case right == "":
			p.line(first + line)
		default:
			p.line(pad(first+line, p.width-length(right)) + right)
		}
	}
}

// fold replaces what an ASCII terminal cannot show before lines are measured.
func (p *page) fold(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r == utf8.RuneError {
			return ' ' // a text of a guide must not steer the terminal
		}
		return r
	}, s)
	if p.ascii {
		return plain(s)
	}
	return s
}

// letters are what stands in plain ASCII for the signs that guides use.
var letters = strings.NewReplacer(
	"N·m", "Nm", "·", "|", "–", "-", "—", "-", "°", " deg", "Ω", "ohm", "µ", "u", "μ", "u", "≤", "<=", "≥", ">=", "±", "+-",
	"×", "x", "²", "2", "³", "3", "→", "->", "“", `"`, "”", `"`, "‘", "'", "’", "'", "…", "...", "½", "1/2", "¼", "1/4", "€", "EUR",
	"ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss", "é", "e", "è", "e", "à", "a", "ç", "c",
)

// plain turns text into ASCII; what has no stand-in becomes a question mark.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= utf8.RuneSelf {
			return '?'
		}
		return r
	}, letters.Replace(strings.ReplaceAll(s, " °", "°")))
}

func length(s string) int { return utf8.RuneCountInString(s) }

// pad fills with spaces up to n characters; at least one follows the text.
func pad(s string, n int) string {
	return s + strings.Repeat(" ", max(n-length(s), 1))
}

// wrap breaks text into lines of at most width characters, words whole where
// they fit. Empty text is one empty line.
func wrap(text string, width int) []string {
	width = max(width, 10)
	var lines []string
	line := ""
	for _, w := range strings.Fields(text) {
		for length(w) > width {
			if line != "" {
				lines, line = append(lines, line), ""
			}
			r := []rune(w)
			lines, w = append(lines, string(r[:width])), string(r[width:])
		}
		switch {
		case line == "":
			line = w
		case length(line)+1+length(w) <= width:
			line += " " + w
		default:
			lines, line = append(lines, line), w
		}
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// table lays rows out in columns; numbers of the columns named in right are
// set flush right, and the last column wraps.
func (p *page) table(rows [][]string, right ...int) {
	if len(rows) == 0 {
		return
	}
	cols := len(rows[0])
	widths := make([]int, cols)
	for _, row := range rows {
		for i, cell := range row[:cols-1] {
			widths[i] = max(widths[i], length(p.fold(cell)))
		}
	}
	for _, row := range rows {
		lead := ""
		for i, cell := range row[:cols-1] {
			cell = p.fold(cell)
			fill := strings.Repeat(" ", widths[i]-length(cell))
			if slices.Contains(right, i) {
				cell = fill + cell
			} else {
				cell += fill
			}
			lead += cell + "  "
		}
		p.para(lead, strings.Repeat(" ", length(lead)), row[cols-1])
	}
}
