package storetest

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
)

// Writing measures many who append at once.
type Writing struct {
	Servers []store.Store // of one database, used in turn
	Phones  int
	Places  int // the phones are spread over so many
	Each    int // events of one call
	Time    time.Duration
}

// Run writes and prints what came out. Every event is looked at afterwards.
func (l Writing) Run(t *testing.T) {
	t.Helper()
	w := &world{Store: l.Servers[0], t: t}
	places := make([]store.PlaceID, l.Places)
	for i := range places {
		places[i] = store.PlaceID(fmt.Sprintf("place-%d", i))
		w.must1(w.PutPlace(w.ctx(), store.Place{ID: places[i], Name: "P"}))
		for n := range l.Phones {
			w.job(places[i], job(n))
		}
	}
	var wg sync.WaitGroup
	took := make([][]time.Duration, l.Phones)
	errs := make([]error, l.Phones)
	begun := time.Now()
	for n := range l.Phones {
		wg.Go(func() {
			took[n], errs[n] = l.phone(w.ctx(), l.Servers[n%len(l.Servers)], places[n%len(places)], n, begun.Add(l.Time))
		})
	}
	wg.Wait()
	spent := time.Since(begun)
	w.must(errors.Join(errs...))
	all := slices.Concat(took...)
	stored := 0
	for n := range l.Phones {
		events, err := w.Events(w.ctx(), places[n%len(places)], job(n))
		w.must(err)
		equal(t, fmt.Sprintf("events of phone %d", n), len(events), len(took[n])*l.Each)
		stored += len(events)
	}
	t.Logf("%d phones, %d servers, %d places, %d events a call: %.0f events/s, a call p50 %v, p99 %v, longest %v",
		l.Phones, len(l.Servers), l.Places, l.Each, float64(stored)/spent.Seconds(), share(all, 0.5), share(all, 0.99), share(all, 1))
}

func job(n int) joblog.Job { return joblog.Job(fmt.Sprintf("j%d", n)) }

func (l Writing) phone(ctx context.Context, s store.Store, place store.PlaceID, n int, until time.Time) ([]time.Duration, error) {
	var took []time.Duration
	for seq := int64(1); time.Now().Before(until); seq += int64(l.Each) {
		in := notes(job(n), "phone", seq, int64(l.Each))
		begun := time.Now()
		if _, err := s.Append(ctx, place, job(n), in); err != nil {
			return nil, err
		}
		took = append(took, time.Since(begun))
	}
	return took, nil
}

// share returns the duration that this share of all stays within.
func share(list []time.Duration, part float64) time.Duration {
	if len(list) == 0 {
		return 0
	}
	slices.Sort(list)
	return list[int(part*float64(len(list)-1))].Round(10 * time.Microsecond)
}

// Notices measures how long it takes until another server hears of an event.
func Notices(t *testing.T, here1, other store.Store, n int) {
	t.Helper()
	w := &world{Store: here1, t: t}
	w.places()
	w.job(here, "j1")
	c, err := other.Watch(w.ctx(), here)
	w.must(err)
	<-c
	var took []time.Duration
	for i := range int64(n) {
		r, err := here1.Append(w.ctx(), here, "j1", notes("j1", "phone", i+1, 1))
		w.must(err)
		begun := time.Now()
		w.next(c, r[0].Cursor)
		took = append(took, time.Since(begun))
	}
	t.Logf("until another server hears of an event that was acknowledged: p50 %v, p99 %v", share(took, 0.5), share(took, 0.99))
}

// Browsing measures searching and listing in a store with many jobs.
type Browsing struct {
	Jobs, Guides int
	Asked        int // how often each question is asked
}

// Most is how long a question may take, for 95 of 100.
const Most = 50 * time.Millisecond

