package joblog

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"elbowroom/guide"
	"elbowroom/plan"
)

// one returns a good body of every kind.
func one(t testing.TB) []Body {
	t.Helper()
	of := NewID(morning, [10]byte{1})
	list := []Body{
		&Arrived{Machine: "V1", Complaint: "Läuft am Berg träge, \"lazy\"", Distance: "214300 km", Stands: "lift 1"},
		&SignNoted{Says: "weak uphill <after rain>"},
		&SignWithdrawn{Of: of, Reason: "another vehicle"},
		&CodeNoted{Code: "P0327", Status: "stored", Says: "22 °C, 2900 rpm"},
		&ReadingTaken{Text: "38 kΩ", Check: "T35", Point: "EL01, right line", Instrument: "insulation-meter", Conditions: []string{"unplugged", "18 °C"}},
		&VerdictRecorded{Of: of, Verdict: NonConforming, Limit: ">= 1 MΩ", Why: "far below"},
		planned(t, "valley"),
		&StepDone{Plan: of, Step: 3, Lies: "tray 2"},
		&StepUndone{Plan: of, Step: 3, Reason: "wrong line"},
		&Ticked{Fastener{"AR04", 1, 7}, "wrench-a", "10 N·m"},
		&Unticked{Fastener{"AR04", 1, 7}, "slipped"},
		&PartNew{Part: "plenum-gasket", On: "AR04", Count: 6, Number: "lot 7"},
		&Laid{Item: "AR04", Lies: "shelf"},
		&PictureAdded{Hash: strings.Repeat("0a", 32), Type: "image/jpeg", Size: 1, On: "X3", Plan: of, Step: 2, Says: "green"},
		&Note{Text: "two lines\nof it", On: "X3"},
		&Paused{Reason: "telephone"},
		&Resumed{},
		&HandedOver{To: "achter", Says: "ports are covered"},
		&Deviation{Signed: "pellow", Reason: "customer drives home tonight", Lacks: []string{"item PN01"}, Done: []ID{of}, Steps: []StepNo{{of, 2}}},
		&PriceAgreed{Amount: 11200, Limit: 15000, Currency: "EUR", Who: "Oda Brevik", How: "by telephone", For: "diagnosis"},
		&ProofMade{Check: "T40", Readings: []ID{of}, Verdict: Conforming, Conditions: []string{"3000 rpm"}},
		&Closed{Says: "collected"},
		&Reopened{Reason: "came back"},
		&Correction{Of: of, With: &Content{KindNote, &Note{Text: "right"}}, Reason: "typing error"},
	}
	if len(list) != len(bodies) {
		t.Fatalf("%d bodies here and %d kinds", len(list), len(bodies))
	}
	return list
}

