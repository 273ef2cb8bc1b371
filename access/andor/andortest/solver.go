package andortest

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"

	"elbowroom/access/andor"
)

// Answer is what a general-purpose solver says about a problem.
type Answer struct {
	Proved bool    // the solver says that Cost is the optimum
	Found  bool    // Cost is the cost of a solution
	Cost   float64 // in the unit of the problem
	Bound  float64 // lower bound if the solver printed one, else 0
	Took   time.Duration
}

// Solver runs one general-purpose solver as a process.
type Solver struct {
	Name     string
	Programs []string // that must be installed
	run      func(ctx context.Context, dir string, p *andor.Problem, limit time.Duration) (Answer, error)
}

// Solvers lists the solvers of the Debian packages glpk-utils, coinor-cbc,
// and gringo with clasp.
func Solvers() []Solver {
	return []Solver{
		{"cbc", []string{"cbc"}, runCBC},
		{"glpk", []string{"glpsol"}, runGLPK},
		{"clasp", []string{"gringo", "clasp"}, runClasp},
	}
}

// Installed returns an error that names what is missing.
func (s Solver) Installed() error {
	for _, program := range s.Programs {
		if _, err := exec.LookPath(program); err != nil {
			return fmt.Errorf("solver %s: %w; install glpk-utils, coinor-cbc, gringo and clasp", s.Name, err)
		}
	}
	return nil
}

// Run writes p to a file in dir and solves it, for at most about limit. Took
// covers the solver processes only, not the writing.
func (s Solver) Run(ctx context.Context, dir string, p *andor.Problem, limit time.Duration) (Answer, error) {
	if err := s.Installed(); err != nil {
		return Answer{}, err
	}
	return s.run(ctx, dir, p, limit)
}

// graceful is how much longer than its own limit a process may take.
const graceful = 10 * time.Second

func command(ctx context.Context, limit time.Duration, name string, args ...string) ([]byte, time.Duration, error) {
	ctx, cancel := context.WithTimeout(ctx, limit+graceful)
	defer cancel()
	start := time.Now()
	out, err := exec.CommandContext(ctx, name, args...).Output()
	return out, time.Since(start), err
}

func seconds(d time.Duration) string { return strconv.Itoa(max(1, int(d.Seconds()+0.5))) }

func writeMPS(dir string, p *andor.Problem) (string, error) {
	var b bytes.Buffer
	if err := andor.WriteMPS(&b, p); err != nil {
		return "", err
	}
	path := filepath.Join(dir, "problem.mps")
	return path, os.WriteFile(path, b.Bytes(), 0o600)
}

var number = regexp.MustCompile(`-?[0-9.]+(e[+-]?[0-9]+)?`)

// after returns the first number on the last line of text that contains mark.
func after(text, mark string) (float64, bool) {
	i := strings.LastIndex(text, mark)
	if i < 0 {
		return 0, false
	}
	line, _, _ := strings.Cut(text[i+len(mark):], "\n")
	v, err := strconv.ParseFloat(number.FindString(line), 64)
	return v, err == nil
}

func runCBC(ctx context.Context, dir string, p *andor.Problem, limit time.Duration) (Answer, error) {
	path, err := writeMPS(dir, p)
	if err != nil {
		return Answer{}, err
	}
	out, took, err := command(ctx, limit, "cbc", path, "timemode", "elapsed", "sec", seconds(limit), "solve", "quit")
	if err != nil && ctx.Err() == nil && len(out) == 0 {
		return Answer{}, fmt.Errorf("cbc: %w", err)
	}
	text := string(out)
	a := Answer{Took: took}
	a.Cost, a.Found = after(text, "Objective value:")
	a.Proved = a.Found && strings.Contains(text, "Result - Optimal solution found")
	a.Bound, _ = after(text, "Lower bound:")
	return a.settled(), nil
}

