package storetest

import (
	"bytes"
	"context"
	"errors"
	"math/rand/v2"
	"strings"
	"testing"

	"elbowroom/joblog"
	"elbowroom/store"
)

// testIsolation fills one place and asks for everything from another.
func testIsolation(t *testing.T, w *world) {
	w.places()
	ctx := w.ctx()
	w.must1(w.PutPerson(ctx, here, store.Person{ID: "kim", Name: "Kim", Role: store.Owner}))
	w.must1(w.PutCustomer(ctx, here, store.Customer{ID: "c1", Name: "Ann"}))
	w.must1(w.PutMachine(ctx, here, store.Machine{ID: "m1", Name: "green one", Customer: "c1"}))
	w.job(here, "j1")
	in := notes("j1", "phone", 1, 2)
	w.must1(w.Append(ctx, here, "j1", in))
	text := draft(store.Guide, "v27p", "secret: yes\n", store.Hash{})
	text.Words = "alternator"
	w.must1(w.PutText(ctx, here, text))
	picture := store.Picture{Hash: store.Sum([]byte("p")), Type: "image/png", Size: 1, Job: "j1", Added: noon}
	w.must(w.PutPicture(ctx, here, picture, strings.NewReader("p")))
	w.must1(w.Issue(ctx, here, store.Paper{Job: "j1", Kind: "quote", At: noon, Type: "text/plain", Content: []byte("x")}))
	w.must(w.PutLink(ctx, store.Link{Token: store.Sum([]byte("l")), Place: here, Job: "j1", Since: noon, Expires: noon + 9}))
	w.must1(w.PutSetting(ctx, here, store.Setting{Name: "key", Value: []byte("v")}))
	w.must(w.Note(ctx, here, store.Entry{At: noon, Did: "x"}))

	missing := map[string]error{}
	_, missing["person"] = w.Person(ctx, there, "kim")
	_, missing["customer"] = w.Customer(ctx, there, "c1")
	_, missing["machine"] = w.Machine(ctx, there, "m1")
	_, missing["job"] = w.Job(ctx, there, "j1")
	_, missing["events"] = w.Events(ctx, there, "j1")
	_, missing["append"] = w.Append(ctx, there, "j1", in)
	_, _, missing["text"] = w.Text(ctx, there, store.Guide, "v27p")
	_, missing["text by hash"] = w.TextByHash(ctx, there, store.Sum(text.Text))
	_, _, missing["picture"] = w.Picture(ctx, there, picture.Hash)
	_, missing["paper"] = w.Paper(ctx, there, "quote", 1, 0)
	_, missing["setting"] = w.Setting(ctx, there, "key")
	missing["erase"] = w.Erase(ctx, there, "c1", noon)
	missing["revoke"] = w.RevokeLink(ctx, there, store.Sum([]byte("l")), noon)
	_, missing["job of a foreign machine"] = w.PutJob(ctx, there, store.Job{ID: "j2", Title: "t", State: "s", Machine: "m1", Opened: 1, Updated: 1})
	for what, err := range missing {
		if !errors.Is(err, store.NotFound) {
			t.Errorf("%s of another place: %v", what, err)
		}
	}
	counts := map[string]int{}
	count := func(what string, n int, err error) {
		w.must(err)
		counts[what] = n
	}
	people, err := w.People(ctx, there)
	count("people", len(people), err)
	customers, err := w.Customers(ctx, there, "", 0)
	count("customers", len(customers), err)
	machines, err := w.Machines(ctx, there, "", 0)
	count("machines", len(machines), err)
	of, err := w.MachinesOf(ctx, there, "c1")
	count("machines of", len(of), err)
	jobs, err := w.Jobs(ctx, there, store.JobFilter{})
	count("jobs", len(jobs), err)
	after, err := w.After(ctx, there, 0, 0)
	count("after", len(after), err)
	texts, err := w.CurrentTexts(ctx, there, store.Guide)
	count("texts", len(texts), err)
	history, err := w.History(ctx, there, store.Guide, "v27p")
	count("history", len(history), err)
	pictures, err := w.PicturesOf(ctx, there, "j1")
	count("pictures", len(pictures), err)
	papers, err := w.PapersOf(ctx, there, "j1")
	count("papers", len(papers), err)
	links, err := w.LinksOf(ctx, there, "j1")
	count("links", len(links), err)
	trail, err := w.Trail(ctx, there, 0, 0)
	count("trail", len(trail), err)
	for _, word := range []string{"kim", "ann", "green", "rattle", "alternator", "a", "1"} {
		hits, err := w.Search(ctx, there, word, 0)
		count("search "+word, len(hits), err)
	}
	for what, n := range counts {
		if n != 0 {
			t.Errorf("%d %s are seen from another place", n, what)
		}
	}
	// The same ids are free there, also those of events.
	w.job(there, "j1")
	receipts, err := w.Append(ctx, there, "j1", in)
	w.must(err)
	if !receipts[0].New {
		t.Error("an event of another place was taken for one of here")
	}
}