func TestEveryKindThereAndBack(t *testing.T) {
	p := newPhone("j-1", "pellow", "phone-a")
	for i, b := range one(t) {
		if b.kind() != Kinds()[i] {
			t.Errorf("kind %d is %s here and %s in Kinds", i, b.kind(), Kinds()[i])
		}
		t.Run(string(b.kind()), func(t *testing.T) {
			e := p.event(b)
			e.Seen = map[Device]int64{"Phone-B": 7}
			text, err := Encode(e)
			if err != nil {
				t.Fatal(err)
			}
			if bytes.ContainsAny(text, "\n") || bytes.Contains(text, []byte(`\u00`)) {
				t.Errorf("not one plain line: %s", text)
			}
			again, err := Decode(text)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(e, again, cmp.AllowUnexported(Event{}), cmp.Comparer(func(a, b ID) bool { return a == b })); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestPlanThereAndBack(t *testing.T) {
	p := planned(t, "two-sensors")
	req, err := p.Asked()
	if err != nil {
		t.Fatal(err)
	}
	req.Found = []plan.Standing{{Item: "PN03", Off: true}}
	req.Given = []plan.Setting{{Condition: "engine", Value: "warm"}}
	again := TakePlan(p.Pin, req, plan.Plan{Steps: p.Plan()})
	if diff := cmp.Diff(p.Steps, again.Steps); diff != "" {
		t.Error(diff)
	}
	back, err := again.Asked()
	if diff := cmp.Diff(req, back); diff != "" || err != nil {
		t.Error(diff, err)
	}
}

// good is an event as text, with its parts replaced.
func good(t testing.TB, pairs ...string) []byte {
	t.Helper()
	const text = `{"schema":1,"id":"019cf58e-2720-7c90-9c95-3e3debfc25e5","job":"j-1","author":"pellow","device":"phone-a",` +
		`"seq":1,"at":"2026-03-16T07:30:00.000Z","seen":{"Phone-B":7},"kind":"note","body":{"text":"hello"}}`
	s := text
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(s, pairs[i]) {
			t.Fatalf("%q is not in the event", pairs[i])
		}
		s = strings.Replace(s, pairs[i], pairs[i+1], 1)
	}
	return []byte(s)
}

func TestDecodeRefuses(t *testing.T) {
	if _, err := Decode(good(t)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name  string
		text  []byte
		wants string
	}{
		{"nothing", nil, "EOF"},
		{"no object", []byte(`[]`), "cannot unmarshal"},
		{"torn", good(t)[:100], "EOF"},
		{"after the end", append(good(t), '1'), "after its end"},
		{"two", append(good(t), good(t)...), "after its end"},
		{"bad UTF-8", good(t, "hello", "\xff"), "UTF-8"},
		{"said twice", good(t, `"seq":1`, `"seq":1,"seq":2`), "said twice"},
		{"said twice in other letters", good(t, `"seq":1`, `"seq":1,"SEQ":2`), "unknown field"},
		{"key by Unicode folding", good(t, `"seq":1`, `"ſeq":1`), "unknown field"},
		{"unknown field", good(t, `"seq":1`, `"seq":1,"extra":1`), "extra"},
		{"unknown field of the body", good(t, `"text":"hello"`, `"text":"hello","extra":1`), "extra"},
		{"unknown kind", good(t, `"note"`, `"nothing"`), `no kind "nothing"`},
		{"body of another kind", good(t, `"note"`, `"laid"`), "text"},
		{"no body", good(t, `{"text":"hello"}`, `null`), "body is missing"},
		{"no schema", good(t, `"schema":1,`, ``), "schema is missing"},
		{"schema of no time", good(t, `"schema":1`, `"schema":0`), "schema"},
		{"no id", good(t, `"id":"019cf58e-2720-7c90-9c95-3e3debfc25e5",`, ``), "id is missing"},
		{"id of version 4", good(t, `-7c90-`, `-4c90-`), "version 7"},
		{"id older than the event", good(t, `07:30:00`, `09:30:00`), "never older"},
		{"clock never set", good(t, `2026-03-16`, `2000-01-01`), "set the clock"},
		{"number as a fraction", good(t, `"seq":1`, `"seq":1.5`), "cannot unmarshal"},
		{"number 0", good(t, `"seq":1`, `"seq":0`), "seq is 0"},
		{"number beyond all sense", good(t, `"seq":1`, `"seq":9223372036854775807`), "seq is"},
		{"no author", good(t, `"pellow"`, `""`), "author"},
		{"author with a blank", good(t, `"pellow"`, `"I Pellow"`), "author"},
		{"seen itself", good(t, `Phone-B`, `phone-a`), "device itself"},
		{"seen nothing", good(t, `"Phone-B":7`, `"Phone-B":0`), "Phone-B"},
		{"empty note", good(t, `hello`, ` `), "text is empty"},
		{"control character", good(t, `hello`, `a\u0007b`), "control character"},
		{"too long", good(t, `hello`, strings.Repeat("x", MaxText+1)), "longer than"},
		{"too big", good(t, `hello`, strings.Repeat("x", MaxEvent)), "bytes"},
		{"too deep", good(t, `{"text":"hello"}`, strings.Repeat("[", 40)+strings.Repeat("]", 40)), "nested"},
		{"reading without a value", good(t, `"note"`, `"reading"`, `{"text":"hello"}`, `{"text":" OK. ","check":"T01"}`), "records no value"},
		{"step and act", good(t, `"note"`, `"done"`, `{"text":"hello"}`, `{"step":1,"act":{"kind":"clear","item":"PN01","way":0,"change":0}}`), "not both"},
		{"neither step nor act", good(t, `"note"`, `"done"`, `{"text":"hello"}`, `{}`), "not neither"},
		{"deviation without a reason", good(t, `"note"`, `"deviation"`, `{"text":"hello"}`, `{"signed":"pellow","reason":" ","lacks":["item PN01"]}`), "reason is empty"},
		{"deviation for nothing", good(t, `"note"`, `"deviation"`, `{"text":"hello"}`, `{"signed":"pellow","reason":"so"}`), "covers nothing"},
		{"correction in a correction", good(t, `"note"`, `"correct"`, `{"text":"hello"}`, `{"of":"019cf58e-2720-7c90-9c95-3e3debfc25e5","reason":"so","with":{"kind":"correct","body":{}}}`), "strike it"},
		{"price of nothing", good(t, `"note"`, `"price"`, `{"text":"hello"}`, `{"currency":"EUR","who":"a","how":"b"}`), "neither amount"},
		{"negative price", good(t, `"note"`, `"price"`, `{"text":"hello"}`, `{"amount":"-1.00","currency":"EUR","who":"a","how":"b"}`), "negative"},
	} {
		t.Run(c.name, func(t *testing.T) {
			e, err := Decode(c.text)
			if !errors.Is(err, ErrForm) {
				t.Fatalf("read as %+v, %v", e, err)
			}
			if !strings.Contains(err.Error(), c.wants) {
				t.Errorf("%q does not say %q", err, c.wants)
			}
		})
	}
}

// TestEveryFaultAtOnce: what is wrong with the form of an event is said in one
// go.
func TestEveryFaultAtOnce(t *testing.T) {
	_, err := Decode(good(t, `"pellow"`, `""`, `"seq":1`, `"seq":0`, `hello`, ``))
	for _, want := range []string{"author", "seq", "text"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v does not speak of %s", err, want)
		}
	}
}

// TestForeign: an event of a newer program is carried as it came and not
// understood.
func TestForeign(t *testing.T) {
	text := good(t, `"schema":1`, `"schema": 9`, `"note"`, `"smelt"`, `{"text":"hello"}`, `{"nose": [1, 2.50, "é"]}`, `"seq":1`, `"seq":1,"mood":"good"`)
	e, err := Decode(text)
	if err != nil || !e.Foreign() || e.Body != nil || e.Author != "pellow" || e.Kind != "smelt" {
		t.Fatalf("%+v, %v", e, err)
	}
	l := NewLog("j-1")
	if _, err := l.Add(Record{Event: e}); err != nil {
		t.Fatal(err)
	}
	out, err := EncodeRecord(l.Records()[0])
	want := `{"event":{"schema":9,"id":"019cf58e-2720-7c90-9c95-3e3debfc25e5","job":"j-1","author":"pellow","device":"phone-a","seq":1,"mood":"good",` +
		`"at":"2026-03-16T07:30:00.000Z","seen":{"Phone-B":7},"kind":"smelt","body":{"nose":[1,2.50,"é"]}}}`
	if err != nil || string(out) != want {
		t.Errorf("it comes out as\n%s\nand not as\n%s, %v", out, want, err)
	}
	again, err := DecodeRecord(out)
	if added, _ := l.Add(again); err != nil || added {
		t.Errorf("it is not the same event any more: %v", err)
	}
	s := Fold(l, Basis{})
	if len(s.Refused) != 1 || s.Refused[0].Why != NewerProgram {
		t.Errorf("refused: %v", s.Refused)
	}
	if !strings.Contains(s.Unclosable(), "newer program") {
		t.Errorf("the job can be closed over it: %q", s.Unclosable())
	}
	for _, spoilt := range []string{`"author":"pellow"`, `"seq":1`, `"at":"2026-03-16T07:30:00.000Z"`} {
		if _, err := Decode(bytes.Replace(text, []byte(spoilt), []byte(`"x":1`), 1)); err == nil {
			t.Errorf("the envelope of a newer event is read without %s", spoilt)
		}
	}
}

// FuzzDecode: nothing makes Decode panic; what it reads prints to a text that
// reads to the same event and prints the same; the log and the fold take it.
func FuzzDecode(f *testing.F) {
	p := newPhone("j-1", "pellow", "phone-a")
	for _, b := range one(f) {
		text, err := Encode(p.event(b))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add(good(f, `"schema":1`, `"schema":2`, `"note"`, `"new"`))
	f.Fuzz(func(t *testing.T, text []byte) {
		e, err := Decode(text)
		if err != nil {
			if !errors.Is(err, ErrForm) {
				t.Fatalf("an error without ErrForm: %v", err)
			}
			return
		}
		out, err := Encode(e)
		if err != nil {
			t.Fatalf("read and not written: %v", err)
		}
		again, err := Decode(out)
		if err != nil {
			t.Fatalf("%s is not read again: %v", out, err)
		}
		if twice, err := Encode(again); err != nil || !bytes.Equal(out, twice) {
			t.Fatalf("%s and %s, %v", out, twice, err)
		}
		l := NewLog(e.Job)
		if _, err := l.Add(Record{Event: e}); err != nil {
			t.Fatal(err)
		}
		Fold(l, Basis{Editions: []Edition{{demoPin, &guide.Guide{}}}}).Handover().Sentences()
	})
}
