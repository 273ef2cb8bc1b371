// Command record measures how fast a recording of a gigabyte is read, next to
// the readers of tables that a Go program could use instead.
//
//	go run . -bytes 1000000000 -repeat 5
//
// It writes a seeded table of 30 numeric channels into a temporary directory
// and lets each contestant, in a process of its own and in turn, read it, turn
// every cell into a float64 and find the least, the most and the mean of every
// channel. The results must agree; times, processor times and peak memory are
// printed, and the ratios to this program's reader. Elbowroom finds the
// stretches of two questions on top, as it does in use; the others do not.
//
// It is a module of its own so that the database and the table readers, which
// nothing but this comparison needs, are no dependencies of the program.
package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"
)

// tolerance of a mean against another way of summing up, relative to the
// larger of the mean and the range.
const tolerance = 1e-9

// channel is what a contestant found of one channel.
type channel struct {
	N                 int64
	Least, Most, Mean float64
}

// run is one measured run of a contestant.
type run struct {
	wall, cpu time.Duration
	memory    int64 // bytes, most resident
}

func main() {
	bytes := flag.Int64("bytes", 1_000_000_000, "size of the table")
	repeat := flag.Int("repeat", 5, "rounds")
	only := flag.String("only", "", "names of contestants, parted by commas; empty: all")
	child := flag.String("child", "", "run one contestant on a file and print what it found")
	file := flag.String("file", "", "the table, for -child")
	wide := flag.Bool("wide", false, "read a table of a million columns instead and print the memory that took")
	flag.Parse()
	if *wide {
		*child = "wide"
	}
	if err := start(*bytes, *repeat, *only, *child, *file); err != nil {
		fmt.Fprintln(os.Stderr, "record:", err)
		os.Exit(1)
	}
}

func start(bytes int64, repeat int, only, child, file string) error {
	if child == "wide" {
		return readWide()
	}
	if child != "" {
		return runChild(child, file)
	}
	dir, err := os.MkdirTemp("", "elbowroom-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	file = filepath.Join(dir, "table.csv")
	rows, size, err := generate(file, bytes)
	if err != nil {
		return err
	}
	fmt.Printf("%d rows of %d channels, %d bytes\n", rows, channels, size)
	return compare(file, size, rows, repeat, only)
}

// runChild runs one contestant in this process.
func runChild(name, file string) error {
	for _, c := range every() {
		if c.name == name {
			found, err := c.run(file)
			if err != nil {
				return err
			}
			return json.NewEncoder(os.Stdout).Encode(found)
		}
	}
	return fmt.Errorf("no contestant %q", name)
}

// compare runs every contestant in turn, several rounds, and prints the table.
func compare(file string, size, rows int64, repeat int, only string) error {
	chosen := every()
	if only != "" {
		chosen = slices.DeleteFunc(every(), func(c contestant) bool { return !slices.Contains(strings.Split(only, ","), c.name) })
	}
	runs := make([][]run, len(chosen))
	var want []channel
	for round := range repeat {
		for i := range chosen {
			c := chosen[(i+round)%len(chosen)]
			found, r, err := measure(c.name, file)
			if err != nil {
				return fmt.Errorf("%s: %w", c.name, err)
			}
			if want == nil {
				want = found
			}
			if err := same(want, found, rows); err != nil {
				return fmt.Errorf("%s: %w", c.name, err)
			}
			at := (i + round) % len(chosen)
			runs[at] = append(runs[at], r)
		}
	}
	printTable(chosen, runs, size)
	return nil
}

// measure runs one contestant in a process of its own.
func measure(name, file string) ([]channel, run, error) {
	cmd := exec.Command(os.Args[0], "-child", name, "-file", file)
	cmd.Stderr = os.Stderr
	began := time.Now()
	out, err := cmd.Output()
	r := run{wall: time.Since(began)}
	if err != nil {
		return nil, r, err
	}
	r.cpu = cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
	if usage, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
		r.memory = usage.Maxrss * 1024
	}
	var found []channel
	return found, r, jsonTo(out, &found)
}

func jsonTo(out []byte, to *[]channel) error { return json.Unmarshal(out, to) }

// same checks what a contestant found against the first.
func same(want, found []channel, rows int64) error {
	if len(found) != channels || len(want) != channels {
		return fmt.Errorf("%d channels, want %d", len(found), channels)
	}
	for i := range want {
		w, f := want[i], found[i]
		scale := max(math.Abs(w.Mean), w.Most-w.Least)
		if f.N != rows || f.Least != w.Least || f.Most != w.Most || !(math.Abs(f.Mean-w.Mean) <= tolerance*scale) {
			return fmt.Errorf("channel %d: found %+v, the first found %+v", i, f, w)
		}
	}
	return nil
}

func printTable(chosen []contestant, runs [][]run, size int64) {
	fmt.Printf("%-34s %9s %9s %9s %9s %8s %9s %9s\n", "contestant", "median s", "best s", "MB/s med", "MB/s best", "cpu s", "peak MB", "÷ first")
	first := median(runs[0])
	for i, c := range chosen {
		m := median(runs[i])
		best := slices.MinFunc(runs[i], func(a, b run) int { return int(a.wall - b.wall) }).wall
		var cpu []time.Duration
		var memory int64
		for _, r := range runs[i] {
			cpu = append(cpu, r.cpu)
			memory = max(memory, r.memory)
		}
		slices.Sort(cpu)
		mb := float64(size) / 1e6
		fmt.Printf("%-34s %9.2f %9.2f %9.0f %9.0f %8.2f %9.0f %9.2f\n", c.name, m.Seconds(), best.Seconds(),
			mb/m.Seconds(), mb/best.Seconds(), cpu[len(cpu)/2].Seconds(), float64(memory)/1e6, m.Seconds()/first.Seconds())
	}
}

func median(runs []run) time.Duration {
	var walls []time.Duration
	for _, r := range runs {
		walls = append(walls, r.wall)
	}
	slices.Sort(walls)
	return walls[len(walls)/2]
}
