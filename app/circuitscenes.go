package app

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/circuit"
	"elbowroom/guide"
	"elbowroom/quantity"
)

// scene is a state in which the wiring is worked out.
type scene struct {
	says   string
	state  circuit.State
	solved *circuit.Solution
}

// Temperatures that a sensor is taken at when nobody says how warm it is: a
// cold and a warm engine.
var (
	coldSensor = quantity.Of(20, "°C")
	warmSensor = quantity.Of(90, "°C")
)

// scenes settles in which states the wiring is looked at: in one where all is
// said that matters, else with every sensor at a low and at a high value.
func (w *wirer) scenes() error {
	base, err := w.given()
	if err != nil {
		return err
	}
	low, high := base, base
	low.Sensed, high.Sensed = cloneSensed(base.Sensed), cloneSensed(base.Sensed)
	var cold, warm []string
	for i := range w.g.Nodes {
		n := &w.g.Nodes[i]
		if _, said := base.Sensed[n.On]; said || n.Sort != guide.SensingNode {
			continue
		}
		from, to, ok := ends(w.in.r, n.Law)
		if !ok {
			continue
		}
		low.Sensed[n.On], high.Sensed[n.On] = from, to
		cold, warm = append(cold, fmt.Sprintf("%s at %s", n.On, from)), append(warm, fmt.Sprintf("%s at %s", n.On, to))
	}
	list := []scene{{says: saidOf(w.out.Asked.Given), state: base}}
	if len(cold) > 0 {
		list = []scene{{says: strings.Join(cold, ", "), state: low}, {says: strings.Join(warm, ", "), state: high}}
	}
	for i := range list {
		if list[i].solved, err = w.g.Solve(list[i].state); err != nil {
			return fmt.Errorf("%w: %w", ErrInput, err)
		}
		w.out.Scenes = append(w.out.Scenes, list[i].says)
	}
	w.shots, w.state = list, list[len(list)-1].state
	w.supposed()
	return nil
}

// sagging makes an example of another voltage.
const sagging = 0.95

// supposed says what the expected values rest on.
func (w *wirer) supposed() {
	for i := range w.g.Nodes {
		n := &w.g.Nodes[i]
		if _, said := w.state.Volts[n.On]; n.Feeds && !said && !slices.Contains(w.state.Off, n.On) {
			w.assume("%s gives %s, as the guide has it; what was measured there counts more: %s %.1f V", w.g.Label(i), n.Volt, n.On, sagging*float64(n.Volt))
		}
	}
	solved := w.shots[len(w.shots)-1].solved
	if solved.Quiet != "" {
		w.note("no voltages: %s", solved.Quiet)
	}
	for _, n := range solved.Notes {
		w.assume("%s", n)
	}
	w.assume("voltages are against the negative of the battery, everything plugged in and switched on")
}

func cloneSensed(m map[guide.ID]quantity.Value) map[guide.ID]quantity.Value {
	out := map[guide.ID]quantity.Value{}
	for k, v := range m {
		out[k] = v
	}
	return out
}

func saidOf(given []string) string {
	if len(given) == 0 {
		return "as the guide has it"
	}
	return join(given)
}

// ends are the two values that a sensor is looked at when nobody says what it
// senses: a cold and a warm engine for temperatures, the ends of its law for
// everything else.
func ends(r *guide.Resolved, id guide.ID) (low, high quantity.Value, ok bool) {
	for _, l := range r.Guide.Laws {
		if l.ID != id || id == "" {
			continue
		}
		if l.Lowest.Zero() || l.Highest.Zero() {
			return low, high, false
		}
		if l.Lowest.Dimension() != quantity.Temperature {
			return l.Lowest, l.Highest, true
		}
		return clamp(coldSensor, l), clamp(warmSensor, l), true
	}
	return low, high, false
}

func clamp(v quantity.Value, l guide.Law) quantity.Value {
	switch {
	case v.SI() < l.Lowest.SI():
		return l.Lowest
	case v.SI() > l.Highest.SI():
		return l.Highest
	}
	return v
}

// given reads what holds while the wiring is looked at.
func (w *wirer) given() (circuit.State, error) {
	s := circuit.State{Sensed: map[guide.ID]quantity.Value{}, Volts: map[guide.ID]circuit.Volts{}}
	for i, text := range w.out.Asked.Given {
		if err := w.say(&s, strings.TrimSpace(text)); err != nil {
			return s, fmt.Errorf("%w: given %d: %q: %w", ErrInput, i+1, text, err)
		}
	}
	return s, nil
}

func (w *wirer) say(s *circuit.State, text string) error {
	name, rest, _ := strings.Cut(text, " ")
	rest = strings.TrimSpace(rest)
	if strings.EqualFold(name, "wires") {
		v, err := quantity.Parse(rest)
		if err != nil || v.Dimension() != quantity.Temperature {
			return fmt.Errorf("write how warm the wires are, such as wires 80 °C")
		}
		s.Copper.At = v
		return nil
	}
	id := guide.ID(strings.ToUpper(name))
	nodes := w.g.On(id)
	if len(nodes) == 0 {
		return fmt.Errorf("nothing of this wiring sits on %s; it has %s", name, joinIDs(w.items()))
	}
	if strings.EqualFold(rest, "off") {
		s.Off = append(s.Off, id)
		return nil
	}
	v, err := quantity.Parse(rest)
	if err != nil {
		return fmt.Errorf("write the item and what holds of it, such as %s 12.6 V, %s 90 °C or %s off", id, id, id)
	}
	return w.value(s, id, nodes, v)
}

// value settles which thing of an item a value speaks of.
func (w *wirer) value(s *circuit.State, id guide.ID, nodes []int, v quantity.Value) error {
	for _, i := range nodes {
		n := &w.g.Nodes[i]
		switch {
		case v.Dimension() == quantity.Voltage && n.Feeds:
			s.Volts[id] = circuit.Volts(v.SI())
			return nil
		case v.Dimension() == quantity.Resistance && !n.Feeds:
			s.Ohms = append(s.Ohms, circuit.Said{Spot: circuit.AtNode(i), Ohm: circuit.Ohms(v.SI())})
			return nil
		case n.Sort == guide.SensingNode && senses(w.in.r, n.Law) == v.Dimension():
			s.Sensed[id] = v
			return nil
		}
	}
	return fmt.Errorf("%s has nothing here that %s could be said of: of a supply say its voltage, of a sensor what it senses, of a load its resistance", id, v)
}

// senses returns what sort of quantity a law turns into a signal; empty for a
// law that the guide does not have.
func senses(r *guide.Resolved, id guide.ID) quantity.Dimension {
	for _, l := range r.Guide.Laws {
		if l.ID == id && id != "" {
			return l.Lowest.Dimension()
		}
	}
	return "none"
}

func joinIDs(ids []guide.ID) string {
	var out []string
	for _, id := range ids {
		out = append(out, string(id))
	}
	return join(out)
}
