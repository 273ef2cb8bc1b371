//go:build browser

package web

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/joblog"
)

var kills = flag.Int("kills", 3, "how often the browser is killed while somebody works")

// queue returns the events that wait on the phone.
func (p *phone) queue() []joblog.Event {
	p.t.Helper()
	text, _ := strings.CutPrefix(p.promise(`keep.load().then((h) => JSON.stringify(h.queue))`), "=")
	var raw []json.RawMessage
	if err := json.Unmarshal([]byte(text), &raw); err != nil {
		p.t.Fatalf("%v: %s", err, text)
	}
	var list []joblog.Event
	for _, r := range raw {
		e, err := joblog.Decode(r)
		if err != nil {
			p.t.Fatalf("the phone wrote what is no event: %v\n%s", err, r)
		}
		list = append(list, e)
	}
	return list
}

// The whole job with the server away after the first page: nothing is missing
// on the server afterwards, and nothing is there twice.
func TestWholeJobWithoutSignal(t *testing.T) {
	s := newTill(t, "replace:SE13")
	p := newPhone(t, s.base(), t.TempDir())
	p.sheet(s)
	p.ready()
	s.down()
	p.sheet(s)
	steps := len(s.sheet().Steps)
	p.work(steps)
	p.js(`(location.hash = "end", "")`)
	p.until(`!!document.querySelector("form[data-form=proof]")`)
	p.js(`(document.querySelector("#f-proof").value = "hill drive, 20 min", "")`)
	p.tap(`form[data-form=proof] button`)
	p.until(`document.querySelector(".wrong-at")?.innerText.includes("Choose") && document.querySelector("#f-proof").value !== ""`)
	p.tap(`[name=verdict][value=conforming]`)
	p.tap(`form[data-form=proof] button`)
	p.tap(`[data-do=close]`)
	p.until(`document.querySelector(".view").innerText.includes("Closed by Ines Pellow")`)
	if now := s.sheet().State; now.Closed != nil || len(now.Proofs) > 0 {
		t.Fatal("the server was reached although it was away: the test proves nothing")
	}
	waiting := p.queue()
	s.up()
	p.sent()
	now := s.sheet()
	if now.State.Closed == nil {
		t.Fatal(now.State.Unclosable())
	}
	if st := now.State; len(st.Gaps)+len(st.Conflicts)+len(st.Refused) > 0 || st.Fasteners.In != st.Fasteners.Out || st.Fasteners.Out < 30 || st.Connectors.In != st.Connectors.Out {
		t.Errorf("gaps %v, conflicts %v, refused %v, fasteners %v, connectors %v", st.Gaps, st.Conflicts, st.Refused, st.Fasteners, st.Connectors)
	}
	if got := now.Has[waiting[0].Device]; got != int64(len(waiting)) {
		t.Errorf("%d events waited, %d are on the server", len(waiting), got)
	}
	t.Logf("%d events of %d steps came over at once", len(waiting), steps)
}

// What the phone says without signal is what the server says afterwards.
func TestPhoneAndServerSayTheSame(t *testing.T) {
	for _, task := range []string{"check:X3", "replace:SE13", "replace:CO02"} {
		t.Run(task, func(t *testing.T) {
			s := newTill(t, task)
			p := newPhone(t, s.base(), t.TempDir())
			p.sheet(s)
			p.ready()
			for round := 0; p.js(`document.querySelector("#dock .main")?.getAttribute("href") === "#end"`) != "true"; round++ {
				if round > 12 {
					t.Fatal("the job does not end")
				}
				s.down()
				p.work(3)
				said := p.said()
				s.up()
				p.sent()
				p.until(`keep.status.waiting === 0`)
				sheet := s.sheet()
				want := compare{Sentences: sheet.State.Handover().Sentences(), Counts: fmt.Sprint(sheet.State.Fasteners, sheet.State.Connectors)}
				for _, l := range sheet.State.Lacks {
					want.Lacks = append(want.Lacks, l.Key)
				}
				for _, n := range sheet.State.MustNot {
					want.Never = append(want.Never, n.Says)
				}
				slices.Sort(want.Lacks)
				slices.Sort(said.Lacks)
				if w, g := want.text(), said.text(); w != g {
					t.Errorf("after %d rounds the server says\n%s\nand the phone said\n%s", round+1, w, g)
				}
			}
		})
	}
}

