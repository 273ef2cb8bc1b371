package access

import (
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// none marks an absent item, place, tool, task or way in the model.
const none = int32(-1)

// model is a request in whole numbers: only the items, ways and changes that
// can matter to it, each numbered in guide order.
type model struct {
	r   *guide.Resolved
	req plan.Request

	items   []item
	ways    []way // clearing ways, then task ways
	conds   []cond
	changes []change
	tasks   []task
	places  []guide.ID
	tools   []guide.ID
	hires   []hire // tools that are missing and can be hired

	cost      pricer
	move      int64 // objective of changing place
	swap      int64 // objective of changing tool
	moveTime  int64 // ms
	swapTime  int64
	waitPrice int64 // objective of one ms of waiting

	from   state // where visits begin; nil is as found
	settle bool  // tasks are done only while no change waits
	stop   func() bool

	before, proof []int32 // tasks
	mustReturn    []bool  // by item: has to be on at the end
}

// item is one item that can leave its place or has to stay in it.
type item struct {
	id      guide.ID
	index   int32   // in Resolved.Items
	clear   []int32 // open clearing ways
	taken   []int32 // open ways of other items that take it along
	found   standing
	back    []int32 // found aside or off: ways that can be taken back
	open    bool    // may be left as it is
	demands bool    // something wants it on while an item that takes it along is off
}

// standing says how an item stands.
type standing int8

const (
	on standing = iota
	aside
	off
)

// need is an item that must stand aside or off.
type need struct {
	item int32
	off  bool
}

// req is a value that a condition must, or must not, have.
type req struct {
	cond, value int32
	not         bool
}

// terms are what a way, a change or a value asks of the state.
type terms struct {
	needs  []need
	reqs   []req
	fitted []int32
	all    bool // every item must be on
}

// way is a clearing way or a way of a task that is open for this request.
type way struct {
	terms
	item     int32 // cleared item; none for a task way
	task     int32 // none for a clearing way
	nth      int32 // of the clearing ways of the item
	owner    guide.ID
	verb     guide.Verb
	index    int32 // in Ways of the owner; -1 is the way of a check without ways
	takesOff bool
	together []int32
	place    int32
	tool     int32
	hires    []int32
	out      price
	back     price
}

// price is what a step costs, apart from set-up.
type price struct {
	elapsed   int64 // ms that pass
	hands     int64 // ms of labour
	parts     money.Amount
	fluids    money.Amount
	risk      int64 // expected, in units of the money objective
	objective int64
}

// cond is a condition and what its values demand.
type cond struct {
	id      guide.ID
	index   int32 // in Guide.Conditions
	values  []guide.ID
	demand  []terms
	found   int32   // value that the visit began with
	start   int32   // value to go on from
	end     int32   // none when any
	changes []int32 // open changes
	back    []int64 // by value: objective of the cheapest way to the end; far when there is none
}

// far is the price of what cannot be done. Sums of a few of them fit an int64.
const far = int64(1) << 60

// change is an open change of a condition.
type change struct {
	terms
	cond     int32
	index    int32 // in Condition.Changes
	from, to int32
	wait     int64 // ms
	place    int32
	tool     int32
	hires    []int32
	cost     price
}

// task is one task with its open ways.
type task struct {
	ways   []int32
	after  []int32
	before bool
	proof  bool
}

// hire is a tool that is not at hand but can be hired.
type hire struct {
	tool      guide.ID
	price     money.Amount
	objective int64
}

// pricer turns minutes and money into the objective.
type pricer struct {
	byMoney bool
	rate    int64
}

func (p pricer) time(ms int64) int64 {
	if p.byMoney {
		return ms * p.rate
	}
	return ms
}

func (p pricer) money(a money.Amount) int64 {
	if p.byMoney {
		return int64(a) * plan.CentPerObjective
	}
	return 0
}

func (p pricer) total(hands int64, parts, fluids money.Amount, risk int64) int64 {
	sum := p.time(hands) + p.money(parts) + p.money(fluids)
	if p.byMoney {
		sum += risk
	}
	return sum
}
