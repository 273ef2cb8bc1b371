package cli

import (
	"fmt"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/plan"
)

// whereCmd says where an item is.
type whereCmd struct {
	machineFlags
	Words []string `arg:"" name:"words" sep:"none" help:"Name, id or any words that people use for the item."`
	All   bool     `help:"List every item that the words fit, instead of the sheet of the best one."`
}

// Help stands under the usage of where.
func (whereCmd) Help() string { return exitHelp() }

// whereAnswer is the JSON of where.
type whereAnswer struct {
	Words   string     `json:"words" says:"what was looked for"`
	Variant string     `json:"variant,omitempty" says:"the variant"`
	Hits    []hitLine  `json:"hits" says:"items that fit, best first"`
	Item    *itemSheet `json:"item,omitempty" says:"the sheet, when one item fits best"`
}

type hitLine struct {
	ID   guide.ID `json:"id" says:"name in the guide"`
	Name string   `json:"name" says:"item"`
	By   string   `json:"by" says:"the name that fitted"`
}

type itemSheet struct {
	ID        guide.ID   `json:"id" says:"name in the guide"`
	Name      string     `json:"name" says:"item"`
	Kind      string     `json:"kind,omitempty" says:"kind"`
	Also      []string   `json:"also" says:"other names people use"`
	Where     string     `json:"where,omitempty" says:"where it is, in words"`
	Ways      []wayLine  `json:"ways" says:"ways to clear it and to work on it"`
	Blocks    []string   `json:"blocks" says:"items and tasks that need it out of the way"`
	Joints    []factLine `json:"joints" says:"how it is held"`
	Connector string     `json:"connector,omitempty" says:"how its connector opens"`
	Parts     []partLine `json:"parts" says:"what a replacement takes"`
	Cautions  []string   `json:"cautions" says:"warnings"`
	Checks    []factLine `json:"checks" says:"checks that examine it"`
	Faults    []factLine `json:"faults" says:"how it goes wrong"`
	Notes     []factLine `json:"notes" says:"remarks"`
	Source    string     `json:"source,omitempty" says:"who says so"`
}

type wayLine struct {
	Verb    guide.Verb   `json:"verb" says:"off, aside or the task"`
	Task    string       `json:"task,omitempty" says:"the task as verb:item"`
	Text    string       `json:"text" says:"the way in words"`
	Open    bool         `json:"open" says:"it exists on this variant"`
	Best    bool         `json:"best" says:"the planner's choice among the ways of its verb"`
	Outcome plan.Outcome `json:"outcome,omitempty" says:"what was proved of a visit this way"`
	Minutes minutes      `json:"minutes" says:"of the whole visit for this alone; 0 when not worked out"`
	Money   price        `json:"money" says:"of the whole visit for this alone"`
	First   []string     `json:"first" says:"what must be off or aside, all of it"`
	Reason  string       `json:"reason,omitempty" says:"why it cannot be gone, or is dearer"`
}

type factLine struct {
	ID     guide.ID `json:"id,omitempty" says:"name in the guide"`
	Text   string   `json:"text" says:"the fact"`
	Was    []string `json:"was,omitempty" says:"superseded values"`
	Source string   `json:"source,omitempty" says:"who says so"`
}

// Run finds and prints.
func (c *whereCmd) Run(r *run) error {
	a, err := r.open()
	if err != nil {
		return err
	}
	words := strings.Join(c.Words, " ")
	q := app.Ask{Guide: r.guideName(c.Machine, a), Machine: c.Machine, Variant: c.Variant}
	found, err := a.Where(q, words)
	if err != nil {
		return err
	}
	if len(found.Hits) == 0 {
		r.exit = Nothing
	}
	var sheet *app.ItemSheet
	if h := found.Hits; !c.All && (len(h) == 1 || len(h) > 1 && h[0].Score < h[1].Score) {
		if sheet, err = a.Item(q, h[0].Item.ID); err != nil {
			return err
		}
	}
	if r.cli.JSON {
		return r.json(whereJSON(words, found, sheet))
	}
	p := r.page()
	if sheet != nil {
		p.sheet(sheet)
		p.others(found.Hits[1:])
	} else {
		p.hits(words, found.Hits)
	}
	return r.show(p)
}

func (p *page) hits(words string, hits []guide.Hit) {
	if len(hits) == 0 {
		p.para("", "  ", fmt.Sprintf("Nothing fits %q. Try fewer or other words: the name of the part, its kind, or the start of either.", words))
		return
	}
	var rows [][]string
	for _, h := range hits {
		name := h.Item.Name
		if h.By != name && h.By != string(h.Item.ID) {
			name += " (" + h.By + ")"
		}
		rows = append(rows, []string{string(h.Item.ID), name})
	}
	p.table(rows)
}

// mostOthers is how many further hits stand under a sheet.
const mostOthers = 6

func (p *page) others(hits []guide.Hit) {
	var names []string
	for i := 0; i < len(hits) && i < mostOthers; i++ {
		names = append(names, fmt.Sprintf("%s %s", hits[i].Item.ID, hits[i].Item.Name))
	}
	if n := len(hits) - mostOthers; n > 0 {
		names = append(names, fmt.Sprintf("and %d more with --all", n))
	}
	if len(names) > 0 {
		p.space()
		p.field("Also fits", strings.Join(names, "; "))
	}
}

