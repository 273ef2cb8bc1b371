package circuit

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
)

// table reads a CSV file of testdata and fails when it holds fewer rows than
// least, so that a moved file cannot pass as no cases.
func table(t *testing.T, name string, least int) []map[string]string {
	t.Helper()
	f, err := os.Open("testdata/" + name + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for i, line := range all {
		if i == 0 {
			continue
		}
		row := map[string]string{}
		for k, cell := range line {
			row[all[0][k]] = cell
		}
		rows = append(rows, row)
	}
	if len(rows) < least {
		t.Fatalf("%s has %d rows, at least %d were there once", name, len(rows), least)
	}
	return rows
}

func value(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}
