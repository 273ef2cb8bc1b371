package storetest

import (
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
)

// equal compares with a readable difference.
func equal[T any](t *testing.T, what string, got, want T) {
	t.Helper()
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("%s differs (-want +got):\n%s", what, d)
	}
}

// unsorted are ids that languages sort otherwise than bytes.
var unsorted = []string{"zeta", "Zeta", "alpha", "Alpha", "beta-2", "beta_2", "beta.2", "beta10", "beta2", "b@x"}

// inBytes are the same in the order of bytes.
var inBytes = []string{"Alpha", "Zeta", "alpha", "b@x", "beta-2", "beta.2", "beta10", "beta2", "beta_2", "zeta"}

func testPlaces(t *testing.T, w *world) {
	for _, id := range unsorted {
		v, err := w.PutPlace(w.ctx(), store.Place{ID: store.PlaceID(id), Name: "at " + id, Opened: noon})
		w.must(err)
		equal(t, "the first version", v, 1)
	}
	list, err := w.Places(w.ctx())
	w.must(err)
	var ids []string
	for _, p := range list {
		ids = append(ids, string(p.ID))
	}
	equal(t, "the order", ids, inBytes)

	_, err = w.PutPlace(w.ctx(), store.Place{ID: "zeta", Name: "again"})
	w.want(store.Exists, err)
	v, err := w.PutPlace(w.ctx(), store.Place{ID: "zeta", Name: "renamed", Opened: noon + 1, Version: 1})
	w.must(err)
	p, err := w.Place(w.ctx(), "zeta")
	w.must(err)
	equal(t, "the place", p, store.Place{ID: "zeta", Name: "renamed", Opened: noon + 1, Version: v})
	_, err = w.PutPlace(w.ctx(), store.Place{ID: "zeta", Name: "late", Version: 1})
	w.want(store.Conflict, err)
	_, err = w.Place(w.ctx(), "nowhere")
	w.want(store.NotFound, err)
	_, err = w.PutPlace(w.ctx(), store.Place{ID: "nowhere", Name: "x", Version: 3})
	w.want(store.NotFound, err)
}

func testPeople(t *testing.T, w *world) {
	w.places()
	kim := store.Person{
		ID: "kim", Name: "Kim Åse 木村", Role: store.Owner, Password: []byte{0, 1, 255}, Since: noon,
		Passkeys:   []store.Passkey{{ID: []byte{0, 7}, Data: []byte("key"), Name: "phone", Since: noon}, {ID: []byte{9}, Data: []byte("other"), Since: noon + 1}},
		Identities: []store.Identity{{Issuer: "https://id.example", Subject: "77"}},
	}
	v, err := w.PutPerson(w.ctx(), here, kim)
	w.must(err)
	kim.Version = v
	got, err := w.Person(w.ctx(), here, "kim")
	w.must(err)
	equal(t, "the person", got, kim)

	place, got, err := w.ByPasskey(w.ctx(), []byte{0, 7})
	w.must(err)
	equal(t, "whose passkey", got, kim)
	equal(t, "where", place, here)
	_, _, err = w.ByPasskey(w.ctx(), []byte{0})
	w.want(store.NotFound, err)

	other := store.Person{ID: "kim", Name: "Kim", Role: store.Reader, Identities: kim.Identities, Since: noon}
	other.Passkeys = kim.Passkeys[:1]
	_, err = w.PutPerson(w.ctx(), there, other)
	w.want(store.Exists, err)
	_, err = w.Person(w.ctx(), there, "kim")
	w.want(store.NotFound, err) // nothing of a refused call stays
	other.Passkeys = nil
	w.must1(w.PutPerson(w.ctx(), there, other))
	workers, err := w.ByIdentity(w.ctx(), kim.Identities[0])
	w.must(err)
	if len(workers) != 2 || workers[0].Place != here || workers[1].Place != there || workers[1].Person.Role != store.Reader {
		t.Errorf("the identity belongs to %+v", workers)
	}
	_, err = w.PutPerson(w.ctx(), here, store.Person{ID: "lee", Name: "Lee", Role: store.Reader, Identities: kim.Identities})
	w.want(store.Exists, err)

	kim.Passkeys, kim.Identities, kim.Password = kim.Passkeys[1:], nil, nil
	kim.Version, err = w.PutPerson(w.ctx(), here, kim)
	w.must(err)
	_, _, err = w.ByPasskey(w.ctx(), []byte{0, 7})
	w.want(store.NotFound, err)
	list, err := w.People(w.ctx(), here)
	w.must(err)
	equal(t, "everybody", list, []store.Person{kim})
}

