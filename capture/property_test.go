package capture

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"elbowroom/capture/transcript"
	"elbowroom/internal/corpus"
)

// seeds of the random changes that must change no fact.
const seeds = 12

// fillers that people put between any two words.
var fillers = []string{"um", "uh", "er", "you know", "basically", "erm"}

// spoken is a cue that a property test writes anew.
type spoken struct {
	start, end time.Duration
	speaker    string
	text       string
}

// asVTT writes cues as WebVTT.
func asVTT(cues []spoken) []byte {
	var b strings.Builder
	b.WriteString("WEBVTT\n")
	stamp := func(d time.Duration) string {
		return fmt.Sprintf("%02d:%02d:%02d.%03d", int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60, d.Milliseconds()%1000)
	}
	for _, c := range cues {
		voice := ""
		if c.speaker != "" {
			voice = "<v " + c.speaker + ">"
		}
		fmt.Fprintf(&b, "\n%s --> %s\n%s%s\n", stamp(c.start), stamp(c.end), voice, strings.NewReplacer("&", "&amp;", "<", "&lt;").Replace(c.text))
	}
	return []byte(b.String())
}

// speech returns the narrations of both sets that have times, as cues.
func speech(t *testing.T) map[string][]spoken {
	t.Helper()
	out := map[string][]spoken{}
	for _, set := range []string{"open", "aside"} {
		for _, name := range narrations(t, set) {
			tr, list := transcript.Read(filepath.Base(name), corpus.Read(t, name))
			if tr == nil {
				t.Fatal(list)
			}
			if tr.Form == transcript.Notes || tr.Form == transcript.Table {
				continue
			}
			var cues []spoken
			for _, c := range tr.Cues {
				cues = append(cues, spoken{c.Start, max(c.End, c.Start+time.Second), c.Speaker, strings.ReplaceAll(c.Text, "\n", " ")})
			}
			out[name] = cues
		}
	}
	return out
}

// factsOf listens to cues and returns every fact without words and times.
func factsOf(t *testing.T, cues []spoken) string {
	t.Helper()
	tr, list := transcript.Read("p.vtt", asVTT(cues))
	if tr == nil {
		t.Fatal(list)
	}
	var out []string
	for _, f := range Listen(tr, Options{}).Facts {
		if f.Kind.Wordy() {
			out = append(out, f.Item.Name+": "+string(f.Kind))
			continue
		}
		out = append(out, f.String()+" ["+strings.Join(f.In, ",")+"]")
	}
	return strings.Join(out, "\n")
}

// same fails the test with the first fact that two lists have different.
func same(t *testing.T, name, want, got string) {
	t.Helper()
	if want == got {
		return
	}
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range max(len(a), len(b)) {
		x, y := "(nothing)", "(nothing)"
		if i < len(a) {
			x = a[i]
		}
		if i < len(b) {
			y = b[i]
		}
		if x != y {
			t.Errorf("%s: %q became %q", filepath.Base(name), x, y)
			return
		}
	}
}

// Words that only fill a pause change no fact, wherever they stand.
func TestFillersChangeNothing(t *testing.T) {
	for name, cues := range speech(t) {
		if strings.Contains(name, "moth-estate") || strings.Contains(name, "noise") || strings.Contains(name, "launch") || strings.Contains(name, "ambulance") {
			cues = withoutGarbled(t, cues)
		}
		want := factsOf(t, cues)
		for seed := range uint64(seeds) {
			r := rand.New(rand.NewPCG(seed, 1))
			filled := make([]spoken, len(cues))
			for i, c := range cues {
				words := strings.Fields(c.text)
				var out []string
				for _, w := range words {
					if r.IntN(8) == 0 {
						out = append(out, fillers[r.IntN(len(fillers))])
					}
					out = append(out, w)
				}
				c.text = strings.Join(out, " ")
				filled[i] = c
			}
			same(t, name, want, factsOf(t, filled))
		}
	}
}

// withoutGarbled leaves out the cues that are rejected: whether noise is
// called noise may depend on how much of it there is.
func withoutGarbled(t *testing.T, cues []spoken) []spoken {
	t.Helper()
	tr, _ := transcript.Read("p.vtt", asVTT(cues))
	bad := map[int]bool{}
	for _, p := range Listen(tr, Options{}).Garbled {
		bad[p.At.Cue] = true
	}
	var out []spoken
	for i, c := range cues {
		if !bad[i] {
			out = append(out, c)
		}
	}
	return out
}

