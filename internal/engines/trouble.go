package engines

import (
	"fmt"
	"math"
	"slices"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// Trouble is a machine with a complaint: a guide with faults, checks and
// repairs, and what is known of one machine when it comes in.
type Trouble struct {
	Name    string
	Guide   *guide.Guide
	Request plan.Request // how the machine stands and what an hour costs; no tasks
	Truth   guide.ID     // the fault that brought the complaint about
	Signs   []string     // signs of the guide that show
	Absent  []string     // signs that somebody looked for in vain
	Codes   []string     // everything that is stored
	Proof   guide.ID     // check that proves the repair; empty: looking for the complaint itself
}

// TroubleSize is how much there is of a guide with faults.
type TroubleSize struct {
	Name                  string
	Items, Faults, Checks int
}

// Sizes of guides with faults: one whose decision problem can be solved to the
// end, one like a system of an engine, and one like a whole engine.
var (
	SmallTrouble  = TroubleSize{"small", 16, 5, 6}
	MediumTrouble = TroubleSize{"medium", 60, 25, 40}
	LargeTrouble  = TroubleSize{"large", 300, 200, 300}
)

// Troubled returns a machine of [Like] with faults on its items, lower items
// more often. Weights are spread over a factor of a hundred. Signs and codes
// are shared by several faults. Of the checks, some are made at the item and
// need it reached, some tell several faults apart at one measuring point that
// is easily reached or needs nothing open, some want the engine running with
// everything fitted. Most replacements have a price; a few faults have no task
// and a few checks no odds. The fault behind the complaint is drawn by weight,
// and its signs and codes show more often than not.
func Troubled(seed uint64, size TroubleSize) Trouble {
	machine := Like(seed, size.Items)
	t := &troubled{dice: newDice(0x7a0b, seed), g: machine.Guide, size: size}
	t.g.ID = "troubled"
	machine.Request.Tasks, machine.Request.Missing = nil, nil
	t.faults()
	t.g.Checks = nil
	for k := range size.Checks {
		t.check(k)
	}
	t.out = Trouble{Name: fmt.Sprintf("troubled %s %d", size.Name, seed), Guide: t.g, Request: machine.Request}
	t.proof()
	t.complaint()
	return t.out
}

type troubled struct {
	dice
	g    *guide.Guide
	size TroubleSize
	out  Trouble

	signs, codes []string
	easy         []guide.ID // items that nothing is in front of
}

// Words that complaints are made of.
var (
	showings = []string{"misfire", "stall", "rattle", "whistle", "smoke", "shudder", "overrun", "flicker", "surge", "knock"}
	whens    = []string{"cold", "hot", "wet", "braking", "reversing", "overnight", "loaded", "idle", "turning", "cruising"}
)

// faults puts faults on items and gives each signs and codes.
func (t *troubled) faults() {
	n := max(3, t.size.Faults/5)
	for k := range n {
		t.signs = append(t.signs, showings[k%len(showings)]+" "+whens[(k/len(showings)+k)%len(whens)])
		t.codes = append(t.codes, fmt.Sprintf("P%04d", 100+k))
	}
	for i := range t.g.Items {
		if t.reachable(&t.g.Items[i]) {
			t.easy = append(t.easy, t.g.Items[i].ID)
		}
	}
	for k := range t.size.Faults {
		at := max(t.IntN(len(t.g.Items)), t.IntN(len(t.g.Items)))
		t.fault(k, &t.g.Items[at])
	}
}

// reachable reports whether the item can be measured at with nothing removed.
func (t *troubled) reachable(it *guide.Item) bool {
	return slices.ContainsFunc(it.Ways, func(w guide.Way) bool {
		return w.Do == guide.Measure && len(w.Needs) == 0 && len(w.With) == 0
	})
}

func (t *troubled) fault(k int, it *guide.Item) {
	f := guide.Fault{ID: guide.ID(fmt.Sprintf("F%d", k)), On: it.ID, Name: fmt.Sprintf("fault %d", k), Repair: "put it right"}
	f.Weight = math.Round(100*math.Pow(10, 2*t.Float64())) / 100
	f.Signs = some(t.dice, t.signs, 1, 3)
	f.Codes = some(t.dice, t.codes, 0, 2)
	if t.chance(0.9) {
		f.Task = &guide.TaskID{Verb: guide.Replace, On: it.ID}
	}
	if len(it.Parts) == 0 && t.chance(0.9) {
		id := guide.ID("part-" + string(it.ID))
		price := money.Amount(500 * math.Pow(10, 2*t.Float64()))
		t.g.Parts = append(t.g.Parts, guide.Part{ID: id, Name: string(id), Price: price})
		it.Parts = []guide.Use{{Count: 1, What: id}}
	}
	t.g.Faults = append(t.g.Faults, f)
}

// odds draws how surely a check fails, in hundredths.
func (t *troubled) odds(low, high int) float64 { return float64(t.between(low, high)) / 100 }

func (t *troubled) check(k int) {
	c := guide.Check{ID: guide.ID(fmt.Sprintf("C%d", k)), Name: fmt.Sprintf("check %d", k), At: "pins 1 and 2", Instrument: []guide.ID{"meter"}}
	switch x := t.Float64(); {
	case x < 0.4:
		t.atItem(&c, k)
	case x < 0.75:
		t.farEnd(&c)
	default:
		t.running(&c)
	}
	t.g.Checks = append(t.g.Checks, c)
}

// atItem makes the check one of a single fault, at its item.
func (t *troubled) atItem(c *guide.Check, k int) {
	f := &t.g.Faults[t.IntN(len(t.g.Faults))]
	if k < len(t.g.Faults) && t.chance(0.7) {
		f = &t.g.Faults[k]
	}
	c.Point, c.Minutes = f.On, t.minutes(1, 6)
	t.fails(c, []guide.ID{f.ID}, 85, 99, 5)
}

// farEnd makes it one that tells of several faults from a place that is easily
// reached.
func (t *troubled) farEnd(c *guide.Check) {
	c.Minutes = t.minutes(2, 8)
	if len(t.easy) > 0 && t.chance(0.6) {
		c.Point = pick(t.dice, t.easy)
	}
	t.fails(c, t.several(), 60, 98, 10)
}

// running makes it one with the engine running, sometimes with everything
// fitted.
func (t *troubled) running(c *guide.Check) {
	c.Minutes, c.Closed = t.minutes(4, 15), t.chance(0.5)
	c.With = []guide.Req{on("running", "yes")}
	t.fails(c, t.several(), 70, 97, 10)
}

// several draws two to six faults of neighbouring numbers, and one of any.
func (t *troubled) several() []guide.ID {
	from, n := t.IntN(len(t.g.Faults)), t.between(2, min(6, len(t.g.Faults)/2))
	var ids []guide.ID
	for i := range n {
		ids = append(ids, t.g.Faults[(from+i)%len(t.g.Faults)].ID)
	}
	if id := pick(t.dice, t.g.Faults).ID; !slices.Contains(ids, id) {
		ids = append(ids, id)
	}
	return ids
}

// fails gives the check its odds in hundredths, or has the faults name it.
func (t *troubled) fails(c *guide.Check, ids []guide.ID, low, high, leak int) {
	if t.chance(0.1) {
		for i := range t.g.Faults {
			if slices.Contains(ids, t.g.Faults[i].ID) {
				t.g.Faults[i].FoundBy = append(t.g.Faults[i].FoundBy, c.ID)
			}
		}
		return
	}
	for _, id := range ids {
		c.Fails = append(c.Fails, guide.Odds{Fault: id, P: t.odds(low, high)})
	}
	otherwise := t.odds(1, leak)
	c.Otherwise = &otherwise
}

// proof adds a closing proof with everything fitted, or leaves it to the
// complaint itself.
func (t *troubled) proof() {
	if t.chance(0.4) {
		return
	}
	t.out.Proof = "proof"
	t.g.Checks = append(t.g.Checks, guide.Check{
		ID: "proof", Name: "drive it", At: "everywhere", Closed: true, Minutes: time.Duration(t.between(8, 25)) * time.Minute,
		With: []guide.Req{on("running", "yes")},
	})
}

// complaint draws the fault, and what shows of it.
func (t *troubled) complaint() {
	f := t.drawn()
	t.out.Truth = f.ID
	t.out.Signs = []string{pick(t.dice, f.Signs)}
	for _, s := range t.signs {
		switch brings := slices.Contains(f.Signs, s); {
		case slices.Contains(t.out.Signs, s):
		case brings && t.chance(0.5), !brings && t.chance(0.02):
			t.out.Signs = append(t.out.Signs, s)
		case t.chance(0.1):
			t.out.Absent = append(t.out.Absent, s)
		}
	}
	for _, c := range t.codes {
		if brings := slices.Contains(f.Codes, c); brings && t.chance(0.7) || !brings && t.chance(0.01) {
			t.out.Codes = append(t.out.Codes, c)
		}
	}
}

// drawn returns a fault by weight.
func (t *troubled) drawn() *guide.Fault {
	sum := 0.0
	for i := range t.g.Faults {
		sum += t.g.Faults[i].Weight
	}
	x := sum * t.Float64()
	for i := range t.g.Faults {
		if x -= t.g.Faults[i].Weight; x < 0 {
			return &t.g.Faults[i]
		}
	}
	return &t.g.Faults[len(t.g.Faults)-1]
}
