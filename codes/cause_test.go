package codes

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// loom is an invented piece of wiring: three sensors on one ground, two of
// them on one supply, and a control unit behind everything.
var loom = struct {
	items map[string][]string // by code
	nodes map[string][]Node
	on    map[string][]string // by node name
}{
	items: map[string][]string{
		"P0118": {"SE01"}, "P0108": {"SE02"}, "P0193": {"SE03", "CU"}, "P0606": {"CU"}, "P0327": {"SE09"},
	},
	nodes: map[string][]Node{
		"SE01": {{"G1", "ground"}}, "SE02": {{"G1", "ground"}, {"V1", "supply"}}, "SE03": {{"G1", "ground"}, {"V1", "supply"}},
		"SE09": {{"G2", "ground"}}, "CU": nil,
	},
	on: map[string][]string{"G1": {"SE01", "SE02", "SE03"}, "V1": {"SE02", "SE03", "SE04"}, "G2": {"SE09"}},
}

func upstream() Upstream {
	return Upstream{
		Items:   func(c Code) []string { return loom.items[c.String()] },
		Nodes:   func(i string) []Node { return loom.nodes[i] },
		Hanging: func(n Node) []string { return loom.on[n.Name] },
	}
}

func read(t *testing.T, texts ...string) []Code {
	t.Helper()
	var cs []Code
	for _, s := range texts {
		f, err := Parse(s)
		if err != nil {
			t.Fatal(err)
		}
		cs = append(cs, f.Code)
	}
	return cs
}

func TestGroupBySharedGround(t *testing.T) {
	got := Group(read(t, "P0193", "P0118", "P0108", "P0118", "P0327", "U0100"), upstream())
	if len(got.Shared) != 2 {
		t.Fatalf("want the ground, then the supply: %+v", got)
	}
	ground, supply := got.Shared[0], got.Shared[1]
	if ground.Node.Name != "G1" || len(ground.Explains) != 3 || len(ground.Silent) != 0 || len(ground.New) != 3 {
		t.Errorf("the ground explains three: %+v", ground)
	}
	if supply.Node.Name != "V1" || len(supply.Explains) != 2 || !slices.Equal(supply.Silent, []string{"SE04"}) || len(supply.New) != 0 {
		t.Errorf("the supply explains two, SE04 speaks against it: %+v", supply)
	}
	if len(got.Alone) != 1 || got.Alone[0].Code.String() != "P0327" || len(got.Unknown) != 1 {
		t.Errorf("P0327 stands alone, U0100 is not known: %+v", got)
	}
	if want := "ground G1 explains 3 of 5 codes: P0108, P0118, P0193; on it hang SE01, SE02, SE03"; ground.Says != want {
		t.Errorf("says %q, want %q", ground.Says, want)
	}
	if !strings.Contains(supply.Says, "against it: SE04 hangs on it too") {
		t.Errorf("says %q", supply.Says)
	}
}

func TestGroupByItem(t *testing.T) {
	got := Group(read(t, "P0193", "P0606"), upstream())
	if len(got.Shared) != 1 || got.Shared[0].Node != (Node{"CU", "item"}) || got.Shared[0].Says != "CU explains 2 of 2 codes: P0193, P0606" {
		t.Errorf("the control unit itself explains both: %+v", got)
	}
}

func TestGroupNothing(t *testing.T) {
	if got := Group(nil, upstream()); got.Shared != nil || got.Alone != nil || got.Unknown != nil {
		t.Errorf("no code gave %+v", got)
	}
}

// TestGroupKeepsEveryCode: whatever the wiring, each code is in a cause, alone
// or unknown, never in two of these, and the order of reading changes nothing.
func TestGroupKeepsEveryCode(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 12).Draw(t, "codes")
		var cs []Code
		for range n {
			cs = append(cs, Code(rapid.Uint16Range(0, 9).Draw(t, "code")))
		}
		seed := rapid.Uint32().Draw(t, "wiring")
		bit := func(a, b int) bool { return (seed>>((a*7+b*3)%32))&1 == 1 }
		up := Upstream{
			Items: func(c Code) (items []string) {
				for i := range 4 {
					if bit(int(c), i) {
						items = append(items, string(rune('a'+i)))
					}
				}
				return items
			},
			Nodes: func(item string) (nodes []Node) {
				for i := range 3 {
					if bit(int(item[0]), i+5) {
						nodes = append(nodes, Node{string(rune('A' + i)), "ground"})
					}
				}
				return nodes
			},
		}
		got := Group(cs, up)
		where := map[Code]int{}
		for i, c := range got.Shared {
			if i > 0 && len(c.Explains) > len(got.Shared[i-1].Explains) || len(c.Explains) < 2 {
				t.Fatalf("order: %+v", got.Shared)
			}
			for _, code := range c.New {
				where[code]++
			}
		}
		for _, e := range got.Alone {
			where[e.Code]++
		}
		for _, c := range got.Unknown {
			where[c]++
		}
		for _, c := range cs {
			if where[c] != 1 {
				t.Fatalf("%v is accounted for %d times: %+v", c, where[c], got)
			}
		}
		slices.Reverse(cs)
		if again := Group(cs, up); len(again.Shared) != len(got.Shared) || len(again.Shared) > 0 && again.Shared[0].Says != got.Shared[0].Says {
			t.Fatal("the order of reading changed the answer")
		}
	})
}
