package main

import (
	"encoding/hex"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// The stories in testdata run the program as a person would. With -update the
// expected texts in them are written anew; read the difference before keeping
// it.
var update = flag.Bool("update", false, "write the expected texts of the stories anew")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"elbowroom": main})
}

// leastStories guards against a folder that has moved.
const leastStories = 10

func TestStories(t *testing.T) {
	files, err := os.ReadDir("testdata")
	if err != nil || len(files) < leastStories {
		t.Fatalf("%d stories, %v", len(files), err)
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata", UpdateScripts: *update, RequireExplicitExec: true, RequireUniqueNames: true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("LANG", "C.UTF-8")
			e.Setenv("COLUMNS", "80")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": status, "validate": validate, "items": items, "bytes": bytesFile, "same": same,
		},
	})
}

// status runs a command and wants one exit status: status 4 elbowroom plan …
func status(ts *testscript.TestScript, neg bool, args []string) {
	want, err := strconv.Atoi(args[0])
	if neg || err != nil {
		ts.Fatalf("usage: status N command…")
	}
	got := 0
	var ended *exec.ExitError
	switch err := ts.Exec(args[1], args[2:]...); {
	case errors.As(err, &ended):
		got = ended.ExitCode()
	case err != nil:
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// validate checks JSON against a JSON Schema: validate schema.json doc.json.
func validate(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: validate schema.json doc.json")
	}
	read := func(name string) any {
		var v any
		if err := json.Unmarshal([]byte(ts.ReadFile(name)), &v); err != nil {
			ts.Fatalf("%s: %v", name, err)
		}
		return v
	}
	c := jsonschema.NewCompiler()
	ts.Check(c.AddResource("mem:schema", read(args[0])))
	schema, err := c.Compile("mem:schema")
	ts.Check(err)
	ts.Check(schema.Validate(read(args[1])))
}

// items writes a guide of N items in one row, each behind the one before:
// items 50000 big.yaml.
func items(ts *testscript.TestScript, neg bool, args []string) {
	n, err := strconv.Atoi(args[0])
	if neg || err != nil {
		ts.Fatalf("usage: items N file")
	}
	var b strings.Builder
	b.WriteString("format: 1\nguide: row\ntitle: A long row\ncurrency: EUR\nsource: made\nsources:\n  made: {grade: invented}\nplaces:\n  top: {name: from the top}\nitems:\n")
	for i := range n {
		needs := ""
		if i > 0 {
			needs = fmt.Sprintf("; needs I%d", i-1)
		}
		fmt.Fprintf(&b, "  I%d: {name: Panel number %d, ways: [\"off from top%s; 1/1 min\", \"replace from top; 1 min\"]}\n", i, i, needs)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(b.String()), 0o644))
}

// bytesFile writes bytes that a story cannot hold: bytes file ff00fe.
func bytesFile(ts *testscript.TestScript, neg bool, args []string) {
	data, err := hex.DecodeString(strings.Join(args[1:], ""))
	if neg || err != nil {
		ts.Fatalf("usage: bytes file hex…: %v", err)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), data, 0o644))
}

// same wants the last output to have so many lines that contain a text:
// same 1 'Take off'.
func same(ts *testscript.TestScript, neg bool, args []string) {
	want, err := strconv.Atoi(args[0])
	if neg || err != nil {
		ts.Fatalf("usage: same N text")
	}
	if got := strings.Count(ts.ReadFile("stdout"), args[1]); got != want {
		ts.Fatalf("%q stands there %d times, want %d", args[1], got, want)
	}
}
