package reading

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
)

// findInstrument settles which instrument the reading was taken with: its own,
// the one it names, or the only one at hand that serves as the check asks.
func (j *judge) findInstrument() {
	j.instrument = j.rd.Instrument
	if j.instrument == nil && j.rd.Tool != "" {
		i := slices.IndexFunc(j.opt.Instruments, func(m Instrument) bool {
			return strings.EqualFold(string(m.ID), j.rd.Tool) || strings.EqualFold(m.Name, j.rd.Tool)
		})
		if i < 0 {
			j.remark(fmt.Sprintf("no instrument called %q is known; its accuracy is not counted", j.rd.Tool))
			return
		}
		j.instrument = &j.opt.Instruments[i]
	}
	if j.instrument == nil && j.rd.Tool == "" {
		j.serving()
	}
	if j.instrument != nil {
		j.lookAtInstrument()
	}
}

// serving takes the instrument that serves the check, where there is one only.
func (j *judge) serving() {
	var fit []int
	for i := range j.opt.Instruments {
		if slices.Contains(j.check.Instrument, j.opt.Instruments[i].Is) {
			fit = append(fit, i)
		}
	}
	if len(fit) == 1 {
		j.instrument = &j.opt.Instruments[fit[0]]
		j.remark(fmt.Sprintf("taken to be read with %s, the only one here that serves this check", j.instrument.Name))
	}
}

// lookAtInstrument says what there is to say of an instrument before its
// values are looked at.
func (j *judge) lookAtInstrument() {
	m := j.instrument
	if m.Is != "" && len(j.check.Instrument) > 0 && !slices.Contains(j.check.Instrument, m.Is) {
		j.remark(fmt.Sprintf("%s is not what the check asks for (%s)", m.Name, idWords(j.check.Instrument)))
	}
	day := j.rd.Day
	if day == "" {
		day = j.opt.Today
	}
	if day == "" || m.Due == "" || m.Due >= day {
		return
	}
	says := fmt.Sprintf("%s was due for its check on %s", m.Name, m.Due)
	if j.opt.Strict {
		j.bar(says)
		return
	}
	j.remark(says + ": its accuracy is not certain")
}

func idWords(ids []guide.ID) string {
	words := make([]string, len(ids))
	for i, id := range ids {
		words[i] = string(id)
	}
	return strings.Join(words, " or ")
}
