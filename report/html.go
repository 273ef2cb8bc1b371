package report

import (
	_ "embed" // the template and the style sheet
	"html"
	"html/template"
	"io"
	"strings"
	"sync"
	"time"
)

//go:embed paper.html
var pageText string

//go:embed paper.css
var styleText string

// Style returns the style sheet of the HTML form, for screen and print.
func Style() string { return styleText }

// Web says how the HTML form stands among other pages. The zero value makes a
// file that needs nothing beside it.
type Web struct {
	StyleHref string // address of the style sheet; empty puts it into the page
	Links     []Link // shown above the paper, never printed
}

// Link leads somewhere.
type Link struct{ Text, Href string }

// webPage is what the template is filled with.
type webPage struct {
	Web
	D     Document
	Mark  string
	Day   string
	Date  string
	Style template.CSS
}

var pageTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("paper").Funcs(template.FuncMap{
		"c": clean, "p": paragraphs, "label": Tick.label, "svg": svgOf, "cells": cellsOf, "cell": cellClass,
		"before": func(s string) string { v, _ := cutBar(s); return clean(v) },
		"after":  func(s string) string { _, w := cutBar(s); return clean(w) },
	}).Parse(pageText))
})

// HTML writes the document as one page of HTML. Nothing in it needs a script,
// and with StyleHref set nothing in it is a style, so that it stands under a
// content policy that allows neither. The error is the writer's.
func (d Document) HTML(w io.Writer, o Web) error {
	p := webPage{Web: o, D: d, Mark: d.Mark(), Day: d.day(), Date: d.Date.Format(time.RFC3339), Style: template.CSS(styleText)}
	var b strings.Builder
	if err := pageTemplate().Execute(&b, p); err != nil {
		return err
	}
	var out strings.Builder
	for line := range strings.Lines(b.String()) {
		if line = strings.TrimSpace(line); line != "" {
			out.WriteString(line + "\n")
		}
	}
	_, err := io.WriteString(w, out.String())
	return err
}

// cellsOf returns the cells of a row, one for each column.
func cellsOf(t *Table, r Row) []Cell {
	cells := make([]Cell, len(t.Columns))
	copy(cells, r.Cells)
	return cells
}

func cellClass(t *Table, i int, c Cell) string {
	var list []string
	if t.Columns[i].Align == Right {
		list = append(list, "right")
	}
	if c.Strong {
		list = append(list, "strong")
	}
	if c.Big {
		list = append(list, "figures")
	}
	return strings.Join(list, " ")
}

// svgOf prints a drawing as SVG with attributes only; every text is escaped.
func svgOf(d *Drawing) template.HTML {
	if d.check() != nil {
		return ""
	}
	id := "d" + Document{Number: d.Title, Sections: []Section{{Blocks: []Block{{Drawing: d}}}}}.Mark()
	w, wide := svgWriter{}, "100%"
	if d.Wide > 0 {
		wide = short(d.Wide) + "mm"
	}
	w.tag("svg", "xmlns", "http://www.w3.org/2000/svg", "viewBox", "0 0 "+short(d.W)+" "+short(d.H),
		"width", wide, "role", "img", "aria-label", clean(d.Title+". "+d.Says), "font-family", "sans-serif")
	w.b.WriteString("<defs>")
	clips := map[Path]string{}
	for _, s := range d.Shapes {
		if s.Clip != "" && clips[s.Clip] == "" {
			clips[s.Clip] = id + "-c" + number(len(clips))
			w.tag("clipPath", "id", clips[s.Clip])
			w.tag("path", "d", string(s.Clip))
			w.b.WriteString("</path></clipPath>")
		}
	}
	for i, p := range d.Patterns {
		w.tag("pattern", "id", id+"-p"+number(i+1), "width", short(p.W), "height", short(p.H), "patternUnits", "userSpaceOnUse")
		for _, s := range p.Shapes {
			w.shape(s, id, nil)
		}
		w.b.WriteString("</pattern>")
	}
	w.b.WriteString("</defs>")
	for _, s := range d.Shapes {
		w.shape(s, id, clips)
	}
	w.b.WriteString("</svg>")
	return template.HTML(w.b.String())
}

type svgWriter struct{ b strings.Builder }

// tag writes an opening tag with attributes in pairs; empty values are left out.
func (w *svgWriter) tag(name string, pairs ...string) {
	w.b.WriteString("<" + name)
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			w.b.WriteString(" " + pairs[i] + `="` + html.EscapeString(pairs[i+1]) + `"`)
		}
	}
	w.b.WriteString(">")
}

// shape writes one shape; a pattern stands over the fill as a second path.
func (w *svgWriter) shape(s Shape, id string, clips map[Path]string) {
	clip := ""
	if s.Clip != "" && clips != nil {
		clip = "url(#" + clips[s.Clip] + ")"
	}
	look := []string{"stroke", inkOf(s.Stroke), "stroke-opacity", shareOf(s.LineShare), "fill-opacity", shareOf(s.FillShare), "clip-path", clip}
	if s.Stroke.colour() != nil {
		look = append(look, "stroke-width", short(s.Width))
	}
	if s.Round {
		look = append(look, "stroke-linecap", "round", "stroke-linejoin", "round")
	}
	var dash []string
	for _, x := range s.Dash {
		dash = append(dash, short(x))
	}
	look = append(look, "stroke-dasharray", strings.Join(dash, " "))
	if s.Text != "" {
		w.words(s, look)
		return
	}
	fill := inkOf(s.Fill)
	if s.Pattern > 0 {
		if fill != "none" {
			w.tag("path", "d", string(s.Path), "fill", fill, "fill-opacity", shareOf(s.FillShare), "clip-path", clip)
			w.b.WriteString("</path>")
		}
		fill = "url(#" + id + "-p" + number(s.Pattern) + ")"
	}
	w.tag("path", append([]string{"d", string(s.Path), "fill", fill}, look...)...)
	w.b.WriteString("</path>")
}

func (w *svgWriter) words(s Shape, look []string) {
	weight, order := "", ""
	if s.Bold {
		weight = "700"
	}
	if s.Stroke.colour() != nil {
		order = "stroke"
	}
	fill := inkOf(s.Fill)
	if fill == "none" {
		fill = "#000000"
	}
	anchor := ""
	if s.Anchor == "middle" || s.Anchor == "end" {
		anchor = s.Anchor
	}
	turn := ""
	if s.Turn != 0 {
		turn = "rotate(" + short(s.Turn) + " " + short(s.X) + " " + short(s.Y) + ")"
	}
	w.tag("text", append([]string{
		"transform", turn,
		"x", short(s.X), "y", short(s.Y), "font-size", short(s.Size), "font-weight", weight, "text-anchor", anchor, "fill", fill, "paint-order", order,
	}, look...)...)
	w.b.WriteString(html.EscapeString(clean(s.Text)) + "</text>")
}

func inkOf(k Ink) string {
	if k.colour() == nil {
		return "none"
	}
	return string(k)
}

func shareOf(x float64) string {
	if !(x > 0 && x < 1) {
		return ""
	}
	return short(x)
}
