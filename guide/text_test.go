package guide

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"elbowroom/internal/corpus"
)

// form is one short form for tests: it reads a text and returns the value,
// its text, and whether the text says everything.
type form struct {
	name string
	read func(text string) (v any, short string, whole bool, err error)
}

func formOf[T any, P interface {
	*T
	ReadShort(string) error
}](name string) form {
	return form{name, func(text string) (any, string, bool, error) {
		v, err := Parse[T, P](text)
		if err != nil {
			return nil, "", false, err
		}
		s, whole := any(v).(shorter).Short()
		return v, s, whole, nil
	}}
}

func readMinutes(text string) (any, string, bool, error) {
	d, err := ParseMinutes(text)
	return d, FormatMinutes(d), err == nil, err
}

var forms = []form{
	formOf[Way]("way"), formOf[Need]("need"), formOf[Req]("req"), formOf[Use]("use"), formOf[Risk]("risk"),
	formOf[Joint]("joint"), formOf[Stage]("stage"), formOf[Shape]("shape"), formOf[Point]("point"), formOf[Wire]("wire"),
	formOf[Clause]("clause"), formOf[Limit]("limit"), formOf[Selector]("selector"), formOf[TaskID]("task"),
	{"minutes", readMinutes},
}

func formNamed(t *testing.T, name string) form {
	t.Helper()
	for _, f := range forms {
		if f.name == name {
			return f
		}
	}
	t.Fatalf("no short form is called %q", name)
	return form{}
}

// TestForms shows how each short form is read and printed, and what is said of
// texts that are none.
func TestForms(t *testing.T) {
	corpus.Run(t, "testdata/forms.txt", func(t *testing.T, c corpus.Case) string {
		_, short, whole, err := formNamed(t, c.Command).read(c.Input)
		switch {
		case err != nil:
			return shown(t, err)
		case !whole:
			return "reads, but has no short form: " + short
		}
		return short
	})
}

// shown prints errors with their offsets.
func shown(t *testing.T, err error) string {
	t.Helper()
	var es FormErrors
	if !errors.As(err, &es) {
		t.Fatalf("%T is no FormErrors", err)
	}
	lines := make([]string, len(es))
	for i, e := range es {
		lines[i] = fmt.Sprintf("error at %d: %s", e.Offset, e.Error())
	}
	return strings.Join(lines, "\n")
}

// FuzzForms reads any text as every short form. What reads must print to a
// text that reads to the same value and prints the same again; errors must
// point into the text.
func FuzzForms(f *testing.F) {
	cases, err := corpus.Parse(string(corpus.Read(f, "testdata/forms.txt")))
	if err != nil {
		f.Fatal(err)
	}
	for _, c := range cases {
		f.Add(c.Input)
	}
	f.Add("1e400 N·m\x00\xff .. ± \u00a0")
	f.Fuzz(func(t *testing.T, text string) {
		for _, form := range forms {
			checkForm(t, form, text)
		}
	})
}

func checkForm(t *testing.T, f form, text string) {
	t.Helper()
	v, short, whole, err := f.read(text)
	if err != nil {
		var es FormErrors
		if !errors.As(err, &es) || len(es) == 0 {
			t.Fatalf("%s %q: error %v is no FormErrors", f.name, text, err)
		}
		for _, e := range es {
			if e.Offset < 0 || e.Offset > len(text) || e.Says == "" || !strings.Contains(text, e.Text) {
				t.Fatalf("%s %q: error %+v does not point into the text", f.name, text, e)
			}
		}
		return
	}
	if !whole {
		return
	}
	again, shortAgain, whole, err := f.read(short)
	if err != nil || !whole || !reflect.DeepEqual(v, again) || short != shortAgain {
		t.Fatalf("%s %q reads as %+v and prints %q, which reads as %+v, prints %q, error %v", f.name, text, v, short, again, shortAgain, err)
	}
}

func TestEveryFormIsTested(t *testing.T) {
	cases, err := corpus.Parse(string(corpus.Read(t, "testdata/forms.txt")))
	if err != nil {
		t.Fatal(err)
	}
	tested := map[string]bool{"point": true} // as a part of shape
	for _, c := range cases {
		tested[c.Command] = true
	}
	for _, f := range forms {
		if !tested[f.name] {
			t.Errorf("no case for %s", f.name)
		}
	}
}

func TestParseGivesNothingOnError(t *testing.T) {
	if w, err := Parse[Way]("off from top; neds A; 1/1 min"); err == nil || w.Do != "" {
		t.Errorf("got %+v, %v; a text with an error must give the zero value", w, err)
	}
}