func testLastOwner(t *testing.T, w *world) {
	w.places()
	owners := []joblog.Person{"a", "b", "c", "d"}
	for _, id := range owners {
		w.must1(w.PutPerson(w.ctx(), here, store.Person{ID: id, Name: "N", Role: store.Owner}))
	}
	second := w.server()
	var wg sync.WaitGroup
	errs := make([]error, len(owners))
	for i, id := range owners {
		s := []store.Store{w.Store, second}[i%2]
		wg.Go(func() {
			_, errs[i] = s.PutPerson(w.ctx(), here, store.Person{ID: id, Name: "N", Role: store.Owner, Disabled: true, Version: 1})
		})
	}
	wg.Wait()
	refused := 0
	for _, err := range errs {
		if err != nil {
			refused++
			w.want(store.Refused, err)
		}
	}
	equal(t, "how many were refused to leave nobody", refused, 1)
}

func testSessions(t *testing.T, w *world) {
	w.places()
	w.must1(w.PutPerson(w.ctx(), here, store.Person{ID: "kim", Name: "Kim", Role: store.Owner}))
	v, err := w.PutPerson(w.ctx(), here, store.Person{ID: "lee", Name: "Lee", Role: store.Reader})
	w.must(err)
	put := func(token string, person joblog.Person, since, expires joblog.Moment) store.Session {
		s := store.Session{Token: store.Sum([]byte(token)), Place: here, Person: person, Device: "phone ünder lift", Since: since, Expires: expires}
		w.must(w.PutSession(w.ctx(), s))
		return s
	}
	one, two, lee := put("1", "kim", noon, noon+1000), put("2", "kim", noon+1, noon+2000), put("3", "lee", noon, noon+1000)
	w.want(store.Exists, w.PutSession(w.ctx(), one))
	ghost := one
	ghost.Token, ghost.Person = store.Sum([]byte("x")), "nobody"
	w.want(store.NotFound, w.PutSession(w.ctx(), ghost))

	got, err := w.Session(w.ctx(), one.Token, noon+999)
	w.must(err)
	equal(t, "the session in its last millisecond", got, one)
	_, err = w.Session(w.ctx(), one.Token, noon+1000)
	w.want(store.NotFound, err)
	w.must(w.Extend(w.ctx(), one.Token, noon+999, noon+5000))
	w.must1(w.Session(w.ctx(), one.Token, noon+4999))
	w.want(store.NotFound, w.Extend(w.ctx(), lee.Token, noon+1000, noon+5000))
	list, err := w.SessionsOf(w.ctx(), here, "kim", noon+10)
	w.must(err)
	one.Expires = noon + 5000
	equal(t, "the sessions, newest first", list, []store.Session{two, one})

	w.must1(w.PutPerson(w.ctx(), here, store.Person{ID: "lee", Name: "Lee", Role: store.Reader, Disabled: true, Version: v}))
	_, err = w.Session(w.ctx(), lee.Token, noon+1)
	w.want(store.NotFound, err)
	w.want(store.NotFound, w.Revoke(w.ctx(), there, one.Token, noon))
	w.must(w.Revoke(w.ctx(), here, one.Token, noon+2))
	_, err = w.Session(w.ctx(), one.Token, noon+3)
	w.want(store.NotFound, err)
	n, err := w.RevokeAll(w.ctx(), here, "kim", noon+4)
	w.must(err)
	equal(t, "how many held", n, 1)
	_, err = w.Session(w.ctx(), two.Token, noon+5)
	w.want(store.NotFound, err)
	w.must(w.Sweep(w.ctx(), noon+10_000))
	w.must(w.PutSession(w.ctx(), one)) // its token is known no more
}

