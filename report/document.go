package report

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"strings"
	"time"
)

// Kind is the sort of a paper.
type Kind string

// The kinds.
const (
	Plan     Kind = "plan"
	Torque   Kind = "torque"
	Quote    Kind = "quote"
	Handover Kind = "handover"
	Job      Kind = "job"
	LayOut   Kind = "layout"
)

// Kinds lists every kind.
var Kinds = []Kind{Plan, Torque, Quote, Handover, Job, LayOut}

// Document is one paper.
type Document struct {
	Kind      Kind      `json:"kind"`
	Number    string    `json:"number"` // "V1 plan", "job-0117 report"
	Title     string    `json:"title"`
	About     string    `json:"about,omitempty"` // the machine: "V1, Varnock Tidewain panel van"
	Variant   string    `json:"variant"`         // at the top of every page
	Guide     string    `json:"guide"`           // with its revision and date
	From      string    `json:"from,omitempty"`  // who hands it out: the workshop
	Date      time.Time `json:"date"`
	Deference string    `json:"deference"` // on every page
	Lead      []Fact    `json:"lead,omitempty"`
	Sections  []Section `json:"sections"`
}

// Section is a part of a paper with a heading.
type Section struct {
	Title  string  `json:"title"`
	Blocks []Block `json:"blocks"`
	Apart  bool    `json:"apart,omitempty"` // begins a page
}

// Block is one thing on a paper: exactly one field is set.
type Block struct {
	Text    *Text    `json:"text,omitempty"`
	List    *List    `json:"list,omitempty"`
	Facts   *Facts   `json:"facts,omitempty"`
	Table   *Table   `json:"table,omitempty"`
	Caution *Caution `json:"caution,omitempty"`
	Step    *Step    `json:"step,omitempty"`
	Ticks   *Ticks   `json:"ticks,omitempty"`
	Drawing *Drawing `json:"drawing,omitempty"`
	Sign    *Sign    `json:"sign,omitempty"`
}

// Text is a paragraph.
type Text struct {
	Lead string `json:"lead,omitempty"` // in bold before it
	Says string `json:"says"`
	Big  bool   `json:"big,omitempty"` // to be read at arm's length
}

// List is a list of points.
type List struct {
	Head   string   `json:"head,omitempty"`
	Points []string `json:"points"`
}

// Fact is a name with what it stands for.
type Fact struct {
	Name string `json:"name"`
	Says string `json:"says"`
}

// Facts is a list of facts.
type Facts struct {
	List []Fact `json:"list"`
}

// Align is on which side the text of a column stands.
type Align string

// The alignments; the zero value is Left.
const (
	Left  Align = ""
	Right Align = "right"
)

// Column is a column of a table.
type Column struct {
	Head  string `json:"head"`
	Align Align  `json:"align,omitempty"`
}

// Table is a table. A row with fewer cells than columns is filled up with empty
// ones; further cells are dropped and Check says so.
type Table struct {
	Says    string   `json:"says,omitempty"` // what it is about, above it
	Columns []Column `json:"columns"`
	Rows    []Row    `json:"rows"`
	Note    string   `json:"note,omitempty"` // below it
}

// Row is a row of a table.
type Row struct {
	Cells []Cell `json:"cells"`
	Sum   bool   `json:"sum,omitempty"`  // stands apart, in bold
	Hold  bool   `json:"hold,omitempty"` // stays with the row after it
}

// Cell is one cell.
type Cell struct {
	Text   string   `json:"text,omitempty"`
	Strong bool     `json:"strong,omitempty"`
	Big    bool     `json:"big,omitempty"`    // the number that matters
	Struck []string `json:"struck,omitempty"` // superseded, each struck through, with when and why after "|"
	Ticks  []Tick   `json:"ticks,omitempty"`
}

// Caution is a warning, or with MustNot something that must not be done.
type Caution struct {
	Says      string `json:"says"`
	Because   string `json:"because,omitempty"`
	Authority string `json:"authority,omitempty"` // who says so
	MustNot   bool   `json:"must_not,omitempty"`
}

