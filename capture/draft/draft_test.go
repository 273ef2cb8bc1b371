package draft

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"elbowroom/capture"
	"elbowroom/capture/transcript"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/internal/corpus"
)

// demoGuide reads the guide of the demonstration.
func demoGuide(t testing.TB) *guide.Guide {
	t.Helper()
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func listen(t testing.TB, name string, text []byte) *capture.Report {
	t.Helper()
	tr, list := transcript.Read(name, text)
	if tr == nil {
		t.Fatal(list)
	}
	return capture.Listen(tr, capture.Options{})
}

// readBack prints a guide and reads it again; the test fails when it cannot be
// read.
func readBack(t testing.TB, g *guide.Guide) *guide.Guide {
	t.Helper()
	text := file.Print(g)
	back, _, list := file.Read(fstest.MapFS{"d.yaml": {Data: text}}, "d.yaml")
	if back == nil {
		t.Fatalf("the result cannot be read: %v\n%s", list, text)
	}
	if again := file.Print(back); !bytes.Equal(text, again) {
		t.Fatalf("printing and reading changes it:\n%s", cmp.Diff(string(text), string(again)))
	}
	return back
}

// Every narration gives a draft that is a guide.
func TestDraftsAreGuides(t *testing.T) {
	files := 0
	for _, pattern := range []string{"*.txt", "*.srt", "*.vtt", "*.csv"} {
		for _, name := range corpus.Files(t, filepath.Join("..", "testdata", "*", pattern)) {
			files++
			t.Run(filepath.Base(name), func(t *testing.T) {
				r := listen(t, filepath.Base(name), corpus.Read(t, name))
				s := Lay(r, nil, Options{Narrator: "I. Pellow", Date: "2026-11-25"})
				g, refused := Merge(nil, s, s.All())
				if len(refused) > 0 {
					t.Error(refused)
				}
				back := readBack(t, g)
				if len(back.Items) == 0 || len(back.Sources) == 0 {
					t.Error("the draft holds nothing")
				}
				for i := range back.Items {
					for _, j := range back.Items[i].Joints {
						if j.Source == "" {
							t.Errorf("%s: a joint without a source", back.Items[i].ID)
						}
					}
				}
				for _, n := range back.Notes {
					if n.Source == "" {
						t.Errorf("a note without a source: %s", n.Text)
					}
				}
			})
		}
	}
	if files < 12 {
		t.Fatalf("only %d narrations", files)
	}
}

// The demonstration's narration beside the demonstration's guide: what it
// says of joints agrees, and what the book said of the coils is no
// contradiction of the guide.
func TestDemoNarrationAgrees(t *testing.T) {
	g := demoGuide(t)
	r := listen(t, "ambulance.txt", corpus.Read(t, "../testdata/open/ambulance.txt"))
	s := Lay(r, g, Options{Narrator: "I. Pellow"})
	for fact, want := range map[string]struct {
		status Status
		on     guide.ID
	}{
		"coolant-temperature-sensor/torque": {Agrees, "SE03"},
		"coolant-temperature-sensor/drive":  {Agrees, "SE03"},
		"high-pressure-pump/torque":         {Agrees, "FU01"},
		"high-pressure-pump/thread":         {Agrees, "FU01"},
		"high-pressure-pump/reuse":          {Agrees, "FU01"},
		"coil/torque":                       {Agrees, "IG01"},
		"MAP-sensor/torque":                 {Agrees, "SE02"},
		"MAP-sensor/sight":                  {Agrees, "SE02"},
		"level-switch/count":                {Agrees, "SE05"},
		"oil-pressure/limit":                {Agrees, ""},
		"oil-pressure/limit.2":              {Agrees, ""},
		"coil-6/needs":                      {Agrees, "IG06"},
	} {
		p := s.Proposal(fact)
		if p == nil {
			t.Errorf("no fact %s", fact)
			continue
		}
		if p.Status != want.status || want.on != "" && (len(p.On) == 0 || p.On[0] != want.on) {
			t.Errorf("%s: %s on %v, want %s on %s: %s", fact, p.Status, p.On, want.status, want.on, p.Line)
		}
	}
	for _, p := range s.Contradicting() {
		t.Errorf("contradicts the guide: %s", p.Line)
	}
}

const disagreeing = "[0:02] Right knock sensor, one bolt, M8, dry, twenty-four newton metres.\n[0:09] Thermostat housing, four screws.\n[0:15] Purge pump, two nuts, ten mil, six newton metres.\n"

// What contradicts the guide says both values with both sources; decisions are
// replayed; what was replaced stays, struck through.
func TestDecisions(t *testing.T) {
	g := demoGuide(t)
	before := file.Print(g)
	r := listen(t, "walk.txt", []byte(disagreeing))
	s := Lay(r, g, Options{Narrator: "T. Veld", Date: "2026-11-25", Machine: "V4"})
	p := s.Proposal("right-knock-sensor/torque")
	if p.Status != Contradicts || p.Has != "20 N·m" || p.By == "" || !strings.Contains(p.Line, "0:02") || !strings.Contains(p.Line, p.By) {
		t.Fatalf("%+v", p)
	}
	accept := []Decision{{Do: Accept, Fact: "right-knock-sensor/torque", By: "I. Pellow"}}
	torque := func(ds []Decision) guide.Joint {
		m, refused := Merge(g, s, ds)
		if len(refused) > 0 {
			t.Fatal(refused)
		}
		back := readBack(t, m)
		for _, it := range back.Items {
			if it.ID == "SE13" && len(it.Joints) > 0 {
				return it.Joints[0]
			}
		}
		return guide.Joint{}
	}
	j := torque(accept)
	if j.Stages[0].Torque.String() != "24 N·m" || len(j.Was) == 0 || j.Was[len(j.Was)-1].Value != "20 N·m" {
		t.Errorf("accepted: %+v", j)
	}
	if j := torque(append(accept, Decision{Do: Change, Fact: "right-knock-sensor/torque", Value: "21 N·m + 30°"})); len(j.Stages) != 2 || j.Stages[0].Torque.String() != "21 N·m" || j.Stages[1].Angle != 30 {
		t.Errorf("changed: %+v", j)
	}
	same := func(name string, ds []Decision) {
		m, _ := Merge(g, s, ds)
		if got := file.Print(m); !bytes.Equal(got, before) {
			t.Errorf("%s changes the guide:\n%s", name, cmp.Diff(string(before), string(got)))
		}
	}
	same("nothing decided", nil)
	same("reject", []Decision{{Do: Reject, Fact: "right-knock-sensor/torque"}})
	same("undo", append(accept, Decision{Do: Undo}))
	same("accept, change, two undos", append(accept, Decision{Do: Change, Fact: "right-knock-sensor/torque", Value: "21 N·m"}, Decision{Do: Undo, Fact: "right-knock-sensor/torque"}, Decision{Do: Undo}))
	if !bytes.Equal(before, file.Print(g)) {
		t.Error("merging changed the base")
	}
}

// Decisions that cannot be carried out are refused one by one, with the
// reason; the others are carried out.
func TestRefusedDecisions(t *testing.T) {
	g := demoGuide(t)
	s := Lay(listen(t, "walk.txt", []byte(disagreeing)), g, Options{})
	m, refused := Merge(g, s, []Decision{
		{Do: Undo},
		{Do: Accept, Fact: "nothing/torque"},
		{Do: "keep", Fact: "purge-pump/count"},
		{Do: Change, Fact: "purge-pump/torque", Value: "six"},
		{Do: Accept, Fact: "purge-pump/count"},
		{Do: Accept, Fact: "purge-pump/torque"},
	})
	if len(refused) != 4 || refused[0].Place != 0 || refused[3].Place != 3 {
		t.Fatalf("%+v", refused)
	}
	it := m.Items[len(m.Items)-1]
	if it.ID != "purge-pump" || len(it.Joints) != 1 || it.Joints[0].Count != 2 || it.Joints[0].Stages[0].Torque.String() != "6 N·m" {
		t.Errorf("%+v", it)
	}
	src := m.Sources[len(m.Sources)-1]
	if src.Document != "narration walk.txt" || !strings.HasPrefix(src.Page, "0:15") || src.Grade != "first-hand" {
		t.Errorf("%+v", src)
	}
}

// Whatever was said and decided, the result is a guide.
func FuzzMerge(f *testing.F) {
	g := demoGuide(f)
	f.Add(disagreeing, []byte{0, 1, 2, 3, 4, 5})
	f.Add(string(corpus.Read(f, "../testdata/open/moth.txt")), []byte{0, 0, 0, 3, 1, 0, 2})
	f.Fuzz(func(t *testing.T, text string, picks []byte) {
		tr, _ := transcript.Read("f.txt", []byte(text))
		if tr == nil || len(text) > 4000 {
			return
		}
		r := capture.Listen(tr, capture.Options{})
		for _, base := range []*guide.Guide{nil, g} {
			s := Lay(r, base, Options{})
			var ds []Decision
			for i, p := range s.Proposals {
				d := Decision{Do: []Do{Accept, Accept, Reject, Undo, Change}[pick(picks, i)%5], Fact: p.Fact, Value: text[:min(len(text), pick(picks, i+1)%9)]}
				if p.Status == Which && len(p.On) > 0 {
					d.Items = p.On[:1]
				}
				ds = append(ds, d)
			}
			m, _ := Merge(base, s, ds)
			if base == nil {
				readBack(t, m)
			}
		}
	})
}

func pick(b []byte, i int) int {
	if len(b) == 0 {
		return 0
	}
	return int(b[i%len(b)])
}
