package report

import (
	"slices"
	"strconv"
	"strings"
)

// styleRule is one rule of a style sheet for one selector.
type styleRule struct {
	path   []compound // from the outermost element inwards
	weight int        // how particular the selector is
	set    []declaration
}

type declaration struct{ name, value string }

// compound is a selector of one element: "path.ln", ".he.far".
type compound struct {
	tag     string
	classes []string
}

// node is an element as selectors see it.
type node struct {
	tag     string
	classes []string
}

func (c compound) fits(n node) bool {
	if c.tag != "" && c.tag != n.tag {
		return false
	}
	for _, k := range c.classes {
		if !slices.Contains(n.classes, k) {
			return false
		}
	}
	return true
}

// readRules reads the rules of a style sheet that hold on paper: those outside
// of any @media. Selectors that it does not know (states, attributes,
// combinators other than descent) are left out.
func readRules(css string) []styleRule {
	var list []styleRule
	for {
		selectors, rest, ok := strings.Cut(css, "{")
		if !ok {
			return list
		}
		if selectors = strings.TrimSpace(selectors); strings.HasPrefix(selectors, "@") {
			css = skipBlock(rest)
			continue
		}
		body, after, _ := strings.Cut(rest, "}")
		css = after
		set := declarations(body)
		for s := range strings.SplitSeq(selectors, ",") {
			if path, weight, ok := readSelector(s); ok && len(set) > 0 {
				list = append(list, styleRule{path, weight, set})
			}
		}
	}
}

// skipBlock skips to the end of a block with blocks in it.
func skipBlock(css string) string {
	depth := 1
	for i := range len(css) {
		switch css[i] {
		case '{':
			depth++
		case '}':
			if depth--; depth == 0 {
				return css[i+1:]
			}
		}
	}
	return ""
}

func declarations(body string) []declaration {
	var set []declaration
	for d := range strings.SplitSeq(body, ";") {
		if name, value, ok := strings.Cut(d, ":"); ok {
			set = append(set, declaration{strings.TrimSpace(name), strings.TrimSpace(value)})
		}
	}
	return set
}

func readSelector(s string) (path []compound, weight int, ok bool) {
	for word := range strings.FieldsSeq(s) {
		if strings.ContainsAny(word, ":[>+~*#") {
			return nil, 0, false
		}
		parts := strings.Split(word, ".")
		path = append(path, compound{parts[0], parts[1:]})
		weight += 10 * (len(parts) - 1)
		if parts[0] != "" {
			weight++
		}
	}
	return path, weight, len(path) > 0
}

// matches reports whether a selector fits the last of a chain of elements.
func (r styleRule) matches(chain []node) bool {
	k := len(r.path) - 1
	if !r.path[k].fits(chain[len(chain)-1]) {
		return false
	}
	k--
	for i := len(chain) - 2; i >= 0 && k >= 0; i-- {
		if r.path[k].fits(chain[i]) {
			k--
		}
	}
	return k < 0
}

// cascade returns the properties that the rules set for the last element of a
// chain, over those it inherits.
func cascade(rules []styleRule, chain []node, inherited map[string]string) map[string]string {
	out := map[string]string{}
	for name, value := range inherited {
		if inherits[name] || strings.HasPrefix(name, "--") {
			out[name] = value
		}
	}
	weight := map[string]int{}
	for _, r := range rules {
		if !r.matches(chain) {
			continue
		}
		for _, d := range r.set {
			if r.weight >= weight[d.name] {
				out[d.name], weight[d.name] = d.value, r.weight
			}
		}
	}
	return out
}

// inherits are the properties that an element takes over from the one around
// it (SVG 1.1, appendix N).
var inherits = map[string]bool{
	"fill": true, "fill-opacity": true, "stroke": true, "stroke-width": true, "stroke-opacity": true, "stroke-dasharray": true,
	"stroke-linecap": true, "stroke-linejoin": true, "font-size": true, "font-weight": true, "text-anchor": true, "paint-order": true,
}

// value resolves the custom properties in a value.
func value(props map[string]string, name string) string {
	v := props[name]
	for range 4 { // custom properties in custom properties, so deep at most
		inner, ok := strings.CutPrefix(v, "var(")
		if !ok {
			break
		}
		v = props[strings.TrimSuffix(inner, ")")]
	}
	return v
}

// length reads "3px", ".8" or "3"; missing is returned for anything else.
func length(v string, missing float64) float64 {
	x, err := strconv.ParseFloat(strings.TrimSuffix(v, "px"), 64)
	if err != nil {
		return missing
	}
	return x
}