// compare is what phone and server must say alike.
type compare struct {
	Sentences []string
	Lacks     []string
	Counts    string
	Never     []string
}

func (c compare) text() string {
	list := slices.DeleteFunc(slices.Clone(c.Sentences), func(s string) bool {
		return strings.HasPrefix(s, "Do not ") || strings.Contains(s, ": ") && !strings.HasPrefix(s, "Next") && !strings.HasPrefix(s, "Ticked")
	})
	slices.Sort(list)
	return strings.Join(list, "\n") + "\n" + strings.Join(c.Lacks, "\n") + "\n" + c.Counts + "\n" + strings.Join(slices.Sorted(slices.Values(c.Never)), "\n")
}

func (p *phone) said() compare {
	p.t.Helper()
	text, _ := strings.CutPrefix(p.promise(`keep.load().then((h) => { const v = layer.view(h.sheet, h.state, h.queue);
		return JSON.stringify({Sentences: layer.sentences(v), Lacks: v.lacks.map((l) => l.key), Never: v.must_not.map((n) => n.says), Counts: "{" + v.fasteners.out + " " + v.fasteners.in + "} {" + v.connectors.out + " " + v.connectors.in + "}"}); })`), "=")
	var c compare
	if err := json.Unmarshal([]byte(text), &c); err != nil {
		p.t.Fatalf("%v: %s", err, text)
	}
	return c
}

// A browser killed at any moment has every tick that it showed, and once: with
// the server away and with the server there, where a tick may be on its way.
func TestKilledBrowserLosesNothing(t *testing.T) {
	s := newTill(t, "replace:SE13")
	p := newPhone(t, s.base(), t.TempDir())
	p.sheet(s)
	p.ready()
	s.down()
	chance := rand.New(rand.NewPCG(27, 4))
	shown := 0 // taps that the page showed
	for n := range *kills {
		if n%2 == 1 {
			s.up()
			p.until(`keep.status.online === true`)
		}
		// Steps are ticked and taken back in turn, so that there is always
		// something to tap; what counts is how many taps were shown.
		for range 1 + chance.IntN(4) {
			p.toggle()
			shown++
		}
		p.js(`(document.querySelector("[data-do=done],[data-do=take-back]")?.click(), "")`) // in the air
		time.Sleep(time.Duration(chance.IntN(30)) * time.Millisecond)
		p = p.kill()
		s.down()
		p.sheet(s)
		got := p.written(s)
		if got < shown || got > shown+1 {
			t.Fatalf("kill %d: %d taps were shown, %d events are kept", n+1, shown, got)
		}
		shown = got
	}
	s.up()
	p.sent()
	p.until(`keep.status.waiting === 0`)
	st := s.sheet()
	device := joblog.Device(p.js(`Object.keys(` + mustJSON(t, st.Has) + `).find((d) => d.startsWith("phone-"))`))
	if st.Has[device] != int64(shown) || len(st.State.Gaps)+len(st.State.Conflicts)+len(st.State.Refused) > 0 {
		t.Errorf("%d taps shown, the server has %v, gaps %v, conflicts %v", shown, st.Has, st.State.Gaps, st.State.Conflicts)
	}
	t.Logf("%d kills, %d taps shown, all there once", *kills, shown)
}

// written returns how many events the phone has written: those that wait and
// those that the server has, each once.
func (p *phone) written(s *till) int {
	p.t.Helper()
	numbers := map[int64]bool{}
	for _, e := range p.queue() {
		if numbers[e.Seq] {
			p.t.Errorf("number %d waits twice", e.Seq)
		}
		numbers[e.Seq] = true
	}
	for device, n := range s.sheet().Has {
		for i := int64(1); i <= n && strings.HasPrefix(string(device), "phone-"); i++ {
			numbers[i] = true
		}
	}
	return len(numbers)
}

