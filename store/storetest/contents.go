package storetest

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"testing"
	"time"

	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
)

func draft(kind store.TextKind, name, text string, expect store.Hash) store.Draft {
	return store.Draft{Kind: kind, Name: name, Text: []byte(text), Expect: expect, Author: "kim", At: noon, Note: "because"}
}

func testTexts(t *testing.T, w *world) {
	w.places()
	texts := []string{"item: one\r\n# ünïcode ✓\n", "item: two\n", "item: one\r\n# ünïcode ✓\n"}
	var revisions []store.Revision
	var last store.Hash
	for i, text := range texts {
		r, err := w.PutText(w.ctx(), here, draft(store.Guide, "v27p", text, last))
		w.must(err)
		equal(t, "the revision", r, store.Revision{Kind: store.Guide, Name: "v27p", Number: int64(i + 1), Hash: store.Sum([]byte(text)), Size: int64(len(text)), Author: "kim", At: noon, Note: "because"})
		last, revisions = r.Hash, append([]store.Revision{r}, revisions...)
	}
	list, err := w.History(w.ctx(), here, store.Guide, "v27p")
	w.must(err)
	equal(t, "the history", list, revisions)
	r, says, err := w.Text(w.ctx(), here, store.Guide, "v27p")
	w.must(err)
	equal(t, "the current revision", r, revisions[0])
	equal(t, "what it says", string(says), texts[2])
	says, err = w.TextByHash(w.ctx(), here, store.Sum([]byte(texts[1])))
	w.must(err)
	equal(t, "what an old one says", string(says), texts[1])

	same, err := w.PutText(w.ctx(), here, draft(store.Guide, "v27p", texts[2], store.Hash{}))
	w.must(err)
	equal(t, "a draft that says the same", same, revisions[0])
	_, err = w.PutText(w.ctx(), here, draft(store.Guide, "v27p", "late", store.Sum([]byte(texts[1]))))
	w.want(store.Conflict, err)
	_, err = w.PutText(w.ctx(), here, draft(store.Guide, "new", "x", last))
	w.want(store.Conflict, err)

	w.must1(w.PutText(w.ctx(), here, draft(store.Workshop, "v27p", "workshop: x\n", store.Hash{})))
	w.must1(w.PutText(w.ctx(), here, draft(store.Guide, "A1", "a: b\n", store.Hash{})))
	current, err := w.CurrentTexts(w.ctx(), here, store.Guide)
	w.must(err)
	if len(current) != 2 || current[0].Name != "A1" || current[1] != revisions[0] {
		t.Errorf("the current guides are %+v", current)
	}
}

func testTextRace(t *testing.T, w *world) {
	w.places()
	servers := []store.Store{w.Store, w.server()}
	errs := make([]error, writers)
	var wg sync.WaitGroup
	for i := range writers {
		wg.Go(func() {
			_, errs[i] = servers[i%2].PutText(w.ctx(), here, draft(store.Guide, "v27p", fmt.Sprint("text ", i), store.Hash{}))
		})
	}
	wg.Wait()
	won := 0
	for _, err := range errs {
		if err == nil {
			won++
			continue
		}
		w.want(store.Conflict, err)
	}
	equal(t, "how many won", won, 1)
}

func testAttempts(t *testing.T, w *world) {
	servers := []store.Store{w.Store, w.server()}
	counts := make([]int, writers)
	errs := make([]error, writers)
	var wg sync.WaitGroup
	for i := range writers {
		wg.Go(func() { counts[i], errs[i] = servers[i%2].Attempt(w.ctx(), "sign-in:kim", noon, time.Minute) })
	}
	wg.Wait()
	w.must(errors.Join(errs...))
	sum := 0
	for _, n := range counts {
		sum += n
	}
	equal(t, "the sum of 1 to 8, each once", sum, writers*(writers+1)/2)
	try := func(key string, now joblog.Moment, want int) {
		n, err := w.Attempt(w.ctx(), key, now, time.Minute)
		w.must(err)
		equal(t, "the count", n, want)
	}
	try("sign-in:lee", noon, 1)
	try("sign-in:kim", noon+59_999, writers+1)
	try("sign-in:kim", noon+60_000, 1)
	w.must(w.ForgetAttempts(w.ctx(), "sign-in:lee"))
	try("sign-in:lee", noon+1, 1)
}

