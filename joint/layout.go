package joint

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Form is how the places of a layout lie.
type Form string

// The forms.
const (
	Circle Form = "circle"
	Grid   Form = "grid"
	Row    Form = "row"
)

// Layout is the fasteners of a joint as places with the order in which they
// are tightened. A guide says how many there are and in which pattern, not
// where they sit: the places are a scheme to count by, not a drawing.
type Layout struct {
	Pattern string // as the guide has it; empty when it says nothing
	Form    Form
	Places  []Spot // numbered from 1: round the circle clockwise from the top, or row by row
	Order   []int  // numbers of the places as they are tightened; nil when no order is written down
	Says    string // the order in words
	Wrong   string // what is wrong with the pattern, so that no order can be drawn
}

// Spot is a place in shares of the drawing, 0 to 1, y downwards.
type Spot struct{ X, Y float64 }

// mostPlaces bounds what is laid out; a guide's joint has no more.
const mostPlaces = 200

// Lay lays out count fasteners in a pattern: crosswise, spiral, outwards,
// inwards, or numbers such as 1-3-2-4, which are the places in their order. An
// empty or unknown pattern has places and no order.
func Lay(pattern string, count int) Layout {
	l := Layout{Pattern: pattern}
	if count < 1 || count > mostPlaces {
		l.Form, l.Wrong = Row, fmt.Sprintf("%d fasteners cannot be laid out; 1 to %d can", count, mostPlaces)
		return l
	}
	if count == 1 {
		l.Form, l.Places, l.Order = Row, row(1, 0.5), []int{1}
		return l
	}
	switch pattern {
	case "crosswise":
		l.circle(count)
		l.Order, l.Says = crosswise(count), "crosswise: each next one opposite, then between"
	case "spiral":
		l.grid(count, squarish(count))
		l.Order, l.Says = l.fromMiddle(), "spiral: from the middle outwards"
	case "outwards":
		l.grid(count, rowsOf(count))
		l.Order, l.Says = l.fromMiddle(), "from the middle outwards"
	case "inwards":
		l.grid(count, rowsOf(count))
		l.Order, l.Says = l.fromMiddle(), "from the ends to the middle"
		slices.Reverse(l.Order)
	case "":
		l.grid(count, rowsOf(count))
		l.Says = "no order is written down"
	default:
		l.written(count)
	}
	return l
}

// written lays out a pattern that is given by numbers.
func (l *Layout) written(count int) {
	l.circle(count)
	order, ok := numbers(l.Pattern)
	if !ok {
		l.Says = "in the order that the guide names: " + l.Pattern
		return
	}
	seen := make([]bool, count+1)
	for _, n := range order {
		if n < 1 || n > count || seen[n] {
			l.Wrong = fmt.Sprintf("the order %s does not name each of the %d fasteners once", l.Pattern, count)
			return
		}
		seen[n] = true
	}
	if len(order) != count {
		l.Wrong = fmt.Sprintf("the order %s names %d of the %d fasteners", l.Pattern, len(order), count)
		return
	}
	l.Order, l.Says = order, "in the order "+l.Pattern
}

// numbers reads "1-3-2-4"; false when the pattern is words.
func numbers(pattern string) ([]int, bool) {
	var out []int
	for _, s := range strings.Split(pattern, "-") {
		n, err := strconv.Atoi(s)
		if err != nil {
			return nil, false
		}
		out = append(out, n)
	}
	return out, true
}

// circle puts the places on a circle, clockwise from the top.
func (l *Layout) circle(n int) {
	l.Form = Circle
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		l.Places = append(l.Places, Spot{0.5 + 0.5*math.Sin(a), 0.5 - 0.5*math.Cos(a)})
	}
}

// grid puts the places in rows, row by row; a last row that is not full stands
// in the middle.
func (l *Layout) grid(n, rows int) {
	l.Form = Grid
	if rows == 1 {
		l.Form, l.Places = Row, row(n, 0.5)
		return
	}
	wide := (n + rows - 1) / rows
	for i := range rows {
		have := min(wide, n-i*wide)
		for _, s := range row(have, float64(i)/float64(rows-1)) {
			s.X = 0.5 + (s.X-0.5)*float64(max(have-1, 0))/float64(max(wide-1, 1))
			l.Places = append(l.Places, s)
		}
	}
}