func mustJSON(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// A job without a plan says so; a plan that is taken meanwhile is there without
// anything being pressed.
func TestPlanArrives(t *testing.T) {
	s := newTill(t)
	p := newPhone(t, s.base(), t.TempDir())
	p.sheet(s)
	p.until(`document.querySelector("#hand").innerText.includes("No plan was taken")`)
	if _, err := s.desk.TakePlan(context.Background(), s.ines, s.job, app.Ask{Machine: "V1", Tasks: []string{"check:X3"}}); err != nil {
		t.Fatal(err)
	}
	p.until(`document.querySelector("#count-of")?.innerText.startsWith("Step 1 of 3")`)
}

// toggle ticks the first step or takes the tick back, and waits until that is
// shown.
func (p *phone) toggle() {
	p.t.Helper()
	if p.js(`location.hash`) != "#s1" {
		p.js(`(location.hash = "s1", "")`)
		p.until(`document.querySelector("#count-of")?.innerText.startsWith("Step 1 of")`)
	}
	if p.js(`!!document.querySelector("[data-do=done]")`) == "true" {
		p.tap(`[data-do=done]`)
		p.until(`location.hash === ""`) // it goes on to the next
		p.js(`(location.hash = "s1", "")`)
		p.until(`!!document.querySelector("[data-do=take-back]")`)
		return
	}
	p.tap(`[data-do=take-back]`)
	p.tap(`[data-do=yes]`)
	p.until(`!!document.querySelector("[data-do=done]")`)
}

// Two phones on one job, both without signal: merged in either order they come
// to the same, and what both ticked is shown on both.
func TestTwoPhonesMeet(t *testing.T) {
	s := newTill(t, "check:X3")
	ines := newPhone(t, s.base(), t.TempDir())
	ines.sheet(s)
	ines.ready()
	other := newPhone(t, s.base(), t.TempDir()).isTomasz()
	other.sheet(s)
	other.ready()
	plan := s.sheet()
	s.down()
	ines.work(2)
	other.work(1)
	mine, theirs := ines.queue(), other.queue()
	if len(mine) < 2 || len(theirs) != 1 || mine[0].Author == theirs[0].Author {
		t.Fatalf("%d and %d events", len(mine), len(theirs))
	}
	s.up()
	ines.sent()
	other.sent()
	both := `document.querySelector("#hand") && keep.load().then((h) => h.state.conflicts?.some((c) => c.sort === "twice" && c.key === "step 1"))`
	for _, p := range []*phone{ines, other} {
		p.js(`(keep.sync(), "")`)
		p.until(`keep.status.waiting === 0`)
		for end := time.Now().Add(patience); p.promise(both) != "=true"; time.Sleep(100 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("that both ticked step 1 is not shown: %s", p.promise(`keep.load().then((h) => JSON.stringify(h.state.conflicts))`))
			}
		}
	}
	if st := s.sheet().State; !st.Plan.Steps[0].Done || len(st.Plan.Steps[0].Ticks) != 2 || !st.Plan.Steps[1].Done {
		t.Errorf("%+v", st.Plan.Steps)
	}
	fold := func(lists ...[]joblog.Event) string {
		l := joblog.NewLog(s.job)
		for _, list := range lists {
			for _, e := range list {
				if why := joblog.Accept(l, e, joblog.Claim{}); len(why) > 0 {
					t.Fatal(joblog.Says(why))
				}
				if _, err := l.Add(joblog.Record{Event: e}); err != nil {
					t.Fatal(err)
				}
			}
		}
		text, err := json.Marshal(joblog.Fold(l, joblog.Basis{}))
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	if fold(mine, theirs) != fold(theirs, mine) {
		t.Error("the order of arrival matters")
	}
	if plan.Cursor >= s.sheet().Cursor {
		t.Error("nothing came over")
	}
}

// What somebody else ticks is there without anything being pressed.
func TestOthersTicksArrive(t *testing.T) {
	s := newTill(t, "check:X3")
	p := newPhone(t, s.base(), t.TempDir())
	p.sheet(s)
	p.sent()
	veld := &pocket{job: s.job, by: tomasz.ID, device: "phone-of-tomasz"}
	tick := veld.event(t, &joblog.StepDone{Plan: s.sheet().Plan, Step: 1})
	if _, err := s.desk.Sync(context.Background(), tomasz, s.job, desk.SyncIn{Device: veld.device, Events: []json.RawMessage{tick}}); err != nil {
		t.Fatal(err)
	}
	p.until(`document.querySelector("#count-of").innerText.startsWith("Step 2 of")`)
	p.until(`document.querySelector("#live").innerText.includes("Tomasz Veld")`)
}

// Two tabs of one browser share its numbers. The second one is the same script
// once more, with a connection of its own to the database; it knows nothing of
// the first but what the database holds.
func TestTwoTabsShareOneNumbering(t *testing.T) {
	s := newTill(t, "replace:SE13")
	p := newPhone(t, s.base(), t.TempDir())
	p.sheet(s)
	p.ready()
	s.down()
	source, err := embedded.ReadFile("assets/run-keep.js")
	if err != nil {
		t.Fatal(err)
	}
	second := strings.Replace(string(source), "const keep = (", "window.second = (", 1)
	p.js("(() => {" + second + "; return \"\"; })()")
	if got := p.promise(`window.second.start().then(() => window.second.me())`); got != "=pellow" {
		t.Fatal(got)
	}
	write := `[...Array(20).keys()].map((n) => %s.write([{kind: "note", body: {text: "%[1]s " + n}}]))`
	if got := p.promise("Promise.all([..." + fmt.Sprintf(write, "keep") + ", ..." + fmt.Sprintf(write, "window.second") + "]).then((x) => x.length)"); got != "=40" {
		t.Fatal(got)
	}
	list := p.queue()
	if len(list) != 40 {
		t.Fatalf("%d events, want 40", len(list))
	}
	slices.SortFunc(list, func(a, b joblog.Event) int { return int(a.Seq - b.Seq) })
	for i, e := range list {
		if e.Seq != int64(i+1) || e.Device != list[0].Device || i > 0 && e.ID.Compare(list[i-1].ID) <= 0 {
			t.Errorf("event %d has number %d of %s, id %s", i+1, e.Seq, e.Device, e.ID)
		}
	}
	p.until(`document.querySelector("#sent").innerText.includes("40 to send")`)
	s.up()
	p.sent()
	p.until(`keep.status.waiting === 0`)
	if st := s.sheet(); len(st.State.Notes) != 40 || len(st.State.Gaps)+len(st.State.Conflicts) > 0 {
		t.Errorf("%d notes, gaps %v", len(st.State.Notes), st.State.Gaps)
	}
}

// A clock that goes back makes no id go back.
func TestClockGoesBack(t *testing.T) {
	s := newTill(t, "check:X3")
	p := newPhone(t, s.base(), t.TempDir())
	p.before(`window.back = 0; const real = Date.now; Date.now = () => real() - window.back;`)
	p.sheet(s)
	p.ready()
	s.down()
	for _, back := range []string{"0", "3600000", "86400000", "-7200000", "0", String(40 * 365 * 24 * time.Hour)} {
		p.js(`(window.back = ` + back + `, "")`)
		if got := p.promise(`keep.write([{kind: "note", body: {text: "clock ` + back + `"}}]).then((x) => x.length)`); got != "=1" {
			t.Fatal(got)
		}
	}
	list := p.queue()
	for i, e := range list[1:] {
		if e.ID.Compare(list[i].ID) <= 0 || e.Seq != list[i].Seq+1 || e.ID.Time() < e.At {
			t.Errorf("event %d: id %s after %s, number %d, time %s", i+2, e.ID, list[i].ID, e.Seq, e.At)
		}
	}
	s.up()
	p.sent()
	if st := s.sheet().State; len(st.Notes) != 6 || len(st.Refused)+len(st.Gaps) > 0 {
		t.Errorf("%d notes, refused %v, gaps %v", len(st.Notes), st.Refused, st.Gaps)
	}
}

// String writes a time in milliseconds.
func String(d time.Duration) string { return fmt.Sprint(d.Milliseconds()) }

// Where the browser keeps nothing that is said loudly, and what can be done is
// done.
func TestStorageFails(t *testing.T) {
	for _, tc := range []struct {
		name, script, says string
		offline            bool // what is ticked without signal is kept
	}{
		{"no database", `Object.defineProperty(window, "indexedDB", {value: undefined});`, "database does not work", true},
		{"the phone is full", `IDBObjectStore.prototype.add = function () { throw new DOMException("full", "QuotaExceededError"); };`, "phone is full", true},
		{"nothing keeps anything", `Object.defineProperty(window, "indexedDB", {value: undefined}); Storage.prototype.setItem = function () { throw new DOMException("full", "QuotaExceededError"); };`, "keeps nothing", false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := newTill(t, "replace:SE13")
			p := newPhone(t, s.base(), t.TempDir())
			p.before(tc.script)
			p.sheet(s)
			p.tap(`[data-do=done]`)
			p.until(`document.querySelector("#count-of").innerText.startsWith("Step 2 of")`)
			p.until(`document.querySelector(".loud")?.innerText.includes("` + tc.says + `")`)
			p.sent()
			if st := s.sheet().State; !st.Plan.Steps[0].Done {
				t.Error("with signal, a tick did not reach the server")
			}
			s.down()
			p.tap(`[data-do=done]`)
			if tc.offline {
				p.until(`document.querySelector("#count-of").innerText.startsWith("Step 3 of")`)
				s.up()
				p.sent()
				if st := s.sheet().State; !st.Plan.Steps[1].Done || len(st.Gaps) > 0 {
					t.Errorf("what was kept aside did not arrive: gaps %v", st.Gaps)
				}
				return
			}
			p.until(`document.querySelector("#alarm").innerText.includes("Not kept")`)
			if got := p.text("#count-of"); !strings.HasPrefix(got, "Step 2 of") || strings.Contains(got, "done") {
				t.Errorf("a tick that nobody kept is shown: %q", got)
			}
			s.up()
			p.until(`keep.status.online === true`)
			p.tap(`[data-do=done]`)
			p.until(`document.querySelector("#count-of").innerText.startsWith("Step 3 of")`)
			if st := s.sheet().State; !st.Plan.Steps[1].Done || len(st.Gaps) > 0 {
				t.Errorf("ticked again with signal: gaps %v", st.Gaps)
			}
		})
	}
}

