package law

import (
	"fmt"
	"math"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// Numbers of the standards, with where they come from.
const (
	kelvin = 273.15 // 0 °C in K, ITS-90

	// IEC 60751:2008, platinum resistance thermometers.
	platinumA = 3.9083e-3  // /°C
	platinumB = -5.775e-7  // /°C²
	platinumC = -4.183e-12 // /°C⁴, below 0 °C only

	platinumLowest, platinumHighest = -200.0, 850.0 // °C, range of IEC 60751
)

// given are the numbers that a law brings with it.
type given struct {
	law  *guide.Law
	at   map[guide.ID]float64
	miss []guide.ID
}

func params(l *guide.Law) *given {
	g := &given{law: l, at: map[guide.ID]float64{}}
	for _, p := range l.Params {
		g.at[p.ID] = p.Value
	}
	return g
}

// get returns a number that the form needs.
func (g *given) get(id guide.ID) float64 {
	v, ok := g.at[id]
	if !ok || math.IsNaN(v) || math.IsInf(v, 0) {
		g.miss = append(g.miss, id)
	}
	return v
}

// or returns a number that has a default.
func (g *given) or(id guide.ID, v float64) float64 {
	if w, ok := g.at[id]; ok {
		return w
	}
	return v
}

func (g *given) err(positive ...float64) error {
	if len(g.miss) > 0 {
		return fmt.Errorf("the form %s needs the numbers %v", g.law.Form, g.miss)
	}
	for _, v := range positive {
		if !(v > 0) {
			return fmt.Errorf("a number of the form %s must be above 0 and is %g", g.law.Form, v)
		}
	}
	return nil
}

// forms make a curve of the numbers of a law.
var forms = map[guide.LawForm]func(*Curve, *given) error{
	guide.NTCBeta:       (*Curve).ntc,
	guide.SteinhartHart: (*Curve).steinhart,
	guide.Platinum:      (*Curve).platinum,
	guide.Linear:        (*Curve).linear,
	guide.Ratiometric:   (*Curve).ratiometric,
	guide.CopperLaw:     (*Curve).copper,
	guide.TableLaw:      (*Curve).table,
	guide.TypeK:         (*Curve).typeK,
}

// thermal makes the curve one of the temperature in °C; lowest and highest
// are the range of the form.
func (c *Curve) thermal(lowest, highest float64, at func(celsius float64) float64, back func(y float64) float64) error {
	in, err := quantity.Of(0, "°C").In(c.from)
	if err != nil {
		return fmt.Errorf("the form %s depends on a temperature, not on %s", c.form, c.from)
	}
	scale := quantity.Of(1, "°C")
	one, _ := scale.In(c.from)
	per := one.Number - in.Number // of the unit for one °C
	toCelsius := func(x float64) float64 { return (x - in.Number) / per }
	c.at = func(x, _ float64) float64 { return at(toCelsius(x)) }
	if back != nil {
		c.back = func(y, _ float64) float64 { return back(y)*per + in.Number }
	}
	c.lowest, c.highest = lowest*per+in.Number, highest*per+in.Number
	return nil
}

// ntc: R = r0 exp(beta (1/T - 1/T0)), T in K.
func (c *Curve) ntc(g *given) error {
	r0, beta, t0 := g.get("r0"), g.get("beta"), g.get("t0")+kelvin
	if err := g.err(r0, beta, t0); err != nil {
		return err
	}
	return c.thermal(-kelvin+1, math.Inf(1),
		func(t float64) float64 { return r0 * math.Exp(beta*(1/(t+kelvin)-1/t0)) },
		func(r float64) float64 { return 1/(math.Log(r/r0)/beta+1/t0) - kelvin })
}

// steinhart: 1/T = a + b ln R + c (ln R)³, R in Ω, T in K.
func (c *Curve) steinhart(g *given) error {
	a, b, k := g.get("a"), g.get("b"), g.get("c")
	if err := g.err(b, k); err != nil {
		return err
	}
	return c.thermal(-kelvin+1, math.Inf(1),
		func(t float64) float64 {
			x := (a - 1/(t+kelvin)) / k
			y := math.Sqrt(math.Pow(b/(3*k), 3) + x*x/4)
			return math.Exp(math.Cbrt(y-x/2) - math.Cbrt(y+x/2))
		},
		func(r float64) float64 {
			ln := math.Log(r)
			return 1/(a+b*ln+k*ln*ln*ln) - kelvin
		})
}

// platinum: Callendar–Van Dusen with the coefficients of IEC 60751.
func (c *Curve) platinum(g *given) error {
	r0 := g.get("r0")
	if err := g.err(r0); err != nil {
		return err
	}
	return c.thermal(platinumLowest, platinumHighest, func(t float64) float64 {
		w := 1 + platinumA*t + platinumB*t*t
		if t < 0 {
			w += platinumC * (t - 100) * t * t * t
		}
		return r0 * w
	}, nil)
}

// PlatinumTolerance returns the permitted deviation of class A or B at a
// temperature in °C, in kelvin (IEC 60751); 0 for any other class.
func PlatinumTolerance(class string, celsius float64) float64 {
	switch class {
	case "A":
		return 0.15 + 0.002*math.Abs(celsius)
	case "B":
		return 0.3 + 0.005*math.Abs(celsius)
	}
	return 0
}

// copper: R = r20 (1 + alpha (t - 20 °C)).
func (c *Curve) copper(g *given) error {
	r20, alpha := g.get("r20"), g.or("alpha", CopperAlpha)
	if err := g.err(r20, alpha); err != nil {
		return err
	}
	return c.thermal(20-1/alpha, math.Inf(1),
		func(t float64) float64 { return r20 * (1 + alpha*(t-20)) },
		func(r float64) float64 { return 20 + (r/r20-1)/alpha })
}

// linear: offset + slope x, in the units of the law.
func (c *Curve) linear(g *given) error {
	offset, slope := g.get("offset"), g.get("slope")
	if err := g.err(math.Abs(slope)); err != nil {
		return err
	}
	c.at = func(x, _ float64) float64 { return offset + slope*x }
	c.back = func(y, _ float64) float64 { return (y - offset) / slope }
	return nil
}

// ratiometric: supply (offset + slope x), volts.
func (c *Curve) ratiometric(g *given) error {
	offset, slope := g.get("offset"), g.get("slope")
	if err := g.err(math.Abs(slope)); err != nil {
		return err
	}
	one, err := quantity.Of(1, "V").In(c.of)
	if err != nil {
		return fmt.Errorf("a ratiometric law gives a voltage, not %s", c.of)
	}
	c.at = func(x, s float64) float64 { return one.Number * s * (offset + slope*x) }
	c.back = func(y, s float64) float64 { return (y/(one.Number*s) - offset) / slope }
	return nil
}

// table: straight lines between the points.
func (c *Curve) table(g *given) error {
	p := g.law.Points
	if len(p) < 2 {
		return fmt.Errorf("a table needs at least two points, it has %d", len(p))
	}
	for i := 1; i < len(p); i++ {
		switch {
		case !(p[i][0] > p[i-1][0]):
			return fmt.Errorf("the points of a table must rise: %g after %g", p[i][0], p[i-1][0])
		case !((p[i][1] > p[i-1][1]) == (p[1][1] > p[0][1])) || p[i][1] == p[i-1][1]:
			return fmt.Errorf("the values of a table must all rise or all fall: %g after %g", p[i][1], p[i-1][1])
		}
	}
	c.lowest, c.highest = p[0][0], p[len(p)-1][0]
	c.at = func(x, _ float64) float64 {
		i := 1
		for i < len(p)-1 && x > p[i][0] {
			i++
		}
		a, b := p[i-1], p[i]
		return a[1] + (x-a[0])/(b[0]-a[0])*(b[1]-a[1])
	}
	return nil
}

// Beta returns the beta of an NTC through two points, °C and Ω.
func Beta(t1, r1, t2, r2 float64) float64 {
	return math.Log(r1/r2) / (1/(t1+kelvin) - 1/(t2+kelvin))
}

// Steinhart returns the three numbers of a Steinhart–Hart law through three
// points, °C and Ω. Points that coincide give NaN.
func Steinhart(p [3][2]float64) (a, b, c float64) {
	var l, y [3]float64
	for i := range p {
		l[i], y[i] = math.Log(p[i][1]), 1/(p[i][0]+kelvin)
	}
	g2 := (y[1] - y[0]) / (l[1] - l[0])
	g3 := (y[2] - y[0]) / (l[2] - l[0])
	c = (g3 - g2) / (l[2] - l[1]) / (l[0] + l[1] + l[2])
	b = g2 - c*(l[0]*l[0]+l[0]*l[1]+l[1]*l[1])
	a = y[0] - (b+l[0]*l[0]*c)*l[0]
	return a, b, c
}
