package capture

import (
	"strings"
	"testing"
	"time"

	"elbowroom/capture/transcript"
)

// longest is how long the worst text of two megabytes may take, with much room
// for a busy machine.
const longest = 60 * time.Second

// No text, however odd, takes more than seconds: here a single sentence
// without end.
func TestEndlessSentence(t *testing.T) {
	text := strings.Repeat("two pumps and number four bolts hatch off ", transcript.MaxSize/8/42)
	tr, list := transcript.Read("a.txt", []byte(text))
	if tr == nil {
		t.Fatal(list)
	}
	begin := time.Now()
	r := Listen(tr, Options{})
	if took := time.Since(begin); took > longest/8 || r.Words < 40_000 {
		t.Errorf("%d words took %s", r.Words, took)
	}
}
