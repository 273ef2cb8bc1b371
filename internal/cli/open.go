package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"elbowroom/app"
	"elbowroom/guide/file"
	"elbowroom/workshop"
)

// demoName is what --guide calls the demonstration.
const demoName = "demo"

// Bounds of what is read from a disk.
const mostShop = 4 << 20 // bytes of a workshop file

// Open loads guides and workshop from the places that the flags name: "demo",
// a folder, or a file. The demonstration brings its own workshop unless
// another is named; any other guide has none. The error wraps app.ErrInput or
// app.ErrUnknown and names the place.
func Open(clock func() time.Time, demo Demo, guides []string, shop string) (*app.App, error) {
	var sources []app.Source
	withDemo := false
	for _, place := range guides {
		if place == demoName {
			withDemo = true
			sources = append(sources, demo.Guide)
			continue
		}
		s, err := sourceAt(place)
		if err != nil {
			return nil, err
		}
		sources = append(sources, s)
	}
	w, err := shopAt(demo, shop, withDemo)
	if err != nil {
		return nil, err
	}
	return app.Open(clock, w, sources...)
}

// sourceAt finds a guide on the disk: a folder of texts, or one text.
func sourceAt(place string) (app.Source, error) {
	info, err := os.Stat(place)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return app.Source{}, fmt.Errorf("%w: --guide %s: there is no such folder or file; write demo for the demonstration", app.ErrInput, place)
	case err != nil:
		return app.Source{}, fmt.Errorf("%w: --guide %s: %w", app.ErrInput, place, err)
	case info.IsDir():
		return app.Source{Name: place, FS: os.DirFS(place), Dir: "."}, nil
	}
	return app.Source{Name: place, FS: os.DirFS(filepath.Dir(place)), Dir: filepath.Base(place)}, nil
}

// shopAt reads the workshop, if there is one.
func shopAt(demo Demo, place string, withDemo bool) (*workshop.Workshop, error) {
	switch {
	case place == "" && withDemo:
		return demo.Workshop()
	case place == "":
		return nil, nil
	}
	info, err := os.Stat(place)
	if err != nil || info.Size() > mostShop || info.IsDir() {
		return nil, fmt.Errorf("%w: --workshop %s: there is no such file, or it is larger than %d MB", app.ErrInput, place, mostShop>>20)
	}
	data, err := os.ReadFile(place)
	if err != nil {
		return nil, fmt.Errorf("%w: --workshop %s: %w", app.ErrInput, place, err)
	}
	var w workshop.Workshop
	if _, list := file.Decode(place, data, &w); len(list) > 0 {
		return nil, fmt.Errorf("%w: workshop %s:\n%w", app.ErrInput, place, list)
	}
	return &w, nil
}
