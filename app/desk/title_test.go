package desk

import "testing"

func TestTitleIsCutBetweenWords(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"short stays", "runs cold", "runs cold"},
		{"between words", "lamp on, weak uphill since rain", "lamp on, weak uphill…"},
		{"no comma before the dots", "lamp on since Monday, worse now", "lamp on since Monday…"},
		{"one long word", "abcdefghijklmnopqrstuvwxyzabcdef", "abcdefghijklmnopqrstu…"},
		{"no half letter", "ööööööööööööööööööö", "öööööööööö…"},
	} {
		if got := cutWords(c.text, 24); got != c.want {
			t.Errorf("%s: %q, not %q", c.name, got, c.want)
		}
	}
}
