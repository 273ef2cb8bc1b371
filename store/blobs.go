package store

import (
	"context"
	"io"
)

// Blobs keeps the bytes of pictures for a back end, by key. Keys are made by
// the back end: a place, a slash, the hash of the content. What is kept under
// a key never changes.
type Blobs interface {
	// Put keeps the content under a key and returns after it would survive a
	// power cut. The content must have that hash and size, else Refused and
	// nothing is kept. A key that is kept already is left as it is.
	Put(ctx context.Context, key string, hash Hash, size int64, content io.Reader) error
	// Open returns the content; the caller closes it. NotFound without the key.
	Open(ctx context.Context, key string) (io.ReadCloser, error)
	// Delete removes a key; it is no error when there is none.
	Delete(ctx context.Context, key string) error
}
