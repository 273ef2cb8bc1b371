package web

import (
	"errors"
	"net/url"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"elbowroom/app"
	"elbowroom/guide"
)

func TestAddressSaysEverything(t *testing.T) {
	st := state{
		ask: app.Ask{
			Guide: "v27p", Machine: "V1", Variant: "LHD A", Tasks: []string{"replace:SE13", "check:X3"}, Before: []string{"check:T35"},
			Proof: []string{"check:T37"}, Order: []string{"check:X3<replace:SE13"}, Start: []string{"PN03", "CO01 aside"}, Leave: []string{"all"},
			Missing: []string{"mirror"}, People: 2, By: "minutes", Rate: "90.00",
		},
		words: "knock & coil", view: guide.FromBelow, item: "SE13", reach: true,
	}
	u, err := url.Parse(st.to("/plan"))
	if err != nil {
		t.Fatal(err)
	}
	back, err := readState(u.Query())
	if err != nil {
		t.Fatal(err)
	}
	back.typed = nil
	if diff := cmp.Diff(st, back, cmp.AllowUnexported(state{})); diff != "" {
		t.Errorf("the address loses something (-want +got):\n%s", diff)
	}
}

func TestNothingOffIsKept(t *testing.T) {
	st := state{ask: app.Ask{Machine: "V1", Start: []string{}}}
	u, err := url.Parse(st.to("/plan"))
	if err != nil {
		t.Fatal(err)
	}
	if back, err := readState(u.Query()); err != nil || back.ask.Start == nil || len(back.ask.Start) != 0 {
		t.Errorf("everything fitted, whatever the machine says, became %#v (%v)", back.ask.Start, err)
	}
}

func TestChangesLeaveTheOldStateAlone(t *testing.T) {
	st := state{ask: app.Ask{Tasks: []string{"replace:A1", "replace:A2"}, Order: []string{"replace:A1<replace:A2"}}}
	more, less := st.with("replace:A3"), st.without("replace:A1")
	if got := strings.Join(st.ask.Tasks, " "); got != "replace:A1 replace:A2" {
		t.Errorf("the old state became %s", got)
	}
	if len(more.ask.Tasks) != 3 || len(more.with("replace:A3").ask.Tasks) != 3 {
		t.Errorf("added: %v", more.ask.Tasks)
	}
	if len(less.ask.Tasks) != 1 || len(less.ask.Order) != 0 {
		t.Errorf("taken out: %v, order %v", less.ask.Tasks, less.ask.Order)
	}
}

func TestReadState(t *testing.T) {
	cases := []struct {
		name, query string
		bad         bool
		check       func(state) bool
	}{
		{"axes are joined", "variant=drive%3DLHD&variant=engine%3DA", false, func(s state) bool { return s.ask.Variant == "drive=LHD engine=A" }},
		{"a task twice is one", "task=replace:A1&task=replace:A1", false, func(s state) bool { return len(s.ask.Tasks) == 1 }},
		{"broken letters are replaced", "q=%ff%fe", false, func(s state) bool { return s.words == "\uFFFD" }},
		{"long words are cut and refused", "q=" + strings.Repeat("a", 300), true, func(s state) bool { return len(s.words) == maxWords }},
		{"people", "people=0", true, nil},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			v, err := url.ParseQuery(c.query)
			if err != nil {
				t.Fatal(err)
			}
			st, err := readState(v)
			if (err != nil) != c.bad || err != nil && !errors.Is(err, app.ErrInput) {
				t.Errorf("error %v", err)
			}
			if c.check != nil && !c.check(st) {
				t.Errorf("state %+v", st)
			}
		})
	}
}