func testCustomers(t *testing.T, w *world) {
	w.places()
	for _, id := range unsorted {
		w.must1(w.PutCustomer(w.ctx(), here, store.Customer{ID: id, Name: "N " + id}))
		w.must1(w.PutMachine(w.ctx(), here, store.Machine{ID: guide.ID(id), Name: "M " + id}))
	}
	var ids, ms []string
	for after := ""; ; {
		list, err := w.Customers(w.ctx(), here, after, 3)
		w.must(err)
		if len(list) == 0 {
			break
		}
		for _, c := range list {
			ids = append(ids, c.ID)
		}
		after = list[len(list)-1].ID
	}
	list, err := w.Machines(w.ctx(), here, "", 0)
	w.must(err)
	for _, m := range list {
		ms = append(ms, string(m.ID))
	}
	equal(t, "customers, three at a time", ids, inBytes)
	equal(t, "machines", ms, inBytes)

	c := store.Customer{ID: "c1", Name: "Ann Øst", Address: "Line 1\nLine 2", Phone: "+00 1", Mail: "a@example.org", Note: "rings twice", Since: noon}
	c.Version, err = w.PutCustomer(w.ctx(), here, c)
	w.must(err)
	got, err := w.Customer(w.ctx(), here, "c1")
	w.must(err)
	equal(t, "the customer", got, c)
	m := store.Machine{ID: "m1", Name: "green one", Plate: "WX 12 ABC", Serial: "0001", Customer: "c1", Guide: "v27p", Variant: "left=yes", Note: "n", Data: []byte{0, 255}}
	m.Version, err = w.PutMachine(w.ctx(), here, m)
	w.must(err)
	of, err := w.MachinesOf(w.ctx(), here, "c1")
	w.must(err)
	equal(t, "the customer's machines", of, []store.Machine{m})
	m.Customer = "nobody"
	_, err = w.PutMachine(w.ctx(), here, m)
	w.want(store.NotFound, err)
}

func testErase(t *testing.T, w *world) {
	w.places()
	w.must1(w.PutCustomer(w.ctx(), here, store.Customer{ID: "c1", Name: "Quillfeather", Mail: "q@example.org"}))
	w.must1(w.PutMachine(w.ctx(), here, store.Machine{ID: "m1", Name: "green one", Plate: "WX 12 ABC", Serial: "S77", Note: "knocks at home", Customer: "c1"}))
	w.must1(w.PutJob(w.ctx(), here, store.Job{ID: "j1", Title: "rattle", Machine: "m1", Customer: "c1", State: "in", Opened: noon, Updated: noon}))
	in := notes("j1", "phone", 1, 3)
	w.must1(w.Append(w.ctx(), here, "j1", in))
	paper, err := w.Issue(w.ctx(), here, store.Paper{Job: "j1", Kind: "quote", At: noon, Type: "text/plain", Content: []byte("200"), Customer: []byte("Quillfeather")})
	w.must(err)
	link := store.Link{Token: store.Sum([]byte("t")), Place: here, Job: "j1", Since: noon, Expires: noon + 1000}
	w.must(w.PutLink(w.ctx(), link))

	w.must(w.Erase(w.ctx(), here, "c1", noon+7))
	w.must(w.Erase(w.ctx(), here, "c1", noon+8)) // twice changes nothing
	c, err := w.Customer(w.ctx(), here, "c1")
	w.must(err)
	equal(t, "what is left of the customer", c, store.Customer{ID: "c1", Erased: noon + 7, Version: 2})
	m, err := w.Machine(w.ctx(), here, "m1")
	w.must(err)
	equal(t, "what is left of the machine", m, store.Machine{ID: "m1", Name: "green one", Customer: "c1", Version: 2})
	for _, word := range []string{"Quillfeather", "wx12abc", "S77", "knocks"} {
		hits, err := w.Search(w.ctx(), here, word, 0)
		w.must(err)
		if len(hits) > 0 {
			t.Errorf("%s is still found: %v", word, hits)
		}
	}
	paper.Customer = nil
	got, err := w.Paper(w.ctx(), here, "quote", paper.Number, 0)
	w.must(err)
	equal(t, "the paper", got, paper)
	_, err = w.Link(w.ctx(), link.Token, noon+9)
	w.want(store.NotFound, err)
	events, err := w.Events(w.ctx(), here, "j1")
	w.must(err)
	equal(t, "events that stay", len(events), len(in))
	j, err := w.Job(w.ctx(), here, "j1")
	w.must(err)
	equal(t, "the job's customer", j.Customer, "c1")
	_, err = w.PutCustomer(w.ctx(), here, store.Customer{ID: "c1", Name: "Back", Version: 2})
	w.want(store.Refused, err)
	w.want(store.NotFound, w.Erase(w.ctx(), here, "c2", noon))
}

