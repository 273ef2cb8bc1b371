package storetest

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"

	"elbowroom/store"
)

// RunBlobs runs the suite of store.Blobs on an empty one.
func RunBlobs(t *testing.T, b store.Blobs) {
	content := bytes.Repeat([]byte{0, 1, 2, 255}, 300_000)
	hash, size := store.Sum(content), int64(len(content))
	key := "north-1.a@b/" + hash.String()
	w := &world{t: t}
	put := func(key string, hash store.Hash, size int64, r io.Reader) error {
		return b.Put(t.Context(), key, hash, size, r)
	}
	_, err := b.Open(t.Context(), key)
	w.want(store.NotFound, err)
	w.want(store.Refused, put(key, hash, size, bytes.NewReader(content[1:])))
	w.want(store.Refused, put(key, hash, size, bytes.NewReader(append(bytes.Clone(content), 0))))
	w.want(store.Refused, put(key, store.Sum(nil), size, bytes.NewReader(content)))
	gone := errors.New("the phone is gone")
	if err := put(key, hash, size, io.MultiReader(bytes.NewReader(content[:1000]), iotest{gone})); !errors.Is(err, gone) {
		t.Errorf("a torn upload says %v", err)
	}
	_, err = b.Open(t.Context(), key)
	w.want(store.NotFound, err)
	for range 2 {
		w.must(put(key, hash, size, bytes.NewReader(content)))
		r, err := b.Open(t.Context(), key)
		w.must(err)
		back, err := io.ReadAll(r)
		w.must(errors.Join(err, r.Close()))
		if !bytes.Equal(back, content) {
			t.Fatal("the content changed")
		}
	}
	other := "south/" + hash.String()
	_, err = b.Open(t.Context(), other)
	w.want(store.NotFound, err)
	one := []byte("x")
	w.must(put("south/"+store.Sum(one).String(), store.Sum(one), 1, strings.NewReader("x")))
	w.must(b.Delete(t.Context(), key))
	w.must(b.Delete(t.Context(), key))
	_, err = b.Open(t.Context(), key)
	w.want(store.NotFound, err)
}
