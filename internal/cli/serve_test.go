package cli

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"
)

// patience is how long a server may take to stop.
const patience = 10 * time.Second

// here answers at once.
func here(w http.ResponseWriter, _ *http.Request) { io.WriteString(w, "here") }

// serving starts a server of some pages and returns its address and how it ends.
func serving(ctx context.Context, t *testing.T, h http.HandlerFunc) (address string, ended chan Exit) {
	t.Helper()
	out, in := io.Pipe()
	ended = make(chan Exit, 1)
	go func() {
		ended <- Run(ctx, Program{
			Args: []string{"serve", "--listen", "127.0.0.1:0"}, Stdout: in, Stderr: os.Stderr, Env: func(string) string { return "" },
			Open: func([]string, string) (UseCases, error) { return &fake{}, nil },
			Keep: func(context.Context, Keeping) (*Kept, error) {
				return &Kept{Handler: h, Close: func() error { return nil }}, nil
			},
		})
		in.Close() // whoever waits for an address that never comes is told so
	}()
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil || !strings.HasPrefix(line, "http://127.0.0.1:") {
		t.Fatalf("announced %q, %v", line, err)
	}
	return strings.TrimSpace(line), ended
}

func endsWell(t *testing.T, ended chan Exit) {
	t.Helper()
	select {
	case code := <-ended:
		if code != Done {
			t.Errorf("ended with %d", code)
		}
	case <-time.After(patience):
		t.Error("does not stop")
	}
}

// The server says where it is, answers there, and ends when it is stopped.
func TestServe(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	address, ended := serving(ctx, t, here)
	resp, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	if body, err := io.ReadAll(resp.Body); err != nil || string(body) != "here" {
		t.Errorf("body %q, %v", body, err)
	}
	cancel()
	endsWell(t, ended)
}

// What is under way when the server is stopped is finished as if nothing had
// happened: what somebody has sent may be stored just then.
func TestServeFinishes(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	began := make(chan bool)
	address, ended := serving(ctx, t, func(w http.ResponseWriter, r *http.Request) {
		began <- true
		select {
		case <-r.Context().Done():
			w.WriteHeader(http.StatusServiceUnavailable)
		case <-time.After(300 * time.Millisecond): // the server is stopping meanwhile
			io.WriteString(w, "stored")
		}
	})
	answer := make(chan string, 1)
	go func() {
		resp, err := http.Get(address)
		if err != nil {
			answer <- err.Error()
			return
		}
		defer resp.Body.Close()
		body, err := io.ReadAll(resp.Body)
		answer <- string(body) + strings.TrimPrefix(resp.Status, "200 OK") + fmt.Sprint(err)
	}()
	<-began
	cancel()
	if got := <-answer; got != "stored<nil>" {
		t.Errorf("answer %q", got)
	}
	endsWell(t, ended)
}

// Ctrl-C ends it well from the moment at which the address is known.
func TestServeStopsOnInterrupt(t *testing.T) {
	_, ended := serving(context.Background(), t, here)
	self, err := os.FindProcess(os.Getpid())
	if err != nil {
		t.Fatal(err)
	}
	if err := self.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	endsWell(t, ended)
}

// A taken or impossible address is bad input, and nothing is announced.
func TestServeOnNoAddress(t *testing.T) {
	r := with(&fake{}, utf8Env, "serve", "--listen", "127.0.0.1:99999")
	if r.code != BadInput || r.out != "" || !strings.Contains(r.err, "--listen") {
		t.Errorf("%+v", r)
	}
}
