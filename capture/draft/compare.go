package draft

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"elbowroom/capture"
	"elbowroom/capture/lexicon"
	"elbowroom/cite"
	"elbowroom/guide"
	"elbowroom/quantity"
)

// sameShare is how far two values may lie apart and still count as the same:
// the rounding between foot-pounds and newton metres.
const sameShare = 0.02

// look reads a guide for comparing.
type look struct {
	g       *guide.Guide
	items   map[guide.ID]*guide.Item
	kinds   map[guide.ID]*guide.Kind
	sources map[string]*cite.Source
}

func newLook(g *guide.Guide) *look {
	l := &look{g: g, items: map[guide.ID]*guide.Item{}, kinds: map[guide.ID]*guide.Kind{}, sources: map[string]*cite.Source{}}
	for i := range g.Items {
		l.items[g.Items[i].ID] = &g.Items[i]
	}
	for i := range g.Kinds {
		l.kinds[g.Kinds[i].ID] = &g.Kinds[i]
	}
	for i := range g.Sources {
		l.sources[g.Sources[i].ID] = &g.Sources[i]
	}
	return l
}

// alike reports whether several items are of one kind, so that what is said of
// them all can be kept for each.
func (l *look) alike(ids []guide.ID) bool {
	kind := l.items[ids[0]].Kind
	for _, id := range ids {
		if k := l.items[id].Kind; k == "" || k != kind {
			return false
		}
	}
	return true
}

// joints returns the joints that hold for an item: its own, else its kind's.
func (l *look) joints(it *guide.Item) []guide.Joint {
	if k := l.kinds[it.Kind]; it.Joints == nil && k != nil {
		return k.Joints
	}
	return it.Joints
}

// by names a source.
func (l *look) by(ids ...guide.ID) string {
	for _, id := range append(ids, l.g.Source) {
		if s := l.sources[string(id)]; s != nil {
			return s.String()
		}
	}
	return "no source named"
}

// compare lays one fact beside one item.
func (l *look) compare(id guide.ID, f *capture.Fact) (has, by string, status Status) {
	it := l.items[id]
	switch f.Kind {
	case capture.Count, capture.Thread, capture.Drive, capture.Torque, capture.Threads, capture.Order:
		return l.joint(it, f)
	case capture.Reuse:
		if f.Value.What != "" && !isFastener(f.Value.What) || f.Value.What == "" {
			return "", "", New
		}
		return l.joint(it, f)
	case capture.LimitKind:
		return l.limit(it, f)
	case capture.Connector:
		return l.connector(it, f)
	case capture.Holds:
		return l.fluid(f)
	case capture.Needs, capture.From, capture.With:
		return l.way(it, f)
	case capture.Sight:
		for _, s := range it.Seen {
			if string(s.Sight) == f.Value.Text {
				return string(s.Sight), l.by(it.Source), Agrees
			}
		}
	}
	return "", "", New
}

// joint compares what is said of fasteners with the joint that is most like
// it.
func (l *look) joint(it *guide.Item, f *capture.Fact) (has, by string, status Status) {
	joints := l.joints(it)
	if len(joints) == 0 {
		return "", "", New
	}
	status = New
	for i := range joints {
		j := &joints[i]
		if f.Value.On != "" && j.What != f.Value.On {
			continue
		}
		text, same := jointSays(j, f)
		switch {
		case text == "":
			continue
		case same:
			return text, l.by(j.Source, it.Source), Agrees
		case status == New:
			has, by, status = text, l.by(j.Source, it.Source), Contradicts
		}
	}
	return has, by, status
}

// jointSays returns what a joint says of the kind of the fact, and whether it
// is the same.
func jointSays(j *guide.Joint, f *capture.Fact) (text string, same bool) {
	switch f.Kind {
	case capture.Count:
		return countSays(j, f)
	case capture.Thread:
		return j.Thread, strings.HasPrefix(f.Value.Text, j.Thread)
	case capture.Drive:
		return j.Drive, j.Drive == f.Value.Text
	case capture.Threads:
		return string(j.State), string(j.State) == f.Value.Text
	case capture.Order:
		return j.Pattern, j.Pattern == f.Value.Text
	case capture.Reuse:
		return string(j.Reuse), j.Reuse != "" && strings.HasPrefix(f.Value.Text, string(j.Reuse))
	}
	return torqueSays(j, f)
}

