package cli

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/signal"
	"syscall"
	"time"

	"elbowroom/span"
)

// Times of the server. A request that plans may take long; one that only
// dawdles may not.
const (
	headerTime = 5 * time.Second
	readTime   = 15 * time.Second
	writeTime  = 2 * time.Minute
	idleTime   = 2 * time.Minute
	stopTime   = 10 * time.Second // for requests under way when it is stopped
)

// mostHeader is the largest header of a request, bytes.
const mostHeader = 64 << 10

// serveCmd serves the pages.
type serveCmd struct {
	Listen string `placeholder:"ADDR" default:"127.0.0.1:8086" help:"Address to listen on; port 0 picks a free one. Only this computer can reach the default. Whoever can reach the address can read everything: there is no sign-in."`
}

// Help stands under the usage of serve.
func (serveCmd) Help() string { return "Stop it with Ctrl-C; requests under way are finished first." }

// serveAnswer is the JSON of serve, printed when it listens.
type serveAnswer struct {
	Address string `json:"address" says:"where the pages are"`
}

// Run serves until the context of the run is cancelled.
func (c *serveCmd) Run(r *run) error {
	a, err := r.open()
	if err != nil {
		return err
	}
	r.warn(a)
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("%w: cannot listen on %s: %w; choose another with --listen", errUsage, c.Listen, err)
	}
	// whoever reads the address may stop the server at once
	until, stop := signal.NotifyContext(r.ctx, os.Interrupt, syscall.SIGTERM)
	defer stop()
	s := &http.Server{
		Handler: r.Handler(), ReadHeaderTimeout: headerTime, ReadTimeout: readTime,
		WriteTimeout: writeTime, IdleTimeout: idleTime, MaxHeaderBytes: mostHeader,
	}
	address := "http://" + l.Addr().String() + "/"
	if err := r.announce(address, l.Addr()); err != nil {
		l.Close()
		return err
	}
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(l) }()
	select {
	case err := <-ended:
		return fmt.Errorf("serving: %w", err)
	case <-until.Done():
	}
	grace, cancel := context.WithTimeout(context.Background(), stopTime)
	defer cancel()
	switch err := s.Shutdown(grace); {
	case errors.Is(err, context.DeadlineExceeded):
		return s.Close()
	case err != nil:
		return fmt.Errorf("stopping: %w", err)
	}
	return nil
}

// warn names the guides that cannot be used as written; their pages say so.
func (r *run) warn(a UseCases) {
	p := r.page()
	for _, l := range a.Guides() {
		if l.Guide == nil || l.Findings.Has(span.Error) {
			p.para("elbowroom: ", "  ", fmt.Sprintf("guide %s has errors and cannot be used; see: elbowroom --guide %s vet", l.Name, l.Name))
		}
	}
	// nobody is served worse when the warning cannot be written
	_ = p.writeTo(r.Stderr)
}

// announce says where the pages are, and warns when others can reach them.
func (r *run) announce(address string, at net.Addr) error {
	if r.cli.JSON {
		return r.json(serveAnswer{address})
	}
	p := r.page()
	p.line(address)
	if t, ok := at.(*net.TCPAddr); ok && !t.IP.IsLoopback() {
		p.para("", "", "Others on this network can open these pages; there is no sign-in.")
	}
	return r.show(p)
}
