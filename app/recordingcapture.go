package app

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"

	"elbowroom/codes/can"
	"elbowroom/span"
)

// Captured says that a recording is a capture of a CAN bus, whose data were
// laid out as a table.
type Captured struct {
	Frames   int
	Channels int
	Units    []string // control units that sent them
	Says     string
	gap      float64 // seconds that count as a gap: a reader asks for one thing after the other
}

const (
	// captureLines is how many lines of a file tell whether it is a capture.
	captureLines = 20
	// gapRows is how many usual distances of a channel make a gap.
	gapRows = 10
	// timeUnit is the finest time of a capture, in seconds.
	timeUnit = 1e-6
)

// isCapture reports whether most of the first lines of a file are frames.
func isCapture(head []byte) bool {
	var lines can.Lines
	read, frames := 0, 0
	for line := range bytes.Lines(head) {
		if line = bytes.TrimSpace(line); len(line) == 0 {
			continue
		}
		if _, _, ok := lines.Frame(line, read+1); ok {
			frames++
		}
		if read++; read == captureLines {
			break
		}
	}
	return frames > 0 && 2*frames > read
}

// readCapture reads a capture to its end and hands its series over as a table: a
// row for every moment at which something was sent, a column for every channel.
// A capture without times or without data that can be a channel is an error
// that wraps ErrInput.
func readCapture(f RecordingFile) (io.Reader, *Captured, span.List, error) {
	c, err := can.Read(f.From, can.Options{File: f.Name})
	if err != nil {
		return nil, nil, nil, fmt.Errorf("%w: recording %s: %w", ErrInput, f.Name, err)
	}
	list := slices.DeleteFunc(slices.Clone(c.Series), func(s can.Series) bool { return len(s.Time) == 0 })
	switch {
	case !c.Timed:
		return nil, nil, nil, fmt.Errorf("%w: recording %s: this capture of a bus has no times, so that nobody can tell how long anything held; capture it with times (candump -l or -ta)", ErrInput, f.Name)
	case len(list) == 0:
		return nil, nil, nil, fmt.Errorf("%w: recording %s: this capture of a bus holds %d frames and no data that public on-board diagnostics carry; a reader must ask for the values while it is captured", ErrInput, f.Name, c.Frames)
	}
	out := &Captured{Frames: c.Frames, Channels: len(list)}
	for _, s := range list {
		out.Units = appendNew(out.Units, s.Control)
	}
	out.gap = pauseOf(list)
	out.Says = fmt.Sprintf("A capture of a bus: %d frames, in which %s sent %d channels. They are judged as a table with a row for every answer; its lines are those of that table.", c.Frames, and(out.Units), len(list))
	return newSeriesTable(list), out, c.Findings, nil
}

// pauseOf is how long nothing may be sent: ten of the usual distances of the
// channel that is asked for least often.
func pauseOf(list []can.Series) float64 {
	longest := 0.0
	for _, s := range list {
		var apart []float64
		for i := 1; i < len(s.Time); i++ {
			apart = append(apart, s.Time[i]-s.Time[i-1])
		}
		if len(apart) > 0 {
			slices.Sort(apart)
			longest = max(longest, apart[len(apart)/2])
		}
	}
	return max(1, gapRows*longest)
}

// seriesTable is a table of series as a stream. Nothing of it is kept.
type seriesTable struct {
	list []can.Series
	next []int // by series: index of its next value
	row  []byte
	rest []byte // of what is written, not read yet
}

func newSeriesTable(list []can.Series) *seriesTable {
	t := &seriesTable{list: list, next: make([]int, len(list))}
	t.row = append(t.row, "time (s)"...)
	for _, s := range list {
		name := s.Channel
		if slices.ContainsFunc(list, func(o can.Series) bool { return o.Channel == s.Channel && o.Control != s.Control }) {
			name += " " + s.Control
		}
		t.row = append(t.row, ';')
		t.row = append(t.row, strconv.Quote(name)...)
		if s.Unit != "" && s.Unit != "1" {
			t.row = append(t.row[:len(t.row)-1], fmt.Sprintf(" (%s)\"", s.Unit)...)
		}
	}
	t.row = append(t.row, '\n')
	t.rest = t.row
	return t
}

// Read hands out the table.
func (t *seriesTable) Read(b []byte) (int, error) {
	n := 0
	for n < len(b) {
		if len(t.rest) == 0 && !t.fill() {
			break
		}
		k := copy(b[n:], t.rest)
		t.rest, n = t.rest[k:], n+k
	}
	if n == 0 && len(b) > 0 {
		return 0, io.EOF
	}
	return n, nil
}

// fill writes the next row: everything that was sent at the next moment. False
// at the end.
func (t *seriesTable) fill() bool {
	first := -1
	for i, s := range t.list {
		if t.next[i] < len(s.Time) && (first < 0 || cmp.Less(s.Time[t.next[i]], t.list[first].Time[t.next[first]])) {
			first = i
		}
	}
	if first < 0 {
		return false
	}
	at := t.list[first].Time[t.next[first]]
	t.row = strconv.AppendFloat(t.row[:0], at, 'f', 6, 64)
	for i, s := range t.list {
		t.row = append(t.row, ';')
		if k := t.next[i]; k < len(s.Time) && s.Time[k] <= at+timeUnit/2 {
			t.row = strconv.AppendFloat(t.row, s.Value[k], 'g', -1, 64)
			t.next[i]++
		}
	}
	t.row = append(t.row, '\n')
	t.rest = t.row
	return true
}
