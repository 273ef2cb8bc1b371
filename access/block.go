package access

import (
	"slices"

	"elbowroom/guide"
)

// block is one reason why a way or a change is not open.
type block struct {
	tool        guide.ID // not at hand and not for hire
	caution     guide.ID // asks for a value that has no answer
	people      int      // so many are needed
	condition   guide.ID // of a change whose wait only the maker knows
	change      int
	unknownWait bool
}

func (c *compiler) closedByTools(tools []guide.ID) []block {
	var list []block
	for _, id := range tools {
		t := c.lookup.tools[id]
		if c.missing[id] && (t == nil || t.Hire == nil) {
			list = append(list, block{tool: id})
		}
	}
	return list
}

func (c *compiler) closedByPeople(n int) []block {
	if n > c.people {
		return []block{{people: n}}
	}
	return nil
}

func (c *compiler) closedByCautions(cautions []guide.ID) []block {
	var list []block
	for _, id := range cautions {
		if k := c.lookup.cautions[id]; k != nil && k.Ask != "" && k.Answer == "" {
			list = append(list, block{caution: id})
		}
	}
	return list
}

// blockNumbers numbers the blocks, each once.
func (c *compiler) blockNumbers(list []block) []int32 {
	var numbers []int32
	for _, b := range list {
		n := slices.Index(c.blocks, b)
		if n < 0 {
			n = len(c.blocks)
			c.blocks = append(c.blocks, b)
		}
		if !slices.Contains(numbers, int32(n)) {
			numbers = append(numbers, int32(n))
		}
	}
	return numbers
}
