package decide_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"elbowroom/suspect/decide"
)

// car is testdata/car_start.json: a published problem of a car that will not
// start. Its source stands in the file.
type car struct {
	Source string
	Priors map[string]float64
	CPT    struct {
		BatteryDeadGivenOld [2]float64 `json:"batteryDead_given_old"`
		ChargingNone        float64    `json:"chargingError_given_none"`
		DipstickOkNoOil     float64    `json:"dipstickOk_given_noOil"`
		DipstickOkOil       float64    `json:"dipstickOk_given_oil"`
		LightsOk            struct{ Flat, Notflat float64 }
		LampOn              struct {
			Flat   float64
			OilOk  float64 `json:"notflat_oilOk"`
			OilLow float64 `json:"notflat_noOil"`
		} `json:"noOilLightOn"`
	}
	Small, Full carSize
}

type carSize struct {
	Repair, Observe, Tests map[string]int64
	Call                   int64
	Exact                  float64
	PairsOnly              float64 `json:"pairs_only"`
	PairsOptimum           float64 `json:"pairs_optimum"`
	Myopic                 float64
	GreedyNoTests          float64 `json:"greedy_no_tests"`
	GreedyPairs            float64 `json:"greedy_pairs"`
	RepairsOnly            float64 `json:"repairs_only"`
	ShortSequence          float64 `json:"published_simple_sequence_exact"`
	SingleFault            struct {
		Exact, Myopic     float64
		MyopicKeep        float64 `json:"myopic_keep_stale_readings"`
		GreedyPairs       float64 `json:"greedy_pairs"`
		RepairsOnlyGreedy float64 `json:"repairs_only_greedy"`
		SimpleSequence    float64 `json:"simple_sequence"`
	} `json:"single_fault_rule"`
	Published map[string]any `json:"published_simulated"`
}

// carParts are the parts in the order of the bits of a world; bit 5 is the
// leak, a cause that is not listed.
var carParts = []string{"flat", "oil", "tank", "fuel", "starter"}

func readCar(t testing.TB) car {
	t.Helper()
	data, err := os.ReadFile("testdata/car_start.json")
	if err != nil {
		t.Fatal(err)
	}
	var c car
	if err := json.Unmarshal(data, &c); err != nil {
		t.Fatal(err)
	}
	if c.Full.Exact == 0 || c.Small.Exact == 0 || c.Source == "" {
		t.Fatal("testdata/car_start.json lacks figures")
	}
	return c
}

// chances returns the chance of each part's fault, then of the leak.
func (c *car) chances() []float64 {
	or := func(a, b float64) float64 { return 1 - (1-a)*(1-b) }
	old := c.Priors["batteryOld"]
	dead := old*c.CPT.BatteryDeadGivenOld[1] + (1-old)*c.CPT.BatteryDeadGivenOld[0]
	charging := or(or(c.Priors["fanbelt"], c.Priors["alternator"]), c.CPT.ChargingNone)
	const leak = .001
	return []float64{or(dead, charging), c.Priors["noOil"], c.Priors["tankEmpty"], c.Priors["fuelLine"], c.Priors["starter"], leak}
}

// check returns the chance that a check's first outcome ("good", "lamp off")
// shows in world w.
func (c *car) check(name string, w int) float64 {
	flat, oil := w&1 != 0, w&2 != 0
	switch {
	case name == "dipstick" && oil:
		return c.CPT.DipstickOkNoOil
	case name == "dipstick":
		return c.CPT.DipstickOkOil
	case name == "lights" && flat:
		return c.CPT.LightsOk.Flat
	case name == "lights":
		return c.CPT.LightsOk.Notflat
	case flat:
		return 1 - c.CPT.LampOn.Flat
	case oil:
		return 1 - c.CPT.LampOn.OilLow
	}
	return 1 - c.CPT.LampOn.OilOk
}

// carProblem is a problem with the names of its checks and repairs.
type carProblem struct {
	decide.Problem
	checks, repairs []string
}

// problem builds the decision problem of one size. Every check may be asked
// once in the job, as the source has it.
func (c *car) problem(size *carSize) carProblem {
	q := c.chances()
	var p carProblem
	var prices decide.Prices
	for w := range 1 << len(q) {
		x := 1.0
		for i, qi := range q {
			if w>>i&1 == 1 {
				x *= qi
			} else {
				x *= 1 - qi
			}
		}
		if w == 0 {
			x = 0 // it does not start
		}
		p.Worlds = append(p.Worlds, x)
		p.Right = append(p.Right, w == 0)
	}
	price := func(c int64) decide.Action {
		prices = append(prices, c)
		return decide.Action(len(prices) - 1)
	}
	table := func(good func(w int) float64) [][]float64 {
		rows := [][]float64{make([]float64, len(p.Worlds)), make([]float64, len(p.Worlds))}
		for w := range p.Worlds {
			rows[0][w] = good(w)
			rows[1][w] = 1 - rows[0][w]
		}
		return rows
	}
	for i, part := range carParts {
		if cost, ok := size.Repair[part]; ok {
			to := make([]int, len(p.Worlds))
			for w := range to {
				to[w] = w &^ (1 << i)
			}
			p.Repairs = append(p.Repairs, decide.Repair{Action: price(cost), To: to})
			p.repairs = append(p.repairs, part)
		}
	}
	for i, part := range carParts {
		if cost, ok := size.Observe[part]; ok {
			p.Checks = append(p.Checks, decide.Check{Action: price(cost), Once: true, Chance: table(func(w int) float64 { return float64(1 - w>>i&1) })})
			p.checks = append(p.checks, "observe "+part)
		}
	}
	for _, name := range []string{"lights", "oillight", "dipstick"} {
		if cost, ok := size.Tests[name]; ok {
			p.Checks = append(p.Checks, decide.Check{Action: price(cost), Once: true, Chance: table(func(w int) float64 { return c.check(name, w) })})
			p.checks = append(p.checks, name)
		}
	}
	p.Proof.Action = decide.NoWork
	p.Escapes = []decide.Escape{{Price: size.Call}}
	p.Ground = prices
	return p
}

// places4 is half a unit of the fourth decimal, to which the figures are given.
const places4 = .5e-4

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6f, want %.6f", what, got, want)
	}
}

// TestCarOptimum reproduces the optimum of both sizes under both rules, and
// says what asking again after a repair would be worth.
func TestCarOptimum(t *testing.T) {
	c := readCar(t)
	for _, tc := range []struct {
		name   string
		size   *carSize
		single bool
		want   float64
	}{
		{"small, intervention", &c.Small, false, c.Small.Exact},
		{"small, single fault", &c.Small, true, c.Small.SingleFault.Exact},
		{"full, intervention", &c.Full, false, c.Full.Exact},
		{"full, single fault", &c.Full, true, c.Full.SingleFault.Exact},
	} {
		t.Run(tc.name, func(t *testing.T) {
			p := c.problem(tc.size).Problem
			if tc.single {
				p = p.SingleFault()
			}
			x, err := decide.Exhaust(p, 1<<20)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%d information states", x.Beliefs)
			near(t, "optimum", x.Expected, tc.want, places4)
			a, err := decide.Solve(p, decide.Limits{})
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("search: %+v", a.Work)
			near(t, "optimum by search", a.Expected, tc.want, places4)
			near(t, "bound", a.Bound, tc.want, places4)
		})
	}
}