// picky is a desk that refuses one kind of event.
type picky struct {
	Runs
	kind joblog.Kind
	why  joblog.Why
}

func (d *picky) Sync(ctx context.Context, who desk.Who, job joblog.Job, in desk.SyncIn) (*desk.SyncOut, error) {
	var pass []json.RawMessage
	var place []int
	var refused []desk.SyncRefusal
	for i, raw := range in.Events {
		if e, err := joblog.Decode(raw); err == nil && e.Kind == d.kind {
			refused = append(refused, desk.SyncRefusal{Index: i, ID: e.ID, Why: string(d.why), Says: "the plan has no such step"})
			continue
		}
		pass, place = append(pass, raw), append(place, i)
	}
	in.Events = pass
	out, err := d.Runs.Sync(ctx, who, job, in)
	if err == nil {
		for i := range out.Refused {
			out.Refused[i].Index = place[out.Refused[i].Index]
		}
		out.Refused = append(out.Refused, refused...)
	}
	return out, err
}

// What the server refuses is shown with what it was about, leaves no gap, and
// can be written again.
func TestRefusedIsShownAndSettled(t *testing.T) {
	c := newCounter(t, "check:X3")
	door := &picky{Runs: c.desk, kind: joblog.KindDone, why: joblog.UnknownStep}
	c.runs = door
	s := serveCounter(t, c)
	p := newPhone(t, s.base(), t.TempDir())
	p.sheet(s)
	p.tap(`[data-do=done]`)
	p.until(`!!document.querySelector('.banners a[href="#settle"]')`)
	p.tap(`.banners a[href="#settle"]`)
	p.until(`document.querySelector(".dispute")?.innerText.includes("the plan has no such step")`)
	if got := p.text(".dispute"); !strings.Contains(got, "Take off the cab hatch") {
		t.Errorf("it does not say what it was about: %q", got)
	}
	p.until(`keep.status.waiting === 0`)
	if st := s.sheet().State; len(st.Gaps) > 0 || len(st.Notes) != 1 || !strings.Contains(st.Notes[0].Text, "Not kept here") {
		t.Errorf("gaps %v, notes %v", st.Gaps, st.Notes)
	}
	door.kind = joblog.KindPrice // no such events from here on
	p.tap(`[data-do=again]`)
	p.until(`document.querySelector(".view").innerText.includes("Nothing is open")`)
	p.until(`keep.status.waiting === 0`)
	if st := s.sheet().State; !st.Plan.Steps[0].Done || len(st.Gaps) > 0 {
		t.Errorf("written again: %+v, gaps %v", st.Plan.Steps[0], st.Gaps)
	}
}

