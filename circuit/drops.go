package circuit

import (
	"fmt"
	"math"
	"slices"
)

// Measured is a voltage that somebody read, with its standard uncertainty.
type Measured struct {
	Name        string
	At, Against Point
	Volts, U    Volts
}

// Carried is a current that somebody read, by a clamp around a spot.
type Carried struct {
	Name       string
	Through    Spot
	Amperes, U Amperes
}

// Standard is a stretch whose resistance is known well enough to give the
// current away: a load, the element of a fuse.
type Standard struct {
	Name     string
	From, To Point
	Ohm, U   Ohms
}

// Drops is what was measured along a path.
type Drops struct {
	Path      Path
	Volts     []Measured
	Amps      []Carried
	Standards []Standard
	Copper    Copper
}

// Finding is what the readings say of a stretch.
type Finding string

// The findings.
const (
	Sound   Finding = "sound"                      // no more resistance than the readings can tell
	TooMuch Finding = "too much resistance"        // more than its wiring, beyond doubt
	Rises   Finding = "the voltage rises along it" // which no resistance does
	Load    Finding = "a load, not judged"
	Unknown Finding = "not known"
)

// coverage is how many standard uncertainties make a finding (about 95 %).
const coverage = 2

// Stretch lies between two neighbouring points that were measured.
type Stretch struct {
	From, To Point
	Spots    []Spot
	Drop     Volts
	UDrop    Volts
	Ohm, U   Ohms // as measured, with its standard uncertainty; NaN without a current
	Expected Ohms // by the guide
	Extra    Ohms // Ohm - Expected
	Shows    Ohms // the smallest extra resistance that would have shown
	Finding  Finding
}

// Located is what the readings along a path say.
type Located struct {
	Stretches []Stretch
	Worst     int // stretch with the greatest extra resistance that counts, -1 for none
	// Chi is the sum of squared misfits in standard uncertainties over Spare
	// readings more than needed; Odds is how often chance alone does worse.
	Chi        float64
	Spare      int
	Odds       float64
	Contradict bool     // Odds is below contradiction
	Doubt      []string // then: the readings that fit worst
	Says       string
	Quiet      string // why nothing can be said
}

// contradiction is the chance below which readings contradict each other.
const contradiction = 0.01

// Locate finds which stretch of a path holds more resistance than its wiring,
// by least squares over all readings: unknown are the voltages of the points
// and the current of every part of the path that nothing branches off. The
// error wraps ErrGraph and names readings that cannot be used: off the path,
// without uncertainty, a standard across a branch.
func (g *Graph) Locate(d Drops) (Located, error) {
	f, err := g.fit(&d)
	if err != nil {
		return Located{}, err
	}
	if !f.settle() {
		return Located{Worst: -1, Quiet: f.quiet}, nil
	}
	out := Located{Worst: -1, Chi: f.chi, Spare: f.spare, Odds: chiSquare(f.chi, f.spare)}
	if out.Odds < contradiction {
		out.Contradict, out.Doubt = true, f.doubt()
	}
	f.stretches(&out)
	out.Says = g.sayLocated(&out)
	return out, nil
}

// stretches works out every stretch between neighbouring points.
func (f *fit) stretches(out *Located) {
	for i := 1; i < len(f.points); i++ {
		a, b := f.points[i-1], f.points[i]
		s := Stretch{From: f.at(a), To: f.at(b), Spots: f.d.Path.Spots[a:b], Finding: Unknown, Ohm: Ohms(math.NaN()), U: Ohms(math.NaN()), Extra: Ohms(math.NaN()), Shows: Ohms(math.NaN())}
		for _, spot := range s.Spots {
			s.Expected += f.g.wiring(spot, f.d.Copper)
		}
		drop, u, tied := f.combine(a, b)
		if !tied {
			s.Drop, s.UDrop = Volts(math.NaN()), Volts(math.NaN())
			out.Stretches = append(out.Stretches, s)
			continue
		}
		s.Drop, s.UDrop = Volts(drop), Volts(u)
		if flow := f.flow[a]; flow == f.flow[b-1] && f.current(flow) != 0 {
			f.judge(&s, a, b, flow)
		}
		if s.Finding == TooMuch && (out.Worst < 0 || s.Extra > out.Stretches[out.Worst].Extra) {
			out.Worst = len(out.Stretches)
		}
		out.Stretches = append(out.Stretches, s)
	}
}

