package web

import (
	"context"
	"crypto/rand"
	"io/fs"
	"net/http"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
	"elbowroom/store/folder"
	"elbowroom/store/sqlite"
)

// counter is a desk over a store of its own, with the demonstration's
// workshop and one job on it that follows a plan.
type counter struct {
	t    testing.TB
	desk *desk.Desk
	runs Runs // the desk, or something put before it
	job  joblog.Job
	ines desk.Who

	mu  sync.Mutex
	who desk.Who // who asks
	err error    // instead
}

// bench is the place of the tests.
const bench store.PlaceID = "marrow-lane"

// newCounter opens a job on the first machine of the demonstration and takes a
// plan for the tasks.
func newCounter(t testing.TB, tasks ...string) *counter {
	t.Helper()
	dir := t.TempDir()
	ctx := context.Background()
	keep, err := sqlite.Open(ctx, filepath.Join(dir, "store.db"), folder.New(filepath.Join(dir, "pictures")), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = keep.Close() })
	c := &counter{t: t, desk: desk.New(keep, desk.Options{Clock: time.Now, Random: rand.Reader, Device: "server-a"})}
	c.runs = c.desk
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	shop, err := fs.ReadFile(demo.FS(), demo.WorkshopFile)
	if err != nil {
		t.Fatal(err)
	}
	if err := c.desk.Furnish(ctx, store.Place{ID: bench, Name: "Marrow Lane Motors"}, shop, []*guide.Guide{g}); err != nil {
		t.Fatal(err)
	}
	c.ines = desk.Who{Place: bench, ID: "pellow", Name: "Ines Pellow", Role: store.Owner}
	c.who = c.ines
	if c.job, err = c.desk.OpenJob(ctx, c.ines, desk.NewJob{Machine: "V1", Complaint: "lazy on hills since the wet week", Distance: "214300 km", Stands: "lift 1"}); err != nil {
		t.Fatal(err)
	}
	if len(tasks) > 0 {
		if _, err := c.desk.TakePlan(ctx, c.ines, c.job, app.Ask{Machine: "V1", Tasks: tasks}); err != nil {
			t.Fatal(err)
		}
	}
	return c
}

func (c *counter) site() http.Handler {
	return New(demoProgram(c.t), Options{Runs: c.runs, Who: func(r *http.Request) (desk.Who, error) {
		if k, err := r.Cookie("who"); err == nil && k.Value == string(tomasz.ID) {
			return tomasz, nil
		}
		c.mu.Lock()
		defer c.mu.Unlock()
		return c.who, c.err
	}})
}

// tomasz is who asks when the browser says so.
var tomasz = desk.Who{Place: bench, ID: "veld", Name: "Tomasz Veld", Role: store.Technician}

// as makes somebody else ask from now on.
func (c *counter) as(who desk.Who, err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.who, c.err = who, err
}

func (c *counter) sheet() *desk.Sheet {
	c.t.Helper()
	s, err := c.desk.Sheet(context.Background(), c.ines, c.job)
	if err != nil {
		c.t.Fatal(err)
	}
	return s
}
