// Command compare measures package andor on drawn problems and, in the same
// run, the general-purpose solvers that are installed, on the same problems.
//
// It prints one table: per family and size the median and worst time, how many
// were proved within the limit, and the worst gap left. A second table gives
// the same for each solver with how often its bound was better than ours, and
// its time on a trivial problem, which is what starting the process costs.
//
//	go run ./access/andor/andortest/cmd/compare -items 30,100,300 -seeds 20 -limit 60s
//
// By default only fresh seeds are drawn, which were not used for tuning. The
// exit status is 1 when an answer contradicts that of a solver, or a solver
// that is asked for is missing.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"elbowroom/access/andor"
	"elbowroom/access/andor/andortest"
)

func main() {
	items := flag.String("items", "30,100,300", "sizes, separated by commas")
	family := flag.String("family", "", "only this family: engine-like or hard")
	seeds := flag.Int("seeds", 20, "problems per family and size")
	first := flag.Uint64("first", andortest.FreshSeeds, "first seed")
	limit := flag.Duration("limit", 60*time.Second, "time limit for each problem and solver")
	solvers := flag.String("solvers", "cbc,glpk,clasp", "solvers to compare with, separated by commas; none if empty")
	flag.Parse()
	c := comparison{limit: *limit, seeds: *seeds, first: *first}
	if err := c.choose(*solvers); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	fmt.Printf("%d seeds from %d, limit %v each\n", *seeds, *first, *limit)
	for _, f := range andortest.Families() {
		if *family != "" && f.Name != *family {
			continue
		}
		for _, word := range strings.Split(*items, ",") {
			n, err := strconv.Atoi(word)
			if err != nil || n < 1 {
				fmt.Fprintf(os.Stderr, "-items: %q is not a number of items\n", word)
				os.Exit(1)
			}
			c.compare(f, n)
		}
	}
	if c.contradictions > 0 {
		fmt.Fprintf(os.Stderr, "%d answers contradict a solver\n", c.contradictions)
		os.Exit(1)
	}
}

type comparison struct {
	limit          time.Duration
	seeds          int
	first          uint64
	solvers        []andortest.Solver
	contradictions int
}

// choose picks the solvers by name and measures what starting them costs.
func (c *comparison) choose(names string) error {
	for _, s := range andortest.Solvers() {
		if !slices.Contains(strings.Split(names, ","), s.Name) {
			continue
		}
		trivial := &andor.Problem{Facts: 1, Ops: []andor.Op{{Cost: 1, Add: []int32{0}}}, Goals: []int32{0}}
		var m measures
		for range 5 {
			a, err := c.run(s, trivial)
			if err != nil {
				return err
			}
			m.add(a.Took, a.Proved)
		}
		fmt.Printf("%s on a trivial problem: %s\n", s.Name, m)
		c.solvers = append(c.solvers, s)
	}
	return nil
}

func (c *comparison) run(s andortest.Solver, p *andor.Problem) (andortest.Answer, error) {
	dir, err := os.MkdirTemp("", "compare")
	if err != nil {
		return andortest.Answer{}, err
	}
	defer os.RemoveAll(dir)
	return s.Run(context.Background(), dir, p, c.limit)
}

// compare prints the lines of one family and size.
func (c *comparison) compare(f andortest.Family, items int) {
	var own measures
	own.gap = make([]float64, 0, c.seeds)
	theirs := make([]measures, len(c.solvers))
	ratios := make([]float64, 0, c.seeds)
	for k := range c.seeds {
		p := f.Draw(items, c.first+uint64(k))
		start := time.Now()
		end := start.Add(c.limit)
		got := andor.Solve(p, andor.Limits{Stop: func() bool { return time.Now().After(end) }})
		took := time.Since(start)
		own.add(took, got.Outcome == andor.Optimal)
		own.gap = append(own.gap, gap(got.Cost, got.Bound))
		best := time.Duration(0)
		for i, s := range c.solvers {
			a, err := c.run(s, p)
			if err != nil {
				fmt.Fprintln(os.Stderr, err)
				c.contradictions++
				continue
			}
			theirs[i].add(a.Took, a.Proved)
			c.judge(f.Name, items, k, s.Name, got, a, &theirs[i])
			if a.Proved && (best == 0 || a.Took < best) {
				best = a.Took
			}
		}
		if best > 0 {
			ratios = append(ratios, float64(best)/float64(took))
		}
	}
	fmt.Printf("%-12s %5d items  own   %s  worst gap %.1f %%", f.Name, items, own, 100*slices.Max(own.gap))
	if len(ratios) > 0 {
		slices.Sort(ratios)
		fmt.Printf("  best solver / own: median %.0f, least %.1f", ratios[len(ratios)/2], ratios[0])
	}
	fmt.Println()
	for i, s := range c.solvers {
		fmt.Printf("%-24s %-6s %s  better bound %d\n", "", s.Name, theirs[i], theirs[i].better)
	}
}

// tolerance for costs that solvers print as decimals.
const tolerance = 1e-6

// judge reports contradictions between our answer and that of a solver.
func (c *comparison) judge(family string, items, k int, solver string, got andor.Result, a andortest.Answer, m *measures) {
	contradiction := a.Proved && (float64(got.Bound) > a.Cost*(1+tolerance) ||
		got.Outcome == andor.Optimal && float64(got.Cost) > a.Cost*(1+tolerance)) ||
		a.Found && float64(got.Bound) > a.Cost*(1+tolerance)
	if contradiction {
		c.contradictions++
		fmt.Fprintf(os.Stderr, "%s %d seed %d: %v cost %d bound %d, %s says %v (proved %v)\n",
			family, items, c.first+uint64(k), got.Outcome, got.Cost, got.Bound, solver, a.Cost, a.Proved)
	}
	if a.Bound > float64(got.Bound)*(1+tolerance) {
		m.better++
	}
}

func gap(cost, bound int64) float64 {
	if cost == 0 {
		return 0
	}
	return float64(cost-bound) / float64(cost)
}

// measures are the times of one solver on the problems of one line.
type measures struct {
	took   []time.Duration
	proved int
	better int
	gap    []float64
}

func (m *measures) add(took time.Duration, proved bool) {
	m.took = append(m.took, took)
	if proved {
		m.proved++
	}
}

// String gives the median, the worst and the number proved.
func (m measures) String() string {
	if len(m.took) == 0 {
		return "nothing measured"
	}
	took := slices.Clone(m.took)
	slices.Sort(took)
	ms := func(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
	return fmt.Sprintf("median %10.3f ms  worst %10.3f ms  proved %d/%d", ms(took[len(took)/2]), ms(took[len(took)-1]), m.proved, len(took))
}