// Step is a card: one thing to do, with its cautions before it.
type Step struct {
	Number   int       `json:"number"`
	Title    string    `json:"title"`
	Minutes  string    `json:"minutes,omitempty"`
	Cautions []Caution `json:"cautions,omitempty"`
	Figure   string    `json:"figure,omitempty"` // the number that matters, large
	Was      []string  `json:"was,omitempty"`    // superseded, struck through, with when and why after "|"
	Lines    []Fact    `json:"lines,omitempty"`
	Ticks    []Ticks   `json:"ticks,omitempty"`   // of what belongs to it
	Done     *Tick     `json:"done,omitempty"`    // of the step itself
	Picture  *Drawing  `json:"picture,omitempty"` // beside it
}

// Tick is a box to be ticked. The id names what it stands for, as a program
// knows it: "step 3", "fastener AR04/1/7".
type Tick struct {
	ID   string `json:"id"`
	Says string `json:"says,omitempty"`
	Done bool   `json:"done,omitempty"`
	By   string `json:"by,omitempty"` // who ticked it
}

// Ticks is a list of boxes, one below the other with their ids, or with Flow in
// a row. In a row only Says stands beside each box: what a reader types back is
// then Ref, # and Says, such as AR04/1#3.
type Ticks struct {
	Head string `json:"head,omitempty"`
	Ref  string `json:"ref,omitempty"`
	List []Tick `json:"list"`
	Flow bool   `json:"flow,omitempty"`
}

// Sign holds lines to sign on.
type Sign struct {
	Says  string     `json:"says,omitempty"` // what is signed for
	Lines []SignLine `json:"lines"`
}

// SignLine is one of them; Name is set when it was signed already.
type SignLine struct {
	Role string `json:"role"`
	Name string `json:"name,omitempty"`
	When string `json:"when,omitempty"`
}

// Mark returns the revision of the paper: eight digits that follow from
// everything it says but the date. Two papers with the same mark say the same.
func (d Document) Mark() string {
	d.Date = time.Time{}
	data, err := json.Marshal(d)
	if err != nil {
		data = []byte(d.Number + "\x00" + d.Title) // a number that is none stands in a drawing: see Check
	}
	sum := sha256.Sum256(data)
	m := strings.ToUpper(hex.EncodeToString(sum[:4]))
	return m[:4] + "-" + m[4:]
}

// Identity returns number and revision in one line.
func (d Document) Identity() string {
	return strings.TrimSpace(d.Number + ", revision " + d.Mark())
}

// day prints the date as it stands on a paper.
func (d Document) day() string {
	if d.Date.IsZero() {
		return "no date"
	}
	return d.Date.Format("2006-01-02 15:04 MST")
}

// Ticks lists every tick box of the paper in reading order.
func (d Document) Ticks() []Tick {
	var list []Tick
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			list = append(list, b.ticks()...)
		}
	}
	return list
}

func (b Block) ticks() []Tick {
	var list []Tick
	switch {
	case b.Step != nil:
		if b.Step.Done != nil {
			list = append(list, *b.Step.Done)
		}
		for _, t := range b.Step.Ticks {
			list = append(list, t.List...)
		}
	case b.Ticks != nil:
		list = append(list, b.Ticks.List...)
	case b.Table != nil:
		for _, r := range b.Table.Rows {
			for _, c := range r.Cells {
				list = append(list, c.Ticks...)
			}
		}
	}
	return list
}

// Tick returns the box that somebody typed back: by its id, or for one in a row
// by what is printed, such as AR04/1#3. Blanks and letter case do not count. ok
// is false when the paper has no such box.
func (d Document) Tick(typed string) (t Tick, ok bool) {
	want := plainID(typed)
	for _, t := range d.Ticks() {
		if plainID(t.ID) == want {
			return t, true
		}
	}
	for _, g := range d.rows() {
		for _, t := range g.List {
			if g.Ref != "" && plainID(g.Ref+"#"+t.Says) == want {
				return t, true
			}
		}
	}
	return Tick{}, false
}

// rows lists the boxes that stand in rows.
func (d Document) rows() []Ticks {
	var list []Ticks
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			switch {
			case b.Ticks != nil && b.Ticks.Flow:
				list = append(list, *b.Ticks)
			case b.Step != nil:
				for _, g := range b.Step.Ticks {
					if g.Flow {
						list = append(list, g)
					}
				}
			}
		}
	}
	return list
}

func plainID(id string) string { return strings.ToLower(strings.Join(strings.Fields(id), "")) }
