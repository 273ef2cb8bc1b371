package cli

import (
	"embed"
	"fmt"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joint"
)

//go:embed completion
var scripts embed.FS

// shells are those that a script is printed for.
var shells = []string{"bash", "fish", "zsh"}

// completionCmd prints a completion script.
type completionCmd struct {
	Shell string `arg:"" name:"shell" help:"bash, zsh or fish."`
}

// Help stands under the usage of completion.
func (completionCmd) Help() string {
	return "bash:  source <(elbowroom completion bash)\nzsh:   source <(elbowroom completion zsh)\nfish:  elbowroom completion fish | source"
}

// completionAnswer is the JSON of completion.
type completionAnswer struct {
	Shell  string `json:"shell" says:"the shell"`
	Script string `json:"script" says:"to be sourced by it"`
}

// Run prints the script.
func (c *completionCmd) Run(r *run) error {
	if !slices.Contains(shells, c.Shell) {
		return fmt.Errorf("%w: no completion for %q; there is one for %s", errUsage, c.Shell, strings.Join(shells, ", "))
	}
	script, err := scripts.ReadFile("completion/elbowroom." + c.Shell)
	if err != nil {
		return err
	}
	if r.cli.JSON {
		return r.json(completionAnswer{c.Shell, string(script)})
	}
	_, err = r.Stdout.Write(script)
	return err
}

// completeCmd prints what may follow: the words of the line before the one
// being typed, and that word last. Each candidate stands on a line of its own,
// a tab and a remark after it.
type completeCmd struct {
	Line []string `arg:"" optional:"" sep:"none" name:"words"`
}

// Run prints the candidates; it never fails, since nobody would see it.
func (c *completeCmd) Run(r *run) error {
	words := c.Line
	if len(words) > 0 && words[0] == "--" {
		words = words[1:]
	}
	if len(words) == 0 {
		words = []string{""}
	}
	parser, err := r.parser()
	if err != nil {
		return nil
	}
	p := r.page()
	for _, s := range r.candidates(parser.Model.Node, words[:len(words)-1], words[len(words)-1]) {
		p.b.WriteString(strings.ReplaceAll(s.word, "\n", " ") + "\t" + strings.ReplaceAll(s.says, "\n", " ") + "\n")
	}
	return r.show(p)
}

// candidate is one word that may follow.
type candidate struct{ word, says string }

// candidates works out what fits the last word after the words before it.
func (r *run) candidates(root *kong.Node, before []string, last string) []candidate {
	node, flags := descend(root, before)
	if len(before) > 0 {
		if f := flagNamed(flags, before[len(before)-1]); f != nil && !f.IsBool() {
			return matching(r.values(f.Name, before), last)
		}
	}
	if name, _, ok := strings.Cut(last, "="); ok && strings.HasPrefix(last, "--") {
		if f := flagNamed(flags, name); f != nil && !f.IsBool() {
			var out []candidate
			for _, c := range r.values(f.Name, before) {
				out = append(out, candidate{name + "=" + c.word, c.says})
			}
			return matching(out, last)
		}
	}
	var out []candidate
	if strings.HasPrefix(last, "-") {
		for _, f := range flags {
			out = append(out, candidate{"--" + f.Name, f.Help})
		}
		return matching(out, last)
	}
	for _, child := range node.Children {
		if !child.Hidden {
			out = append(out, candidate{child.Name, child.Help})
		}
	}
	for _, p := range node.Positional {
		out = append(out, r.values(p.Name, before)...)
	}
	return matching(out, last)
}

// descend follows the commands among the words and gathers the flags on the
// way.
func descend(node *kong.Node, words []string) (*kong.Node, []*kong.Flag) {
	flags := slices.Clone(node.Flags)
	for _, w := range words {
		for _, child := range node.Children {
			if child.Name == w {
				node = child
				flags = append(flags, child.Flags...)
				break
			}
		}
	}
	return node, slices.DeleteFunc(flags, func(f *kong.Flag) bool { return f.Hidden })
}

func flagNamed(flags []*kong.Flag, word string) *kong.Flag {
	for _, f := range flags {
		if "--"+f.Name == word {
			return f
		}
	}
	return nil
}

