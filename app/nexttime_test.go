package app

import (
	"flag"
	"fmt"
	"math"
	"slices"
	"sync"
	"testing"
	"time"

	"elbowroom/demo"
	"elbowroom/internal/engines"
	"elbowroom/suspect"
)

// timesFlag prints how long every next step took.
var timesFlag = flag.Int("next.times", 0, "how often each next step is timed; 0 times nothing and only checks the answers")

// demoApp is the program with the demonstration.
func demoApp(t testing.TB) *App {
	t.Helper()
	shop, err := demo.Workshop()
	if err != nil {
		t.Fatal(err)
	}
	a, err := Open(time.Now, shop, Source{Name: "demo", FS: demo.FS(), Dir: demo.GuideDir})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// logs are the customer cases reading by reading, as the demonstration tells
// them, each ending with the repair.
var logs = []struct {
	machine string
	log     []string
}{
	{"V1", []string{
		"T35: right 38 kΩ, left > 10 MΩ, unplugged, meter 50 V, ambient 18 °C, dry",
		"T39: 1.42 nF, unplugged, engine still",
		"T36: right > 10 MΩ, left > 10 MΩ, X3 apart, meter 50 V",
		"T37: right 38 kΩ, left > 10 MΩ, X3 apart, EL01 unplugged, meter 50 V",
		"repaired F10",
	}},
	{"V2", []string{
		"T13: 0.8 K, standing 9 h",
		"T15: 31 °C, coolant 80 °C, warm-up from 12 °C",
		"T14: 8.2 K, coolant 90 °C, steady 3 min, fan off",
		"T10: 6 mV, coolant 90 °C, speed 750 rpm",
		"T12: 123 mV, coolant 90 °C, plugged in",
		"repaired F13",
	}},
	{"V3", []string{
		"T56: 69 bar, full load, speed 3500 rpm, held 4 s",
		"T49: 4.7 bar, speed 750 rpm",
		"T50: 3.1 bar, full load, speed 3500 rpm",
		"T53: 26.8 mV, low-pressure pump running",
		"T52: 2.71 V, low-pressure pump running, full load",
		"repaired F08",
	}},
	{"V4", nil},
}

// pageBudget is what a page allows.
const pageBudget = 900 * time.Millisecond

// TestNextAgain: asked a second time, from what was priced the first time, the
// next step of every stage of every case is the same wherever it is proved.
func TestNextAgain(t *testing.T) {
	a := demoApp(t)
	proved := 0
	for _, c := range logs {
		for n := range len(c.log) + 1 {
			if *timesFlag == 0 && n != 0 && n != len(c.log)-1 {
				continue
			}
			j := Job{Ask: Ask{Machine: c.machine, Budget: pageBudget}, Log: c.log[:n]}
			name := fmt.Sprintf("%s after %d", c.machine, n)
			var cold, warm, coldCPU, warmCPU []time.Duration
			var first, second *NextStep
			for range max(1, *timesFlag) {
				a.prices.list = nil
				first = timed(t, a, j, &cold, &coldCPU)
				second = timed(t, a, j, &warm, &warmCPU)
			}
			if first.Advice.Outcome == suspect.Advised {
				proved++
				if first.Advice.Step.Says != second.Advice.Step.Says || first.Advice.Expected != second.Advice.Expected {
					t.Errorf("%s: %s at %s, and again %s at %s", name, first.Advice.Step.Says, first.Advice.Expected, second.Advice.Step.Says, second.Advice.Expected)
				}
			}
			if *timesFlag > 0 {
				fmt.Printf("%-12s %-8s gap %4.1f%%  cold %4d ms (processor %4d)  again %4d ms (processor %4d)  %s\n", name, first.Advice.Outcome, gapOf(first),
					middle(cold).Milliseconds(), middle(coldCPU).Milliseconds(), middle(warm).Milliseconds(), middle(warmCPU).Milliseconds(), first.Advice.Step.Says)
			}
		}
	}
	if proved == 0 {
		t.Error("no next step of the demonstration was proved within the time of a page")
	}
}

// gapOf is what another course could save, in hundredths.
func gapOf(n *NextStep) float64 {
	return 100 * float64(n.Advice.Gap) / math.Max(1, float64(n.Advice.Expected))
}

func timed(t *testing.T, a *App, j Job, wall, cpu *[]time.Duration) *NextStep {
	t.Helper()
	began, used := time.Now(), processorTime()
	n, err := a.Next(j, Detail{})
	if err != nil {
		t.Fatalf("%s after %q: %v", j.Machine, j.Log, err)
	}
	*wall, *cpu = append(*wall, time.Since(began)), append(*cpu, processorTime()-used)
	return n
}

func middle(xs []time.Duration) time.Duration {
	xs = slices.Sorted(slices.Values(xs))
	return xs[len(xs)/2]
}

// TestNextComeback: the price of coming back reaches the decision, and what it
// comes to is part of what the job is expected to cost.
func TestNextComeback(t *testing.T) {
	a := demoApp(t)
	j := Job{Ask: Ask{Machine: "V2", Budget: 20 * time.Second}, Log: logs[1].log[:5]}
	sure, err := a.Next(j, Detail{})
	if err != nil {
		t.Fatal(err)
	}
	back, err := a.Next(j, Detail{Comeback: 2000_00})
	if err != nil {
		t.Fatal(err)
	}
	c := back.Advice.Comeback
	if sure.Advice.Comeback != nil || c == nil || c.Chance <= 0 || back.Advice.Expected < sure.Advice.Expected+c.Costs/2 {
		t.Errorf("%+v at %s, without a price %+v at %s", c, back.Advice.Expected, sure.Advice.Comeback, sure.Advice.Expected)
	}
}

// TestPricesShared: several questions about one machine at once share its
// prices and agree.
func TestPricesShared(t *testing.T) {
	a := demoApp(t)
	j := Job{Ask: Ask{Machine: "V2", Budget: 20 * time.Second}, Log: logs[1].log[:5]}
	var says [4]string
	var group sync.WaitGroup
	for i := range says {
		group.Go(func() {
			n, err := a.Next(j, Detail{})
			if err != nil {
				t.Error(err)
				return
			}
			says[i] = fmt.Sprint(n.Advice.Outcome, n.Advice.Step.Says, n.Advice.Expected)
		})
	}
	group.Wait()
	for _, s := range says {
		if s != says[0] {
			t.Errorf("%q and %q", says[0], s)
		}
	}
	if len(a.prices.list) != 1 {
		t.Errorf("one machine was priced %d times", len(a.prices.list))
	}
}

// TestPricesBounded: prices are kept for a few states, the ones used last.
func TestPricesBounded(t *testing.T) {
	a := demoApp(t)
	ask := func(start ...string) {
		in, err := a.inquire(Job{Ask: Ask{Machine: "V1", Start: append([]string{}, start...)}})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := a.shop(in); err != nil {
			t.Fatal(err)
		}
	}
	ask()
	first := a.prices.list[0]
	var covers []string
	for i := range a.guides[0].Guide.Items {
		if id := string(a.guides[0].Guide.Items[i].ID); len(covers) < 3*maxPricings {
			covers = append(covers, id)
		}
	}
	for _, id := range covers {
		ask(id)
		ask()
	}
	if n := len(a.prices.list); n != maxPricings || a.prices.list[n-1] != first {
		t.Errorf("%d states kept, want %d, and the one used most kept: %t", n, maxPricings, a.prices.list[n-1] == first)
	}
}

// BenchmarkNextLarge is the next step with 200 faults and 300 checks within
// the time of a page, on a guide that is read already.
func BenchmarkNextLarge(b *testing.B) {
	m := engines.Troubled(engines.FreshSeeds, engines.LargeTrouble)
	a, j := troubleApp(m, time.Now)
	j.Budget = pageBudget
	for b.Loop() {
		a.prices.list = nil
		n, err := a.Next(j, Detail{Proof: string(m.Proof)})
		if err != nil || n.Advice.Step.Says == "" {
			b.Fatal(err)
		}
	}
}

// BenchmarkNextDemo is the first next step of the first case, with nothing
// priced, and asked again.
func BenchmarkNextDemo(b *testing.B) {
	for _, again := range []bool{false, true} {
		b.Run(map[bool]string{false: "cold", true: "again"}[again], func(b *testing.B) {
			a := demoApp(b)
			j := Job{Ask: Ask{Machine: "V2", Budget: pageBudget}, Log: logs[1].log[:5]}
			for b.Loop() {
				if !again {
					a.prices.list = nil
				}
				n, err := a.Next(j, Detail{})
				if err != nil || n.Advice.Step.Says == "" {
					b.Fatal(err)
				}
			}
		})
	}
}
