package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// JSON writes the document as indented JSON that Read reads back. The error
// wraps ErrDocument for numbers in a drawing that JSON cannot hold; any other
// is the writer's.
func (d Document) JSON(w io.Writer) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(d); err != nil {
		return fmt.Errorf("%w: %w", ErrDocument, err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// Read reads what JSON writes. Unknown fields and anything after the document
// are errors; they wrap ErrDocument and say where.
func Read(data []byte) (Document, error) {
	var d Document
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&d); err != nil {
		return Document{}, fmt.Errorf("%w: at byte %d: %w", ErrDocument, dec.InputOffset(), err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return Document{}, fmt.Errorf("%w: at byte %d: something follows the document", ErrDocument, dec.InputOffset())
	}
	return d, nil
}
