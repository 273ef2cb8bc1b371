package joblog

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"
)

// wire is an event as JSON.
type wire struct {
	Schema int              `json:"schema"`
	ID     ID               `json:"id"`
	Job    Job              `json:"job"`
	Author Person           `json:"author"`
	Device Device           `json:"device"`
	Seq    int64            `json:"seq"`
	At     Moment           `json:"at"`
	Seen   map[Device]int64 `json:"seen,omitempty"`
	Kind   Kind             `json:"kind"`
	Body   json.RawMessage  `json:"body"`
}

// wireRecord is a record as JSON.
type wireRecord struct {
	Received Moment          `json:"received,omitzero"`
	Event    json.RawMessage `json:"event"`
}

// Encode returns the event as one line of JSON. A foreign event comes out as
// it came in. The error wraps ErrForm and lists everything that is wrong.
func Encode(e Event) ([]byte, error) {
	if w := e.wrong(); len(w) > 0 {
		return nil, badForm(w)
	}
	if e.Foreign() {
		return bytes.Clone(e.foreign), nil
	}
	body, err := marshal(e.Body)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrForm, err)
	}
	b, err := marshal(wire{e.Schema, e.ID, e.Job, e.Author, e.Device, e.Seq, e.At, e.Seen, e.Kind, body})
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrForm, err)
	}
	if len(b) > MaxEvent {
		return nil, fmt.Errorf("%w: it has %d bytes; %d are allowed", ErrForm, len(b), MaxEvent)
	}
	return b, nil
}

func badForm(wrong []string) error {
	return fmt.Errorf("%w: %s", ErrForm, strings.Join(wrong, "; "))
}

