package andor

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"testing"
)

type constructedFile struct {
	Source    string
	Instances []struct {
		Name, Reason string
		Ops          []struct {
			ID           int
			Cost         float64
			Alternatives [][]int32
		}
		Targets    []int32
		Optimum    float64
		OptimalSet []int32 `json:"optimal_set"`
	}
}

// tenths: the instances state minutes with one decimal.
const tenths = 10

// TestConstructed solves the instances W4 to W6 of testdata/constructed.json,
// whose optima were found by trying every set of operations.
func TestConstructed(t *testing.T) {
	data, err := os.ReadFile("testdata/constructed.json")
	if err != nil {
		t.Fatal(err)
	}
	var file constructedFile
	if err := json.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Instances) != 5 || file.Source == "" {
		t.Fatalf("%d instances, want 5 with their source", len(file.Instances))
	}
	for _, in := range file.Instances {
		t.Run(in.Name, func(t *testing.T) {
			p := &Problem{Facts: len(in.Ops), Goals: in.Targets}
			var item []int32
			for _, op := range in.Ops {
				for _, pre := range op.Alternatives {
					p.Ops = append(p.Ops, Op{Cost: int64(math.Round(op.Cost * tenths)), Pre: pre, Add: []int32{int32(op.ID)}})
					item = append(item, int32(op.ID))
				}
			}
			got := Solve(p, Limits{})
			if want := int64(math.Round(in.Optimum * tenths)); got.Outcome != Optimal || got.Cost != want {
				t.Fatalf("%v at %d, want %d: %s", got.Outcome, got.Cost, want, in.Reason)
			}
			if err := audit(p, &Query{Goals: p.Goals}, got); err != nil {
				t.Fatal(err)
			}
			var items []int32
			for _, a := range got.Ops {
				items = append(items, item[a])
			}
			slices.Sort(items)
			if in.OptimalSet != nil && !slices.Equal(items, in.OptimalSet) {
				t.Errorf("items %v, want %v", items, in.OptimalSet)
			}
		})
	}
}
