//go:build !core

package main

import (
	"bufio"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	arrowcsv "github.com/apache/arrow-go/v18/arrow/csv"
	_ "github.com/duckdb/duckdb-go/v2"
	zerocsv "github.com/fikrimohammad/go-zerocsv"
)

// others are the contestants that need more than Go: an embedded database and
// other readers of tables. Without them: go test -tags core.
var others = []contestant{
	{"duckdb, columns given", func(f string) ([]channel, error) { return runDuckDB(f, true) }},
	{"duckdb, columns found", func(f string) ([]channel, error) { return runDuckDB(f, false) }},
	{"go-zerocsv", runZero},
	{"arrow csv", runArrow},
}

func runDuckDB(file string, given bool) ([]channel, error) {
	db, err := sql.Open("duckdb", "?threads=2")
	if err != nil {
		return nil, err
	}
	defer db.Close()
	var columns, picks []string
	for i := range channels {
		columns = append(columns, fmt.Sprintf("'c%d': 'DOUBLE'", i))
		picks = append(picks, fmt.Sprintf("count(c%d), min(c%d), max(c%d), avg(c%d)", i, i, i, i))
	}
	how := "header = true, names = ['" + strings.Join(names(), "', '") + "']"
	if given {
		how = "header = true, auto_detect = false, delim = ',', columns = {" + strings.Join(columns, ", ") + "}"
	}
	row := db.QueryRow("SELECT " + strings.Join(picks, ", ") + " FROM read_csv('" + file + "', " + how + ")")
	found := make([]channel, channels)
	var into []any
	for i := range found {
		into = append(into, &found[i].N, &found[i].Least, &found[i].Most, &found[i].Mean)
	}
	return found, row.Scan(into...)
}

func names() []string {
	var n []string
	for i := range channels {
		n = append(n, fmt.Sprintf("c%d", i))
	}
	return n
}

func runZero(file string) ([]channel, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r := zerocsv.NewReader(f, zerocsv.WithBufferSize(1<<18))
	found := fresh()
	values := make([]float64, channels)
	into := make([]any, channels)
	for i := range values {
		into[i] = &values[i]
	}
	for first := true; ; first = false {
		rec, err := r.Read()
		if errors.Is(err, io.EOF) {
			return means(found), nil
		}
		if err != nil {
			return nil, err
		}
		if first {
			continue
		}
		if err := rec.Scan(into...); err != nil {
			return nil, err
		}
		for i, v := range values {
			found[i].add(v)
		}
	}
}

func runArrow(file string) ([]channel, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var fields []arrow.Field
	for _, s := range shapes {
		fields = append(fields, arrow.Field{Name: s.name, Type: arrow.PrimitiveTypes.Float64})
	}
	r := arrowcsv.NewReader(bufio.NewReaderSize(f, 1<<18), arrow.NewSchema(fields, nil), arrowcsv.WithHeader(true), arrowcsv.WithChunk(4096))
	defer r.Release()
	found := fresh()
	for r.Next() {
		batch := r.RecordBatch()
		for i := range found {
			for _, v := range batch.Column(i).(*array.Float64).Float64Values() {
				found[i].add(v)
			}
		}
	}
	if err := r.Err(); err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	return means(found), nil
}
