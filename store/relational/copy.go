package relational

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"hash"
	"io"

	"elbowroom/store"
)

// The names of the files of a copy.
const (
	manifestName = "manifest.json"
	rowsFolder   = "rows/"     // <table>.jsonl
	textsFolder  = "texts/"    // <place>/<hash>.yaml
	picsFolder   = "pictures/" // <place>/<hash>
)

// copyFormat is the version of the form of copies; the rows have the version of
// the schema.
const copyFormat = 1

// manifest says what belongs to a copy. It is written last.
type manifest struct {
	Format   int            `json:"format"`
	Schema   int            `json:"schema"`
	Rows     map[string]int `json:"rows"`
	Pictures int            `json:"pictures"`
	Files    []fileLine     `json:"files"`
	Seal     store.Hash     `json:"seal"` // hash of the manifest with an empty seal
}

type fileLine struct {
	Name string     `json:"name"`
	Size int64      `json:"size"`
	Hash store.Hash `json:"sha256"`
}

// sealed returns the manifest as it is written.
func (m manifest) sealed() ([]byte, error) {
	m.Seal = store.Hash{}
	bare, err := json.Marshal(m)
	if err != nil {
		return nil, err
	}
	m.Seal = store.Sum(bare)
	out, err := json.MarshalIndent(m, "", " ")
	return append(out, '\n'), err
}

// copier writes one copy.
type copier struct {
	to       store.Sink
	manifest manifest
	bytes    int64
}

// file writes one file and notes its size and hash.
func (c *copier) file(name string, fn func(io.Writer) error) error {
	w, err := c.to.Create(name)
	if err != nil {
		return err
	}
	counted := &counter{hash: sha256.New(), to: w}
	buffered := bufio.NewWriterSize(counted, 64<<10)
	err = fn(buffered)
	if err == nil {
		err = buffered.Flush()
	}
	if err = errors.Join(err, w.Close()); err != nil {
		return err
	}
	c.bytes += counted.n
	c.manifest.Files = append(c.manifest.Files, fileLine{name, counted.n, store.Hash(counted.hash.Sum(nil))})
	return nil
}

type counter struct {
	hash hash.Hash
	to   io.Writer
	n    int64
}

func (c *counter) Write(b []byte) (int, error) {
	n, err := c.to.Write(b)
	c.hash.Write(b[:n])
	c.n += int64(n)
	return n, err
}

// Backup implements store.Copies. Rows and texts are read in one transaction
// that sees one moment; pictures never change, so that they are copied after
// it.
func (s *Store) Backup(ctx context.Context, to store.Sink) (store.Summary, error) {
	c := &copier{to: to, manifest: manifest{Format: copyFormat, Schema: s.Schema(), Rows: map[string]int{}}}
	var keys []blobKey
	err := s.snapshot(ctx, func(q db) error {
		ids, err := placeIDs(ctx, q)
		if err != nil {
			return err
		}
		for _, t := range tables {
			if err := c.rows(ctx, q, ids, t); err != nil {
				return err
			}
		}
		if err := c.texts(ctx, q, ids); err != nil {
			return err
		}
		keys, err = pictureKeys(ctx, q, ids)
		return err
	})
	if err != nil {
		return store.Summary{}, err
	}
	for _, k := range keys {
		if err := c.picture(ctx, s.blobs, k); err != nil {
			return store.Summary{}, err
		}
	}
	c.manifest.Pictures = len(keys)
	text, err := c.manifest.sealed()
	if err != nil {
		return store.Summary{}, err
	}
	err = c.file(manifestName, func(w io.Writer) error { _, err := w.Write(text); return err })
	return c.manifest.summary(c.bytes), err
}

func (m manifest) summary(bytes int64) store.Summary {
	return store.Summary{Schema: m.Schema, Rows: m.Rows, Pictures: m.Pictures, Bytes: bytes}
}

func (c *copier) rows(ctx context.Context, q db, ids map[int64]store.PlaceID, t table) error {
	return c.file(rowsFolder+t.name+".jsonl", func(w io.Writer) error {
		enc := json.NewEncoder(w)
		enc.SetEscapeHTML(false)
		return t.dump(ctx, q, ids, func(v any) error {
			c.manifest.Rows[t.name]++
			return enc.Encode(v)
		})
	})
}

func (c *copier) texts(ctx context.Context, q db, ids map[int64]store.PlaceID) error {
	return q.each(ctx, "SELECT place, hash, says FROM texts ORDER BY place, hash", nil, func(scan func(...any) error) error {
		var no int64
		var t textRow
		if err := scan(&no, &t.Hash, &t.Says); err != nil {
			return err
		}
		if store.Sum(t.Says) != t.Hash {
			return store.Errorf(store.Damaged, "the text %s of %s does not say any more what was put there", t.Hash, ids[no])
		}
		return c.file(textsFolder+string(ids[no])+"/"+t.Hash.String()+".yaml", func(w io.Writer) error {
			_, err := w.Write(t.Says)
			return err
		})
	})
}

// blobKey is a picture of a place.
type blobKey struct {
	place store.PlaceID
	hash  store.Hash
	size  int64
}

func pictureKeys(ctx context.Context, q db, ids map[int64]store.PlaceID) (keys []blobKey, err error) {
	err = q.each(ctx, "SELECT place, hash, MAX(size) FROM pictures GROUP BY place, hash ORDER BY place, hash", nil, func(scan func(...any) error) error {
		var no int64
		var k blobKey
		err := scan(&no, &k.hash, &k.size)
		k.place = ids[no]
		keys = append(keys, k)
		return err
	})
	return keys, err
}

// picture copies the bytes of a picture, if they still are what they were.
func (c *copier) picture(ctx context.Context, blobs store.Blobs, k blobKey) error {
	from, err := blobs.Open(ctx, key(k.place, k.hash))
	if err != nil {
		return &store.Error{Code: store.Damaged, Says: "the picture " + k.hash.String() + " of " + string(k.place) + " cannot be copied", Cause: err}
	}
	err = c.file(picsFolder+key(k.place, k.hash), func(w io.Writer) error { _, err := io.Copy(w, from); return err })
	if err = errors.Join(err, from.Close()); err != nil {
		return err
	}
	if got := c.manifest.Files[len(c.manifest.Files)-1].Hash; got != k.hash {
		return store.Errorf(store.Damaged, "the picture %s of %s is not any more what was put there", k.hash, k.place)
	}
	return ctx.Err()
}
