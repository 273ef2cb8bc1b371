package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"elbowroom/app/desk"
	"elbowroom/joblog"
)

var (
	siegeKills = flag.Int("siege.kills", 8, "how often the server is killed under load")
	siegeTime  = flag.Duration("siege.time", time.Second, "how long the load on the server lasts")
)

// server is the real program, started as a person would.
type server struct {
	t    *testing.T
	bin  string
	args []string
	cmd  *exec.Cmd
	at   string
}

// built builds the program once for all tests.
var built = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "elbowroom")
	if err != nil {
		return "", err
	}
	bin := filepath.Join(dir, "elbowroom")
	out, err := exec.Command("go", "build", "-o", bin, ".").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return bin, nil
})

func newServer(t *testing.T, args ...string) *server {
	t.Helper()
	bin, err := built()
	if err != nil {
		t.Fatal(err)
	}
	s := &server{t: t, bin: bin, args: args}
	s.start("127.0.0.1:0")
	t.Cleanup(func() { s.kill() })
	return s
}

// start runs the program and waits until it says where it listens.
func (s *server) start(listen string) {
	s.t.Helper()
	s.cmd = exec.Command(s.bin, append([]string{"--json", "serve", "--listen", listen}, s.args...)...)
	var errs bytes.Buffer
	s.cmd.Stderr = &errs
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		s.t.Fatal(err)
	}
	if err := s.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	var said struct{ Address string }
	if err := json.NewDecoder(bufio.NewReader(out)).Decode(&said); err != nil {
		s.t.Fatalf("the server says nothing: %v: %s", err, &errs)
	}
	s.at = strings.TrimSuffix(said.Address, "/")
}

// kill ends the program as a power cut would.
func (s *server) kill() {
	if s.cmd.Process != nil {
		_ = s.cmd.Process.Kill() // it may have ended by itself
		_ = s.cmd.Wait()         // says that it was killed
	}
}

func (s *server) again() {
	s.t.Helper()
	s.start(strings.TrimPrefix(s.at, "http://"))
}

// hand is somebody at a phone with a browser that is signed in.
type hand struct {
	t      *testing.T
	client *http.Client
	me     string
	job    joblog.Job
	device joblog.Device
	seq    int64
	last   joblog.ID
	random *rand.ChaCha8
	queue  []json.RawMessage
	acked  []string
}

func setUp(t *testing.T, s *server) *http.Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	c := &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }, Timeout: 20 * time.Second}
	form := url.Values{"workshop": {"Castle"}, "currency": {"EUR"}, "rate": {"84.00"}, "name": {"Ada Stone"}, "password": {"copper kettle under rain"}}
	if at := post(t, c, s.at, "/set-up", form); at != "/" {
		t.Fatalf("set-up leads to %q", at)
	}
	return c
}

// post sends a form and returns where it leads.
func post(t *testing.T, c *http.Client, at, path string, form url.Values) string {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, at+path, strings.NewReader(form.Encode()))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", at)
	res, err := c.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusSeeOther {
		body, _ := io.ReadAll(res.Body)
		t.Fatalf("%s: %d %s", path, res.StatusCode, body)
	}
	return res.Header.Get("Location")
}

// hands opens jobs and gives each some phones.
func hands(t *testing.T, c *http.Client, at string, jobs, each int) []*hand {
	t.Helper()
	var list []*hand
	for j := range jobs {
		to := post(t, c, at, "/jobs/", url.Values{"id": {fmt.Sprintf("V%d", j+1)}, "name": {"Van"}, "complaint": {"does not start"}})
		job := joblog.Job(strings.TrimPrefix(to, "/jobs/"))
		for n := range each {
			device := joblog.Device(fmt.Sprintf("phone-%d-%d", j, n))
			list = append(list, &hand{t: t, client: c, me: "stone", job: job, device: device, random: rand.NewChaCha8([32]byte{byte(j), byte(n)})})
		}
	}
	return list
}

// write puts one more note into the queue, as a phone keeps it.
func (h *hand) write() {
	now := joblog.MomentOf(time.Now())
	var r [10]byte
	_, _ = h.random.Read(r[:]) // never fails
	h.seq++
	h.last = joblog.NextID(h.last, now, r)
	raw, err := joblog.Encode(joblog.Event{
		Schema: joblog.Schema, ID: h.last, Job: h.job, Author: joblog.Person(h.me), Device: h.device, Seq: h.seq, At: now,
		Kind: joblog.KindNote, Body: &joblog.Note{Text: fmt.Sprintf("%s %d", h.device, h.seq)},
	})
	if err != nil {
		h.t.Error(err)
		return
	}
	h.queue = append(h.queue, raw)
}

