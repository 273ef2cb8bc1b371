package file

import (
	"fmt"
	"io/fs"
	"path"
	"reflect"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/span"
)

// Read reads a guide from a folder of *.yaml files, or from one file, and
// looks up every name that refers to another entry. The findings are sorted
// by place. When one of them is an error the guide is nil; warnings do not
// prevent a guide. The positions belong to the files as they were read.
func Read(fsys fs.FS, dir string) (*guide.Guide, *Positions, span.List) {
	names, list := fileNames(fsys, dir)
	merged := parsed{list: list}
	whole := true
	for _, name := range names {
		data, finding := load(fsys, name)
		if finding != nil {
			merged.list, whole = append(merged.list, *finding), false
			continue
		}
		p := parse(name, data)
		merged.list = append(merged.list, p.list...)
		if p.root == nil {
			whole = false
			continue
		}
		merged.merge(p)
	}
	if merged.root == nil {
		return nil, &Positions{}, finished(merged.list)
	}
	return merged.guide(whole)
}

// fileNames lists the files of a guide in order.
func fileNames(fsys fs.FS, dir string) ([]string, span.List) {
	at := span.Pos{File: dir}
	info, err := fs.Stat(fsys, dir)
	if err != nil {
		return nil, span.List{refuse(at, "folder", "the guide cannot be opened", "", "a folder of .yaml files, or one file", "check the name and the rights")}
	}
	if !info.IsDir() {
		return []string{dir}, nil
	}
	entries, err := fs.ReadDir(fsys, dir)
	if err != nil {
		return nil, span.List{refuse(at, "folder", "the folder cannot be read", "", "a folder of .yaml files", "check the rights")}
	}
	var names []string
	var list span.List
	for _, e := range entries {
		switch {
		case e.IsDir() || strings.HasPrefix(e.Name(), "."):
		case path.Ext(e.Name()) == ".yaml":
			names = append(names, path.Join(dir, e.Name()))
		case path.Ext(e.Name()) == ".yml":
			list = append(list, refuse(span.Pos{File: path.Join(dir, e.Name())}, "file-name", "a file that would not be read", "", "names that end in .yaml", "rename it"))
		}
	}
	slices.Sort(names)
	switch {
	case len(names) == 0 && len(list) == 0:
		list = append(list, refuse(at, "folder", "no guide here", "", "one .yaml file or more", ""))
	case len(names) > MaxFiles:
		return nil, append(list, refuse(at, "folder", fmt.Sprintf("%d files", len(names)), "", fmt.Sprintf("at most %d", MaxFiles), "put some together"))
	}
	return names, list
}

func load(fsys fs.FS, name string) ([]byte, *span.Finding) {
	if info, err := fs.Stat(fsys, name); err == nil && info.Size() > MaxFileSize {
		f := scan(name, make([]byte, MaxFileSize+1)).list[0]
		f.Says = fmt.Sprintf("the file has %d bytes", info.Size())
		return nil, &f
	}
	data, err := fs.ReadFile(fsys, name)
	if err != nil {
		f := refuse(span.Pos{File: name}, "folder", "the file cannot be read", "", "", "check the rights")
		return nil, &f
	}
	return data, nil
}

// merge adds the top-level keys of one file to those of the files before.
func (p *parsed) merge(q parsed) {
	p.broken = append(p.broken, q.broken...)
	if p.root == nil {
		p.root = &node{kind: mapping, pos: q.root.pos}
	}
	known := fieldsOf(reflect.TypeFor[guide.Guide]())
	for _, f := range q.root.fields {
		old := p.root.field(f.name)
		_, ok := known.byName[f.name]
		switch {
		case old != nil && ok && old.kind == mapping && f.value.kind == mapping:
			old.fields = append(old.fields, f.value.fields...)
		case old != nil && ok && old.kind == list && f.value.kind == list:
			old.items = append(old.items, f.value.items...)
		default:
			p.root.append(f)
		}
	}
}

// guide decodes the merged tree and looks up its names.
func (p *parsed) guide(whole bool) (*guide.Guide, *Positions, span.List) {
	if v := p.root.field("format"); v != nil && v.kind == scalar && v.text != fmt.Sprint(guide.Format) {
		f := refuse(v.pos, "format", "unknown version of the format", v.text, fmt.Sprintf("format: %d", guide.Format), "use a newer program, or correct the number")
		return nil, &Positions{p.root}, span.List{f}
	}
	d := decoder{list: p.list}
	g := &guide.Guide{}
	d.value(p.root, reflect.ValueOf(g).Elem(), nil)
	if whole {
		r := resolver{decoder: &d, guide: g}
		r.resolve(p.root, p.broken)
	}
	list := finished(d.list)
	if list.Has(span.Error) {
		return nil, &Positions{p.root}, list
	}
	return g, &Positions{p.root}, list
}

// finished sorts the findings and cuts the list where nobody would read on.
func finished(list span.List) span.List {
	list.Sort()
	if more := len(list) - MaxFindings; more > 0 {
		last := refuse(list[MaxFindings].Pos, "more", fmt.Sprintf("%d more findings from here on", more), "", "", "see to those above first")
		list = append(list[:MaxFindings:MaxFindings], last)
	}
	return list
}
