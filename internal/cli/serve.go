package cli

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/signal"
	"strings"
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
	Listen   string `placeholder:"ADDR" default:"127.0.0.1:8086" help:"Address to listen on; port 0 picks a free one. Only this computer can reach the default."`
	Data     string `placeholder:"DIR" help:"Folder that keeps everything: one file and the pictures. It is made when it is not there."`
	Postgres string `placeholder:"URL" help:"PostgreSQL database that keeps everything instead of the file; --data still keeps the pictures."`
	bucketFlag
	Name   string `placeholder:"NAME" default:"desk" help:"Name of this server, unlike that of any other on the same database; keep it when it is started again."`
	Proxy  bool   `help:"A proxy that speaks TLS stands before this server and sets X-Forwarded-For. Without it, whoever reads along on the network reads passwords."`
	Origin string `placeholder:"URL" help:"With --proxy: where browsers find the pages, such as https://bay.example. People can then sign in with passkeys, which hold for that name alone. Without it they can on this computer only, at http://localhost."`
}

// Help stands under the usage of serve.
func (serveCmd) Help() string {
	return "Without --data the demonstration is served and what is done there is kept in a folder of its own; nobody needs to sign in. " +
		"With --guide or --workshop and without --data, pages about these are served and nothing is kept. " +
		"Stop it with Ctrl-C; requests under way are finished first."
}

// serveAnswer is the JSON of serve, printed when it listens.
type serveAnswer struct {
	Address   string `json:"address" says:"where the pages are"`
	Kept      string `json:"kept,omitempty" says:"where everything is kept"`
	SetUpCode string `json:"set_up_code,omitempty" says:"what somebody on another computer needs to set an empty store up"`
}

// Run serves until the context of the run is cancelled.
func (c *serveCmd) Run(r *run) (err error) {
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("%w: cannot listen on %s: %w; choose another with --listen", errUsage, c.Listen, err)
	}
	defer l.Close()
	// whoever reads the address may stop the server at once
	until, stop := signal.NotifyContext(r.ctx, os.Interrupt, syscall.SIGTERM)
	defer stop()
	kept, err := c.open(until, r, l.Addr())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, kept.Close()) }()
	ctx, cancel := context.WithCancel(context.WithoutCancel(r.ctx)) // of requests that have not ended in time
	defer cancel()
	s := &http.Server{
		Handler: kept.Handler, ReadHeaderTimeout: headerTime, ReadTimeout: readTime,
		WriteTimeout: writeTime, IdleTimeout: idleTime, MaxHeaderBytes: mostHeader,
		BaseContext: func(net.Listener) context.Context { return ctx },
	}
	if err := r.announce("http://"+l.Addr().String()+"/", l.Addr(), kept); err != nil {
		return err
	}
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(l) }()
	select {
	case err := <-ended:
		return fmt.Errorf("serving: %w", err)
	case <-until.Done():
	}
	grace, cancelGrace := context.WithTimeout(context.Background(), stopTime)
	defer cancelGrace()
	switch err := s.Shutdown(grace); {
	case errors.Is(err, context.DeadlineExceeded):
		return s.Close()
	case err != nil:
		return fmt.Errorf("stopping: %w", err)
	}
	return nil
}

// open opens what is kept, or makes pages that keep nothing.
func (c *serveCmd) open(ctx context.Context, r *run, at net.Addr) (*Kept, error) {
	demo := len(r.cli.Guide) == 1 && r.cli.Guide[0] == demoName && r.cli.Workshop == ""
	switch {
	case strings.HasPrefix(c.Name, "phone-"):
		return nil, fmt.Errorf("%w: --name %s: names that begin with phone- are those of phones", errUsage, c.Name)
	case c.Data == "" && c.Postgres != "":
		return nil, fmt.Errorf("%w: --postgres keeps everything but the pictures: say with --data which folder keeps those", errUsage)
	case c.Origin != "" && (c.Data == "" || !c.Proxy):
		return nil, fmt.Errorf("%w: --origin says where a proxy shows what is kept: it needs --data and --proxy", errUsage)
	case c.Data == "" && !demo:
		a, err := r.open()
		if err != nil {
			return nil, err
		}
		r.warn(a)
		return &Kept{Handler: r.Handler(), Close: func() error { return nil }}, nil
	case c.Data != "" && !demo:
		return nil, fmt.Errorf("%w: with --data, guides and workshop come from what is kept there: leave --guide and --workshop out", errUsage)
	case c.Data == "" && !loopback(at):
		return nil, fmt.Errorf("%w: in the demonstration nobody signs in, so only this computer may reach it: leave --listen out, or keep your own with --data", errUsage)
	}
	k := Keeping{Demo: c.Data == "", Data: c.Data, Postgres: c.Postgres, Name: c.Name, Proxy: c.Proxy, Origin: c.Origin, Log: r.Stderr}
	c.into(&k, r)
	return r.Keep(ctx, k)
}

func loopback(at net.Addr) bool {
	t, ok := at.(*net.TCPAddr)
	return ok && t.IP.IsLoopback()
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

// announce says where the pages are, where everything is kept, and warns when
// others can reach pages that ask nobody.
func (r *run) announce(address string, at net.Addr, kept *Kept) error {
	if r.cli.JSON {
		return r.json(serveAnswer{address, kept.Where, kept.SetUpCode})
	}
	p := r.page()
	p.line(address)
	switch {
	case kept.Where != "":
		p.para("", "", "Kept in "+kept.Where)
	case !loopback(at):
		p.para("", "", "Others on this network can open these pages; there is no sign-in.")
	}
	if kept.SetUpCode != "" {
		p.para("", "", "Nothing is set up yet. On this computer, open the address; from another, the set-up code is "+kept.SetUpCode)
	}
	return r.show(p)
}
