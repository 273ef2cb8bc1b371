// Package engines makes machines to try planners on: invented guides with a
// request, built from a seed or written by hand with a known optimum.
//
// # The families
//
//   - [Small]: tiny machines with every feature of a guide at random
//     frequency, cycles and impossible requests among them, small enough for a
//     brute force to search every state.
//   - [SmallOrder]: as tiny, and all about order: waits that other work can
//     fill, an engine that runs only closed, set-ups, second strips.
//   - [Like]: built as real engines are: zones of a few layers, one to three
//     ways, mostly a single one, a dozen conditions, one to six tasks.
//   - [Hard]: deep layers with one to four ways of one to three items each from
//     earlier layers, up to six tasks over the deep layers, no conditions. No
//     real engine is as bad.
//   - [Adversarial]: conditions that conflict between tasks, waits, and
//     set-ups that make the order matter.
//   - [Troubled]: machines of Like with faults, checks, repairs and a complaint.
//   - [Known]: machines written by hand, each with its reason, outcome and
//     optimum; some are published instances and say where.
//
// # Seeds
//
// Seeds below [FreshSeeds] are for tuning: anybody may look at them, find out
// why a planner is slow on one, and improve it. Seeds from FreshSeeds on are
// for measuring: take them in order, never tune on them, and use new ones for
// a new measurement. The same seed gives the same machine on every platform.
//
// The machines are data only. Nothing here plans, and nothing here is a real
// engine.
package engines

import (
	"fmt"
	"math/rand/v2"
	"time"

	"elbowroom/guide"
	"elbowroom/plan"
)

// FreshSeeds is the first seed that may not be tuned on.
const FreshSeeds uint64 = 1_000_000

// Case is a machine with a request.
type Case struct {
	Name    string
	Guide   *guide.Guide
	Request plan.Request
}

// Resolve returns the guide of the case for the variant that it asks for.
func (c Case) Resolve() (*guide.Resolved, error) {
	return guide.Resolve(c.Guide, c.Request.Variant)
}

// dice draws what generators need.
type dice struct{ *rand.Rand }

func newDice(family, seed uint64) dice {
	return dice{rand.New(rand.NewPCG(seed, family))}
}

// chance is true with probability p.
func (d dice) chance(p float64) bool { return d.Float64() < p }

// between returns a whole number from low to high, both included.
func (d dice) between(low, high int) int { return low + d.IntN(high-low+1) }

// minutes returns between low and high minutes in steps of six seconds.
func (d dice) minutes(low, high int) time.Duration {
	return time.Duration(d.between(10*low, 10*high)) * 6 * time.Second
}

func pick[T any](d dice, list []T) T { return list[d.IntN(len(list))] }

// some returns between low and high different entries of list, in list order,
// fewer when the list is short.
func some[T any](d dice, list []T, low, high int) []T {
	n := min(d.between(low, high), len(list))
	var out []T
	for i, x := range list {
		if left := len(list) - i; d.IntN(left) < n-len(out) {
			out = append(out, x)
		}
	}
	return out
}

func itemID(i int) guide.ID { return guide.ID(fmt.Sprintf("I%d", i)) }

func needs(ids []guide.ID, off func() bool) []guide.Need {
	var list []guide.Need
	for _, id := range ids {
		list = append(list, guide.Need{Item: id, Off: off()})
	}
	return list
}

func never() bool { return false }
