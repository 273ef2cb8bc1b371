package record

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// entry is one meaning with the names that are written for it.
type entry struct {
	meaning string
	sort    quantity.Dimension
	names   []string // in small letters, words parted by blanks
}

// lexicon holds what channels are usually called. Short names are those of
// SAE J1979 and SAE J1930; the rest are plain words of the trade in English
// and German.
var lexicon = []entry{
	{"coolant", quantity.Temperature, []string{"coolant", "coolant temp", "coolant temperature", "engine coolant temperature", "ect", "water temp", "water temperature", "engine temp", "kühlmittel", "kühlmitteltemperatur", "kuehlmitteltemperatur"}},
	{"oil", quantity.Temperature, []string{"oil temp", "oil temperature", "engine oil temperature", "eot", "öltemperatur", "oeltemperatur", "oil"}},
	{"intake air", quantity.Temperature, []string{"intake air temp", "intake air temperature", "iat", "charge air temperature", "ansauglufttemperatur", "air temp"}},
	{"ambient", quantity.Temperature, []string{"ambient", "ambient temp", "ambient temperature", "ambient air temperature", "outside temperature", "aat", "aussentemperatur", "außentemperatur"}},
	{"radiator outlet", quantity.Temperature, []string{"radiator outlet", "radiator outlet temperature", "coolant outlet temperature"}},
	{"exhaust gas", quantity.Temperature, []string{"exhaust gas temperature", "egt", "exhaust temp"}},
	{"speed", quantity.Rotation, []string{"speed", "engine speed", "rpm", "engine rpm", "revs", "revolutions", "drehzahl", "motordrehzahl", "n"}},
	{"road speed", quantity.Speed, []string{"road speed", "vehicle speed", "vss", "speed", "geschwindigkeit", "fahrgeschwindigkeit"}},
	{"manifold pressure", quantity.Pressure, []string{"manifold pressure", "intake manifold pressure", "intake manifold absolute pressure", "manifold absolute pressure", "map", "saugrohrdruck"}},
	{"barometer", quantity.Pressure, []string{"barometer", "barometric pressure", "baro", "ambient pressure", "umgebungsdruck"}},
	{"oil pressure", quantity.Pressure, []string{"oil pressure", "engine oil pressure", "öldruck", "oeldruck"}},
	{"rail pressure", quantity.Pressure, []string{"rail pressure", "fuel rail pressure", "frp", "raildruck"}},
	{"fuel pressure", quantity.Pressure, []string{"fuel pressure", "low fuel pressure", "kraftstoffdruck"}},
	{"air mass", quantity.MassFlow, []string{"air mass", "mass air flow", "maf", "air flow", "luftmasse"}},
	{"battery voltage", quantity.Voltage, []string{"battery voltage", "battery", "module voltage", "control module voltage", "system voltage", "supply voltage", "vbat", "ubat", "bordspannung", "batteriespannung"}},
	{"battery current", quantity.Current, []string{"battery current", "ibat", "batteriestrom"}},
	{"load", quantity.Ratio, []string{"load", "engine load", "calculated load", "calculated engine load", "last"}},
	{"throttle", quantity.Ratio, []string{"throttle", "throttle position", "tps", "tp", "drosselklappe"}},
	{"pedal", quantity.Ratio, []string{"pedal", "accelerator pedal", "pedal position", "app"}},
	{"lambda", quantity.Ratio, []string{"lambda", "equivalence ratio", "commanded equivalence ratio"}},
	{"short-term fuel correction", quantity.Ratio, []string{"short term fuel trim", "stft", "shrtft", "short term fuel correction"}},
	{"long-term fuel correction", quantity.Ratio, []string{"long term fuel trim", "ltft", "longft", "long term fuel correction"}},
	{"spark advance", quantity.Angle, []string{"spark advance", "timing advance", "ignition timing", "zündwinkel"}},
	{"fuel level", quantity.Ratio, []string{"fuel level", "tank level"}},
}

// costs of words that are missing or left over when a name is compared.
const (
	leftOver = 0.3 // for each word of the column that the meaning does not have
	enough   = 0.5 // least score of a guess
)

