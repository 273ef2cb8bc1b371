package cli

import (
	"elbowroom/app"
	"elbowroom/capture"
	"elbowroom/capture/draft"
	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/span"
)

// captureAnswer is the JSON of capture.
type captureAnswer struct {
	Name      string          `json:"name" says:"the narration"`
	Form      string          `json:"form" says:"as what it was read"`
	Words     int             `json:"words" says:"how many words it has"`
	Seconds   float64         `json:"seconds" says:"its length; 0 where it has no times"`
	Speakers  []string        `json:"speakers" says:"who speaks, where the narration says so"`
	Guide     guide.ID        `json:"guide,omitempty" says:"the guide beside which the facts are laid"`
	Facts     []heardFact     `json:"facts" says:"every fact, in the order of the narration"`
	Questions []heardQuestion `json:"questions" says:"what must be asked"`
	Conflicts []heardConflict `json:"conflicts" says:"facts that cannot both hold"`
	Garbled   []heardPassage  `json:"garbled" says:"passages that were not understood; nothing was taken from them"`
	Left      []heardPassage  `json:"left" says:"numbers that belong to nothing"`
	Refused   []heardRefusal  `json:"refused" says:"decisions that cannot be carried out"`
	Findings  span.List       `json:"findings" says:"what is doubtful about the text: times out of order and the like"`
}

type heardFact struct {
	ID         string         `json:"id" says:"stable name of the fact, for decisions"`
	Item       string         `json:"item" says:"the thing as it was called"`
	Kind       capture.Kind   `json:"kind" says:"what the fact says: count, thread, drive, torque, needs and so on"`
	Value      string         `json:"value" says:"the value in words"`
	Low        quantity.Value `json:"low,omitempty" says:"lower end of a value with a unit; the same as high for a single one"`
	High       quantity.Value `json:"high,omitempty" says:"upper end"`
	For        string         `json:"for,omitempty" says:"variant in words"`
	When       []string       `json:"when" says:"conditions of a reading"`
	Grade      string         `json:"grade" says:"first-hand, hearsay or guess"`
	Who        string         `json:"who,omitempty" says:"whom the narrator quotes"`
	Confidence float64        `json:"confidence" says:"from 0 to 1"`
	Because    []string       `json:"because" says:"what lowers the confidence"`
	TookBack   string         `json:"took_back,omitempty" says:"what was said first and corrected"`
	Off        []string       `json:"off" says:"what stood off, aside or open at that moment"`
	At         heardMoment    `json:"at" says:"where it was said"`
	Again      []heardMoment  `json:"again" says:"where it was said again"`
	Status     draft.Status   `json:"status" says:"beside the guide: new, agrees, contradicts, which, heard"`
	On         []guide.ID     `json:"on" says:"items of the guide that it is about, or the one to be made"`
	Has        string         `json:"has,omitempty" says:"what the guide says now"`
	By         string         `json:"by,omitempty" says:"who says what the guide says"`
}

type heardMoment struct {
	Seconds float64  `json:"seconds" says:"begin of the cue; 0 where there are no times"`
	End     float64  `json:"end" says:"end of the cue"`
	Cue     int      `json:"cue" says:"number of the cue, from 0"`
	Pos     span.Pos `json:"pos" says:"place in the text"`
	Said    string   `json:"said" says:"the words"`
	Speaker string   `json:"speaker,omitempty" says:"who said it"`
}

type heardQuestion struct {
	ID   string   `json:"id" says:"stable name of the question"`
	Item string   `json:"item,omitempty" says:"the thing"`
	Gap  string   `json:"gap" says:"torque, count, choice, number, unit, alternative, side, which or detail"`
	Asks string   `json:"asks" says:"the question"`
	On   []string `json:"on" says:"facts concerned"`
}

type heardConflict struct {
	A    string `json:"a" says:"a fact"`
	B    string `json:"b" says:"the fact that says otherwise"`
	Says string `json:"says" says:"both, with their times"`
}

type heardPassage struct {
	At  heardMoment `json:"at" says:"where it was said"`
	Why string      `json:"why" says:"why nothing was taken"`
}

type heardRefusal struct {
	Place int    `json:"place" says:"number in the list of decisions, from 0"`
	Says  string `json:"says" says:"why it cannot be carried out"`
}

// captureJSON turns what a narration gave into its JSON.
func captureJSON(c *app.Narrated) captureAnswer {
	r := c.Report
	a := captureAnswer{
		Name: c.Name, Form: string(r.Form), Words: r.Words, Seconds: r.Length.Seconds(), Speakers: list(r.Speakers), Findings: c.Findings,
		Facts: []heardFact{}, Questions: []heardQuestion{}, Conflicts: []heardConflict{}, Garbled: passagesJSON(r.Garbled), Left: passagesJSON(r.Left), Refused: []heardRefusal{},
	}
	if a.Findings == nil {
		a.Findings = span.List{}
	}
	if c.Guide != nil {
		a.Guide = c.Guide.ID
	}
	for i := range r.Facts {
		a.Facts = append(a.Facts, factJSON(&r.Facts[i], c.Sheet.Proposal(r.Facts[i].ID)))
	}
	for _, q := range r.Questions {
		a.Questions = append(a.Questions, heardQuestion{q.ID, q.Item, q.Gap, q.Asks, list(q.On)})
	}
	for _, x := range r.Conflicts {
		a.Conflicts = append(a.Conflicts, heardConflict(x))
	}
	for _, x := range c.Refused {
		a.Refused = append(a.Refused, heardRefusal(x))
	}
	return a
}

func list(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func factJSON(f *capture.Fact, p *draft.Proposal) heardFact {
	h := heardFact{
		ID: f.ID, Item: f.Item.Name, Kind: f.Kind, Value: f.Value.Text, Low: f.Value.Low, High: f.Value.High, For: f.For, When: list(f.When),
		Grade: string(f.Grade), Who: f.Who, Confidence: f.Confidence, Because: list(f.Because), TookBack: f.TookBack, Off: list(f.In),
		At: momentJSON(f.At), Again: []heardMoment{}, Status: p.Status, On: p.On, Has: p.Has, By: p.By,
	}
	if h.On == nil {
		h.On = []guide.ID{}
	}
	for _, m := range f.Again {
		h.Again = append(h.Again, momentJSON(m))
	}
	return h
}

func momentJSON(m capture.Moment) heardMoment {
	return heardMoment{m.Start.Seconds(), m.End.Seconds(), m.Cue, m.Pos, m.Said, m.Speaker}
}

func passagesJSON(in []capture.Passage) []heardPassage {
	out := []heardPassage{}
	for _, x := range in {
		out = append(out, heardPassage{momentJSON(x.At), x.Why})
	}
	return out
}
