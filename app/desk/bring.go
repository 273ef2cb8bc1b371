package desk

import (
	"bytes"
	"context"
	"fmt"
	"path"
	"regexp"
	"strings"
	"testing/fstest"

	"elbowroom/app"
	"elbowroom/guide/file"
	"elbowroom/store"
)

// isWorkshop tells the description of a workshop from a guide by its first key.
var isWorkshop = regexp.MustCompile(`(?m)^workshop:`)

// Bring takes texts as they stand in files: the files of one guide, or the
// description of the workshop. They are read first, and with any error nothing
// is kept; the error wraps app.ErrInput and lists everything that is wrong with
// its place. A single file is kept as it was written, comments and all; of
// several one text is made. It returns what was brought, in words.
func (d *Desk) Bring(ctx context.Context, who Who, files map[string][]byte) (string, error) {
	if !who.MayWrite() {
		return "", fmt.Errorf("%w: %s may read guides and not change them", ErrNotAllowed, who.Name)
	}
	if len(files) == 0 {
		return "", fmt.Errorf("%w: no file was chosen", app.ErrInput)
	}
	for name, text := range files {
		if len(files) == 1 && isWorkshop.Match(text) {
			return d.bringWorkshop(ctx, who, name, text)
		}
	}
	return d.bringGuide(ctx, who, files)
}

func (d *Desk) bringGuide(ctx context.Context, who Who, files map[string][]byte) (string, error) {
	folder := fstest.MapFS{}
	var text []byte
	var names []string
	for name, data := range files {
		if strings.ToLower(path.Ext(name)) != ".yaml" {
			return "", fmt.Errorf("%w: %s: a guide is made of files that end in .yaml", app.ErrInput, name)
		}
		folder[textDir+"/"+name] = &fstest.MapFile{Data: data}
		text, names = data, append(names, name)
	}
	g, _, list := file.Read(folder, textDir)
	if g == nil {
		return "", fmt.Errorf("%w: the guide:\n%w", app.ErrInput, list)
	}
	if len(files) > 1 {
		var err error
		if text, err = printed(g); err != nil {
			return "", err
		}
	}
	says := fmt.Sprintf("guide %s, %s", g.ID, g.Title)
	return says, d.keepText(ctx, who, store.Draft{Kind: store.Guide, Name: string(g.ID), Text: text, Note: fmt.Sprintf("brought as %d file(s)", len(names)), Words: g.Title})
}

func (d *Desk) bringWorkshop(ctx context.Context, who Who, name string, text []byte) (string, error) {
	if err := who.manages(); err != nil {
		return "", err
	}
	w, err := readWorkshop(text)
	if err != nil {
		return "", err
	}
	if store.PlaceID(w.ID) != who.Place {
		return "", fmt.Errorf("%w: %s: it describes the workshop %q, and this is %q; write workshop: %s", app.ErrInput, name, w.ID, who.Place, who.Place)
	}
	return "the description of the workshop", d.keepText(ctx, who, store.Draft{Kind: store.Workshop, Name: string(who.Place), Text: bytes.Clone(text), Note: "brought as a file"})
}

// keepText makes a text the current revision of its name.
func (d *Desk) keepText(ctx context.Context, who Who, t store.Draft) error {
	rev, _, err := d.keep.Text(ctx, who.Place, t.Kind, t.Name)
	if err != nil && store.CodeOf(err) != store.NotFound {
		return err
	}
	t.Expect, t.Author, t.At = rev.Hash, who.ID, d.now()
	if _, err := d.keep.PutText(ctx, who.Place, t); err != nil {
		return err
	}
	d.mu.Lock()
	delete(d.apps, who.Place) // seen at once by who brought it
	d.mu.Unlock()
	d.note(ctx, who.Place, store.Entry{Person: who.ID, From: who.From, Did: "bring", On: t.Name, Says: string(t.Kind)})
	return nil
}

// TextOf returns the current text of a guide, or of the description of the
// workshop for an empty name.
func (d *Desk) TextOf(ctx context.Context, who Who, guide string) ([]byte, error) {
	kind := store.Guide
	if guide == "" {
		if err := who.manages(); err != nil {
			return nil, err
		}
		kind, guide = store.Workshop, string(who.Place)
	}
	_, text, err := d.keep.Text(ctx, who.Place, kind, guide)
	return text, err
}
