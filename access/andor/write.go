package andor

import (
	"bufio"
	"fmt"
	"io"
)

// WriteMPS writes p as an integer program in free MPS format, whose optimum is
// that of p, also on graphs with cycles. Variable x<a> says that op a is used,
// y<f> that fact f is made to hold, t<f> gives the order of facts that could
// otherwise hold each other up in a circle. With names given, names[a] is
// written in a comment next to op a. The error is that of [Problem.Check] or
// of w.
func WriteMPS(w io.Writer, p *Problem, names ...string) error {
	m, err := newProgram(p, names)
	if err != nil {
		return err
	}
	b := bufio.NewWriter(w)
	m.writeMPS(b)
	return b.Flush()
}

// WriteLP writes the same program as [WriteMPS] in the CPLEX LP format.
func WriteLP(w io.Writer, p *Problem, names ...string) error {
	m, err := newProgram(p, names)
	if err != nil {
		return err
	}
	b := bufio.NewWriter(w)
	m.writeLP(b)
	return b.Flush()
}

// program is a minimisation over columns with rows that are at least rhs.
type program struct {
	column  []column
	row     []row
	comment []string
}

type column struct {
	name    string
	cost    int64
	upper   int64
	integer bool
}

type term struct {
	column int
	factor int64
}

type row struct {
	terms []term
	least int64
}

// newProgram states: a fact holds only if an op that adds it is used, an op is
// used only if its preconditions hold, and within a group of facts that need
// each other an op is used only in the order of t.
func newProgram(p *Problem, names []string) (*program, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	n := newNet(newGraph(p), &Query{Goals: p.Goals})
	m := &program{}
	if len(n.unreachable) > 0 {
		m.column = []column{{name: "unreachable", upper: 1}}
		m.row = []row{{terms: []term{{0, 1}}, least: 2}}
		m.comment = []string{fmt.Sprintf("goals %v cannot be reached", n.unreachable)}
		return m, nil
	}
	m.ops(n, names)
	m.facts(n)
	m.order(n)
	return m, nil
}

func (m *program) ops(n *net, names []string) {
	aux := 0
	for a := range n.cost {
		name := ""
		if len(n.parts[a]) == 0 {
			name = fmt.Sprintf("z%d", aux)
			aux++
		} else {
			name = fmt.Sprintf("x%d", n.parts[a][0])
			if i := int(n.parts[a][0]); i < len(names) {
				m.comment = append(m.comment, fmt.Sprintf("%s %q", name, names[i]))
			}
		}
		m.column = append(m.column, column{name: name, cost: n.cost[a], upper: 1, integer: true})
	}
}

func (m *program) facts(n *net) {
	ops := len(n.cost)
	for f := range n.facts {
		m.column = append(m.column, column{name: fmt.Sprintf("y%d", f), upper: 1})
		r := row{terms: []term{{ops + f, -1}}}
		for _, a := range n.makes.of(int32(f)) {
			r.terms = append(r.terms, term{int(a), 1})
		}
		m.row = append(m.row, r)
	}
	for a := range ops {
		for _, f := range n.pre.of(int32(a)) {
			m.row = append(m.row, row{terms: []term{{ops + int(f), 1}, {a, -1}}})
		}
	}
	m.row = append(m.row, row{terms: []term{{ops + int(n.goal), 1}}, least: 1})
}

// order adds t[add] >= t[pre] + 1 - size*(1-x) for ops inside a group.
func (m *program) order(n *net) {
	group := n.groups()
	size := make([]int64, n.facts+1)
	for _, c := range group {
		size[c]++
	}
	position := make([]int, n.facts)
	for f := range n.facts {
		if size[group[f]] > 1 {
			position[f] = len(m.column)
			m.column = append(m.column, column{name: fmt.Sprintf("t%d", f), upper: size[group[f]] - 1})
		}
	}
	for a := range n.cost {
		f := n.adds[a]
		for _, p := range n.pre.of(int32(a)) {
			if group[p] != group[f] {
				continue
			}
			k := size[group[f]]
			r := row{terms: []term{{a, -k}}, least: 1 - k}
			if p != f {
				r.terms = append(r.terms, term{position[f], 1}, term{position[p], -1})
			}
			m.row = append(m.row, r)
		}
	}
}

// groups numbers the strongly connected components of the facts.
func (n *net) groups() []int32 {
	return components(n.facts, []int32{n.goal}, func(f int32, visit func(int32)) {
		for _, a := range n.makes.of(f) {
			for _, p := range n.pre.of(a) {
				visit(p)
			}
		}
	})
}

func (m *program) writeMPS(b *bufio.Writer) {
	for _, c := range m.comment {
		fmt.Fprintf(b, "* %s\n", c)
	}
	fmt.Fprint(b, "NAME andor\nROWS\n N  cost\n")
	inColumn := make([][]term, len(m.column))
	for i, r := range m.row {
		fmt.Fprintf(b, " G  r%d\n", i)
		for _, t := range r.terms {
			inColumn[t.column] = append(inColumn[t.column], term{i, t.factor})
		}
	}
	fmt.Fprint(b, "COLUMNS\n")
	integer := false
	for j, c := range m.column {
		if c.integer != integer {
			integer = c.integer
			fmt.Fprintf(b, "    MARKER                 'MARKER'                 '%s'\n", marker(integer))
		}
		fmt.Fprintf(b, "    %-8s  cost      %12d\n", c.name, c.cost)
		for _, t := range inColumn[j] {
			fmt.Fprintf(b, "    %-8s  r%-8d %12d\n", c.name, t.column, t.factor)
		}
	}
	fmt.Fprint(b, "RHS\n")
	for i, r := range m.row {
		if r.least != 0 {
			fmt.Fprintf(b, "    RHS       r%-8d %12d\n", i, r.least)
		}
	}
	fmt.Fprint(b, "BOUNDS\n")
	for _, c := range m.column {
		fmt.Fprintf(b, " UP BND       %-8s  %12d\n", c.name, c.upper)
	}
	fmt.Fprint(b, "ENDATA\n")
}

func marker(integer bool) string {
	if integer {
		return "INTORG"
	}
	return "INTEND"
}

func (m *program) writeLP(b *bufio.Writer) {
	for _, c := range m.comment {
		fmt.Fprintf(b, "\\ %s\n", c)
	}
	fmt.Fprint(b, "Minimize\n cost:")
	for _, c := range m.column {
		fmt.Fprintf(b, "\n + %d %s", c.cost, c.name)
	}
	fmt.Fprint(b, "\nSubject To\n")
	for i, r := range m.row {
		fmt.Fprintf(b, " r%d:", i)
		for _, t := range r.terms {
			fmt.Fprintf(b, " %+d %s", t.factor, m.column[t.column].name)
		}
		fmt.Fprintf(b, " >= %d\n", r.least)
	}
	fmt.Fprint(b, "Bounds\n")
	for _, c := range m.column {
		fmt.Fprintf(b, " 0 <= %s <= %d\n", c.name, c.upper)
	}
	fmt.Fprint(b, "Generals\n")
	for _, c := range m.column {
		if c.integer {
			fmt.Fprintf(b, " %s\n", c.name)
		}
	}
	fmt.Fprint(b, "End\n")
}
