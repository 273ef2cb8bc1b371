package suspect

import (
	"slices"
	"strings"

	"elbowroom/codes"
)

// familiesOf returns the codes of a fault; what cannot be read is left out
// (vet reports it).
func (m *model) familiesOf(h int) []codes.Range {
	if m.families == nil {
		m.families = make([][]codes.Range, m.other())
		for i := range m.families {
			m.families[i] = m.readFamilies(i)
		}
	}
	return m.families[h]
}

func (m *model) readFamilies(h int) []codes.Range {
	var out []codes.Range
	for _, text := range m.hyps[h].fault.Codes {
		if f, err := codes.ParseRange(text); err == nil {
			out = append(out, f)
		}
	}
	return out
}

// codes makes a sign of every code that was read, and, where all codes were
// read, one of all faults whose codes are missing.
func (m *model) codes() {
	families := make([][]codes.Range, m.other())
	for h := range families {
		families[h] = m.familiesOf(h)
	}
	stored := m.storedCodes()
	explained := make([]bool, m.other())
	for _, c := range stored {
		number, err := codes.Parse(c.Code)
		if err != nil {
			continue
		}
		var own, upstream []int
		for h := range families {
			if codes.Covers(families[h], number.Code) {
				own = append(own, h)
				explained[h] = true
			}
		}
		for h := range families {
			if !contains(own, h) && slices.ContainsFunc(own, func(g int) bool { return m.hangsOn(m.hyps[g].on, m.hyps[h].on) }) {
				upstream = append(upstream, h)
			}
		}
		m.code(c, own, upstream)
	}
	if !m.c.CodesRead {
		return
	}
	var silent []int
	for h := range families {
		if len(families[h]) > 0 && !explained[h] {
			silent = append(silent, h)
		}
	}
	if len(silent) == 0 {
		return
	}
	m.open(NoCodeSign, "its codes are missing", silent, func(present []int, s setting) float64 {
		out := 1.0
		for _, h := range present {
			if contains(silent, h) {
				out *= 1 - s.given(groupNoCode, m.a.NoCode)
			}
		}
		return out
	})
}

// storedCodes returns the codes in order, each once; a confirmed one wins.
func (m *model) storedCodes() []Code {
	var out []Code
	for _, c := range m.c.Codes {
		if full, err := codes.Parse(c.Code); err == nil {
			c.Code = full.Code.String()
		}
		if i := slices.IndexFunc(out, func(o Code) bool { return o.Code == c.Code }); i >= 0 {
			out[i].Pending = out[i].Pending && c.Pending
			continue
		}
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b Code) int { return strings.Compare(a.Code, b.Code) })
	return out
}

// code adds the sign of one code: faults that list it, and faults of what the
// part that it names is fed, grounded or connected through.
func (m *model) code(c Code, own, upstream []int) {
	group, given, leak, says := groupCodes, m.a.CodeGiven, m.a.CodeLeak, c.Code
	if c.Pending {
		group, given, leak, says = groupPending, m.a.PendingGiven, m.a.PendingLeak, c.Code+" (not confirmed)"
	}
	if len(own) == 0 {
		m.note("no fault of the guide lists %s: it speaks for something not listed, as far as a leak does not explain it", c.Code)
	}
	m.open(CodeSign, says, append(slices.Clone(own), upstream...), func(present []int, s setting) float64 {
		out := m.none(present, own, s.given(group, given), s.leak(group, leak), s)
		for _, h := range present {
			if contains(upstream, h) {
				out *= 1 - s.given(groupVictim, m.a.VictimGiven)
			}
		}
		return 1 - out
	})
}
