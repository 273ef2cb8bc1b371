package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"elbowroom/app"
	"elbowroom/reading/record"
)

// recordingFlags say what a logger wrote and how it is meant.
type recordingFlags struct {
	Recording string   `placeholder:"FILE" help:"Table that a logger wrote (CSV or alike) or a capture of a CAN bus, judged in every stretch in which the conditions held steadily."`
	After     string   `placeholder:"FILE" help:"A second one, from after the repair: compared with the first under like conditions, and judged."`
	Check     string   `placeholder:"CHECK" help:"What the recording is judged on, such as T50; without it, every check whose channels are found."`
	Judged    string   `placeholder:"MEANING" help:"What is judged, where the name of the check does not tell: \"rail pressure\", \"commanded minus rail pressure\", \"lambda right, lambda left\", \"time until coolant 82 °C\", \"time from flap 5 % to flap 95 %\", \"pattern of signal\"; or rate, drop, rise, duty, frequency, least or most of a channel."`
	Channel   []string `placeholder:"C=MEANING" sep:"none" help:"What a channel is: \"ECT=coolant °C\", \"Temp [°C] (2)=nothing\"."`
	Channels  string   `placeholder:"FILE" help:"Keeps what was settled of channels, once for each source; made when it is not there."`
	Said      []string `placeholder:"WORDS" sep:"none" help:"A condition that you say held: \"full load\", \"fan off\"."`
	Match     []string `placeholder:"WIDTH" sep:"none" help:"What must be alike before and after, and how near: \"speed 250 rpm\"."`
	Draw      []string `placeholder:"CHANNEL" sep:"none" help:"A further channel to draw."`
	Plot      string   `placeholder:"FILE" help:"Write the drawing with its stretches, as SVG; of the later recording where there are two."`
}

// mostChannels bounds the file of settled channels, bytes.
const mostChannels = 1 << 20

// given reports whether a recording is to be judged. The error is about flags
// that mean nothing without one.
func (f recordingFlags) given() (bool, error) {
	if f.Recording != "" {
		if f.Plot != "" && f.Check == "" {
			return false, fmt.Errorf("%w: --plot draws one check; name it with --check", errUsage)
		}
		return true, nil
	}
	if f.After+f.Check+f.Judged+f.Channels+f.Plot != "" || len(f.Channel)+len(f.Said)+len(f.Match)+len(f.Draw) > 0 {
		return false, fmt.Errorf("%w: name the recording with --recording", errUsage)
	}
	return false, nil
}

// record reads and judges what the flags name.
func (f recordingFlags) record(a UseCases, q app.Ask) (*app.Recorded, error) {
	first, err := openRecording("--recording", f.Recording)
	if err != nil {
		return nil, err
	}
	defer first.Close()
	ask := app.RecordingAsk{
		Ask: q, Check: f.Check, Judged: f.Judged, Settled: f.Channel, Said: f.Said, Match: f.Match, Plot: f.Draw,
		File: app.RecordingFile{Name: filepath.Base(f.Recording), From: first},
	}
	if ask.Channels, err = readChannels(f.Channels); err != nil {
		return nil, err
	}
	if f.After != "" {
		after, err := openRecording("--after", f.After)
		if err != nil {
			return nil, err
		}
		defer after.Close()
		ask.After = func() (*app.RecordingFile, error) {
			return &app.RecordingFile{Name: filepath.Base(f.After), From: after}, nil
		}
	}
	out, err := a.Recording(ask)
	if err != nil {
		return nil, err
	}
	return out, f.keep(out, ask.Channels)
}

func openRecording(flag, place string) (*os.File, error) {
	f, err := os.Open(place)
	if err == nil {
		var info os.FileInfo
		if info, err = f.Stat(); err == nil && info.IsDir() {
			err = errors.New("it is a folder")
		}
	}
	if err != nil {
		var p *fs.PathError
		if errors.As(err, &p) {
			err = p.Err
		}
		return nil, fmt.Errorf("%w: %s %s: %w", app.ErrInput, flag, place, err)
	}
	return f, nil
}

// readChannels reads the file of settled channels; nothing when it is not
// there yet.
func readChannels(place string) (string, error) {
	if place == "" {
		return "", nil
	}
	info, err := os.Stat(place)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", nil
	case err == nil && (info.IsDir() || info.Size() > mostChannels):
		return "", fmt.Errorf("%w: --channels %s: it is a folder, or larger than %d kB", app.ErrInput, place, mostChannels>>10)
	}
	data, err := os.ReadFile(place)
	if err != nil {
		return "", fmt.Errorf("%w: --channels %s: %w", app.ErrInput, place, err)
	}
	return string(data), nil
}

// keep writes what was settled and drawn.
func (f recordingFlags) keep(out *app.Recorded, before string) error {
	text := func(s string) func(*os.File) error {
		return func(w *os.File) error { _, err := w.WriteString(s); return err }
	}
	if f.Channels != "" && out.Memory != before {
		if err := writeWhole(f.Channels, text(out.Memory)); err != nil {
			return err
		}
	}
	if f.Plot == "" {
		return nil
	}
	of := out.First
	if out.After != nil {
		of = out.After
	}
	return writeWhole(f.Plot, text(of.Checks[0].Plot.SVG("plot", record.Desktop)+"\n"))
}

