package access

import (
	"fmt"
	"slices"
	"testing"

	"elbowroom/internal/engines"
)

// slowArrange is the arranger said plainly: of all acts that are possible,
// always the one with the least rank, the place before the key.
func slowArrange(w *machine, acts []act, head, tail int, waitLast bool) ([]act, bool) {
	r := w.newArranger(acts, head, waitLast, nil)
	for _, a := range acts[:head] {
		if !r.do(a) {
			return nil, false
		}
	}
	left := slices.Clone(acts[head:tail])
	for len(left) > 0 {
		best, least := -1, [3]int{}
		for i, a := range left {
			rank, key := r.key(a)
			away := 0
			if place := r.placeOf(a); rank < rankAwait && place != none && place != r.place {
				away = 1
			}
			if now := [3]int{rank, away, key}; best >= 0 && slices.Compare(now[:], least[:]) >= 0 {
				continue
			} else if _, ok := w.try(r.s, make(state, w.size), a); ok {
				best, least = i, now
			}
		}
		if best < 0 || !r.do(left[best]) {
			return nil, false
		}
		left = slices.Delete(left, best, best+1)
	}
	for _, a := range acts[tail:] {
		if !r.do(a) {
			return nil, false
		}
	}
	return r.order, r.w.atEnd(r.s)
}

// TestArrangeAsSaid compares the arranger, which looks at an act again only
// when what it lacks has changed, with one that looks at every act every time.
func TestArrangeAsSaid(t *testing.T) {
	var cases []engines.Case
	for seed := range uint64(150) {
		cases = append(cases, engines.Small(seed), engines.SmallOrder(seed))
	}
	for seed := range uint64(4) {
		cases = append(cases, engines.Like(seed, 100), engines.Adversarial(seed))
	}
	compared, failed := 0, 0
	for _, c := range cases {
		r, err := c.Resolve()
		if err != nil {
			t.Fatal(err)
		}
		p, err := New(r)
		if err != nil {
			t.Fatal(err)
		}
		o := solve(p.compile(c.Request, false).m, Limits{Nodes: 60})
		if o.cost >= far {
			continue
		}
		for _, waitLast := range []bool{false, true} {
			head, tail := o.w.middle(o.acts)
			want, wantOK := slowArrange(o.w, o.acts, head, tail, waitLast)
			got, _, ok := o.w.newArranger(o.acts, head, waitLast, nil).run(tail)
			compared++
			if !wantOK {
				failed++
			}
			if ok != wantOK || ok && !slices.Equal(got, want) {
				t.Errorf("%s: arranged %s %v, want %s %v", c.Name, said(got), ok, said(want), wantOK)
			}
		}
	}
	if compared < 200 || failed == 0 || failed == compared {
		t.Errorf("%d plans arranged, of which %d cannot be: too little is compared", compared, failed)
	}
}

func said(acts []act) string {
	list := ""
	for _, a := range acts {
		list += fmt.Sprint(int(a.kind), ":", a.way, "/", a.chg, " ")
	}
	return list
}
