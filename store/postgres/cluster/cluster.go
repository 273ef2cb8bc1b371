// Package cluster starts a private PostgreSQL server for tests, from the
// binaries that Debian installs below /usr/lib/postgresql, in a folder of its
// own and on a Unix socket only. It sorts text by the rules of a language, as
// real servers often do, so that a test notices who forgot to ask for bytes.
//
// The server ends with Stop, and also when the test program dies: it hangs on a
// pipe that the program holds.
package cluster

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
)

// Cluster is a running server.
type Cluster struct {
	dir, bin string
	as       *syscall.Credential // nil: the user of this program
	server   *exec.Cmd
	pipe     io.Closer
	made     atomic.Int64
}

// startTime is how long a server may take until it answers.
const startTime = 60 * time.Second

// New makes a cluster in a new folder and starts it. The error says what to
// install when PostgreSQL is missing.
func New() (*Cluster, error) {
	c := &Cluster{}
	var err error
	if c.bin, err = binaries(); err != nil {
		return nil, err
	}
	if c.dir, err = os.MkdirTemp("", "pg-"); err != nil {
		return nil, err
	}
	if err := c.owner(); err != nil {
		return nil, errors.Join(err, os.RemoveAll(c.dir))
	}
	initdb := c.command(filepath.Join(c.bin, "initdb"), "-D", c.data(), "-A", "trust", "-U", "postgres", "-E", "UTF8", "--no-sync",
		"--locale=C.UTF-8", "--locale-provider=icu", "--icu-locale=en")
	if out, err := initdb.CombinedOutput(); err != nil {
		return nil, errors.Join(fmt.Errorf("initdb: %w\n%s", err, out), os.RemoveAll(c.dir))
	}
	if err := c.Start(); err != nil {
		return nil, errors.Join(err, os.RemoveAll(c.dir))
	}
	return c, nil
}

// binaries returns the folder of the newest PostgreSQL.
func binaries() (string, error) {
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	if err != nil || len(found) == 0 {
		return "", errors.New("PostgreSQL is not installed: no /usr/lib/postgresql/*/bin/initdb; install the Debian package postgresql")
	}
	slices.SortFunc(found, func(a, b string) int { return version(a) - version(b) })
	return filepath.Dir(found[len(found)-1]), nil
}

func version(path string) int {
	n, err := strconv.Atoi(filepath.Base(filepath.Dir(filepath.Dir(path))))
	if err != nil {
		return 0
	}
	return n
}

// owner gives the folder to the user postgres when this program is root, as
// whom the server does not run.
func (c *Cluster) owner() error {
	if os.Geteuid() != 0 {
		return nil
	}
	u, err := user.Lookup("postgres")
	if err != nil {
		return fmt.Errorf("as root a server needs the user postgres, whom the Debian package postgresql makes: %w", err)
	}
	uid, errU := strconv.ParseUint(u.Uid, 10, 32)
	gid, errG := strconv.ParseUint(u.Gid, 10, 32)
	if err := errors.Join(errU, errG); err != nil {
		return err
	}
	c.as = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
	return os.Chown(c.dir, int(uid), int(gid))
}

func (c *Cluster) data() string { return filepath.Join(c.dir, "data") }

func (c *Cluster) command(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(name, args...)
	cmd.Dir = c.dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: c.as, Setpgid: true}
	return cmd
}

// Start starts the server and waits until it answers; New has done it once.
func (c *Cluster) Start() error {
	// The shell ends the server when the pipe is closed, by us or by our end.
	script := `"$0" "$@" </dev/null & pid=$!; read -r line; kill -QUIT $pid 2>/dev/null; wait $pid`
	c.server = c.command("/bin/sh", "-c", script, filepath.Join(c.bin, "postgres"), "-D", c.data(), "-k", c.dir,
		"-c", "listen_addresses=", "-c", "max_connections=200", "-c", "log_min_messages=fatal")
	pipe, err := c.server.StdinPipe()
	if err != nil {
		return err
	}
	c.pipe = pipe
	log, err := os.Create(filepath.Join(c.dir, "log"))
	if err != nil {
		return err
	}
	c.server.Stdout, c.server.Stderr = log, log
	if err := errors.Join(c.server.Start(), log.Close()); err != nil {
		return err
	}
	end := time.Now().Add(startTime)
	for {
		ctx, cancel := context.WithTimeout(context.Background(), time.Second)
		conn, err := pgx.Connect(ctx, c.Source("postgres"))
		if err == nil {
			err = conn.Close(ctx)
		}
		cancel()
		if err == nil {
			return nil
		}
		if time.Now().After(end) {
			said, _ := os.ReadFile(filepath.Join(c.dir, "log"))
			return errors.Join(fmt.Errorf("the server does not answer: %w\n%s", err, said), c.Kill())
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// Source names a database of the cluster, for postgres.Open.
func (c *Cluster) Source(name string) string {
	return "host=" + c.dir + " user=postgres dbname=" + name
}

// Database makes a new, empty schema and returns its source: to a store it is a
// database of its own, and much faster to make.
func (c *Cluster) Database(ctx context.Context) (string, error) {
	name := fmt.Sprintf("t%d", c.made.Add(1))
	conn, err := pgx.Connect(ctx, c.Source("postgres"))
	if err != nil {
		return "", err
	}
	_, err = conn.Exec(ctx, "CREATE SCHEMA "+name)
	return c.Source("postgres") + " search_path=" + name, errors.Join(err, conn.Close(ctx))
}

// Kill ends the server at once, as pg_ctl stop -m immediate does: nothing is
// tidied up, and Start has to recover from the log.
func (c *Cluster) Kill() error {
	if c.server == nil {
		return nil
	}
	err := c.pipe.Close()
	var exit *exec.ExitError
	if waited := c.server.Wait(); waited != nil && !errors.As(waited, &exit) {
		err = errors.Join(err, waited)
	}
	c.server = nil
	return err
}

// Stop ends the server and removes everything.
func (c *Cluster) Stop() error { return errors.Join(c.Kill(), os.RemoveAll(c.dir)) }
