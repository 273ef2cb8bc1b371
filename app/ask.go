package app

import (
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
	"elbowroom/span"
	"elbowroom/workshop"
)

// Ask is a question about one machine or one variant of a guide, as a user
// writes it. Every field may be empty.
type Ask struct {
	Guide   string        // name of a guide; taken from the machine when empty
	Machine string        // id of a machine of the workshop
	Variant string        // "LHD", "LHD A", "drive=LHD"
	Tasks   []string      // "replace:SE13"; "check:T35"
	Before  []string      // tasks to do as the machine is found
	Proof   []string      // tasks to do when everything is back
	Order   []string      // "check:X3<replace:SE13": the first before the second
	Start   []string      // "PN03", "CO01 aside", "engine=hot"; replaces what the machine says when not nil
	Leave   []string      // items and conditions that stay open; "all"
	Missing []string      // tools that are not at hand
	People  int           // 0 means 1
	By      string        // "money" (default) or "minutes"
	Rate    string        // labour an hour, "84.00"; from the workshop when empty
	Instead int           // show this runner-up, counted from 1, instead of the best plan
	Budget  time.Duration // time for the search; 0 means DefaultBudget
}

// DefaultBudget is how long a search may take when nobody says.
const DefaultBudget = 10 * time.Second

// Limits of what is taken from a user.
const (
	maxTasks = 200
	maxText  = 200
)

// Values returns the question as the query of an address; FromValues reads it
// back.
func (q Ask) Values() url.Values {
	v := url.Values{}
	one := func(key, value string) {
		if value != "" {
			v.Set(key, value)
		}
	}
	one("guide", q.Guide)
	one("machine", q.Machine)
	one("variant", q.Variant)
	one("by", q.By)
	one("rate", q.Rate)
	if q.People > 1 {
		v.Set("people", strconv.Itoa(q.People))
	}
	if q.Instead > 0 {
		v.Set("instead", strconv.Itoa(q.Instead))
	}
	for key, list := range map[string][]string{
		"task": q.Tasks, "before": q.Before, "proof": q.Proof, "order": q.Order,
		"start": q.Start, "leave": q.Leave, "missing": q.Missing,
	} {
		if len(list) > 0 {
			v[key] = list
		}
	}
	if q.Start != nil && len(q.Start) == 0 {
		v.Set("start", "") // everything fitted, whatever the machine says
	}
	return v
}

// FromValues reads an address made by Values. Unknown keys are ignored; the
// error wraps ErrInput and names the key.
func FromValues(v url.Values) (Ask, error) {
	q := Ask{
		Guide: v.Get("guide"), Machine: v.Get("machine"), Variant: v.Get("variant"), By: v.Get("by"), Rate: v.Get("rate"),
		Tasks: words(v["task"]), Before: words(v["before"]), Proof: words(v["proof"]), Order: words(v["order"]),
		Leave: words(v["leave"]), Missing: words(v["missing"]),
	}
	if list, ok := v["start"]; ok {
		q.Start = append([]string{}, words(list)...)
	}
	if p := v.Get("people"); p != "" {
		n, err := strconv.Atoi(p)
		if err != nil || n < 1 {
			return q, fmt.Errorf("%w: people: %q is not a number of people", ErrInput, p)
		}
		q.People = n
	}
	if p := v.Get("instead"); p != "" {
		n, err := strconv.Atoi(p)
		if err != nil || n < 0 || n > mostRunnersUp {
			return q, fmt.Errorf("%w: instead: %q is not the number of a runner-up, 1 to %d", ErrInput, p, mostRunnersUp)
		}
		q.Instead = n
	}
	return q, nil
}

