package relational

import (
	"context"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"elbowroom/store"
)

func TestWords(t *testing.T) {
	cases := []struct {
		name, text, want string
	}{
		{"case and marks", "Größe ÉTÉ straße", "grosse ete strasse"},
		{"order and twice", "b a b", "b a"},
		{"signs divide", "P0562-17, lift_1: x/y", "p0562 17 lift 1 x y"},
		{"compatibility forms", "ﬁlter ① Ｗｘ", "filter 1 wx"},
		{"nothing", " -_*'\" ", ""},
		{"other writing", "Дизель 発電機", "дизель 発電機"},
		{"a long word", strings.Repeat("é", 100), strings.Repeat("e", maxWord)},
	}
	for _, c := range cases {
		if got := strings.Join(words(maxWords, c.text), " "); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	if got := squeezed("WX 12-abc"); got != "wx12abc" {
		t.Errorf("a plate is squeezed to %q", got)
	}
}

// FuzzWords holds what the indexes of both databases rely on: words are of
// letters and digits only, and dividing them again gives the same.
func FuzzWords(f *testing.F) {
	f.Add("Größe 1_x ' \" \x00 \xff İ ŉ ſ")
	f.Add("ẞ ﬃ ㎏ ½ Ⅷ ǆ")
	f.Fuzz(func(t *testing.T, text string) {
		list := words(maxWords, text)
		for _, w := range list {
			if w == "" || utf8.RuneCountInString(w) > maxWord || !utf8.ValidString(w) {
				t.Fatalf("%q is a word of %q", w, text)
			}
			for _, r := range w {
				if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
					t.Fatalf("%q is in the word %q of %q", r, w, text)
				}
			}
		}
		if again := words(maxWords, strings.Join(list, " ")); !slices.Equal(again, list) {
			t.Fatalf("%q gives %q and then %q", text, list, again)
		}
	})
}

func TestMarks(t *testing.T) {
	s := &Store{d: Dialect{Numbered: true}}
	if got := s.text("a = ? AND b IN (?, ?)"); got != "a = $1 AND b IN ($2, $3)" {
		t.Errorf("numbered: %s", got)
	}
	var sizes []int
	var values []any
	for i := range 250 {
		values = append(values, i)
	}
	seen := map[any]bool{}
	err := inChunks(values, func(marks string, part []any) error {
		if strings.Count(marks, "?") != len(part) {
			t.Errorf("%d marks for %d values", strings.Count(marks, "?"), len(part))
		}
		sizes = append(sizes, len(part))
		for _, p := range part {
			seen[p] = true
		}
		return nil
	})
	if err != nil || len(seen) != 250 || !slices.Equal(sizes, []int{100, 100, 64}) {
		t.Errorf("%d values in chunks of %v, %v", len(seen), sizes, err)
	}
}

// TestWatchersComeAndGo lets watchers of one place come and go: one poll looks
// after all of them and ends after the last.
func TestWatchersComeAndGo(t *testing.T) {
	var looks atomic.Int64
	h := &hub{every: 10 * time.Millisecond, look: func(context.Context, int64) (store.Cursor, error) {
		return store.Cursor(looks.Add(1)), nil
	}}
	before := runtime.NumGoroutine()
	for range 200 {
		ctx, cancel := context.WithCancel(t.Context())
		c, err := h.join(ctx, 7, 0)
		if err != nil {
			t.Fatal(err)
		}
		<-c
		cancel()
		for range c { // until it is closed
		}
	}
	if n := runtime.NumGoroutine(); n > before+5 {
		t.Errorf("%d goroutines run after 200 watchers, %d before", n, before)
	}
	ctx, cancel := context.WithCancel(t.Context())
	c, err := h.join(ctx, 7, 0)
	if err != nil {
		t.Fatal(err)
	}
	<-c
	if n := <-c; n < 1 {
		t.Errorf("the poll told %d", n)
	}
	cancel()
	for end := time.Now().Add(10 * time.Second); ; time.Sleep(time.Millisecond) {
		h.mu.Lock()
		left := len(h.polling) + len(h.places)
		h.mu.Unlock()
		if left == 0 {
			break
		}
		if time.Now().After(end) {
			t.Fatal("the poll goes on without watchers")
		}
	}
	h.close()
	if _, err := h.join(t.Context(), 7, 0); err == nil {
		t.Error("a closed hub takes watchers")
	}
}
