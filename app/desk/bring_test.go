package desk_test

import (
	"errors"
	"strings"
	"testing"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/store"
)

// small is a whole guide as somebody writes it, with a comment of their own.
const small = `# written at the bench
format: 1
guide: twin
title: Twin, 0.6 L
currency: EUR
places: {top: top}
items:
  CV01:
    name: cover
    joints: [2 x M6x20 T30]
    ways:
      - off from top; 3/4 min
  SE01:
    name: sensor
    ways:
      - replace from top; needs CV01; 5 min
`

func TestBringAGuide(t *testing.T) {
	s := open(t)
	says, err := s.Bring(t.Context(), s.who, map[string][]byte{"twin.yaml": []byte(small)})
	if err != nil || !strings.Contains(says, "twin") {
		t.Fatalf("%q, %v", says, err)
	}
	a, err := s.App(t.Context(), s.who.Place)
	if err != nil {
		t.Fatal(err)
	}
	ans, err := a.Plan(app.Ask{Guide: "twin", Tasks: []string{"replace:SE01"}})
	if err != nil || len(ans.Steps) != 3 {
		t.Errorf("a plan with it: %v, %v", ans, err)
	}
	if text, err := s.TextOf(t.Context(), s.who, "twin"); err != nil || string(text) != small {
		t.Errorf("kept as %q, %v", text, err)
	}
	// of two files one text is made
	first, second, _ := strings.Cut(small, "items:\n")
	if _, err := s.Bring(t.Context(), s.who, map[string][]byte{"a.yaml": []byte(first), "b.yaml": []byte("items:\n" + second)}); err != nil {
		t.Errorf("in two files: %v", err)
	}
}

// What is wrong is listed with its place, and nothing changes.
func TestBringRefuses(t *testing.T) {
	s := open(t)
	if _, err := s.Bring(t.Context(), s.who, map[string][]byte{"twin.yaml": []byte(small)}); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, want string
		who        desk.Who
		files      map[string][]byte
		is         error
	}{
		{"no file", "no file", s.who, nil, app.ErrInput},
		{"not YAML", "guide.txt", s.who, map[string][]byte{"guide.txt": []byte(small)}, app.ErrInput},
		{"wrong in two places", "twin.yaml:16:33", s.who, map[string][]byte{"twin.yaml": []byte(strings.ReplaceAll(small, "CV01;", "CV99;") + "  SE02: {name: other, ways: [off]}\n")}, app.ErrInput},
		{"binary", "twin.yaml", s.who, map[string][]byte{"twin.yaml": {0, 1, 2, 255}}, app.ErrInput},
		{"another workshop", "write workshop: " + string(s.who.Place), s.who, map[string][]byte{"w.yaml": []byte("format: 1\nworkshop: other\nname: Other\ncurrency: EUR\nrate: 80.00\n")}, app.ErrInput},
		{"a reader", "may read", s.another("guest", store.Reader), map[string][]byte{"twin.yaml": []byte(small)}, desk.ErrNotAllowed},
		{"a technician, the workshop", "owner", s.another("veld", store.Technician), map[string][]byte{"w.yaml": []byte("format: 1\nworkshop: " + string(s.who.Place) + "\nname: Ours\ncurrency: EUR\nrate: 1.00\n")}, desk.ErrNotAllowed},
	} {
		_, err := s.Bring(t.Context(), c.who, c.files)
		if !errors.Is(err, c.is) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if text, err := s.TextOf(t.Context(), s.who, "twin"); err != nil || string(text) != small {
		t.Errorf("something changed: %q, %v", text, err)
	}
	if _, err := s.TextOf(t.Context(), s.another("veld", store.Technician), ""); !errors.Is(err, desk.ErrNotAllowed) {
		t.Errorf("a technician takes the description of the workshop: %v", err)
	}
}
