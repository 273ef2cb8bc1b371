package codes

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Node is something that several items hang on: a supply, a ground, a
// connector, or an item itself.
type Node struct {
	Name string `json:"name"`
	Kind string `json:"kind"` // "supply", "ground", "connector", "item", ...
}

// Upstream says how codes lead to items and items to what they share. Every
// function must give the same answer to the same question.
type Upstream struct {
	// Items returns the items whose faults may set the code.
	Items func(Code) []string
	// Nodes returns what the item hangs on.
	Nodes func(item string) []Node
	// Hanging returns every item that hangs on the node. May be nil: then what
	// stayed silent is not known.
	Hanging func(node Node) []string
}

// Explained is a code with the items through which a cause explains it.
type Explained struct {
	Code  Code     `json:"code"`
	Items []string `json:"items"`
}

// Cause is one thing that, being wrong, would explain several codes.
type Cause struct {
	Node     Node        `json:"node"`
	Explains []Explained `json:"explains"`
	New      []Code      `json:"new,omitempty"`    // explained by no cause further up the list
	Silent   []string    `json:"silent,omitempty"` // items on the node of which no code was read
	Says     string      `json:"says"`
}

// Causes is the answer of Group.
type Causes struct {
	Shared  []Cause     `json:"shared"`            // best first: explains most, then fewest silent
	Alone   []Explained `json:"alone,omitempty"`   // known items, nothing shared with another code
	Unknown []Code      `json:"unknown,omitempty"` // no item is known to set it
}

// itemKind is the kind of a Node that is an item itself.
const itemKind = "item"

// Group sorts codes by the causes that several of them have in common. A code
// is often the victim: one bad ground sets the codes of everything on it. A
// cause stands further up the more codes it explains; among equals, the one
// with fewer items that stayed silent, since those speak against it. Codes
// count once each, whatever their failure type. It weighs nothing by how
// often a fault happens; that is for whoever knows the guide.
func Group(read []Code, up Upstream) Causes {
	all := slices.Clone(read)
	slices.Sort(all)
	all = slices.Compact(all)
	var out Causes
	found := map[Node][]Explained{}
	loud := map[string]bool{} // items of which a code was read
	var known []Explained
	for _, c := range all {
		items := unique(up.Items(c))
		if len(items) == 0 {
			out.Unknown = append(out.Unknown, c)
			continue
		}
		known = append(known, Explained{c, items})
		for _, item := range items {
			loud[item] = true
			credit(found, Node{item, itemKind}, c, item)
			for _, n := range up.Nodes(item) {
				credit(found, n, c, item)
			}
		}
	}
	for n, ex := range found {
		if len(ex) > 1 {
			out.Shared = append(out.Shared, Cause{Node: n, Explains: ex, Silent: silent(n, up, loud)})
		}
	}
	slices.SortFunc(out.Shared, byExplaining)
	out.tell(known, len(all))
	return out
}

// credit notes that a node explains a code through an item.
func credit(found map[Node][]Explained, n Node, c Code, item string) {
	ex := found[n]
	if k := len(ex); k > 0 && ex[k-1].Code == c {
		if !slices.Contains(ex[k-1].Items, item) {
			ex[k-1].Items = append(ex[k-1].Items, item)
		}
		return
	}
	found[n] = append(ex, Explained{c, []string{item}})
}

func silent(n Node, up Upstream, loud map[string]bool) []string {
	if up.Hanging == nil || n.Kind == itemKind {
		return nil
	}
	return slices.DeleteFunc(unique(up.Hanging(n)), func(item string) bool { return loud[item] })
}

func byExplaining(a, b Cause) int {
	return cmp.Or(cmp.Compare(len(b.Explains), len(a.Explains)), cmp.Compare(len(a.Silent), len(b.Silent)),
		cmp.Compare(a.Node.Kind, b.Node.Kind), cmp.Compare(a.Node.Name, b.Node.Name))
}

// tell fills in what depends on the order: what each cause adds, what is left
// alone, and the sentences.
func (out *Causes) tell(known []Explained, total int) {
	taken := map[Code]bool{}
	for i := range out.Shared {
		c := &out.Shared[i]
		for _, e := range c.Explains {
			if !taken[e.Code] {
				taken[e.Code] = true
				c.New = append(c.New, e.Code)
			}
		}
		c.Says = c.sentence(total)
	}
	for _, e := range known {
		if !taken[e.Code] {
			out.Alone = append(out.Alone, e)
		}
	}
}

func (c Cause) sentence(total int) string {
	var read, through []string
	for _, e := range c.Explains {
		read = append(read, e.Code.String())
		through = append(through, e.Items...)
	}
	name := c.Node.Name
	if c.Node.Kind != itemKind && c.Node.Kind != "" {
		name = c.Node.Kind + " " + name
	}
	s := fmt.Sprintf("%s explains %d of %d codes: %s", name, len(c.Explains), total, strings.Join(read, ", "))
	if c.Node.Kind != itemKind {
		s += "; on it hang " + strings.Join(unique(through), ", ")
	}
	switch n := len(c.Silent); {
	case n == 1:
		s += "; against it: " + c.Silent[0] + " hangs on it too and set no code"
	case n > 1:
		s += "; against it: " + strings.Join(c.Silent, ", ") + " hang on it too and set no code"
	}
	return s
}

// unique returns the texts once each, in order.
func unique(in []string) []string {
	out := slices.Clone(in)
	slices.Sort(out)
	return slices.Compact(out)
}
