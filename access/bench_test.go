package access_test

import (
	"flag"
	"fmt"
	"testing"
	"time"

	"elbowroom/access"
	"elbowroom/demo"
	"elbowroom/internal/engines"
	"elbowroom/plan"
)

// BenchmarkDemoPlan plans the joint visit of the ambulance.
func BenchmarkDemoPlan(b *testing.B) {
	p := planner(b, resolved(b, demoGuide(b), "LHD"))
	req := plan.Request{Tasks: tasksOf("replace:IG03 replace:SE02 replace:AC15"), By: plan.ByMinutes}
	var got plan.Plan
	for b.Loop() {
		got, _ = p.Plan(req, access.Limits{})
	}
	if got.Outcome != plan.Optimal || got.Cost.Total().Minutes() != 101 {
		b.Fatal(got.Outcome, got.Cost.Total())
	}
}

// BenchmarkDemoReach prices every other task of the engine.
func BenchmarkDemoReach(b *testing.B) {
	p := planner(b, resolved(b, demoGuide(b), "LHD"))
	req := plan.Request{Tasks: tasksOf("replace:IG03"), By: plan.ByMinutes}
	var rows []plan.Reach
	for b.Loop() {
		rows, _ = p.Reach(req, access.Limits{})
	}
	for _, r := range rows {
		if r.Outcome != plan.Optimal {
			b.Fatal(r.Task, r.Outcome)
		}
	}
	b.ReportMetric(float64(len(rows)), "rows")
}

// BenchmarkMoves prices every task of the demo's guide, with its conditions
// and checks, from the machine as it comes and from twenty states that first
// tasks leave it in; nothing is asked for twice.
func BenchmarkMoves(b *testing.B) {
	g, err := demo.Guide()
	if err != nil {
		b.Fatal(err)
	}
	p := planner(b, resolved(b, g, "LHD"))
	base := plan.Request{Rate: 8400}
	rows, err := p.Reach(base, access.Limits{Nodes: 100})
	if err != nil {
		b.Fatal(err)
	}
	calls, open := 0, 0
	for b.Loop() {
		m, err := p.Moves(base, access.Limits{})
		if err != nil {
			b.Fatal(err)
		}
		states, next := []int{m.Start()}, []int(nil)
		calls, open = 0, 0
		for range 2 {
			for _, s := range states {
				for _, row := range rows {
					calls++
					list := m.Do(s, row.Task)
					if len(list) == 0 {
						continue
					}
					if open++; list[0].After != s && len(next) < 20 {
						next = append(next, list[0].After)
					}
				}
			}
			states, next = next, nil
		}
	}
	if calls != 21*len(rows) || open < calls*9/10 {
		b.Fatalf("%d calls, %d with a move, for %d tasks", calls, open, len(rows))
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*calls), "µs/call")
}

// benchSeeds is how many machines of a size are planned in turn.
const benchSeeds = 10

// BenchmarkLike plans engine-like machines with fresh seeds, ten of each size,
// and reports how many are proved.
func BenchmarkLike(b *testing.B) {
	for _, size := range []int{30, 100, 300, 1000, 3000} {
		b.Run(fmt.Sprint(size), func(b *testing.B) {
			var cases []engines.Case
			var planners []*access.Planner
			for seed := range uint64(benchSeeds) {
				c := engines.Like(engines.FreshSeeds+seed, size)
				r, err := c.Resolve()
				if err != nil {
					b.Fatal(err)
				}
				cases, planners = append(cases, c), append(planners, planner(b, r))
			}
			plans := make([]plan.Plan, len(cases))
			for b.Loop() {
				for i := range cases {
					plans[i], _ = planners[i].Plan(cases[i].Request, access.Limits{Nodes: 5000})
				}
			}
			proved, gap := 0, 0.0
			for i, p := range plans {
				r, _ := cases[i].Resolve()
				audited(b, r, cases[i].Request, p)
				if p.Outcome == plan.Optimal || p.Outcome == plan.Impossible {
					proved++
				}
				gap = max(gap, p.Gap())
			}
			b.ReportMetric(float64(proved)/benchSeeds, "proved")
			b.ReportMetric(100*gap, "%worst-gap")
			b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N*benchSeeds), "ms/plan")
		})
	}
}

// reachMost is the largest machine of BenchmarkReachLike; 3000 takes minutes.
var reachMost = flag.Int("reach.most", 300, "largest machine whose table of other tasks is timed: 30, 100, 300, 1000 or 3000")

// reachTime bounds the table of one machine.
const reachTime = 60 * time.Second

// BenchmarkReachLike prices every other task of engine-like machines beside
// one visit, for each size; BenchmarkReachHard those of hard ones.
func BenchmarkReachLike(b *testing.B) { benchmarkReach(b, engines.Like) }
func BenchmarkReachHard(b *testing.B) { benchmarkReach(b, engines.Hard) }

func benchmarkReach(b *testing.B, draw func(seed uint64, items int) engines.Case) {
	for _, size := range []int{30, 100, 300, 1000, 3000} {
		if size > *reachMost {
			break
		}
		b.Run(fmt.Sprint(size), func(b *testing.B) {
			c := draw(engines.FreshSeeds, size)
			r, err := c.Resolve()
			if err != nil {
				b.Fatal(err)
			}
			p := planner(b, r)
			var rows []plan.Reach
			for b.Loop() {
				end := time.Now().Add(reachTime)
				rows, err = p.Reach(c.Request, access.Limits{Nodes: 5000, Stop: func() bool { return time.Now().After(end) }})
			}
			if err != nil || len(rows) == 0 {
				b.Fatal("no task is priced")
			}
			proved := 0
			for _, r := range rows {
				if r.Outcome == plan.Optimal || r.Outcome == plan.Impossible {
					proved++
				}
			}
			b.ReportMetric(float64(len(rows)), "rows")
			b.ReportMetric(float64(proved), "proved")
		})
	}
}
