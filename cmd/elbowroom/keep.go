package main

import (
	"context"
	"crypto/rand"
	"encoding/base32"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
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

// keep opens what is kept and makes the pages over it.
func keep(ctx context.Context, k cli.Keeping) (*cli.Kept, error) {
	if k.Demo {
		dir, err := demoFolder()
		if err != nil {
			return nil, err
		}
		k.Data, k.Name = dir, "desk"
	}
	s, where, err := openStore(ctx, k)
	if err != nil {
		return nil, err
	}
	kept, err := pagesOver(ctx, s, k)
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	kept.Where, kept.Close = where, s.Close
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
	blobs := folder.New(filepath.Join(k.Data, pictures))
	if k.Postgres != "" {
		s, err := postgres.Open(ctx, k.Postgres, blobs, postgres.Options{})
		return s, "the PostgreSQL database; pictures in " + k.Data, err
	}
	s, err := sqlite.Open(ctx, filepath.Join(k.Data, storeFile), blobs, sqlite.Options{})
	return s, k.Data, err
}

func pagesOver(ctx context.Context, s store.Store, k cli.Keeping) (*cli.Kept, error) {
	g, err := demo.Guide()
	if err != nil {
		return nil, err
	}
	d := desk.New(s, desk.Options{Clock: time.Now, Random: rand.Reader, Device: joblog.Device(k.Name), Sample: []*guide.Guide{g}})
	opts := web.Options{Log: slog.New(slog.NewTextHandler(k.Log, nil)), Proxy: k.Proxy}
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
