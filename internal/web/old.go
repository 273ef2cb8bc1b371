package web

import (
	"context"
	"net/url"
	"strconv"
	"strings"

	"elbowroom/app/desk"
	"elbowroom/joblog"
)

// oldRow is a superseded value that a job used, or is about to.
type oldRow struct {
	Job     link // none on the job's own page
	Machine string
	What    string // the item and its fasteners
	Value   string
	Until   string
	Reason  string
	Present string
	By, At  string // who tightened it when
	Unsaid  string // where the value does not stand in the tick
	Open    bool
}

// oldView is the part of the workshop's page about superseded values.
type oldView struct {
	Rows    []oldRow
	Looked  string // how many jobs were looked at
	Unread  []string
	Further string // address for the jobs before
	Newest  string // address of the first answer; empty there
}

// oldRowOf lays a superseded value out. The name tells people by their id.
func oldRowOf(o desk.OldValue, name func(joblog.Person) string) oldRow {
	w := wasOf(o.Was)
	row := oldRow{
		What: listed(o.Name+" ("+string(o.Item)+")", o.What, numbered(o.Fasteners)), Value: o.Value, Until: w.Until, Reason: w.Reason, Present: o.Present, Open: o.Open,
	}
	if !o.Open {
		row.By, row.At = say("old.by", name(o.By)), o.At.Time().Format("2006-01-02 15:04")
	}
	if !o.Open && !o.Said {
		row.Unsaid = say("old.unsaid", o.Plan.String())
	}
	return row
}

// numbered says which fasteners are meant, where there are several.
func numbered(fasteners []int) string {
	if len(fasteners) < 2 {
		return ""
	}
	words := make([]string, len(fasteners))
	for i, n := range fasteners {
		words[i] = strconv.Itoa(n)
	}
	return say("old.numbers", strings.Join(words, ", "))
}

// named returns what people are called.
func named(people []personRow) func(joblog.Person) string {
	return func(id joblog.Person) string {
		for _, p := range people {
			if p.ID == string(id) {
				return p.Name
			}
		}
		return string(id)
	}
}

// old adds the jobs with superseded values, those that were looked at after
// one of them.
func (s *site) old(ctx context.Context, who desk.Who, after string, p *workshopPage) error {
	list, err := s.opts.Desk.Superseded(ctx, who, joblog.Job(after))
	if err != nil {
		return err
	}
	for _, o := range list.List {
		row := oldRowOf(o, named(p.People))
		row.Job = link{Text: o.Title, Href: keptPath + string(o.Job)}
		row.Machine = listed(string(o.Machine), o.MachineName)
		p.Old.Rows = append(p.Old.Rows, row)
	}
	p.Old.Looked = say("old.looked", list.Looked)
	for _, n := range list.Notes {
		p.Old.Unread = append(p.Old.Unread, listed(n.Title, n.Says))
	}
	for _, g := range list.Guides {
		p.Old.Unread = append(p.Old.Unread, listed(g.Guide, g.Says))
	}
	if list.After != "" {
		p.Old.Further = workshopPath + "?" + url.Values{"old": {string(list.After)}}.Encode() + "#old"
	}
	if after != "" {
		p.Old.Newest = workshopPath + "#old"
	}
	return nil
}
