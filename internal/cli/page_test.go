package cli

import (
	"strings"
	"testing"
	"unicode/utf8"
)

func pageOf(width string, locale string) *page {
	return newPage(func(k string) string { return map[string]string{"COLUMNS": width, "LANG": locale}[k] })
}

func TestWidthOfThePage(t *testing.T) {
	for _, c := range []struct {
		name, columns string
		want          int
	}{
		{"said by the terminal", "72", 72},
		{"not said", "", usualWidth},
		{"no number", "wide", usualWidth},
		{"negative", "-5", usualWidth},
		{"too narrow to read", "3", leastWidth},
		{"too wide to follow by eye", "400", mostWidth},
	} {
		if got := pageOf(c.columns, "").width; got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}

// POSIX: LC_ALL before LC_CTYPE before LANG; nothing set is the C locale.
func TestLocale(t *testing.T) {
	for _, c := range []struct {
		name string
		env  map[string]string
		want bool
	}{
		{"nothing set", nil, false},
		{"LANG", map[string]string{"LANG": "en_GB.UTF-8"}, true},
		{"LC_ALL wins", map[string]string{"LC_ALL": "C", "LANG": "en_GB.UTF-8"}, false},
		{"LC_CTYPE wins over LANG", map[string]string{"LC_CTYPE": "de_DE.utf8", "LANG": "C"}, true},
	} {
		if got := utf8Locale(func(k string) string { return c.env[k] }); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

func TestPlainLetters(t *testing.T) {
	for text, want := range map[string]string{
		"9 N·m": "9 Nm", "45°": "45 deg", "90 °C": "90 degC", "≤ 0.30 V": "<= 0.30 V", "1.55 Ω ± 0.10 Ω": "1.55 ohm +- 0.10 ohm",
		"6 × gasket": "6 x gasket", "2.5 mm²": "2.5 mm2", "日": "?", "5–25": "5-25",
	} {
		if got := plain(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

func TestRowKeepsTheEdge(t *testing.T) {
	p := pageOf("40", "C.UTF-8")
	p.row("  1  ", "     ", "Take off the lower intake manifold (AR05) and more", "24 min")
	want := "  1  Take off the lower intake    24 min\n     manifold (AR05) and more\n"
	if got := p.b.String(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestTable(t *testing.T) {
	p := pageOf("40", "C.UTF-8")
	p.table([][]string{{"min", "task"}, {"+4", "Replace the other one, which takes a while"}, {"+120", "short"}}, 0)
	want := " min  task\n  +4  Replace the other one, which takes\n      a while\n+120  short\n"
	if got := p.b.String(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// Texts of a guide cannot steer the terminal.
func TestControlCharactersAreBlanked(t *testing.T) {
	p := pageOf("80", "C.UTF-8")
	p.para("", "", "red \x1b[31malert\x07 \u009b2J")
	if got := p.b.String(); strings.ContainsAny(got, "\x1b\x07\u009b") {
		t.Errorf("%q", got)
	}
}

// No line is wider than the page, whatever the text.
func FuzzPage(f *testing.F) {
	f.Add("Take off the engine top cover", "1 min", uint8(40))
	f.Add(strings.Repeat("x", 300), "", uint8(80))
	f.Add("45° — ≤ 2 Ω \x1b[2J \xff", "24 min +2 min", uint8(50))
	f.Fuzz(func(t *testing.T, text, right string, width uint8) {
		const rightMost = 16
		if len(right) > rightMost || !utf8.ValidString(right) {
			return
		}
		for _, locale := range []string{"C", "C.UTF-8"} {
			p := pageOf("", locale)
			p.width = max(int(width), leastWidth)
			p.row("  1  ", "     ", text, right)
			p.field("Machine", text)
			p.table([][]string{{"1", text}})
			for _, line := range strings.Split(p.b.String(), "\n") {
				if n := utf8.RuneCountInString(line); n > p.width && right == strings.TrimSpace(right) && len(p.fold(right)) <= rightMost {
					t.Errorf("%d characters on a page of %d: %q", n, p.width, line)
				}
			}
		}
	})
}
