package capture

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/cite"
	"elbowroom/quantity"
)

// exclusive are the kinds of which an item has one value.
var exclusive = []Kind{Torque, Thread, Threads, Order, Count}

// comparable are the kinds of which two facts can exclude each other.
var comparable = map[Kind]bool{
	Torque: true, Thread: true, Threads: true, Order: true, Count: true, From: true, Reuse: true, LimitKind: true, Sight: true, Loses: true, Holds: true, Was: true,
}

// Bounds of what is compared and listed, far above any real narration.
const (
	mostCompared  = 500 // facts of one item
	mostConflicts = 1000
)

// conflicts lists facts that cannot both hold.
func (l *listener) conflicts() {
	r := l.report
	of := map[string][]int{}
	for i := range r.Facts {
		b := &r.Facts[i]
		if !comparable[b.Kind] {
			continue
		}
		key := b.Item.Name + "\x00" + b.For
		for _, k := range of[key] {
			if a := &r.Facts[k]; len(r.Conflicts) < mostConflicts && Opposed(a, b) {
				r.Conflicts = append(r.Conflicts, Conflict{A: a.ID, B: b.ID, Says: conflictSays(a, b)})
			}
		}
		if len(of[key]) < mostCompared {
			of[key] = append(of[key], i)
		}
	}
}

// conflictSays puts a contradiction into words, with both times.
func conflictSays(a, b *Fact) string {
	return fmt.Sprintf("%s: %s at %s, %s at %s", a.Item.Name, a.Statement(), said(a), b.Statement(), said(b))
}

func said(f *Fact) string {
	s := f.At.Clock()
	if f.Who == "" && f.At.Speaker != "" {
		s += " by " + f.At.Speaker
	}
	return s
}

// Opposed reports whether two facts of the same item and variant cannot both
// hold.
func Opposed(a, b *Fact) bool {
	if a.Kind == Was || b.Kind == Was {
		return wasOpposed(a, b) || wasOpposed(b, a)
	}
	if a.Kind != b.Kind || a.Value.Text == b.Value.Text {
		return false
	}
	switch a.Kind {
	case From:
		return a.Value.Text == "not "+b.Value.Text || b.Value.Text == "not "+a.Value.Text
	case Reuse:
		return reuseOpposed(a.Value, b.Value)
	case LimitKind:
		return limitOpposed(a, b)
	case Sight:
		return (a.Value.Text == "seen") != (b.Value.Text == "seen")
	case Loses, Holds:
		return apart(a.Value, b.Value)
	case Count:
		return a.Value.What == b.Value.What
	case Torque:
		return a.Value.On == b.Value.On
	}
	return slices.Contains(exclusive, a.Kind)
}

// wasOpposed reports an older value of the kind that differs from the present
// one.
func wasOpposed(was, is *Fact) bool {
	return was.Kind == Was && is.Kind == Torque && !strings.HasSuffix(was.Value.Text, " "+is.Value.Text) && is.Value.Text != "not applicable"
}

func reuseOpposed(a, b Value) bool {
	one, other := strings.HasPrefix(a.Text, "single-use"), strings.HasPrefix(b.Text, "single-use")
	return one != other && a.What == b.What
}

// limitOpposed reports limits of the same quantity whose values do not touch
// although their conditions agree; from two people it is enough that one gives
// fewer conditions.
func limitOpposed(a, b *Fact) bool {
	if a.Value.What != b.Value.What {
		return false
	}
	alike := within(a.When, b.When) && within(b.When, a.When)
	wider := within(a.When, b.When) || within(b.When, a.When)
	if !alike && !(wider && (a.Who != b.Who || a.At.Speaker != b.At.Speaker)) {
		return false
	}
	return apart(a.Value, b.Value)
}

// within reports whether every condition of the one is a condition of the
// other.
func within(one, other []string) bool {
	for _, c := range one {
		if !slices.Contains(other, c) {
			return false
		}
	}
	return true
}

// apart reports whether two values have the same dimension and nothing in
// common.
func apart(a, b Value) bool {
	below := func(high, low quantity.Value) bool {
		if high.Zero() || low.Zero() {
			return false
		}
		n, err := high.Compare(low)
		return err == nil && n < 0
	}
	return below(a.High, b.Low) || below(b.High, a.Low)
}

// Surer reports whether a reader who must choose would rather believe a: the
// better grade, then the later word.
func Surer(a, b cite.Grade) bool { return a.Rank() < b.Rank() }