func testVersions(t *testing.T, w *world) {
	w.places()
	j := w.job(here, "j1")
	second := w.server()
	const n = 8
	var wg sync.WaitGroup
	errs := make([]error, n)
	for i := range n {
		s := []store.Store{w.Store, second}[i%2]
		wg.Go(func() {
			mine := j
			mine.Title = strings.Repeat("x", i+1)
			_, errs[i] = s.PutJob(w.ctx(), here, mine)
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
	equal(t, "how many of those who read version 1 could write", won, 1)
	got, err := w.Job(w.ctx(), here, "j1")
	w.must(err)
	equal(t, "the version", got.Version, 2)
}

func testTrail(t *testing.T, w *world) {
	w.places()
	for i := range 5 {
		w.must(w.Note(w.ctx(), here, store.Entry{At: noon + joblog.Moment(i), Person: "kim", From: "127.0.0.1", Did: "sign-in", On: "kim", Says: "ok ✓"}))
	}
	w.must(w.Note(w.ctx(), there, store.Entry{At: noon, Did: "sign-in"}))
	list, err := w.Trail(w.ctx(), here, 0, 2)
	w.must(err)
	if len(list) != 2 || list[0].Number != 5 || list[1].Number != 4 {
		t.Fatalf("the newest two are %+v", list)
	}
	equal(t, "the newest", list[0], store.Entry{Number: 5, At: noon + 4, Person: "kim", From: "127.0.0.1", Did: "sign-in", On: "kim", Says: "ok ✓"})
	list, err = w.Trail(w.ctx(), here, list[1].Number, 0)
	w.must(err)
	equal(t, "those before", len(list), 3)
}

func testSettings(t *testing.T, w *world) {
	w.places()
	for _, place := range []store.PlaceID{store.Everywhere, here, there} {
		_, err := w.Setting(w.ctx(), place, "key")
		w.want(store.NotFound, err)
		v, err := w.PutSetting(w.ctx(), place, store.Setting{Name: "key", Value: []byte("of " + place)})
		w.must(err)
		got, err := w.Setting(w.ctx(), place, "key")
		w.must(err)
		equal(t, "the setting", got, store.Setting{Name: "key", Value: []byte("of " + place), Version: v})
	}
	_, err := w.PutSetting(w.ctx(), here, store.Setting{Name: "key", Value: []byte("2")})
	w.want(store.Exists, err)
	w.must1(w.PutSetting(w.ctx(), here, store.Setting{Name: "key", Value: []byte("2"), Version: 1}))
	_, err = w.PutSetting(w.ctx(), here, store.Setting{Name: "key", Value: []byte("3"), Version: 1})
	w.want(store.Conflict, err)
}
