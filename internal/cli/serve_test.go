package cli

import (
	"bufio"
	"context"
	"io"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"
)

// patience is how long a server may take to stop.
const patience = 10 * time.Second

// serving starts a server and returns its address and how it ends.
func serving(ctx context.Context, t *testing.T) (address string, ended chan Exit) {
	t.Helper()
	out, in := io.Pipe()
	ended = make(chan Exit, 1)
	go func() {
		ended <- Run(ctx, Program{
			Args: []string{"serve", "--listen", "127.0.0.1:0"}, Stdout: in, Stderr: os.Stderr, Env: func(string) string { return "" },
			Open: func([]string, string) (UseCases, error) { return &fake{}, nil },
			Keep: func(context.Context, Keeping) (*Kept, error) {
				h := http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { io.WriteString(w, "here") })
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
	address, ended := serving(ctx, t)
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

// Ctrl-C ends it well from the moment at which the address is known.
func TestServeStopsOnInterrupt(t *testing.T) {
	_, ended := serving(context.Background(), t)
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
