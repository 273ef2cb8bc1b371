// Package bucket keeps pictures in a bucket of any object store that speaks the
// S3 protocol: put, get, head and delete of whole objects, signed with AWS
// Signature Version 4. The key of a picture is its place and its hash.
//
// It is our own client because these four requests are all that is needed: the
// signature is some forty lines and stands against the examples that AWS
// publishes, while the libraries bring 15 to 40 modules, retry in ways one has
// to learn, and read credentials from places nobody named.
//
// What is put is spooled to a temporary file first and sent only when its hash
// and size are what was said, with that hash in the signature, so that the
// other side can refuse a torn upload. A request that fails for no reason of
// its own is tried three times.
package bucket

import (
	"context"
	"crypto/sha256"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"strings"
	"time"

	"elbowroom/store"
)

// Options says which bucket.
type Options struct {
	Endpoint string // "https://s3.example.org"; the bucket is the first part of the path
	Bucket   string
	Region   string // "us-east-1" when empty, which most stores take
	Prefix   string // in front of every key, such as "pictures/"
	Key      string // id of the access key
	Secret   string
	// Client sends the requests; nil means one with a time limit.
	Client *http.Client
	// Now is the clock that requests are signed with.
	Now func() time.Time
}

// Bucket is a bucket of pictures.
type Bucket struct {
	o    Options
	base *url.URL
	send *http.Client
}

var _ store.Blobs = (*Bucket)(nil)

// Limits of requests.
const (
	requestTime = 2 * time.Minute
	tries       = 3
	pause       = 200 * time.Millisecond // before the second try; twice as long before the third
	mostAnswer  = 64 << 10               // bytes of an error that are read
)

// New returns the pictures in a bucket. It asks nothing of the network. Refused
// when the endpoint is no URL, or would send pictures in the clear to another
// machine.
func New(o Options) (*Bucket, error) {
	u, err := url.Parse(o.Endpoint)
	if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" || u.RawQuery != "" {
		return nil, store.Errorf(store.Refused, "the endpoint of the bucket must be a URL such as https://s3.example.org, and %.80q is not", o.Endpoint)
	}
	if u.Scheme == "http" && !loopback(u.Hostname()) {
		return nil, store.Errorf(store.Refused, "the endpoint %s would send pictures in the clear: use https", o.Endpoint)
	}
	if o.Bucket == "" || strings.Trim(o.Bucket, "abcdefghijklmnopqrstuvwxyz0123456789.-") != "" {
		return nil, store.Errorf(store.Refused, "the name of a bucket is made of a to z, digits, . and -, and %.80q is not", o.Bucket)
	}
	if o.Key == "" || o.Secret == "" || o.Now == nil {
		return nil, store.Errorf(store.Refused, "a bucket needs an access key, its secret and a clock")
	}
	if o.Region == "" {
		o.Region = "us-east-1"
	}
	client := http.Client{Timeout: requestTime}
	if o.Client != nil {
		client = *o.Client
	}
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	return &Bucket{o, u, &client}, nil
}

