package app

import (
	"fmt"
	"time"

	"elbowroom/access"
	"elbowroom/bay"
	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// bench is a guide resolved for one variant with its planner and its scene,
// made once and kept.
type bench struct {
	r       *guide.Resolved
	planner *access.Planner
	scene   *bay.Scene
	alone   map[string]map[string]time.Duration // by state: what each task costs by itself; guarded by App.mu
}

// maxBenches bounds how many variants are kept in memory.
const maxBenches = 64

func (a *App) bench(l *Loaded, variant guide.Selector) (*bench, error) {
	key := l.Name + "\x00" + variant.String()
	a.mu.Lock()
	defer a.mu.Unlock()
	if b, ok := a.resolved[key]; ok {
		return b, nil
	}
	r, err := guide.Resolve(l.Guide, variant)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	p, err := access.New(r)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	if len(a.resolved) >= maxBenches {
		clear(a.resolved)
	}
	b := &bench{r: r, planner: p, scene: bay.New(r), alone: map[string]map[string]time.Duration{}}
	a.resolved[key] = b
	return b, nil
}

// stopAfter returns the limit of a search that began now.
func (a *App) stopAfter(budget time.Duration) access.Limits { return a.allow(budget).limits() }

// asked is everything that a question settles before the planner works.
type asked struct {
	setting
	*bench
	req plan.Request
}

func (a *App) ask(q Ask) (asked, error) {
	s, b, err := a.look(q)
	if err != nil {
		return asked{}, err
	}
	req, err := a.request(q, s, b.r)
	return asked{s, b, req}, err
}

// look settles which guide and variant a question speaks of.
func (a *App) look(q Ask) (setting, *bench, error) {
	s, err := a.settle(q)
	if err != nil {
		return s, nil, err
	}
	b, err := a.bench(s.loaded, s.variant)
	return s, b, err
}

// Plan answers the question with an audited plan. Outcomes such as impossible
// are answers; the error wraps ErrInput, ErrUnknown or ErrAudit.
func (a *App) Plan(q Ask) (*Answer, error) { return a.plan(q, a.allow(q.Budget)) }

// plan answers the question within the time allowed.
func (a *App) plan(q Ask, allowed allowance) (*Answer, error) {
	k, ans, others, err := a.planned(q, allowed, true)
	if err != nil {
		return nil, err
	}
	return ans, k.beside(ans, others, allowed.atMost(besideBudget))
}

// planned makes an audited plan, with the runners-up where they are wanted or
// one of them is asked for.
func (a *App) planned(q Ask, allowed allowance, runners bool) (asked, *Answer, []plan.Alternative, error) {
	k, err := a.ask(q)
	if err != nil {
		return k, nil, nil, err
	}
	began := a.Clock()
	p, err := k.planner.Plan(k.req, allowed.until(searchShare).limits())
	if err != nil {
		return k, nil, nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	var others []plan.Alternative
	if runners || q.Instead > 0 {
		if others, err = k.runnersUp(p, allowed.until(runnersShare).atMost(besideBudget)); err != nil {
			return k, nil, nil, err
		}
	}
	if q.Instead > 0 {
		if p, err = instead(p, others, q.Instead); err != nil {
			return k, nil, nil, err
		}
	}
	took := a.Clock().Sub(began)
	if report := audit.Check(k.r, k.req, p); !report.OK() {
		return k, nil, nil, fmt.Errorf("%w: %w", ErrAudit, report.Err())
	}
	ans := &Answer{
		Ask: q, Guide: k.loaded.Guide, Resolved: k.r, Machine: k.machine, Variant: k.variantText(),
		Request: k.req, Plan: p, Took: took,
	}
	if k.machine != nil {
		for _, e := range k.machine.Exceptions {
			ans.Exceptions = append(ans.Exceptions, fmt.Sprintf("%s: %s", itemName(k.r, e.Item), e.Says))
		}
	}
	(&builder{r: k.r, req: k.req, a: ans}).build()
	return k, ans, others, nil
}

func (k asked) variantText() string { return k.setting.variant.String() }

// Scene returns the shapes of the bay for the question's variant.
func (a *App) Scene(q Ask) (*bay.Scene, *guide.Resolved, error) {
	_, b, err := a.look(q)
	if err != nil {
		return nil, nil, err
	}
	return b.scene, b.r, nil
}

// Where finds items by any name people use.
func (a *App) Where(q Ask, text string) (*Found, error) {
	if len(text) > maxText {
		return nil, fmt.Errorf("%w: search: longer than %d characters", ErrInput, maxText)
	}
	s, b, err := a.look(q)
	if err != nil {
		return nil, err
	}
	return &Found{Resolved: b.r, Variant: s.variant.String(), Hits: b.r.Find(text)}, nil
}
