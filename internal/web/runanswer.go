package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"time"

	"elbowroom/app/desk"
)

// answerJSON sends a value as JSON. A sheet that has not changed is not sent
// again; nothing else is kept by the browser.
func answerJSON(w http.ResponseWriter, r *http.Request, status int, v any) {
	body, err := json.Marshal(v)
	if err != nil { // types of our own: this does not happen
		http.Error(w, say("still.panic.what"), http.StatusInternalServerError)
		return
	}
	h := w.Header()
	if status == http.StatusOK && r.Method != http.MethodPost {
		sum := sha256.Sum256(body)
		h.Set("ETag", strconv.Quote(hex.EncodeToString(sum[:10])))
		h.Set("Cache-Control", "private, no-cache")
	} else {
		h.Set("Cache-Control", "no-store")
	}
	send(w, r, status, "application/json; charset=utf-8", body, squeeze(body, gzip.DefaultCompression))
}

func (t *runSheet) sheet(w http.ResponseWriter, r *http.Request) {
	who, job, ok := t.asked(w, r)
	if !ok {
		return
	}
	sheet, err := t.runs.Sheet(r.Context(), who, job)
	if err != nil {
		t.fail(w, r, err)
		return
	}
	answerJSON(w, r, http.StatusOK, sheet)
}

// sync takes the events of a phone in. Events are judged one by one by the
// desk; here only the delivery as a whole can be refused, and then nothing of
// it is kept.
func (t *runSheet) sync(w http.ResponseWriter, r *http.Request) {
	who, job, ok := t.asked(w, r)
	if !ok {
		return
	}
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		t.refuse(w, r, runError{http.StatusUnsupportedMediaType, "not-json", ""})
		return
	}
	data, err := io.ReadAll(r.Body)
	if err != nil {
		t.torn(w, r, err)
		return
	}
	in, err := readSync(data)
	if err != nil {
		t.refuse(w, r, runError{http.StatusBadRequest, "input", err.Error()})
		return
	}
	out, err := t.runs.Sync(r.Context(), who, job, in)
	if err != nil {
		t.fail(w, r, err)
		return
	}
	answerJSON(w, r, http.StatusOK, out)
}

// torn answers when what was sent did not arrive as a whole.
func (t *runSheet) torn(w http.ResponseWriter, r *http.Request, err error) {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		t.fail(w, r, err)
		return
	}
	t.refuse(w, r, runError{http.StatusBadRequest, "torn", ""})
}

// readSync reads a delivery: one JSON object with known fields and nothing
// after it. The error says where it is wrong.
func readSync(data []byte) (desk.SyncIn, error) {
	var in desk.SyncIn
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&in); err != nil {
		return in, fmt.Errorf("%s: %w", lineOf(data, dec.InputOffset(), err), err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return in, fmt.Errorf("%s: %s", lineOf(data, dec.InputOffset(), nil), say("run-error.after"))
	}
	if in.Device == "" {
		return in, errors.New(say("run-error.device"))
	}
	return in, nil
}

// lineOf says where in a delivery something is wrong: line and column.
func lineOf(data []byte, offset int64, err error) string {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		offset = syntax.Offset
	case errors.As(err, &kind):
		offset = kind.Offset
	}
	before := data[:min(offset, int64(len(data)))]
	return say("run-error.place", bytes.Count(before, []byte("\n"))+1, len(before)-bytes.LastIndexByte(before, '\n'))
}

// heartbeat is how often a silent line is written to, so that a phone that is
// gone is noticed and no gateway cuts the line.
const heartbeat = 20 * time.Second