func testRefused(t *testing.T, w *world) {
	ctx := w.ctx()
	_, err := w.PutJob(ctx, "nowhere", store.Job{ID: "j1", Title: "t", State: "s", Opened: 1, Updated: 1})
	w.want(store.NotFound, err)
	_, err = w.Jobs(ctx, "nowhere", store.JobFilter{})
	w.want(store.NotFound, err)
	w.places()
	good := store.Job{ID: "j1", Title: "t", State: "s", Opened: 1, Updated: 1}
	cases := []struct {
		name string
		make func(j *store.Job)
	}{
		{"an empty id", func(j *store.Job) { j.ID = "" }},
		{"an id that begins with a digit", func(j *store.Job) { j.ID = "1j" }},
		{"an id with a blank", func(j *store.Job) { j.ID = "j 1" }},
		{"an id with a slash", func(j *store.Job) { j.ID = "j/../1" }},
		{"an id of 65 letters", func(j *store.Job) { j.ID = joblog.Job(strings.Repeat("j", 65)) }},
		{"an id with letters of no key", func(j *store.Job) { j.ID = "jé" }},
		{"no title", func(j *store.Job) { j.Title = "" }},
		{"a title with NUL", func(j *store.Job) { j.Title = "a\x00b" }},
		{"a title that is no UTF-8", func(j *store.Job) { j.Title = "a\xffb" }},
		{"a title too long", func(j *store.Job) { j.Title = strings.Repeat("x", store.MaxField+1) }},
		{"no time", func(j *store.Job) { j.Updated = 0 }},
		{"data too long", func(j *store.Job) { j.Data = make([]byte, store.MaxField+1) }},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			j := good
			c.make(&j)
			_, err := w.PutJob(ctx, here, j)
			w.want(store.Refused, err)
		})
	}
	list, err := w.Jobs(ctx, here, store.JobFilter{})
	w.must(err)
	equal(t, "jobs stored", len(list), 0)
	for _, id := range []store.PlaceID{"", "../x", "a b", "9"} {
		_, err := w.PutPlace(ctx, store.Place{ID: id, Name: "n"})
		w.want(store.Refused, err)
	}
}

func testSearch(t *testing.T, w *world) {
	w.places()
	put := func(place store.PlaceID, id joblog.Job, title, words string, version int64) {
		w.must1(w.PutJob(w.ctx(), place, store.Job{ID: id, Title: title, Words: words, State: "in", Opened: 1, Updated: 1, Version: version}))
	}
	put(here, "j1", "Alternator whines", "P0562 Größe straße", 0)
	put(here, "j2", "alternative belt", "crème brûlée Ångström", 0)
	put(here, "j3", "дизель стучит", "発電機 交換", 0)
	put(there, "j4", "alternator elsewhere", "", 0)
	w.must1(w.PutCustomer(w.ctx(), here, store.Customer{ID: "c1", Name: "Ann Altern"}))
	w.must1(w.PutMachine(w.ctx(), here, store.Machine{ID: "m1", Name: "green one", Plate: "WX 12-ABC"}))
	d := draft(store.Guide, "v27p", "x: y\n", store.Hash{})
	d.Words = "V27 petrol"
	w.must1(w.PutText(w.ctx(), here, d))
	cases := []struct{ query, want string }{
		{"altern", "customer/c1 job/j2 job/j1"},
		{"ALTERN whin", "job/j1"},
		{"whines alternator", "job/j1"},
		{"alternators", ""},
		{"ternator", ""},
		{"p05", "job/j1"},
		{"grosse", "job/j1"}, // ß is ss and ö is o
		{"große strasse", "job/j1"},
		{"creme brulee", "job/j2"},
		{"crème", "job/j2"},
		{"angstrom", "job/j2"},
		{"ДИЗ", "job/j3"},
		{"発電", "job/j3"},
		{"wx12abc", "machine/m1"},
		{"WX 12 abc", "machine/m1"},
		{"v27", "guide/v27p"},
		{"petrol", "guide/v27p"},
		{"elsewhere", ""},
	}
	for _, c := range cases {
		equal(t, "what "+c.query+" finds", w.found(c.query), c.want)
	}
	put(here, "j1", "Alternator quiet", "", 1)
	equal(t, "what was written last", w.found("altern"), "job/j1 customer/c1 job/j2")
	equal(t, "words that are gone", w.found("whines"), "")
	equal(t, "words that are new", w.found("quiet"), "job/j1")
	hits, err := w.Search(w.ctx(), here, "altern", 2)
	w.must(err)
	equal(t, "with a limit", len(hits), 2)
}

