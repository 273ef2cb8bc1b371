package app

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/joint"
	"elbowroom/quantity"
)

// BareTorque is what can be said of a thread by itself, without a guide: what
// it stands, what a torque does to it, and which wrench to take.
type BareTorque struct {
	Text     string
	Joint    guide.Joint
	Threaded bool // a thread was named; else only a torque
	Fastener joint.Fastener
	Standard NewtonMetresAt // torque at 90 % of the yield point; zero when the class is not known
	Band     joint.Band
	Banded   bool // Band holds; false for a material that neither standard covers
	Stages   []BareStage
	Use      *joint.Assessment // of the last torque; nil without one
	Engaged  joint.Millimetres // length of thread in engagement; 0 when not given
	Next     joint.Next
	Findings []TorqueFinding
	Unit     string
	Day      string
}

// NewtonMetresAt is a torque for one coefficient of friction.
type NewtonMetresAt struct {
	Torque   joint.NewtonMetres
	Preload  joint.Newtons
	Friction float64
}

// BareStage is a stage with the tool for it.
type BareStage struct {
	TorqueStage
	Exact joint.NewtonMetres
}

// BareThread reports whether a text speaks of a thread, or of nothing but a
// torque, rather than of an item: it begins with M and a digit, or is a torque.
func BareThread(text string) bool {
	text = strings.TrimSpace(text)
	if len(text) > 1 && text[0] == 'M' && text[1] >= '0' && text[1] <= '9' {
		return true
	}
	_, err := torqueValue(text)
	return err == nil
}

// Fastener says what a thread stands and what a torque does to it. The text is
// like "M8 8.8 dry 22 N·m into aluminium engaged 12 mm": the thread first, then
// class or material, state, torque, mating material, engagement and a
// coefficient of friction in any order; or a torque alone, of which only the
// wrench is sought. Errors wrap ErrInput.
func (a *App) Fastener(q TorqueAsk, text string) (*BareTorque, error) {
	k, err := a.torqueTerms(q)
	if err != nil {
		return nil, err
	}
	w, err := readBare(text)
	if err != nil {
		return nil, err
	}
	b := &BareTorque{Text: text, Joint: w.joint, Engaged: w.engaged, Unit: k.unit, Day: k.day}
	if b.Threaded = b.Joint.Thread != ""; b.Threaded {
		if b.Fastener, err = joint.Of(&b.Joint); err != nil {
			return nil, fmt.Errorf("%w: thread: %w", ErrInput, err)
		}
		b.Fastener.Fitted = false // a bare thread is taken for a screw
		if w.friction > 0 {
			b.Fastener.Friction = joint.Friction{Low: w.friction, High: w.friction}
		}
		b.Band, b.Banded = joint.Plausible(b.Fastener)
		b.standard()
	}
	m := a.torqueMaker(&guide.Resolved{Guide: &guide.Guide{}}, nil, "", k)
	l := TorqueLine{Number: 1, Joint: b.Joint}
	m.stages(&l)
	for _, st := range l.Stages {
		b.Stages = append(b.Stages, BareStage{st, st.Torque})
	}
	b.Next = joint.NextTime("", b.Joint.Stages)
	b.Findings = l.Findings
	b.assess()
	return b, nil
}

// standard works out the torque of VDI 2230 at the mean friction.
func (b *BareTorque) standard() {
	s, ok := joint.StrengthOf(b.Fastener.Class, b.Fastener.Thread.Diameter)
	if !ok {
		return
	}
	mu := (b.Fastener.Friction.Low + b.Fastener.Friction.High) / 2
	force := joint.Preload(b.Fastener.Thread, s, mu, joint.Utilisation)
	b.Standard = NewtonMetresAt{joint.Torque(b.Fastener.Thread, force, mu), force, mu}
}

func (b *BareTorque) assess() {
	torques := joint.Torques(b.Joint.Stages)
	if len(torques) == 0 || !b.Threaded {
		return
	}
	deviation := usualDeviation
	if f := b.Stages[len(b.Stages)-1].Choice.Best(); f != nil {
		deviation = f.Wrench.Permissible()
	}
	a := joint.Assess(b.Fastener, torques[len(torques)-1], b.Joint.State, joint.Angled(b.Joint.Stages), b.Joint.Into, deviation)
	b.Use = &a
	if says := a.Finding(lastUnit(&b.Joint)); says != "" {
		b.Findings = append(b.Findings, TorqueFinding{TorqueDoubtful, says, "check the value and its unit"})
	}
	engaged := b.Engaged
	if engaged == 0 && len(b.Joint.Lengths) > 0 {
		engaged = joint.Millimetres(slices.Min(b.Joint.Lengths))
	}
	if says := a.Short(engaged); says != "" {
		b.Findings = append(b.Findings, TorqueFinding{ThreadShort, says, "take a longer screw, a lower torque or a steel thread insert"})
	}
}

