package bucket

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"
)

// signer is who signs for what.
type signer struct{ key, secret, region, service string }

const (
	algorithm = "AWS4-HMAC-SHA256"
	stampForm = "20060102T150405Z"
)

// sign adds the headers of AWS Signature Version 4 to a request: "Signature
// Calculations for the Authorization Header: Transferring Payload in a Single
// Chunk", Amazon S3 API Reference. All headers that are set are signed, and the
// host. bodyHash is the SHA-256 of the body in hexadecimal digits.
func sign(r *http.Request, s signer, bodyHash string, now time.Time) {
	stamp := now.UTC().Format(stampForm)
	r.Header.Set("X-Amz-Date", stamp)
	r.Header.Set("X-Amz-Content-Sha256", bodyHash)
	request, names := canonical(r, bodyHash)
	scope := stamp[:8] + "/" + s.region + "/" + s.service + "/aws4_request"
	sum := sha256.Sum256([]byte(request))
	toSign := algorithm + "\n" + stamp + "\n" + scope + "\n" + hex.EncodeToString(sum[:])
	key := []byte("AWS4" + s.secret)
	for _, part := range []string{stamp[:8], s.region, s.service, "aws4_request", toSign} {
		key = mac(key, part)
	}
	r.Header.Set("Authorization", algorithm+" Credential="+s.key+"/"+scope+",SignedHeaders="+names+",Signature="+hex.EncodeToString(key))
}

func mac(key []byte, text string) []byte {
	h := hmac.New(sha256.New, key)
	h.Write([]byte(text))
	return h.Sum(nil)
}

// canonical returns the canonical request and the names of the signed headers.
func canonical(r *http.Request, bodyHash string) (request, names string) {
	host := r.Host
	if host == "" {
		host = r.URL.Host
	}
	values := map[string]string{"host": host}
	list := []string{"host"}
	for name, v := range r.Header {
		name = strings.ToLower(name)
		if name == "authorization" || name == "accept-encoding" || name == "user-agent" || name == "content-length" {
			continue
		}
		list = append(list, name)
		values[name] = strings.TrimSpace(strings.Join(v, ","))
	}
	slices.Sort(list)
	var headers strings.Builder
	for _, name := range list {
		headers.WriteString(name + ":" + values[name] + "\n")
	}
	names = strings.Join(list, ";")
	path := r.URL.EscapedPath()
	if path == "" {
		path = "/"
	}
	return strings.Join([]string{r.Method, path, query(r.URL), headers.String(), names, bodyHash}, "\n"), names
}

// query returns the parameters sorted, each with its sign of equality.
func query(u *url.URL) string {
	var pairs []string
	for name, values := range u.Query() {
		for _, v := range values {
			pairs = append(pairs, encode(name)+"="+encode(v))
		}
	}
	slices.Sort(pairs)
	return strings.Join(pairs, "&")
}

// encode escapes everything but letters, digits and - . _ ~ (RFC 3986,
// unreserved characters).
func encode(s string) string {
	const unreserved = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~"
	var b strings.Builder
	for _, c := range []byte(s) {
		if strings.IndexByte(unreserved, c) >= 0 {
			b.WriteByte(c)
			continue
		}
		b.WriteString("%" + strings.ToUpper(hex.EncodeToString([]byte{c})))
	}
	return b.String()
}

// encodePath escapes the parts of a path.
func encodePath(path string) string {
	parts := strings.Split(path, "/")
	for i, p := range parts {
		parts[i] = encode(p)
	}
	return strings.Join(parts, "/")
}
