package web

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// Least contrasts of WCAG 2.2: 1.4.3 for text (AA, 4.5:1) and 1.4.11 for the
// edges of controls and the parts of a drawing (3:1).
// https://www.w3.org/TR/WCAG22/#contrast-minimum
// https://www.w3.org/TR/WCAG22/#non-text-contrast
const (
	textContrast = 4.5
	edgeContrast = 3.0
)

// pairs are the colours that meet on the pages: what, on which ground.
var pairs = []struct {
	what, ground string
	least        float64
}{
	{"ink", "paper", textContrast},
	{"ink", "sheet", textContrast},
	{"ink", "ground", textContrast},
	{"soft", "paper", textContrast},
	{"soft", "sheet", textContrast},
	{"soft", "ground", textContrast},
	{"act", "paper", textContrast},
	{"act", "sheet", textContrast},
	{"act", "ground", textContrast},
	{"on-act", "act", textContrast},
	{"paper", "ink", textContrast},
	{"on-deep", "deep", textContrast},
	{"on-warn", "warn", textContrast},
	{"bad", "paper", textContrast},
	{"line", "paper", edgeContrast},
	{"line", "sheet", edgeContrast},
	{"strip", "paper", edgeContrast},
	{"strip", "sheet", edgeContrast},
	{"strip", "ground", edgeContrast},
	{"refit", "sheet", edgeContrast},
	{"refit", "ground", edgeContrast},
	{"wait", "sheet", edgeContrast},
	{"work", "ground", edgeContrast},
	{"focus", "paper", edgeContrast},
	{"focus", "sheet", edgeContrast},
	{"focus", "ground", edgeContrast},
	{"warn", "deep", edgeContrast},
}

func TestContrast(t *testing.T) {
	for theme, colours := range themes(t) {
		for _, p := range pairs {
			a, b := colours[p.what], colours[p.ground]
			if a == "" || b == "" {
				t.Errorf("%s: no colour %s or %s", theme, p.what, p.ground)
				continue
			}
			if c := contrast(luminance(t, a), luminance(t, b)); c < p.least {
				t.Errorf("%s: %s %s on %s %s: %.2f, least %.1f", theme, p.what, a, p.ground, b, c, p.least)
			}
		}
	}
}

// The definition's own example: black on white is 21:1, and #767676 on white
// is the lightest grey that passes for text.
// https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio
func TestContrastFormula(t *testing.T) {
	white := luminance(t, "#ffffff")
	if c := contrast(luminance(t, "#000000"), white); math.Abs(c-21) > 1e-9 {
		t.Errorf("black on white: %v", c)
	}
	if c := contrast(luminance(t, "#767676"), white); c < textContrast {
		t.Errorf("#767676 on white: %v", c)
	}
	if c := contrast(luminance(t, "#777777"), white); c >= textContrast {
		t.Errorf("#777777 on white: %v", c)
	}
}

var (
	block    = regexp.MustCompile(`:root\{([^}]*)\}`)
	variable = regexp.MustCompile(`--([a-z-]+):(#[0-9a-f]+)`)
)

// themes reads the colours of the style sheet: the first block is light, the
// second dark; what the second does not say stays as it is.
func themes(t *testing.T) map[string]map[string]string {
	t.Helper()
	data, err := embedded.ReadFile("assets/style.css")
	if err != nil {
		t.Fatal(err)
	}
	blocks := block.FindAllStringSubmatch(string(data), -1)
	if len(blocks) < 3 {
		t.Fatalf("%d blocks of colours, want light, dark and print", len(blocks))
	}
	out := map[string]map[string]string{}
	for i, name := range []string{"light", "dark", "print"} {
		out[name] = map[string]string{}
		for key, value := range out["light"] {
			out[name][key] = value
		}
		for _, m := range variable.FindAllStringSubmatch(blocks[i][1], -1) {
			out[name][m[1]] = m[2]
		}
	}
	for _, key := range []string{"deep", "on-deep", "focus", "on-act"} { // not printed
		out["print"][key] = out["light"][key]
	}
	delete(out["print"], "") // nothing
	return out
}

func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	if len(hex) == 4 {
		hex = "#" + strings.Repeat(hex[1:2], 2) + strings.Repeat(hex[2:3], 2) + strings.Repeat(hex[3:4], 2)
	}
	n, err := strconv.ParseUint(hex[1:], 16, 32)
	if err != nil || len(hex) != 7 {
		t.Fatalf("%q is no colour", hex)
	}
	channel := func(v uint64) float64 {
		c := float64(v) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(n>>16) + 0.7152*channel(n>>8&255) + 0.0722*channel(n&255)
}

func contrast(a, b float64) float64 {
	return (math.Max(a, b) + 0.05) / (math.Min(a, b) + 0.05)
}

// Nothing may be set smaller than the letters people read at the car.
func TestLettersAreLargeEnough(t *testing.T) {
	data, err := embedded.ReadFile("assets/style.css")
	if err != nil {
		t.Fatal(err)
	}
	screen, _, found := strings.Cut(string(data), "@media print")
	if !found {
		t.Fatal("no print style")
	}
	sizes := regexp.MustCompile(`font-size:([0-9.]+)(px|rem|em)`).FindAllStringSubmatch(screen, -1)
	if len(sizes) < 8 {
		t.Fatalf("only %d sizes found", len(sizes))
	}
	for _, m := range sizes {
		n, err := strconv.ParseFloat(m[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		if m[2] != "px" {
			n *= 16
		}
		if n < 16 {
			t.Errorf("%s is below 16 px", m[0])
		}
	}
}

func TestNothingComesFromElsewhere(t *testing.T) {
	for name, f := range loadFiles().byName {
		for _, bad := range []string{"http://", "https://", "@import", "eval(", "innerHTML", "document.cookie"} {
			text := strings.ReplaceAll(string(f.plain), "http://www.w3.org/2000/svg", "")
			if strings.Contains(text, bad) {
				t.Errorf("%s has %s", name, bad)
			}
		}
	}
}
