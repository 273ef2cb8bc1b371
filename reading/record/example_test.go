package record_test

import (
	"fmt"
	"strings"

	"elbowroom/guide"
	"elbowroom/reading/record"
)

// A minute of warm idle is found in a recording, and its mean comes with an
// uncertainty.
func Example() {
	var file strings.Builder
	file.WriteString("Zeit (s);ECT (°C);Motordrehzahl (1/min)\n")
	for i := range 900 {
		speed := 2000
		if i >= 200 {
			speed = 748 + i%5
		}
		file.WriteString(strings.ReplaceAll(fmt.Sprintf("%.1f;88.5;%d\n", float64(i)/10, speed), ".", ","))
	}
	format, _ := record.Look([]byte(file.String()), true, record.Says{})
	mapping := record.Map(&format, record.Mapping{}, nil)
	fmt.Print(mapping)

	warm, _ := guide.Parse[guide.Clause]("coolant >= 80 °C")
	idle, _ := guide.Parse[guide.Clause]("speed 700..800 rpm")
	rec := record.Read(strings.NewReader(file.String()), record.Request{
		Mapping: mapping, Questions: []record.Question{{Name: "idle speed", Judged: "speed", When: []guide.Clause{warm, idle}}},
	})
	answer := rec.Answers[0]
	fmt.Println(rec.Outcome, answer.Says)
	for _, s := range answer.Stretches {
		fmt.Printf("lines %d to %d: %.0f ± %.1f %s\n", s.First, s.Last, s.Judged.Mean, 2*s.Judged.Uncertainty, s.Judged.Unit)
	}
	// Output:
	// source 1594dc3a7922de70
	// "ECT" [°C] -> coolant in °C; guess: "ect" is written for coolant
	// "Motordrehzahl" [1/min] -> speed in rpm; guess: "motordrehzahl" is written for speed
	// whole The conditions held steadily once, for 56 s.
	// lines 342 to 901: 750 ± 0.6 rpm
}