// settled sets the bound of a proved answer.
func (a Answer) settled() Answer {
	if a.Proved {
		a.Bound = a.Cost
	}
	return a
}

func runGLPK(ctx context.Context, dir string, p *andor.Problem, limit time.Duration) (Answer, error) {
	path, err := writeMPS(dir, p)
	if err != nil {
		return Answer{}, err
	}
	report := filepath.Join(dir, "glpk.txt")
	if err := os.WriteFile(report, nil, 0o600); err != nil {
		return Answer{}, err
	}
	_, took, err := command(ctx, limit, "glpsol", "--freemps", path, "--cuts", "--tmlim", seconds(limit), "-o", report)
	if err != nil && ctx.Err() == nil && took < limit {
		return Answer{}, fmt.Errorf("glpsol: %w", err)
	}
	text, err := os.ReadFile(report)
	if errors.Is(err, fs.ErrNotExist) {
		return Answer{Took: took}, nil // stopped after it had removed the old report and before it wrote one
	}
	if err != nil {
		return Answer{}, err
	}
	a := Answer{Took: took}
	a.Proved = strings.Contains(string(text), "INTEGER OPTIMAL")
	a.Found = a.Proved || strings.Contains(string(text), "INTEGER NON-OPTIMAL")
	a.Cost, _ = after(string(text), "cost =")
	return a.settled(), nil
}

func runClasp(ctx context.Context, dir string, p *andor.Problem, limit time.Duration) (Answer, error) {
	grain := writtenGrain(p)
	source, grounded := filepath.Join(dir, "problem.lp"), filepath.Join(dir, "problem.aspif")
	if err := os.WriteFile(source, program(p, grain), 0o600); err != nil {
		return Answer{}, err
	}
	ground, took, err := command(ctx, limit, "gringo", source)
	if err != nil {
		return Answer{}, fmt.Errorf("gringo: %w", err)
	}
	if err := os.WriteFile(grounded, ground, 0o600); err != nil {
		return Answer{}, err
	}
	// clasp tells its outcome by the exit status; what it prints is enough.
	out, more, _ := command(ctx, limit, "clasp", "--quiet=1", "--time-limit="+seconds(limit), grounded)
	a := Answer{Took: took + more, Proved: bytes.Contains(out, []byte("OPTIMUM FOUND"))}
	a.Cost, a.Found = after(string(out), "Optimization :")
	if !a.Found {
		a.Cost, a.Found = after(string(out), "Optimization:")
	}
	a.Cost *= float64(grain)
	return a.settled(), nil
}

// writtenGrain is the largest common divisor of the costs, so that clasp gets
// the small weights it needs.
func writtenGrain(p *andor.Problem) int64 {
	g := int64(0)
	for _, op := range p.Ops {
		for c := op.Cost; c != 0; {
			g, c = c, g%c
		}
	}
	return max(1, g)
}

// program states p as a logic program: an op may be used when its
// preconditions hold, and what it adds holds then.
func program(p *andor.Problem, grain int64) []byte {
	var b bytes.Buffer
	w := bufio.NewWriter(&b)
	for _, f := range p.Start {
		fmt.Fprintf(w, "f(%d).\n", f)
	}
	for a, op := range p.Ops {
		fmt.Fprintf(w, "{u(%d)}", a)
		for k, f := range op.Pre {
			fmt.Fprintf(w, "%s f(%d)", map[bool]string{true: " :-", false: ","}[k == 0], f)
		}
		fmt.Fprint(w, ".\n")
		for _, f := range op.Add {
			fmt.Fprintf(w, "f(%d) :- u(%d).\n", f, a)
		}
		fmt.Fprintf(w, "#minimize{%d,%d : u(%d)}.\n", op.Cost/grain, a, a)
	}
	for _, f := range p.Goals {
		fmt.Fprintf(w, ":- not f(%d).\n", f)
	}
	w.Flush()
	return b.Bytes()
}
