package bay_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"elbowroom/bay"
	"elbowroom/guide"
)

// asked is a question for the golden file: an item, a place, and what is off.
type asked struct {
	item, place guide.ID
	off         []guide.ID
	reason      string
}

var questions = []asked{
	{"SE13", "top", nil, "deep under covers"},
	{"SE13", "top", []guide.ID{"PN01", "PN02", "AR04", "AR05"}, "laid open"},
	{"SE14", "top", []guide.ID{"PN01", "PN02"}, "plenum seen"},
	{"SE03", "cab", []guide.ID{"PN03"}, "through the hatch"},
	{"SE03", "top", nil, "the same from above"},
	{"SE15", "cab", []guide.ID{"PN03"}, "by feel"},
	{"SE12", "below", []guide.ID{"PN08", "PN10"}, "sight depends on the drive side"},
	{"SE12", "top", []guide.ID{"PN01"}, "the same from above"},
	{"SE07", "below", []guide.ID{"PN07", "PN08"}, "at the underside of the sump"},
	{"OL05", "below", []guide.ID{"PN07", "PN08"}, "under the sump"},
	{"OL05", "below", nil, "covered from below"},
	{"SE08", "below", []guide.ID{"PN07", "PN08"}, "inside the bell housing"},
	{"AC15", "below", []guide.ID{"PN08"}, "large item"},
	{"SE17", "right-arch", []guide.ID{"PN05", "PN11"}, "seen from one side"},
	{"SE18", "left-arch", []guide.ID{"PN06", "PN12"}, "and from the other"},
	{"IG03", "top", []guide.ID{"PN01"}, "under the scuttle"},
	{"IG06", "top", []guide.ID{"PN01", "PN04"}, "scuttle tray off"},
	{"FU01", "cab", []guide.ID{"PN03"}, "pump"},
	{"EL05", "top", nil, "inside the fuse box"},
	{"G5", "top", nil, "by mirror"},
	{"X3", "cab", []guide.ID{"PN03"}, "connector"},
	{"BD01", "top", []guide.ID{"PN04"}, "changes over with the drive side"},
	{"BD02", "below", []guide.ID{"PN08"}, "changes over with the drive side"},
	{"BD03", "top", []guide.ID{"PN04"}, "changes over with the drive side"},
	{"CO10", "below", []guide.ID{"PN07"}, "beyond the engine"},
	{"AR03", "top", nil, "a landmark itself"},
	{"PN01", "top", nil, "a cover"},
}

func cleared(ids []guide.ID) map[guide.ID]bay.State {
	m := map[guide.ID]bay.State{}
	for _, id := range ids {
		m[id] = bay.Off
	}
	return m
}

func TestDirectionsInWords(t *testing.T) {
	for _, side := range []guide.ID{"LHD", "RHD"} {
		s := scene(t, side)
		var b strings.Builder
		for _, q := range questions {
			w := s.Where(q.item, bay.From{Place: q.place, Cleared: cleared(q.off)})
			fmt.Fprintf(&b, "# %s from %s, off %v: %s\n%s\n", q.item, q.place, q.off, q.reason, w.Text)
			for _, d := range w.Directions {
				fmt.Fprintf(&b, "  %s %v %q\n", d.Landmark, d.Offset, d.Sight)
			}
			b.WriteString("\n")
		}
		golden(t, "testdata/where-"+strings.ToLower(string(side))+".txt", b.String())
	}
}

var bareSide = regexp.MustCompile(`(?i)\b(left|right)\b`)

// bare returns the first left or right of a text that does not say whose it
// is. A name may use the word when the brackets behind it settle it.
func bare(text string) string {
	for _, at := range bareSide.FindAllStringIndex(text, -1) {
		word, after := strings.ToLower(text[at[0]:at[1]]), text[at[1]:]
		if strings.HasPrefix(after, " of the vehicle") || strings.HasSuffix(text[:at[0]], "vehicle's ") {
			continue
		}
		open, end := strings.Index(after, "("), strings.Index(after, ")")
		if open >= 0 && open < end && strings.Contains(after[open:end], "vehicle's "+word) && !strings.ContainsAny(after[:open], ";.") {
			continue
		}
		return text[max(0, at[0]-30):min(len(text), at[1]+30)]
	}
	return ""
}

