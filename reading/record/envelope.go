package record

import "math"

// Trace is one channel over time as the least and most value of equal steps of
// time, so that a spike of a single row stays visible however long the
// recording is. Steps without a value hold NaN.
type Trace struct {
	Channel string
	Unit    string // as shown
	From    float64
	Step    float64 // seconds
	Every   float64 // usual seconds between values, 0 when not known
	Least   []float64
	Most    []float64
}

// firstStep is the step of time a trace begins with, in seconds; it doubles
// whenever the steps are used up.
const firstStep = 1.0 / 1024

// envelope collects a trace without knowing how long the recording is.
type envelope struct {
	column int
	Trace
	most int // steps
}

func newEnvelope(column, steps int, from float64) *envelope {
	return &envelope{column: column, most: max(2, steps+steps%2), Trace: Trace{From: from, Step: firstStep}}
}

// add takes a value at a time at or after From.
func (e *envelope) add(t, v float64) {
	at := (t - e.From) / e.Step
	if !(at >= 0) {
		return
	}
	for at >= float64(e.most) {
		e.join()
		at = (t - e.From) / e.Step
	}
	i := int(at)
	for len(e.Least) <= i {
		e.Least = append(e.Least, nan)
		e.Most = append(e.Most, nan)
	}
	if !(e.Least[i] <= v) {
		e.Least[i] = v
	}
	if !(e.Most[i] >= v) {
		e.Most[i] = v
	}
}

// join makes every two steps one.
func (e *envelope) join() {
	n := (len(e.Least) + 1) / 2
	for i := range n {
		low, high := e.Least[2*i], e.Most[2*i]
		if 2*i+1 < len(e.Least) {
			low, high = lesser(low, e.Least[2*i+1]), greater(high, e.Most[2*i+1])
		}
		e.Least[i], e.Most[i] = low, high
	}
	e.Least, e.Most = e.Least[:n], e.Most[:n]
	e.Step *= 2
}

// lesser returns the lesser of two numbers, the other one beside NaN.
func lesser(a, b float64) float64 {
	if b < a || math.IsNaN(a) {
		return b
	}
	return a
}

// greater returns the greater of two numbers, the other one beside NaN.
func greater(a, b float64) float64 {
	if b > a || math.IsNaN(a) {
		return b
	}
	return a
}
