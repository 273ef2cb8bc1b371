package main

import (
	"bufio"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
)

// channels is how many columns the table has, the time among them.
const channels = 30

// shape is how one channel wanders and is written.
type shape struct {
	name     string
	middle   float64
	spread   float64
	decimals int
}

// shapes are invented, in the proportions of what an engine's logger writes:
// whole numbers, one to four decimals, small and large, of both signs.
var shapes = [channels]shape{
	{"time (s)", 0, 0, 2},
	{"engine speed (rpm)", 1800, 900, 0},
	{"coolant (°C)", 88, 4, 1},
	{"oil (°C)", 95, 6, 1},
	{"intake air (°C)", 24, 12, 1},
	{"manifold pressure (hPa)", 620, 250, 0},
	{"air mass (g/s)", 21, 14, 2},
	{"throttle (%)", 24, 18, 1},
	{"pedal (%)", 22, 20, 1},
	{"lambda right", 1, 0.05, 4},
	{"lambda left", 1, 0.05, 4},
	{"short right (%)", 0, 6, 2},
	{"short left (%)", 0, 6, 2},
	{"long right (%)", 1.5, 2, 2},
	{"long left (%)", -1.5, 2, 2},
	{"rail pressure (bar)", 96, 40, 1},
	{"low fuel pressure (bar)", 4.9, 0.2, 2},
	{"oil pressure (bar)", 2.4, 0.9, 2},
	{"battery (V)", 14.1, 0.3, 3},
	{"advance (°)", 14, 10, 1},
	{"knock right (V)", 0.8, 0.4, 3},
	{"knock left (V)", 0.8, 0.4, 3},
	{"inlet cam right (°)", 12, 9, 1},
	{"inlet cam left (°)", 12, 9, 1},
	{"exhaust cam right (°)", -6, 5, 1},
	{"exhaust cam left (°)", -6, 5, 1},
	{"road speed (km/h)", 63, 34, 0},
	{"fan (%)", 30, 25, 0},
	{"exhaust gas (°C)", 540, 120, 0},
	{"torque (N·m)", 140, 110, 1},
}

// generate writes a table of about so many bytes. The same seed gives the same
// table everywhere. Rows are written from a pool of wandering states that is
// walked through with a stride, so that writing costs little.
func generate(file string, bytes int64) (rows, size int64, err error) {
	f, err := os.Create(file)
	if err != nil {
		return 0, 0, err
	}
	defer func() {
		if e := f.Close(); err == nil {
			err = e
		}
	}()
	w := bufio.NewWriterSize(f, 1<<20)
	rng := rand.New(rand.NewPCG(20261125, 30))
	var line []byte
	for i, s := range shapes {
		if i > 0 {
			line = append(line, ',')
		}
		line = append(line, s.name...)
	}
	line = append(line, '\n')
	size += int64(len(line))
	if _, err = w.Write(line); err != nil {
		return 0, 0, err
	}
	var level [channels]float64
	for ; size < bytes; rows++ {
		line = strconv.AppendFloat(line[:0], float64(rows)/100, 'f', 2, 64)
		for i := 1; i < channels; i++ {
			s := &shapes[i]
			level[i] += 0.02*(rng.Float64()-0.5) - 0.0002*level[i]
			v := s.middle + s.spread*(4*level[i]+0.02*(rng.Float64()-0.5))
			line = append(line, ',')
			line = appendFixed(line, v, s.decimals)
		}
		line = append(line, '\n')
		size += int64(len(line))
		if _, err = w.Write(line); err != nil {
			return 0, 0, err
		}
	}
	return rows, size, w.Flush()
}

// appendFixed appends a number with fixed decimals.
func appendFixed(b []byte, v float64, decimals int) []byte {
	scale := math.Pow10(decimals)
	n := int64(math.Round(math.Abs(v) * scale))
	if v < 0 && n > 0 {
		b = append(b, '-')
	}
	b = strconv.AppendInt(b, n/int64(scale), 10)
	if decimals == 0 {
		return b
	}
	b = append(b, '.')
	fraction := strconv.AppendInt(nil, n%int64(scale)+int64(scale), 10)
	return append(b, fraction[1:]...)
}