func TestBareSideIsFound(t *testing.T) {
	for text, found := range map[string]bool{
		"40 mm left of the box":                                  true,
		"under the right valve cover (ST04)":                     true,
		"under the right valve cover (ST04, vehicle's right)":    false,
		"the right cover (ST04, vehicle's left)":                 true,
		"on the left; the cover (ST04, vehicle's left)":          true,
		"40 mm towards the left of the vehicle from the battery": false,
	} {
		if got := bare(text) != ""; got != found {
			t.Errorf("%q: found %v, want %v", text, got, found)
		}
	}
}

func TestLeftAndRightAlwaysNameTheirFrame(t *testing.T) {
	sentences := 0
	for _, side := range []guide.ID{"LHD", "RHD"} {
		r := demo(t, side)
		for i := range r.Items {
			if i%7 == 0 {
				r.Items[i].At = nil // some places are not written down
				r.Items[i].Side = guide.Left
			}
		}
		s := bay.New(r)
		for _, it := range r.Items {
			for _, v := range bay.Views {
				w := s.Where(it.ID, bay.From{View: v, Cleared: cleared([]guide.ID{"PN01", "PN07", "PN08"})})
				texts := []string{w.Text, w.End, w.Bank}
				for _, d := range w.Directions {
					texts = append(texts, d.Text)
				}
				for _, text := range texts {
					sentences++
					if b := bare(text); b != "" {
						t.Errorf("%s from %s: left or right without a frame: …%s…", it.ID, v, b)
					}
				}
			}
		}
		for _, v := range bay.Views {
			svg := s.Draw(bay.Options{View: v, Highlight: []guide.ID{"IG03"}})
			for _, n := range parse(t, svg) {
				if n.attrs["class"] == "side" || n.attrs["class"] == "cap" || n.attrs["id"] == "bay-"+string(v)+"-title" {
					if b := bare(n.text); b != "" {
						t.Errorf("drawing from %s: %q", v, n.text)
					}
				}
			}
		}
	}
	if sentences < 2000 {
		t.Fatalf("only %d sentences", sentences)
	}
}

func TestRound(t *testing.T) {
	cases := []struct{ in, want bay.Millimetres }{
		{0, 0},
		{2.4, 0},
		{2.6, 5},
		{-12, -10},
		{47, 45},
		{49.9, 50},
		{53, 50},
		{56, 60},
		{-148, -150},
		{199, 200},
		{224, 200},
		{226, 250},
		{-880, -900},
	}
	for _, c := range cases {
		if got := bay.Round(c.in); got != c.want {
			t.Errorf("%v is said as %v, want %v", c.in, got, c.want)
		}
	}
}

// smallBay is an engine block with a battery as landmark and one more item.
func smallBay(item guide.Item) *bay.Scene {
	block := boxItem("ENG", -400, -150, -100, 0, 150, 200)
	block.Class, block.Name = guide.Structure, "Engine block"
	battery := boxItem("BAT", 100, 200, 100, 300, 400, 300)
	battery.Name, battery.Landmark = "Battery", true
	g := &guide.Guide{Places: places, Items: []guide.Item{block, battery, item}}
	r, err := guide.Resolve(g, nil)
	if err != nil {
		panic(err)
	}
	return bay.New(r)
}

func TestOffsetsByHand(t *testing.T) {
	cases := []struct {
		name string
		item guide.Item
		want string
		end  string
	}{
		{"behind and below, within the width", boxItem("X", -30, 290, 20, -10, 310, 40), "120 mm rearward of and 70 mm below the battery (BAT)", "pulley end of the engine"},
		{"on top", boxItem("X", 190, 290, 300, 210, 310, 304), "on top of the battery (BAT)", "beyond the pulley end of the engine"},
		{"in it", boxItem("X", 190, 290, 200, 210, 310, 204), "within the outline of the battery (BAT)", "beyond the pulley end of the engine"},
		{"three axes", boxItem("X", 340, 100, 340, 360, 120, 360), "50 mm forward of, 50 mm above and 90 mm towards the right of the vehicle from the battery (BAT)", "beyond the pulley end of the engine"},
		{"a trifle is not said", boxItem("X", -20, 290, 85, 0, 310, 99), "110 mm rearward of the battery (BAT)", "pulley end of the engine"},
	}
	for _, c := range cases {
		w := smallBay(c.item).Where("X", bay.From{})
		if !w.Known || len(w.Directions) == 0 || w.Directions[0].Text != c.want || w.End != c.end {
			t.Errorf("%s: %+v, want %q, %q", c.name, w, c.want, c.end)
		}
	}
}

