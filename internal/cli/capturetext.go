package cli

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/capture"
	"elbowroom/capture/draft"
	"elbowroom/capture/transcript"
	"elbowroom/guide"
)

// captured prints what a narration gave.
func (p *page) captured(c *app.Narrated) {
	p.heardHead(c)
	p.heardFacts(c)
	p.heardOpen(c)
	p.heardLost(c)
}

// heardHead says as what the text was read and what it gave.
func (p *page) heardHead(c *app.Narrated) {
	r := c.Report
	s := fmt.Sprintf("Read as %s: %s", r.Form, counted(r.Words, "word"))
	if r.Length > 0 {
		s += ", " + transcript.Clock(r.Length)
	}
	if len(r.Speakers) > 0 {
		s += ", spoken by " + strings.Join(r.Speakers, " and ")
	}
	p.para("", "", s+".")
	if c.Nothing() && len(r.Questions) > 0 {
		p.para("", "", "No fact could be kept: nothing says which thing is meant. Words of your own can be added with --lexicon.")
		return
	}
	if c.Nothing() {
		p.para("", "", "No fact about an engine was found in it. Nothing was made up.")
		return
	}
	p.para("", "", fmt.Sprintf("%s about %s; %s; %s; %s.", counted(len(r.Facts), "fact"), counted(len(r.Items), "thing"),
		counted(len(r.Questions), "question"), counted(len(r.Conflicts), "contradiction"), counted(len(r.Garbled), "passage")+" not understood"))
	if c.Guide != nil {
		n := c.Sheet.Counts()
		p.para("", "", fmt.Sprintf("Beside %s: %d new, %d the same, %d otherwise, %d of which the item must be said.", c.Guide.Title, n[draft.New], n[draft.Agrees], n[draft.Contradicts], n[draft.Which]))
	}
	for _, f := range c.Findings {
		p.finding(f)
	}
}

// counted writes a number with its noun: "1 word", "2 words".
func counted(n int, noun string) string {
	if n != 1 {
		noun += "s"
	}
	return fmt.Sprintf("%d %s", n, noun)
}

// marks stand before a fact that is laid beside a guide.
var marks = map[draft.Status]string{draft.New: "+", draft.Agrees: "=", draft.Contradicts: "!", draft.Which: "?", draft.Heard: " "}

// heardFacts prints the facts item by item, in the order of naming.
func (p *page) heardFacts(c *app.Narrated) {
	r := c.Report
	names := []string{}
	for i := range r.Facts {
		if name := r.Facts[i].Item.Name; !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	for _, name := range names {
		right := ""
		var rows [][]string
		for i := range r.Facts {
			f := &r.Facts[i]
			if f.Item.Name != name {
				continue
			}
			pr := c.Sheet.Proposal(f.ID)
			if c.Guide != nil && !pr.Fresh && len(pr.On) > 0 {
				right = shortIDs(pr.On)
			}
			rows = append(rows, heardRow(c, f, pr))
		}
		p.head(name, right)
		p.table(rows)
	}
}

// mostIDs is how many IDs stand beside a name.
const mostIDs = 4

func shortIDs(ids []guide.ID) string {
	words := []string{}
	for i, id := range ids {
		if i == mostIDs {
			words = append(words, "…")
			break
		}
		words = append(words, string(id))
	}
	return strings.Join(words, " ")
}

// heardRow is the line of one fact: mark, time, what it says and how surely.
func heardRow(c *app.Narrated, f *capture.Fact, pr *draft.Proposal) []string {
	says := f.Statement()
	var remarks []string
	if f.At.Speaker != "" && len(c.Report.Speakers) > 1 {
		remarks = append(remarks, f.At.Speaker)
	}
	remarks = append(remarks, slices.DeleteFunc(slices.Clone(f.Because), func(s string) bool {
		return strings.HasPrefix(s, "words,") || s == "said as a guess" || strings.HasPrefix(s, "told by")
	})...)
	if len(f.Again) > 0 {
		remarks = append(remarks, "again at "+f.Again[0].Clock())
	}
	if len(remarks) > 0 {
		says += " (" + strings.Join(remarks, "; ") + ")"
	}
	if pr.Status == draft.Contradicts {
		says += fmt.Sprintf(" — the guide has %s (%s)", pr.Has, pr.By)
	}
	mark := " "
	if c.Guide != nil {
		mark = marks[pr.Status]
	}
	return []string{mark, f.At.Clock(), says}
}

// heardOpen prints questions and contradictions.
func (p *page) heardOpen(c *app.Narrated) {
	if qs := c.Report.Questions; len(qs) > 0 {
		p.head("To be asked", "")
		var rows [][]string
		for _, q := range qs {
			at := ""
			if q.At != nil {
				at = q.At.Clock()
			}
			rows = append(rows, []string{" ", at, q.Asks})
		}
		p.table(rows)
	}
	if xs := c.Report.Conflicts; len(xs) > 0 {
		p.head("Said twice and differently", "")
		for _, x := range xs {
			p.para("   ", "     ", x.Says)
		}
	}
	for i, x := range c.Refused {
		if i == 0 {
			p.head("Decisions that cannot be carried out", "")
		}
		p.para("   ", "     ", fmt.Sprintf("number %d: %s", x.Place+1, x.Says))
	}
}

// heardLost prints what gave no fact.
func (p *page) heardLost(c *app.Narrated) {
	p.passages("Not understood, nothing taken", c.Report.Garbled)
	p.passages("Numbers that belong to nothing", c.Report.Left)
}

func (p *page) passages(title string, list []capture.Passage) {
	if len(list) == 0 {
		return
	}
	p.head(title, "")
	var rows [][]string
	for _, x := range list {
		rows = append(rows, []string{" ", x.At.Clock(), fmt.Sprintf("“%s” (%s)", x.At.Said, x.Why)})
	}
	p.table(rows)
}
