package file

import (
	"bytes"

	"elbowroom/guide"
	"elbowroom/span"
)

// PrintBack prints a guide that was made in memory and reads it back. The
// findings say what could not have been read: a way off without minutes back
// ("5.2/0 min"), a name that is none. Places are those of the printed text.
// Without an error among them the text is a guide that Read returns equal.
func PrintBack(g *guide.Guide) ([]byte, span.List) {
	text := Print(g)
	name := string(g.ID)
	if guide.ID(name).Check() != nil {
		name = "guide"
	}
	p := parse(name+".yaml", text)
	if p.root == nil {
		return text, finished(p.list)
	}
	var merged parsed
	merged.list = p.list
	merged.merge(p)
	again, _, list := merged.guide(true)
	if again != nil && !bytes.Equal(Print(again), text) && !list.Has(span.Error) {
		list = append(list, span.Finding{
			Rule: "print", Says: "what is printed of this guide reads back as another one",
			Do: "look for texts with control characters and for numbers that are none",
		})
	}
	return text, list
}
