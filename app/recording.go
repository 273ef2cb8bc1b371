package app

import (
	"bytes"
	"fmt"
	"io"
	"slices"

	"elbowroom/guide"
	"elbowroom/reading"
	"elbowroom/reading/record"
	"elbowroom/span"
	"elbowroom/workshop"
)

// RecordingFile is what a logger wrote, as a stream.
type RecordingFile struct {
	Name string // for messages and for the log of a job
	From io.Reader
}

// RecordingAsk is a question about a recording.
type RecordingAsk struct {
	Ask
	Check    string   // its ID or, where only one fits, words; empty: every check whose channels are there
	Judged   string   // what the check judges: "rail pressure"; empty: guessed from its name
	Channels string   // what was settled before, as Recorded.Memory gives it
	Settled  []string // what a person says of channels: "ECT = coolant °C", "Temp [°C] (2) = nothing"
	Said     []string // conditions that a person says held: "fan off"
	Plot     []string // further channels to draw, by meaning or name
	Match    []string // what is kept alike before and after: "speed 250 rpm"; empty: chosen
	File     RecordingFile
	After    func() (*RecordingFile, error) // a second one, opened when the first is read to its end; nil, or a nil file: none
}

// Recorded is what a recording says.
type Recorded struct {
	Resolved *guide.Resolved
	Machine  *workshop.Machine // nil when asked for a guide alone
	Variant  string
	First    *RecordingRead
	After    *RecordingRead     // nil when there was one recording
	Change   *record.Difference // nil when there was one recording
	Matching record.Matching    // what Change was matched by
	Memory   string             // what was settled of every source so far, for RecordingAsk.Channels
	Outcome  reading.Outcome    // the gravest of all checks, of the later recording where there are two
}

// RecordingRead is one recording with its verdicts.
type RecordingRead struct {
	Name      string
	Captured  *Captured // when the file is a capture of a bus, else nil
	Recording *record.Recording
	Mapping   record.Mapping
	Subjects  []string // meanings that checks of this guide ask for
	Checks    []RecordedCheck
}

// RecordedCheck is what a recording says to one check.
type RecordedCheck struct {
	Check     *guide.Check
	Limit     *guide.Limit // that the stretches were looked for; nil when the check has no number
	Answer    record.Answer
	Stretches []RecordedStretch
	Best      int // index of the longest stretch with the outcome, else of the longest; -1: none
	Outcome   reading.Outcome
	Says      string
	Plot      record.Plot
}

// RecordedStretch is one stretch with its verdict. Entry is the text of a
// job's log for it.
type RecordedStretch struct {
	record.Judgement
	Letter string // in the drawing; empty beyond the alphabet
	Entry  string
}

// Limits of what is taken with a recording.
const (
	maxSettled  = 500
	maxRemember = 1 << 20 // bytes of what was settled before
	mostPlotted = 12      // channels drawn for one check
)

// Recording reads what a logger wrote and judges it on a check, or on every
// check whose channels are found. Memory does not grow with the file. Errors
// wrap ErrInput or ErrUnknown; a recording of which nothing can be used is one,
// with a span.List inside that says where and why.
func (a *App) Recording(q RecordingAsk) (*Recorded, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	s, b, err := a.look(q.Ask)
	if err != nil {
		return nil, err
	}
	book, err := readBook(q.Channels)
	if err != nil {
		return nil, err
	}
	u := &recorder{q: q, r: b.r, opt: a.judging(s.machine), book: book}
	if err := u.settle(); err != nil {
		return nil, err
	}
	out := &Recorded{Resolved: b.r, Machine: s.machine, Variant: s.variant.String()}
	if out.First, err = u.read(q.File); err != nil {
		return nil, err
	}
	if err := u.second(out); err != nil {
		return nil, err
	}
	out.Memory, out.Outcome = u.book.String(), gravest(out.latest().Checks)
	if u.matching != nil && out.After != nil {
		out.Matching = *u.matching
	}
	return out, nil
}

func (q *RecordingAsk) check() error {
	switch {
	case q.File.From == nil:
		return fmt.Errorf("%w: recording: no file was given", ErrInput)
	case len(q.Settled) > maxSettled, len(q.Said) > maxLog, len(q.Plot) > mostPlotted:
		return fmt.Errorf("%w: recording: more was said about it than a person says", ErrInput)
	case len(q.Channels) > maxRemember:
		return fmt.Errorf("%w: channels: longer than %d kB; keep the sources that are in use", ErrInput, maxRemember>>10)
	}
	return nil
}

// latest is the recording that speaks for the machine as it is now.
func (r *Recorded) latest() *RecordingRead {
	if r.After != nil {
		return r.After
	}
	return r.First
}

// gravest is the outcome that a person must see first.
func gravest(all []RecordedCheck) reading.Outcome {
	for _, o := range []reading.Outcome{reading.NonConforming, reading.TooClose, reading.NotComparable} {
		if slices.ContainsFunc(all, func(c RecordedCheck) bool { return c.Outcome == o }) {
			return o
		}
	}
	if len(all) == 0 {
		return reading.NotComparable
	}
	return reading.Conforming
}