// sheet lays out everything known of one item.
func (p *page) sheet(s *app.ItemSheet) {
	it := s.Item
	p.para("", "", fmt.Sprintf("%s (%s)", it.Name, it.ID))
	p.space()
	p.field("Kind", s.Kind)
	p.field("Also called", strings.Join(it.Also, ", "))
	p.field("Variant", s.Variant)
	p.field("Where", s.Where.Text)
	p.ways(s)
	p.facts(s, "held by", s.Joints)
	if c := connectorText(s.Connector); c != "" {
		p.head("connector", "")
		p.indented(2, c)
	}
	if len(s.Parts) > 0 {
		p.head("a new one takes", "")
		for _, t := range partTexts(s.Parts, s.Resolved.Guide.Currency) {
			p.para("  - ", "    ", t)
		}
	}
	if len(s.Cautions) > 0 {
		p.head("mind", "")
		for _, c := range s.Cautions {
			p.para("  ! ", "    ", c.Text)
		}
	}
	p.facts(s, "checks", checkFacts(s.Checks))
	p.facts(s, "how it goes wrong", s.Faults)
	p.facts(s, "notes", s.Notes)
	if len(s.Blocks) > 0 {
		p.head("in the way of", "")
		p.indented(2, strings.Join(ids(s.Blocks), ", "))
	}
	p.space()
	p.field("Source", s.Source)
}

func (p *page) ways(s *app.ItemSheet) {
	if len(s.Ways) == 0 {
		return
	}
	p.head("ways", "whole visit")
	for _, w := range s.Ways {
		text := strings.TrimSuffix(string(w.Verb)+": "+w.Text, ": ")
		if w.Best {
			text += " (best)"
		}
		right := ""
		switch {
		case w.Total > 0:
			right = fmt.Sprintf("%s, %s", app.Minutes(w.Total), sum(w.Money, s.Resolved.Guide.Currency))
		case !w.Open:
			right = "not on this variant"
		}
		p.row("  ", "    ", text, right)
		if len(w.First) > 0 {
			p.indented(4, "first: "+strings.Join(ids(w.First), ", "))
		}
		if w.Reason != "" {
			p.indented(4, w.Reason)
		}
	}
}

// facts prints facts with their sources, where those differ from the item's.
func (p *page) facts(s *app.ItemSheet, title string, facts []app.FactLine) {
	if len(facts) == 0 {
		return
	}
	p.head(title, "")
	for _, f := range facts {
		text := f.Text
		if f.ID != "" {
			text = string(f.ID) + ": " + text
		}
		p.para("  - ", "    ", text)
		for _, w := range f.Was {
			p.para("    was ", "        ", w)
		}
		if f.Source != "" && f.Source != s.Source {
			p.para("    ", "    ", "("+f.Source+")")
		}
	}
}

func checkFacts(checks []app.CheckLine) []app.FactLine {
	var out []app.FactLine
	for _, c := range checks {
		text := fmt.Sprintf("%s, at %s, %s", c.Name, c.At, app.Minutes(c.Minutes))
		if len(c.Limits) > 0 {
			text += "; good: " + strings.Join(c.Limits, ", ")
		}
		if len(c.When) > 0 {
			text += "; when: " + strings.Join(c.When, ", ")
		}
		out = append(out, app.FactLine{ID: c.ID, Text: text})
	}
	return out
}

func connectorText(c *guide.Connector) string {
	if c == nil {
		return ""
	}
	var words []string
	if c.Pins > 0 {
		words = append(words, fmt.Sprintf("%d pins", c.Pins))
	}
	for _, s := range []string{c.Lock, c.Trick} {
		if s != "" {
			words = append(words, s)
		}
	}
	return strings.Join(words, "; ")
}

func whereJSON(words string, found *app.Found, s *app.ItemSheet) whereAnswer {
	out := whereAnswer{Words: words, Variant: found.Variant, Hits: []hitLine{}}
	for _, h := range found.Hits {
		out.Hits = append(out.Hits, hitLine{h.Item.ID, h.Item.Name, h.By})
	}
	if s == nil {
		return out
	}
	sheet := &itemSheet{
		ID: s.Item.ID, Name: s.Item.Name, Kind: s.Kind, Also: some(s.Item.Also), Where: s.Where.Text, Blocks: ids(s.Blocks),
		Joints: factLines(s.Joints), Connector: connectorText(s.Connector), Parts: partLines(s.Parts), Cautions: []string{},
		Checks: factLines(checkFacts(s.Checks)), Faults: factLines(s.Faults), Notes: factLines(s.Notes), Source: s.Source, Ways: []wayLine{},
	}
	for _, w := range s.Ways {
		sheet.Ways = append(sheet.Ways, wayLine{w.Verb, w.Task, w.Text, w.Open, w.Best, w.Outcome, inMinutes(w.Total), price(w.Money), ids(w.First), w.Reason})
	}
	for _, c := range s.Cautions {
		sheet.Cautions = append(sheet.Cautions, c.Text)
	}
	out.Item = sheet
	return out
}

func factLines(facts []app.FactLine) []factLine {
	out := []factLine{}
	for _, f := range facts {
		out = append(out, factLine{f.ID, f.Text, f.Was, f.Source})
	}
	return out
}
