package app_test

import (
	"bytes"
	"testing"

	"elbowroom/app"
	"elbowroom/report"
)

// BenchmarkPlanOnPaper takes a plan that is made and prints it: valley, cards and
// the drawing of the bay.
func BenchmarkPlanOnPaper(b *testing.B) {
	a := paperApp(b)
	ans, err := a.Plan(paperCases[0].ask)
	if err != nil {
		b.Fatal(err)
	}
	scene, _, err := a.Scene(app.Ask{Machine: "V1"})
	if err != nil {
		b.Fatal(err)
	}
	var out bytes.Buffer
	for b.Loop() {
		out.Reset()
		if err := a.PlanPaper(ans, scene, nil).PDF(&out, report.A4); err != nil {
			b.Fatal(err)
		}
	}
	if out.Len() < 20_000 {
		b.Fatalf("%d bytes: hardly anything was printed", out.Len())
	}
	b.ReportMetric(float64(out.Len()), "B")
}
