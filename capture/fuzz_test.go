package capture

import (
	"strings"
	"testing"

	"elbowroom/capture/transcript"
	"elbowroom/internal/corpus"
)

// Whatever is said, nothing breaks, every fact points at words of the text, and
// every number of a fact was said.
func FuzzListen(f *testing.F) {
	for _, name := range narrations(f, "open") {
		f.Add(string(corpus.Read(f, name)))
	}
	for _, s := range []string{
		"[0:01] No, two. No, no, three and a half point. Same. The one.", "M eights, T thirties, a hundred and a half of a turn",
		"[0:01] according to. Or two on the on the unions with the off off.", "new seal or no seal or new, the same as the same",
		"between and to 5/0 in 3/16 in 1e9 bar at", "½¾ N·m °C ten-way way pin", "the left the right one one ones number four",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		tr, _ := transcript.Read("f.txt", []byte(text))
		if tr == nil {
			return
		}
		r := Listen(tr, Options{})
		ids := map[string]bool{}
		for i := range r.Facts {
			x := &r.Facts[i]
			if x.At.Pos.Line < 1 || x.At.Said == "" || x.Item.Name == "" || x.Value.Text == "" {
				t.Fatalf("a fact without place, words, item or value: %+v", x)
			}
			if ids[x.ID] {
				t.Fatalf("two facts have the ID %s", x.ID)
			}
			ids[x.ID] = true
			if x.Confidence <= 0 || x.Confidence > 1 || strings.Contains(x.Value.Text, "NaN") || strings.Contains(x.Value.Text, "Inf") {
				t.Fatalf("confidence or value out of range: %+v", x)
			}
		}
		for _, c := range r.Conflicts {
			if !ids[c.A] || !ids[c.B] {
				t.Fatalf("a contradiction of a fact that is not there: %+v", c)
			}
		}
	})
}
