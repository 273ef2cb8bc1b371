package web

import (
	"context"
	"errors"
	"io"
	"net/http"
	"path"
	"strings"
	"time"

	"elbowroom/app/desk"
	"elbowroom/guide"
)

// Texts is what the pages ask of the desk about guides as files.
type Texts interface {
	Bring(ctx context.Context, who desk.Who, files map[string][]byte) (string, error)
	TextOf(ctx context.Context, who desk.Who, guide string) ([]byte, error)
}

// bringPath takes guides in, and textPath hands them out, as files.
const (
	bringPath = "/workshop/bring"
	textPath  = "/workshop/text/"
)

// Bounds of what is brought at once.
const (
	mostBrought = 16 << 20 // bytes
	bringTime   = time.Minute
	mostFiles   = 40
)

// bring takes in the files of a guide, or the description of the workshop.
func (s *site) bring(w http.ResponseWriter, r *http.Request) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	files, err := broughtFiles(r)
	if err == nil {
		_, err = s.opts.Desk.Bring(r.Context(), who, files)
	}
	switch {
	case s.wrong(err):
		s.showWorkshop(w, r, http.StatusBadRequest, err)
	case err != nil:
		s.keptFailed(w, r, err)
	default:
		http.Redirect(w, r, workshopPath+"#guides", http.StatusSeeOther)
	}
}

// broughtFiles reads the files of a form by their names without folders.
func broughtFiles(r *http.Request) (map[string][]byte, error) {
	parts, err := r.MultipartReader()
	if err != nil {
		return nil, inputError(errors.New("files: nothing that can be read was sent; choose them again"))
	}
	files := map[string][]byte{}
	for {
		p, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return files, nil
		}
		if err != nil {
			return nil, inputError(errors.New("files: they broke off on the way; send them again"))
		}
		name := path.Base(strings.ReplaceAll(p.FileName(), `\`, "/"))
		if p.FileName() == "" || name == "." || name == "/" {
			continue
		}
		data, err := io.ReadAll(p)
		if err != nil {
			return nil, inputError(errors.New(name + ": it broke off on the way, or is too large; 16 MB at once is the most"))
		}
		if len(files) == mostFiles {
			return nil, inputError(errors.New("files: bring 40 at most"))
		}
		files[printable(name)] = data
	}
}

// textOut hands a guide out as the file that it is kept as.
func (s *site) textOut(w http.ResponseWriter, r *http.Request) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	name := strings.TrimSuffix(r.PathValue("name"), ".yaml")
	asked := name
	if name == "workshop" {
		asked = ""
	}
	text, err := s.opts.Desk.TextOf(r.Context(), who, asked)
	if err != nil {
		s.keptFailed(w, r, err)
		return
	}
	h := w.Header()
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Disposition", `attachment; filename="`+yamlName(name)+`.yaml"`)
	s.sendWhole(w, r, "text/plain; charset=utf-8", text, nil)
}

// yamlName keeps what every system takes in the name of a file.
func yamlName(name string) string {
	return strings.Map(func(c rune) rune {
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' {
			return c
		}
		return '-'
	}, name)
}

// guideRow is a guide of the place.
type guideRow struct{ Name, Says, Href, Wrong string }

// guides lists the guides of the place.
func (s *site) guides() []guideRow {
	var rows []guideRow
	for _, l := range s.use.Guides() {
		row := guideRow{Name: l.Name, Href: textPath + l.Name + ".yaml"}
		if l.Guide != nil {
			row.Says = listed(guideTitle(l), edition(l.Guide))
		}
		if l.Guide == nil && len(l.Findings) > 0 {
			row.Wrong = guide.Capital(l.Findings[0].String())
		}
		rows = append(rows, row)
	}
	return rows
}
