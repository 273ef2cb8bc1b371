package audit_test

import (
	"slices"
	"strings"
	"testing"

	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/internal/oracle"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// knownCase returns a machine of the shared table.
func knownCase(t *testing.T, name string) engines.KnownCase {
	t.Helper()
	all := engines.Known()
	i := slices.IndexFunc(all, func(k engines.KnownCase) bool { return k.Name == name })
	if i < 0 {
		t.Fatalf("no known machine %q", name)
	}
	return all[i]
}

func clearing(item guide.ID, way int) plan.Act {
	return plan.Act{Item: item, Verb: guide.Off, Way: way}
}

func mark(weight int64, acts ...plan.Act) plan.Landmark {
	return plan.Landmark{Acts: acts, Weight: weight}
}

// minute is the objective of a minute by minutes.
const minute = 60_000

// bracketMarks is a certificate of the bracket machine's two targets by hand:
// cover 1, duct 4, battery 5, one of tray, air box and liner 4, bracket or
// liner 2, sensor 1.5, clip 1.
func bracketMarks() []plan.Landmark {
	return []plan.Landmark{
		mark(1*minute, clearing("R0", 0)),
		mark(4*minute, clearing("R1", 0)),
		mark(5*minute, clearing("R3", 0)),
		mark(4*minute, clearing("R4", 0), clearing("R2", 0), clearing("R6", 0)),
		mark(1*minute, clearing("R7", 0), clearing("R7", 1), clearing("R7", 2), clearing("R6", 0)),
		mark(1*minute, clearing("R7", 0), clearing("R7", 1), clearing("R5", 0)),
		mark(1.5*minute, clearing("R8", 0), clearing("R8", 1)),
		mark(1*minute, clearing("R9", 0)),
	}
}

// certified returns the best plan of a known machine with a certificate.
func certified(t *testing.T, name string, base int64, marks ...plan.Landmark) (engines.KnownCase, *guide.Resolved, plan.Plan) {
	t.Helper()
	k := knownCase(t, name)
	r, err := k.Resolve()
	if err != nil {
		t.Fatal(err)
	}
	p := oracle.Plan(r, k.Request, oracleStates)
	sum := base
	for _, l := range marks {
		sum += l.Weight
	}
	p.Certificate = plan.Certificate{Landmarks: marks, Base: base, Sum: sum}
	if sum < p.Bound {
		p.Certificate.Cases = 1
	}
	return k, r, p
}

// TestCertificate: landmarks that are right are accepted, and every way of
// claiming too much is refused.
func TestCertificate(t *testing.T) {
	change := func(k int) plan.Act { return plan.Act{Way: -1, Condition: "raised", Change: k} }
	drain := func(k int) plan.Act { return plan.Act{Way: -1, Condition: "coolant", Change: k} }
	back := func(way int) plan.Act { return plan.Act{Item: "A", Verb: guide.Off, Way: way, Back: true} }
	puller := plan.Act{Way: -1, Tool: "PULLER"}
	work := func(way int) plan.Act { return plan.Act{Item: "X", Verb: guide.Replace, Way: way} }
	const cent = plan.CentPerObjective
	tests := []struct {
		name, reason string
		machine      string
		base         int64
		marks        []plan.Landmark
		wrong        string // "" when it must be accepted
	}{
		{"by hand", "disjunctive landmarks prove the published optimum", "bracket, both", 0, bracketMarks(), ""},
		{"not needed", "the wheel need not come off", "bracket, both", 0, []plan.Landmark{mark(9*minute, clearing("R5", 0))}, "landmark 1 is none"},
		{"nothing", "no acts at all keep nothing from being reached", "bracket, both", 0, []plan.Landmark{mark(1)}, "landmark 1 is none"},
		{"too heavy", "the clip costs a minute", "bracket, both", 0, []plan.Landmark{mark(1*minute+1, clearing("R9", 0))}, "charge 60001"},
		{"too heavy together", "two landmarks charge the same act", "bracket, both", 0, []plan.Landmark{mark(3*minute, clearing("R1", 0)), mark(2*minute, clearing("R1", 0))}, "charge 300000"},
		{"negative", "a weight below nothing hides another above", "bracket, both", 0, []plan.Landmark{mark(-1, clearing("R9", 0))}, "which is negative"},
		{"unknown way", "R9 has one way", "bracket, both", 0, []plan.Landmark{mark(1, clearing("R9", 1))}, "does not have"},
		{"unknown item", "", "bracket, both", 0, []plan.Landmark{mark(1, clearing("R99", 0))}, "does not have"},
		{"unknown change", "", "drain", 0, []plan.Landmark{mark(1, change(2))}, "does not have"},
		{"unknown tool", "nobody misses the hammer", "hired once", 0, []plan.Landmark{mark(1, plan.Act{Tool: "HAMMER"})}, "does not have"},
		{"removal only", "what stays open is not charged for its way back", "left open", 0, []plan.Landmark{mark(2*minute, clearing("A", 0), clearing("A", 1))}, "which costs 60000"},
		{"out and back", "what must go back is charged both ways", "way back", 1 * minute, []plan.Landmark{mark(8*minute, clearing("A", 0), clearing("A", 1))}, ""},
		{"task in the base", "8 minutes of the coil are certain", "cover and coil", 8 * minute, []plan.Landmark{mark(3*minute, clearing("A", 0))}, ""},
		{"task in base and mark", "the same minutes claimed twice", "cover and coil", 8 * minute, []plan.Landmark{mark(1*minute, work(0))}, "the base is"},
		{"task as a mark", "the minutes may be charged to the task's way instead", "cover and coil", 0, []plan.Landmark{mark(8*minute, work(0))}, ""},
		{"dearer task way", "the base holds the cheaper way of the work, the mark the rest", "either way", 4 * minute, []plan.Landmark{mark(6*minute, work(0), clearing("C", 0))}, ""},
		{"base too high", "the cheaper way of the work takes 4", "either way", 5 * minute, nil, "the base is"},
		{"there and back", "raised and coolant are charged with their way back", "drain", 6 * minute, []plan.Landmark{mark(7*minute, change(0)), mark(47*minute, drain(0)), mark(11*minute, clearing("TRAY", 0))}, ""},
		{"the same at the way back", "the weight may lie on the change back", "drain", 6 * minute, []plan.Landmark{mark(4*minute, change(0)), mark(47*minute, drain(0))}, ""},
		{"more than there and back", "raising and lowering cost 7", "drain", 0, []plan.Landmark{mark(7*minute+1, change(0))}, "going there and back"},
		{"change back is none", "in a relaxed machine nothing needs lowering", "drain", 0, []plan.Landmark{mark(3*minute, change(1))}, "landmark 1 is none"},
		{"left as it is", "coolant that stays drained is not charged for filling", "left drained", 6 * minute, []plan.Landmark{mark(15*minute+1, drain(0))}, "the base is"},
		{"to its end", "the base holds the walk of a condition to its end", "brought to its end", 4 * minute, nil, ""},
		{"beyond its end", "", "brought to its end", 4*minute + 1, nil, "the base "},
		{"hire", "the tool is hired once", "hired once", 1 * 100 * cent, []plan.Landmark{mark(1000*cent, puller, clearing("A", 1))}, ""},
		{"hire twice", "two landmarks charge one hire", "hired once", 0, []plan.Landmark{mark(1000*cent, puller, clearing("A", 1)), mark(600*cent, puller, clearing("B", 1))}, "the hire of PULLER"},
		{"way back in the base", "7.00 is the cheaper way back; its risk is past", "found off, by money", 700 * cent, nil, ""},
		{"way back too dear", "", "found off, by money", 701 * cent, nil, "the base "},
		{"way back as a mark", "one of the two ways back", "found off, by money", 0, []plan.Landmark{mark(700*cent, back(0), back(1))}, ""},
		{"one way back only", "there is another", "found off, by money", 0, []plan.Landmark{mark(700*cent, back(0))}, "landmark 1 is none"},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			k, r, p := certified(t, c.machine, c.base, c.marks...)
			expect(t, audit.Check(r, k.Request, p), c.wrong, c.reason)
		})
	}
}

