package capture

import (
	"flag"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
)

var differences = flag.Bool("differences", false, "say every difference from what is expected")

// floors are what was reached when this was written; a change that falls below
// is looked at.
var floors = map[string]struct{ f1, numbers float64 }{
	"open":  {0.0, 0.0},
	"aside": {0.0, 0.0},
}

// Both sets of narrations: those that the rules were written with, and those
// that were set aside before any rule was written.
func TestNarrations(t *testing.T) {
	for _, set := range []string{"open", "aside"} {
		t.Run(set, func(t *testing.T) {
			if set == "aside" && *differences {
				t.Log("differences of the narrations set aside are not shown: rules are not written for them")
			}
			sum := map[Kind]score{}
			var all, numbers score
			for _, name := range narrations(t, set) {
				kinds, said := compare(readExpected(t, strings.TrimSuffix(name, filepath.Ext(name))+".facts"), listenTo(t, name))
				var one score
				for k, s := range kinds {
					sum[k] = add(sum[k], s)
					one, all = add(one, s), add(all, s)
					if k.Numeric() {
						numbers = add(numbers, s)
					}
				}
				t.Logf("%-16s %s", filepath.Base(name), line(one))
				if set == "open" && *differences {
					t.Log("\n" + strings.Join(said, "\n"))
				}
			}
			for _, k := range Kinds {
				t.Logf("%-16s %s", k, line(sum[k]))
			}
			t.Logf("%-16s %s", "numbers", line(numbers))
			t.Logf("%-16s %s", "all", line(all))
			if all.f1() < floors[set].f1 || numbers.precision() < floors[set].numbers {
				t.Errorf("F1 %.3f and precision of numbers %.3f are below %.3f and %.3f", all.f1(), numbers.precision(), floors[set].f1, floors[set].numbers)
			}
		})
	}
}

func add(a, b score) score {
	return score{a.right + b.right, a.found + b.found, a.wanted + b.wanted}
}

func line(s score) string {
	return fmt.Sprintf("precision %.3f  recall %.3f  F1 %.3f  (%d right of %d found, %d wanted)", s.precision(), s.recall(), s.f1(), s.right, s.found, s.wanted)
}
