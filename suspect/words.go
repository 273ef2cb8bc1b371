package suspect

import (
	"slices"
	"strings"
	"unicode"
)

// matchNeeded is the share of the words of a sign that a clause of the
// complaint must hold to match it.
const matchNeeded = 0.6

// stopWords say nothing by themselves.
var stopWords = strings.Fields(`a an and any are as at be been began begins but by car comes did do does engine far feel feels for from
	gets go goes going had has have he her his i in into is it its just lamp light like machine more much my not now of off on one or our out over
	quite really she since so some still than that the their then there they this to too two under up van vehicle very was we well were when
	while with you your`)

// healthy words turn a clause into one that says what is right.
var healthy = strings.Fields(`fine perfect ok okay good normal well alright flawless`)

// meanings are words of everyday speech for what a guide says in the trade's
// words. Two words in a row are written with "_".
var meanings = map[string]string{
	"weak": "power loss", "lazy": "power loss", "sluggish": "power loss", "gutless": "power loss", "powerless": "power loss", "pull": "power",
	"loses": "loss", "lose": "loss", "lost": "loss", "losing": "loss", "lacks": "loss", "lack": "loss", "low_torque": "power loss",
	"hill": "load", "hills": "load", "uphill": "load", "loaded": "load", "towing": "load", "motorway": "load", "climbing": "load",
	"thirsty": "heavy consumption", "more_fuel": "heavy consumption", "too_much_fuel": "heavy consumption", "drinks": "heavy consumption",
	"rain": "wet", "rains": "wet", "rainy": "wet", "raining": "wet", "damp": "wet", "washing": "wet", "water": "wet",
	"stumbles": "misfire", "stutters": "misfire", "jerks": "misfire", "bucks": "misfire", "shakes": "misfire",
	"cuts": "stall", "dies": "stall", "stops": "stall", "stalling": "stall",
	"turns_slowly": "slow crank", "cranks_slowly": "slow crank", "turns_over_slowly": "slow crank",
	"overheating": "overheat", "boils": "overheat", "too_hot": "overheat",
	"whistles": "whistle", "hisses": "whistle", "rattles": "rattle", "clicks": "click",
	"idling": "idle", "tickover": "idle", "uneven": "rough", "lumpy": "rough",
	"petrol": "fuel", "gasoline": "fuel",
}

// Parts that are named by the pressure in them: a high-pressure pump says
// nothing of a pressure that is high.
var pressureParts = strings.Fields(`pump pumps pipe pipes line lines side rail sensor sensors switch fuel regulator valve valves injector injectors
	hose hoses system circuit filter stage port union unions cap washer cleaner`)

// stem cuts the endings that English puts on one word, so that "misfires" and
// "misfiring" are the same.
func stem(w string) string {
	for _, end := range []string{"ings", "ing", "edly", "ies", "ied", "ed", "es", "s", "ly"} {
		if cut, ok := strings.CutSuffix(w, end); ok && len(cut) >= 3 {
			if strings.HasPrefix(end, "ie") {
				return cut + "y"
			}
			if n := len(cut); n > 3 && cut[n-1] == cut[n-2] && cut[n-1] != 's' && cut[n-1] != 'l' {
				cut = cut[:n-1]
			}
			return strings.TrimSuffix(cut, "e")
		}
	}
	if len(w) > 4 {
		return strings.TrimSuffix(w, "e")
	}
	return w
}

// tokens splits a text into words of letters and digits, in lower case.
func tokens(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// concepts returns the stems of what a text says, in rising order without
// repeats.
func concepts(text string) []string {
	words := tokens(text)
	var out []string
	add := func(w string) {
		if !slices.Contains(stopWords, w) {
			out = append(out, stem(w))
		}
	}
	for i := 0; i < len(words); {
		n, means := longestMeaning(words[i:])
		if n == 0 {
			add(words[i])
			i++
			continue
		}
		for _, w := range strings.Fields(means) {
			add(w)
		}
		i += n
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// longestMeaning looks up the longest run of words that has a meaning of its
// own, and returns how many words it takes.
func longestMeaning(words []string) (int, string) {
	if len(words) > 2 && words[1] == "pressure" && (words[0] == "high" || words[0] == "low") && slices.Contains(pressureParts, words[2]) {
		return 2, words[0] + "-pressure"
	}
	for n := min(3, len(words)); n >= 1; n-- {
		if means, ok := meanings[strings.Join(words[:n], "_")]; ok {
			return n, means
		}
	}
	return 0, ""
}

// clauses splits what a customer says into pieces that speak of one thing
// each. Pieces that say that something is right are left out.
func clauses(text string) []string {
	pieces := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(".,;:!?()\n–—\"", r) })
	var out []string
	for _, p := range pieces {
		for _, q := range splitWords(p, "and", "but") {
			if len(concepts(q)) > 0 && !slices.ContainsFunc(tokens(q), func(w string) bool { return slices.Contains(healthy, w) }) {
				out = append(out, strings.Join(strings.Fields(q), " "))
			}
		}
	}
	return out
}

// splitWords splits a text at the given words.
func splitWords(text string, at ...string) []string {
	var out []string
	var now []string
	for _, w := range strings.Fields(text) {
		if slices.Contains(at, strings.ToLower(w)) {
			out, now = append(out, strings.Join(now, " ")), nil
			continue
		}
		now = append(now, w)
	}
	return append(out, strings.Join(now, " "))
}

// matches returns how much of a sign a clause holds: the share of the sign's
// concepts that are in the clause.
func matches(sign, clause []string) float64 {
	if len(sign) == 0 {
		return 0
	}
	n := 0
	for _, w := range sign {
		if slices.Contains(clause, w) {
			n++
		}
	}
	return float64(n) / float64(len(sign))
}