func testJobs(t *testing.T, w *world) {
	w.places()
	w.must1(w.PutCustomer(w.ctx(), here, store.Customer{ID: "c1", Name: "Ann"}))
	w.must1(w.PutMachine(w.ctx(), here, store.Machine{ID: "m1", Name: "green one"}))
	var want []joblog.Job
	for i := range 25 {
		j := store.Job{ID: joblog.Job(fmt.Sprintf("j%02d", i)), Title: "t", State: []string{"in", "waiting"}[i%2], Opened: noon, Updated: noon - joblog.Moment(i/3)}
		if i%5 == 0 {
			j.Closed, j.Machine, j.Customer = noon, "m1", "c1"
		}
		w.must1(w.PutJob(w.ctx(), here, j))
		want = append(want, j.ID)
	}
	list := func(f store.JobFilter) []joblog.Job {
		var ids []joblog.Job
		for {
			page, err := w.Jobs(w.ctx(), here, f)
			w.must(err)
			for _, j := range page {
				ids = append(ids, j.ID)
			}
			if len(page) < f.Limit {
				return ids
			}
			f.After = &page[len(page)-1]
		}
	}
	equal(t, "all, four at a time, last updated first, then by id", list(store.JobFilter{Limit: 4}), want)
	equal(t, "open ones", len(list(store.JobFilter{Standing: store.OpenOnly, Limit: 7})), 20)
	equal(t, "closed ones", list(store.JobFilter{Standing: store.ClosedOnly, Limit: 2}), []joblog.Job{"j00", "j05", "j10", "j15", "j20"})
	equal(t, "of a machine that wait", list(store.JobFilter{Machine: "m1", States: []string{"waiting"}, Limit: 2}), []joblog.Job{"j05", "j15"})
	equal(t, "of a customer in two states", len(list(store.JobFilter{Customer: "c1", States: []string{"in", "waiting"}, Limit: 2})), 5)

	full := store.Job{
		ID: "full", Title: "T ü", Machine: "m1", Customer: "c1", Stands: "lift 1", State: "in", Opened: 1, Closed: 2, Updated: noon,
		Pin: joblog.Pin{Guide: guide.ID("v27p"), Revision: "3", Date: "2026-03-02", Hash: strings.Repeat("a", 64)}, Words: "rattle", Data: []byte{0, 1},
	}
	v, err := w.PutJob(w.ctx(), here, full)
	w.must(err)
	full.Version = v
	got, err := w.Job(w.ctx(), here, "full")
	w.must(err)
	equal(t, "the job", got, full)
	full.Version, full.ID, full.Machine = 0, "other", "m9"
	_, err = w.PutJob(w.ctx(), here, full)
	w.want(store.NotFound, err)
}

func testPictures(t *testing.T, w *world) {
	w.places()
	w.job(here, "j1")
	content := bytes.Repeat([]byte{0, 1, 2, 255}, 50_000)
	p := store.Picture{Hash: store.Sum(content), Type: "image/jpeg", Size: int64(len(content)), Job: "j1", Added: noon}
	put := func(p store.Picture, content []byte) error {
		return w.PutPicture(w.ctx(), here, p, bytes.NewReader(content))
	}
	w.want(store.Refused, put(p, content[1:]))
	w.want(store.Refused, put(p, append(content, 1)))
	w.want(store.Refused, put(p, append([]byte{9}, content[1:]...)))
	_, _, err := w.Picture(w.ctx(), here, p.Hash)
	w.want(store.NotFound, err)
	w.must(put(p, content))
	w.must(put(p, content))
	got, r, err := w.Picture(w.ctx(), here, p.Hash)
	w.must(err)
	back, err := io.ReadAll(r)
	w.must(errors.Join(err, r.Close()))
	equal(t, "the picture", got, p)
	if !bytes.Equal(back, content) {
		t.Error("its content changed")
	}
	list, err := w.PicturesOf(w.ctx(), here, "j1")
	w.must(err)
	equal(t, "the job's pictures", list, []store.Picture{p})
	p.Job = "j9"
	w.want(store.NotFound, put(p, content))
	broken := iotest{errors.New("the phone is gone")}
	p.Job, p.Hash = "j1", store.Sum([]byte("x"))
	if err := w.PutPicture(w.ctx(), here, p, broken); !errors.Is(err, broken.err) {
		t.Errorf("a torn upload says %v", err)
	}
}

type iotest struct{ err error }

func (i iotest) Read(b []byte) (int, error) { b[0] = 1; return 1, i.err }

