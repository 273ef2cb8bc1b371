package file

import (
	"encoding/json"
	"os"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"elbowroom/guide"
	"elbowroom/internal/corpus"
)

const frozen = "testdata/format-1"

// frozenSamples are those of format 1: the first, and one for each round
// of fields that were added to it. A sample is never changed.
var frozenSamples = []string{frozen, "testdata/format-1-wiring", "testdata/format-1-limits", "testdata/format-1-opens"}

// TestFormat1IsReadableForEver reads every frozen sample. If this fails the
// program is wrong, not the sample. The golden file shows what each form means.
func TestFormat1IsReadableForEver(t *testing.T) {
	for _, sample := range frozenSamples {
		t.Run(sample, func(t *testing.T) { readFrozen(t, sample) })
	}
}

func readFrozen(t *testing.T, sample string) {
	g, _, list := Read(os.DirFS("."), sample)
	if g == nil || len(list) > 0 {
		t.Fatal(list)
	}
	// Texts as MarshalText gives them would hide what a short form means.
	got, err := json.MarshalIndent(spelled(reflect.ValueOf(g)), "", " ")
	if err != nil {
		t.Fatal(err)
	}
	golden := sample + "/decoded.json"
	if corpus.Rewriting() {
		if err := os.WriteFile(golden, append(got, '\n'), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if want := strings.TrimSpace(string(corpus.Read(t, golden))); want != string(got) {
		t.Errorf("the sample no longer means what it meant; compare with %s", golden)
	}
}

// spelled turns a value into plain maps and lists, leaving out zero values.
func spelled(v reflect.Value) any {
	switch v.Kind() {
	case reflect.Pointer:
		return spelled(v.Elem())
	case reflect.Slice, reflect.Array:
		out := make([]any, v.Len())
		for i := range out {
			out[i] = spelled(v.Index(i))
		}
		return out
	case reflect.Struct:
		out := map[string]any{}
		for i := range v.NumField() {
			if !v.Field(i).IsZero() {
				out[v.Type().Field(i).Name] = spelled(v.Field(i))
			}
		}
		return out
	case reflect.Int64:
		return v.Int()
	}
	return v.Interface()
}

// TestFrozenSamplesUseEverything makes sure that the samples together say
// something in every field of every type, so that nothing can be lost unnoticed.
func TestFrozenSamplesUseEverything(t *testing.T) {
	used, known := map[string]bool{}, map[string]bool{}
	fieldsIn(reflect.TypeFor[guide.Guide](), known)
	for _, sample := range frozenSamples {
		g, _, list := Read(os.DirFS("."), sample)
		if g == nil {
			t.Fatal(list)
		}
		usedIn(reflect.ValueOf(g).Elem(), used)
	}
	for f := range known {
		if !used[f] {
			t.Errorf("no frozen sample uses %s", f)
		}
	}
	if len(known) < 150 {
		t.Errorf("only %d fields found; the test would check too little", len(known))
	}
}

func fieldsIn(t reflect.Type, known map[string]bool) {
	switch {
	case t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice:
		fieldsIn(t.Elem(), known)
	case t.Kind() == reflect.Struct && strings.HasPrefix(t.PkgPath(), "elbowroom/") && !strings.HasSuffix(t.PkgPath(), "/quantity"):
		for i := range t.NumField() {
			name := t.Name() + "." + t.Field(i).Name
			if !known[name] {
				known[name] = true
				fieldsIn(t.Field(i).Type, known)
			}
		}
	}
}

func usedIn(v reflect.Value, used map[string]bool) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			usedIn(v.Elem(), used)
		}
	case reflect.Slice:
		for i := range v.Len() {
			usedIn(v.Index(i), used)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if !v.Field(i).IsZero() {
				used[v.Type().Name()+"."+v.Type().Field(i).Name] = true
				usedIn(v.Field(i), used)
			}
		}
	}
}

func TestPositions(t *testing.T) {
	_, places, list := Read(os.DirFS("."), frozen)
	if len(list) > 0 {
		t.Fatal(list)
	}
	for _, c := range []struct{ path, want, reason string }{
		{"items.SE01", "testdata/format-1/items.yaml:61:3", "an entry is at its key"},
		{"items.SE01.joints[3]", "testdata/format-1/items.yaml:87:9", "an entry of a list is behind its dash"},
		{"items.SE01.ways[0].note", "testdata/format-1/items.yaml:94:9", "a key of an entry of a list"},
		{"items.SE01.ways[0].needs[0]", "testdata/format-1/items.yaml:93:9", "what is said inside a line is at the entry"},
		{"items.PN01.ways[0]", "testdata/format-1/items.yaml:25:11", "a list of one text"},
		{"items.NOPE.ways[0]", "testdata/format-1/items.yaml:12:1", "what is not there is at the nearest part around it"},
		{"revision", "testdata/format-1/guide.yaml:11:1", "a key of the top"},
		{"sources.hearsay.who", "testdata/format-1/guide.yaml:27:29", "a key inside brackets"},
		{"", "testdata/format-1/checks.yaml:1:1", "the guide as a whole is at its first file"},
	} {
		if got := places.At(c.path).String(); got != c.want {
			t.Errorf("%s: %q stands at %s, want %s", c.reason, c.path, got, c.want)
		}
	}
	var none *Positions
	if got := none.At("items"); got.Line != 0 {
		t.Errorf("no positions gave %v", got)
	}
}

func TestOneFileOrFolder(t *testing.T) {
	for name, fsys := range map[string]fstest.MapFS{
		"no such folder":    {},
		"folder of nothing": {"notes.txt": {Data: []byte("x")}},
		"wrong ending":      {"g.yml": {Data: []byte("format: 1\nguide: x")}},
	} {
		dir := "."
		if name == "no such folder" {
			dir = "nowhere"
		}
		if g, _, list := Read(fsys, dir); g != nil || len(list) != 1 {
			t.Errorf("%s: got %v, %v", name, g, list)
		}
	}
	hidden := fstest.MapFS{"g.yaml": {Data: []byte("format: 1\nguide: x")}, ".#g.yaml": {Data: []byte("\x00")}}
	if g, _, list := Read(hidden, "."); g == nil || g.Format != guide.Format {
		t.Errorf("an editor's hidden file prevented reading: %v", list)
	}
}
