package joblog

import (
	"fmt"
	"testing"

	"elbowroom/guide"
	"elbowroom/plan"
)

func TestDebugStory(t *testing.T) {
	ines := newPhone("j1", "pellow", "phone-a")
	ines.write(t, 0, &Arrived{Machine: "V1", Complaint: "lazy on hills"})
	body := planned(t, plan.Request{Tasks: []plan.Task{task(guide.Replace, "SE13"), proof("T40")}})
	id := ines.write(t, 1, body)
	for i := range body.Steps {
		ines.write(t, 5, &StepDone{Plan: id, Step: i + 1, Lies: "bench"})
		s := Fold(ines.log, demoBasis(t))
		fmt.Println("----", i+1, s.Out, s.In)
		if i < 12 || i > 28 {
			for _, l := range s.Handover().Sentences() {
				fmt.Println("  ", l)
			}
		}
	}
	s := Fold(ines.log, demoBasis(t))
	fmt.Println(s.Unclosable())
	for _, w := range s.Worked {
		fmt.Println(w)
	}
}
