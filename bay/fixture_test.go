package bay_test

import (
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"elbowroom/bay"
	"elbowroom/guide"
)

// landmarks of the demo engine: what a person finds at once.
var landmarks = []guide.ID{"AR03", "AR04", "AR01", "OL03", "EL02", "CO01", "ST04", "ST05", "CO11", "BD01", "DR03", "ST07"}

var places = []guide.Place{
	{ID: "top", Name: "above", View: guide.FromAbove},
	{ID: "below", Name: "below", View: guide.FromBelow},
	{ID: "cab", Name: "the cab hatch", View: guide.FromRear},
	{ID: "left-arch", Name: "the wheel arch on the left of the vehicle", View: guide.FromLeft},
	{ID: "right-arch", Name: "the wheel arch on the right of the vehicle", View: guide.FromRight},
}

// rows reads a table of invented demo data; an empty table fails the test.
func rows(t testing.TB, file string) [][]string {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 2 {
		t.Fatalf("%s holds no rows", file)
	}
	return all[1:]
}

// demo returns the demo engine on one drive side, "LHD" or "RHD".
func demo(t testing.TB, side guide.ID) *guide.Resolved {
	t.Helper()
	g := demoGuide(t)
	r, err := guide.Resolve(g, guide.Selector{{Axis: "drive", Values: []guide.ID{side}}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func demoGuide(t testing.TB) *guide.Guide {
	t.Helper()
	g := &guide.Guide{
		ID: "demo", Places: places,
		Axes: []guide.Axis{{ID: "drive", Question: "On which side is the steering wheel?", Values: []guide.AxisValue{
			{ID: "LHD"}, {ID: "RHD", Mirror: []guide.ID{"BD01", "BD02", "BD03"}},
		}}},
	}
	at := map[guide.ID]int{}
	for _, row := range rows(t, "testdata/items.csv") {
		it := itemOf(t, row)
		at[it.ID] = len(g.Items)
		g.Items = append(g.Items, it)
	}
	for _, row := range rows(t, "testdata/routes.csv") {
		it := &g.Items[at[guide.ID(row[0])]]
		w := guide.Way{Do: guide.Verb(row[1]), From: guide.ID(strings.ReplaceAll(row[3], " ", "-")), Sight: guide.Sight(row[6])}
		if row[2] != "both" {
			w.For = guide.Selector{{Axis: "drive", Values: []guide.ID{guide.ID(row[2])}}}
		}
		it.Ways = append(it.Ways, w)
	}
	return g
}

func itemOf(t testing.TB, row []string) guide.Item {
	t.Helper()
	n := make([]float64, 6)
	for i := range n {
		x, err := strconv.ParseFloat(row[3+i], 64)
		if err != nil {
			t.Fatal(err)
		}
		n[i] = x
	}
	id := guide.ID(row[0])
	return guide.Item{
		ID: id, Name: row[1], Class: guide.Class(row[2]), Landmark: slices.Contains(landmarks, id),
		At: []guide.Shape{{
			Form: guide.Box, Centre: guide.Point{X: n[0], Y: n[1], Z: n[2]}, Size: guide.Point{X: n[3], Y: n[4], Z: n[5]},
		}},
	}
}

func scene(t testing.TB, side guide.ID) *bay.Scene {
	t.Helper()
	return bay.New(demo(t, side))
}
