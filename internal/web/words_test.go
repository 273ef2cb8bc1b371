package web

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Keys as the templates and the code write them; a key that ends in a dot is
// the beginning of several.
var (
	inTemplates = regexp.MustCompile(`\bt "([a-z.-]+)"`)
	inCode      = regexp.MustCompile(`\bsay(?:If)?\("([a-z.-]+)"`)
)

func keysInUse(t *testing.T) []string {
	t.Helper()
	keys := []string{"verb."} // looked up by verbText
	for _, where := range []struct {
		dir, suffix string
		pattern     *regexp.Regexp
	}{{"templates", ".html", inTemplates}, {".", ".go", inCode}} {
		entries, err := os.ReadDir(where.dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if !strings.HasSuffix(e.Name(), where.suffix) || strings.HasSuffix(e.Name(), "_test.go") {
				continue
			}
			data, err := os.ReadFile(where.dir + "/" + e.Name())
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range where.pattern.FindAllStringSubmatch(string(data), -1) {
				keys = append(keys, m[1])
			}
		}
	}
	for _, name := range []string{"home", "job", "recording", "codes", "plan", "quote", "error.input", "error.unknown", "error.audit", "lost", "choose", "wire", "bay", "patterns", "jobs", "signin", "setup", "workshop", "shown"} {
		keys = append(keys, name+".title") // given to page, which says them
	}
	if len(keys) < 150 {
		t.Fatalf("only %d keys found", len(keys))
	}
	return keys
}

func TestEveryKeyHasWords(t *testing.T) {
	for _, key := range keysInUse(t) {
		if _, ok := english[key]; !ok && !strings.HasSuffix(key, ".") {
			t.Errorf("no words for %s", key)
		}
	}
}

func TestNoWordsAreLeftOver(t *testing.T) {
	used := keysInUse(t)
	for key := range english {
		begins := func(u string) bool { return u == key || strings.HasSuffix(u, ".") && strings.HasPrefix(key, u) }
		if !slices.ContainsFunc(used, begins) {
			t.Errorf("nothing says %s", key)
		}
	}
}

// Language is separable only when no template has words of its own.
func TestTemplatesHaveNoWordsOfTheirOwn(t *testing.T) {
	actions := regexp.MustCompile(`(?s)\{\{.*?\}\}`)
	tags := regexp.MustCompile(`(?s)<[^>]*>`)
	words := regexp.MustCompile(`[A-Za-z]{3,}`)
	allowed := []string{"kbd", "Esc"}
	entries, err := os.ReadDir("templates")
	if err != nil || len(entries) < 8 {
		t.Fatalf("%d templates, %v", len(entries), err)
	}
	for _, e := range entries {
		if e.Name() == "patterns.html" {
			continue // the sheet is for people who work on the pages
		}
		data, err := os.ReadFile("templates/" + e.Name())
		if err != nil {
			t.Fatal(err)
		}
		text := tags.ReplaceAllString(actions.ReplaceAllString(string(data), ""), " ")
		for _, w := range words.FindAllString(text, -1) {
			if !slices.Contains(allowed, w) {
				t.Errorf("%s has the word %q", e.Name(), w)
			}
		}
	}
}

func TestUnknownWordsPanic(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("an unknown key went through")
		}
	}()
	say("no.such.key")
}