func matching(all []candidate, last string) []candidate {
	return slices.DeleteFunc(all, func(c candidate) bool { return !strings.HasPrefix(c.word, last) })
}

// after returns what follows a flag among the words.
func after(words []string, flag string) []string {
	var out []string
	for i, w := range words {
		if w == flag && i+1 < len(words) {
			out = append(out, words[i+1])
		} else if v, ok := strings.CutPrefix(w, flag+"="); ok {
			out = append(out, v)
		}
	}
	return out
}

// values lists what a flag or an argument can be.
func (r *run) values(name string, before []string) []candidate {
	switch name {
	case "shell":
		return plainWords(shells)
	case "of":
		return plainWords(answerNames())
	case "by":
		return plainWords([]string{"money", "minutes"})
	case "paper":
		return plainWords(paperKinds())
	case "size":
		return plainWords([]string{"a4", "letter"})
	case "view":
		return plainWords(guide.FromAbove.Allowed())
	case "state":
		return plainWords(threadStates)
	case "unit":
		return plainWords(joint.Units)
	case "at":
		return plainWords([]string{"error", "warning", "advice"})
	}
	guides := after(before, "--guide")
	if len(guides) == 0 {
		guides = []string{"demo"}
	}
	shop := ""
	if s := after(before, "--workshop"); len(s) > 0 {
		shop = s[0]
	}
	a, err := r.Program.Open(guides, shop)
	if err != nil {
		return nil
	}
	if name == "machine" {
		var out []candidate
		for _, m := range a.Home() {
			out = append(out, candidate{string(m.Machine.ID), m.Machine.Name})
		}
		return out
	}
	if name == "person" {
		return people(a)
	}
	if l := a.Guides()[0]; l.Guide != nil {
		return fromGuide(name, l)
	}
	return nil
}

func plainWords(list []string) []candidate {
	var out []candidate
	for _, s := range list {
		out = append(out, candidate{s, ""})
	}
	return out
}

// fromGuide lists what a guide knows under the name of a flag or an argument.
func fromGuide(name string, l *app.Loaded) []candidate {
	var out []candidate
	g := l.Guide
	switch name {
	case "task", "before", "proof":
		return tasks(g)
	case "what":
		return slices.Concat(tasks(g), fromGuide("words", l))
	case "words", "leave", "start":
		for _, it := range g.Items {
			out = append(out, candidate{string(it.ID), it.Name})
		}
		if name == "start" {
			for _, c := range g.Conditions {
				for _, v := range c.Values {
					out = append(out, candidate{fmt.Sprintf("%s=%s", c.ID, v.ID), v.Name})
				}
			}
		}
	case "circuit":
		for _, c := range g.Circuits {
			out = append(out, candidate{string(c.ID), c.Name})
		}
	case "age", "life":
		for _, it := range g.Items {
			out = append(out, candidate{string(it.ID) + "=", it.Name})
		}
	case "missing":
		for _, t := range g.Tools {
			out = append(out, candidate{string(t.ID), t.Name})
		}
	case "variant":
		for _, axis := range g.Axes {
			for _, v := range axis.Values {
				out = append(out, candidate{string(v.ID), v.Name})
			}
		}
	}
	return out
}

// tasks lists every task of a guide as verb:item, and every check.
func tasks(g *guide.Guide) []candidate {
	kinds := map[guide.ID][]guide.Way{}
	for _, k := range g.Kinds {
		kinds[k.ID] = k.Ways
	}
	var out []candidate
	for _, it := range g.Items {
		seen := map[guide.Verb]bool{}
		for _, w := range slices.Concat(it.Ways, kinds[it.Kind]) {
			if !w.Do.Clears() && !seen[w.Do] {
				seen[w.Do] = true
				out = append(out, candidate{fmt.Sprintf("%s:%s", w.Do, it.ID), it.Name})
			}
		}
	}
	for _, c := range g.Checks {
		out = append(out, candidate{fmt.Sprintf("%s:%s", guide.Measure, c.ID), c.Name})
	}
	return out
}