// found prints what a query finds.
func (w *world) found(query string) string {
	w.t.Helper()
	hits, err := w.Search(w.ctx(), here, query, 0)
	w.must(err)
	var out []string
	for _, h := range hits {
		out = append(out, string(h.Kind)+"/"+h.ID)
	}
	return strings.Join(out, " ")
}

func testQuery(t *testing.T, w *world) {
	w.places()
	w.must1(w.PutJob(w.ctx(), here, store.Job{ID: "j1", Title: "pump and not or near", State: "in", Opened: 1, Updated: 1}))
	cases := []struct{ query, want string }{
		{"", ""},
		{" \t\n", ""},
		{"-*\"':()!&|<>", ""},
		{"pump OR nothing", ""},
		{"NOT pump", "job/j1"},
		{"pump*", "job/j1"},
		{`"pump`, "job/j1"},
		{"'pump' & :*", "job/j1"},
		{"body:pump", ""},
		{"1_pump", ""},
		{"pump pump pump", "job/j1"},
		{strings.Repeat("pump and not ", 100), "job/j1"},
	}
	for _, c := range cases {
		equal(t, "what "+c.query+" finds", w.found(c.query), c.want)
	}
	_, err := w.Search(w.ctx(), here, "a\xff", 0)
	w.want(store.Refused, err)
	r := rand.New(rand.NewPCG(1, 2))
	letters := []rune("abz09 _-*\"'\\:()&|!<>{}[]^~+#.,;ßéЖ発\u0301\u200d\U0001F527\t")
	for range 300 {
		var b strings.Builder
		for range r.IntN(30) {
			b.WriteRune(letters[r.IntN(len(letters))])
		}
		w.must1(w.Search(w.ctx(), here, b.String(), 5))
	}
}

// Fill puts a little of everything into an empty store.
func Fill(t *testing.T, s store.Store) {
	t.Helper()
	(&world{Store: s, t: t}).fill()
}

// fill puts a little of everything into a store.
func (w *world) fill() {
	w.places()
	ctx := w.ctx()
	for i, place := range []store.PlaceID{here, there} {
		w.must1(w.PutPerson(ctx, place, store.Person{
			ID: "kim", Name: "Kim ü", Role: store.Owner, Password: []byte{1, 0, 255}, Since: noon,
			Passkeys:   []store.Passkey{{ID: []byte{byte(i)}, Data: []byte{5}, Name: "phone", Since: noon}},
			Identities: []store.Identity{{Issuer: "https://id.example", Subject: "77"}},
		}))
		w.must1(w.PutCustomer(ctx, place, store.Customer{ID: "c1", Name: "Ann", Since: noon}))
		w.must1(w.PutMachine(ctx, place, store.Machine{ID: "m1", Name: "green one", Customer: "c1", Data: []byte{0}}))
		w.must1(w.PutJob(ctx, place, store.Job{ID: "j1", Title: "rattle", Machine: "m1", Customer: "c1", State: "in", Opened: noon, Updated: noon}))
		w.must1(w.Append(ctx, place, "j1", notes("j1", "phone", 1, 5)))
		r, err := w.PutText(ctx, place, draft(store.Guide, "v27p", "a: é\r\n", store.Hash{}))
		w.must(err)
		w.must1(w.PutText(ctx, place, draft(store.Guide, "v27p", "a: 2\n", r.Hash)))
		content := []byte{byte(i), 0, 255}
		w.must(w.PutPicture(ctx, place, store.Picture{Hash: store.Sum(content), Type: "image/png", Size: 3, Job: "j1", Added: noon}, bytes.NewReader(content)))
		w.must1(w.Issue(ctx, place, store.Paper{Job: "j1", Kind: "quote", At: noon, Type: "text/plain", Content: []byte("x"), Customer: []byte("Ann")}))
		w.must(w.PutLink(ctx, store.Link{Token: store.Sum(content), Place: place, Job: "j1", Since: noon, Expires: noon + 9}))
		w.must(w.PutSession(ctx, store.Session{Token: store.Sum(content), Place: place, Person: "kim", Since: noon, Expires: noon + 9}))
		w.must(w.Note(ctx, place, store.Entry{At: noon, Did: "x"}))
		w.must1(w.PutSetting(ctx, place, store.Setting{Name: "key", Value: []byte("v")}))
	}
	w.must1(w.PutSetting(ctx, store.Everywhere, store.Setting{Name: "key", Value: []byte{0, 1}}))
	w.must1(w.Attempt(context.WithoutCancel(ctx), "k", noon, 1000))
}

// Tampering are statements that no back end's database may carry out.
var Tampering = []string{
	"UPDATE events SET raw = id",
	"UPDATE events SET received = 0 WHERE cursor = 1",
	"DELETE FROM events",
	"UPDATE trail SET did = 'nothing'",
	"DELETE FROM trail WHERE number = 1",
}