// Run fills an empty store and asks. It fails when a question is answered
// wrongly, and reports those that take longer than Most.
func (b Browsing) Run(t *testing.T, s store.Store) {
	t.Helper()
	w := &world{Store: s, t: t}
	begun := time.Now()
	sum, err := s.Restore(w.ctx(), b.copy(t))
	w.must(err)
	t.Logf("%d rows restored in %v", sum.Rows["jobs"]+sum.Rows["events"]+sum.Rows["found"]+sum.Rows["machines"], time.Since(begun).Round(time.Second))
	r := rand.New(rand.NewPCG(1, 7))
	some := func() joblog.Job { return job(r.IntN(b.Jobs)) }
	search := func(query func() string) func() (int, error) {
		return func() (int, error) {
			hits, err := s.Search(w.ctx(), here, query(), 20)
			return len(hits), err
		}
	}
	list := func(f func() store.JobFilter) func() (int, error) {
		return func() (int, error) {
			jobs, err := s.Jobs(w.ctx(), here, f())
			return len(jobs), err
		}
	}
	questions := []struct {
		name string
		ask  func() (int, error)
	}{
		{"search one letter", search(func() string { return word(r)[:1] })},
		{"search a common word", search(func() string { return word(r) })},
		{"search three letters and two", search(func() string { return word(r)[:3] + " " + word(r)[:2] })},
		{"search three words", search(func() string { return word(r) + " " + word(r) + " " + word(r) })},
		{"search a plate", search(func() string { return fmt.Sprintf("wx%d", r.IntN(b.Jobs/5)) })},
		{"search a job by its number", search(func() string { return string(some()) })},
		{"Home: the machines that are in", list(func() store.JobFilter { return store.JobFilter{Standing: store.OpenOnly, Limit: 50} })},
		{"list the newest 50", list(func() store.JobFilter { return store.JobFilter{Limit: 50} })},
		{"list 50 from the middle", list(func() store.JobFilter {
			return store.JobFilter{Limit: 50, After: &store.Job{ID: some(), Updated: noon + joblog.Moment(r.IntN(b.Jobs))}}
		})},
		{"list the jobs of a machine", list(func() store.JobFilter {
			return store.JobFilter{Machine: guide.ID(fmt.Sprintf("m%d", r.IntN(b.Jobs/5))), Limit: 50}
		})},
		{"the guides", func() (int, error) {
			list, err := s.CurrentTexts(w.ctx(), here, store.Guide)
			return len(list), err
		}},
		{"the events of a job", func() (int, error) {
			list, err := s.Events(w.ctx(), here, some())
			return len(list), err
		}},
	}
	for _, q := range questions {
		var took []time.Duration
		found := 0
		for range b.Asked {
			begun := time.Now()
			n, err := q.ask()
			took = append(took, time.Since(begun))
			w.must(err)
			found += n
		}
		p95 := share(took, 0.95)
		t.Logf("%-32s p50 %8v  p95 %8v  longest %8v  (%d found)", q.name, share(took, 0.5), p95, share(took, 1), found/b.Asked)
		if found == 0 {
			t.Errorf("%s finds nothing: it measures nothing", q.name)
		}
		if p95 > Most {
			t.Logf("%s takes longer than the aim of %v", q.name, Most)
		}
	}
}

// vocabulary is made of syllables; a few words are much more frequent than the
// others, as in any language.
func word(r *rand.Rand) string {
	syllables := []string{"al", "ter", "na", "tor", "pum", "pe", "ven", "til", "ko", "ra", "mis", "fi", "re", "bat", "lu", "so"}
	n := int(r.ExpFloat64() * 150)
	return syllables[n%16] + syllables[n/16%16] + syllables[(n+n/256)%16]
}

// lines writes rows of one table.
type lines struct{ bytes.Buffer }

func (l *lines) add(t *testing.T, v any) {
	t.Helper()
	if err := json.NewEncoder(l).Encode(v); err != nil {
		t.Fatal(err)
	}
}

// line is a row of one place.
type line struct {
	Place store.PlaceID `json:"place"`
	Row   any           `json:"row"`
}

type foundLine struct {
	store.Hit
	Words string `json:"words"`
}

