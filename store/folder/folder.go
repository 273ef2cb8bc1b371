// Package folder keeps pictures as files in a folder: one file for each, named
// by the hash of its content, below a folder for each place and one for the
// first two digits. Nobody needs this program to read them.
//
// A picture is written beside its place under another name, forced to disk,
// renamed and its folder forced to disk: what has its name is whole. Files
// whose names begin with a dot are what a killed program left and may be
// removed when none runs; Sweep does it.
package folder

import (
	"context"
	"crypto/sha256"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"elbowroom/store"
)

// Folder is a folder of pictures.
type Folder struct{ dir string }

var _ store.Blobs = Folder{}

// New returns the pictures in a folder, which is made with the first one.
func New(dir string) Folder { return Folder{dir} }

// path returns where a key lies. Keys are made by stores, of places and hashes;
// anything else is refused, so that no key leads out of the folder.
func (f Folder) path(key string) (string, error) {
	place, hash, ok := strings.Cut(key, "/")
	if !ok || place == "" || strings.ContainsAny(place, `/\:`) || strings.HasPrefix(place, ".") {
		return "", store.Errorf(store.Refused, "%.80q is no key of a picture", key)
	}
	if _, err := store.ParseHash(hash); err != nil {
		return "", err
	}
	return filepath.Join(f.dir, place, hash[:2], hash), nil
}

// Put implements store.Blobs.
func (f Folder) Put(ctx context.Context, key string, hash store.Hash, size int64, content io.Reader) error {
	path, err := f.path(key)
	if err != nil {
		return err
	}
	if _, err := os.Stat(path); err == nil {
		return matches(content, hash, size)
	}
	dir := filepath.Dir(path)
	if err := makeAll(f.dir, dir); err != nil {
		return explain(err)
	}
	file, err := os.CreateTemp(dir, ".new-")
	if err != nil {
		return explain(err)
	}
	err = matches(io.TeeReader(content, file), hash, size)
	if err == nil {
		err = ctx.Err()
	}
	if err == nil {
		err = file.Sync()
	}
	err = errors.Join(err, file.Close())
	if err == nil {
		err = os.Rename(file.Name(), path)
	}
	if err != nil {
		return explain(errors.Join(err, os.Remove(file.Name())))
	}
	return explain(syncDir(dir))
}

// matches reads the content and refuses it when it is not what was said.
func matches(content io.Reader, hash store.Hash, size int64) error {
	sum := sha256.New()
	n, err := io.Copy(sum, io.LimitReader(content, size+1))
	if err != nil {
		return err
	}
	if n > size {
		return store.Errorf(store.Refused, "the picture has more than the %d bytes that were said", size)
	}
	if n < size {
		return store.Errorf(store.Refused, "the picture has %d bytes and %d were said", n, size)
	}
	if got := store.Hash(sum.Sum(nil)); got != hash {
		return store.Errorf(store.Refused, "the picture has the hash %s and %s was said", got, hash)
	}
	return nil
}

// makeAll makes dir below root, each level forced to disk.
func makeAll(root, dir string) error {
	if _, err := os.Stat(dir); err == nil {
		return nil
	}
	if dir != root {
		if err := makeAll(root, filepath.Dir(dir)); err != nil {
			return err
		}
		if err := os.Mkdir(dir, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
			return err
		}
	} else if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	return syncDir(filepath.Dir(dir))
}

// syncDir forces the names in a folder to disk.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// Open implements store.Blobs.
func (f Folder) Open(_ context.Context, key string) (io.ReadCloser, error) {
	path, err := f.path(key)
	if err != nil {
		return nil, err
	}
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, store.Errorf(store.NotFound, "there is no picture %s", key)
	}
	if err != nil {
		return nil, explain(err)
	}
	return file, nil
}

// Delete implements store.Blobs.
func (f Folder) Delete(_ context.Context, key string) error {
	path, err := f.path(key)
	if err != nil {
		return err
	}
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return explain(err)
	}
	return nil
}

// Sweep removes what killed programs left half written. No other program may
// be writing meanwhile. It returns how many files it removed.
func (f Folder) Sweep() (int, error) {
	n := 0
	err := filepath.WalkDir(f.dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasPrefix(d.Name(), ".new-") {
			return err
		}
		n++
		return os.Remove(path)
	})
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return n, explain(err)
}

// explain gives errors of the system their code.
func explain(err error) error { return store.OfSystem("pictures", err) }
