package app

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"elbowroom/circuit"
	"elbowroom/codes"
	"elbowroom/guide"
)

// upstream is what a guide knows of where codes come from: which items set
// them, and what these hang on.
type upstream struct {
	g      *guide.Guide
	r      *guide.Resolved         // nil when no variant is settled
	wiring *circuit.Graph          // nil when the circuits cannot be joined; vetting says why
	setBy  map[codes.Code][]string // what items found before
	silent map[string]bool         // items whose silence means something: the guide knows codes of them
}

// newUpstream reads a guide. r may be nil: then nothing is left out as not
// fitted.
func newUpstream(g *guide.Guide, r *guide.Resolved) *upstream {
	u := &upstream{g: g, r: r, silent: map[string]bool{}, setBy: map[codes.Code][]string{}}
	of := r
	if of == nil {
		of = &guide.Resolved{Guide: g}
	}
	if w, err := circuit.Build(of); err == nil {
		u.wiring = w
	}
	for _, f := range g.Faults {
		if len(f.Codes) > 0 && u.has(f.On) {
			u.silent[string(f.On)] = true
		}
	}
	return u
}

// has reports whether this variant has the item.
func (u *upstream) has(id guide.ID) bool { return id != "" && (u.r == nil || u.r.Item(id) != nil) }

// name is "valley connector (X3)".
func (u *upstream) name(id guide.ID) string {
	for i := range u.g.Items {
		if it := &u.g.Items[i]; it.ID == id && it.Name != "" {
			return fmt.Sprintf("%s (%s)", guide.Uncapital(it.Name), id)
		}
	}
	return string(id)
}

func (u *upstream) names(ids []string) []string {
	var out []string
	for _, id := range ids {
		out = append(out, u.name(guide.ID(id)))
	}
	return out
}

// items returns the items whose faults may set a code.
func (u *upstream) items(c codes.Code) []string {
	if out, ok := u.setBy[c]; ok {
		return out
	}
	var out []string
	for _, f := range u.g.Faults {
		if u.has(f.On) && lists(f, c) {
			out = append(out, string(f.On))
		}
	}
	u.setBy[c] = out
	return out
}

// lists reports whether a fault lists a code, alone or in a family.
func lists(f guide.Fault, c codes.Code) bool {
	_, ok := familyOf(f, c)
	return ok
}

// familyOf returns the family of a fault that holds the code.
func familyOf(f guide.Fault, c codes.Code) (codes.Range, bool) {
	for _, text := range f.Codes {
		if family, err := codes.ParseRange(text); err == nil && family.Has(c) {
			return family, true
		}
	}
	return codes.Range{}, false
}

// Kinds of what several parts hang on, beside those of codes.Node.
const (
	unitKind = "control unit"
	itemKind = "item"
)

// shared are the sorts of node through which several items hang together, in
// the order in which a kind is taken from them.
var shared = []struct {
	sort guide.NodeSort
	kind string
}{
	{guide.InlineNode, "connector"},
	{guide.GroundNode, "ground"},
	{guide.SpliceNode, "splice"},
	{guide.FuseNode, "fuse"},
	{guide.RelayNode, "relay"},
	{guide.SupplyNode, "supply"},
}

// kind says what an item is in the wiring; empty for a mere part.
func (u *upstream) kind(id guide.ID) string {
	sorts := map[guide.NodeSort]bool{}
	for _, n := range u.wiring.On(id) {
		sorts[u.wiring.Nodes[n].Sort] = true
	}
	if sorts[guide.LoadNode] && (sorts[guide.PinNode] || sorts[guide.SupplyNode]) {
		return unitKind // it is fed, and feeds others
	}
	for _, s := range shared {
		if sorts[s.sort] {
			return s.kind
		}
	}
	return ""
}