// recorded lays out recordings and their verdicts.
func (p *page) recorded(r *app.Recorded, budget bool) {
	for _, f := range []*app.RecordingRead{r.First, r.After} {
		if f == nil {
			continue
		}
		for _, k := range f.Checks {
			p.recordedCheck(f.Name, k, budget)
		}
		if len(f.Checks) == 0 {
			p.space()
			p.row("", "", "NOTHING TO JUDGE  "+f.Name, "")
			p.field("Why", "no check of the guide has all its channels in this recording; say what the channels are with --channel, or name the check with --check")
		}
		p.readRecording(f)
	}
	if d := r.Change; d != nil {
		p.head("before and after", d.Outcome)
		p.para("  ", "  ", d.Says)
		p.lines("  alike", alikeTexts(r.Matching))
		p.lines("  guessed", d.Guesses)
	}
}

func (p *page) recordedCheck(file string, k app.RecordedCheck, budget bool) {
	p.space()
	p.row("", "", fmt.Sprintf("%s  %s", strings.ToUpper(string(k.Outcome)), checkText(k.Check)), file)
	if k.Limit != nil {
		p.field("Limit", k.Limit.String())
	}
	if w := k.Answer.Question.Wanted(); w != "" && !k.Answer.Question.Plain() {
		p.field("Judged", w)
	}
	p.field("Verdict", k.Says)
	var rows [][]string
	for _, s := range k.Stretches {
		rows = append(rows, []string{"  " + s.Letter, string(s.Verdict.Outcome), fmt.Sprintf("%.1f..%.1f s", s.Stretch.From, s.Stretch.To), stretchSays(k.Answer.Question, s.Stretch), fmt.Sprintf("lines %d..%d", s.Stretch.First, s.Stretch.Last)})
	}
	p.table(rows)
	if k.Best >= 0 {
		best := k.Stretches[k.Best]
		p.field("Says", best.Verdict.Says)
		p.lines("Conditions", conditionTexts(best.Verdict.Conditions))
		p.lines("Missing", best.Verdict.Missing)
		p.lines("Mind", best.Verdict.Remarks)
		p.field("For a log", best.Entry)
		if budget {
			for _, part := range best.Verdict.Parts {
				p.budget(part)
			}
		}
		return
	}
	for _, s := range k.Answer.Conditions {
		p.field("Condition", standingText(s))
	}
	p.lines("Missing", k.Answer.Missing)
	p.lines("Confirm", k.Answer.Confirm)
	for _, s := range k.Answer.Short {
		p.field("Too short", fmt.Sprintf("%s; %s", stretchText(s), s.Ended))
	}
}

// alikeTexts says what was kept alike before and after.
func alikeTexts(m record.Matching) []string {
	var out []string
	for _, b := range m.By {
		out = append(out, fmt.Sprintf("%s within %g %s", b.Meaning, b.Width, b.Unit))
	}
	return out
}

func stretchText(s record.Stretch) string {
	return fmt.Sprintf("%.1f..%.1f s, lines %d..%d", s.From, s.To, s.First, s.Last)
}

// stretchSays is the figure of a stretch: its mean, or in words what else it
// was asked for.
func stretchSays(q record.Question, s record.Stretch) string {
	if q.Matches() || len(q.Beside) > 0 {
		text := statsText(s.Judged)
		for _, b := range s.Beside {
			text += "; " + statsText(b)
		}
		return text
	}
	return s.Told(q)
}

func statsText(s record.Stats) string {
	return strings.TrimSpace(fmt.Sprintf("%.5g ± %.2g %s", s.Mean, 2*s.Uncertainty, s.Unit))
}

func standingText(s record.Standing) string {
	return fmt.Sprintf("%s: met for %.0f of %.0f s; it went from %s to %s", s.Clause, s.Met, s.Known, s.Least, s.Most)
}

// readRecording lays out how a file was read: form, channels, counts,
// findings.
func (p *page) readRecording(f *app.RecordingRead) {
	rec := f.Recording
	p.head(f.Name, fmt.Sprintf("%s, %.1f s", rec.Outcome, rec.Seconds))
	if f.Captured != nil {
		p.field("Capture", f.Captured.Says)
	}
	p.field("Form", formText(rec.Format))
	p.field("Lines", pairText(app.LinesOf(rec.Counts)))
	p.field("Cells", pairText(app.CellsOf(rec.Counts)))
	p.field("Time", pairText(app.TimesOf(rec.Counts)))
	var rows [][]string
	for _, c := range f.Mapping.Channels {
		name, is, guess := app.ChannelText(c)
		rows = append(rows, []string{"  " + name, is, guess})
	}
	if len(rows) > 0 {
		p.table(append([][]string{{"  channel", "is", "guessed, settle it with --channel"}}, rows...))
	}
	for i, x := range rec.Findings {
		if i == mostFindings {
			p.line(fmt.Sprintf("  and %d more, with --json", len(rec.Findings)-mostFindings))
			break
		}
		p.finding(x)
	}
}

func formText(f record.Format) string {
	text := fmt.Sprintf("%s, %s between cells, decimal %s, values from line %d", f.Encoding, app.SignText(f.Delimiter), app.SignText(f.Decimal), f.First)
	return text + "; time: " + app.ClockText(f)
}

func pairText(list []app.Counted) string {
	var parts []string
	for _, c := range list {
		parts = append(parts, fmt.Sprintf("%d %s", c.N, c.What))
	}
	return strings.Join(parts, ", ")
}
