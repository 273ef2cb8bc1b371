package estimate_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"elbowroom/estimate"
	"elbowroom/money"
)

var names = estimate.LineNames{
	WayIn: "in", Work: "work", PutBack: "back", Setup: "moving", Waiting: "waiting", Consumables: "small things",
}

// TestBillAddsUp: in every currency, the lines printed add up to the net sum
// printed, and net and tax to the total, also where each part of the labour
// would round the other way.
func TestBillAddsUp(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, code := range []string{"EUR", "JPY", "KWD", "CLF", ""} {
		for range 200 {
			v := estimate.Visit{Terms: estimate.Terms{
				Currency: estimate.CurrencyOf(code), Rate: money.PerHour(r.IntN(20_000)), WaitRate: money.PerHour(r.IntN(3000)),
				Consumables: money.PerHour(r.IntN(700)), Tax: estimate.Percent(r.IntN(30_000)),
			}}
			var hands time.Duration
			for _, p := range []estimate.Phase{estimate.WayIn, estimate.Work, estimate.PutBack, estimate.WayIn} {
				o := estimate.Op{Phase: p, Hands: estimate.Spread{Mean: time.Duration(r.IntN(7_000_000)) * time.Millisecond}}
				o.Goods = []estimate.Good{{Sort: estimate.Spare, Name: "seal", Count: 1, Price: money.Amount(r.IntN(9999)), Known: true}}
				hands += o.Hands.Mean
				v.Ops = append(v.Ops, o)
			}
			b := v.Bill(names)
			var sum, labour estimate.Sum
			for _, l := range b.Lines {
				sum += l.Sum
				if l.Sort == estimate.Labour {
					labour += l.Sum
				}
			}
			if sum != b.Net || b.Net+b.Tax != b.Total || v.Terms.Tax.Of(b.Net) != b.Tax {
				t.Fatalf("%s: lines %d, net %d, tax %d, total %d", code, sum, b.Net, b.Tax, b.Total)
			}
			if want := v.Terms.Currency.Labour(v.Terms.Rate, hands); labour != want {
				t.Fatalf("%s: parts of the labour %d, labour %d", code, labour, want)
			}
		}
	}
}

// TestRounding: half away from zero, once, in the decimals that ISO 4217 gives
// each currency.
func TestRounding(t *testing.T) {
	for _, c := range []struct {
		code string
		rate money.PerHour
		time time.Duration
		want estimate.Sum
		text string
	}{
		{"EUR", 8400, 156 * time.Minute, 21840, "218.40"},
		{"EUR", 8400, 39 * time.Second, 91, "0.91"},
		{"EUR", 1000, 9 * time.Second, 3, "0.03"}, // 2.5 cents
		{"EUR", 1000, -9 * time.Second, -3, "-0.03"},
		{"JPY", 840_000, 156 * time.Minute, 21840, "21840"},
		{"JPY", 100, 30 * time.Minute, 1, "1"}, // half a yen
		{"KWD", 2550, 20 * time.Minute, 8500, "8.500"},
		{"KWD", 1, 6 * time.Minute, 1, "0.001"},
		{"jpy ", 100, time.Hour, 1, "1"},
		{"???", 8400, time.Hour, 8400, "84.00"},
	} {
		cur := estimate.CurrencyOf(c.code)
		if got := cur.Labour(c.rate, c.time); got != c.want || cur.Text(got) != c.text {
			t.Errorf("%s %d for %v: %d, %q; want %d, %q", c.code, c.rate, c.time, got, cur.Text(got), c.want, c.text)
		}
	}
	for _, c := range []struct {
		code string
		in   money.Amount
		want estimate.Sum
	}{{"EUR", 6400, 6400}, {"JPY", 640_000, 6400}, {"JPY", 150, 2}, {"JPY", -150, -2}, {"KWD", 640, 6400}, {"CLF", 1, 100}} {
		if got := estimate.CurrencyOf(c.code).From(c.in); got != c.want {
			t.Errorf("%s: %d hundredths are %d, want %d", c.code, c.in, got, c.want)
		}
	}
	for n, want := range map[float64]string{20: "20 %", 7.7: "7.7 %", 0: "0 %"} {
		if got := estimate.PercentOf(n).String(); got != want {
			t.Errorf("%g: %q", n, got)
		}
	}
	if got := estimate.PercentOf(19).Of(50); got != 10 { // 9.5
		t.Errorf("19 %% of 50: %d", got)
	}
	// Nothing overflows, whatever is asked.
	if got := estimate.CurrencyOf("CLF").Labour(money.PerHour(money.Max), 1<<62); got <= 0 {
		t.Errorf("overflow: %d", got)
	}
}

// TestFixedPrice: an allowance brings the price to what is kept in four of five
// cases, the lines still add up, and it never lowers a price.
func TestFixedPrice(t *testing.T) {
	v := estimate.Visit{Ops: []estimate.Op{op(60, 0.4), op(30, 0.3)}, Common: 0.25, Terms: terms}
	b, run := v.Bill(names), v.Run(0)
	fixed := v.Fixed(b, run, "what may come on top")
	last := fixed.Lines[len(fixed.Lines)-1]
	if last.Sort != estimate.Allowance || last.Sum <= 0 || fixed.Net != b.Net+last.Sum || fixed.Total != fixed.Net+fixed.Tax {
		t.Errorf("%+v", fixed)
	}
	if !near(float64(fixed.Total), float64(run.Price.P80), 1) {
		t.Errorf("total %d, kept in four of five %d", fixed.Total, run.Price.P80)
	}
	certain := estimate.Visit{Ops: []estimate.Op{op(60, 0)}, Terms: terms}
	if c := certain.Bill(names); certain.Fixed(c, certain.Run(0), "x").Total != c.Total {
		t.Error("a certain price grew")
	}
}

// TestBillLines: equal goods share a line, a price that nobody knows is said,
// and lines come in the order of a bill.
func TestBillLines(t *testing.T) {
	o := op(10, 0)
	o.Goods = []estimate.Good{
		{Sort: estimate.Liquid, Name: "coolant", Count: 0.4, Litre: true, Price: 168, Known: true},
		{Sort: estimate.Spare, Name: "sensor", Count: 1},
		{Sort: estimate.OnceOnly, Name: "gasket", Count: 2, Price: 4000, Known: true},
		{Sort: estimate.OnceOnly, Name: "gasket", Count: 1, Price: 2000, Known: true},
	}
	o.Hire = []estimate.Good{{Sort: estimate.Hired, Name: "socket", Count: 1, Price: 600, Known: true}}
	b := estimate.Visit{Ops: []estimate.Op{o}, Terms: terms}.Bill(names)
	want := []struct {
		what  string
		count float64
		sum   estimate.Sum
		known bool
	}{{"in", 0, 1400, true}, {"sensor", 1, 0, false}, {"gasket", 3, 6000, true}, {"coolant", 0.4, 168, true}, {"socket", 1, 600, true}}
	if len(b.Lines) != len(want) {
		t.Fatalf("%+v", b.Lines)
	}
	for i, w := range want {
		if l := b.Lines[i]; l.What != w.what || l.Count != w.count || l.Sum != w.sum || l.Known != w.known {
			t.Errorf("line %d: %+v, want %+v", i, l, w)
		}
	}
}
