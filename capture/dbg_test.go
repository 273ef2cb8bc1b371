package capture

import (
	"elbowroom/capture/lexicon"
	"elbowroom/capture/transcript"
	"fmt"
	"os"
	"testing"
)

func TestDbg(t *testing.T) {
	s := os.Getenv("SAY")
	if s == "" {
		return
	}
	tr, _ := transcript.Read("a.txt", []byte("[0:01] "+s))
	p := &parser{lex: lexicon.Default(), t: tr}
	p.words = split(tr, p.lex)
	p.parse()
	for i, c := range p.chunks {
		cl := ""
		if c.term != nil {
			cl = string(c.term.Class)
		}
		fmt.Printf("%d sort=%d %q term=%s noun=%q count=%d starts=%v amt=%+v txt=%s\n", i, c.sort, p.joinWords(c.from, c.to), cl, c.noun.name(), c.count, p.starts(i), c.amount, c.text)
	}
	r := Listen(tr, Options{})
	for _, f := range r.Facts {
		fmt.Println(f.String(), f.Because, f.Confidence)
	}
	for _, q := range r.Questions {
		fmt.Println("?", q.Item, q.Gap, q.Asks)
	}
	for _, q := range r.Left {
		fmt.Println("left", q.At.Said, q.Why)
	}
	for _, q := range r.Garbled {
		fmt.Println("garbled", q.At.Said, q.Why)
	}
}
