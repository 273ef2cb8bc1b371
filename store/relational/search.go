package relational

import (
	"context"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"elbowroom/store"
)

// Bounds of what is indexed and asked.
const (
	maxWords     = 2000 // different words of one thing; those after are not found
	maxWord      = 40   // letters of a word; the rest is cut off, also of a query
	maxAsked     = 12   // words of a query; those after are left out
	foundColumns = "kind, id, title, body"
)

// foundRow is what is found by its words.
type foundRow struct {
	store.Hit
	Body string `json:"words"`
}

var foundRows = shape[foundRow]{"found", foundColumns, func(r *foundRow) []any { return []any{&r.Kind, &r.ID, &r.Title, &r.Body} }}

// words divides texts into words without case and marks, each once.
func words(most int, texts ...string) []string {
	var out []string
	seen := map[string]bool{}
	for _, t := range texts {
		for _, w := range strings.FieldsFunc(folded(t), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
			if r := []rune(w); len(r) > maxWord {
				w = string(r[:maxWord])
			}
			if !seen[w] && len(out) < most {
				seen[w] = true
				out = append(out, w)
			}
		}
	}
	return out
}

// folded takes marks and case away. Some letters have a small form that can be
// taken apart only when they are small already.
func folded(t string) string {
	t = norm.NFKD.String(strings.ToLower(norm.NFKD.String(t)))
	t = strings.Map(func(r rune) rune {
		if unicode.Is(unicode.M, r) {
			return -1
		}
		return r
	}, strings.ToLower(t))
	return strings.ReplaceAll(t, "ß", "ss")
}

// squeezed leaves out everything but letters and digits: "WX 12 ABC" is also
// found as wx12abc.
func squeezed(t string) string { return strings.Join(words(maxWords, t), "") }

// index makes something findable by the words of some texts; it replaces what
// was there and makes it the last written.
func index(ctx context.Context, q db, place int64, h store.Hit, texts ...string) error {
	list := words(maxWords, texts...)
	slices.Sort(list)
	row := foundRow{h, strings.Join(list, " ")}
	if err := unindex(ctx, q, place, h.Kind, h.ID); err != nil {
		return err
	}
	_, err := foundRows.insert(ctx, q, place, row)
	return err
}

func unindex(ctx context.Context, q db, place int64, kind store.HitKind, id string) error {
	_, err := q.exec(ctx, "DELETE FROM found WHERE place = ? AND kind = ? AND id = ?", place, kind, id)
	return err
}

// Search implements store.Jobs.
func (s *Store) Search(ctx context.Context, place store.PlaceID, query string, limit int) ([]store.Hit, error) {
	var c check
	c.text("the query", query, store.MaxField)
	if err := c.err("the query"); err != nil {
		return nil, err
	}
	var out []store.Hit
	err := s.at(ctx, place, func(q db, no int64) error {
		asked := words(maxAsked, query)
		if len(asked) == 0 {
			return nil
		}
		return q.each(ctx, s.d.Find, []any{no, s.d.Match(no, asked), page(limit)}, func(scan func(...any) error) error {
			var h store.Hit
			err := scan(&h.Kind, &h.ID, &h.Title)
			out = append(out, h)
			return err
		})
	})
	return out, err
}
