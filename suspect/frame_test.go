package suspect

import (
	"math"
	"slices"
	"strings"
	"testing"

	"elbowroom/guide"
	"elbowroom/suspect/decide"
)

// frame makes the problem of a case with the plain workshop of the tests.
func frame(t testing.TB, k Case, w Work) *Problem {
	t.Helper()
	p, err := Frame(k, &bench{r: k.Guide, refer: 25_000}, w)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestFrame: the worlds weigh 1, what was left out counts as not listed, every
// repair leads where its faults are gone, chances are those that Believe uses.
func TestFrame(t *testing.T) {
	compared := 0
	for name, k := range map[string]Case{"A": caseA(t), "B": caseB(t), "C": caseC(t), "D": caseD(t), "E": caseE(t)} {
		p := frame(t, k, Work{})
		sum, lost := 0.0, 0.0
		for w, x := range p.Decide.Worlds {
			sum += x
			if len(p.Worlds[w]) == 1 && p.Worlds[w][0] == Unlisted {
				lost = x - share(t, p.Belief, Unlisted)
			}
			if p.Decide.Right[w] != (len(p.Worlds[w]) == 0) {
				t.Errorf("%s: world %v is right: %v", name, p.Worlds[w], p.Decide.Right[w])
			}
		}
		if math.Abs(sum-1) > 1e-9 || math.Abs(lost-p.Lost) > 1e-9 {
			t.Errorf("%s: the worlds weigh %v; %v was left out and not listed grew by %v", name, sum, p.Lost, lost)
		}
		for i, r := range p.Decide.Repairs {
			a := p.Actions[p.mends[i]]
			for w, to := range r.To {
				for _, f := range p.Worlds[w] {
					if gone := slices.Contains(a.Faults, f); gone == slices.Contains(p.Worlds[to], f) {
						t.Errorf("%s: %s leads from %v to %v", name, a.Name, p.Worlds[w], p.Worlds[to])
					}
				}
			}
		}
		compared += results(t, name, p, k)
	}
	if compared < 50 {
		t.Errorf("only %d shares were compared", compared)
	}
}

// results holds the chances of every outcome against the share that Believe
// gives after it, and returns how many were compared.
func results(t *testing.T, name string, p *Problem, k Case) (compared int) {
	t.Helper()
	for i, c := range p.Decide.Checks {
		check := p.Actions[p.asks[i]].Check
		for o, row := range c.Chance {
			all := 0.0
			for w, x := range row {
				all += p.Decide.Worlds[w] * x
			}
			r := p.Results[i][o]
			if all < 1e-6 || len(r.Fails) > 1 {
				continue // several parts can fail in several ways
			}
			v := Verdict{Check: check}
			if r.Passes {
				v.Conforms = 1
			}
			if on := p.model.checkOf(check).parts; len(on) > 0 {
				for _, id := range on {
					conforms := 1.0
					if slices.Contains(r.Fails, id) {
						conforms = 0
					}
					v.Parts = append(v.Parts, Part{Name: string(id), Conforms: conforms})
				}
			}
			then := k
			then.Events = append(slices.Clone(k.Events), Event{Verdict: &v})
			b := believe(t, then, Options{})
			for w, x := range row {
				if p.Decide.Worlds[w] == 0 || len(p.Worlds[w]) != 1 || p.Worlds[w][0] == Unlisted {
					continue
				}
				// Against another world, so that what was left out does not matter.
				ref := slices.IndexFunc(p.Worlds, func(s []guide.ID) bool { return len(s) == 1 && s[0] != Unlisted })
				if row[ref] < 1e-9 {
					continue
				}
				want := p.Decide.Worlds[w] * x / (p.Decide.Worlds[ref] * row[ref])
				got := share(t, b, p.Worlds[w][0]) / share(t, b, p.Worlds[ref][0])
				if b.Combined.Most > 1 {
					continue
				}
				if compared++; math.Abs(got-want) > 1e-6*max(1, want) {
					t.Errorf("%s: after %s %q, %v against %v is %v, framed as %v", name, check, r.Says, p.Worlds[w], p.Worlds[ref], got, want)
				}
			}
		}
	}
	return compared
}

// TestAskedStaysAsked: a check that was made is not asked again, until a
// repair moves its answer; one that cannot be made is not asked at all.
func TestAskedStaysAsked(t *testing.T) {
	asks := func(k Case, w Work, id guide.ID) bool {
		p := frame(t, k, w)
		return slices.ContainsFunc(p.Actions, func(a Action) bool { return a.Sort == CheckAction && a.Check == id })
	}
	k := caseA(t)
	if !asks(k, Work{}, "T35") || asks(k, Work{Cannot: []guide.ID{"T35"}}, "T35") {
		t.Error("T35 is asked though it cannot be made, or not asked at all")
	}
	k.Events = []Event{parts("T35", "", Part{"right", 0}, Part{"left", 1})}
	if asks(k, Work{}, "T35") {
		t.Error("T35 was made and is asked again")
	}
	if _, err := Frame(k, &bench{r: k.Guide}, Work{Cannot: []guide.ID{"T99"}, Proof: "T98"}); err == nil || !strings.Contains(err.Error(), "T99") || !strings.Contains(err.Error(), "T98") {
		t.Errorf("unknown checks: %v", err)
	}
}

// TestClosingProof: which check proves the repair.
func TestClosingProof(t *testing.T) {
	proof := func(k Case, w Work) guide.ID {
		p := frame(t, k, w)
		return p.Actions[p.Decide.Proof.Action].Check
	}
	k := caseC(t)
	if id := proof(k, Work{}); id != "" {
		t.Errorf("nothing failed yet, and the proof is %s", id)
	}
	k.Events = []Event{verdict("T56", 0), verdict("T50", 0)}
	if id := proof(k, Work{}); id != "T56" {
		t.Errorf("T56 failed with everything fitted, and the proof is %q", id)
	}
	if id := proof(k, Work{Proof: "T50"}); id != "T50" {
		t.Errorf("T50 was named, and the proof is %q", id)
	}
}

// TestSpares: parts of a replacement, nothing beyond the way for another
// repair, the median where no price is known.
func TestSpares(t *testing.T) {
	r := engine(t, "LHD", "B")
	for _, c := range []struct {
		task  *guide.TaskID
		price int
		known bool
	}{
		{&guide.TaskID{Verb: guide.Replace, On: "SE13"}, 6400, true},
		{&guide.TaskID{Verb: guide.Repair, On: "X3"}, 0, true},
		{&guide.TaskID{Verb: guide.Replace, On: "EL01"}, 0, false},
		{nil, 0, false},
	} {
		p, known := SparesOf(r, Action{Sort: RepairAction, Task: c.task})
		if int(p) != c.price || known != c.known {
			t.Errorf("%v: %s, known %v", c.task, p, known)
		}
	}
	p := frame(t, caseC(t), Work{})
	for i, a := range p.Actions {
		if a.Sort == RepairAction && a.Task == nil && (len(a.Assumed) != 2 || a.Spares == 0) {
			t.Errorf("action %d, %s: %s, assumed %q", i, a.Name, a.Spares, a.Assumed)
		}
	}
}

// TestSparesAreWhateverTheState: spares are part of what a repair costs from
// every state.
func TestSparesAreWhateverTheState(t *testing.T) {
	g := spared{decide.Prices{5, 7}, []int64{0, 100}}
	if g.Own(1) != 107 || g.Do(0, 1)[0].Cost != 107 || g.Do(0, 0)[0].Cost != 5 {
		t.Error("the price of spares is not part of the cost")
	}
}

// BenchmarkFrameWide is 200 faults and 300 checks.
func BenchmarkFrameWide(b *testing.B) {
	r, err := guide.Resolve(wide(200, 300), nil)
	if err != nil {
		b.Fatal(err)
	}
	k := Case{Guide: r, Complaint: "aarattle, barattle, carattle", Codes: []Code{{Code: "P0102"}, {Code: "P0203"}}, CodesRead: true}
	for b.Loop() {
		p, err := Frame(k, &bench{r: r, refer: 25_000}, Work{})
		if err != nil || len(p.Decide.Checks) == 0 {
			b.Fatal(err, p)
		}
	}
}
