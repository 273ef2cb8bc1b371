package capture

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/capture/lexicon"
)

// gap is something open that was noticed while listening.
type gap struct {
	sort string
	of   *entity
	at   Moment
	text string
}

func (l *listener) gap(g gap) { l.gaps = append(l.gaps, g) }

// unknowns hears what the narrator says he does not know, and measures that
// are no numbers.
func (l *listener) unknowns() {
	for k := range l.cs {
		c := &l.cs[k]
		if l.is(k, lexicon.About) && l.text(k+1) == "a" && k+2 < len(l.cs) && l.adjacent(k+2) && l.cs[k+2].sort == plainWord && !l.p.known(l.cs[k+2].from) {
			l.gap(gap{sort: "number", of: l.focus, at: l.moment(c.from, l.cs[k+2].to), text: l.p.said(c.from, l.cs[k+2].to)})
		}
		if l.used[k] || !l.is(k, lexicon.Unknown) || l.hedging(k) {
			continue
		}
		l.used[k] = true
		l.gap(l.unknown(k))
	}
}

// hedging reports whether "I don't know" only makes the number after it
// unsure: "you'll lose, I don't know, half a litre".
func (l *listener) hedging(k int) bool {
	for i := k + 1; i < len(l.cs) && i <= k+2; i++ {
		if c := &l.cs[i]; numeric(c) {
			return true
		}
	}
	return false
}

// unknown tells what is not known.
func (l *listener) unknown(k int) gap {
	g := gap{sort: "detail", of: l.focus, at: l.moment(l.cs[0].from, l.cs[len(l.cs)-1].to)}
	g.text = g.at.Said
	if l.any(lexicon.TorqueWord) {
		g.sort = "torque"
	}
	for i := range l.cs {
		if c := &l.cs[i]; g.sort == "detail" && c.sort == fastChunk && c.noun.class == lexicon.Small {
			g.sort, g.text = "choice", c.noun.name()
		}
	}
	return g
}

// asks puts a gap into words.
func (g *gap) asks(item string) string {
	switch g.sort {
	case "torque":
		return "Which torque has the " + item + "? The narrator does not know it."
	case "choice":
		return fmt.Sprintf("%s: %s? It was left open.", item, g.text)
	case "number":
		return fmt.Sprintf("%s: how much is %q, in millimetres?", item, g.text)
	case "unit":
		return fmt.Sprintf("%s: in which unit is %q? None was said.", item, g.text)
	case "alternative":
		return fmt.Sprintf("%s: which other way is meant by %q, and on which variant?", item, g.text)
	case "side":
		return fmt.Sprintf("%s: which side is this, seen from the driver's seat? %s.", item, g.text)
	case "which":
		return fmt.Sprintf("Which item is %q about?", g.text)
	}
	return fmt.Sprintf("%s: %s", item, strings.TrimSuffix(g.text, "."))
}

// questions turns gaps into questions and asks for what no sentence said.
func (l *listener) questions() {
	for i := range l.gaps {
		g := &l.gaps[i]
		item := ""
		if g.of != nil {
			item = g.of.shown()
		}
		at := g.at
		l.ask(Question{Item: item, Gap: g.sort, Asks: g.asks(item), At: &at})
	}
	for _, e := range l.cast.list {
		l.missing(e)
	}
}

// missing asks for what a joint lacks.
func (l *listener) missing(e *entity) {
	var count, torque, elsewhere *Fact
	for _, f := range e.said {
		if f.For != "" {
			continue
		}
		switch {
		case f.Kind == Count && f.Value.Count > 0 && (f.Value.What == "" || l.bolted(f.Value.What)):
			count = f
		case f.Kind == Torque && torque == nil:
			torque = f
		case f.Kind == Elsewhere:
			elsewhere = f
		}
	}
	name := e.shown()
	switch {
	case count != nil && torque == nil && elsewhere != nil:
		l.ask(Question{Item: name, Gap: "torque", Asks: fmt.Sprintf("Which torque has the %s? It is said elsewhere: %s.", name, elsewhere.Value.Text), On: []string{count.ID}})
	case count != nil && torque == nil:
		l.ask(Question{Item: name, Gap: "torque", Asks: fmt.Sprintf("Which torque has the %s (%s)? None was said.", name, count.Value.Text), On: []string{count.ID}})
	case count == nil && torque != nil && !strings.HasPrefix(torque.Value.Text, "hand") && torque.Value.Text != "not applicable" && !l.screwsItself(e):
		l.ask(Question{Item: name, Gap: "count", Asks: fmt.Sprintf("How many fasteners of the %s take %s?", name, torque.Value.Text), On: []string{torque.ID}})
	}
}

// screwsItself reports whether a thing has its own thread, so that nothing is
// to be counted.
func (l *listener) screwsItself(e *entity) bool {
	for _, f := range e.said {
		if f.Kind == Drive || f.Kind == Thread {
			return true
		}
	}
	return slices.Contains([]string{"spark plug", "glow plug", "drain plug", "bleed screw", "sensor", "switch", "sender"}, e.head)
}

// ask adds a question once.
func (l *listener) ask(q Question) {
	q.ID = strings.ReplaceAll(q.Item, " ", "-") + "?" + q.Gap
	l.asks[q.ID+" "+q.Asks]++
	if l.asks[q.ID+" "+q.Asks] > 1 || l.asks[q.ID] > 0 && (q.Gap == "torque" || q.Gap == "count") {
		return
	}
	l.asks[q.ID]++
	if n := l.asks[q.ID]; n > 1 {
		q.ID += fmt.Sprintf(".%d", n)
	}
	l.report.Questions = append(l.report.Questions, q)
}
