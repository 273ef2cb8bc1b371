package draft

import (
	"strings"

	"elbowroom/capture"
	"elbowroom/guide"
)

// sentence puts a fact into words, as a note of a guide would say it.
func sentence(f *capture.Fact) string {
	v := f.Value.Text
	s := ""
	switch f.Kind {
	case capture.Needs:
		s = "Needs the " + offWords(v) + " first."
	case capture.With:
		s = "Only with the " + v + "."
	case capture.From:
		s = fromWords(v)
	case capture.Sight:
		s = map[string]string{"seen": "In sight.", "not seen": "Not in sight.", "by feel": "By feel.", "mirror": "With a mirror."}[v]
	case capture.Access:
		s = "Access: " + v + "."
	case capture.Tool:
		s = "Needs the " + v + "."
	case capture.Reuse:
		s = reuseWords(f)
	case capture.Loses:
		s = "Loses " + v + "."
	case capture.Holds:
		s = guide.Capital(f.Item.Name) + ": holds " + v + "."
	case capture.Minutes:
		s = "Takes " + v + "."
	case capture.LimitKind:
		s = limitWords(f)
	case capture.PartOf:
		s = partWords(v)
	case capture.Was:
		s = "Formerly " + v + "."
	case capture.Place, capture.Trick, capture.Warning, capture.Risk:
		s = guide.Capital(v) + "."
	case capture.Elsewhere:
		s = "Described elsewhere: " + v + "."
	case capture.Count:
		s = guide.Capital(v) + "."
		if what, none := strings.CutPrefix(v, "0 "); none {
			s = "No " + what + "."
		}
	default:
		s = guide.Capital(string(f.Kind)) + ": " + v + "."
	}
	return s
}

func offWords(v string) string {
	if bare, ok := strings.CutSuffix(v, " aside"); ok {
		return bare + " moved aside"
	}
	return v + " off"
}

func fromWords(v string) string {
	if place, no := strings.CutPrefix(v, "not "); no {
		return "Not from " + place + "."
	}
	return "From " + v + "."
}

func reuseWords(f *capture.Fact) string {
	what := f.Value.What
	if what == "" {
		what = f.Item.Bare
	}
	if strings.HasPrefix(f.Value.Text, "single-use") {
		return "New " + what + " every time."
	}
	return guide.Capital(what) + " can be used again."
}

func limitWords(f *capture.Fact) string {
	s := f.Value.Text
	if f.Item.Gauge {
		s = f.Item.Name + " " + s
	}
	if len(f.When) > 0 {
		s += ", when " + strings.Join(f.When, ", ")
	}
	return guide.Capital(s) + "."
}

func partWords(v string) string {
	switch v {
	case "separate":
		return "A separate part."
	case "together":
		return "Comes off as one piece."
	}
	return "Comes with the " + v + "."
}
