package demo

import (
	"bytes"
	"encoding/csv"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"elbowroom/guide"
)

// row is one line of a table of testdata by column name.
type row map[string]string

// table reads testdata/name.csv and fails when it has not the number of rows
// that the demonstration has.
func table(t *testing.T, name string, rows int) []row {
	t.Helper()
	data, err := os.ReadFile("testdata/" + name + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(data, []byte("# source: ")) {
		t.Fatalf("%s.csv: the first line must name the source", name)
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%s.csv: %v", name, err)
	}
	var out []row
	for _, line := range lines[1:] {
		m := row{}
		for i, cell := range line {
			m[lines[0][i]] = strings.TrimSpace(cell)
		}
		out = append(out, m)
	}
	if len(out) != rows {
		t.Fatalf("%s.csv has %d rows, want %d", name, len(out), rows)
	}
	return out
}

// number reads a cell, failing the test when it holds none.
func (r row) number(t *testing.T, column string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("%v: column %s: %v", r, column, err)
	}
	return f
}

func (r row) minutes(t *testing.T, column string) time.Duration {
	return time.Duration(r.number(t, column) * float64(time.Minute))
}

// read reads the guide once for all tests; none of them changes it.
var read = sync.OnceValues(Guide)

// load returns the guide.
func load(t *testing.T) *guide.Guide {
	t.Helper()
	g, err := read()
	if err != nil {
		t.Fatalf("the guide does not read:\n%v", err)
	}
	return g
}

// seen is the guide for one drive side and the engine B.
func seen(t *testing.T, drive guide.ID) *guide.Resolved {
	t.Helper()
	r, err := guide.Resolve(load(t), guide.Selector{{Values: []guide.ID{drive}}, {Values: []guide.ID{"B"}}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

var figure = regexp.MustCompile(`\d+(?:\.\d+)?`)

// figures lists the numbers of a text.
func figures(text string) []float64 {
	var out []float64
	for _, s := range figure.FindAllString(text, -1) {
		f, _ := strconv.ParseFloat(s, 64)
		out = append(out, f)
	}
	return out
}

// ids splits a cell of names.
func ids(cell string) []guide.ID {
	var out []guide.ID
	for _, s := range strings.Fields(cell) {
		out = append(out, guide.ID(s))
	}
	return out
}

func sameSet(a, b []guide.ID) bool {
	a, b = slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b))
	return slices.Equal(a, b)
}
