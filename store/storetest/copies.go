package storetest

import (
	"bytes"
	"encoding/json"
	"io"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/fstest"

	"elbowroom/store"
)

// memory is a copy in memory.
type memory struct{ fstest.MapFS }

func (m memory) Create(name string) (io.WriteCloser, error) {
	if _, ok := m.MapFS[name]; ok {
		return nil, fs.ErrExist
	}
	f := &fstest.MapFile{}
	m.MapFS[name] = f
	return (*memoryFile)(f), nil
}

type memoryFile fstest.MapFile

func (f *memoryFile) Write(b []byte) (int, error) { f.Data = append(f.Data, b...); return len(b), nil }
func (f *memoryFile) Close() error                { return nil }

func (m memory) clone() memory {
	out := fstest.MapFS{}
	for name, f := range m.MapFS {
		out[name] = &fstest.MapFile{Data: bytes.Clone(f.Data)}
	}
	return memory{out}
}

// copyOf makes a copy.
func (w *world) copyOf(s store.Store) memory {
	w.t.Helper()
	m := memory{fstest.MapFS{}}
	sum, err := s.Backup(w.ctx(), m)
	w.must(err)
	total := int64(0)
	for _, f := range m.MapFS {
		total += int64(len(f.Data))
	}
	equal(w.t, "the bytes that the summary says", sum.Bytes, total)
	return m
}

// empty opens a store on another, empty database.
func (w *world) empty() store.Store {
	w.t.Helper()
	s := w.fresh(w.t)()
	w.t.Cleanup(func() {
		if err := s.Close(); err != nil {
			w.t.Errorf("closing: %v", err)
		}
	})
	return s
}

func testCopy(t *testing.T, w *world) {
	w.fill()
	writer := w.server()
	stop, done := make(chan struct{}), make(chan error, 1)
	var acknowledged atomic.Int64
	go func() {
		for n := int64(1); ; n++ {
			select {
			case <-stop:
				done <- nil
				return
			default:
			}
			if _, err := writer.Append(w.ctx(), here, "j1", notes("j1", "tablet", n, 1)); err != nil {
				done <- err
				return
			}
			acknowledged.Store(n)
		}
	}()
	for acknowledged.Load() < 10 {
	}
	before := acknowledged.Load()
	m := w.copyOf(w.Store)
	close(stop)
	w.must(<-done)

	other := w.empty()
	sum, err := other.Restore(w.ctx(), m)
	w.must(err)
	equal(t, "pictures restored", sum.Pictures, 2)
	restored, err := other.Events(w.ctx(), here, "j1")
	w.must(err)
	all, err := w.Events(w.ctx(), here, "j1")
	w.must(err)
	if n := int64(len(restored)); n < before+5 || n > int64(len(all)) {
		t.Fatalf("%d events are in the copy, %d were acknowledged before it began, %d in the end", n, before+5, len(all))
	}
	equal(t, "the events of the copy, which must be the first ones", restored, all[:len(restored)])

	again := w.copyOf(other)
	equal(t, "the files of a copy of what was restored", slices.Sorted(maps.Keys(again.MapFS)), slices.Sorted(maps.Keys(m.MapFS)))
	for name, f := range m.MapFS {
		if !bytes.Equal(f.Data, again.MapFS[name].Data) {
			t.Errorf("%s differs after restoring:\n%.2000s\n%.2000s", name, f.Data, again.MapFS[name].Data)
		}
	}
	// Work goes on in the restored store.
	receipts, err := other.Append(w.ctx(), here, "j1", notes("j1", "new", 1, 1))
	w.must(err)
	if receipts[0].Cursor <= restored[len(restored)-1].Cursor {
		t.Error("the cursors of the restored store do not go on")
	}
	w2 := &world{Store: other, t: t}
	equal(t, "what the restored store finds", w2.found("rattle"), "job/j1")
	equal(t, "and for green", w2.found("green"), "machine/m1")
	w.must1(other.PutPlace(w.ctx(), store.Place{ID: "third", Name: "x"}))
	_, r, err := other.Picture(w.ctx(), here, store.Sum([]byte{0, 0, 255}))
	w.must(err)
	w.must(r.Close())
}

// sealed is the form of the manifest, written down a second time.
type sealed struct {
	Format   int            `json:"format"`
	Schema   int            `json:"schema"`
	Rows     map[string]int `json:"rows"`
	Pictures int            `json:"pictures"`
	Files    []sealedFile   `json:"files"`
	Seal     store.Hash     `json:"seal"`
}

type sealedFile struct {
	Name string     `json:"name"`
	Size int64      `json:"size"`
	Hash store.Hash `json:"sha256"`
}

