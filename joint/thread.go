package joint

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// ErrThread is wrapped by every error of ParseThread.
var ErrThread = errors.New("not a metric ISO thread")

// The largest thread that ParseThread accepts; beyond it nothing under a
// bonnet is held by screws of this standard.
const largestThread Millimetres = 100

// Ratios of the basic profile, ISO 68-1 and ISO 724: H = √3/2 · P.
var (
	pitchRatio = 3 * math.Sqrt(3) / 8   // d − d2 = 2·(3/8)H = 0.649519 P
	minorRatio = 17 * math.Sqrt(3) / 24 // d − d3 = 2·(17/24)H = 1.226869 P
)

// Thread is a metric ISO thread by its nominal diameter and pitch.
type Thread struct {
	Diameter Millimetres
	Pitch    Millimetres
}

// size holds what the standards tabulate for one nominal diameter.
type size struct {
	diameter Millimetres
	pitch    Millimetres // coarse, ISO 262
	face     Millimetres // least washer-face diameter dw of the hexagon head, ISO 4014 grade A; 0 where not tabulated
	hole     Millimetres // medium clearance hole dh, ISO 273
}

// sizes is ordered by diameter. Pitches as printed in ISO 262; washer faces as
// printed in ISO 4014, M7 as s·0.95 of its 10.78 mm width.
var sizes = []size{
	{1.6, 0.35, 2.27, 1.8},
	{2, 0.4, 3.07, 2.4},
	{2.5, 0.45, 4.07, 2.9},
	{3, 0.5, 4.57, 3.4},
	{3.5, 0.6, 0, 3.9},
	{4, 0.7, 5.88, 4.5},
	{5, 0.8, 6.88, 5.5},
	{6, 1, 8.88, 6.6},
	{7, 1, 9.63, 7.6},
	{8, 1.25, 11.63, 9},
	{10, 1.5, 14.63, 11},
	{12, 1.75, 16.63, 13.5},
	{14, 2, 19.64, 15.5},
	{16, 2, 22.49, 17.5},
	{18, 2.5, 0, 20},
	{20, 2.5, 28.19, 22},
	{22, 2.5, 0, 24},
	{24, 3, 33.61, 26},
}

// ParseThread reads "M8", "M8x1", "M 8 x 1.25" or "M12×1,5". A thread without
// a pitch is the coarse one. The error wraps ErrThread and says what is wrong.
func ParseThread(s string) (Thread, error) {
	text := strings.NewReplacer(" ", "", "×", "x", "X", "x", ",", ".").Replace(s)
	body, ok := strings.CutPrefix(text, "M")
	if !ok || body == "" {
		return Thread{}, fmt.Errorf("%q: %w: write it like M8 or M8x1", s, ErrThread)
	}
	first, second, fine := strings.Cut(body, "x")
	d, err := number(first)
	if err != nil || d > largestThread {
		return Thread{}, fmt.Errorf("%q: %w: %q is no diameter in mm up to %g", s, ErrThread, first, largestThread)
	}
	if !fine {
		p, ok := CoarsePitch(d)
		if !ok {
			return Thread{}, fmt.Errorf("%q: %w: no coarse pitch is known for this diameter; write the pitch", s, ErrThread)
		}
		return Thread{d, p}, nil
	}
	p, err := number(second)
	if err != nil {
		return Thread{}, fmt.Errorf("%q: %w: %q is no pitch in mm", s, ErrThread, second)
	}
	t := Thread{d, p}
	if coarse, ok := CoarsePitch(d); ok && p > coarse {
		return Thread{}, fmt.Errorf("%q: %w: no pitch is larger than the coarse one of %g mm", s, ErrThread, coarse)
	}
	if t.MinorDiameter() <= 0 {
		return Thread{}, fmt.Errorf("%q: %w: a pitch of %g mm leaves no core", s, ErrThread, p)
	}
	return t, nil
}

func number(s string) (Millimetres, error) {
	if strings.Trim(s, "0123456789.") != "" {
		return 0, strconv.ErrSyntax
	}
	n, err := strconv.ParseFloat(s, 64)
	if err != nil || n <= 0 {
		return 0, strconv.ErrSyntax
	}
	return Millimetres(n), nil
}

// CoarsePitch returns the coarse pitch of a nominal diameter (ISO 262) and
// whether one is known.
func CoarsePitch(d Millimetres) (Millimetres, bool) {
	for _, s := range sizes {
		if s.diameter == d {
			return s.pitch, true
		}
	}
	return 0, false
}

// String prints "M8" for a coarse thread and "M8x1" for any other.
func (t Thread) String() string {
	if t.Coarse() {
		return fmt.Sprintf("M%g", t.Diameter)
	}
	return fmt.Sprintf("M%gx%g", t.Diameter, t.Pitch)
}

// Coarse reports whether the pitch is the coarse one of the diameter.
func (t Thread) Coarse() bool {
	p, ok := CoarsePitch(t.Diameter)
	return ok && p == t.Pitch
}

// PitchDiameter returns d2 (ISO 724).
func (t Thread) PitchDiameter() Millimetres {
	return t.Diameter - Millimetres(pitchRatio)*t.Pitch
}

// MinorDiameter returns d3, the core at the rounded root (ISO 724).
func (t Thread) MinorDiameter() Millimetres {
	return t.Diameter - Millimetres(minorRatio)*t.Pitch
}

// stressDiameter is the mean of d2 and d3.
func (t Thread) stressDiameter() Millimetres {
	return (t.PitchDiameter() + t.MinorDiameter()) / 2
}

// StressArea returns As = π/4 · ((d2+d3)/2)² (ISO 898-1, 9.1.6).
func (t Thread) StressArea() SquareMillimetres {
	d := float64(t.stressDiameter())
	return SquareMillimetres(math.Pi / 4 * d * d)
}

// BearingDiameter returns DKm, the mean friction diameter under a hexagon
// head: the mean of washer face (ISO 4014) and medium hole (ISO 273). Between
// tabulated diameters it is interpolated, outside them it grows with d.
func (t Thread) BearingDiameter() Millimetres {
	var below, above size
	for _, s := range sizes {
		switch {
		case s.face == 0:
		case s.diameter == t.Diameter:
			return (s.face + s.hole) / 2
		case s.diameter < t.Diameter:
			below = s
		case above.diameter == 0:
			above = s
		}
	}
	low, high := (below.face+below.hole)/2, (above.face+above.hole)/2
	switch {
	case below.diameter == 0:
		return high * t.Diameter / above.diameter
	case above.diameter == 0:
		return low * t.Diameter / below.diameter
	}
	return low + (high-low)*(t.Diameter-below.diameter)/(above.diameter-below.diameter)
}
