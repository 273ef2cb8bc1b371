package capture

import (
	"fmt"
	"strings"
	"testing"

	"elbowroom/capture/transcript"
	"elbowroom/internal/corpus"
)

// Single rules, each with its reason, as text: what is said, and what was
// understood.
func TestSentences(t *testing.T) {
	for _, name := range corpus.Files(t, "testdata/sentences*.txt") {
		corpus.Run(t, name, func(t *testing.T, c corpus.Case) string {
			tr, list := transcript.Read("said.txt", []byte("[0:00] "+strings.ReplaceAll(c.Input, "\n", " ")))
			if tr == nil {
				return list.Error()
			}
			r := Listen(tr, Options{})
			var out []string
			for i := range r.Facts {
				s := r.Facts[i].String()
				if r.Facts[i].TookBack != "" {
					s += " (not " + r.Facts[i].TookBack + ")"
				}
				out = append(out, s)
			}
			for _, q := range r.Questions {
				if c.Command == "ask" || q.Gap != "torque" && q.Gap != "count" {
					out = append(out, fmt.Sprintf("? %s: %s", q.Item, q.Gap))
				}
			}
			for _, x := range r.Conflicts {
				out = append(out, "! "+x.Says)
			}
			for _, p := range r.Garbled {
				out = append(out, "garbled: "+p.At.Said)
			}
			for _, p := range r.Left {
				out = append(out, fmt.Sprintf("left: %s, %s", p.At.Said, p.Why))
			}
			if len(out) == 0 {
				return "nothing\n"
			}
			return strings.Join(out, "\n") + "\n"
		})
	}
}
