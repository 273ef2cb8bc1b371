// Package demo is the invented demonstration: the workshop Marrow Lane Motors
// and the guide of the Varnock V27P engine, both as embedded text files.
//
// Nothing in it is real: no vehicle, workshop, person, price or time. It is
// written as a workshop would write it, so that every part of the program has
// something to show and the traps of daily work are all there: an engine with
// a part of another version, a superseded torque, an overdue wrench, a note
// that contradicts another, the same job with another way in on the other
// drive side.
//
// Guide and Workshop read the files with the ordinary reader; FS gives the
// files themselves, under GuideDir and WorkshopFile. A mistake in an embedded
// file is an error of these functions, never a panic.
package demo

import (
	"embed"
	"fmt"
	"io/fs"

	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/workshop"
)

// Names inside FS.
const (
	GuideDir     = "guide"
	WorkshopFile = "workshop.yaml"
)

// Day is the day on which the demonstration takes place (ISO 8601). On it
// wrench B is overdue by two months.
const Day = "2026-03-16"

//go:embed guide/*.yaml workshop.yaml
var files embed.FS

// FS returns the text files of the demonstration.
func FS() fs.FS { return files }

// Guide reads the guide of the V27P engine. The error is a span.List.
func Guide() (*guide.Guide, error) {
	g, _, list := file.Read(files, GuideDir)
	if g == nil {
		return nil, list
	}
	return g, nil
}

// WorkshopText returns the description of the workshop as it is written.
func WorkshopText() []byte {
	data, err := files.ReadFile(WorkshopFile)
	if err != nil { // embedded: a test reads it
		panic("demo: " + err.Error())
	}
	return data
}

// Workshop reads the workshop. The error is a span.List, or tells that the
// file is missing.
func Workshop() (*workshop.Workshop, error) {
	data, err := files.ReadFile(WorkshopFile)
	if err != nil {
		return nil, fmt.Errorf("demo: %w", err)
	}
	var w workshop.Workshop
	if _, list := file.Decode(WorkshopFile, data, &w); len(list) > 0 {
		return nil, list
	}
	return &w, nil
}