type eventLine struct {
	Cursor   store.Cursor  `json:"cursor"`
	Job      joblog.Job    `json:"job"`
	ID       joblog.ID     `json:"id"`
	Received joblog.Moment `json:"received"`
	Raw      string        `json:"raw"`
}

// eventsOfJob is how many events each job of Browsing has.
const eventsOfJob = 3

// copy makes a copy of a store with so many jobs; a fiftieth are open.
func (b Browsing) copy(t *testing.T) memory {
	t.Helper()
	r := rand.New(rand.NewPCG(2, 2))
	files := map[string]*lines{}
	for _, name := range []string{"places", "cursors", "people", "passkeys", "identities", "customers", "machines", "jobs", "events", "revisions", "pictures", "papers", "links", "trail", "settings", "found"} {
		files[name] = &lines{}
	}
	files["places"].add(t, map[string]any{"no": 1, "id": here, "name": "North", "version": 1})
	files["cursors"].add(t, line{here, map[string]int{"newest": b.Jobs * eventsOfJob}})
	found := func(kind store.HitKind, id, title string, words ...string) {
		slices.Sort(words)
		files["found"].add(t, line{here, foundLine{store.Hit{Kind: kind, ID: id, Title: title}, strings.Join(slices.Compact(words), " ")}})
	}
	for i := range b.Jobs / 5 {
		m := store.Machine{ID: guide.ID(fmt.Sprintf("m%d", i)), Name: "machine", Plate: fmt.Sprintf("WX %d", i), Version: 1}
		files["machines"].add(t, line{here, m})
		found(store.HitMachine, string(m.ID), m.Name, string(m.ID), "machine", fmt.Sprintf("wx%d", i), word(r))
	}
	m := memory{fstest.MapFS{}}
	for i := range b.Guides {
		text := []byte(strings.Repeat(fmt.Sprintf("item %d: a line of a guide\n", i), 800))
		h, name := store.Sum(text), fmt.Sprintf("guide-%d", i)
		files["revisions"].add(t, line{here, store.Revision{Kind: store.Guide, Name: name, Number: 1, Hash: h, Size: int64(len(text)), At: noon}})
		m.MapFS["texts/"+string(here)+"/"+h.String()+".yaml"] = &fstest.MapFile{Data: text}
		found(store.HitGuide, name, name, "guide", fmt.Sprint(i), word(r), word(r))
	}
	for i := range b.Jobs {
		words := []string{string(job(i))}
		for range 12 {
			words = append(words, word(r))
		}
		j := store.Job{ID: job(i), Title: words[1] + " " + words[2], Machine: guide.ID(fmt.Sprintf("m%d", i%(b.Jobs/5))), State: "in", Opened: noon, Updated: noon + joblog.Moment(i), Version: 1}
		if i%50 > 0 {
			j.State, j.Closed = "closed", noon+joblog.Moment(i)
		}
		files["jobs"].add(t, line{here, j})
		found(store.HitJob, string(j.ID), j.Title, words...)
		for n := range int64(eventsOfJob) {
			in := note(j.ID, "phone", n+1, words[1])
			e, err := joblog.Decode(in.Raw)
			if err != nil {
				t.Fatal(err)
			}
			files["events"].add(t, line{here, eventLine{store.Cursor(i*eventsOfJob) + store.Cursor(n) + 1, j.ID, e.ID, in.Received, string(in.Raw)}})
		}
	}
	all := sealed{Format: 1, Schema: 1, Rows: map[string]int{}}
	for name, l := range files {
		m.MapFS["rows/"+name+".jsonl"] = &fstest.MapFile{Data: l.Bytes()}
		all.Rows[name] = bytes.Count(l.Bytes(), []byte("\n"))
	}
	for name := range m.MapFS {
		all.Files = append(all.Files, sealedFile{Name: name})
	}
	text, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	m.MapFS["manifest.json"] = &fstest.MapFile{Data: text}
	return reseal(t, m, func(*sealed) {})
}
