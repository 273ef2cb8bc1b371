package cli

import (
	"slices"
	"strings"

	"github.com/alecthomas/kong"
)

// inOrder puts commands first, then flags, then everything else, so that tasks
// and flags can be typed in any order: the parser takes what follows a flag
// for the beginning of something new. A negative number after a flag is its
// value. What stands behind -- is no flag.
func inOrder(root *kong.Node, args []string) []string {
	var commands, flagWords, rest []string
	node, flags := root, slices.Clone(root.Flags)
	for i := 0; i < len(args); i++ {
		w := args[i]
		if w == "--" {
			rest = append(rest, args[i+1:]...)
			break
		}
		if strings.HasPrefix(w, "-") && w != "-" {
			words := flagAndValue(flags, args[i:])
			i += len(words) - 1
			flagWords = append(flagWords, joined(words)...)
			continue
		}
		if child := childNamed(node, w); child != nil && len(rest) == 0 {
			node, flags = child, append(flags, child.Flags...)
			commands = append(commands, w)
			if child.Passthrough {
				return slices.Concat(commands, flagWords, args[i+1:])
			}
			continue
		}
		rest = append(rest, w)
	}
	if len(rest) > 0 && slices.ContainsFunc(rest, func(s string) bool { return strings.HasPrefix(s, "-") }) {
		rest = append([]string{"--"}, rest...)
	}
	return slices.Concat(commands, flagWords, rest)
}

// flagAndValue returns the flag at the beginning of the words with its value,
// where it takes one that is a word of its own.
func flagAndValue(flags []*kong.Flag, words []string) []string {
	f := flagNamed(flags, words[0])
	if f == nil || f.IsBool() || len(words) < 2 {
		return words[:1]
	}
	return words[:2]
}

// joined makes one word of a flag and a negative number.
func joined(words []string) []string {
	if len(words) == 2 && len(words[1]) > 1 && words[1][0] == '-' && strings.ContainsRune("0123456789.", rune(words[1][1])) {
		return []string{words[0] + "=" + words[1]}
	}
	return words
}

func childNamed(node *kong.Node, name string) *kong.Node {
	for _, c := range node.Children {
		if c.Name == name {
			return c
		}
	}
	return nil
}
