package access

import (
	"bufio"
	"errors"
	"fmt"
	"io"

	"elbowroom/plan"
)

// ErrTooLarge is wrapped when a request has too many states to be written out.
var ErrTooLarge = errors.New("too many states to write out")

// maxWritten is the largest number of states that WriteFullLP writes.
const maxWritten = 50_000

// WriteFullLP writes the whole problem of a small request, order, set-ups and
// waits included, as a linear program in the CPLEX LP format: one unit flows
// from the state at the start, over the steps, to a state in which the visit
// may end. Its optimum, times the unit that the comment at the top names, is
// the cost of the best plan. The error is an *InputError, wraps ErrTooLarge, or
// is that of w. A request without any plan gives a program without a solution.
func (p *Planner) WriteFullLP(w io.Writer, req plan.Request) error {
	if err := p.check(req); err != nil {
		return err
	}
	f := newFlow(newMachine(p.compile(req, false).m))
	if err := f.explore(); err != nil {
		return err
	}
	b := bufio.NewWriter(w)
	f.write(b)
	return b.Flush()
}

// flow is the graph of all states that steps can lead to.
type flow struct {
	e     *search // for the list of acts and the memory of states
	edges []edge
	ends  []int32
	unit  int64
}

type edge struct {
	from, to int32
	cost     int64
}

func newFlow(w *machine) *flow {
	return &flow{e: &search{w: w, at: map[uint64]int32{}, spare: make(state, w.size), cur: make(state, w.size)}}
}

// explore meets every state.
func (f *flow) explore() error {
	e := f.e
	e.listActs()
	f.meet(e.w.first())
	for n := int32(0); int(n) < len(e.next); n++ {
		if len(e.next) > maxWritten {
			return fmt.Errorf("%w: more than %d", ErrTooLarge, maxWritten)
		}
		copy(e.cur, e.state(n))
		if e.w.atEnd(e.cur) {
			f.ends = append(f.ends, n)
		}
		for _, a := range e.acts {
			if p, ok := e.w.try(e.cur, e.spare, a); ok {
				to := f.meet(e.spare)
				f.edges = append(f.edges, edge{n, to, p.objective})
				f.unit = gcd(f.unit, p.objective)
			}
		}
	}
	f.unit = max(f.unit, 1)
	return nil
}

// meet returns the number of a state, a new one when it has not been met.
func (f *flow) meet(s state) int32 {
	e := f.e
	h := hash(s)
	first, known := e.at[h]
	if !known {
		first = none
	}
	for n := first; n != none; n = e.next[n] {
		if equalStates(e.state(n), s) {
			return n
		}
	}
	n := int32(len(e.next))
	e.states = append(e.states, s...)
	e.next = append(e.next, first)
	e.at[h] = n
	return n
}

func equalStates(a, b state) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

func (f *flow) write(b *bufio.Writer) {
	fmt.Fprintf(b, "\\ The whole problem as a flow over %d states and %d steps: order, set-ups and waits are in it.\n", len(f.e.next), len(f.edges))
	fmt.Fprintf(b, "\\ Objective of the plan = %d * (optimum of this program) + 0.\n", f.unit)
	fmt.Fprint(b, "Minimize\n cost: 0 x0")
	balance := make([][]int, len(f.e.next)) // +edge leaves, -edge-1 enters
	for i, k := range f.edges {
		if k.cost > 0 {
			fmt.Fprintf(b, "\n + %d s%d", k.cost/f.unit, i)
		}
		balance[k.from] = append(balance[k.from], i)
		balance[k.to] = append(balance[k.to], -i-1)
	}
	fmt.Fprint(b, "\nSubject To\n start: x0 = 1\n")
	ends := map[int32]bool{}
	for _, n := range f.ends {
		ends[n] = true
	}
	for n, list := range balance {
		fmt.Fprintf(b, " n%d:", n)
		if n == 0 {
			fmt.Fprint(b, " - x0")
		}
		for _, i := range list {
			if i >= 0 {
				fmt.Fprintf(b, " + s%d", i)
			} else {
				fmt.Fprintf(b, " - s%d", -i-1)
			}
		}
		if ends[int32(n)] {
			fmt.Fprintf(b, " + e%d", n)
		}
		if n > 0 && len(list) == 0 && !ends[int32(n)] {
			fmt.Fprint(b, " 0 x0")
		}
		fmt.Fprint(b, " = 0\n")
	}
	fmt.Fprint(b, "End\n")
}