// words drops empty entries and trims the rest.
func words(list []string) []string {
	var out []string
	for _, s := range list {
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// setting is an Ask with the machine, guide and variant found.
type setting struct {
	loaded  *Loaded
	machine *workshop.Machine
	variant guide.Selector
	start   []string
}

func (a *App) settle(q Ask) (setting, error) {
	var s setting
	name := q.Guide
	if q.Machine != "" {
		m, err := a.Machine(q.Machine)
		if err != nil {
			return s, err
		}
		s.machine, s.variant, s.start = m, m.Variant, m.Found
		if name == "" {
			name = string(m.Guide)
		}
		if name == "" {
			return s, fmt.Errorf("%w: nothing is written down yet for %s (%s); write a guide or name one", ErrInput, m.ID, m.Name)
		}
	}
	if name == "" && len(a.guides) > 0 {
		name = a.guides[0].Name
	}
	l, err := a.Guide(name)
	if err != nil {
		return s, err
	}
	s.loaded = l
	if q.Variant != "" {
		if s.variant, err = guide.Parse[guide.Selector](q.Variant); err != nil {
			return s, fmt.Errorf("%w: variant: %w", ErrInput, err)
		}
	}
	if q.Start != nil {
		s.start = q.Start
	}
	return s, nil
}

// Request turns the question into what the planner takes. Errors wrap ErrInput
// or ErrUnknown and name the field.
func (a *App) request(q Ask, s setting, r *guide.Resolved) (plan.Request, error) {
	req := plan.Request{Variant: s.variant, People: q.People, Rate: a.rate(), WaitRate: a.waitRate(), By: plan.ByMoney}
	if len(q.Tasks)+len(q.Before)+len(q.Proof) > maxTasks {
		return req, fmt.Errorf("%w: more than %d tasks in one visit", ErrInput, maxTasks)
	}
	for _, group := range []struct {
		list          []string
		before, proof bool
	}{{q.Before, true, false}, {q.Tasks, false, false}, {q.Proof, false, true}} {
		for _, text := range group.list {
			t, err := ParseTask(r, text)
			if err != nil {
				return req, err
			}
			if i := slices.IndexFunc(req.Tasks, func(o plan.Task) bool { return o.Verb == t.Verb && o.On == t.On }); i >= 0 {
				return req, fmt.Errorf("%w: task %s is asked for twice; name it once", ErrInput, t)
			}
			t.Before, t.Proof = group.before, group.proof
			req.Tasks = append(req.Tasks, t)
		}
	}
	if err := parseOrder(r, q.Order, req.Tasks); err != nil {
		return req, err
	}
	for _, text := range s.start {
		if err := parseStart(r, text, &req); err != nil {
			return req, err
		}
	}
	for _, id := range q.Leave {
		req.LeaveOpen = append(req.LeaveOpen, guide.ID(id))
	}
	for _, id := range q.Missing {
		req.Missing = append(req.Missing, guide.ID(id))
	}
	return req, a.objective(q, &req)
}

func (a *App) objective(q Ask, req *plan.Request) error {
	switch q.By {
	case "", "money":
	case "minutes":
		req.By = plan.ByMinutes
	default:
		return fmt.Errorf("%w: by: %q: write money or minutes", ErrInput, q.By)
	}
	if q.Rate != "" {
		m, err := money.Parse(q.Rate)
		if err != nil || m <= 0 {
			return fmt.Errorf("%w: rate: %q is not a price for an hour, such as 84.00", ErrInput, q.Rate)
		}
		req.Rate, req.WaitRate = money.PerHour(m), money.PerHour(m)
	}
	return nil
}

// defaultRate is used when no workshop says what an hour costs: one unit of
// currency a minute, so that money and minutes agree.
const defaultRate money.PerHour = 6000

func (a *App) rate() money.PerHour {
	if a.workshop == nil || a.workshop.Rate <= 0 {
		return defaultRate
	}
	return a.workshop.Rate
}

func (a *App) waitRate() money.PerHour {
	if a.workshop == nil || a.workshop.WaitRate <= 0 {
		return a.rate()
	}
	return a.workshop.WaitRate
}

// ParseTask reads "verb:item". The item may be an ID, the whole name of one
// item, or words that only one item answers to. The error wraps ErrInput and offers the nearest names.
func ParseTask(r *guide.Resolved, text string) (plan.Task, error) {
	if len(text) > maxText {
		return plan.Task{}, fmt.Errorf("%w: task: longer than %d characters", ErrInput, maxText)
	}
	verb, on, ok := strings.Cut(text, ":")
	verb, on = strings.TrimSpace(verb), strings.TrimSpace(on)
	if !ok || verb == "" || on == "" {
		return plan.Task{}, fmt.Errorf("%w: task %q: write verb:item, such as replace:SE13 or check:X3", ErrInput, text)
	}
	t := plan.Task{Verb: guide.Verb(verb), On: guide.ID(on)}
	if r.Item(t.On) != nil || r.Check(t.On) != nil {
		return t, nil
	}
	upper := guide.ID(strings.ToUpper(on))
	if r.Item(upper) != nil || r.Check(upper) != nil {
		t.On = upper
		return t, nil
	}
	hits := r.Find(on)
	if len(hits) == 1 || len(hits) > 1 && hits[0].Exact() && !hits[1].Exact() {
		t.On = hits[0].Item.ID
		return t, nil
	}
	return t, fmt.Errorf("%w: task %q: %s", ErrInput, text, notOne(r, on, hits))
}

func notOne(r *guide.Resolved, name string, hits []guide.Hit) string {
	if len(hits) > 1 {
		return fmt.Sprintf("%q could be %s; use the id", name, hitNames(hits, 5))
	}
	var known []string
	for _, it := range r.Items {
		known = append(known, string(it.ID), it.Name)
	}
	for _, c := range r.Guide.Checks {
		known = append(known, string(c.ID))
	}
	near := span.Nearest(name, known)
	if len(near) == 0 {
		return fmt.Sprintf("no item or check is called %q; search for it by any name", name)
	}
	return fmt.Sprintf("no item or check is called %q; nearest: %s", name, join(near))
}

func hitNames(hits []guide.Hit, n int) string {
	var names []string
	for i := 0; i < len(hits) && i < n; i++ {
		names = append(names, fmt.Sprintf("%s (%s)", hits[i].Item.ID, hits[i].Item.Name))
	}
	return join(names)
}

func join(list []string) string { return strings.Join(list, ", ") }

func parseOrder(r *guide.Resolved, order []string, tasks []plan.Task) error {
	for _, text := range order {
		first, second, ok := strings.Cut(text, "<")
		if !ok {
			return fmt.Errorf("%w: order %q: write first<second, such as check:X3<replace:SE13", ErrInput, text)
		}
		i, err := taskIndex(r, first, tasks)
		if err != nil {
			return err
		}
		j, err := taskIndex(r, second, tasks)
		if err != nil {
			return err
		}
		if !slices.Contains(tasks[j].After, i) {
			tasks[j].After = append(tasks[j].After, i)
		}
	}
	return nil
}

func taskIndex(r *guide.Resolved, text string, tasks []plan.Task) (int, error) {
	t, err := ParseTask(r, text)
	if err != nil {
		return 0, err
	}
	for i, have := range tasks {
		if have.Verb == t.Verb && have.On == t.On {
			return i, nil
		}
	}
	return 0, fmt.Errorf("%w: order: %s is not one of the tasks", ErrInput, t)
}

// parseStart reads "PN03", "PN03 off", "CO01 aside" or "engine=hot".
func parseStart(r *guide.Resolved, text string, req *plan.Request) error {
	if cond, value, ok := strings.Cut(text, "="); ok {
		req.Given = append(req.Given, plan.Setting{Condition: guide.ID(strings.TrimSpace(cond)), Value: guide.ID(strings.TrimSpace(value))})
		return nil
	}
	id, how, _ := strings.Cut(strings.TrimSpace(text), " ")
	s := plan.Standing{Item: guide.ID(id), Off: true}
	switch strings.TrimSpace(how) {
	case "", "off":
	case "aside":
		s.Off = false
	default:
		return fmt.Errorf("%w: start %q: an item stands off or aside", ErrInput, text)
	}
	if upper := guide.ID(strings.ToUpper(id)); r.Item(s.Item) == nil && r.Item(upper) != nil {
		s.Item = upper
	}
	if it := r.Item(s.Item); it != nil && how == "" && !clears(it, guide.Off) && clears(it, guide.Aside) {
		s.Off = false // it can only stand aside
	}
	req.Found = append(req.Found, s)
	return nil
}

func clears(it *guide.Item, v guide.Verb) bool {
	return slices.ContainsFunc(it.Ways, func(w guide.Way) bool { return w.Do == v })
}