// reseal makes a manifest for altered files, as somebody with bad intent or a
// program with a mistake would.
func reseal(t *testing.T, m memory, change func(*sealed)) memory {
	t.Helper()
	var s sealed
	if err := json.Unmarshal(m.MapFS["manifest.json"].Data, &s); err != nil {
		t.Fatal(err)
	}
	for i, f := range s.Files {
		data := m.MapFS[f.Name].Data
		s.Files[i].Size, s.Files[i].Hash = int64(len(data)), store.Sum(data)
	}
	change(&s)
	s.Seal = store.Hash{}
	bare, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	s.Seal = store.Sum(bare)
	text, err := json.MarshalIndent(s, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	m.MapFS["manifest.json"].Data = append(text, '\n')
	return m
}

func testTornCopy(t *testing.T, w *world) {
	w.fill()
	good := w.copyOf(w.Store)
	other := w.empty()
	refuse := func(what string, code store.Code, from fs.FS) {
		t.Helper()
		_, err := other.Restore(w.ctx(), from)
		if store.CodeOf(err) != code {
			t.Errorf("%s: %v; it should be %q", what, err, code)
		}
		list, err := other.Places(w.ctx())
		w.must(err)
		if len(list) > 0 {
			t.Fatalf("%s: places are there", what)
		}
	}
	for name, f := range good.MapFS {
		m := good.clone()
		delete(m.MapFS, name)
		refuse("without "+name, store.Damaged, m)
		if len(f.Data) == 0 {
			continue
		}
		m = good.clone()
		m.MapFS[name].Data = f.Data[:len(f.Data)-1]
		refuse("torn "+name, store.Damaged, m)
		m = good.clone()
		m.MapFS[name].Data[len(f.Data)/2] ^= 1
		refuse("altered "+name, store.Damaged, m)
		m = good.clone()
		m.MapFS[name].Data = append(m.MapFS[name].Data, 'x')
		refuse("longer "+name, store.Damaged, m)
	}
	refuse("nothing", store.Damaged, fstest.MapFS{})
	for what, c := range forgeries {
		m := good.clone()
		if c.from != "" {
			old := m.MapFS[c.file].Data
			m.MapFS[c.file].Data = bytes.Replace(old, []byte(c.from), []byte(c.to), 1)
			if bytes.Equal(old, m.MapFS[c.file].Data) {
				t.Fatalf("%s: %s does not stand in %s; the case would check nothing:\n%s", what, c.from, c.file, old)
			}
		}
		change := c.change
		if change == nil {
			change = func(*sealed) {}
		}
		refuse(what, c.code, reseal(t, m, change))
	}
	w.want(store.Refused, second(w.Restore(w.ctx(), good)))
	w.must1(other.Restore(w.ctx(), good)) // nothing of all that is in the way
	events, err := other.After(w.ctx(), here, 0, 0)
	w.must(err)
	equal(t, "events restored", len(events), 5)
}

func second(_ any, err error) error { return err }

// forgeries are copies with a manifest that fits what does not fit together.
var forgeries = map[string]struct {
	file, from, to string
	change         func(*sealed)
	code           store.Code
}{
	"a newer schema":         {change: func(s *sealed) { s.Schema++ }, code: store.Newer},
	"a newer form":           {change: func(s *sealed) { s.Format++ }, code: store.Newer},
	"no schema":              {change: func(s *sealed) { s.Schema = 0 }, code: store.Damaged},
	"fewer rows than said":   {change: func(s *sealed) { s.Rows["events"]++ }, code: store.Damaged},
	"a picture not said":     {change: func(s *sealed) { s.Pictures++ }, code: store.Damaged},
	"a row of no place":      {file: "rows/jobs.jsonl", from: `"place":"north"`, to: `"place":"westn"`, code: store.Damaged},
	"a row that is none":     {file: "rows/jobs.jsonl", from: `"title":`, to: `"title:`, code: store.Damaged},
	"an unknown field":       {file: "rows/jobs.jsonl", from: `"title":`, to: `"colour":`, code: store.Damaged},
	"the same cursor twice":  {file: "rows/events.jsonl", from: `"cursor":2`, to: `"cursor":1`, code: store.Damaged},
	"a text without its row": {file: "rows/revisions.jsonl", from: store.Sum([]byte("a: 2\n")).String(), to: strings.Repeat("0", 64), code: store.Damaged},
	"a picture that is none": {file: "rows/pictures.jsonl", from: store.Sum([]byte{0, 0, 255}).String(), to: strings.Repeat("1", 64), code: store.Damaged},
	"a path out of the folder": {change: func(s *sealed) {
		s.Files = append(s.Files, sealedFile{Name: "../x", Size: 1})
	}, code: store.Damaged},
}
