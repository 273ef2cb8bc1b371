package storetest

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"elbowroom/joblog"
	"elbowroom/store"
)

// Crash kills programs that write to a store at random moments, again and
// again, and looks each time whether everything that they were told is stored
// is there, once and unchanged.
type Crash struct {
	Kills int
	Seed  uint64
	// Writer returns the command of a program that calls CrashWriter.
	Writer func() *exec.Cmd
	// Open opens the store.
	Open func() (store.Store, error)
	// Strike, when it is not nil, is done now and then instead of killing a
	// writer: it ends the server under them and starts it again.
	Strike func() error
}

// Two programs write with some phones each.
const (
	crashWriters = 2
	crashPhones  = 4
	crashJob     = joblog.Job("crash")
)

// phone names a device of a writer.
func phone(writer, n int) joblog.Device {
	return joblog.Device(fmt.Sprintf("phone-%d-%d", writer, n))
}

// told is what the writers were told.
type told struct {
	events   map[joblog.ID]store.Cursor
	fresh    []joblog.ID // of the last round
	last     map[joblog.Device]int64
	pictures map[store.Hash]int
}

// Run kills as often as it should and reports what is lost or there twice. It
// returns how many events were acknowledged.
func (c Crash) Run(t *testing.T) int {
	c.prepare(t)
	r := rand.New(rand.NewPCG(c.Seed, 1))
	all := &told{events: map[joblog.ID]store.Cursor{}, last: map[joblog.Device]int64{}, pictures: map[store.Hash]int{}}
	seen := map[joblog.ID]int64{}
	last := store.Cursor(0)
	for kill := range c.Kills {
		c.round(t, r, all)
		last = c.look(t, seen, last)
		all.compare(t, fmt.Sprintf("after kill %d", kill+1), seen, all.fresh)
		all.fresh = nil
		if t.Failed() {
			return 0
		}
	}
	// Once more from the beginning: what was there early must still be there.
	seen = map[joblog.ID]int64{}
	c.look(t, seen, 0)
	total := all.compare(t, "in the end", seen, slices.Collect(maps.Keys(all.events)))
	c.pictures(t, all)
	if total < c.Kills {
		t.Errorf("only %d events were acknowledged; the test checks too little", total)
	}
	return total
}

