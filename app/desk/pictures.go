package desk

import (
	"bytes"
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
// that says what it shows may come before or after. Content that is longer
// than MaxPicture, or has another hash, is refused.
func (d *Desk) PutPicture(ctx context.Context, who Who, job joblog.Job, hash, mediaType string, content io.Reader) error {
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
	if _, err := d.keep.Job(ctx, who.Place, job); err != nil {
		return err
	}
	data, err := io.ReadAll(io.LimitReader(content, MaxPicture+1))
	switch {
	case err != nil:
		return fmt.Errorf("%w: picture: torn on the way: %w", app.ErrInput, err)
	case len(data) == 0 || len(data) > MaxPicture:
		return fmt.Errorf("%w: picture: %d bytes; one has 1 to %d", app.ErrInput, len(data), int64(MaxPicture))
	case store.Sum(data) != h:
		return fmt.Errorf("%w: picture: what arrived is not what was sent; send it again", app.ErrInput)
	case !looksLike(mediaType, data):
		return fmt.Errorf("%w: picture: this is no %s", app.ErrInput, mediaType)
	}
	p := store.Picture{Hash: h, Type: mediaType, Size: int64(len(data)), Job: job, Added: d.now()}
	return d.keep.PutPicture(ctx, who.Place, p, bytes.NewReader(data))
}

// looksLike reports whether content begins as pictures of the type do.
func looksLike(mediaType string, data []byte) bool {
	switch mediaType {
	case "image/jpeg":
		return bytes.HasPrefix(data, []byte("\xFF\xD8\xFF")) // ITU-T T.81, SOI and the next marker
	case "image/png":
		return bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1A\n")) // ISO/IEC 15948, 5.2
	}
	return len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP" // RFC 9649, 2.4
}

// Picture returns a picture of a job; the caller closes it.
func (d *Desk) Picture(ctx context.Context, who Who, job joblog.Job, hash string) (mediaType string, content io.ReadCloser, err error) {
	h, err := store.ParseHash(hash)
	if err != nil {
		return "", nil, fmt.Errorf("%w: picture: %w", app.ErrInput, err)
	}
	if _, err := d.keep.Job(ctx, who.Place, job); err != nil {
		return "", nil, err
	}
	p, content, err := d.keep.Picture(ctx, who.Place, h)
	return p.Type, content, err
}
