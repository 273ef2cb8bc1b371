package vet_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"elbowroom/guide/file"
	"elbowroom/guide/vet"
)

// Whatever can be read can be examined: without a panic, and every finding
// says what is wrong and what to do.
func FuzzCheck(f *testing.F) {
	head := "format: 1\nguide: g\nplaces: {top: {name: t}}\n"
	for _, s := range []string{
		"items: {A: {name: plug, ways: [off from top; needs A; 1/1 min]}}",
		"conditions: {c: {name: c, start: x, values: {x: {}, y: {with: [c=x]}}, changes: [{from: x, to: y}]}}",
		"kinds: {k: {name: k, joints: [1 x M6 8.8]}}\nitems: {A: {name: a, kind: k, joints: [\"1 x M6 8.8, 9 N·m\"]}}",
		"checks: {T: {name: pressure, at: x, minutes: 1 min, limits: [\"<= 1 V\"], fails: {F: 2}}}\nfaults: {F: {name: f, weight: 0, codes: [P0]}}",
		"variants: {v: {question: q, values: {a: {}, b: {}}}}\nitems: {A: {name: left, for: a}}",
		"tests: {t: {tasks: [\"off:A\"], start: [\"=\", \" \", \"x y\"], steps: [A]}}",
		"circuits: {c: {name: c, nodes: {n: {sort: fuse}}, wires: [\"n -> n\"]}}",
	} {
		f.Add(head + s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		g, pos, _ := file.Read(fstest.MapFS{"g.yaml": {Data: []byte(text)}}, "g.yaml")
		if g == nil {
			return
		}
		for _, finding := range vet.Check(g, pos, vet.Options{}) {
			if finding.Says == "" || finding.Do == "" || finding.Rule == "" || strings.ContainsRune(finding.Where, ' ') {
				t.Errorf("%+v", finding)
			}
		}
	})
}
