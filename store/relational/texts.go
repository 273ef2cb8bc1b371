package relational

import (
	"context"

	"elbowroom/store"
)

// revisionRow is a revision with the words it is found by.
type revisionRow struct {
	store.Revision
	Words string `json:"words,omitempty"`
}

// textRow is what a revision says.
type textRow struct {
	Hash store.Hash
	Says []byte
}

var (
	revisions = shape[revisionRow]{"revisions", "kind, name, number, hash, size, author, at, note, words", func(r *revisionRow) []any {
		return []any{&r.Kind, &r.Name, &r.Number, &r.Hash, &r.Size, &r.Author, &r.At, &r.Note, &r.Words}
	}}
	textRows = shape[textRow]{"texts", "hash, says", func(t *textRow) []any { return []any{&t.Hash, &t.Says} }}
)

func badDraft(d store.Draft) error {
	var c check
	c.id("the name", d.Name)
	if d.Kind != store.Guide && d.Kind != store.Workshop {
		c.say("the kind", "must be guide or workshop, and "+quoted(d.Kind)+" is not")
	}
	if len(d.Text) == 0 {
		c.say("the text", "must be given")
	}
	c.text("the text", string(d.Text), store.MaxText)
	c.moment("the time", d.At)
	c.ref("the author", string(d.Author))
	c.fields("the note", d.Note, "the words to find it by", d.Words)
	return c.err("the " + string(d.Kind))
}

// PutText implements store.Texts.
func (s *Store) PutText(ctx context.Context, place store.PlaceID, d store.Draft) (store.Revision, error) {
	if err := badDraft(d); err != nil {
		return store.Revision{}, err
	}
	var out store.Revision
	err := s.change(ctx, place, true, func(q db, no int64) error {
		list, err := revisions.list(ctx, q, no, "AND kind = ? AND name = ? ORDER BY number DESC LIMIT 1", d.Kind, d.Name)
		if err != nil {
			return err
		}
		r := revisionRow{store.Revision{Kind: d.Kind, Name: d.Name, Number: 1, Hash: store.Sum(d.Text), Size: int64(len(d.Text)), Author: d.Author, At: d.At, Note: d.Note}, d.Words}
		var present store.Hash
		if len(list) > 0 {
			present, r.Number = list[0].Hash, list[0].Number+1
		}
		if present == r.Hash {
			out = list[0].Revision
			return nil
		}
		if present != d.Expect {
			return store.Errorf(store.Conflict, "the %s %s was changed by somebody else meanwhile: read it again and compare", d.Kind, quoted(d.Name))
		}
		out = r.Revision
		return s.putRevision(ctx, q, no, r, d.Text)
	})
	return out, err
}

func (s *Store) putRevision(ctx context.Context, q db, no int64, r revisionRow, says []byte) error {
	if _, err := textRows.insert(ctx, q, no, textRow{r.Hash, says}); err != nil {
		return err
	}
	if _, err := revisions.insert(ctx, q, no, r); err != nil {
		return err
	}
	if r.Kind != store.Guide {
		return nil
	}
	return index(ctx, q, no, store.Hit{Kind: store.HitGuide, ID: r.Name, Title: r.Name}, r.Name, r.Words)
}

// Text implements store.Texts.
func (s *Store) Text(ctx context.Context, place store.PlaceID, kind store.TextKind, name string) (store.Revision, []byte, error) {
	var r revisionRow
	var says []byte
	err := s.at(ctx, place, func(q db, no int64) (err error) {
		if r, err = revisions.first(ctx, q, no, string(kind)+" "+quoted(name), "AND kind = ? AND name = ? ORDER BY number DESC LIMIT 1", kind, name); err != nil {
			return err
		}
		says, err = textOf(ctx, q, no, r.Hash)
		return err
	})
	return r.Revision, says, err
}

// TextByHash implements store.Texts.
func (s *Store) TextByHash(ctx context.Context, place store.PlaceID, hash store.Hash) ([]byte, error) {
	var says []byte
	err := s.at(ctx, place, func(q db, no int64) (err error) {
		says, err = textOf(ctx, q, no, hash)
		return err
	})
	return says, err
}

func textOf(ctx context.Context, q db, no int64, hash store.Hash) ([]byte, error) {
	t, err := textRows.first(ctx, q, no, "text "+hash.String(), "AND hash = ?", hash)
	if err == nil && store.Sum(t.Says) != hash {
		err = store.Errorf(store.Damaged, "the text %s does not say any more what was put there: restore a backup", hash)
	}
	return t.Says, err
}

// History implements store.Texts.
func (s *Store) History(ctx context.Context, place store.PlaceID, kind store.TextKind, name string) ([]store.Revision, error) {
	return s.revisionList(ctx, place, "AND kind = ? AND name = ? ORDER BY number DESC", kind, name)
}

// CurrentTexts implements store.Texts.
func (s *Store) CurrentTexts(ctx context.Context, place store.PlaceID, kind store.TextKind) ([]store.Revision, error) {
	return s.revisionList(ctx, place, "AND kind = ? AND NOT EXISTS (SELECT 1 FROM revisions n WHERE n.place = revisions.place AND n.kind = revisions.kind AND n.name = revisions.name AND n.number > revisions.number) ORDER BY name", kind)
}

func (s *Store) revisionList(ctx context.Context, place store.PlaceID, where string, args ...any) ([]store.Revision, error) {
	var out []store.Revision
	err := s.at(ctx, place, func(q db, no int64) error {
		list, err := revisions.list(ctx, q, no, where, args...)
		for _, r := range list {
			out = append(out, r.Revision)
		}
		return err
	})
	return out, err
}