func (f *fit) judge(s *Stretch, a, b, flow int) {
	r, u := f.ratio(a, b, flow)
	s.Ohm, s.U = Ohms(r), Ohms(u)
	s.Extra, s.Shows = s.Ohm-s.Expected, coverage*s.U
	switch {
	case slices.ContainsFunc(s.Spots, f.g.isPart):
		s.Finding = Load
	case s.Ohm < -coverage*s.U:
		s.Finding = Rises
	case s.Extra > coverage*s.U:
		s.Finding = TooMuch
	default:
		s.Finding = Sound
	}
}

// isPart reports whether a spot is a thing of its own and not wiring.
func (g *Graph) isPart(s Spot) bool {
	return s.Node >= 0 && !g.isLine(s) && g.Nodes[s.Node].Sort != "ground"
}

// wiring returns the resistance that a healthy spot has by the guide.
func (g *Graph) wiring(s Spot, c Copper) Ohms {
	if s.Node >= 0 {
		return g.Nodes[s.Node].Ohm
	}
	ohm, _ := c.ohm(&g.Wires[s.Wire])
	return ohm
}

func (g *Graph) sayLocated(l *Located) string {
	switch {
	case l.Contradict:
		return fmt.Sprintf("these readings do not fit together (chance does this in %.2g of 100 cases); measure %s again", 100*l.Odds, list(l.Doubt))
	case l.Worst >= 0:
		s := l.Stretches[l.Worst]
		text := fmt.Sprintf("%s ± %s more than its wiring between %s and %s", s.Extra, Ohms(coverage*float64(s.U)), g.Say(s.From), g.Say(s.To))
		for i, other := range l.Stretches {
			if i != l.Worst && other.Finding == TooMuch {
				text += fmt.Sprintf(", and %s ± %s between %s and %s", other.Extra, Ohms(coverage*float64(other.U)), g.Say(other.From), g.Say(other.To))
			}
		}
		return text
	}
	shows := Ohms(math.NaN())
	for _, s := range l.Stretches {
		switch s.Finding {
		case Rises:
			return fmt.Sprintf("the voltage rises from %s to %s along the current, which no resistance does: check which way the leads were held and where", g.Say(s.From), g.Say(s.To))
		case Unknown:
			return fmt.Sprintf("the drop between %s and %s is not enough: no current is known there", g.Say(s.From), g.Say(s.To))
		case Sound:
			if !(shows >= s.Shows) {
				shows = s.Shows
			}
		}
	}
	return fmt.Sprintf("no stretch that was measured holds more resistance than its wiring; %s would have shown", shows)
}

// chiSquare returns how often chance alone exceeds a sum of squares with so
// many degrees of freedom; 1 without any. Closed forms for whole degrees
// (Abramowitz and Stegun 26.4.4 and 26.4.5).
func chiSquare(x float64, dof int) float64 {
	if dof <= 0 || !(x > 0) {
		return 1
	}
	term, sum := 1.0, 0.0
	if dof%2 == 0 {
		for k := 0; k < dof/2; k++ {
			sum += term
			term *= x / 2 / float64(k+1)
		}
		return math.Min(1, math.Exp(-x/2)*sum)
	}
	term = math.Sqrt(2 * x / math.Pi)
	for k := 1; k < dof; k += 2 {
		sum += term
		term *= x / float64(k+2)
	}
	return math.Min(1, math.Erfc(math.Sqrt(x/2))+math.Exp(-x/2)*sum)
}