// countSays compares a count with fasteners of the same sort only. No screws
// at all is what a joint says of which nothing is tightened.
func countSays(j *guide.Joint, f *capture.Fact) (text string, same bool) {
	what := f.Value.What
	switch {
	case f.Value.Count == 0 && isBolted(lastWord(what)):
		return countText(j), j.Torque == guide.NotApplicable
	case screwLike(what) && screwLike(j.What), j.What == what:
		return countText(j), f.Value.Count == j.Count
	}
	return "", false
}

func countText(j *guide.Joint) string {
	what := j.What
	if what == "" {
		what = "screw"
	}
	if j.Count != 1 {
		what = lexicon.Plural(what)
	}
	return strconv.Itoa(j.Count) + " " + what
}

func torqueSays(j *guide.Joint, f *capture.Fact) (text string, same bool) {
	if f.Value.Text == "not applicable" || j.Torque == guide.NotApplicable {
		return "torque " + string(j.Torque), string(j.Torque) == f.Value.Text
	}
	if len(j.Stages) == 0 {
		return "", false
	}
	var words []string
	angle := 0.0
	for _, s := range j.Stages {
		words = append(words, s.String())
		angle += s.Angle
	}
	text = strings.Join(words, " + ")
	return text, alike(j.Stages[0].Torque, f.Value.Low) && alike(j.Stages[0].Torque, f.Value.High) && angle == f.Value.Angle
}

// alike reports whether two values are the same but for rounding.
func alike(a, b quantity.Value) bool {
	if a.Zero() || b.Zero() {
		return a.Zero() && b.Zero()
	}
	if a.Dimension() != b.Dimension() {
		return false
	}
	return math.Abs(a.SI()-b.SI()) <= sameShare*math.Max(math.Abs(a.SI()), math.Abs(b.SI()))
}

// limit compares a limit with the checks on an item.
func (l *look) limit(it *guide.Item, f *capture.Fact) (has, by string, status Status) {
	return l.checks(f, func(c *guide.Check) bool {
		for _, on := range c.On {
			if on == it.ID {
				return true
			}
		}
		return false
	})
}

// gauge compares a limit of a measured quantity with the checks of that name.
func (l *look) gauge(f *capture.Fact) (has, by string, status Status) {
	if f.Kind != capture.LimitKind {
		return "", "", New
	}
	return l.checks(f, func(c *guide.Check) bool { return strings.Contains(lexicon.Fold(c.Name), lexicon.Fold(f.Item.Bare)) })
}

// checks compares a limit with those of the checks that fit. Only limits under
// the same speed and load are compared; where none is, the fact is new.
func (l *look) checks(f *capture.Fact, fits func(*guide.Check) bool) (has, by string, status Status) {
	status = New
	for i := range l.g.Checks {
		c := &l.g.Checks[i]
		if !fits(c) || !l.sameConditions(c, f) {
			continue
		}
		for k := range c.Limits {
			m := &c.Limits[k]
			if m.Low.Dimension() != dimensionOf(f) && m.High.Dimension() != dimensionOf(f) || m.Of != "" {
				continue
			}
			text := fmt.Sprintf("%s: %s", c.ID, m.String())
			switch {
			case agreeing(m, f):
				return text, l.by(c.Source), Agrees
			case status == New:
				has, by, status = text, l.by(c.Source), Contradicts
			}
		}
	}
	return has, by, status
}

func dimensionOf(f *capture.Fact) quantity.Dimension {
	if d := f.Value.Low.Dimension(); d != "" {
		return d
	}
	return f.Value.High.Dimension()
}