func testPapers(t *testing.T, w *world) {
	w.places()
	w.job(here, "j1")
	w.job(here, "j2")
	paper := func(job joblog.Job, number int64) store.Paper {
		return store.Paper{Job: job, Kind: "quote", Number: number, At: noon, By: "kim", Type: "application/json", Content: []byte(`{"sum": 1}`), Customer: []byte("Ann")}
	}
	servers := []store.Store{w.Store, w.server()}
	var mu sync.Mutex
	numbers := map[int64]bool{}
	errs := make([]error, writers)
	var wg sync.WaitGroup
	for i := range writers {
		wg.Go(func() {
			p, err := servers[i%2].Issue(w.ctx(), here, paper("j1", 0))
			errs[i] = err
			mu.Lock()
			numbers[p.Number] = true
			mu.Unlock()
		})
	}
	wg.Wait()
	w.must(errors.Join(errs...))
	for n := range int64(writers) {
		if !numbers[n+1] {
			t.Errorf("number %d is missing in %v", n+1, numbers)
		}
	}
	second, err := w.Issue(w.ctx(), here, paper("j1", 3))
	w.must(err)
	equal(t, "the revision", second.Revision, 2)
	_, err = w.Issue(w.ctx(), here, paper("j2", 3))
	w.want(store.NotFound, err)
	_, err = w.Issue(w.ctx(), here, paper("j2", 99))
	w.want(store.NotFound, err)
	got, err := w.Paper(w.ctx(), here, "quote", 3, 0)
	w.must(err)
	equal(t, "the newest revision", got, second)
	first, err := w.Paper(w.ctx(), here, "quote", 3, 1)
	w.must(err)
	equal(t, "the first revision", first.Revision, 1)
	_, err = w.Paper(w.ctx(), here, "report", 3, 1)
	w.want(store.NotFound, err)
	list, err := w.PapersOf(w.ctx(), here, "j1")
	w.must(err)
	equal(t, "papers of the job", len(list), writers+1)
	if len(list[0].Content) > 0 {
		t.Error("the list carries contents")
	}
}

func testLinks(t *testing.T, w *world) {
	w.places()
	w.job(here, "j1")
	l := store.Link{Token: store.Sum([]byte("1")), Place: here, Job: "j1", Kind: "quote", Number: 3, Revision: 2, By: "kim", Since: noon, Expires: noon + 100}
	w.must(w.PutLink(w.ctx(), l))
	w.want(store.Exists, w.PutLink(w.ctx(), l))
	got, err := w.Link(w.ctx(), l.Token, noon+99)
	w.must(err)
	equal(t, "the link", got, l)
	_, err = w.Link(w.ctx(), l.Token, noon+100)
	w.want(store.NotFound, err)
	_, err = w.Link(w.ctx(), store.Sum([]byte("2")), noon)
	w.want(store.NotFound, err)
	w.want(store.NotFound, w.RevokeLink(w.ctx(), there, l.Token, noon+1))
	w.must(w.RevokeLink(w.ctx(), here, l.Token, noon+2))
	w.must(w.RevokeLink(w.ctx(), here, l.Token, noon+3))
	_, err = w.Link(w.ctx(), l.Token, noon+4)
	w.want(store.NotFound, err)
	list, err := w.LinksOf(w.ctx(), here, "j1")
	w.must(err)
	l.Revoked = noon + 2
	equal(t, "the links of the job", list, []store.Link{l})
	l.Job = "j9"
	w.want(store.NotFound, w.PutLink(w.ctx(), l))
}

func testHuge(t *testing.T, w *world) {
	w.places()
	w.job(here, "j1")
	text := strings.Repeat("# a line of sixteen\n", 400_000) // 8 MB
	r, err := w.PutText(w.ctx(), here, draft(store.Guide, "huge", text, store.Hash{}))
	w.must(err)
	_, says, err := w.Text(w.ctx(), here, store.Guide, "huge")
	w.must(err)
	if string(says) != text || r.Size != int64(len(text)) {
		t.Error("the huge text changed")
	}
	_, err = w.PutText(w.ctx(), here, draft(store.Guide, "toohuge", strings.Repeat("x", store.MaxText+1), store.Hash{}))
	w.want(store.Refused, err)

	strange := "\t\r\n'\"\\%_; DROP TABLE jobs;-- \u0001\u007f é e\u0301 𝕏 \U0010ffff \u202eRTL\u202c \ufdfa"
	every := make([]byte, 256)
	for i := range every {
		every[i] = byte(i)
	}
	j := store.Job{ID: "j9", Title: strange, State: strange, Stands: strange, Words: strings.Repeat(strange, 500), Opened: 1, Updated: 1<<62 + 1, Data: bytes.Repeat(every, 256)}
	j.Version, err = w.PutJob(w.ctx(), here, j)
	w.must(err)
	got, err := w.Job(w.ctx(), here, "j9")
	w.must(err)
	equal(t, "the strange job", got, j)

	var big []store.Incoming
	for i := range int64(20) {
		var words []string
		for range 60 {
			words = append(words, strings.Repeat("é", 30))
		}
		big = append(big, note("j1", "phone", i+1, strings.Join(words, " ")))
	}
	w.must1(w.Append(w.ctx(), here, "j1", big))
	events, err := w.Events(w.ctx(), here, "j1")
	w.must(err)
	for i, e := range events {
		if !bytes.Equal(e.Raw, big[i].Raw) {
			t.Errorf("big event %d changed", i)
		}
	}
	full := notes("j1", "tablet", 1, store.MaxBatch)
	receipts, err := w.Append(w.ctx(), here, "j1", full)
	w.must(err)
	equal(t, "the largest call", len(receipts), store.MaxBatch)
}