func loopback(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// request makes a signed request for a key.
func (b *Bucket) request(ctx context.Context, method, key string, hash store.Hash, body io.Reader, size int64) (*http.Request, error) {
	u := *b.base
	u.Path = strings.TrimSuffix(u.Path, "/") + "/" + b.o.Bucket + "/" + b.o.Prefix + key
	u.RawPath = encodePath(u.Path)
	r, err := http.NewRequestWithContext(ctx, method, u.String(), body)
	if err != nil {
		return nil, err
	}
	r.ContentLength = size
	sign(r, signer{b.o.Key, b.o.Secret, b.o.Region, "s3"}, hash.String(), b.o.Now())
	return r, nil
}

// do sends a request until it is answered; again says how to make it anew.
func (b *Bucket) do(ctx context.Context, again func() (*http.Request, error)) (*http.Response, error) {
	for try := 1; ; try++ {
		r, err := again()
		if err != nil {
			return nil, err
		}
		answer, err := b.send.Do(r)
		if err == nil && answer.StatusCode < 300 {
			return answer, nil
		}
		if err == nil {
			err = problem(answer)
		}
		code := store.CodeOf(err)
		if try == tries || ctx.Err() != nil || code != "" && code != store.Busy {
			return nil, err
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(pause << (try - 1)):
		}
	}
}

// problem makes an error of an answer and closes it.
func problem(answer *http.Response) error {
	text, err := io.ReadAll(io.LimitReader(answer.Body, mostAnswer))
	err = errors.Join(err, answer.Body.Close())
	var says struct{ Code, Message string }
	if xml.Unmarshal(text, &says) != nil {
		says.Code = "no reason given"
	}
	cause := errors.Join(fmt.Errorf("%s: %s %s", answer.Status, says.Code, says.Message), err)
	switch status := answer.StatusCode; {
	case status == http.StatusNotFound && says.Code != "NoSuchBucket":
		return &store.Error{Code: store.NotFound, Says: "there is no such picture in the bucket", Cause: cause}
	case status == http.StatusInsufficientStorage || says.Code == "QuotaExceeded":
		return &store.Error{Code: store.Full, Says: "no room is left in the bucket; nothing was stored", Cause: cause}
	case status == http.StatusForbidden, status == http.StatusUnauthorized:
		return &store.Error{Code: store.ReadOnly, Says: "the bucket does not let us in: look at the access key, its rights and the clock", Cause: cause}
	case status == http.StatusTooManyRequests, status == http.StatusServiceUnavailable:
		return &store.Error{Code: store.Busy, Says: "the bucket is busy; nothing was stored: try again", Cause: cause}
	case status >= 500:
		return fmt.Errorf("the bucket has a fault of its own: %w", cause)
	}
	return &store.Error{Code: store.Refused, Says: "the bucket refuses: look at its name, region and endpoint", Cause: cause}
}

// Put implements store.Blobs.
func (b *Bucket) Put(ctx context.Context, key string, hash store.Hash, size int64, content io.Reader) (err error) {
	spool, err := os.CreateTemp("", "elbowroom-picture-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, spool.Close(), os.Remove(spool.Name())) }()
	sum := sha256.New()
	n, err := io.Copy(io.MultiWriter(spool, sum), io.LimitReader(content, size+1))
	if err != nil {
		return err
	}
	if n != size || store.Hash(sum.Sum(nil)) != hash {
		return store.Errorf(store.Refused, "the picture is not what was said: it has at least %d of %d bytes, or another hash than %s", n, size, hash)
	}
	if kept, err := b.has(ctx, key, size); kept || err != nil {
		return err
	}
	answer, err := b.do(ctx, func() (*http.Request, error) {
		return b.request(ctx, http.MethodPut, key, hash, io.NewSectionReader(spool, 0, size), size)
	})
	if err != nil {
		return err
	}
	return answer.Body.Close()
}

// has reports whether the key is kept with that size.
func (b *Bucket) has(ctx context.Context, key string, size int64) (bool, error) {
	answer, err := b.do(ctx, func() (*http.Request, error) { return b.request(ctx, http.MethodHead, key, empty, nil, 0) })
	if errors.Is(err, store.NotFound) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	return answer.ContentLength == size, answer.Body.Close()
}

// empty is the hash of nothing: that of requests without a body.
var empty = store.Sum(nil)

// Open implements store.Blobs.
func (b *Bucket) Open(ctx context.Context, key string) (io.ReadCloser, error) {
	answer, err := b.do(ctx, func() (*http.Request, error) { return b.request(ctx, http.MethodGet, key, empty, nil, 0) })
	if err != nil {
		return nil, err
	}
	return answer.Body, nil
}

// Delete implements store.Blobs.
func (b *Bucket) Delete(ctx context.Context, key string) error {
	answer, err := b.do(ctx, func() (*http.Request, error) { return b.request(ctx, http.MethodDelete, key, empty, nil, 0) })
	if errors.Is(err, store.NotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	return answer.Body.Close()
}