// agreeing reports whether what was said of a limit is what the guide has; an
// end that was not said is no difference.
func agreeing(m *guide.Limit, f *capture.Fact) bool {
	low, high := f.Value.Low, f.Value.High
	return (low.Zero() || alike(m.Low, low)) && (high.Zero() || alike(m.High, high))
}

// sameConditions reports whether the speed that was said is one at which the
// check is made.
func (l *look) sameConditions(c *guide.Check, f *capture.Fact) bool {
	for _, when := range f.When {
		speed, err := quantity.Parse(when)
		if err != nil || speed.Dimension() != quantity.Rotation {
			continue
		}
		found := false
		for _, w := range c.When {
			found = found || !w.Low.Zero() && !w.High.Zero() && w.Low.Dimension() == quantity.Rotation && w.Low.SI() <= speed.SI() && speed.SI() <= w.High.SI()
		}
		return found
	}
	return true
}

// connector compares a connector.
func (l *look) connector(it *guide.Item, f *capture.Fact) (has, by string, status Status) {
	if it.Connector == nil {
		return "", "", New
	}
	pins := strconv.Itoa(it.Connector.Pins) + "-way"
	switch {
	case strings.HasSuffix(f.Value.Text, "-way") && it.Connector.Pins > 0:
		return pins, l.by(it.Source), oneOf(pins == f.Value.Text)
	case it.Connector.Lock != "" && !strings.HasSuffix(f.Value.Text, "-way"):
		return it.Connector.Lock, l.by(it.Source), oneOf(it.Connector.Lock == f.Value.Text)
	}
	return "", "", New
}

func oneOf(same bool) Status {
	if same {
		return Agrees
	}
	return Contradicts
}

// fluid compares a filling.
func (l *look) fluid(f *capture.Fact) (has, by string, status Status) {
	status = New
	for i := range l.g.Fluids {
		fl := &l.g.Fluids[i]
		if !strings.Contains(lexicon.Fold(fl.Name), lexicon.Fold(f.Item.Bare)) {
			continue
		}
		for _, a := range fl.Amounts {
			if alike(a.Quantity, f.Value.Low) {
				return a.Quantity.String(), l.by(fl.Source), Agrees
			}
			has, by, status = a.Quantity.String(), l.by(fl.Source), Contradicts
		}
	}
	return has, by, status
}

// way looks for the need, the place or the state in the ways of an item.
func (l *look) way(it *guide.Item, f *capture.Fact) (has, by string, status Status) {
	ways := it.Ways
	if k := l.kinds[it.Kind]; k != nil {
		ways = append(append([]guide.Way{}, ways...), k.Ways...)
	}
	words := strings.Fields(lexicon.Fold(f.Value.Text))
	for i := range ways {
		w := &ways[i]
		switch f.Kind {
		case capture.From:
			if lexicon.Fold(string(w.From)) == lexicon.Fold(f.Value.Text) {
				return short(w), l.by(w.Source, it.Source), Agrees
			}
		case capture.With:
			for _, r := range w.With {
				if string(r.Value) == words[len(words)-1] && !r.Not {
					return short(w), l.by(w.Source, it.Source), Agrees
				}
			}
		case capture.Needs:
			names := NewNames(l.g, nil).Named(f.Value.What, "", 0)
			for _, n := range w.Needs {
				if len(names) == 1 && n.Item == names[0] {
					return short(w), l.by(w.Source, it.Source), Agrees
				}
			}
		}
	}
	return "", "", New
}

// short is a way on one line.
func short(w *guide.Way) string {
	s, _ := w.Short()
	return s
}

func isFastener(what string) bool {
	return len(lexicon.Default().At(lastWord(what))) > 0 && isBolted(lastWord(what))
}

func isBolted(word string) bool {
	for _, w := range lexicon.Default().Values(lexicon.Bolted)[""] {
		if w == word {
			return true
		}
	}
	return false
}

func lastWord(s string) string { return s[strings.LastIndexByte(s, ' ')+1:] }
