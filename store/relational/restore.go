package relational

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"strconv"
	"strings"

	"elbowroom/store"
)

// mostManifest bounds what is read of a manifest: that of some two million
// files.
const mostManifest = 512 << 20

// readManifest reads the manifest of a copy and checks its seal.
func (s *Store) readManifest(from fs.FS) (manifest, error) {
	var m manifest
	f, err := from.Open(manifestName)
	if err != nil {
		return m, &store.Error{Code: store.Damaged, Says: "this is no whole copy: it has no " + manifestName + ", which is written last", Cause: err}
	}
	text, err := io.ReadAll(io.LimitReader(f, mostManifest))
	if err = errors.Join(err, f.Close()); err != nil {
		return m, err
	}
	var head struct{ Format, Schema int }
	if err := json.Unmarshal(text, &head); err != nil {
		return m, &store.Error{Code: store.Damaged, Says: "the " + manifestName + " of the copy cannot be read", Cause: err}
	}
	if head.Format > copyFormat || head.Schema > s.Schema() {
		return m, store.Errorf(store.Newer, "the copy was made by a newer program (form %d, schema %d; this one knows %d and %d): use that one", head.Format, head.Schema, copyFormat, s.Schema())
	}
	if err := json.Unmarshal(text, &m); err != nil {
		return m, &store.Error{Code: store.Damaged, Says: "the " + manifestName + " of the copy cannot be read", Cause: err}
	}
	again, err := m.sealed()
	if err != nil || string(again) != string(text) || m.Format < 1 || m.Schema < 1 {
		return m, store.Errorf(store.Damaged, "the %s of the copy was altered: its seal does not fit", manifestName)
	}
	return m, nil
}

// checkFiles reads every file of a copy once and compares size and hash. It
// returns the bytes of all.
func checkFiles(ctx context.Context, from fs.FS, m manifest) (int64, error) {
	total := int64(0)
	for _, line := range m.Files {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		sum := sha256.New()
		f, err := from.Open(line.Name)
		if err != nil {
			return 0, &store.Error{Code: store.Damaged, Says: "the copy lacks " + line.Name, Cause: err}
		}
		n, err := io.Copy(sum, io.LimitReader(f, line.Size+1))
		if err = errors.Join(err, f.Close()); err != nil {
			return 0, &store.Error{Code: store.Damaged, Says: "of the copy " + line.Name + " cannot be read", Cause: err}
		}
		if n != line.Size || store.Hash(sum.Sum(nil)) != line.Hash {
			return 0, store.Errorf(store.Damaged, "of the copy %s is not what was written: it is torn or was altered", line.Name)
		}
		total += n
	}
	return total, nil
}

// Restore implements store.Copies. The bytes of pictures are kept before the
// rows are committed, and removed again when that fails.
func (s *Store) Restore(ctx context.Context, from fs.FS) (store.Summary, error) {
	m, err := s.readManifest(from)
	if err != nil {
		return store.Summary{}, err
	}
	total, err := checkFiles(ctx, from, m)
	if err != nil {
		return store.Summary{}, err
	}
	r := restoring{s: s, from: from, manifest: m, kept: map[string]bool{}}
	if err := s.write(ctx, func(q db) error { return r.load(ctx, q) }); err != nil {
		return store.Summary{}, errors.Join(err, r.undo(ctx))
	}
	// Without it questions take longer for a while, and nothing else.
	err = s.read(ctx, func(db) error { _, err := s.d.Write.ExecContext(ctx, s.d.Settle); return err })
	return m.summary(total), err
}

// restoring is one restore on its way.
type restoring struct {
	s        *Store
	from     fs.FS
	manifest manifest
	numbers  map[store.PlaceID]int64
	kept     map[string]bool // keys of pictures that were put
}

