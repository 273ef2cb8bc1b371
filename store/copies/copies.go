// Package copies writes and opens copies of a store: a folder of files, or the
// same files in one zip. Backup makes one while the store is in use, Restore
// reads one into an empty store, of either back end.
//
// # What a copy holds
//
//	rows/<table>.jsonl           one row a line, as JSON; the place by its id
//	texts/<place>/<hash>.yaml    guides and descriptions of workshops, as written
//	pictures/<place>/<hash>      pictures, as they came
//	manifest.json                written last: every file with size and hash
//
// An event stands in its row as the text that came in. Opaque data is base64.
// Who was signed in is not copied; links are, as they stood.
//
// A copy is written under another name (hidden, with .part- in it; what a killed
// program leaves of it may be removed) and renamed when it is whole and on the
// disk. One without a manifest, with a file too few, too short or altered, is
// refused as a whole. The manifest guards against accidents, not against
// somebody who alters a copy and makes a new manifest: keep copies where only
// you can write. They hold everything, also customers and hashes of passwords.
package copies

import (
	"archive/zip"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"elbowroom/store"
)

// Backup writes a copy to a path: a zip when it ends in .zip, else a folder.
// Exists, when something is there already. Nothing is there after an error.
func Backup(ctx context.Context, s store.Copies, path string) (store.Summary, error) {
	if _, err := os.Lstat(path); err == nil {
		return store.Summary{}, store.Errorf(store.Exists, "there is something at %s already; a copy never replaces another: choose a new name", path)
	}
	parent := filepath.Dir(path)
	if err := os.MkdirAll(parent, 0o700); err != nil {
		return store.Summary{}, store.OfSystem("the copy", err)
	}
	part, err := begin(path)
	if err != nil {
		return store.Summary{}, store.OfSystem("the copy", err)
	}
	sum, err := s.Backup(ctx, part)
	if err == nil {
		err = part.finish()
	}
	if err == nil {
		err = os.Rename(part.path(), path)
	}
	if err != nil {
		return store.Summary{}, store.OfSystem("the copy", errors.Join(err, part.abandon()))
	}
	return sum, syncDir(parent)
}

// sink is a copy on its way, under another name.
type sink interface {
	store.Sink
	path() string
	finish() error
	abandon() error
}

func begin(path string) (sink, error) {
	pattern := "." + filepath.Base(path) + ".part-"
	if strings.HasSuffix(path, ".zip") {
		f, err := os.CreateTemp(filepath.Dir(path), pattern)
		if err != nil {
			return nil, err
		}
		return &zipped{f, zip.NewWriter(f)}, nil
	}
	dir, err := os.MkdirTemp(filepath.Dir(path), pattern)
	return files{dir}, err
}

// files writes each file of a copy as a file.
type files struct{ dir string }

func (d files) path() string { return d.dir }

func (d files) Create(name string) (io.WriteCloser, error) {
	full := filepath.Join(d.dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(full), 0o700); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(full, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return nil, err
	}
	return synced{f}, nil
}

// synced forces a file to disk when it is closed.
type synced struct{ *os.File }

func (s synced) Close() error { return errors.Join(s.Sync(), s.File.Close()) }

// finish forces the names of all files to disk.
func (d files) finish() error {
	return filepath.WalkDir(d.dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || !e.IsDir() {
			return err
		}
		return syncDir(path)
	})
}

func (d files) abandon() error { return os.RemoveAll(d.dir) }

func syncDir(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// zipped writes the files of a copy into one zip.
type zipped struct {
	file *os.File
	zip  *zip.Writer
}

func (z *zipped) path() string { return z.file.Name() }

func (z *zipped) Create(name string) (io.WriteCloser, error) {
	head := &zip.FileHeader{Name: name, Method: zip.Deflate}
	if strings.HasPrefix(name, "pictures/") {
		head.Method = zip.Store // they are small already
	}
	w, err := z.zip.CreateHeader(head)
	return entry{w}, err
}

// entry is closed by the zip when the next one begins.
type entry struct{ io.Writer }

func (entry) Close() error { return nil }

func (z *zipped) finish() error {
	return errors.Join(z.zip.Close(), z.file.Sync(), z.file.Close())
}

func (z *zipped) abandon() error {
	if err := z.file.Close(); err != nil && !errors.Is(err, fs.ErrClosed) {
		return err
	}
	return os.Remove(z.file.Name())
}

// Restore reads the copy at a path into an empty store.
func Restore(ctx context.Context, s store.Copies, path string) (store.Summary, error) {
	files, closing, err := Open(path)
	if err != nil {
		return store.Summary{}, err
	}
	sum, err := s.Restore(ctx, files)
	return sum, errors.Join(err, closing.Close())
}

// Open opens the copy at a path, folder or zip. Damaged, when it is neither.
func Open(path string) (fs.FS, io.Closer, error) {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, &store.Error{Code: store.NotFound, Says: "there is no copy", Cause: err}
	}
	if err != nil {
		return nil, nil, err
	}
	if info.IsDir() {
		root, err := os.OpenRoot(path)
		if err != nil {
			return nil, nil, err
		}
		return root.FS(), root, nil
	}
	z, err := zip.OpenReader(path)
	if err != nil {
		return nil, nil, &store.Error{Code: store.Damaged, Says: "this is no whole copy: " + path + " is neither a folder nor a whole zip", Cause: err}
	}
	return z, z, nil
}
