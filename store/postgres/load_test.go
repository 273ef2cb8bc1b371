//go:build postgres

package postgres

import (
	"flag"
	"testing"
	"time"

	"elbowroom/store"
	"elbowroom/store/storetest"
)

// By default the load is small and only the answers are looked at. For the
// figures of BENCHMARKS.md:
//
//	go test -tags postgres ./store/postgres -run Load -v -timeout 30m -load.time 10s -load.jobs 100000
var (
	loadTime = flag.Duration("load.time", 200*time.Millisecond, "how long TestLoad writes")
	loadJobs = flag.Int("load.jobs", 500, "how many jobs TestLoad looks through; a hundredth as many guides")
)

func TestLoad(t *testing.T) {
	servers := func(t *testing.T, n int) []store.Store {
		source := database(t)
		var out []store.Store
		for range n {
			out = append(out, open(t, source))
		}
		return out
	}
	t.Run("50 phones of one place", func(t *testing.T) {
		storetest.Writing{Servers: servers(t, 4), Phones: 50, Places: 1, Each: 1, Time: *loadTime}.Run(t)
	})
	t.Run("50 phones of ten places", func(t *testing.T) {
		storetest.Writing{Servers: servers(t, 4), Phones: 50, Places: 10, Each: 1, Time: *loadTime}.Run(t)
	})
	t.Run("notices", func(t *testing.T) {
		s := servers(t, 2)
		storetest.Notices(t, s[0], s[1], 200)
	})
	t.Run("many jobs", func(t *testing.T) {
		storetest.Browsing{Jobs: *loadJobs, Guides: *loadJobs / 100, Asked: 200}.Run(t, servers(t, 1)[0])
	})
}
