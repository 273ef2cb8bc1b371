package main

import (
	"context"
	"crypto/rand"
	"encoding/base32"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/internal/cli"
	"elbowroom/internal/web"
	"elbowroom/joblog"
	"elbowroom/store"
	"elbowroom/store/bucket"
	"elbowroom/store/copies"
	"elbowroom/store/folder"
	"elbowroom/store/postgres"
	"elbowroom/store/sqlite"
)

// Names inside the folder that keeps everything.
const (
	storeFile = "elbowroom.db"
	pictures  = "pictures"
)

// keep opens what is kept and makes the pages over it. The context ends when
// the server is to stop.
func keep(ctx context.Context, k cli.Keeping) (*cli.Kept, error) {
	if k.Demo {
		dir, err := demoFolder()
		if err != nil {
			return nil, err
		}
		k.Data, k.Name = dir, "desk"
	}
	at, err := originOf(k)
	if err != nil {
		return nil, err
	}
	s, where, err := openStore(ctx, k)
	if err != nil {
		return nil, err
	}
	kept, err := pagesOver(ctx, s, k, at)
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	ctx, cancel := context.WithCancel(ctx)
	go sweep(ctx, s, slog.New(slog.NewTextHandler(k.Log, nil)))
	kept.Where, kept.Close = where, func() error {
		cancel()
		return s.Close()
	}
	return kept, nil
}

// demoFolder is where the demonstration is kept: that of programs whose data
// may be lost.
func demoFolder() (string, error) {
	dir, err := os.UserCacheDir()
	if err != nil {
		dir = os.TempDir()
	}
	return filepath.Join(dir, "elbowroom", "demo"), nil
}

func openStore(ctx context.Context, k cli.Keeping) (store.Store, string, error) {
	if err := os.MkdirAll(k.Data, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return nil, "", fmt.Errorf("--data %s: %w", k.Data, err)
	}
	blobs, err := picturesOf(k)
	if err != nil {
		return nil, "", err
	}
	if k.Postgres != "" {
		s, err := postgres.Open(ctx, k.Postgres, blobs, postgres.Options{})
		return s, "the PostgreSQL database; pictures in " + k.Data, err
	}
	s, err := sqlite.Open(ctx, filepath.Join(k.Data, storeFile), blobs, sqlite.Options{})
	return s, k.Data, err
}

// picturesOf opens where pictures are kept: a folder, or a bucket.
func picturesOf(k cli.Keeping) (store.Blobs, error) {
	if k.Bucket == "" {
		return folder.New(filepath.Join(k.Data, pictures)), nil
	}
	u, err := url.Parse(k.Bucket)
	if err != nil || u.Host == "" {
		return nil, fmt.Errorf("%w: --bucket %q is no address such as https://store.example/bucket", app.ErrInput, k.Bucket)
	}
	name, prefix, _ := strings.Cut(strings.Trim(u.Path, "/"), "/")
	if prefix != "" {
		prefix += "/"
	}
	if name == "" || k.Key == "" || k.Secret == "" {
		return nil, fmt.Errorf("%w: --bucket %s: the address names the bucket after the host, and its key stands in ELBOWROOM_BUCKET_KEY and ELBOWROOM_BUCKET_SECRET", app.ErrInput, k.Bucket)
	}
	b, err := bucket.New(bucket.Options{Endpoint: u.Scheme + "://" + u.Host, Bucket: name, Prefix: prefix, Key: k.Key, Secret: k.Secret, Region: u.Query().Get("region")})
	if err != nil {
		return nil, fmt.Errorf("%w: --bucket: %w", app.ErrInput, err)
	}
	return b, nil
}

// sweepEvery is how often what has ended is removed, and sweepAge how long it
// is kept after its end.
const (
	sweepEvery = time.Hour
	sweepAge   = 30 * 24 * time.Hour
)

// sweep removes sessions and links that ended long ago, until the context ends.
func sweep(ctx context.Context, s store.Store, log *slog.Logger) {
	for {
		if err := s.Sweep(ctx, joblog.MomentOf(time.Now().Add(-sweepAge))); err != nil && ctx.Err() == nil {
			log.Error("sweeping failed", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(sweepEvery):
		}
	}
}

// originOf reads where the pages are found; nowhere when nobody said.
func originOf(k cli.Keeping) (desk.Origin, error) {
	if k.Origin == "" {
		return desk.Origin{}, nil
	}
	return desk.ParseOrigin(k.Origin)
}

func pagesOver(ctx context.Context, s store.Store, k cli.Keeping, at desk.Origin) (*cli.Kept, error) {
	g, err := demo.Guide()
	if err != nil {
		return nil, err
	}
	d := desk.New(s, desk.Options{Clock: time.Now, Random: rand.Reader, Device: joblog.Device(k.Name), Sample: []*guide.Guide{g}})
	opts := web.Options{Log: slog.New(slog.NewTextHandler(k.Log, nil)), Proxy: k.Proxy, Origin: at, Stopped: ctx.Done()}
	if k.Demo {
		if opts.Demo, err = d.Demonstrate(ctx, demo.WorkshopText()); err != nil {
			return nil, err
		}
		return &cli.Kept{Handler: web.Open(d, opts)}, nil
	}
	empty, err := d.Empty(ctx)
	if err != nil {
		return nil, err
	}
	kept := &cli.Kept{}
	if empty {
		kept.SetUpCode = setUpCode()
		opts.SetUpCode = kept.SetUpCode
	}
	kept.Handler = web.Open(d, opts)
	return kept, nil
}

// backup copies what is kept to a path.
func backup(ctx context.Context, k cli.Keeping, path string) (cli.Copied, error) {
	return withStore(ctx, k, true, func(s store.Store) (store.Summary, error) { return copies.Backup(ctx, s, path) })
}

// restore reads a copy into an empty store.
func restore(ctx context.Context, k cli.Keeping, path string) (cli.Copied, error) {
	return withStore(ctx, k, false, func(s store.Store) (store.Summary, error) { return copies.Restore(ctx, s, path) })
}

func withStore(ctx context.Context, k cli.Keeping, there bool, do func(store.Store) (store.Summary, error)) (cli.Copied, error) {
	if _, err := os.Stat(filepath.Join(k.Data, storeFile)); there && k.Postgres == "" && err != nil {
		return cli.Copied{}, fmt.Errorf("%w: --data %s: nothing is kept there: %w", app.ErrInput, k.Data, err)
	}
	s, _, err := openStore(ctx, k)
	if err != nil {
		return cli.Copied{}, err
	}
	sum, err := do(s)
	switch store.CodeOf(err) {
	case store.Refused, store.Damaged, store.Newer, store.Exists, store.NotFound:
		err = fmt.Errorf("%w: %w", app.ErrInput, err)
	}
	return cli.Copied{Rows: sum.Rows, Pictures: sum.Pictures, Bytes: sum.Bytes}, errors.Join(err, s.Close())
}

// setUpCode is 80 bits of chance that a person can type.
func setUpCode() string {
	b := make([]byte, 10)
	_, _ = rand.Read(b) // never fails: see crypto/rand
	return strings.ToLower(base32.StdEncoding.EncodeToString(b))
}
