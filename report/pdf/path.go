package pdf

// Segment is one piece of a path: M and L with one point, C with three (two of
// control, then the end), Z without any.
type Segment struct {
	Op byte
	P  [3]Point
}

// Point is a place.
type Point struct{ X, Y float64 }

// Rect returns the path of an upright rectangle.
func Rect(x, y, w, h float64) []Segment {
	return []Segment{
		{'M', [3]Point{{x, y}}},
		{'L', [3]Point{{x + w, y}}},
		{'L', [3]Point{{x + w, y + h}}},
		{'L', [3]Point{{x, y + h}}},
		{Op: 'Z'},
	}
}

// Line returns the path of a straight line.
func Line(x1, y1, x2, y2 float64) []Segment {
	return []Segment{{'M', [3]Point{{x1, y1}}}, {'L', [3]Point{{x2, y2}}}}
}

// Colour is a colour as a screen names it.
type Colour struct{ R, G, B uint8 }

// Black and White.
var (
	Black = Colour{}
	White = Colour{255, 255, 255}
)

// Grey returns a grey; 0 is black, 255 white.
func Grey(v uint8) Colour { return Colour{v, v, v} }

// Paint says how a path is filled and stroked. The zero value draws nothing.
type Paint struct {
	Fill      *Colour
	Pattern   *Pattern // over Fill
	FillAlpha float64  // 0 means opaque

	Stroke      *Colour
	StrokeAlpha float64 // 0 means opaque
	Width       float64
	Dash        []float64
	Round       bool // ends and corners
}

// Pattern is a tile that fills an area, in its own units from 0,0 to W,H.
type Pattern struct {
	W, H  float64
	Parts []Part
}

// Part is one path of a pattern. Patterns in patterns are left out.
type Part struct {
	Path  []Segment
	Paint Paint
}
