package web

import "net/http"

func (s *site) patternSheet(w http.ResponseWriter, r *http.Request) {
	s.lost(w, r)
}
