package draft

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"elbowroom/capture"
	"elbowroom/capture/lexicon"
	"elbowroom/cite"
	"elbowroom/guide"
)

// merger puts accepted facts into a copy of a guide.
type merger struct {
	g      *guide.Guide
	s      *Sheet
	source map[string]string          // key of a source to its ID
	joint  map[string]int             // item and variant to the joint that facts of fasteners go to
	owned  map[guide.ID]bool          // items whose lists were copied
	at     map[guide.ID]int           // item to its place
	based  map[guide.ID]int           // how many joints an item had in the base
	said   map[string][]*capture.Fact // item and joint to what was said of it
	own    map[string]cite.Grade      // what this merge wrote: item, joint and field to its grade
}

// Merge returns the guide with what was decided, and the decisions that cannot
// be carried out. The base is not changed.
func Merge(base *guide.Guide, s *Sheet, ds []Decision) (*guide.Guide, []Refused) {
	if base == nil {
		base = &guide.Guide{Format: guide.Format, ID: NewID(stem(s.Report.Name) + "-draft"), Title: "Draft from " + s.Report.Name}
	}
	g := *base
	g.Items, g.Sources, g.Fluids = slices.Clone(base.Items), slices.Clone(base.Sources), slices.Clone(base.Fluids)
	g.Parts, g.Tools, g.Notes = slices.Clone(base.Parts), slices.Clone(base.Tools), slices.Clone(base.Notes)
	m := &merger{g: &g, s: s, source: map[string]string{}, joint: map[string]int{}, owned: map[guide.ID]bool{}, at: map[guide.ID]int{}, based: map[guide.ID]int{}, said: map[string][]*capture.Fact{}, own: map[string]cite.Grade{}}
	for i := range g.Items {
		m.at[g.Items[i].ID] = i
	}
	settled, refused := s.settle(ds)
	for _, f := range m.ordered(settled) {
		d := settled[f.ID]
		p := s.Proposal(f.ID)
		on := p.On
		if len(d.Items) > 0 {
			on = d.Items
		}
		if p.Status == Which && len(d.Items) == 0 {
			refused = append(refused, Refused{d.place, f.ID + ": say which item is meant, one of " + joinIDs(p.On)})
			continue
		}
		m.take(f, on)
	}
	m.finishJoints()
	return &g, refused
}

