package suspect

import (
	"slices"

	"elbowroom/guide"
	"elbowroom/reading"
)

// anywayTrust is how far a verdict counts whose conditions did not hold, when
// a person decides to count it anyway: the share of such verdicts that are
// taken to be as good as one under the right conditions.
const anywayTrust = 0.8

// FromReading turns the verdict on a reading into one that Believe weighs: the
// probability of conformance of each item that the limits speak of (the least
// of its limits), and of the whole. A reading that is not comparable says
// nothing; with anyway it counts as it would if every condition held, but
// softened, because one verdict in five is then taken to be chance.
func FromReading(v reading.Verdict, says string, anyway bool) Verdict {
	out := Verdict{Check: v.Check, Conforms: 1, Says: says}
	if v.Outcome == reading.NotComparable {
		if !anyway || v.Would == reading.NotComparable {
			out.NotComparable = true
			return out
		}
	}
	soften := func(p float64) float64 {
		if v.Outcome == reading.NotComparable {
			return anywayTrust*p + (1-anywayTrust)/2
		}
		return p
	}
	byItem := true
	for _, j := range v.Parts {
		if j.Outcome == reading.NotComparable && v.Outcome != reading.NotComparable {
			continue
		}
		p := min(max(j.Probability, 0), 1)
		out.Conforms = min(out.Conforms, p)
		byItem = byItem && j.Item != ""
		if j.Item == "" {
			continue
		}
		out.Parts = lowest(out.Parts, j.Item, p)
	}
	if !byItem {
		out.Parts = nil // a limit compares parts with each other: only the whole has failed
	}
	for i := range out.Parts {
		out.Parts[i].Conforms = soften(out.Parts[i].Conforms)
	}
	out.Conforms = soften(out.Conforms)
	return out
}

// lowest keeps the least probability of every item.
func lowest(parts []Part, item guide.ID, p float64) []Part {
	if i := slices.IndexFunc(parts, func(q Part) bool { return q.Name == string(item) }); i >= 0 {
		parts[i].Conforms = min(parts[i].Conforms, p)
		return parts
	}
	return append(parts, Part{Name: string(item), Conforms: p})
}
