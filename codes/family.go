package codes

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Range is a family of codes: every code from From to To, both included, in
// the order of the bytes. One code is a Range from it to itself.
type Range struct{ From, To Code }

// Has reports whether the family holds the code.
func (r Range) Has(c Code) bool { return r.From <= c && c <= r.To }

// Size returns how many codes the family holds.
func (r Range) Size() int { return int(r.To) - int(r.From) + 1 }

// String writes "P0560-P0563", or the code alone. ParseRange reads it back.
func (r Range) String() string {
	if r.From == r.To {
		return r.From.String()
	}
	return r.From.String() + "-" + r.To.String()
}

// MarshalText implements encoding.TextMarshaler with String.
func (r Range) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler with ParseRange.
func (r *Range) UnmarshalText(b []byte) error {
	q, err := ParseRange(string(b))
	if err != nil {
		return err
	}
	*r = q
	return nil
}

// ParseRange reads a family as guides write it: "P0562", "P0560-P0563" (a dash
// of any length, spaces around it), or "P01xx" with x for any digit at the end.
// The error is a *Malformed and wraps ErrForm.
func ParseRange(text string) (Range, error) {
	from, to, isRange := cutDash(text)
	if !isRange {
		if r, ok, err := wild(text); ok {
			return r, err
		}
		f, err := plain(text, 0)
		return Range{f, f}, err
	}
	a, errA := plain(from, 0)
	b, errB := plain(to, utf8.RuneCountInString(text)-utf8.RuneCountInString(to))
	if errA != nil || errB != nil {
		return Range{}, join(errA, errB)
	}
	switch {
	case a.Letter() != b.Letter():
		return Range{}, one(Unclear{Text: text, Says: "a family lies within one letter", Do: "write one family for " + string(rune(a.Letter())) + " and one for " + string(rune(b.Letter()))}, 1)
	case a > b:
		return Range{}, one(Unclear{Text: text, Says: "the family ends before it begins", Nearest: []string{Range{b, a}.String()}, Do: "write the lower code first; the digits are hexadecimal"}, 1)
	}
	return Range{a, b}, nil
}

// cutDash splits at a dash that has a code, not a failure type, behind it.
func cutDash(text string) (from, to string, ok bool) {
	for i, r := range text {
		if r != '-' && r != '–' && r != '—' {
			continue
		}
		from, to = text[:i], text[i+utf8.RuneLen(r):]
		rest := strings.TrimSpace(to)
		if first, _ := utf8.DecodeRuneInString(rest); unicode.IsLetter(first) && utf8.RuneCountInString(rest) > 2 || strings.HasPrefix(rest, "0x") {
			return from, to, true
		}
		return text, "", false
	}
	return text, "", false
}

// plain reads a code without a failure type; skip is how many characters stand
// in front of it.
func plain(text string, skip int) (Code, error) {
	f, err := Parse(text)
	if err != nil {
		return 0, shift(err, skip)
	}
	if f.Typed {
		return 0, one(Unclear{
			Text: text, Says: "families are written without a failure type",
			Do: "leave -" + f.Type.String() + " out, or write both ends in full, such as P0560-P0563",
		}, skip+1)
	}
	return f.Code, nil
}

// wild reads "P01xx"; false when the text ends with no x.
func wild(text string) (Range, bool, error) {
	t := strings.TrimSpace(text)
	stem := strings.TrimRight(t, "xX")
	n := len(t) - len(stem)
	if n == 0 || n > 3 || len(t) != codeDigits+1 {
		return Range{}, false, nil
	}
	low, err := plain(stem+"000"[:n], 0)
	if err != nil {
		return Range{}, true, err
	}
	return Range{low, low | (1<<(4*n) - 1)}, true, nil
}

// shift moves an error's columns.
func shift(err error, by int) error {
	m, ok := err.(*Malformed)
	if !ok {
		return err
	}
	for i := range m.List {
		m.List[i].Pos.Col += by
	}
	return m
}

func join(errs ...error) error {
	all := &Malformed{}
	for _, err := range errs {
		if m, ok := err.(*Malformed); ok {
			all.List = append(all.List, m.List...)
		}
	}
	return all
}

// ParseRanges reads families separated by commas, semicolons or line ends, and
// returns those that read together with one error for all that do not.
func ParseRanges(text string) ([]Range, error) {
	var ranges []Range
	all := &Malformed{}
	line, col := 1, 1
	for len(text) > 0 {
		i := strings.IndexAny(text, ",;\n")
		part := text
		if i >= 0 {
			part = text[:i]
		}
		if strings.TrimSpace(part) != "" {
			r, err := ParseRange(part)
			if err == nil {
				ranges = append(ranges, r)
			} else if m, ok := err.(*Malformed); ok {
				for _, f := range m.List {
					f.Pos.Line, f.Pos.Col = line, f.Pos.Col+col-1
					all.List = append(all.List, f)
				}
			}
		}
		if i < 0 {
			break
		}
		col += utf8.RuneCountInString(part) + 1
		if text[i] == '\n' {
			line, col = line+1, 1
		}
		text = text[i+1:]
	}
	if len(all.List) > 0 {
		return ranges, all
	}
	return ranges, nil
}

// Covers reports whether any of the families holds the code.
func Covers(families []Range, c Code) bool {
	return slices.ContainsFunc(families, func(r Range) bool { return r.Has(c) })
}

// Merge returns the same codes as the fewest families, in order.
func Merge(families []Range) []Range {
	sorted := slices.Clone(families)
	slices.SortFunc(sorted, func(a, b Range) int {
		if a.From != b.From {
			return int(a.From) - int(b.From)
		}
		return int(a.To) - int(b.To)
	})
	var out []Range
	for _, r := range sorted {
		if n := len(out); n > 0 && r.From.Letter() == out[n-1].To.Letter() && int(r.From) <= int(out[n-1].To)+1 {
			out[n-1].To = max(out[n-1].To, r.To)
			continue
		}
		out = append(out, r)
	}
	return out
}
