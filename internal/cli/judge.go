package cli

import (
	"fmt"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/reading"
)

// judgeCmd says whether readings are good.
type judgeCmd struct {
	machineFlags
	Readings []string `arg:"" optional:"" name:"reading" sep:"none" help:"Check, colon, values and conditions, such as \"T35: right 38 kΩ, left > 10 MΩ, unplugged, by insulation\". Taken at another point of the line: \"T58 at EL01: 0.62 Ω, unplugged\". A check alone, such as T35, says what it takes and which instrument is good enough."`
	Budget   bool     `help:"Show every source of uncertainty."`
	recordingFlags
}

// Help stands under the usage of judge.
func (judgeCmd) Help() string {
	return "A reading is conforming, non-conforming, too close to call, or not comparable because the conditions of its limit are not met or not known. " +
		"Several readings are judged one by one; the exit status is that of the gravest: non-conforming, then too close to call, then not comparable.\n\n" +
		"A recording is judged in the stretches in which the conditions held steadily, never on a lone sample. What was guessed of its channels is said, until you settle it.\n\n" + exitHelp()
}

// judgeAnswer is the JSON of judge.
type judgeAnswer struct {
	Variant  string        `json:"variant,omitempty" says:"the variant"`
	Readings []judgeLine   `json:"readings" says:"each reading with its verdict, in the order given"`
	Checks   []enoughCheck `json:"checks" says:"checks named without a reading: what they take"`

	Recording *recordedAnswer `json:"recording,omitempty" says:"what a logger wrote, judged"`
}

type judgeLine struct {
	Check       guide.ID        `json:"check" says:"the check"`
	Name        string          `json:"name" says:"what it measures"`
	Text        string          `json:"text" says:"the reading as given"`
	Outcome     reading.Outcome `json:"outcome" says:"conforming, non-conforming, too close to call or not comparable"`
	Would       reading.Outcome `json:"would" says:"what it would be if every condition held"`
	Says        string          `json:"says" says:"the verdict in one sentence"`
	Rule        string          `json:"rule" says:"how it was decided"`
	At          string          `json:"at,omitempty" says:"where it was taken, when that is not the point of the check that was named"`
	Asked       guide.ID        `json:"asked,omitempty" says:"the check that was named, when the reading was taken elsewhere"`
	Carried     []string        `json:"carried,omitempty" says:"how the limit of that point was had"`
	Parts       []judgePart     `json:"parts" says:"each limit held against each value"`
	Conditions  []judgeState    `json:"conditions" says:"how the conditions stand"`
	Corrections []string        `json:"corrections" says:"what was done to the values before they were judged"`
	Refused     []string        `json:"refused" says:"limits of another point or variant"`
	Question    string          `json:"question,omitempty" says:"what looks like a slip"`
	Missing     []string        `json:"missing" says:"what to say or measure for a full verdict"`
	Unused      []string        `json:"unused" says:"what was said and served for nothing"`
	Anyway      string          `json:"anyway,omitempty" says:"what is learned although it is not comparable"`
	Remarks     []string        `json:"remarks" says:"anything else worth knowing"`
}

type judgePart struct {
	Part        string          `json:"part,omitempty" says:"which value"`
	Item        guide.ID        `json:"item,omitempty" says:"the item it is of"`
	Limit       string          `json:"limit" says:"the limit"`
	Value       string          `json:"value,omitempty" says:"the value as judged, after corrections"`
	Margin      string          `json:"margin,omitempty" says:"distance to the nearest bound, negative outside"`
	Outcome     reading.Outcome `json:"outcome" says:"verdict on this one"`
	Probability float64         `json:"probability" says:"of conformance"`
	Standard    float64         `json:"standard" says:"combined standard uncertainty, in unit"`
	Expanded    float64         `json:"expanded" says:"expanded uncertainty, 95 %, in unit"`
	Unit        string          `json:"unit,omitempty" says:"unit of the uncertainty"`
	Sources     []judgeSource   `json:"sources" says:"the uncertainty budget"`
}

