package joblog

import (
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// PlanTaken says that the job follows this plan from now on: the pinned
// revision of the guide, what was asked, and the steps.
type PlanTaken struct {
	Pin     Pin        `json:"pin"`
	Request Request    `json:"request"`
	Steps   []PlanStep `json:"steps"`
}

// Request is a plan.Request as it is stored.
type Request struct {
	Tasks     []Task         `json:"tasks,omitempty"`
	Variant   []string       `json:"variant,omitempty"` // "LHD", "drive=LHD"
	Found     []Standing     `json:"found,omitempty"`
	Given     []Setting      `json:"given,omitempty"`
	LeaveOpen []guide.ID     `json:"leave_open,omitempty"`
	Missing   []guide.ID     `json:"missing,omitempty"`
	People    int            `json:"people,omitempty"`
	By        plan.Objective `json:"by,omitempty"`
	Rate      money.PerHour  `json:"rate,omitempty"`
	WaitRate  money.PerHour  `json:"wait_rate,omitempty"`
}

// Task is a plan.Task as it is stored.
type Task struct {
	Verb   guide.Verb `json:"verb"`
	On     guide.ID   `json:"on"`
	Before bool       `json:"before,omitempty"`
	Proof  bool       `json:"proof,omitempty"`
	After  []int      `json:"after,omitempty"` // counted from 0, as in plan.Task
}

// Standing is a plan.Standing as it is stored.
type Standing struct {
	Item guide.ID `json:"item"`
	Off  bool     `json:"off,omitempty"`
}

// Setting is a plan.Setting as it is stored.
type Setting struct {
	Condition guide.ID `json:"condition"`
	Value     guide.ID `json:"value"`
}

// PlanStep is a plan.Step as it is stored, times in whole milliseconds.
type PlanStep struct {
	Kind      plan.StepKind `json:"kind"`
	Phase     plan.Phase    `json:"phase"`
	Item      guide.ID      `json:"item,omitempty"`
	Verb      guide.Verb    `json:"verb,omitempty"`
	Way       int           `json:"way"`
	Task      int           `json:"task"`
	Condition guide.ID      `json:"condition,omitempty"`
	From      guide.ID      `json:"from,omitempty"`
	To        guide.ID      `json:"to,omitempty"`
	Change    int           `json:"change"`
	Place     guide.ID      `json:"place,omitempty"`
	Tool      guide.ID      `json:"tool,omitempty"`
	Hands     int64         `json:"hands_ms,omitempty"`
	Setup     int64         `json:"setup_ms,omitempty"`
	Wait      int64         `json:"wait_ms,omitempty"`
}

// Act is one thing done, apart from any plan. Indexes count from 0 as in the
// guide (Way in Ways of the resolved item or check, Change in Changes of the
// condition); Way -1 is the way of a check that has none.
type Act struct {
	Kind      plan.StepKind `json:"kind"`
	Item      guide.ID      `json:"item,omitempty"` // clear and refit: the item; do: what the task is on
	Verb      guide.Verb    `json:"verb,omitempty"` // do: the verb of the task
	Way       int           `json:"way"`
	Condition guide.ID      `json:"condition,omitempty"`
	Change    int           `json:"change"`
}

// TakePlan returns the body of the event that takes a plan made for req from
// the guide that pin names.
func TakePlan(pin Pin, req plan.Request, p plan.Plan) *PlanTaken {
	t := &PlanTaken{Pin: pin, Request: storeRequest(req)}
	for _, s := range p.Steps {
		t.Steps = append(t.Steps, PlanStep{
			Kind: s.Kind, Phase: s.Phase, Item: s.Item, Verb: s.Verb, Way: s.Way, Task: s.Task,
			Condition: s.Condition, From: s.From, To: s.To, Change: s.Change, Place: s.Place, Tool: s.Tool,
			Hands: s.Hands.Milliseconds(), Setup: s.Setup.Milliseconds(), Wait: s.Wait.Milliseconds(),
		})
	}
	return t
}

func storeRequest(req plan.Request) Request {
	r := Request{
		LeaveOpen: req.LeaveOpen, Missing: req.Missing, People: req.People,
		By: req.By, Rate: req.Rate, WaitRate: req.WaitRate,
	}
	for _, t := range req.Tasks {
		r.Tasks = append(r.Tasks, Task(t))
	}
	for _, c := range req.Variant {
		r.Variant = append(r.Variant, c.String())
	}
	for _, s := range req.Found {
		r.Found = append(r.Found, Standing(s))
	}
	for _, s := range req.Given {
		r.Given = append(r.Given, Setting(s))
	}
	return r
}

// Plan returns the steps as package plan has them.
func (t *PlanTaken) Plan() []plan.Step {
	ms := func(n int64) time.Duration { return time.Duration(n) * time.Millisecond }
	steps := make([]plan.Step, len(t.Steps))
	for i, s := range t.Steps {
		steps[i] = plan.Step{
			Kind: s.Kind, Phase: s.Phase, Item: s.Item, Verb: s.Verb, Way: s.Way, Task: s.Task,
			Condition: s.Condition, From: s.From, To: s.To, Change: s.Change, Place: s.Place, Tool: s.Tool,
			Hands: ms(s.Hands), Setup: ms(s.Setup), Wait: ms(s.Wait),
		}
	}
	return steps
}

// Asked returns the request as package plan has it. The error tells which
// variant cannot be read.
func (t *PlanTaken) Asked() (plan.Request, error) {
	r := t.Request
	req := plan.Request{
		LeaveOpen: r.LeaveOpen, Missing: r.Missing, People: r.People, By: r.By, Rate: r.Rate, WaitRate: r.WaitRate,
	}
	for _, task := range r.Tasks {
		req.Tasks = append(req.Tasks, plan.Task(task))
	}
	for _, text := range r.Variant {
		s, err := guide.Parse[guide.Selector](text)
		if err != nil {
			return req, err
		}
		req.Variant = append(req.Variant, s...)
	}
	for _, s := range r.Found {
		req.Found = append(req.Found, plan.Standing(s))
	}
	for _, s := range r.Given {
		req.Given = append(req.Given, plan.Setting(s))
	}
	return req, nil
}

// act returns what step i does, apart from the plan.
func (t *PlanTaken) act(i int) Act {
	s := t.Steps[i]
	a := Act{Kind: s.Kind, Item: s.Item, Way: s.Way, Condition: s.Condition, Change: s.Change}
	if s.Kind == plan.Do && s.Task >= 0 && s.Task < len(t.Request.Tasks) {
		a.Item, a.Verb = t.Request.Tasks[s.Task].On, t.Request.Tasks[s.Task].Verb
	}
	return a
}