// nodes returns what an item is fed, grounded and connected through.
func (u *upstream) nodes(item string) []codes.Node {
	if u.wiring == nil {
		return nil
	}
	var out []codes.Node
	for _, c := range u.wiring.Causes(guide.ID(item)) {
		if kind := u.kind(c.Item); kind != "" && u.has(c.Item) {
			out = append(out, codes.Node{Name: string(c.Item), Kind: kind})
		}
	}
	return out
}

// hanging returns the items that hang on a node and whose silence means
// something.
func (u *upstream) hanging(item string) []string {
	if u.wiring == nil {
		return nil
	}
	var out []string
	for _, h := range u.wiring.Hangs(u.wiring.On(guide.ID(item))...) {
		if on := string(u.wiring.Nodes[h.Part].On); on != item && u.silent[on] && !slices.Contains(out, on) {
			out = append(out, on)
		}
	}
	return out
}

// causes groups codes by what they have in common in the wiring. What stands
// nearest to the parts that set them comes first: a control unit last, since it
// is seldom the cause of what it reports; what carries several of the parts
// before what carries one; then by weight; then the one on which fewest parts
// stayed silent; then connectors, grounds and splices before the rest.
func (u *upstream) causes(read []codes.Code) codes.Causes {
	read = slices.Compact(slices.Sorted(slices.Values(read)))
	out := codes.Group(read, codes.Upstream{Items: u.items, Nodes: u.nodes})
	loud := map[string]bool{}
	for _, c := range read {
		for _, item := range u.items(c) {
			loud[item] = true
		}
	}
	out.Shared = joinSame(out.Shared)
	for i := range out.Shared {
		c := &out.Shared[i]
		if u.wiring != nil && c.Node.Kind == itemKind {
			c.Node.Kind = cmp.Or(u.kind(guide.ID(c.Node.Name)), itemKind)
		}
		c.Silent = slices.DeleteFunc(u.hanging(c.Node.Name), func(item string) bool { return loud[item] })
	}
	slices.SortStableFunc(out.Shared, func(a, b codes.Cause) int {
		return cmp.Or(cmp.Compare(last(a), last(b)), cmp.Compare(weight(b), weight(a)), cmp.Compare(len(b.Explains), len(a.Explains)),
			cmp.Compare(len(a.Silent), len(b.Silent)), cmp.Compare(firstOf(a), firstOf(b)), cmp.Compare(a.Node.Name, b.Node.Name))
	})
	taken := map[codes.Code]bool{}
	for i := range out.Shared {
		c := &out.Shared[i]
		c.New = nil
		for _, e := range c.Explains {
			if !taken[e.Code] {
				taken[e.Code] = true
				c.New = append(c.New, e.Code)
			}
		}
		c.Says = u.says(*c, len(read))
	}
	return out
}

// joinSame makes one cause of an item that explains codes by a fault of its
// own and others by what hangs on it.
func joinSame(list []codes.Cause) []codes.Cause {
	var out []codes.Cause
	for _, c := range list {
		i := slices.IndexFunc(out, func(o codes.Cause) bool { return o.Node.Name == c.Node.Name })
		if i < 0 {
			c.Explains = slices.Clone(c.Explains)
			out = append(out, c)
			continue
		}
		if o := &out[i]; o.Node.Kind == itemKind {
			o.Node.Kind = c.Node.Kind
		}
		for _, e := range c.Explains {
			out[i].Explains = addExplained(out[i].Explains, e)
		}
	}
	return out
}

func addExplained(list []codes.Explained, e codes.Explained) []codes.Explained {
	i, found := slices.BinarySearchFunc(list, e.Code, func(x codes.Explained, c codes.Code) int { return cmp.Compare(x.Code, c) })
	if !found {
		return slices.Insert(list, i, e)
	}
	all := slices.Concat(list[i].Items, e.Items)
	slices.Sort(all)
	list[i].Items = slices.Compact(all)
	return list
}

// last ranks what explains less than it seems behind the rest.
func last(c codes.Cause) int {
	switch through := through(c); {
	case c.Node.Kind == unitKind:
		return 2
	case c.Node.Kind != itemKind && len(through) == 1 && through[0] != c.Node.Name:
		return 1 // everything comes by one part, which is then the nearer suspect
	}
	return 0
}

