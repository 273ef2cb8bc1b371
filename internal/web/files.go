package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"

	"elbowroom/bay"
	"elbowroom/circuit"
	"elbowroom/joint"
	"elbowroom/report"
)

//go:embed assets templates
var embedded embed.FS

// file is one static file, ready to be sent.
type file struct {
	kind         string
	plain, small []byte
}

// files holds the static files under names that carry a hash of their content,
// so that a browser may keep them for ever.
type files struct {
	byName map[string]file   // "style.1a2b3c4d.css"
	named  map[string]string // "style.css" to its address
}

var kinds = map[string]string{
	".css": "text/css; charset=utf-8",
	".js":  "text/javascript; charset=utf-8",
	".svg": "image/svg+xml",
}

// loadFiles reads what is embedded. The styles of the drawings are joined to
// our own, so that a page needs one style sheet.
func loadFiles() *files {
	f := &files{byName: map[string]file{}, named: map[string]string{}}
	entries, err := embedded.ReadDir("assets")
	if err != nil {
		panic("web: " + err.Error())
	}
	for _, e := range entries {
		data, err := embedded.ReadFile("assets/" + e.Name())
		if err != nil {
			panic("web: " + err.Error())
		}
		if e.Name() == "style.css" {
			data = slices.Concat([]byte(bay.Style()), []byte(circuit.Style()), []byte(joint.Style()), data, mustRead("assets/torque.css"), mustRead("assets/quote.css"))
		}
		f.add(e.Name(), data)
	}
	f.add("paper.css", []byte(report.Style()))
	return f
}

// mustRead reads an embedded file.
func mustRead(name string) []byte {
	data, err := embedded.ReadFile(name)
	if err != nil {
		panic("web: " + err.Error())
	}
	return data
}

func (f *files) add(name string, data []byte) {
	sum := sha256.Sum256(data)
	ext := path.Ext(name)
	hashed := strings.TrimSuffix(name, ext) + "." + hex.EncodeToString(sum[:6]) + ext
	f.byName[hashed] = file{kind: kinds[ext], plain: data, small: squeeze(data, gzip.BestCompression)}
	f.named[name] = "/assets/" + hashed
}

// squeeze returns data compressed, or nil when that does not make it smaller.
func squeeze(data []byte, level int) []byte {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, level)
	if err != nil {
		return nil
	}
	if _, err = z.Write(data); err != nil {
		return nil
	}
	if err = z.Close(); err != nil || b.Len() >= len(data) {
		return nil
	}
	return b.Bytes()
}

func (f *files) serve(w http.ResponseWriter, r *http.Request) {
	file, ok := f.byName[r.PathValue("name")]
	if !ok {
		http.Error(w, say("lost.file"), http.StatusNotFound)
		return
	}
	h := w.Header()
	h.Set("Cache-Control", "public, max-age=31536000, immutable")
	h.Set("ETag", strconv.Quote(r.PathValue("name")))
	send(w, r, http.StatusOK, file.kind, file.plain, file.small)
}

// send writes a body, compressed when the browser takes that, or only says
// that the browser's copy is still good. The ETag must be set before.
func send(w http.ResponseWriter, r *http.Request, status int, kind string, plain, small []byte) {
	h := w.Header()
	h.Set("Content-Type", kind)
	h.Add("Vary", "Accept-Encoding")
	if tag := h.Get("ETag"); status == http.StatusOK && tag != "" && sameTag(r.Header.Get("If-None-Match"), tag) {
		h.Del("Content-Type")
		w.WriteHeader(http.StatusNotModified)
		return
	}
	body := plain
	if small != nil && takesGzip(r.Header.Get("Accept-Encoding")) {
		body = small
		h.Set("Content-Encoding", "gzip")
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		_, _ = io.Copy(w, bytes.NewReader(body))
	}
}

// sameTag reports whether one of the listed tags is ours; a weak tag counts.
func sameTag(list, tag string) bool {
	for _, t := range strings.Split(list, ",") {
		if t = strings.TrimSpace(t); t == "*" || strings.TrimPrefix(t, "W/") == strings.TrimPrefix(tag, "W/") {
			return true
		}
	}
	return false
}

// takesGzip reports whether the browser accepts gzip at all.
func takesGzip(accept string) bool {
	for _, part := range strings.Split(accept, ",") {
		name, params, _ := strings.Cut(strings.TrimSpace(part), ";")
		if strings.EqualFold(strings.TrimSpace(name), "gzip") {
			q, has := strings.CutPrefix(strings.ReplaceAll(params, " ", ""), "q=")
			weight, err := strconv.ParseFloat(q, 64)
			return !has || err == nil && weight > 0
		}
	}
	return false
}