func TestEngineAcrossTheVehicle(t *testing.T) {
	item := boxItem("X", -50, 90, 200, -40, 100, 210)
	for pulley, want := range map[guide.View]string{
		"":              "pulley end of the engine",
		guide.FromLeft:  "pulley end of the engine",
		guide.FromRight: "gearbox end of the engine",
		guide.FromRear:  "gearbox end of the engine",
	} {
		if got := smallBay(item).Where("X", bay.From{Pulley: pulley}).End; got != want {
			t.Errorf("pulley towards %q: %q, want %q", pulley, got, want)
		}
	}
}

func TestPlaceNotWrittenDown(t *testing.T) {
	s := smallBay(guide.Item{
		ID: "X", Name: "Knock sensor, right", Side: guide.Right, PartOf: "ENG", Inside: []guide.ID{"BAT"}, Fixing: "1 x M8",
		Seen: []guide.Seen{{From: "cab", Sight: guide.ByMirror}}, Note: "Feel for the rib.",
	})
	w := s.Where("X", bay.From{})
	want := "Knock sensor, right (X, vehicle's right): place not written down. It is on the right of the vehicle. " +
		"It is part of the engine block (ENG). It lies inside the battery (BAT). Held by 1 x M8. " +
		"The guide says: seen by mirror from the cab hatch. The guide notes: Feel for the rib."
	if w.Known || w.Text != want || w.Directions != nil {
		t.Errorf("got %q\nwant %q", w.Text, want)
	}
	if w := s.Where("NOPE", bay.From{}); w.Known || !strings.Contains(w.Text, "no such item") {
		t.Errorf("unknown item: %+v", w)
	}
}

func TestLandmarksThatAreOffAreNotUsed(t *testing.T) {
	s := scene(t, "LHD")
	for _, id := range s.Placed() {
		off := cleared([]guide.ID{"AR03", "PN01", "AR04", "CO01"})
		for _, d := range s.Directions(id, bay.From{Cleared: off}) {
			if off[d.Landmark] != bay.On {
				t.Errorf("%s is told from %s, which is off", id, d.Landmark)
			}
			if d.Landmark == id {
				t.Errorf("%s is told from itself", id)
			}
		}
	}
}

func TestCoversInOrder(t *testing.T) {
	s := scene(t, "LHD")
	covers, visible := s.Covers("SE13", guide.FromAbove, nil)
	var got []guide.ID
	for _, c := range covers {
		got = append(got, c.Item)
	}
	// Undersides in the table: 525 cover, 512 pad, 400 plenum, 345 runner block.
	if want := []guide.ID{"PN01", "PN02", "AR04", "AR05"}; fmt.Sprint(got) != fmt.Sprint(want) || visible != 0 {
		t.Errorf("under %v, visible %v; want %v and nothing visible", got, visible, want)
	}
	covers, visible = s.Covers("SE13", guide.FromAbove, cleared([]guide.ID{"PN01", "PN02", "AR04", "AR05"}))
	if len(covers) != 0 || visible != 1 {
		t.Errorf("laid open: %v, visible %v", covers, visible)
	}
	if covers, visible = s.Covers("NOPE", guide.FromAbove, nil); covers != nil || visible != 0 {
		t.Error("unknown item is covered by something")
	}
}

func BenchmarkWhere(b *testing.B) {
	s := scene(b, "LHD")
	text := ""
	for b.Loop() {
		text = s.Where("SE13", bay.From{Place: "top"}).Text
	}
	if !strings.Contains(text, "under the intake plenum (AR04)") {
		b.Fatal(text)
	}
}
