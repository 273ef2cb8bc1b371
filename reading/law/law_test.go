package law

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// Tolerances against the files of testdata; each file says where its values
// come from.
const (
	printedPlatinum = 0.005   // Ω, the rounding of the printed table
	printedTypeK    = 0.00006 // mV, the rounding of the file
	printedNTC      = 0.0005  // relative, four figures
	printedDivider  = 0.0025  // V, worst row of the published page
	printedWire     = 0.0005  // relative
	printedFactor   = 0.0006  // the rounding of three figures
)

// table reads a CSV file of testdata and fails when it holds fewer rows than
// least, so that a moved file cannot pass as no cases.
func table(t *testing.T, name string, least int) []map[string]string {
	t.Helper()
	f, err := os.Open("testdata/" + name + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, key := range all[0] {
			row[key] = line[i]
		}
		rows = append(rows, row)
	}
	if len(rows) < least {
		t.Fatalf("%s: %d rows, want at least %d", name, len(rows), least)
	}
	return rows
}

func num(t *testing.T, row map[string]string, key string) float64 {
	t.Helper()
	n, err := strconv.ParseFloat(row[key], 64)
	if err != nil {
		t.Fatalf("%s of %v: %v", key, row, err)
	}
	return n
}

func curve(t testing.TB, l guide.Law) *Curve {
	t.Helper()
	c, err := New(&l)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func of(n float64, unit string) quantity.Value { return quantity.Of(n, unit) }

var none quantity.Value

func sensor(form guide.LawForm, p ...guide.Param) guide.Law {
	return guide.Law{ID: "L", Form: form, Of: "resistance Ω", From: "temperature °C", Params: p}
}

var (
	pt100 = sensor(guide.Platinum, guide.Param{ID: "r0", Value: 100})
	pt200 = sensor(guide.Platinum, guide.Param{ID: "r0", Value: 200})
	ntc   = sensor(guide.NTCBeta, guide.Param{ID: "r0", Value: 2500}, guide.Param{ID: "beta", Value: 3500}, guide.Param{ID: "t0", Value: 20})
	coil  = sensor(guide.CopperLaw, guide.Param{ID: "r20", Value: 7.4}, guide.Param{ID: "alpha", Value: 0.00393})
	probe = guide.Law{ID: "K", Form: guide.TypeK, Of: "voltage mV", From: "temperature °C"}
	fuel  = guide.Law{ID: "P", Form: guide.Ratiometric, Of: "voltage V", From: "pressure psi", Params: []guide.Param{{ID: "offset", Value: 0.1}, {ID: "slope", Value: 0.008}}, Lowest: of(0, "psi"), Highest: of(100, "psi")}
)

func at(t *testing.T, c *Curve, x, supply quantity.Value) float64 {
	t.Helper()
	v, err := c.At(x, supply)
	if err != nil {
		t.Fatal(err)
	}
	return v.Number
}

// TestPlatinum holds the printed IEC 60751 table, forward and backward, and
// Pt200 as twice Pt100.
func TestPlatinum(t *testing.T) {
	c, twice := curve(t, pt100), curve(t, pt200)
	for _, row := range table(t, "pt100_iec60751", 49) {
		temp, want := num(t, row, "t_C"), num(t, row, "R_table_ohm")
		got := at(t, c, of(temp, "°C"), none)
		if math.Abs(got-want) > printedPlatinum+1e-9 {
			t.Errorf("%v °C: %.4f Ω, printed %v", temp, got, want)
		}
		if math.Abs(at(t, twice, of(temp, "°C"), none)-2*got) > 1e-9 {
			t.Errorf("%v °C: Pt200 is not twice Pt100", temp)
		}
		back, err := c.Inverse(of(want, "Ω"), none)
		if err != nil && temp > -200 || err == nil && math.Abs(back.Number-temp) > 0.02 {
			t.Errorf("%v Ω: %v, %v, want %v °C", want, back, err, temp)
		}
		for class, key := range map[string]string{"A": "tolA_C", "B": "tolB_C"} {
			if row[key] != "" && math.Abs(PlatinumTolerance(class, temp)-num(t, row, key)) > 1e-9 {
				t.Errorf("class %s at %v °C: %v K, printed %s", class, temp, PlatinumTolerance(class, temp), row[key])
			}
		}
	}
	// Misprints of public copies must be refused: an older curve beside the
	// modern formula (engineeringtoolbox), two digits swapped (sensorsci).
	for temp, wrong := range map[float64]float64{100: 138.50, 400: 247.06, -100: 60.20, -160: 35.34} {
		if math.Abs(at(t, c, of(temp, "°C"), none)-wrong) < printedPlatinum {
			t.Errorf("%v °C: the misprint %v Ω passes", temp, wrong)
		}
	}
}

// TestTypeK holds ITS-90, forward and backward from 0 to 500 °C.
func TestTypeK(t *testing.T) {
	c := curve(t, probe)
	for _, row := range table(t, "type_k_its90", 22) {
		temp, want := num(t, row, "t_C"), num(t, row, "E_mV_formula")
		got := at(t, c, of(temp, "°C"), none)
		if math.Abs(got-want) > printedTypeK {
			t.Errorf("%v °C: %.4f mV, want %v", temp, got, want)
		}
		back, err := c.Inverse(of(got, "mV"), none)
		if err != nil || math.Abs(back.Number-temp) > 1e-9*(1+math.Abs(temp)) {
			t.Errorf("%v mV: %v, %v, want %v °C", got, back, err, temp)
		}
	}
	// One public copy has the sign of the sixth coefficient below 0 °C wrong.
	if math.Abs(at(t, c, of(-50, "°C"), none)-(-1.932)) < 0.001 {
		t.Error("the misprint of -1.932 mV at -50 °C passes")
	}
	if math.Abs(at(t, c, of(-50, "°C"), none)-(-1.889)) > 0.0005 {
		t.Error("-50 °C is not -1.889 mV")
	}
}

// TestTypeKPublishedInverse compares the inverse with the polynomial that
// NIST publishes for 0..500 °C, whose stated error is -0.05 to 0.04 °C.
func TestTypeKPublishedInverse(t *testing.T) {
	published := []float64{0, 2.508355e1, 7.860106e-2, -2.503131e-1, 8.315270e-2, -1.228034e-2, 9.804036e-4, -4.413030e-5, 1.057734e-6, -1.052755e-8}
	c := curve(t, probe)
	for mv := 0.0; mv <= 20.644; mv += 0.01 {
		x, err := c.Inverse(of(mv, "mV"), none)
		if err != nil || math.Abs(x.Number-polynomial(published, mv)) > 0.05 {
			t.Fatalf("%.2f mV: %v, %v, the polynomial gives %.3f °C", mv, x, err, polynomial(published, mv))
		}
	}
}

// TestNTCType1: the curve through three printed points of the data sheet gives
// the others, the beta of the sheet follows from its table, and a curve of
// beta alone is off by what the sheet's own table says.
func TestNTCType1(t *testing.T) {
	rows := table(t, "ntc_type1_ratio", 36)
	ratio := map[float64]float64{}
	for _, row := range rows {
		ratio[num(t, row, "t_C")] = num(t, row, "Rt_over_R25_table")
	}
	if b := Beta(25, 1, 85, ratio[85]); math.Abs(b-3977) > 1 {
		t.Errorf("B25/85 = %.1f, printed 3977", b)
	}
	if b := Beta(0, ratio[0], 50, ratio[50]); math.Abs(b-3892) > 1.5 {
		t.Errorf("B0/50 = %.1f, printed 3892", b)
	}
	if b := Beta(25, 1, 100, ratio[100]); math.Abs(b-3992) > 1 {
		t.Errorf("B25/100 = %.1f, printed 3992", b)
	}
	const r25 = 10000
	a, b, k := Steinhart([3][2]float64{{0, ratio[0] * r25}, {50, ratio[50] * r25}, {100, ratio[100] * r25}})
	for i, want := range []float64{1.130563e-3, 2.338799e-4, 8.87575e-8} {
		if got := []float64{a, b, k}[i]; math.Abs(got/want-1) > 2e-5 {
			t.Errorf("Steinhart–Hart number %d is %.7g, want %.7g", i, got, want)
		}
	}
	three := curve(t, sensor(guide.SteinhartHart, guide.Param{ID: "a", Value: a}, guide.Param{ID: "b", Value: b}, guide.Param{ID: "c", Value: k}))
	beta := curve(t, sensor(guide.NTCBeta, guide.Param{ID: "r0", Value: r25}, guide.Param{ID: "beta", Value: 3977}, guide.Param{ID: "t0", Value: 25}))
	for _, row := range rows {
		temp, r := num(t, row, "t_C"), of(ratio[num(t, row, "t_C")]*r25, "Ω")
		x, err := three.Inverse(r, none)
		to := 0.012 // the error of 0.006 K that is stated, and the four figures of the table
		if temp < 0 {
			to = 0.09
		}
		if err != nil || math.Abs(x.Number-temp) > to {
			t.Errorf("%v: %v, %v, want %v °C", r, x, err, temp)
		}
		y, err := beta.Inverse(r, none)
		if want := num(t, row, "err_beta2585_model_C"); err != nil || math.Abs(y.Number-temp-want) > 0.03 {
			t.Errorf("%v by beta alone: off by %.2f K, the table says %v", r, y.Number-temp, want)
		}
	}
}

// TestTableLaw is the printed example of a public machine manual: 23 °C
// between 12 490 Ω at 20 °C and 10 000 Ω at 25 °C is 10 996 Ω.
func TestTableLaw(t *testing.T) {
	l := sensor(guide.TableLaw)
	l.Points = [][2]float64{{0, 32650}, {20, 12490}, {25, 10000}, {60, 2488}, {100, 680}}
	c := curve(t, l)
	if got := at(t, c, of(23, "°C"), none); math.Abs(got-10996) > 0.01 {
		t.Errorf("23 °C: %v Ω, printed 10996", got)
	}
	if x, err := c.Inverse(of(10996, "Ω"), none); err != nil || math.Abs(x.Number-23) > 1e-9 {
		t.Errorf("10996 Ω: %v, %v", x, err)
	}
}

// TestDivider holds the volts of a public sensor page.
func TestDivider(t *testing.T) {
	d := Divider{PullUp: of(1, "kΩ"), Supply: of(5, "V")}
	for _, row := range table(t, "ntc_divider_1k_5v", 18) {
		r, want := num(t, row, "R_ohm"), num(t, row, "V_published")
		v, err := d.Volt(of(r, "Ω"))
		if err != nil || math.Abs(v.Number-want) > printedDivider {
			t.Errorf("%v Ω: %v, %v, published %v V", r, v, err, want)
		}
		if back, err := d.Ohm(v); err != nil || math.Abs(back.Number-r) > 1e-6*r {
			t.Errorf("%v: %v, %v, want %v Ω", v, back, err, r)
		}
	}
	if _, err := d.Ohm(of(5, "V")); !errors.Is(err, ErrRange) {
		t.Errorf("an open line gave %v", err)
	}
}

// TestRatiometric: 0.5..4.5 V for 0..100 psi (a component forum, seen), what a
// supply of 4.90 V does to it, and the misprint 1 + 5x of one public page.
func TestRatiometric(t *testing.T) {
	c := curve(t, fuel)
	for volt, psi := range map[float64]float64{0.5: 0, 2.5: 50, 4.5: 100} {
		x, err := c.Inverse(of(volt, "V"), of(5, "V"))
		if err != nil || math.Abs(x.Number-psi) > 1e-6 {
			t.Errorf("%v V: %v, %v, want %v psi", volt, x, err, psi)
		}
	}
	x, err := c.Inverse(of(2.5, "V"), of(4.9, "V"))
	if err != nil || math.Abs(x.Number-51.2755) > 0.0005 {
		t.Errorf("2.5 V at 4.90 V: %v, %v, want 51.28 psi", x, err)
	}
	fiveToOne := guide.Law{ID: "S", Form: guide.Linear, Of: "voltage V", From: "share 1", Params: []guide.Param{{ID: "offset", Value: 1}, {ID: "slope", Value: 4}}}
	if got := at(t, curve(t, fiveToOne), of(1, "1"), none); got != 5 {
		t.Errorf("1..5 V ends at %v V; 1 + 5x is a misprint", got)
	}
}

func TestZones(t *testing.T) {
	for volt, want := range map[float64]Zone{0: ZoneFault, 0.19: ZoneFault, 0.21: ZoneUnder, 0.5: ZoneIn, 2.5: ZoneIn, 4.5: ZoneIn, 4.6: ZoneOver, 4.81: ZoneFault, 5: ZoneFault} {
		if got := ZoneOf(of(volt, "V"), of(5, "V")); got != want {
			t.Errorf("%v V of 5 V: %s, want %s", volt, got, want)
		}
	}
}

// TestGauges holds the American wire gauge and the loop resistances that a
// public field table prints per 100 ft one way.
func TestGauges(t *testing.T) {
	for _, row := range table(t, "awg", 32) {
		n, err := strconv.Atoi(row["awg"])
		if err != nil {
			t.Fatal(err)
		}
		if row["awg"] == "00" {
			n = -1
		}
		s, err := GaugeSection(n)
		if err != nil || math.Abs(s.Number-num(t, row, "area_mm2")) > 0.00006 {
			t.Errorf("gauge %s: %v, %v", row["awg"], s, err)
		}
		least, _, err := Wire(s, of(1000, "m"), of(20, "°C"))
		if want := num(t, row, "ohm_per_km_20C_solid"); err != nil || math.Abs(least.Number-want) > printedWire*want+0.0006 {
			t.Errorf("gauge %s: %v per km, %v, want %v", row["awg"], least, err, want)
		}
	}
	for n, want := range map[int]float64{20: 1.02, 18: 0.64, 16: 0.40, 14: 0.25} {
		s, _ := GaugeSection(n)
		r, _, err := Wire(s, of(30.48, "m"), of(20, "°C"))
		if err != nil || math.Abs(r.Number-want) > 0.006 {
			t.Errorf("100 ft of gauge %d: %v, %v, printed %v Ω", n, r, err, want)
		}
	}
	// The same table misprints 8000 ft of gauge 16 as 23.10 for 32.1 Ω.
	s, _ := GaugeSection(16)
	if r, _, _ := Wire(s, of(8000*0.3048, "m"), of(20, "°C")); math.Abs(r.Number-32.1) > 0.1 || math.Abs(r.Number-23.10) < 1 {
		t.Errorf("8000 ft of gauge 16: %v", r)
	}
	if _, err := GaugeSection(41); !errors.Is(err, ErrRange) {
		t.Errorf("gauge 41: %v", err)
	}
}

// TestClass5 holds IEC 60228 class 5: the values are the greatest permitted
// (one page heads the column "Minimum"), 1.11 to 1.16 times solid copper.
func TestClass5(t *testing.T) {
	for _, row := range table(t, "iec60228_class5", 12) {
		s := num(t, row, "area_mm2")
		r, err := Class5(of(s, "mm²"))
		if err != nil || r.Number != num(t, row, "Rmax_ohm_per_km_20C") {
			t.Errorf("%v mm²: %v, %v", s, r, err)
		}
		least, most, err := Wire(of(s, "mm²"), of(1000, "m"), of(20, "°C"))
		if excess := most.Number / least.Number; err != nil || excess < 1.105 || excess > 1.165 || math.Abs(most.Number-r.Number) > 1e-9 {
			t.Errorf("%v mm²: %v to %v, %v", s, least, most, err)
		}
	}
	if _, err := Class5(of(2, "mm²")); !errors.Is(err, ErrRange) || !strings.Contains(err.Error(), "2.5") {
		t.Errorf("2 mm²: %v", err)
	}
	_, most, err := Wire(of(1.5, "mm²"), of(1000, "m"), of(90, "°C"))
	if err != nil || math.Abs(most.Number-16.959) > 0.001 {
		t.Errorf("1.5 mm² at 90 °C: %v, %v, computed 16.959 Ω", most, err)
	}
}

// TestCableFactor: the printed factors follow 1/(1 + 0.004 (t - 20)); the
// other formula that goes about, 254.5/(234.5 + t), is off by three
// thousandths.
func TestCableFactor(t *testing.T) {
	worst := 0.0
	for _, row := range table(t, "iec60228_kt", 20) {
		temp, want := num(t, row, "t_C"), num(t, row, "kt_table")
		got, err := CableFactor(of(temp, "°C"))
		if err != nil || math.Abs(got-want) > printedFactor {
			t.Errorf("%v °C: %.4f, %v, printed %v", temp, got, err, want)
		}
		worst = math.Max(worst, math.Abs(254.5/(234.5+temp)-want))
	}
	if worst < 0.002 {
		t.Errorf("the other formula is off by %.4f only: the table does not tell them apart", worst)
	}
}

func TestCopper(t *testing.T) {
	hot, err := CopperAt(of(7.4, "Ω"), of(90, "°C"))
	if err != nil || math.Abs(hot.Number-9.43574) > 1e-9 {
		t.Errorf("7.4 Ω at 90 °C: %v, %v", hot, err)
	}
	if back, err := CopperTo20(hot, of(194, "°F")); err != nil || math.Abs(back.Number-7.4) > 1e-9 {
		t.Errorf("and back from 194 °F: %v, %v", back, err)
	}
	if got := at(t, curve(t, coil), of(90, "°C"), none); math.Abs(got-hot.Number) > 1e-12 {
		t.Errorf("the law gives %v", got)
	}
	if _, err := CopperTo20(hot, of(-250, "°C")); !errors.Is(err, ErrRange) {
		t.Errorf("-250 °C: %v", err)
	}
}

// TestAir holds the heights of pressure levels of the ICAO standard
// atmosphere, given in whole metres.
func TestAir(t *testing.T) {
	for _, row := range table(t, "standard_atmosphere", 12) {
		want, h := num(t, row, "hPa"), num(t, row, "height_m")
		p, err := Air(of(h, "m"))
		if err != nil || math.Abs(p.Number-want) > 0.07 {
			t.Errorf("%v m: %v, %v, want %v hPa", h, p, err, want)
		}
	}
	if p, err := Air(of(0.54, "km")); err != nil || math.Abs(p.Number-950) > 0.07 {
		t.Errorf("0.54 km: %v, %v", p, err)
	}
	if _, err := Air(of(12000, "m")); !errors.Is(err, ErrRange) {
		t.Errorf("12000 m: %v", err)
	}
}

func TestRangeErrors(t *testing.T) {
	l := ntc
	l.Lowest, l.Highest = of(-40, "°C"), of(150, "°C")
	c := curve(t, l)
	_, err := c.At(of(160, "°C"), none)
	var r *RangeError
	if !errors.As(err, &r) || !errors.Is(err, ErrRange) || !strings.Contains(err.Error(), "10 °C above the range -40 °C to 150 °C") {
		t.Errorf("160 °C: %v", err)
	}
	if _, err := c.Inverse(of(2.5, "Ω"), none); !errors.Is(err, ErrRange) {
		t.Errorf("2.5 Ω: %v", err)
	}
	if _, err := c.At(of(5, "V"), none); !errors.Is(err, quantity.ErrDimension) {
		t.Errorf("a voltage: %v", err)
	}
	if x, err := c.At(of(194, "°F"), none); err != nil || math.Abs(x.Number-250.3) > 0.05 {
		t.Errorf("194 °F: %v, %v", x, err)
	}
}

func TestUnusableLaws(t *testing.T) {
	for name, l := range map[string]guide.Law{
		"no numbers":        sensor(guide.NTCBeta),
		"negative":          sensor(guide.NTCBeta, guide.Param{ID: "r0", Value: -1}, guide.Param{ID: "beta", Value: 1}, guide.Param{ID: "t0", Value: 1}),
		"no unit":           {ID: "L", Form: guide.Linear, Of: "resistance", From: "temperature °C"},
		"not a temperature": {ID: "L", Form: guide.Platinum, Of: "resistance Ω", From: "length m", Params: []guide.Param{{ID: "r0", Value: 100}}},
		"unknown form":      sensor("spline"),
		"one point":         {ID: "L", Form: guide.TableLaw, Of: "resistance Ω", From: "temperature °C", Points: [][2]float64{{0, 1}}},
		"falling points":    {ID: "L", Form: guide.TableLaw, Of: "resistance Ω", From: "temperature °C", Points: [][2]float64{{1, 1}, {0, 2}}},
		"up and down":       {ID: "L", Form: guide.TableLaw, Of: "resistance Ω", From: "temperature °C", Points: [][2]float64{{0, 1}, {1, 2}, {2, 1}}},
		"empty range":       {ID: "L", Form: guide.Linear, Of: "voltage V", From: "current A", Params: []guide.Param{{ID: "offset", Value: 0}, {ID: "slope", Value: 1}}, Lowest: of(2, "A"), Highest: of(1, "A")},
		"flat":              {ID: "L", Form: guide.Linear, Of: "voltage V", From: "current A", Params: []guide.Param{{ID: "offset", Value: 0}, {ID: "slope", Value: 0}}},
		"no voltage":        {ID: "L", Form: guide.Ratiometric, Of: "resistance Ω", From: "pressure bar", Params: []guide.Param{{ID: "offset", Value: 0}, {ID: "slope", Value: 1}}},
		"range elsewhere":   {ID: "L", Form: guide.Linear, Of: "voltage V", From: "current A", Params: []guide.Param{{ID: "offset", Value: 0}, {ID: "slope", Value: 1}}, Lowest: of(2, "V")},
	} {
		if _, err := New(&l); !errors.Is(err, ErrLaw) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestThereAndBack: Inverse undoes At for every form, and Slope is what At
// does over a small step.
func TestThereAndBack(t *testing.T) {
	a, b, k := Steinhart([3][2]float64{{0, 32640}, {50, 3601}, {100, 678.1}})
	points := sensor(guide.TableLaw)
	points.Points = [][2]float64{{-40, 100}, {0, 60}, {50, 20}, {120, 3}}
	laws := []guide.Law{pt100, ntc, coil, probe, points, sensor(guide.SteinhartHart, guide.Param{ID: "a", Value: a}, guide.Param{ID: "b", Value: b}, guide.Param{ID: "c", Value: k})}
	rapid.Check(t, func(t *rapid.T) {
		c, err := New(&laws[rapid.IntRange(0, len(laws)-1).Draw(t, "law")])
		if err != nil {
			t.Fatal(err)
		}
		x := of(rapid.Float64Range(-40, 120).Draw(t, "x"), "°C")
		y, err := c.At(x, none)
		if err != nil {
			t.Fatal(err)
		}
		back, err := c.Inverse(y, none)
		if err != nil || math.Abs(back.Number-x.Number) > 1e-6 {
			t.Fatalf("%s: %v gives %v, and back %v, %v", c.form, x, y, back, err)
		}
		slope, err := c.Slope(x, none)
		if err != nil || slope == 0 || math.IsNaN(slope) {
			t.Fatalf("%s: slope %v, %v", c.form, slope, err)
		}
		if c.form == guide.NTCBeta {
			kelvins := x.Number + kelvin
			if want := -y.Number * 3500 / (kelvins * kelvins); math.Abs(slope/want-1) > 1e-6 {
				t.Fatalf("slope %v, want %v Ω/K", slope, want)
			}
		}
	})
}

// FuzzNew: no law makes New, At, Inverse or Slope panic or return a number
// that is none without an error.
func FuzzNew(f *testing.F) {
	f.Add("ntc-beta", "resistance Ω", "temperature °C", 2500.0, 3500.0, 20.0, 90.0)
	f.Add("type-k", "voltage V", "temperature °F", 0.0, 0.0, 0.0, 451.0)
	f.Add("platinum", "resistance kΩ", "temperature K", 100.0, 0.0, 0.0, 300.0)
	f.Add("table", "a V", "b A", 1.0, 2.0, 3.0, 4.0)
	f.Fuzz(func(t *testing.T, form, of, from string, p, q, r, x float64) {
		l := guide.Law{ID: "L", Form: guide.LawForm(form), Of: of, From: from, Points: [][2]float64{{p, q}, {r, x}}}
		for i, id := range []guide.ID{"r0", "beta", "t0"} {
			l.Params = append(l.Params, guide.Param{ID: id, Value: []float64{p, q, r}[i]})
		}
		for i, id := range []guide.ID{"a", "b", "c", "offset", "slope", "r20"} {
			l.Params = append(l.Params, guide.Param{ID: id, Value: []float64{p, q, r}[i%3]})
		}
		c, err := New(&l)
		if err != nil {
			return
		}
		v := quantity.Value{Number: x, Unit: c.FromUnit()}
		if y, err := c.At(v, quantity.Value{}); err == nil {
			if _, err := c.Slope(v, quantity.Value{}); err != nil {
				t.Fatalf("At %v but no slope: %v", y, err)
			}
		}
		if y, err := c.Inverse(quantity.Value{Number: x, Unit: c.OfUnit()}, quantity.Value{}); err == nil && math.IsNaN(y.Number) {
			t.Fatalf("the inverse of %v is no number", x)
		}
	})
}
