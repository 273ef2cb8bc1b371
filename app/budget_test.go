package app_test

import (
	"fmt"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/internal/engines"
	"elbowroom/plan"
	"elbowroom/workshop"
)

// ticking is a clock that goes on by a millisecond each time it is read: work
// that never looks at it takes no time, work that looks too long shows.
type ticking struct {
	mu  sync.Mutex
	now time.Time
}

func (c *ticking) read() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = c.now.Add(time.Millisecond)
	return c.now
}

// TestBudget: whatever is worked out for a question, on machines whose plan
// takes hours to prove, together it takes no longer than was allowed.
func TestBudget(t *testing.T) {
	const budget, over = 2 * time.Second, 60 * time.Millisecond
	for _, c := range []engines.Case{engines.Adversarial(1), engines.Adversarial(4), engines.Hard(0, 150)} {
		withBacks(c.Guide)
		clock := &ticking{now: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)}
		files := fstest.MapFS{"g/guide.yaml": &fstest.MapFile{Data: file.Print(c.Guide)}}
		a, err := app.Open(clock.read, &workshop.Workshop{}, app.Source{Name: "g", FS: files, Dir: "g"})
		if err != nil {
			t.Fatal(err)
		}
		q := app.Ask{Guide: "g", By: string(c.Request.By), Budget: budget}
		for _, task := range c.Request.Tasks {
			q.Tasks = append(q.Tasks, task.String())
		}
		for name, ask := range map[string]func() (*app.Answer, error){
			"plan":  func() (*app.Answer, error) { return a.Plan(q) },
			"reach": func() (*app.Answer, error) { ans, _, err := a.Reach(q); return ans, err },
		} {
			t.Run(fmt.Sprint(c.Name, " ", name), func(t *testing.T) {
				began := clock.read()
				ans, err := ask()
				if err != nil {
					t.Fatal(err)
				}
				if took := clock.read().Sub(began); took > budget+over {
					t.Errorf("%v were allowed, it took %v", budget, took)
				}
				if ans.Plan.Outcome != plan.Bounded && ans.Plan.Outcome != plan.Limit {
					t.Errorf("outcome %s: the machine is too easy to test with", ans.Plan.Outcome)
				}
			})
		}
	}
}

// withBacks gives every clearing way minutes back, which the text of a guide
// asks for.
func withBacks(g *guide.Guide) {
	for i := range g.Items {
		for k := range g.Items[i].Ways {
			if w := &g.Items[i].Ways[k]; w.Do.Clears() && w.Back == 0 {
				w.Back = time.Minute
			}
		}
	}
}