// expect compares a report with what it must say, "" for nothing.
func expect(t *testing.T, rep audit.Report, wrong, reason string) {
	t.Helper()
	switch {
	case wrong == "" && !rep.OK():
		t.Errorf("%s: refused: %v", reason, rep.Err())
	case wrong != "" && rep.OK():
		t.Errorf("%s: accepted, want %q", reason, wrong)
	case wrong != "" && !strings.Contains(rep.Err().Error(), wrong):
		t.Errorf("%s: want %q in: %v", reason, wrong, rep.Err())
	}
}

// TestSums: the figures of a certificate must agree with each other and with
// the bound.
func TestSums(t *testing.T) {
	k, r, good := certified(t, "bracket, both", 0, bracketMarks()...)
	if good.Certificate.Sum != good.Bound || good.Certificate.Cases != 0 {
		t.Fatalf("the certificate by hand comes to %d, the bound is %d", good.Certificate.Sum, good.Bound)
	}
	tests := []struct {
		name, reason string
		spoil        func(p *plan.Plan)
		wrong        string
	}{
		{"as it is", "nothing is wrong", func(*plan.Plan) {}, ""},
		{"sum", "the sum is not the sum", func(p *plan.Plan) { p.Certificate.Sum-- }, "they come to"},
		{"a landmark fewer", "the rest does not reach the bound and nothing was searched", func(p *plan.Plan) {
			p.Certificate.Landmarks = p.Certificate.Landmarks[1:]
			p.Certificate.Sum -= minute
		}, "no further cases"},
		{"searched", "the same with cases searched", func(p *plan.Plan) {
			p.Certificate.Landmarks = p.Certificate.Landmarks[1:]
			p.Certificate.Sum -= minute
			p.Certificate.Cases = 3
		}, ""},
		{"weak bound", "landmarks prove more than the bound says", func(p *plan.Plan) { p.Outcome, p.Bound = plan.Bounded, p.Bound-1 }, "bound is only"},
		{"bounded", "a bound below the objective is no proof of the best", func(p *plan.Plan) {
			p.Bound--
			p.Certificate = plan.Certificate{Cases: 1}
		}, "called optimal"},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			p := good
			c.spoil(&p)
			expect(t, audit.Check(r, k.Request, p), c.wrong, c.reason)
		})
	}
}
