package capture

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"elbowroom/capture/transcript"
	"elbowroom/internal/corpus"
)

// BenchmarkListen listens to a narration of two hours: the demonstration's,
// said again and again. The rate is in words per second, reading included.
func BenchmarkListen(b *testing.B) {
	text := corpus.Read(b, filepath.Join("testdata", "open", "moth.txt"))
	var long strings.Builder
	for range 40 {
		long.Write(text)
	}
	data := []byte(long.String())
	words := 0
	for b.Loop() {
		t, _ := transcript.Read("long.txt", data)
		r := Listen(t, Options{})
		words = r.Words
		if len(r.Facts) < 70 {
			b.Fatalf("only %d facts", len(r.Facts))
		}
	}
	b.ReportMetric(float64(words)*float64(b.N)/b.Elapsed().Seconds(), "words/s")
}

// A narration of two hours with ever new things is read in the time that
// somebody waits.
func TestTwoHours(t *testing.T) {
	var b strings.Builder
	for i := range 7200 / 4 {
		b.WriteString("[" + transcript.Clock(time.Duration(4*i)*time.Second) + "] Part number " + strings.Repeat("x", i%17) + "y pump, two bolts, M8, ten mil, twenty newton metres.\n")
	}
	tr, list := transcript.Read("long.txt", []byte(b.String()))
	if tr == nil || len(list) > 0 {
		t.Fatal(list)
	}
	if r := Listen(tr, Options{}); r.Length < 2*time.Hour-10*time.Second || len(r.Facts) < 60 {
		t.Errorf("%s with %d facts", r.Length, len(r.Facts))
	}
}