// row puts n places side by side.
func row(n int, y float64) []Spot {
	var out []Spot
	for i := range n {
		x := 0.5
		if n > 1 {
			x = float64(i) / float64(n-1)
		}
		out = append(out, Spot{x, y})
	}
	return out
}

// Largest counts that stand in one row and in two.
const (
	mostInRow  = 3
	mostInTwos = 40
)

// rowsOf returns how many rows a flange of so many fasteners is drawn with.
func rowsOf(n int) int {
	switch {
	case n <= mostInRow:
		return 1
	case n <= mostInTwos:
		return 2
	}
	return squarish(n)
}

// squarish returns how many rows make a grid nearest to a square.
func squarish(n int) int {
	if n <= mostInRow {
		return 1
	}
	return max(int(math.Sqrt(float64(n))), 2)
}

// fromMiddle orders the places by their distance from the middle; equally far
// ones follow each other opposite by opposite.
func (l *Layout) fromMiddle() []int {
	wide, high := 1.0, 1.0
	if rows := l.rows(); rows > 1 {
		wide, high = float64((len(l.Places)+rows-1)/rows-1), float64(rows-1)
	}
	far := func(n int) float64 {
		s := l.Places[n-1]
		return math.Round(1e6 * math.Hypot((s.X-0.5)*wide, (s.Y-0.5)*high)) // equal distances must compare equal
	}
	left := make([]int, len(l.Places))
	for i := range left {
		left[i] = i + 1
	}
	slices.SortStableFunc(left, func(a, b int) int { return cmp.Compare(far(a), far(b)) })
	var out []int
	for len(left) > 0 {
		i := l.opposite(out, left, far)
		out = append(out, left[i])
		left = slices.Delete(left, i, i+1)
	}
	return out
}

// opposite returns the index of the place, among those nearest the middle,
// that lies furthest from the last one.
func (l *Layout) opposite(done, left []int, far func(int) float64) int {
	best := 0
	if len(done) == 0 {
		return best
	}
	last := l.Places[done[len(done)-1]-1]
	away := func(n int) float64 {
		s := l.Places[n-1]
		return math.Round(1e6 * math.Hypot(s.X-last.X, s.Y-last.Y))
	}
	for i := 1; i < len(left) && far(left[i]) == far(left[0]); i++ {
		if away(left[i]) > away(left[best]) {
			best = i
		}
	}
	return best
}

// rows counts the rows of a grid.
func (l *Layout) rows() int {
	seen := map[float64]bool{}
	for _, s := range l.Places {
		seen[s.Y] = true
	}
	return len(seen)
}

// crosswise orders n places round a circle: the opposite of the last one while
// it is free, else the one furthest from all that are done, and of several the
// one furthest from the last.
func crosswise(n int) []int {
	done := make([]bool, n)
	near := make([][]int, n) // for each place, how many done ones lie at each distance
	for i := range near {
		near[i] = make([]int, n/2+1)
	}
	var out []int
	last := 0
	for len(out) < n {
		next := pick(done, near, last, len(out))
		done[next], last = true, next
		out = append(out, next+1)
		for i := range n {
			near[i][apart(i, next, n)]++
		}
	}
	return out
}

// pick chooses the next place of crosswise.
func pick(done []bool, near [][]int, last, count int) int {
	n := len(done)
	if count == 0 {
		return 0
	}
	if opposite := (last + n/2) % n; n%2 == 0 && !done[opposite] {
		return opposite
	}
	best := -1
	for i := range n {
		if done[i] {
			continue
		}
		if best < 0 || cmp.Or(slices.Compare(near[i], near[best]), cmp.Compare(apart(best, last, n), apart(i, last, n))) < 0 {
			best = i
		}
	}
	return best
}

// apart counts the steps between two places round a circle, the short way.
func apart(a, b, n int) int {
	d := (a - b + n) % n
	return min(d, n-d)
}