// marshal is json.Marshal without escapes for HTML.
func marshal(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

// Decode reads one event. An event of a newer schema is read as far as its
// envelope goes and kept as it came: see Event.Foreign. Everything else that
// is not exactly an event of this schema is an error that wraps ErrForm and
// says what is wrong.
func Decode(data []byte) (Event, error) {
	if err := scan(data, MaxEvent); err != nil {
		return Event{}, err
	}
	var head struct {
		Schema int `json:"schema"`
	}
	if err := json.Unmarshal(data, &head); err != nil {
		return Event{}, jsonError(err)
	}
	if head.Schema < 1 {
		return Event{}, fmt.Errorf("%w: the schema is missing", ErrForm)
	}
	var w wire
	if err := unmarshal(data, &w, head.Schema <= Schema); err != nil {
		return Event{}, err
	}
	e := Event{Schema: w.Schema, ID: w.ID, Job: w.Job, Author: w.Author, Device: w.Device, Seq: w.Seq, At: w.At, Seen: w.Seen, Kind: w.Kind}
	if w.Schema > Schema {
		e.foreign = compact(data)
	} else if err := e.readBody(w.Body); err != nil {
		return Event{}, err
	}
	if wrong := e.wrong(); len(wrong) > 0 {
		return Event{}, badForm(wrong)
	}
	return e, nil
}

func (e *Event) readBody(data []byte) error {
	var err error
	e.Body, err = readContent(e.Kind, data)
	return err
}

// readContent reads a body of a kind.
func readContent(k Kind, data []byte) (Body, error) {
	b := newBody(k)
	if b == nil {
		return nil, fmt.Errorf("%w: there is no kind %q in schema %d", ErrForm, short(string(k)), Schema)
	}
	if len(data) == 0 || data[0] != '{' {
		return nil, fmt.Errorf("%w: the body is missing", ErrForm)
	}
	if err := unmarshal(data, b, true); err != nil {
		return nil, err
	}
	return b, nil
}

// contentWire is a Content as JSON.
type contentWire struct {
	Kind Kind            `json:"kind"`
	Body json.RawMessage `json:"body"`
}

// MarshalJSON writes kind and body.
func (c Content) MarshalJSON() ([]byte, error) {
	body, err := marshal(c.Body)
	if err != nil {
		return nil, err
	}
	return marshal(contentWire{c.Kind, body})
}

// UnmarshalJSON reads kind and body; the error wraps ErrForm.
func (c *Content) UnmarshalJSON(data []byte) error {
	var w contentWire
	if err := unmarshal(data, &w, true); err != nil {
		return err
	}
	if w.Kind == KindCorrect {
		return fmt.Errorf("%w: a correction is not replaced: strike it and correct again", ErrForm)
	}
	b, err := readContent(w.Kind, w.Body)
	*c = Content{w.Kind, b}
	return err
}

func unmarshal(data []byte, to any, strict bool) error {
	dec := json.NewDecoder(bytes.NewReader(data))
	if strict {
		dec.DisallowUnknownFields()
	}
	if err := dec.Decode(to); err != nil {
		return jsonError(err)
	}
	return nil
}

func jsonError(err error) error {
	if errors.Is(err, ErrForm) {
		return err
	}
	return fmt.Errorf("%w: %s", ErrForm, strings.TrimPrefix(err.Error(), "json: "))
}

// compact returns JSON without the blanks between its parts.
func compact(data []byte) []byte {
	var b bytes.Buffer
	if json.Compact(&b, data) != nil {
		return bytes.Clone(data) // scan has read it: this does not happen
	}
	return b.Bytes()
}

// EncodeRecord returns a record as one line of JSON.
func EncodeRecord(r Record) ([]byte, error) {
	event, err := Encode(r.Event)
	if err != nil {
		return nil, err
	}
	return marshal(wireRecord{r.Received, event})
}

// slack is what a record adds to its event, in bytes.
const slack = 200

// DecodeRecord reads what EncodeRecord wrote. Errors are those of Decode.
func DecodeRecord(data []byte) (Record, error) {
	if err := scan(data, MaxEvent+slack); err != nil {
		return Record{}, err
	}
	var w wireRecord
	if err := unmarshal(data, &w, true); err != nil {
		return Record{}, err
	}
	e, err := Decode(w.Event)
	return Record{w.Received, e}, err
}

// deepest is how deep JSON of an event may be nested.
const deepest = 16

// scan reads JSON from end to end and refuses what the decoder would let pass:
// bad UTF-8, a key said twice, a key in capitals (the decoder does not tell
// them apart), deep nesting, anything after the end.
func scan(data []byte, most int) error {
	if len(data) > most {
		return fmt.Errorf("%w: it has %d bytes; %d are allowed", ErrForm, len(data), most)
	}
	if !utf8.Valid(data) {
		return fmt.Errorf("%w: it is not UTF-8", ErrForm)
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	if err := scanValue(dec, "", 0); err != nil {
		return err
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return fmt.Errorf("%w: there is something after its end", ErrForm)
	}
	return nil
}

func scanValue(dec *json.Decoder, under string, depth int) error {
	t, err := dec.Token()
	if err != nil {
		return jsonError(err)
	}
	d, ok := t.(json.Delim)
	if !ok {
		return nil
	}
	if depth >= deepest {
		return fmt.Errorf("%w: it is nested more than %d deep", ErrForm, deepest)
	}
	seen := map[string]bool{}
	for dec.More() {
		key := under
		if d == '{' {
			if key, err = scanKey(dec, under, seen); err != nil {
				return err
			}
		}
		if err := scanValue(dec, key, depth+1); err != nil {
			return err
		}
	}
	_, err = dec.Token()
	if err != nil {
		return jsonError(err)
	}
	return nil
}

// scanKey reads a key. Names of devices, under "seen", may have capitals.
func scanKey(dec *json.Decoder, under string, seen map[string]bool) (string, error) {
	t, err := dec.Token()
	if err != nil {
		return "", jsonError(err)
	}
	key, _ := t.(string)
	if seen[key] {
		return "", fmt.Errorf("%w: %q is said twice", ErrForm, short(key))
	}
	seen[key] = true
	if under != "seen" && strings.ContainsFunc(key, func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '_' }) {
		return "", fmt.Errorf("%w: unknown field %q", ErrForm, short(key))
	}
	return key, nil
}

func sortedKeys[M ~map[K]V, K ~string, V any](m M) []K { return slices.Sorted(maps.Keys(m)) }