// It makes no difference where the captions are cut, as long as somebody puts
// full stops.
func TestCuttingCaptionsChangesNothing(t *testing.T) {
	tried := 0
	for name, cues := range speech(t) {
		if strings.Contains(name, "noise") {
			continue // without full stops the cues are the sentences
		}
		tried++
		want := factsOf(t, cues)
		for seed := range uint64(seeds) {
			r := rand.New(rand.NewPCG(seed, 2))
			var cut []spoken
			for _, c := range cues {
				words := strings.Fields(c.text)
				step := (c.end - c.start) / time.Duration(len(words)+1)
				at := c.start
				for len(words) > 0 {
					n := 1 + r.IntN(len(words))
					cut = append(cut, spoken{at, at + step, c.speaker, strings.Join(words[:n], " ")})
					at += step
					words = words[n:]
				}
			}
			same(t, name, want, factsOf(t, cut))
		}
	}
	if tried < 6 {
		t.Fatalf("only %d narrations were cut", tried)
	}
}

// Numbers may be written in words or in digits.
func TestDigitsChangeNothing(t *testing.T) {
	changed := 0
	for name, cues := range speech(t) {
		want := factsOf(t, cues)
		var digits []spoken
		for _, c := range cues {
			text := inDigits(c.text)
			if text != c.text {
				changed++
			}
			c.text = text
			digits = append(digits, c)
		}
		same(t, name, want, factsOf(t, digits))
	}
	if changed < 50 {
		t.Fatalf("only %d cues had numbers to change", changed)
	}
}

// plainNumbers are the words that the test writes in digits: a converter of
// its own, so that it does not share the mistakes of the one it tests.
var plainNumbers = map[string]string{
	"two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8", "nine": "9", "ten": "10", "eleven": "11", "twelve": "12",
	"thirteen": "13", "fourteen": "14", "fifteen": "15", "sixteen": "16", "seventeen": "17", "eighteen": "18", "nineteen": "19", "twenty": "20", "thirty": "30",
	"forty": "40", "fifty": "50", "sixty": "60", "seventy": "70", "eighty": "80", "ninety": "90",
	"twenty-two": "22", "twenty-four": "24", "twenty-five": "25", "twenty-seven": "27", "twenty-eight": "28", "twenty-one": "21", "twenty-three": "23",
	"thirty-five": "35", "thirty-one": "31", "forty-five": "45", "forty-eight": "48", "forty-two": "42", "fifty-five": "55", "sixty-five": "65", "ninety-five": "95",
}

// inDigits writes single number words in digits, where no other number word
// stands beside them.
func inDigits(text string) string {
	words := strings.Fields(text)
	bare := func(i int) string {
		if i < 0 || i >= len(words) {
			return ""
		}
		return strings.ToLower(strings.Trim(words[i], ",.:;?!"))
	}
	numeral := func(i int) bool {
		w := bare(i)
		return plainNumbers[w] != "" || w == "hundred" || w == "thousand" || w == "point" || w == "one" || w == "nought" || strings.Contains(w, "-") && plainNumbers[strings.Split(w, "-")[0]] != ""
	}
	for i, w := range words {
		d := plainNumbers[bare(i)]
		beside := numeral(i-1) && !strings.ContainsAny(words[max(i-1, 0)], ",.:;?!") || numeral(i+1) && !strings.ContainsAny(w, ",.:;?!")
		if d == "" || beside || bare(i+1) == "and" && (bare(i+2) == "a" || bare(i+2) == "three" || bare(i+2) == "half") {
			continue
		}
		low := strings.ToLower(w)
		words[i] = strings.Replace(low, bare(i), d, 1)
	}
	return strings.Join(words, " ")
}

// The same text gives the same report, to the letter.
func TestListeningIsRepeatable(t *testing.T) {
	for name, cues := range speech(t) {
		want := factsOf(t, cues)
		for range 3 {
			same(t, name, want, factsOf(t, cues))
		}
	}
}
