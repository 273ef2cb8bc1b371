package cli

import (
	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/reading"
	"elbowroom/reading/record"
	"elbowroom/span"
)

// recordedAnswer is the JSON of a recording that was judged.
type recordedAnswer struct {
	Outcome reading.Outcome `json:"outcome" says:"the gravest verdict, of the later recording where there are two"`
	Files   []recordedFile  `json:"files" says:"the recordings: one, or before and after"`
	Change  *recordedChange `json:"change,omitempty" says:"after minus before, under matched conditions"`
	Memory  string          `json:"memory" says:"what is settled of the channels of every source, as --channels keeps it"`
}

type recordedFile struct {
	Name     string            `json:"name" says:"name of the file"`
	Capture  string            `json:"capture,omitempty" says:"what was captured, when it is a capture of a bus"`
	Used     record.Outcome    `json:"used" says:"whole, partly or refused"`
	Seconds  float64           `json:"seconds" says:"from the first row to the last"`
	Form     string            `json:"form" says:"how it is written, as found"`
	Lines    []recordedCount   `json:"lines" says:"what became of its lines"`
	Cells    []recordedCount   `json:"cells" says:"what became of its cells"`
	Times    []recordedCount   `json:"times" says:"what was odd about its times"`
	Channels []recordedChannel `json:"channels" says:"what its columns mean"`
	Checks   []recordedCheck   `json:"checks" says:"what it says to each check"`
	Findings span.List         `json:"findings" says:"what was guessed or not used, with line and column"`
}

type recordedCount struct {
	What string `json:"what" says:"of what"`
	N    int    `json:"n" says:"how many"`
	Used bool   `json:"used" says:"they were used"`
}

type recordedChannel struct {
	Name    string `json:"name" says:"in the file, with its unit"`
	Meaning string `json:"meaning,omitempty" says:"what it is; empty: not used"`
	Unit    string `json:"unit,omitempty" says:"its unit"`
	Guess   string `json:"guess,omitempty" says:"why that was guessed; empty when it was settled"`
}

type recordedCheck struct {
	Check     guide.ID          `json:"check" says:"the check"`
	Name      string            `json:"name" says:"what it measures"`
	Limit     string            `json:"limit,omitempty" says:"the limit that stretches were looked for"`
	Outcome   reading.Outcome   `json:"outcome" says:"verdict on all stretches"`
	Says      string            `json:"says" says:"in one sentence"`
	Judged    string            `json:"judged,omitempty" says:"the channel that is judged"`
	Guess     string            `json:"guess,omitempty" says:"why that was guessed"`
	Stretches []recordedStretch `json:"stretches" says:"times in which the conditions held steadily"`
	Confirm   []string          `json:"confirm" says:"conditions in words, for a person to say"`
	Missing   []string          `json:"missing" says:"conditions that no channel tells"`
}

type recordedStretch struct {
	From    float64         `json:"from" says:"seconds since the first row"`
	To      float64         `json:"to" says:"seconds since the first row"`
	First   int             `json:"first" says:"line of the file"`
	Last    int             `json:"last" says:"line of the file"`
	Values  int             `json:"values" says:"how many"`
	Mean    float64         `json:"mean" says:"of the judged channel"`
	Least   float64         `json:"least" says:"of the judged channel"`
	Most    float64         `json:"most" says:"of the judged channel"`
	Shows   string          `json:"shows" says:"what it shows, in words: a mean, a time, pulses"`
	Within  float64         `json:"within" says:"expanded uncertainty of the mean, k = 2"`
	Unit    string          `json:"unit,omitempty" says:"of these"`
	Outcome reading.Outcome `json:"outcome" says:"verdict"`
	Says    string          `json:"says" says:"the verdict in one sentence"`
	Remarks []string        `json:"remarks" says:"what it rests on"`
	Entry   string          `json:"entry,omitempty" says:"the same as an entry of a job's log"`
}

type recordedChange struct {
	Outcome string   `json:"outcome" says:"compared, or why not"`
	Mean    float64  `json:"mean" says:"after minus before"`
	Within  float64  `json:"within" says:"standard uncertainty"`
	Unit    string   `json:"unit,omitempty" says:"of these"`
	Says    string   `json:"says" says:"in one sentence"`
	Alike   []string `json:"alike" says:"what was kept alike"`
}

func recordedJSON(r *app.Recorded) *recordedAnswer {
	out := &recordedAnswer{Outcome: r.Outcome, Memory: r.Memory}
	for _, f := range []*app.RecordingRead{r.First, r.After} {
		if f != nil {
			out.Files = append(out.Files, recordedFileOf(f))
		}
	}
	if d := r.Change; d != nil {
		out.Change = &recordedChange{d.Outcome, d.Mean, d.Uncertainty, d.Unit, d.Says, some(alikeTexts(r.Matching))}
	}
	return out
}

func recordedFileOf(f *app.RecordingRead) recordedFile {
	rec := f.Recording
	out := recordedFile{
		Name: f.Name, Used: rec.Outcome, Seconds: rec.Seconds, Form: formText(rec.Format), Lines: countsJSON(app.LinesOf(rec.Counts)),
		Cells: countsJSON(app.CellsOf(rec.Counts)), Times: countsJSON(app.TimesOf(rec.Counts)), Channels: []recordedChannel{}, Checks: []recordedCheck{}, Findings: span.List{},
	}
	out.Findings = append(out.Findings, rec.Findings...)
	if f.Captured != nil {
		out.Capture = f.Captured.Says
	}
	for _, c := range f.Mapping.Channels {
		out.Channels = append(out.Channels, recordedChannel{app.ChannelName(c), c.Meaning, c.In, c.Guess})
	}
	for _, k := range f.Checks {
		out.Checks = append(out.Checks, recordedCheckOf(k))
	}
	return out
}

func countsJSON(list []app.Counted) []recordedCount {
	out := []recordedCount{}
	for _, c := range list {
		out = append(out, recordedCount{c.What, c.N, c.Used})
	}
	return out
}

func recordedCheckOf(k app.RecordedCheck) recordedCheck {
	q := k.Answer.Question
	out := recordedCheck{
		Check: k.Check.ID, Name: k.Check.Name, Outcome: k.Outcome, Says: k.Says, Judged: q.Wanted(), Guess: q.Guess,
		Stretches: []recordedStretch{}, Confirm: some(k.Answer.Confirm), Missing: some(k.Answer.Missing),
	}
	if k.Limit != nil {
		out.Limit = k.Limit.String()
	}
	for _, s := range k.Stretches {
		j := s.Stretch.Judged
		out.Stretches = append(out.Stretches, recordedStretch{
			From: s.Stretch.From, To: s.Stretch.To, First: s.Stretch.First, Last: s.Stretch.Last, Values: j.N, Mean: j.Mean, Least: j.Least, Most: j.Most, Shows: stretchSays(q, s.Stretch),
			Within: 2 * j.Uncertainty, Unit: j.Unit, Outcome: s.Verdict.Outcome, Says: s.Verdict.Says, Remarks: some(s.Verdict.Remarks), Entry: s.Entry,
		})
	}
	return out
}
