package circuit

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"elbowroom/guide"
)

// mostLines is how many lines of words stand beside a symbol.
const mostLines = 4

// words returns what stands beside a node, broken into lines that fit, and how
// many of the lines are its name.
func (g *Graph) words(node int, room float64) (lines []string, bold int) {
	n := &g.Nodes[node]
	letters := max(7, int(room/(textSize*letterWide)))
	lines = fold(g.title(node), letters)
	bold = len(lines)
	if n.Item != "" && n.Item != string(n.On) {
		lines = append(lines, fold(n.Item, letters)...)
	}
	if bold > mostLines {
		bold = mostLines
	}
	if len(lines) > mostLines-1 && g.figure(node) != "" {
		lines = clip(lines, mostLines-1)
	}
	if f := g.figure(node); f != "" {
		lines = append(lines, f)
	}
	return clip(lines, mostLines), min(bold, len(lines))
}

// title is the short name of a node on a drawing.
func (g *Graph) title(node int) string {
	n := &g.Nodes[node]
	if n.On == "" {
		return string(n.Names[0].Node)
	}
	if n.Pin != "" {
		return string(n.On) + " " + n.Pin
	}
	return string(n.On)
}

// figure is the number that belongs to a node: the voltage of a supply, the
// resistance of what has one.
func (g *Graph) figure(node int) string {
	n := &g.Nodes[node]
	switch {
	case n.Feeds:
		return n.Volt.String()
	case n.Known && n.Ohm > 0:
		return n.Ohm.String()
	}
	return ""
}

// fold breaks a text into lines of at most so many letters, between words where
// it can.
func fold(text string, letters int) []string {
	var lines []string
	for _, word := range strings.Fields(text) {
		for utf8.RuneCountInString(word) > letters {
			cut := len(string([]rune(word)[:letters-1]))
			lines = append(lines, word[:cut]+"-")
			word = word[cut:]
		}
		if last := len(lines) - 1; last >= 0 && utf8.RuneCountInString(lines[last])+1+utf8.RuneCountInString(word) <= letters {
			lines[last] += " " + word
		} else {
			lines = append(lines, word)
		}
	}
	return lines
}

// clip cuts a list of lines and shows that there was more.
func clip(lines []string, most int) []string {
	if len(lines) <= most {
		return lines
	}
	lines = lines[:most:most]
	last := []rune(lines[most-1])
	lines[most-1] = strings.TrimRight(string(last), " -,;") + "…"
	return lines
}

// Text returns the drawing in words, one line for each node, for those who do
// not see it: what it is, where its current goes, what was read.
func (d *Drawing) Text() []string {
	g := d.Graph
	var out []string
	for i := range g.Nodes {
		n := &g.Nodes[i]
		line := string(n.Sort) + " " + g.title(i)
		if n.Item != "" {
			line += ", " + n.Item
		}
		if f := g.figure(i); f != "" {
			line += ", " + f
		}
		var next []string
		for _, m := range g.onward1(i) {
			next = append(next, g.Label(m))
		}
		switch {
		case len(next) > 0:
			line += "; leads to " + list(next)
		case n.Sort == guide.GroundNode:
			line += "; end of the current"
		}
		out = append(out, line)
	}
	for _, m := range d.marks() {
		line := g.Say(m.At) + ": " + string(m.Verdict)
		if m.Says != "" {
			line += ", " + m.Says
		}
		out = append(out, line)
	}
	for _, s := range d.Suspect {
		if g.isSpot(s) {
			out = append(out, fmt.Sprintf("under suspicion: %s", g.SaySpot(s)))
		}
	}
	return out
}
