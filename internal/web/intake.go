package web

import (
	"net/http"
	"time"
)

// intake bounds what one page takes in.
type intake struct {
	most   int64         // bytes of the whole request
	within time.Duration // until all of it is here and answered
}

// intakes are the pages that take files in, by path. But for what is brought to
// a workshop nothing of it is kept: it is read as it comes and answered.
var intakes = map[string]intake{
	codesPath:    {maxCodes, 2 * time.Minute},
	bringPath:    {mostBrought, bringTime},
	"/recording": {mostRecording, 10 * time.Minute}, // two files over a slow radio
}

// mostRecording bounds an upload of recordings, bytes.
const mostRecording = 200 << 20

// takeIn serves a request that brings something: one of our own pages must
// have sent it, it must not be too large, and it may take longer than others.
func (s *site) takeIn(in intake, next http.Handler) http.Handler {
	var own http.CrossOriginProtection
	timed := http.TimeoutHandler(next, in.within, s.stillPage("late"))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if err := own.Check(r); err != nil {
			s.still(w, http.StatusForbidden, "origin")
			return
		}
		if r.ContentLength > in.most {
			w.Header().Set("Connection", "close")
			s.still(w, http.StatusRequestEntityTooLarge, "large")
			return
		}
		control, end := http.NewResponseController(w), time.Now().Add(in.within)
		_ = control.SetReadDeadline(end) // a connection without deadlines needs none
		_ = control.SetWriteDeadline(end.Add(s.opts.Deadline))
		r.Body = http.MaxBytesReader(w, r.Body, in.most)
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		timed.ServeHTTP(w, r)
	})
}