// listen tells a phone whenever something moved at its place, until it goes
// away. What moved it asks for by itself.
func (t *runSheet) listen(w http.ResponseWriter, r *http.Request) {
	who, _, ok := t.asked(w, r)
	if !ok {
		return
	}
	select {
	case t.live <- struct{}{}:
		defer func() { <-t.live }()
	default:
		t.refuse(w, r, runError{http.StatusServiceUnavailable, "busy", ""})
		return
	}
	moved, err := t.runs.Live(r.Context(), who)
	if err != nil {
		t.fail(w, r, err)
		return
	}
	h := w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Accel-Buffering", "no") // gateways pass it on at once
	control := http.NewResponseController(w)
	write := func(text string) bool {
		_ = control.SetWriteDeadline(time.Now().Add(heartbeat)) // a connection without deadlines needs none
		_, err := io.WriteString(w, text)
		return err == nil && control.Flush() == nil
	}
	if !write("retry: 3000\n\n") {
		return
	}
	beat := time.NewTicker(heartbeat / 2)
	defer beat.Stop()
	for {
		text := ": here\n\n"
		select {
		case <-r.Context().Done():
			return
		case <-t.site.opts.Stopped:
			return
		case cursor, open := <-moved:
			if !open {
				return
			}
			text = fmt.Sprintf("event: moved\ndata: %d\n\n", cursor)
		case <-beat.C:
		}
		if !write(text) {
			return
		}
	}
}

// pictureTypes are the pictures that are taken in, with how they begin.
// https://mimesniff.spec.whatwg.org/#matching-an-image-type-pattern
var pictureTypes = map[string]func(head []byte) bool{
	"image/jpeg": func(b []byte) bool { return bytes.HasPrefix(b, []byte("\xff\xd8\xff")) },
	"image/png":  func(b []byte) bool { return bytes.HasPrefix(b, []byte("\x89PNG\r\n\x1a\n")) },
	"image/webp": func(b []byte) bool {
		return len(b) >= 14 && string(b[:4]) == "RIFF" && string(b[8:14]) == "WEBPVP"
	},
}

// putPicture takes a picture in under the hash of its content. The desk
// compares hash and content; what is no picture does not get there.
func (t *runSheet) putPicture(w http.ResponseWriter, r *http.Request) {
	who, job, ok := t.asked(w, r)
	if !ok {
		return
	}
	hash := r.PathValue("hash")
	if !isHash(hash) {
		t.refuse(w, r, runError{http.StatusBadRequest, "hash", ""})
		return
	}
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	looks, known := pictureTypes[kind]
	if err != nil || !known {
		t.refuse(w, r, runError{http.StatusUnsupportedMediaType, "not-picture", ""})
		return
	}
	data, err := io.ReadAll(r.Body) // at most mostPicture
	if err != nil {
		t.torn(w, r, err)
		return
	}
	if !looks(data) {
		t.refuse(w, r, runError{http.StatusUnsupportedMediaType, "not-picture", ""})
		return
	}
	if sum := sha256.Sum256(data); hex.EncodeToString(sum[:]) != hash {
		t.refuse(w, r, runError{http.StatusBadRequest, "hash", ""})
		return
	}
	if err := t.runs.PutPicture(r.Context(), who, job, hash, kind, bytes.NewReader(data)); err != nil {
		t.fail(w, r, err)
		return
	}
	w.WriteHeader(http.StatusNoContent)
}

// picture sends a picture. It never changes, so that the browser may keep it.
func (t *runSheet) picture(w http.ResponseWriter, r *http.Request) {
	who, job, ok := t.asked(w, r)
	if !ok {
		return
	}
	hash := r.PathValue("hash")
	if !isHash(hash) {
		t.refuse(w, r, runError{http.StatusNotFound, "unknown", ""})
		return
	}
	kind, content, err := t.runs.Picture(r.Context(), who, job, hash)
	if err != nil {
		t.fail(w, r, err)
		return
	}
	defer content.Close()
	if _, known := pictureTypes[kind]; !known { // nothing else is shown as what it says it is
		kind = "application/octet-stream"
		w.Header().Set("Content-Disposition", "attachment")
	}
	h := w.Header()
	h.Set("Content-Type", kind)
	h.Set("Content-Security-Policy", "default-src 'none'; sandbox")
	h.Set("Cache-Control", "private, max-age=31536000, immutable")
	h.Set("ETag", strconv.Quote(hash))
	if sameTag(r.Header.Get("If-None-Match"), strconv.Quote(hash)) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	if r.Method != http.MethodHead {
		_, _ = io.Copy(w, content)
	}
}

func isHash(s string) bool {
	b, err := hex.DecodeString(s)
	return err == nil && len(b) == sha256.Size && hex.EncodeToString(b) == s
}
