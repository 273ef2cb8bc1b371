package desk

import (
	"context"
	"fmt"
	"io"
	"slices"

	"elbowroom/app"
	"elbowroom/joblog"
	"elbowroom/store"
)

// MaxPicture is the size of one picture, bytes.
const MaxPicture = 12 << 20

// PictureTypes are the kinds of picture that are kept: what every browser
// shows and nothing that can carry script.
var PictureTypes = []string{"image/jpeg", "image/png", "image/webp"}

// PutPicture keeps a picture of a job under the hash of its content. The event
// that says what it shows may come before or after.
func (d *Desk) PutPicture(ctx context.Context, who Who, job joblog.Job, hash, mediaType string, size int64, content io.Reader) error {
	if !who.MayWrite() {
		return fmt.Errorf("%w: %s may look at pictures and not add them", ErrNotAllowed, who.Name)
	}
	h, err := store.ParseHash(hash)
	if err != nil {
		return fmt.Errorf("%w: picture: %w", app.ErrInput, err)
	}
	if !slices.Contains(PictureTypes, mediaType) {
		return fmt.Errorf("%w: picture: %q is not kept; send JPEG, PNG or WebP", app.ErrInput, mediaType)
	}
	if size <= 0 || size > MaxPicture {
		return fmt.Errorf("%w: picture: %d bytes; one has %d at most", app.ErrInput, size, int64(MaxPicture))
	}
	if _, err := d.keep.Job(ctx, who.Place, job); err != nil {
		return err
	}
	return d.keep.PutPicture(ctx, who.Place, store.Picture{Hash: h, Type: mediaType, Size: size, Job: job, Added: d.now()}, content)
}

// Picture returns a picture of a job; the caller closes it.
func (d *Desk) Picture(ctx context.Context, who Who, job joblog.Job, hash string) (store.Picture, io.ReadCloser, error) {
	h, err := store.ParseHash(hash)
	if err != nil {
		return store.Picture{}, nil, fmt.Errorf("%w: picture: %w", app.ErrInput, err)
	}
	if _, err := d.keep.Job(ctx, who.Place, job); err != nil {
		return store.Picture{}, nil, err
	}
	return d.keep.Picture(ctx, who.Place, h)
}
