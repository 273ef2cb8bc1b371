package main

import (
	"bytes"
	"elbowroom/reading/record"
	"fmt"
	"io"
	"strings"
	"syscall"
)

// Columns and rows of the widest table.
const (
	wideColumns = 1_000_000
	wideRows    = 100
)

// repeated is a stream of the same line again and again.
type repeated struct {
	line []byte
	left int
	now  bytes.Reader
}

// Read implements io.Reader.
func (r *repeated) Read(p []byte) (int, error) {
	if r.now.Len() == 0 {
		if r.left == 0 {
			return 0, io.EOF
		}
		r.left--
		r.now.Reset(r.line)
	}
	return r.now.Read(p)
}

// readWide reads a table of a million columns and prints the memory it took.
func readWide() error {
	head := strings.NewReader("time (s)" + strings.Repeat(",channel", wideColumns-1) + "\n")
	rows := &repeated{line: []byte("1" + strings.Repeat(",12.345", wideColumns-1) + "\n"), left: wideRows}
	rec := record.Read(io.MultiReader(head, rows), record.Request{})
	if rec.Outcome != record.Partly || rec.Counts.Rows != wideRows || rec.Counts.Unused != wideRows*(wideColumns-record.MostColumns) {
		return fmt.Errorf("%s: %s", rec.Outcome, rec.Counts.Says())
	}
	var usage syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &usage); err != nil {
		return err
	}
	fmt.Printf("%d columns, %d bytes: at most %.0f MB resident\n%s\n", wideColumns, rec.Counts.Bytes, float64(usage.Maxrss)*1024/1e6, rec.Counts.Says())
	return nil
}