// recorder is one question about recordings being answered.
type recorder struct {
	q        RecordingAsk
	r        *guide.Resolved
	opt      reading.Options
	book     book
	check    *guide.Check // nil: every one
	said     reading.Reading
	settled  []settledChannel
	width    []matchWidth     // kept alike, as said or chosen by the first recording
	matching *record.Matching // of the first recording
}

// settle reads everything that was said before a file is opened.
func (u *recorder) settle() (err error) {
	if u.q.Check != "" {
		t, err := ParseTask(u.r, string(guide.Measure)+":"+u.q.Check)
		if err != nil {
			return err
		}
		if u.check = u.r.Check(t.On); u.check == nil {
			return fmt.Errorf("%w: %q is no check of this guide; nearest: %s", ErrUnknown, u.q.Check, join(checksOf(u.r, t.On)))
		}
	} else if u.q.Judged != "" {
		return fmt.Errorf("%w: recording: %q is judged by which check? name it", ErrInput, u.q.Judged)
	}
	if u.settled, err = readSettled(u.q.Settled); err != nil {
		return err
	}
	if u.width, err = readWidths(u.q.Match); err != nil {
		return err
	}
	return u.readSaid()
}

// read reads one recording in one pass.
func (u *recorder) read(f RecordingFile) (*RecordingRead, error) {
	head, whole := headOf(f.From)
	from := io.MultiReader(bytes.NewReader(head), f.From)
	out := &RecordingRead{Name: f.Name, Subjects: subjects(u.r)}
	var found span.List
	if isCapture(head) {
		table, c, findings, err := readCapture(RecordingFile{f.Name, from})
		if err != nil {
			return nil, err
		}
		out.Captured, found = c, findings
		head, whole = headOf(table)
		from = io.MultiReader(bytes.NewReader(head), table)
	}
	format, list := record.Look(head, whole, record.Says{})
	if list.Has(span.Error) {
		return nil, refused(f.Name, list)
	}
	m, err := u.channels(&format, f.Name, out.Subjects)
	if err != nil {
		return nil, err
	}
	asked, err := u.questions(m)
	if err != nil {
		return nil, err
	}
	unitless(&m, asked)
	out.Mapping = m
	req := record.Request{Mapping: m}
	if out.Captured != nil {
		req.Gap = out.Captured.gap
	}
	for _, k := range asked {
		req.Questions = append(req.Questions, k.question)
		req.Plot = appendNew(req.Plot, u.drawn(k.question, m)...)
	}
	req.Plot = appendNew(req.Plot, u.q.Plot...)
	if u.q.After != nil && len(asked) > 0 && u.check != nil && asked[0].question.Matches() {
		req.Match = u.match(asked[0].question, m)
	}
	rec := record.Read(from, req)
	rec.Findings = append(placed(rec.Findings, f.Name), found...)
	if rec.Outcome == record.Refused {
		return nil, refused(f.Name, rec.Findings)
	}
	out.Recording = rec
	for i, k := range asked {
		out.Checks = append(out.Checks, u.judge(f.Name, rec, k, &rec.Answers[i], m))
	}
	return out, nil
}

// Bounds of the beginning of a file that its form is told by.
const (
	headLines = 4
	headBytes = 256 << 10
	mostHead  = 16 << 20
)

// headOf reads the beginning of a file: more where lines are long.
func headOf(r io.Reader) (head []byte, whole bool) {
	for want := headBytes; ; want *= 2 {
		part, err := io.ReadAll(io.LimitReader(r, int64(want-len(head))))
		head = append(head, part...)
		if err != nil || len(head) < want {
			return head, true
		}
		if want >= mostHead || bytes.Count(head, []byte{'\n'}) >= headLines {
			return head, false
		}
	}
}

func refused(name string, list span.List) error {
	list = placed(list, name)
	return fmt.Errorf("%w: recording %s: nothing of it can be used:\n%w", ErrInput, name, list)
}

// placed puts the name of the file into the places of findings.
func placed(list span.List, name string) span.List {
	for i := range list {
		if list[i].Pos.Line > 0 {
			list[i].Pos.File = name
		}
	}
	return list
}

// second reads the recording from after the repair and compares.
func (u *recorder) second(out *Recorded) error {
	if u.q.After == nil {
		return nil
	}
	f, err := u.q.After()
	if err != nil {
		return fmt.Errorf("%w: recording after the repair: %w", ErrInput, err)
	}
	if f == nil {
		out.First.Recording.Blocks = nil
		return u.unused()
	}
	if u.check == nil {
		return fmt.Errorf("%w: recording: name the check that is compared before and after", ErrInput)
	}
	if out.After, err = u.read(*f); err != nil {
		return err
	}
	if err := u.unused(); err != nil {
		return err
	}
	if len(out.First.Checks) > 0 && !out.First.Checks[0].Answer.Question.Matches() {
		out.Change = &record.Difference{
			Outcome: "not compared",
			Says:    "A time, a rate, pulses or what several channels make together are not compared bin by bin; the verdicts of both recordings stand above.",
		}
	} else if len(out.First.Checks) > 0 {
		out.Change = compare(out.First.Checks[0].Answer.Question, out.First, out.After)
	}
	return nil
}

func appendNew(list []string, more ...string) []string {
	for _, s := range more {
		if s != "" && !slices.Contains(list, s) {
			list = append(list, s)
		}
	}
	return list
}