// weight is the number of codes that a cause explains, less one for each part
// on it that stayed silent. Silence does not count against a cause whose own
// faults list every code: the guide then says that these come alone.
func weight(c codes.Cause) int {
	w := len(c.Explains)
	if slices.ContainsFunc(c.Explains, func(e codes.Explained) bool { return !slices.Contains(e.Items, c.Node.Name) }) {
		w -= len(c.Silent)
	}
	return w
}

// through returns the items by which a cause explains its codes.
func through(c codes.Cause) []string {
	var out []string
	for _, e := range c.Explains {
		out = append(out, e.Items...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// firstOf ranks kinds among equals.
func firstOf(c codes.Cause) int {
	return max(0, slices.Index([]string{"connector", "ground", "splice", itemKind, "fuse", "relay", "supply", unitKind}, c.Node.Kind))
}

func (u *upstream) says(c codes.Cause, total int) string {
	var read []string
	for _, e := range c.Explains {
		read = append(read, e.Code.String())
	}
	s := fmt.Sprintf("%s would explain %d of %d codes: %s", guide.Capital(u.name(guide.ID(c.Node.Name))), len(c.Explains), total, join(read))
	if on := slices.DeleteFunc(through(c), func(id string) bool { return id == c.Node.Name }); len(on) > 0 {
		s += "; on it " + plural(on, "hangs ", "hang ") + and(u.names(on))
	}
	if n := len(c.Silent); n > mostSilent {
		s += fmt.Sprintf("; against it: %d parts that hang on it set no code, among them %s", n, join(u.names(c.Silent[:mostSilent])))
	} else if n > 0 {
		s += "; against it: " + and(u.names(c.Silent)) + plural(c.Silent, " hangs", " hang") + " on it too and set no code"
	}
	return s
}

// Bounds of what a sentence about a cause lists.
const (
	mostSilent = 3
	mostBehind = 4
	mostCauses = 3
)

func plural(list []string, one, more string) string {
	if len(list) == 1 {
		return one
	}
	return more
}

// and is "a, b and c".
func and(list []string) string {
	if n := len(list); n > 1 {
		return strings.Join(list[:n-1], ", ") + " and " + list[n-1]
	}
	return join(list)
}

// inCommon is what to say of the causes: the leading one, those that add to it
// or are as good, and the rest by name only, with why it stands behind. Where
// more speaks against even the leading one than for it, no cause is put
// forward.
func (u *upstream) inCommon(all []codes.Cause) []string {
	var out, quieter, rest []string
	if len(all) > 0 && (weight(all[0]) <= 0 || last(all[0]) > 0) {
		for _, c := range all {
			rest = append(rest, u.name(guide.ID(c.Node.Name)))
		}
		return []string{"Nothing near them is shared. Several would be explained only by what carries much more that set no code: " + and(atMost(rest, mostBehind))}
	}
	for _, c := range all {
		lead := all[0]
		equal := weight(c) == weight(lead) && last(c) == last(lead) && len(c.Silent) == len(lead.Silent)
		switch {
		case len(out) < mostCauses && (len(c.New) > 0 || equal):
			out = append(out, c.Says)
		case len(c.Silent) > len(lead.Silent):
			quieter = append(quieter, u.name(guide.ID(c.Node.Name)))
		default:
			rest = append(rest, u.name(guide.ID(c.Node.Name)))
		}
	}
	if len(quieter) > 0 {
		out = append(out, "Less telling, since more of what hangs on it set no code: "+and(atMost(quieter, mostBehind)))
	}
	if len(rest) > 0 {
		out = append(out, "Also possible: "+and(atMost(rest, mostBehind)))
	}
	return out
}

// atMost cuts a list and says how much more there is.
func atMost(list []string, n int) []string {
	if len(list) <= n {
		return list
	}
	return append(list[:n:n], fmt.Sprintf("%d more", len(list)-n))
}
