package cli

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"
)

// Every field of every answer says what it is.
func TestEveryFieldIsDescribed(t *testing.T) {
	if len(answers) == 0 {
		t.Fatal("no answers")
	}
	for name, v := range answers {
		s := schemaOf(name, v)
		data, err := json.Marshal(s)
		if err != nil || !json.Valid(data) {
			t.Errorf("%s: %v", name, err)
		}
		own(t, name, reflect.TypeOf(v))
	}
}

// own walks the types of this package.
func own(t *testing.T, path string, typ reflect.Type) {
	for typ.Kind() == reflect.Pointer || typ.Kind() == reflect.Slice {
		typ = typ.Elem()
	}
	if typ.Kind() != reflect.Struct || !strings.HasSuffix(typ.PkgPath(), "internal/cli") {
		return
	}
	for i := range typ.NumField() {
		f := typ.Field(i)
		if f.Tag.Get("json") == "" || f.Tag.Get("says") == "" {
			t.Errorf("%s.%s has no name or says nothing", path, f.Name)
		}
		own(t, path+"."+f.Name, f.Type)
	}
}
