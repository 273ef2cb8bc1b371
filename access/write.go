package access

import (
	"fmt"
	"io"
	"strings"

	"elbowroom/access/andor"
	"elbowroom/plan"
)

// WriteMPS writes the choice behind a request as an integer program in free
// MPS format, for any general-purpose solver to confirm. Its optimum, times
// the unit and plus the constant that the comment at the top names, is the
// bound of the choice: the cost of the best plan whenever order costs nothing.
// The error is an *InputError or that of w.
func (p *Planner) WriteMPS(w io.Writer, req plan.Request) error {
	return p.writeChoice(w, req, "* ", andor.WriteMPS)
}

// WriteLP writes the same program as WriteMPS in the CPLEX LP format.
func (p *Planner) WriteLP(w io.Writer, req plan.Request) error {
	return p.writeChoice(w, req, "\\ ", andor.WriteLP)
}

func (p *Planner) writeChoice(w io.Writer, req plan.Request, comment string, write func(io.Writer, *andor.Problem, ...string) error) error {
	if err := p.check(req); err != nil {
		return err
	}
	m := newMachine(p.compile(req, false).m)
	x, err := m.relax(false)
	if err != nil {
		return err
	}
	s := m.first()
	q := x.query(s)
	prob := x.prob
	prob.Start, prob.Goals = q.Start, q.Goals
	head := choiceHead(req, x.unit, x.base(s))
	if _, err := io.WriteString(w, comment+strings.ReplaceAll(head, "\n", "\n"+comment)+"\n"); err != nil {
		return err
	}
	names := make([]string, len(x.ops))
	for n := range x.ops {
		names[n] = x.words(int32(n))
	}
	return write(w, &prob, names...)
}

// choiceHead says what the program is and what it leaves out.
func choiceHead(req plan.Request, unit, base int64) string {
	by := "money: 3600000 units of the objective are one minor unit"
	if req.By == plan.ByMinutes {
		by = "minutes: one unit of the objective is a millisecond"
	}
	var tasks []string
	for _, t := range req.Tasks {
		tasks = append(tasks, t.String())
	}
	lines := []string{
		"The choice of ways for: " + strings.Join(tasks, " "),
		"Objective: " + by + ".",
		fmt.Sprintf("Objective of the plan = %d * (optimum of this program) + %d.", unit, base),
		"In it: which items to clear by which ways (with the refit), which conditions to change (with the way back), the ways of the tasks, hire, parts, fluids and risk.",
		"Not in it: the order of steps, changes of place and tool, waiting, and what must be fitted while something else is off.",
		"A plan costs at least this much, and no more when order costs nothing.",
	}
	if base >= far {
		lines = append(lines, "A condition cannot come to its end: there is no plan.")
	}
	return strings.Join(lines, "\n")
}

// words names an operation in a comment.
func (x *relaxation) words(n int32) string {
	m := x.w.model
	switch r := x.ops[n]; r.kind {
	case opChange:
		h := &m.changes[r.n]
		c := &m.conds[h.cond]
		return fmt.Sprintf("%s %s to %s", c.id, c.values[h.from], c.values[h.to])
	case opHire:
		return "hire " + string(m.hires[r.n].tool)
	case opRefit, opBack:
		y := &m.ways[r.n]
		return fmt.Sprintf("refit %s by way %d", y.owner, y.index)
	case opGo, opTake:
		return "set-up"
	default:
		y := &m.ways[r.n]
		return fmt.Sprintf("%s %s by way %d", y.verb, y.owner, y.index)
	}
}