type judgeSource struct {
	Name  string        `json:"name" says:"source of uncertainty"`
	Shape reading.Shape `json:"shape" says:"distribution"`
	Share float64       `json:"share" says:"its share of the standard uncertainty, in the unit of the part"`
}

type judgeState struct {
	Clause string          `json:"clause" says:"the condition, as the guide has it"`
	State  reading.Holding `json:"state" says:"met, not met, not known or assumed"`
	Off    string          `json:"off,omitempty" says:"by how much it is missed"`
}

type enoughCheck struct {
	Check   guide.ID     `json:"check" says:"the check"`
	Name    string       `json:"name" says:"what it measures"`
	At      string       `json:"at" says:"measuring point"`
	Limits  []string     `json:"limits" says:"limits"`
	When    []string     `json:"when" says:"conditions"`
	Fitness []enoughLine `json:"instruments" says:"instruments here, by limit"`
}

type enoughLine struct {
	Limit      string   `json:"limit" says:"the limit"`
	Instrument string   `json:"instrument,omitempty" says:"empty when nothing here serves"`
	Enough     bool     `json:"enough" says:"a good part gets a clear verdict often enough"`
	Clear      float64  `json:"clear" says:"probability that a good part gets a clear verdict"`
	Ratio      float64  `json:"ratio" says:"expanded uncertainty over half the width of the limit"`
	Says       string   `json:"says" says:"in one sentence"`
	Remarks    []string `json:"remarks" says:"anything else worth knowing"`
}

// Run judges and prints.
func (c *judgeCmd) Run(r *run) error {
	a, err := r.open()
	if err != nil {
		return err
	}
	q := app.Ask{Guide: r.guideName(c.Machine, a), Machine: c.Machine, Variant: c.Variant}
	var done []*app.Judgement
	var walks []*app.Walk
	var texts []string
	for _, text := range c.Readings {
		if !strings.Contains(text, ":") {
			w, err := a.Walk(q, strings.TrimSpace(text))
			if err != nil {
				return err
			}
			walks = append(walks, w)
			continue
		}
		j, err := a.Judge(q, text)
		if err != nil {
			return err
		}
		done, texts = append(done, j), append(texts, text)
		r.exit = graver(r.exit, exitOfVerdict(j.Verdict.Outcome))
	}
	recorded, err := c.recorded(r, a, q)
	if err != nil {
		return err
	}
	if len(done)+len(walks) == 0 && recorded == nil {
		return fmt.Errorf("%w: nothing to judge: give a reading, such as \"T35: 38 kΩ\", or --recording", errUsage)
	}
	if r.cli.JSON {
		out := judgeJSON(done, texts, walks)
		if recorded != nil {
			out.Variant, out.Recording = recorded.Variant, recordedJSON(recorded)
		}
		return r.json(out)
	}
	p := r.page()
	for _, w := range walks {
		p.walk(w)
	}
	for i, j := range done {
		p.judged(j, texts[i], c.Budget)
	}
	if recorded != nil {
		p.recorded(recorded, c.Budget)
	}
	return r.show(p)
}

// recorded judges the recording, if one was named.
func (c *judgeCmd) recorded(r *run, a UseCases, q app.Ask) (*app.Recorded, error) {
	if ok, err := c.given(); !ok || err != nil {
		return nil, err
	}
	out, err := c.record(a, q)
	if err == nil {
		r.exit = graver(r.exit, exitOfVerdict(out.Outcome))
	}
	return out, err
}

// exitOfVerdict returns the exit status of a verdict.
func exitOfVerdict(o reading.Outcome) Exit {
	switch o {
	case reading.Conforming:
		return Done
	case reading.NonConforming:
		return NonConforming
	case reading.TooClose:
		return TooClose
	case reading.NotComparable:
		return NotComparable
	}
	return Internal
}

// graver returns the graver of two exit statuses of verdicts.
func graver(a, b Exit) Exit {
	for _, e := range []Exit{Internal, NonConforming, TooClose, NotComparable} {
		if a == e || b == e {
			return e
		}
	}
	return Done
}