// deaf is a desk that answers for none of the events it is sent.
type deaf struct {
	Runs
	asked atomic.Int64
}

func (d *deaf) Sync(ctx context.Context, who desk.Who, job joblog.Job, in desk.SyncIn) (*desk.SyncOut, error) {
	if len(in.Events) > 0 {
		d.asked.Add(1)
	}
	in.Events = nil
	return d.Runs.Sync(ctx, who, job, in)
}

// A server that answers for nothing is not asked without end, and what waits
// goes on waiting.
func TestPhoneDoesNotHammer(t *testing.T) {
	c := newCounter(t, "check:X3")
	door := &deaf{Runs: c.desk}
	c.runs = door
	s := serveCounter(t, c)
	p := newPhone(t, s.base(), t.TempDir())
	p.sheet(s)
	p.tap(`[data-do=done]`)
	p.until(`document.querySelector("#count-of").innerText.startsWith("Step 2 of")`)
	time.Sleep(4 * time.Second)
	if n := door.asked.Load(); n < 1 || n > 8 {
		t.Errorf("asked %d times in 4 s", n)
	}
	if n := len(p.queue()); n != 1 {
		t.Errorf("%d events wait, want 1", n)
	}
}

// A photo is made small, kept without signal, and sent later.
func TestPhotoWithoutSignal(t *testing.T) {
	s := newTill(t, "check:X3")
	p := newPhone(t, s.base(), t.TempDir())
	p.sheet(s)
	p.ready()
	s.down()
	file := filepath.Join(t.TempDir(), "photo.jpg")
	if err := os.WriteFile(file, aPicture(t), 0o644); err != nil {
		t.Fatal(err)
	}
	p.js(`(location.hash = "more", "")`)
	p.until(`!!document.querySelector("#camera")`)
	p.do(chromedp.SetUploadFiles(chromedp.CSS("#camera"), []string{file}))
	p.until(`document.querySelector("figure img")?.src.startsWith("blob:")`)
	if list := p.queue(); len(list) != 1 || list[0].Kind != joblog.KindPicture {
		t.Fatalf("%v", list)
	}
	s.up()
	p.sent()
	st := s.sheet().State
	if len(st.Pictures) != 1 || st.Pictures[0].Step != 1 {
		t.Fatalf("%v", st.Pictures)
	}
	res, err := http.Get(s.base() + s.at() + "/picture/" + st.Pictures[0].Hash)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusOK || res.ContentLength == 0 {
		t.Errorf("%d", res.StatusCode)
	}
}