// send delivers the queue; what is acknowledged leaves it. A server that does
// not answer is no failure.
func (h *hand) send(at string) (took time.Duration, ok bool) {
	body, err := json.Marshal(desk.SyncIn{Device: h.device, Events: h.queue})
	if err != nil {
		h.t.Error(err)
		return 0, false
	}
	r, err := http.NewRequest(http.MethodPost, at+"/run/"+string(h.job)+"/sync", bytes.NewReader(body))
	if err != nil {
		h.t.Error(err)
		return 0, false
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Origin", at)
	began := time.Now()
	res, err := h.client.Do(r)
	if err != nil {
		return 0, false
	}
	defer res.Body.Close()
	var out desk.SyncOut
	if err := json.NewDecoder(res.Body).Decode(&out); err != nil || res.StatusCode != http.StatusOK {
		return 0, false
	}
	if len(out.Refused) > 0 {
		h.t.Errorf("refused: %s", out.Refused[0].Says)
	}
	if len(out.Accepted) != len(h.queue) {
		h.t.Errorf("%d of %d acknowledged", len(out.Accepted), len(h.queue))
	}
	for _, id := range out.Accepted {
		h.acked = append(h.acked, id.String())
	}
	h.queue = nil
	return time.Since(began), true
}

// kept returns the ids of the notes of a job, as the server has them.
func kept(t *testing.T, c *http.Client, at string, job joblog.Job) []string {
	t.Helper()
	res, err := c.Get(at + "/run/" + string(job) + "/sheet")
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	var sheet desk.Sheet
	if err := json.NewDecoder(res.Body).Decode(&sheet); err != nil {
		t.Fatal(err)
	}
	if len(sheet.State.Gaps) > 0 {
		t.Errorf("job %s has gaps: %v", job, sheet.State.Gaps)
	}
	var ids []string
	for _, n := range sheet.State.Notes {
		ids = append(ids, n.ID.String())
	}
	return ids
}

// The server is killed at random moments while phones write. Nothing that was
// acknowledged is lost, nothing is there twice.
func TestKilledServer(t *testing.T) {
	s := newServer(t, "--data", filepath.Join(t.TempDir(), "kept"))
	killed(t, s, setUp(t, s))
}

func killed(t *testing.T, s *server, c *http.Client) {
	t.Helper()
	list := hands(t, c, s.at, 2, 3)
	at, stop := s.at, make(chan struct{})
	var busy sync.WaitGroup
	for _, h := range list {
		busy.Go(func() {
			for {
				select {
				case <-stop:
					return
				default:
				}
				h.write()
				if _, ok := h.send(at); !ok {
					time.Sleep(20 * time.Millisecond)
				}
			}
		})
	}
	chance := rand.New(rand.NewPCG(1, 2))
	for range *siegeKills {
		time.Sleep(time.Duration(chance.IntN(150)) * time.Millisecond)
		s.kill()
		s.again()
	}
	time.Sleep(100 * time.Millisecond)
	close(stop)
	busy.Wait()
	compareKept(t, c, s.at, list)
}

// compareKept delivers what is left and holds what the server has against what
// it acknowledged.
func compareKept(t *testing.T, c *http.Client, at string, list []*hand) {
	t.Helper()
	acked := map[joblog.Job][]string{}
	for _, h := range list {
		if len(h.queue) > 0 {
			if _, ok := h.send(at); !ok {
				t.Fatal("the server does not take what is left")
			}
		}
		acked[h.job] = append(acked[h.job], h.acked...)
	}
	total := 0
	for job, want := range acked {
		got := kept(t, c, at, job)
		slices.Sort(got)
		slices.Sort(want)
		total += len(want)
		if !slices.Equal(got, want) {
			t.Errorf("job %s: %d acknowledged, %d kept", job, len(want), len(got))
		}
	}
	if total == 0 {
		t.Error("nothing was acknowledged: nothing is proved")
	}
	t.Logf("%d events acknowledged and kept", total)
}

// Fifty phones write at once to one server over SQLite.
func TestServerLoad(t *testing.T) {
	s := newServer(t, "--data", filepath.Join(t.TempDir(), "kept"))
	loaded(t, setUp(t, s), []*server{s}, 10, 5)
}

// loaded lets phones write for some time and says how fast the servers were.
func loaded(t *testing.T, c *http.Client, servers []*server, jobs, each int) {
	t.Helper()
	list := hands(t, c, servers[0].at, jobs, each)
	end := time.Now().Add(*siegeTime)
	times := make([][]time.Duration, len(list))
	var busy sync.WaitGroup
	for i, h := range list {
		busy.Go(func() {
			at := servers[i%len(servers)].at
			for time.Now().Before(end) {
				h.write()
				took, ok := h.send(at)
				if !ok {
					t.Errorf("%s: no answer", h.device)
					return
				}
				times[i] = append(times[i], took)
			}
		})
	}
	busy.Wait()
	all := slices.Concat(times...)
	slices.Sort(all)
	if len(all) == 0 {
		t.Fatal("nothing was written")
	}
	t.Logf("%d phones, %d servers: %.0f events a second, p50 %v, p99 %v, slowest %v", len(list), len(servers),
		float64(len(all))/siegeTime.Seconds(), all[len(all)/2], all[len(all)*99/100], all[len(all)-1])
	compareKept(t, c, servers[len(servers)-1].at, list)
}
