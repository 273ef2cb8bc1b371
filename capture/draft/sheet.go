package draft

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/capture"
	"elbowroom/capture/lexicon"
	"elbowroom/guide"
)

// Status is how a fact stands to a guide.
type Status string

// The statuses.
const (
	New         Status = "new"
	Agrees      Status = "agrees"
	Contradicts Status = "contradicts"
	Which       Status = "which" // the item is not settled
	Heard       Status = "heard" // how things stood while it was said; nothing to keep
)

// Options are what a narration cannot say of itself.
type Options struct {
	Narrator string // of a narration without speakers
	Machine  string // on which machine it was
	Date     string // ISO 8601
	Lexicon  *lexicon.Lexicon
}

// Proposal is one fact laid beside the guide.
type Proposal struct {
	Fact   string     `json:"fact"` // its ID
	Status Status     `json:"status"`
	On     []guide.ID `json:"on"`            // where it goes: items of the guide, or a new one
	Fresh  bool       `json:"fresh"`         // the guide does not have the item
	Says   string     `json:"says"`          // what the guide would say
	Has    string     `json:"has,omitempty"` // what the guide says now
	By     string     `json:"by,omitempty"`  // who says what the guide says now
	Line   string     `json:"line"`          // all of it in one line for people
}

// Sheet is a report laid beside a guide.
type Sheet struct {
	Report    *capture.Report
	Proposals []Proposal // in the order of the facts
	options   Options
	names     *Names
}

// Lay lays a report beside a guide; nil is an empty one.
func Lay(r *capture.Report, g *guide.Guide, o Options) *Sheet {
	if g == nil {
		g = &guide.Guide{}
	}
	s := &Sheet{Report: r, options: o, names: NewNames(g, o.Lexicon)}
	look := newLook(g)
	for i := range r.Facts {
		s.Proposals = append(s.Proposals, s.propose(look, &r.Facts[i]))
	}
	return s
}

// Proposal returns the proposal of a fact, or nil.
func (s *Sheet) Proposal(fact string) *Proposal {
	for i := range s.Proposals {
		if s.Proposals[i].Fact == fact {
			return &s.Proposals[i]
		}
	}
	return nil
}

// propose lays one fact beside the guide.
func (s *Sheet) propose(look *look, f *capture.Fact) Proposal {
	p := Proposal{Fact: f.ID, Says: sentence(f), Status: New}
	switch {
	case f.Kind == capture.State:
		p.Status = Heard
	case f.Item.Gauge || f.Item.Name == "everything":
		p.Has, p.By, p.Status = look.gauge(f)
	default:
		s.place(look, f, &p)
	}
	p.Line = line(f, &p)
	return p
}

// place finds the items of a fact and compares.
func (s *Sheet) place(look *look, f *capture.Fact, p *Proposal) {
	p.On = s.names.Named(f.Item.Bare, f.Item.Side, f.Item.Number)
	switch {
	case len(p.On) == 0:
		p.On, p.Fresh = []guide.ID{NewID(f.Item.Name)}, true
		if f.Kind == capture.Holds {
			p.Has, p.By, p.Status = look.fluid(f)
		}
		return
	case len(p.On) > 1 && !look.alike(p.On):
		p.Status = Which
		return
	}
	for i, id := range p.On {
		has, by, status := look.compare(id, f)
		if i == 0 || status == Contradicts {
			p.Has, p.By, p.Status = has, by, status
		}
	}
}

// NewID makes an ID of a name: "left-exhaust-cam-sensor".
func NewID(name string) guide.ID {
	id := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r >= 'A' && r <= 'Z':
			return r
		}
		return '-'
	}, name)
	id = strings.Join(strings.FieldsFunc(id, func(r rune) bool { return r == '-' }), "-")
	if id == "" || guide.ID(id).Check() != nil {
		id = "item-" + id
	}
	return guide.ID(strings.TrimSuffix(id, "-"))
}

// line says a proposal in one line, with both sources where they differ.
func line(f *capture.Fact, p *Proposal) string {
	said := fmt.Sprintf("%s: %s (%s)", f.Item.Name, f.Statement(), origin(f))
	switch p.Status {
	case Contradicts:
		return fmt.Sprintf("%s; the guide has %s (%s)", said, p.Has, p.By)
	case Agrees:
		return said + "; the guide has the same"
	case Which:
		return said + "; which of " + joinIDs(p.On) + " is meant?"
	}
	return said
}

// origin says who said it and when.
func origin(f *capture.Fact) string {
	var words []string
	switch {
	case f.Who != "" && f.At.Speaker != "":
		words = append(words, f.Who+", told by "+f.At.Speaker)
	case f.Who != "":
		words = append(words, f.Who)
	case f.At.Speaker != "":
		words = append(words, f.At.Speaker)
	}
	return strings.Join(append(words, f.At.Clock()), ", ")
}

func joinIDs(ids []guide.ID) string {
	words := make([]string, len(ids))
	for i, id := range ids {
		words[i] = string(id)
	}
	return strings.Join(words, ", ")
}

// Counts returns how many proposals have each status.
func (s *Sheet) Counts() map[Status]int {
	n := map[Status]int{}
	for _, p := range s.Proposals {
		n[p.Status]++
	}
	return n
}

// Contradicting returns the proposals that contradict the guide.
func (s *Sheet) Contradicting() []Proposal {
	return slices.DeleteFunc(slices.Clone(s.Proposals), func(p Proposal) bool { return p.Status != Contradicts })
}
