package app

import (
	"fmt"

	"elbowroom/codes"
	"elbowroom/guide"
	"elbowroom/suspect"
	"elbowroom/workshop"
)

// Inquiry is a job as it stands: what is known, and who is suspected.
type Inquiry struct {
	Job       Job
	Guide     *guide.Guide
	Resolved  *guide.Resolved
	Machine   *workshop.Machine // nil when asked for a guide alone
	Variant   string
	Complaint string
	Codes     []CodeLine
	Causes    codes.Causes // what several of the codes have in common
	Log       []Entry
	Off       []string // what is off or aside now, in words
	Forbidden []string // what must not be done in this state
	Differs   []string // in which respects this machine differs from its variant
	Belief    suspect.Belief
	Deference string // local codes, the maker and licensed practice come first
}

// CodeLine is one trouble code with what the public standard and the guide
// say of it.
type CodeLine struct {
	Code    string
	Pending bool
	Group   string   // public group of the standard
	Owner   string   // who gives the code its meaning
	Faults  []string // faults of the guide that list it
}

// Suspects says who is suspected, and why. Errors wrap ErrInput or ErrUnknown.
func (a *App) Suspects(j Job) (*Inquiry, error) {
	in, err := a.inquire(j)
	if err != nil {
		return nil, err
	}
	b, err := suspect.Believe(in.c, suspect.Options{})
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	return in.answer(b), nil
}

// answer puts a belief beside what is known.
func (in *inquest) answer(b *suspect.Belief) *Inquiry {
	q := &Inquiry{
		Job: in.job, Guide: in.loaded.Guide, Resolved: in.r, Machine: in.machine, Variant: in.variantText(),
		Complaint: in.c.Complaint, Log: in.log, Belief: *b, Deference: deference,
	}
	for _, c := range in.c.Codes {
		q.Codes = append(q.Codes, in.codeLine(c))
	}
	q.Causes = in.causes()
	for _, text := range in.start {
		q.Off = append(q.Off, standsText(in.r, text))
	}
	q.Forbidden = forbiddenNow(in.r, in.req)
	if in.machine != nil {
		for _, e := range in.machine.Exceptions {
			q.Differs = append(q.Differs, fmt.Sprintf("%s: %s", itemName(in.r, e.Item), e.Says))
		}
	}
	return q
}

func (in *inquest) codeLine(c suspect.Code) CodeLine {
	l := CodeLine{Code: c.Code, Pending: c.Pending}
	code, err := codes.Parse(c.Code)
	if err != nil {
		return l
	}
	l.Group, _ = code.Code.Group()
	l.Owner = code.Code.Control().Words()
	for _, f := range in.r.Guide.Faults {
		if lists(f, code.Code) {
			l.Faults = append(l.Faults, fmt.Sprintf("%s (%s)", f.Name, f.ID))
		}
	}
	return l
}

// lists reports whether a fault lists a code, alone or in a family.
func lists(f guide.Fault, c codes.Code) bool {
	for _, text := range f.Codes {
		if family, err := codes.ParseRange(text); err == nil && family.Has(c) {
			return true
		}
	}
	return false
}

// causes groups the codes by what they have in common in the wiring.
func (in *inquest) causes() codes.Causes {
	var read []codes.Code
	for _, c := range in.c.Codes {
		if code, err := codes.Parse(c.Code); err == nil {
			read = append(read, code.Code)
		}
	}
	return codes.Group(read, codes.Upstream{Items: in.itemsOf, Nodes: in.nodesOf, Hanging: in.hanging})
}

// itemsOf returns the items whose faults may set a code.
func (in *inquest) itemsOf(c codes.Code) []string {
	var out []string
	for _, f := range in.r.Guide.Faults {
		if f.On != "" && lists(f, c) {
			out = append(out, string(f.On))
		}
	}
	return out
}

// shared are the sorts of node through which several items hang together.
var shared = map[guide.NodeSort]string{
	guide.SupplyNode: "supply", guide.FuseNode: "fuse", guide.RelayNode: "relay", guide.GroundNode: "ground",
	guide.SpliceNode: "splice", guide.InlineNode: "connector",
}

// nodesOf returns what an item is fed, grounded and connected through.
func (in *inquest) nodesOf(item string) []codes.Node {
	var out []codes.Node
	for _, c := range in.r.Guide.Circuits {
		if !sits(c, guide.ID(item)) {
			continue
		}
		for _, n := range c.Nodes {
			if kind := shared[n.Sort]; kind != "" && n.On != "" && string(n.On) != item {
				out = append(out, codes.Node{Name: string(n.On), Kind: kind})
			}
		}
	}
	return out
}

// hanging returns every item on a circuit of the node.
func (in *inquest) hanging(node codes.Node) []string {
	var out []string
	for _, c := range in.r.Guide.Circuits {
		if !sits(c, guide.ID(node.Name)) {
			continue
		}
		for _, n := range c.Nodes {
			if n.On != "" && (n.Sort == guide.LoadNode || n.Sort == guide.SensingNode) {
				out = append(out, string(n.On))
			}
		}
	}
	return out
}

func sits(c guide.Circuit, item guide.ID) bool {
	for _, n := range c.Nodes {
		if n.On == item {
			return true
		}
	}
	return false
}