func (r *restoring) load(ctx context.Context, q db) error {
	for _, name := range []string{"places", "settings"} {
		found, err := q.one(ctx, "SELECT 1 FROM "+name+" LIMIT 1", nil, new(int64))
		if err != nil {
			return err
		}
		if found {
			return store.Errorf(store.Refused, "a copy is restored into an empty store only, and this one holds %s: choose a new one", name)
		}
	}
	r.numbers = map[store.PlaceID]int64{store.Everywhere: everywhere}
	for _, t := range tables {
		if err := r.rows(ctx, q, t); err != nil {
			return err
		}
	}
	if err := r.contents(ctx, q); err != nil {
		return err
	}
	return r.whole(ctx, q)
}

func (r *restoring) rows(ctx context.Context, q db, t table) error {
	name := rowsFolder + t.name + ".jsonl"
	f, err := r.from.Open(name)
	if err != nil {
		return &store.Error{Code: store.Damaged, Says: "the copy lacks " + name, Cause: err}
	}
	n, err := t.load(ctx, q, r.numbers, json.NewDecoder(f))
	if err = errors.Join(err, f.Close()); err != nil {
		return r.s.badRow(err, "of the copy, line "+strconv.Itoa(n+1)+" of "+name)
	}
	if n != r.manifest.Rows[t.name] {
		return store.Errorf(store.Damaged, "%s has %d rows, and the manifest says %d", name, n, r.manifest.Rows[t.name])
	}
	return nil
}

// badRow says which row could not be kept. What the database refuses for no
// reason of its own is a fault of the row.
func (s *Store) badRow(err error, where string) error {
	err = s.explain(err)
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	code := store.CodeOf(err)
	if code == "" {
		code = store.Damaged
	}
	return &store.Error{Code: code, Says: where, Cause: err}
}

// contents puts texts and pictures back.
func (r *restoring) contents(ctx context.Context, q db) error {
	for _, line := range r.manifest.Files {
		switch {
		case strings.HasPrefix(line.Name, textsFolder):
			place, name, _ := strings.Cut(strings.TrimPrefix(line.Name, textsFolder), "/")
			if name != line.Hash.String()+".yaml" {
				return store.Errorf(store.Damaged, "%s does not bear the name of its content", line.Name)
			}
			says, err := fs.ReadFile(r.from, line.Name)
			if err != nil {
				return err
			}
			if _, err := textRows.insert(ctx, q, r.numbers[store.PlaceID(place)], textRow{line.Hash, says}); err != nil {
				return err
			}
		case strings.HasPrefix(line.Name, picsFolder):
			if err := r.picture(ctx, line); err != nil {
				return err
			}
		}
	}
	return nil
}

func (r *restoring) picture(ctx context.Context, line fileLine) error {
	f, err := r.from.Open(line.Name)
	if err != nil {
		return err
	}
	k := strings.TrimPrefix(line.Name, picsFolder)
	r.kept[k] = true
	return errors.Join(r.s.blobs.Put(ctx, k, line.Hash, line.Size, f), f.Close())
}

// whole looks for rows whose content is not there.
func (r *restoring) whole(ctx context.Context, q db) error {
	missing, err := q.one(ctx, "SELECT 1 FROM revisions WHERE NOT EXISTS (SELECT 1 FROM texts t WHERE t.place = revisions.place AND t.hash = revisions.hash) LIMIT 1", nil, new(int64))
	if err != nil {
		return err
	}
	ids, err := placeIDs(ctx, q)
	if err != nil {
		return err
	}
	keys, err := pictureKeys(ctx, q, ids)
	if err != nil {
		return err
	}
	for _, k := range keys {
		missing = missing || !r.kept[key(k.place, k.hash)]
	}
	if missing || len(keys) != len(r.kept) || len(keys) != r.manifest.Pictures {
		return store.Errorf(store.Damaged, "the copy lacks texts or pictures that its rows name")
	}
	return nil
}

// undo removes the pictures that were put, when nothing else was.
func (r *restoring) undo(ctx context.Context) error {
	var errs []error
	for k := range r.kept {
		errs = append(errs, r.s.blobs.Delete(context.WithoutCancel(ctx), k))
	}
	return errors.Join(errs...)
}
