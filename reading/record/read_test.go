package record

import (
	"fmt"
	"strings"
	"testing"

	"elbowroom/guide"
)

func clause(t testing.TB, text string) guide.Clause {
	t.Helper()
	c, err := guide.Parse[guide.Clause](text)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestFirstLook(t *testing.T) {
	var b strings.Builder
	b.WriteString("Logger 3\nStarted;today\n\nTime (s);Coolant temp (°C);RPM;Ölpressure [bar];State\n")
	for i := range 3000 {
		fmt.Fprintf(&b, "%s;%s;%d;%s;idle\n", strings.Replace(fmt.Sprintf("%.1f", float64(i)/10), ".", ",", 1), strings.Replace(fmt.Sprintf("%.1f", min(90, 60+float64(i)/50)), ".", ",", 1), 750+i%7*3, strings.Replace(fmt.Sprintf("%.2f", 1.5+float64(i%5)*.01), ".", ",", 1))
	}
	rec := Read(strings.NewReader(b.String()), Request{})
	t.Logf("%+v", rec.Format)
	m := Map(&rec.Format, Mapping{}, []string{"coolant", "speed", "oil"})
	t.Log(m)
	rec = Read(strings.NewReader(b.String()), Request{Mapping: m, Plot: []string{"coolant"}, Questions: []Question{{Name: "T", Judged: "speed", When: []guide.Clause{clause(t, "coolant >= 80 °C"), clause(t, "speed 700..800 rpm")}}}})
	t.Logf("%+v", rec.Counts)
	t.Log(rec.Outcome, rec.Findings)
	t.Logf("%+v", rec.Answers)
	t.Logf("%+v", rec.Channels)
}
