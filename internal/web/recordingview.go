package web

import (
	"fmt"
	"html/template"
	"slices"
	"strconv"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/reading/record"
)

// recordedView is what recordings show.
type recordedView struct {
	Files  []recordedFile
	Change *changeView
}

// recordedFile is one recording.
type recordedFile struct {
	ID, Name, Says string
	Later          bool   // the one from after the repair
	Captured       string // what was captured, when it is a capture of a bus
	Checks         []recordedRow
	Form           string
	Counts         []countGroup
	Findings       []string
	Undrawn        int // checks beyond those with a drawing
}

// recordedRow is one check on one recording.
type recordedRow struct {
	ID, Name, Kind, Verdict, Says, Limit, Guess string
	Stretches                                   []stretchRow
	Standing, Missing, Confirm, Short           []string
	Narrow, Wide                                template.HTML
	Text                                        string
}

// stretchRow is one stretch with its verdict.
type stretchRow struct {
	Letter, Time, Lines, Value, Kind, Verdict, Says string
	Remarks                                         []string
	Take                                            string // address of the job with this reading in its log
	Best                                            bool
}

type countGroup struct {
	Name string
	Rows []app.Counted
}

// changeView is what changed between two recordings.
type changeView struct {
	Says    string
	Alike   []string
	Guesses []string
}

// mostDrawn bounds the drawings of a page.
const mostDrawn = 6

func recordedOf(st state, out *app.Recorded) *recordedView {
	v := &recordedView{}
	for i, f := range []*app.RecordingRead{out.First, out.After} {
		if f != nil {
			v.Files = append(v.Files, recordedFileOf(st, i, f))
		}
	}
	slices.Reverse(v.Files) // what holds now stands first
	if d := out.Change; d != nil {
		v.Change = &changeView{Says: d.Says, Guesses: d.Guesses}
		for _, b := range out.Matching.By {
			v.Change.Alike = append(v.Change.Alike, say("recording.alike", b.Meaning, strconv.FormatFloat(b.Width, 'g', 6, 64), b.Unit))
		}
	}
	return v
}

func recordedFileOf(st state, n int, f *app.RecordingRead) recordedFile {
	rec := f.Recording
	v := recordedFile{
		ID: "file-" + strconv.Itoa(n), Name: f.Name, Later: n > 0, Findings: findingTexts(rec.Findings),
		Says: say("recording.used."+string(rec.Outcome), rec.Counts.Rows, lasting(rec.Seconds)),
		Form: say("recording.form", rec.Format.Encoding, app.SignText(rec.Format.Delimiter), app.SignText(rec.Format.Decimal), app.ClockText(rec.Format)),
	}
	if f.Captured != nil {
		v.Captured = f.Captured.Says
	}
	for _, g := range []countGroup{
		{say("recording.lines"), app.LinesOf(rec.Counts)}, {say("recording.cells"), app.CellsOf(rec.Counts)}, {say("recording.times"), app.TimesOf(rec.Counts)},
	} {
		if len(g.Rows) > 0 {
			v.Counts = append(v.Counts, g)
		}
	}
	for i, k := range f.Checks {
		row := recordedRowOf(st, k)
		if i < mostDrawn && len(k.Plot.Panels) > 0 {
			id := fmt.Sprintf("%d-%d", n, i)
			// the drawing is made by package record, which escapes every text
			row.Narrow, row.Wide = template.HTML(k.Plot.SVG("n"+id, record.Phone)), template.HTML(k.Plot.SVG("w"+id, record.Desktop))
		} else if i >= mostDrawn {
			v.Undrawn++
		}
		v.Checks = append(v.Checks, row)
	}
	return v
}

// lasting says how long a recording is.
func lasting(seconds float64) string {
	if seconds < 100 {
		return say("recording.seconds", seconds)
	}
	return say("recording.minutes", int(seconds)/60, int(seconds)%60)
}

func recordedRowOf(st state, k app.RecordedCheck) recordedRow {
	row := recordedRow{
		ID: string(k.Check.ID), Name: guide.Capital(k.Check.Name), Kind: kindOf(k.Outcome), Verdict: say("verdict." + kindOf(k.Outcome)),
		Says: guide.Capital(k.Says), Guess: k.Answer.Question.Guess,
	}
	if k.Limit != nil {
		row.Limit = pretty(k.Limit.String())
	}
	for i, s := range k.Stretches {
		row.Stretches = append(row.Stretches, stretchOf(st, k.Answer.Question, s, i == k.Best))
	}
	if len(k.Stretches) > 0 {
		return row
	}
	row.Confirm, row.Missing = k.Answer.Confirm, k.Answer.Missing // with stretches each says it itself
	for _, c := range k.Answer.Conditions {
		row.Standing = append(row.Standing, say("recording.standing", pretty(c.Clause), fmt.Sprintf("%.0f", c.Met), fmt.Sprintf("%.0f", c.Known), c.Least, c.Most))
	}
	for _, s := range k.Answer.Short {
		row.Short = append(row.Short, say("recording.short", s.From, s.To, s.Ended))
	}
	return row
}

func stretchOf(st state, q record.Question, s app.RecordedStretch, best bool) stretchRow {
	j := s.Stretch.Judged
	value := fmt.Sprintf("%.4g ± %.2g %s", j.Mean, 2*j.Uncertainty, j.Unit)
	for _, b := range s.Stretch.Beside {
		value += fmt.Sprintf("; %.4g ± %.2g %s", b.Mean, 2*b.Uncertainty, b.Unit)
	}
	if !q.Matches() && len(q.Beside) == 0 {
		value = guide.Capital(s.Stretch.Told(q))
	}
	row := stretchRow{
		Letter: s.Letter, Time: say("recording.from-to", s.Stretch.From, s.Stretch.To), Lines: say("recording.from-lines", s.Stretch.First, s.Stretch.Last),
		Value: value, Kind: kindOf(s.Verdict.Outcome), Verdict: say("verdict." + kindOf(s.Verdict.Outcome)),
		Says: s.Verdict.Says, Remarks: append(slices.Clone(s.Verdict.Missing), s.Verdict.Remarks...), Best: best,
	}
	if s.Entry != "" {
		to := st
		to.check = ""
		to.job.Log = append(slices.Clone(st.job.Log), s.Entry)
		row.Take = to.to("/job")
	}
	return row
}
