package record

import (
	"bytes"
	"math/rand/v2"
	"strconv"
	"testing"

	"elbowroom/guide"
)

// numeric returns a recording of 30 channels with the given rows.
func numericRecording(rows int) []byte {
	rng := rand.New(rand.NewPCG(30, 1))
	var b []byte
	b = append(b, "time (s)"...)
	for i := 1; i < 30; i++ {
		b = append(b, ",channel "...)
		b = strconv.AppendInt(b, int64(i), 10)
	}
	b = append(b, '\n')
	level := make([]float64, 30)
	for r := range rows {
		b = strconv.AppendFloat(b, float64(r)/100, 'f', 2, 64)
		for i := 1; i < 30; i++ {
			level[i] += rng.NormFloat64()
			b = append(b, ',')
			b = strconv.AppendFloat(b, level[i]+float64(i*i), 'f', i%4, 64)
		}
		b = append(b, '\n')
	}
	return b
}

func BenchmarkRead(b *testing.B) {
	data := numericRecording(100_000)
	m := Mapping{Channels: []Channel{{Name: "channel 5", Nth: 1, Meaning: "coolant", In: "°C"}, {Name: "channel 9", Nth: 1, Meaning: "speed", In: "rpm"}}}
	req := Request{Mapping: m, Questions: []Question{{Name: "T", Judged: "speed", When: []guide.Clause{clause(b, "coolant >= 80 °C"), clause(b, "speed 70..800 rpm")}}}}
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		rec := Read(bytes.NewReader(data), req)
		if rec.Counts.Rows != 100_000 || rec.Counts.Numbers != 30*100_000 {
			b.Fatalf("%+v", rec.Counts)
		}
	}
}
