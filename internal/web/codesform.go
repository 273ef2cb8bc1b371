package web

import (
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"path"
	"strings"
)

// codesPath takes in what a reader of codes showed.
const codesPath = "/codes"

// Limits of what is sent to codesPath.
const (
	maxCodes = 8 << 20 // bytes of the whole request
	maxParts = 8       // fields of the form
	maxField = 64      // bytes of a field that is no text
	maxName  = 80      // letters of the name of a file
)

// sentCodes is what the form of the page for codes carries.
type sentCodes struct {
	Text   string // pasted
	Name   string // of the file, without folders
	File   string
	Link   string
	Deltas bool
}

// errCutShort is raised for a form that is cut short or none.
var errCutShort = errors.New("the form is cut short")

// readCodesForm takes the form apart in memory; nothing is written anywhere. The
// error is a *http.MaxBytesError when the request is too large.
func readCodesForm(r *http.Request) (sentCodes, error) {
	var u sentCodes
	parts, err := r.MultipartReader()
	if err != nil {
		return u, errCutShort
	}
	for range maxParts {
		p, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return u, nil
		}
		if err == nil {
			err = u.take(p)
		}
		var large *http.MaxBytesError
		switch {
		case errors.As(err, &large):
			return u, large
		case err != nil:
			return u, errCutShort
		}
	}
	return u, errCutShort
}

// take reads one field of the form; others than its own are passed over.
func (u *sentCodes) take(p *multipart.Part) error {
	limit := int64(maxField)
	if name := p.FormName(); name == "text" || name == "file" {
		limit = maxCodes
	}
	data, err := io.ReadAll(io.LimitReader(p, limit))
	if err != nil {
		return err
	}
	switch p.FormName() {
	case "text":
		u.Text = string(data)
	case "file":
		u.Name, u.File = fileName(p.FileName()), string(data)
	case "link":
		u.Link = string(data)
	case "deltas":
		u.Deltas = string(data) == "yes"
	}
	return nil
}

// fileName returns the last part of a name, fit for a page.
func fileName(name string) string {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	if name == "." || name == "/" {
		return ""
	}
	return shorten(printable(name), maxName)
}