// stem is the name of a file without folder and ending.
func stem(name string) string {
	name = name[strings.LastIndexAny(name, `/\`)+1:]
	if i := strings.LastIndexByte(name, '.'); i > 0 {
		name = name[:i]
	}
	if name == "" {
		return "narration"
	}
	return name
}

// ordered returns the accepted facts: counts of fasteners first, since the
// rest of a joint hangs on them, else in the order of the narration.
func (m *merger) ordered(settled map[string]standing) []*capture.Fact {
	var out []*capture.Fact
	for i := range m.s.Report.Facts {
		f := &m.s.Report.Facts[i]
		d, ok := settled[f.ID]
		if !ok || d.Do == Reject || f.Kind == capture.State {
			continue
		}
		if d.Do == Change && d.Value != "" {
			f, _ = changed(f, d.Value)
		}
		out = append(out, f)
	}
	rank := func(f *capture.Fact) int {
		switch {
		case f.Kind == capture.Count && f.Value.Count > 0 && isBolted(lastWord(f.Value.What)) || f.Kind == capture.Count && f.Value.What == "":
			return 0
		case f.Kind == capture.Count:
			return 1
		}
		return 2
	}
	slices.SortStableFunc(out, func(a, b *capture.Fact) int { return cmp.Compare(rank(a), rank(b)) })
	return out
}

// take puts one fact on its items.
func (m *merger) take(f *capture.Fact, on []guide.ID) {
	if f.Kind == capture.Holds {
		m.fluid(f)
		return
	}
	if len(on) == 0 { // a measured quantity
		m.note("", f, sentence(f))
		return
	}
	for _, id := range on {
		it := m.item(id, f)
		if !m.field(it, f) {
			m.note(id, f, sentence(f))
		}
	}
	switch f.Kind {
	case capture.Tool:
		m.tool(f)
	case capture.Reuse:
		m.part(f)
	}
}

// item returns the item, new where the guide has none.
func (m *merger) item(id guide.ID, f *capture.Fact) *guide.Item {
	i, ok := m.at[id]
	if !ok {
		i = len(m.g.Items)
		m.at[id] = i
		it := guide.Item{ID: id, Name: guide.Capital(f.Item.Name), Class: f.Item.Class, Source: m.sourceOf(f)}
		if f.Item.Side == "left" || f.Item.Side == "right" {
			it.Side = guide.Side(f.Item.Side)
		}
		m.g.Items = append(m.g.Items, it)
	}
	it := &m.g.Items[i]
	if !m.owned[id] {
		m.owned[id] = true
		joints := it.Joints
		for k := range m.g.Kinds {
			if m.g.Kinds[k].ID == it.Kind && joints == nil {
				joints = m.g.Kinds[k].Joints
			}
		}
		it.Joints = slices.Clone(joints)
		m.based[id] = len(joints)
		if it.Connector != nil {
			c := *it.Connector
			it.Connector = &c
		}
	}
	return it
}

// field puts a fact into a field of the item; false when there is none for it.
func (m *merger) field(it *guide.Item, f *capture.Fact) bool {
	if f.For != "" {
		return false
	}
	switch f.Kind {
	case capture.Count, capture.Thread, capture.Drive, capture.Torque, capture.Threads, capture.Order:
		return m.fasten(it, f)
	case capture.Reuse:
		return isFastener(f.Value.What) && m.fasten(it, f)
	case capture.Fixing:
		if it.Fixing != "" {
			return false
		}
		it.Fixing = f.Value.Text
		return true
	case capture.Connector:
		return m.connector(it, f)
	}
	return false
}

func (m *merger) connector(it *guide.Item, f *capture.Fact) bool {
	if it.Connector == nil {
		it.Connector = &guide.Connector{}
	}
	if pins, ok := strings.CutSuffix(f.Value.Text, "-way"); ok {
		n, err := strconv.Atoi(pins)
		it.Connector.Pins = n
		return err == nil
	}
	it.Connector.Lock = f.Value.Text
	return true
}

// note adds a remark in words.
func (m *merger) note(on guide.ID, f *capture.Fact, text string) {
	n := guide.Note{On: on, Text: text, Source: m.sourceOf(f)}
	if f.For != "" {
		n.Text = "On " + f.For + ": " + guide.Uncapital(text)
	}
	for _, old := range m.g.Notes {
		if old.On == on && lexicon.Fold(old.Text) == lexicon.Fold(n.Text) {
			return
		}
	}
	m.g.Notes = append(m.g.Notes, n)
}

// fluid notes how much goes in.
func (m *merger) fluid(f *capture.Fact) {
	if f.For != "" || f.Value.Low.Zero() {
		m.note("", f, sentence(f))
		return
	}
	a := guide.Amount{Quantity: f.Value.Low}
	for i := range m.g.Fluids {
		fl := &m.g.Fluids[i]
		if strings.Contains(lexicon.Fold(fl.Name), lexicon.Fold(f.Item.Bare)) {
			m.note("", f, sentence(f)) // the amounts of a fluid hang on variants: a person puts them right
			return
		}
	}
	m.g.Fluids = append(m.g.Fluids, guide.Fluid{ID: m.free(NewID(f.Item.Name), "fluid"), Name: guide.Capital(f.Item.Name), Amounts: []guide.Amount{a}, Source: m.sourceOf(f)})
}

// tool adds a special tool.
func (m *merger) tool(f *capture.Fact) {
	id := NewID(f.Value.What)
	if slices.ContainsFunc(m.g.Tools, func(t guide.Tool) bool {
		return t.ID == id || lexicon.Fold(t.Name) == lexicon.Fold(f.Value.What)
	}) {
		return
	}
	m.g.Tools = append(m.g.Tools, guide.Tool{ID: m.free(id, "tool"), Name: guide.Capital(f.Value.What), Special: true, Source: m.sourceOf(f)})
}

// part adds a part that is renewed each time.
func (m *merger) part(f *capture.Fact) {
	if !strings.HasPrefix(f.Value.Text, "single-use") || isFastener(f.Value.What) {
		return
	}
	name := f.Item.Name
	if f.Value.What != "" {
		name = f.Value.What + " of the " + name
	}
	id := NewID(strings.TrimSpace(f.Item.Name + " " + f.Value.What + " part"))
	if slices.ContainsFunc(m.g.Parts, func(p guide.Part) bool { return p.ID == id }) {
		return
	}
	m.g.Parts = append(m.g.Parts, guide.Part{ID: m.free(id, "part"), Name: guide.Capital(name), SingleUse: true, Source: m.sourceOf(f)})
}

// free returns an ID that no entry has.
func (m *merger) free(id guide.ID, suffix string) guide.ID {
	taken := func(id guide.ID) bool {
		_, item := m.at[id]
		g := m.g
		return item || slices.ContainsFunc(g.Fluids, func(x guide.Fluid) bool { return x.ID == id }) ||
			slices.ContainsFunc(g.Tools, func(x guide.Tool) bool { return x.ID == id }) ||
			slices.ContainsFunc(g.Parts, func(x guide.Part) bool { return x.ID == id })
	}
	for taken(id) {
		id += guide.ID("-" + suffix)
	}
	return id
}

// finishJoints gives joints of which several moments speak a source that names
// them all, and calls a screw a screw where nothing else names it.
func (m *merger) finishJoints() {
	for i := range m.g.Items {
		it := &m.g.Items[i]
		for k := range it.Joints {
			j := &it.Joints[k]
			facts := m.said[jointKey(it, k)]
			if len(facts) == 0 {
				continue
			}
			j.Source = m.sourceOfAll(it, facts)
			if j.What == "" && j.Thread == "" && j.Drive == "" {
				j.What = "screw"
			}
		}
	}
}

func jointKey(it *guide.Item, i int) string { return string(it.ID) + "/" + strconv.Itoa(i) }

// sourceOfAll returns one source for several facts: their own where they have
// the same, else one that says which moment gave what, as sure as the least
// sure of them.
func (m *merger) sourceOfAll(it *guide.Item, facts []*capture.Fact) guide.ID {
	first := m.sourceOf(facts[0])
	pages, who := []string{}, []string{}
	worst := facts[0]
	several := false
	for _, f := range facts {
		several = several || m.sourceOf(f) != first
		pages = append(pages, f.At.Clock()+" "+string(f.Kind))
		if o := speaker(m.s.options, f); o != "" && !slices.Contains(who, o) {
			who = append(who, o)
		}
		if capture.Surer(worst.Grade, f.Grade) {
			worst = f
		}
	}
	if !several {
		return first
	}
	src := cite.Source{Grade: worst.Grade, Who: strings.Join(who, ", "), Document: "narration " + m.s.Report.Name, Page: strings.Join(pages, ", "), Date: m.s.options.Date, Machine: m.s.options.Machine}
	src.ID = m.freeSource(string(NewID(stem(m.s.Report.Name) + "-" + string(it.ID))))
	m.g.Sources = append(m.g.Sources, src)
	return guide.ID(src.ID)
}

// speaker is who said a fact.
func speaker(o Options, f *capture.Fact) string {
	switch {
	case f.Who != "":
		return f.Who
	case f.At.Speaker != "":
		return f.At.Speaker
	}
	return o.Narrator
}

// freeSource returns an ID that no source has.
func (m *merger) freeSource(base string) string {
	id := base
	for n := 2; slices.ContainsFunc(m.g.Sources, func(s cite.Source) bool { return s.ID == id }); n++ {
		id = base + "-" + strconv.Itoa(n)
	}
	return id
}

// sourceOf returns the source of a fact: one for each cue, grade and person.
func (m *merger) sourceOf(f *capture.Fact) guide.ID {
	o := m.s.options
	src := cite.Source{Grade: f.Grade, Who: f.At.Speaker, Document: "narration " + m.s.Report.Name, Page: f.At.Clock(), Date: o.Date, Machine: o.Machine}
	if f.At.Timed {
		src.Page += ", line " + strconv.Itoa(f.At.Pos.Line)
	}
	if src.Who == "" {
		src.Who = o.Narrator
	}
	if f.Who != "" {
		if src.Who != "" {
			src.Note = "told by " + src.Who
		}
		src.Who = f.Who
	}
	key := src.String() + src.Page + src.Note + string(src.Grade)
	if id, ok := m.source[key]; ok {
		return guide.ID(id)
	}
	id := m.freeSource(string(NewID(stem(m.s.Report.Name) + "-" + strings.ReplaceAll(strings.ReplaceAll(f.At.Clock(), ":", "-"), " ", "-"))))
	src.ID = id
	m.source[key] = id
	m.g.Sources = append(m.g.Sources, src)
	return guide.ID(id)
}