// bareWords is the text of a bare thread, read.
type bareWords struct {
	joint    guide.Joint
	head     []string
	into     []string
	stages   []string
	state    guide.State
	engaged  joint.Millimetres
	friction float64
}

const expectBare = "write it like M8 8.8 dry 22 N·m into aluminium engaged 12 mm: the thread first, the rest in any order"

// readBare reads the words of a bare thread. The error wraps ErrInput.
func readBare(text string) (*bareWords, error) {
	if len(text) > maxText {
		return nil, fmt.Errorf("%w: thread: longer than %d characters", ErrInput, maxText)
	}
	w := &bareWords{}
	if v, err := torqueValue(text); err == nil {
		w.joint = guide.Joint{Count: 1, Stages: []guide.Stage{{Torque: v}}, Torque: guide.Given}
		return w, nil
	}
	words := strings.Fields(strings.NewReplacer(",", " ", "+", " + ").Replace(text))
	for i := 0; i < len(words); {
		n, err := w.word(words[i:], i == 0)
		if err != nil {
			return nil, fmt.Errorf("%w: %q: %w; %s", ErrInput, text, err, expectBare)
		}
		i += n
	}
	return w, w.parse(text)
}

// parse puts the words in the order of a guide's short form and reads that.
func (w *bareWords) parse(text string) error {
	form := "1 x " + strings.Join(w.head, " ")
	if len(w.into) > 0 {
		form += " into " + strings.Join(w.into, " ")
	}
	if len(w.stages) > 0 {
		form += ", " + strings.Join(w.stages, " + ")
	}
	if w.state != "" {
		form += ", " + string(w.state)
	}
	j, err := guide.Parse[guide.Joint](form)
	if err != nil {
		return fmt.Errorf("%w: %q: %w; %s", ErrInput, text, err, expectBare)
	}
	w.joint = j
	return nil
}

// word reads what the words begin with and returns how many it took.
func (w *bareWords) word(words []string, first bool) (int, error) {
	s := words[0]
	switch {
	case first:
		w.head = append(w.head, s)
		return 1, nil
	case s == "+":
		if len(w.stages) == 0 || len(words) < 2 {
			return 0, errors.New("a plus stands between two stages")
		}
		return 1, nil
	case slices.Contains(threadStates, guide.State(s)):
		if w.state != "" {
			return 0, fmt.Errorf("%s and %s: threads are in one state", w.state, s)
		}
		w.state = guide.State(s)
		return 1, nil
	case s == "into":
		return w.material(words)
	case s == "engaged":
		return w.length(words)
	case s == "friction":
		return w.rubbing(words)
	}
	if v, n := stageWords(words); n > 0 {
		w.stages = append(w.stages, v)
		return n, nil
	}
	w.head = append(w.head, s)
	return 1, nil
}

// stageWords reads "22 N·m", "22Nm" or "90°" and returns how many words it
// took; 0 when the words are no stage.
func stageWords(words []string) (string, int) {
	for n := 1; n <= 3 && n <= len(words); n++ {
		v, err := quantity.Parse(strings.Join(words[:n], " "))
		if err == nil && (v.Dimension() == quantity.Torque || v.Dimension() == quantity.Angle) {
			return v.String(), n
		}
	}
	return "", 0
}

// keywords end the name of a mating material.
var bareKeywords = []string{"engaged", "friction", "into", "+", "dry", "oiled", "thread-locked"}

func (w *bareWords) material(words []string) (int, error) {
	n := 1
	for n < len(words) && !slices.Contains(bareKeywords, words[n]) && !strings.ContainsAny(words[n][:1], "0123456789") {
		w.into = append(w.into, words[n])
		n++
	}
	if n == 1 {
		return 0, errors.New("into what: the mating material is missing")
	}
	return n, nil
}

func (w *bareWords) length(words []string) (int, error) {
	for n := min(3, len(words)); n > 1; n-- {
		if mm, err := adapterLength("engaged", strings.Join(words[1:n], " ")); err == nil {
			w.engaged = mm
			return n, nil
		}
	}
	return 0, errors.New("engaged: a length is missing, such as 12 mm")
}

// Friction that metal on metal can have at all; beyond it a decimal point has
// slipped.
const (
	leastFriction = 0.03
	mostFriction  = 0.6
)

func (w *bareWords) rubbing(words []string) (int, error) {
	if len(words) < 2 {
		return 0, errors.New("friction: the coefficient is missing, such as 0.12")
	}
	v, err := quantity.Parse(words[1])
	if err != nil || v.Unit != "1" || !(v.Number >= leastFriction) || v.Number > mostFriction {
		return 0, fmt.Errorf("friction: %s is no coefficient from %g to %g", words[1], leastFriction, mostFriction)
	}
	w.friction = v.Number
	return 2, nil
}