func (c Crash) with(t *testing.T, fn func(s store.Store) error) {
	t.Helper()
	s, err := c.Open()
	if err != nil {
		t.Fatalf("opening: %v", err)
	}
	if err := fn(s); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

func (c Crash) prepare(t *testing.T) {
	t.Helper()
	c.with(t, func(s store.Store) error {
		if _, err := s.PutPlace(t.Context(), store.Place{ID: here, Name: "North"}); err != nil {
			return err
		}
		_, err := s.PutJob(t.Context(), here, store.Job{ID: crashJob, Title: "crash", State: "in", Opened: noon, Updated: noon})
		return err
	})
}

// round lets the writers write for a while, ends one or all, and notes what
// they were told.
func (c Crash) round(t *testing.T, r *rand.Rand, all *told) {
	t.Helper()
	var wg sync.WaitGroup
	outs := make([]bytes.Buffer, crashWriters)
	cmds := make([]*exec.Cmd, crashWriters)
	started := make(chan struct{}, crashWriters)
	for i := range cmds {
		cmd := c.Writer()
		cmd.Env = append(os.Environ(), crashVariable+"="+all.state(i))
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		cmd.Stderr = io.Discard // errors of a server that was ended
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		cmds[i] = cmd
		wg.Go(func() {
			lines := bufio.NewReader(out)
			for first := true; ; first = false {
				line, err := lines.ReadString('\n')
				if first {
					started <- struct{}{}
				}
				if err != nil {
					return
				}
				outs[i].WriteString(line)
			}
		})
	}
	<-started
	time.Sleep(time.Duration(r.IntN(120)) * time.Millisecond)
	if c.Strike != nil && r.IntN(4) == 0 {
		if err := c.Strike(); err != nil {
			t.Fatal(err)
		}
	}
	for _, cmd := range cmds {
		if r.IntN(3) > 0 {
			time.Sleep(time.Duration(r.IntN(20)) * time.Millisecond)
		}
		if err := cmd.Process.Signal(syscall.SIGKILL); err != nil && err != os.ErrProcessDone {
			t.Fatal(err)
		}
	}
	wg.Wait()
	for i, cmd := range cmds {
		_ = cmd.Wait() // it was killed
		all.note(t, outs[i].String())
	}
}

// note adds what a writer printed.
func (a *told) note(t *testing.T, out string) {
	t.Helper()
	for line := range strings.Lines(out) {
		f := strings.Fields(line)
		switch {
		case len(f) == 4 && f[0] == "event":
			device := joblog.Device(f[1])
			seq, errS := strconv.ParseInt(f[2], 10, 64)
			cursor, errC := strconv.ParseInt(f[3], 10, 64)
			if errS != nil || errC != nil {
				t.Fatalf("the writer printed %q", line)
			}
			e, err := joblog.Decode(note(crashJob, device, seq, crashText).Raw)
			if err != nil {
				t.Fatal(err)
			}
			a.events[e.ID] = store.Cursor(cursor)
			a.fresh = append(a.fresh, e.ID)
			a.last[device] = max(a.last[device], seq)
		case len(f) == 3 && f[0] == "picture":
			h, err := store.ParseHash(f[1])
			n, errN := strconv.Atoi(f[2])
			if err != nil || errN != nil {
				t.Fatalf("the writer printed %q", line)
			}
			a.pictures[h] = n
		default:
			t.Fatalf("the writer printed %q", line)
		}
	}
}

// state tells a writer its number and the last acknowledged event of each of
// its phones. It sends again whatever it was not told about.
func (a *told) state(writer int) string {
	parts := []string{strconv.Itoa(writer), strconv.Itoa(len(a.pictures))}
	for n := range crashPhones {
		parts = append(parts, strconv.FormatInt(a.last[phone(writer, n)], 10))
	}
	return strings.Join(parts, " ")
}

// look reads what is stored after a cursor.
func (c Crash) look(t *testing.T, seen map[joblog.ID]int64, last store.Cursor) store.Cursor {
	t.Helper()
	c.with(t, func(s store.Store) error {
		for {
			page, err := s.After(t.Context(), here, last, 0)
			if err != nil || len(page) == 0 {
				return err
			}
			for _, e := range page {
				if _, twice := seen[e.ID]; twice || e.Cursor <= last {
					t.Errorf("event %s is there twice", e.ID)
				}
				d, err := joblog.Decode(e.Raw)
				if err != nil {
					return err
				}
				if want := note(crashJob, d.Device, d.Seq, crashText); !bytes.Equal(want.Raw, e.Raw) {
					t.Errorf("event %s was changed: %s", e.ID, e.Raw)
				}
				seen[e.ID], last = int64(e.Cursor), e.Cursor
			}
		}
	})
	return last
}

// compare returns how many events were acknowledged and reports the lost ones.
func (a *told) compare(t *testing.T, when string, seen map[joblog.ID]int64, ids []joblog.ID) int {
	t.Helper()
	lost := 0
	for _, id := range ids {
		if seen[id] != int64(a.events[id]) {
			lost++
		}
	}
	if lost > 0 {
		t.Errorf("%s: %d of %d acknowledged events are lost", when, lost, len(ids))
	}
	return len(ids)
}

// pictures looks at every picture that was acknowledged.
func (c Crash) pictures(t *testing.T, all *told) {
	t.Helper()
	c.with(t, func(s store.Store) error {
		for h, n := range all.pictures {
			_, r, err := s.Picture(t.Context(), here, h)
			if err != nil {
				t.Errorf("picture %d is lost: %v", n, err)
				continue
			}
			content, err := io.ReadAll(r)
			if err != nil || store.Sum(content) != h || r.Close() != nil {
				t.Errorf("picture %d is damaged: %v", n, err)
			}
		}
		return nil
	})
	if len(all.pictures) == 0 {
		t.Error("no picture was acknowledged")
	}
}

const (
	crashVariable = "ELBOWROOM_CRASH_WRITER"
	crashText     = "written while the power may go"
)

// CrashWriter writes to a store until it is killed, when this program was
// started by Crash; else it returns at once. A test program calls it first
// thing in TestMain.
func CrashWriter(open func() (store.Store, error)) {
	state := strings.Fields(os.Getenv(crashVariable))
	if len(state) != 2+crashPhones {
		return
	}
	numbers := make([]int64, len(state))
	for i, f := range state {
		n, err := strconv.ParseInt(f, 10, 64)
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
		numbers[i] = n
	}
	s, err := open()
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	var wg sync.WaitGroup
	for n, last := range numbers[2:] {
		wg.Go(func() { writeEvents(s, phone(int(numbers[0]), n), last) })
	}
	wg.Go(func() { writePictures(s, int(numbers[0]), int(numbers[1])) })
	wg.Wait()
	os.Exit(1)
}

// writeEvents appends calls of one to five events and prints each that was
// acknowledged, in one write.
func writeEvents(s store.Store, device joblog.Device, last int64) {
	for {
		in := make([]store.Incoming, 1+last%5)
		for i := range in {
			in[i] = note(crashJob, device, last+1+int64(i), crashText)
		}
		receipts, err := s.Append(context.Background(), here, crashJob, in)
		if err != nil {
			return
		}
		var out strings.Builder
		for i, r := range receipts {
			fmt.Fprintf(&out, "event %s %d %d\n", device, last+1+int64(i), r.Cursor)
		}
		last += int64(len(in))
		fmt.Print(out.String())
	}
}

// writePictures keeps a picture now and then.
func writePictures(s store.Store, writer, from int) {
	for n := from; ; n++ {
		content := bytes.Repeat([]byte(fmt.Sprintf("picture %d of %d ", n, writer)), 2000)
		h := store.Sum(content)
		p := store.Picture{Hash: h, Type: "image/jpeg", Size: int64(len(content)), Job: crashJob, Added: noon}
		if err := s.PutPicture(context.Background(), here, p, bytes.NewReader(content)); err != nil {
			return
		}
		fmt.Printf("picture %s %d\n", h, n)
		time.Sleep(10 * time.Millisecond)
	}
}
