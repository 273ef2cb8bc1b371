package app

import (
	"fmt"

	"elbowroom/codes"
	"elbowroom/guide"
)

// CodeSheet is what can be said of a code by itself: how it is built, who
// gives it its meaning, and which faults of the guide list it.
type CodeSheet struct {
	Code   codes.Full
	Parts  []CodePart // in the order in which they are written
	Bytes  string     // as sent
	Guide  *guide.Guide
	Faults []CodeFault
}

// CodePart is a part of a code with what it says.
type CodePart struct{ Text, Says string }

// CodeFault is a fault that lists a code.
type CodeFault struct {
	ID     guide.ID
	Name   string
	On     guide.ID // empty for a fault of no item
	Item   string   // in words
	Family string   // as the guide lists it
}

// Code explains a code. Errors wrap ErrInput or ErrUnknown; a span.List inside
// says what is wrong with the text.
func (a *App) Code(q Ask, text string) (*CodeSheet, error) {
	full, err := codes.Parse(text)
	if err != nil {
		return nil, fmt.Errorf("%w: code: %w", ErrInput, err)
	}
	var c CodesRead
	up, err := a.upstreamOf(q, &c)
	if err != nil {
		return nil, err
	}
	s := &CodeSheet{Code: full, Parts: partsOf(full), Guide: c.Guide}
	high, low := full.Code.Bytes()
	s.Bytes = fmt.Sprintf("%02X %02X", high, low)
	if full.Typed {
		s.Bytes += " " + full.Type.String()
	}
	if up == nil {
		return s, nil
	}
	for _, f := range up.g.Faults {
		family, ok := familyOf(f, full.Code)
		if !ok || f.On != "" && !up.has(f.On) {
			continue
		}
		x := CodeFault{ID: f.ID, Name: f.Name, On: f.On, Family: family.String()}
		if f.On != "" {
			x.Item = up.name(f.On)
		}
		s.Faults = append(s.Faults, x)
	}
	return s, nil
}

// partsOf takes a code apart: letter, digit, block of hundred, number, failure
// type.
func partsOf(full codes.Full) []CodePart {
	c, text := full.Code, full.Code.String()
	block, ok := c.Group()
	if !ok {
		block = "no public name is kept for this block"
	}
	parts := []CodePart{
		{text[:1], string(c.System())},
		{text[1:2], c.Control().Words()},
		{text[2:3], block},
		{text[3:], "number in the block; what it stands for is the guide's or the maker's to say"},
	}
	if full.Typed {
		says, ok := full.Type.Words()
		if !ok {
			says = "failure type without a public meaning"
		}
		parts = append(parts, CodePart{full.Type.String(), says})
	}
	return parts
}
