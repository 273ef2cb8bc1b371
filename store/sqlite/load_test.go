package sqlite

import (
	"flag"
	"path/filepath"
	"testing"
	"time"

	"elbowroom/store"
	"elbowroom/store/folder"
	"elbowroom/store/storetest"
)

// By default the load is small and only the answers are looked at. For the
// figures of BENCHMARKS.md:
//
//	go test ./store/sqlite -run Load -v -timeout 30m -load.time 10s -load.jobs 100000
var (
	loadTime = flag.Duration("load.time", 200*time.Millisecond, "how long TestLoad writes")
	loadJobs = flag.Int("load.jobs", 500, "how many jobs TestLoad looks through; a hundredth as many guides")
)

func TestLoad(t *testing.T) {
	start := func(t *testing.T) store.Store {
		dir := t.TempDir()
		return opened(t, filepath.Join(dir, "store.db"), folder.New(dir))
	}
	t.Run("8 writers", func(t *testing.T) {
		storetest.Writing{Servers: []store.Store{start(t)}, Phones: 8, Places: 1, Each: 1, Time: *loadTime}.Run(t)
	})
	t.Run("8 writers of ten events", func(t *testing.T) {
		storetest.Writing{Servers: []store.Store{start(t)}, Phones: 8, Places: 1, Each: 10, Time: *loadTime}.Run(t)
	})
	t.Run("1 writer", func(t *testing.T) {
		storetest.Writing{Servers: []store.Store{start(t)}, Phones: 1, Places: 1, Each: 1, Time: *loadTime}.Run(t)
	})
	t.Run("many jobs", func(t *testing.T) {
		storetest.Browsing{Jobs: *loadJobs, Guides: *loadJobs / 100, Asked: 200}.Run(t, start(t))
	})
}
