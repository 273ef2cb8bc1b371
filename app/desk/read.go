package desk

import (
	"context"
	"fmt"
	"strings"

	"elbowroom/app"
	"elbowroom/joblog"
	"elbowroom/reading"
)

// verdictWords are the verdicts of package reading as events have them.
var verdictWords = map[reading.Outcome]joblog.Verdict{
	reading.Conforming: joblog.Conforming, reading.NonConforming: joblog.NonConforming,
	reading.TooClose: joblog.TooClose, reading.NotComparable: joblog.NotComparable,
}

// Read takes a reading as text ("T35: 38 kΩ, unplugged"), judges it, and adds
// both to the job.
func (d *Desk) Read(ctx context.Context, who Who, job joblog.Job, text string) (*app.Judgement, error) {
	defer d.writing(who.Place, job)()
	o, err := d.open(ctx, who, job)
	if err != nil {
		return nil, err
	}
	a, err := d.App(ctx, who.Place)
	if err != nil {
		return nil, err
	}
	q, err := o.asks(a, app.Ask{})
	if err != nil {
		return nil, err
	}
	j, err := a.Judge(q, text)
	if err != nil {
		return nil, err
	}
	_, said, ok := strings.Cut(text, ":")
	if !ok {
		return nil, fmt.Errorf("%w: reading %q: begin with the check that it was taken for, such as T35: 38 kΩ", app.ErrInput, text)
	}
	taken := &joblog.ReadingTaken{Text: strings.TrimSpace(said), Check: j.Check.ID}
	if j.Elsewhere != nil {
		taken.Point = j.Reading.Point
	}
	now := d.now()
	first, err := d.compose(o, now, taken)
	if err != nil {
		return nil, err
	}
	verdict := &joblog.VerdictRecorded{Of: o.latest(), Verdict: verdictWords[j.Verdict.Outcome], Why: cut(j.Verdict.Says, joblog.MaxName)}
	second, err := d.compose(o, now, verdict)
	if err != nil {
		return nil, err
	}
	return j, d.add(ctx, o, append(first, second...))
}