// suggest gives a column a channel, marked as a guess, or none.
func suggest(c Column, subjects []string) Channel {
	ch := Channel{Name: c.Name, Unit: c.Unit, Nth: c.Nth, In: c.Is}
	sort := dimensionOf(c.Is)
	words := wordsOf(c.Name)
	best, because, score, tied := "", "", 0.0, false
	try := func(meaning, name string, of quantity.Dimension) {
		if sort != "" && of != "" && sort != of {
			return
		}
		s := alike(words, wordsOf(name))
		switch {
		case s > score:
			best, because, score, tied = meaning, name, s, false
		case s == score && s > 0 && !strings.EqualFold(meaning, best):
			tied = true
		}
	}
	for _, s := range subjects {
		try(s, s, "")
	}
	for _, e := range lexicon {
		for _, n := range e.names {
			try(e.meaning, n, e.sort)
		}
	}
	switch {
	case tied:
		ch.Guess = "its name could mean several things"
		return ch
	case score < enough:
		ch.Guess = "no known name is like it"
		return ch
	}
	ch.Meaning = best
	ch.Guess = fmt.Sprintf("%q is written for %s", because, best)
	if ch.In == "" {
		if in := usualUnit(best); in != "" {
			ch.In = in
			ch.Guess += ", no unit is written, " + in + " is usual"
		}
	}
	return ch
}

// usualUnit is the unit that a meaning is nearly always logged in; empty where
// several are usual. Only a guess may rest on it.
func usualUnit(meaning string) string {
	for _, e := range lexicon {
		if e.meaning == meaning {
			return map[quantity.Dimension]string{quantity.Rotation: "rpm", quantity.Voltage: "V"}[e.sort]
		}
	}
	return ""
}

func dimensionOf(unit string) quantity.Dimension {
	if unit == "" {
		return ""
	}
	return quantity.Of(1, unit).Dimension()
}

// alike scores a column's words against those of a name: all words of the name
// must be among them; left-over words cost.
func alike(words, name []string) float64 {
	if len(name) == 0 {
		return 0
	}
	for _, n := range name {
		if !slices.Contains(words, n) {
			return 0
		}
	}
	return float64(len(name)) - leftOver*float64(len(words)-len(name))
}

// fillers are words that say nothing about what a channel is.
var fillers = []string{"the", "of", "at", "in", "actual", "sensor", "value", "reading", "pid", "1", "b1", "b1s1"}

// wordsOf parts a name into words in small letters: at blanks and signs, and
// where a capital follows a small letter.
func wordsOf(name string) []string {
	var words []string
	var w []rune
	end := func() {
		if s := strings.ToLower(string(w)); s != "" && !slices.Contains(fillers, s) && !slices.Contains(words, s) {
			words = append(words, s)
		}
		w = w[:0]
	}
	before := ' '
	for _, r := range name {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			end()
		case unicode.IsUpper(r) && unicode.IsLower(before):
			end()
			w = append(w, r)
		default:
			w = append(w, r)
		}
		before = r
	}
	end()
	return words
}

// Judged returns the meaning of the channel that a check most likely judges:
// the one whose words all stand in the check's name and whose unit fits its
// limits. It is a guess, for a person to settle; empty when none or several
// fit.
func (m Mapping) Judged(check *guide.Check) string {
	name := wordsOf(check.Name)
	best, score, tied := "", 0.0, false
	for _, c := range m.Channels {
		if c.Meaning == "" || !fitsLimits(c.In, check.Limits) {
			continue
		}
		switch s := alike(name, wordsOf(c.Meaning)); {
		case s > score:
			best, score, tied = c.Meaning, s, false
		case s == score && s > 0 && c.Meaning != best:
			tied = true
		}
	}
	if tied {
		return ""
	}
	return best
}

func fitsLimits(unit string, limits []guide.Limit) bool {
	sort := dimensionOf(unit)
	for _, l := range limits {
		for _, v := range []quantity.Value{l.Low, l.High, l.Nominal} {
			if !v.Zero() && sort != "" && v.Dimension() != sort {
				return false
			}
		}
	}
	return true
}
