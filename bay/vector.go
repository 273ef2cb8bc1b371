package bay

import (
	"math"

	"elbowroom/guide"
)

// vec is a place or a direction in the frame of the bay, millimetres.
type vec = guide.Point

var unit = [3]vec{{X: 1}, {Y: 1}, {Z: 1}}

func add(a, b vec) vec                { return vec{X: a.X + b.X, Y: a.Y + b.Y, Z: a.Z + b.Z} }
func sub(a, b vec) vec                { return vec{X: a.X - b.X, Y: a.Y - b.Y, Z: a.Z - b.Z} }
func scale(a vec, f float64) vec      { return vec{X: a.X * f, Y: a.Y * f, Z: a.Z * f} }
func along(a, d vec, t float64) vec   { return add(a, scale(d, t)) }
func dot(a, b vec) float64            { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }
func length(a vec) float64            { return math.Sqrt(dot(a, a)) }
func middle(a, b vec) vec             { return scale(add(a, b), 0.5) }
func lower(a, b vec) vec              { return each(a, b, math.Min) }
func upper(a, b vec) vec              { return each(a, b, math.Max) }
func clamp(x, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, x)) }

func cross(a, b vec) vec {
	return vec{X: a.Y*b.Z - a.Z*b.Y, Y: a.Z*b.X - a.X*b.Z, Z: a.X*b.Y - a.Y*b.X}
}

func each(a, b vec, f func(x, y float64) float64) vec {
	return vec{X: f(a.X, b.X), Y: f(a.Y, b.Y), Z: f(a.Z, b.Z)}
}

// normal returns a of length 1; ok is false when a is too short to have a
// direction.
func normal(a vec) (n vec, ok bool) {
	l := length(a)
	if l < shortest {
		return vec{}, false
	}
	return scale(a, 1/l), true
}

func parts3(a vec) [3]float64 { return [3]float64{a.X, a.Y, a.Z} }

// turned returns the three unit axes after turning by the given degrees about
// x, then y, then z of the bay.
func turned(degrees vec) [3]vec {
	if degrees == (vec{}) {
		return unit
	}
	axes := unit
	for i, deg := range parts3(degrees) {
		sin, cos := math.Sincos(deg * math.Pi / 180)
		for j := range axes {
			axes[j] = spin(axes[j], i, sin, cos)
		}
	}
	return axes
}

// spin turns a about axis i of the bay.
func spin(a vec, i int, sin, cos float64) vec {
	switch i {
	case 0:
		return vec{X: a.X, Y: a.Y*cos - a.Z*sin, Z: a.Y*sin + a.Z*cos}
	case 1:
		return vec{X: a.X*cos + a.Z*sin, Y: a.Y, Z: -a.X*sin + a.Z*cos}
	}
	return vec{X: a.X*cos - a.Y*sin, Y: a.X*sin + a.Y*cos, Z: a.Z}
}

func sign(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}
