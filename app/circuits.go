package app

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"elbowroom/circuit"
	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/span"
	"elbowroom/suspect"
)

// Wires is a question about the wiring of a machine, beside what is known of
// its trouble. Every field may be empty.
type Wires struct {
	Of       string   // circuits by ID, parted by commas, or an item by ID or any name; empty: what matters to the job
	Given    []string // what holds meanwhile: "EL02 12.6 V", "SE03 90 °C", "EL06 off", "wires 80 °C"
	Measured []string // drops along a path: "EL05 supply side 13.6 V", "EL02 to EL05 supply side 2.71 V", "7.2 A"
}

// Wiring is what a circuit does and where it can be measured, for a job as it
// stands.
type Wiring struct {
	Inquiry
	Asked  Wires
	Graph  *circuit.Graph // nil when no circuit was named and none is under suspicion
	Shown  []CircuitLine  // what the graph is made of
	Others []CircuitLine  // the other circuits of the guide, those that matter first

	Scenes    []string // the states that the expected values are of, in words
	Points    []WirePoint
	Suspect   []circuit.Spot // places under suspicion
	Splits    []SplitLine
	Faults    []FaultLine
	Elsewhere []Entry // readings about this wiring that were not taken at one of its points
	Located   *Located
	Assumes   []string
	Notes     []string
}

// CircuitLine is one circuit with why it matters.
type CircuitLine struct {
	ID       guide.ID
	Name     string
	Share    float64  // of the suspicion that lies on its items
	Suspects []string // likeliest first
	Next     bool     // the next check measures on it
}

// Bounds of what is drawn and listed.
const (
	mostDrawn    = 4    // circuits joined in one answer
	leastShare   = 0.02 // of suspicion for a circuit to be shown unasked
	nearlyAlike  = 0.5  // a circuit with this part of the leader's share is shown beside it
	mostSuspects = 3    // named beside a circuit
)

// Circuits lists the circuits of the guide, those first that matter most to
// what is suspected and to the next check, which may be nil.
func Circuits(q *Inquiry, check *guide.Check) []CircuitLine {
	var out []CircuitLine
	for _, c := range q.Resolved.Guide.Circuits {
		l := CircuitLine{ID: c.ID, Name: c.Name}
		for _, s := range q.Belief.Suspects {
			if s.On == "" || !sits(c, s.On) || s.Repaired {
				continue
			}
			l.Share += s.Share
			if len(l.Suspects) < mostSuspects && s.Share >= leastShare {
				l.Suspects = append(l.Suspects, fmt.Sprintf("%s (%s) %.0f %%", s.Name, s.On, 100*s.Share))
			}
		}
		l.Next = check != nil && slices.ContainsFunc(check.On, func(id guide.ID) bool { return sits(c, id) })
		out = append(out, l)
	}
	slices.SortStableFunc(out, func(a, b CircuitLine) int {
		return cmp.Or(cmp.Compare(b.Share, a.Share), -cmp.Compare(rankNext(a), rankNext(b)))
	})
	return out
}

func rankNext(l CircuitLine) int {
	if l.Next {
		return 1
	}
	return 0
}

// Matters reports whether a circuit is worth showing unasked.
func (l CircuitLine) Matters() bool { return l.Share >= leastShare }

// Circuit says what a wiring should do, where it can be measured and what it
// takes to get there from how the machine stands, what the readings of the job
// say of it, and where to look next. Errors wrap ErrInput or ErrUnknown.
func (a *App) Circuit(j Job, q Wires) (*Wiring, error) {
	in, err := a.inquire(j)
	if err != nil {
		return nil, err
	}
	if err := q.check(); err != nil {
		return nil, err
	}
	if len(in.r.Guide.Circuits) == 0 {
		return nil, fmt.Errorf("%w: the guide %s describes no wiring; add circuits to it", ErrInput, in.loaded.Name)
	}
	b, err := suspect.Believe(in.c, in.options())
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	w := &wirer{app: a, in: in, out: &Wiring{Inquiry: *in.answer(b), Asked: q}}
	if err := w.choose(); err != nil {
		return nil, err
	}
	if w.out.Graph == nil {
		return w.out, nil
	}
	return w.out, w.work()
}

// check refuses what is too long to be meant.
func (q Wires) check() error {
	if len(q.Of) > maxText {
		return fmt.Errorf("%w: circuit: longer than %d characters", ErrInput, maxText)
	}
	for name, list := range map[string][]string{"given": q.Given, "measured": q.Measured} {
		if len(list) > maxTasks {
			return fmt.Errorf("%w: %s: more than %d entries", ErrInput, name, maxTasks)
		}
		for i, s := range list {
			if len(s) > maxText {
				return fmt.Errorf("%w: %s %d: longer than %d characters", ErrInput, name, i+1, maxText)
			}
		}
	}
	return nil
}

// wirer works one question out.
type wirer struct {
	app   *App
	in    *inquest
	out   *Wiring
	g     *circuit.Graph
	whole *circuit.Graph // of every circuit of the guide
	shots []scene
	state circuit.State // of the last scene
	reach circuit.Minutes
	spots map[circuit.Spot]float64 // suspicion by place
	sites map[guide.ID][]site      // by check: where it measures on this wiring
}

// work fills the answer once the circuits are known.
func (w *wirer) work() error {
	for _, step := range []func() error{w.scenes, w.minutes, w.weigh, w.points, w.split, w.predict, w.locate} {
		if err := step(); err != nil {
			return err
		}
	}
	w.out.Notes = append(w.out.Notes, w.g.Notes...)
	return nil
}

// choose settles which circuits are joined.
func (w *wirer) choose() error {
	all := Circuits(&w.out.Inquiry, nil)
	var ids []guide.ID
	var err error
	if w.out.Asked.Of == "" {
		ids = leading(all)
	} else if ids, err = w.named(w.out.Asked.Of, all); err != nil {
		return err
	}
	for _, l := range all {
		if slices.Contains(ids, l.ID) {
			w.out.Shown = append(w.out.Shown, l)
		} else {
			w.out.Others = append(w.out.Others, l)
		}
	}
	if len(ids) == 0 {
		return nil
	}
	if w.whole, err = circuit.Build(w.in.r); err != nil {
		return fmt.Errorf("%w: %w", ErrInput, err)
	}
	w.g, err = circuit.Build(w.in.r, ids...)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrInput, err)
	}
	w.out.Graph = w.g
	return nil
}

// leading are the circuits that carry most of the suspicion.
func leading(all []CircuitLine) []guide.ID {
	var ids []guide.ID
	for _, l := range all {
		if len(ids) < mostDrawn && l.Matters() && l.Share >= nearlyAlike*all[0].Share {
			ids = append(ids, l.ID)
		}
	}
	return ids
}

// named finds circuits by their IDs, or those on which an item sits, the most
// suspected first.
func (w *wirer) named(text string, all []CircuitLine) ([]guide.ID, error) {
	var ids []guide.ID
	for _, part := range strings.Split(text, ",") {
		part = strings.TrimSpace(part)
		if part == "" {
			continue
		}
		if i := slices.IndexFunc(all, func(l CircuitLine) bool { return strings.EqualFold(string(l.ID), part) }); i >= 0 {
			ids = append(ids, all[i].ID)
			continue
		}
		item, err := w.item(part)
		if err != nil {
			return nil, err
		}
		on := onItem(w.in.r, item, all)
		if len(on) == 0 {
			return nil, fmt.Errorf("%w: circuit %q: the wiring of the %s is not in the guide; it has %s", ErrInput, part, itemName(w.in.r, item), join(circuitNames(all)))
		}
		if len(on) > mostDrawn {
			w.note("%s is part of %d circuits; those drawn are the first %d of them by suspicion, the others are listed", item, len(on), mostDrawn)
			on = on[:mostDrawn]
		}
		ids = append(ids, on...)
	}
	if len(ids) == 0 {
		return nil, fmt.Errorf("%w: circuit %q: write the ID of a circuit or of an item; the guide has %s", ErrInput, text, join(circuitNames(all)))
	}
	if len(ids) > maxTasks {
		return nil, fmt.Errorf("%w: circuit: more than %d of them at once", ErrInput, maxTasks)
	}
	return ids, nil
}

func onItem(r *guide.Resolved, item guide.ID, all []CircuitLine) []guide.ID {
	var on []guide.ID
	for _, l := range all {
		for _, c := range r.Guide.Circuits {
			if c.ID == l.ID && sits(c, item) {
				on = append(on, l.ID)
			}
		}
	}
	return on
}

func circuitNames(all []CircuitLine) []string {
	var out []string
	for _, l := range all {
		out = append(out, string(l.ID))
	}
	return out
}

// item finds an item by ID or by words that only one answers to.
func (w *wirer) item(text string) (guide.ID, error) {
	for _, id := range []guide.ID{guide.ID(text), guide.ID(strings.ToUpper(text))} {
		if w.in.r.Item(id) != nil {
			return id, nil
		}
	}
	hits := w.in.r.Find(text)
	if len(hits) == 1 || len(hits) > 1 && hits[0].Exact() && !hits[1].Exact() {
		return hits[0].Item.ID, nil
	}
	if len(hits) > 1 {
		return "", fmt.Errorf("%w: circuit: %s", ErrInput, notOne(w.in.r, text, hits))
	}
	var known []string
	for _, c := range w.in.r.Guide.Circuits {
		known = append(known, string(c.ID))
	}
	for _, it := range w.in.r.Items {
		known = append(known, string(it.ID), it.Name)
	}
	near := span.Nearest(text, known)
	if len(near) == 0 {
		near = known[:len(w.in.r.Guide.Circuits)]
	}
	return "", fmt.Errorf("circuit %q is %w: no circuit and no item is called so; known and near: %s", text, ErrUnknown, join(near))
}

func (w *wirer) note(format string, args ...any) {
	w.out.Notes = append(w.out.Notes, fmt.Sprintf(format, args...))
}

func (w *wirer) assume(format string, args ...any) {
	w.out.Assumes = append(w.out.Assumes, fmt.Sprintf(format, args...))
}

// minutes works out how long it takes from how the machine stands to every item
// of the wiring, once for each state, and keeps it.
func (w *wirer) minutes() error {
	known, err := w.known()
	if err != nil {
		return err
	}
	w.reach = func(item guide.ID) (time.Duration, bool) {
		t, ok := known[string(item)]
		return t, ok
	}
	return nil
}

// measureKey begins the keys under which the minutes to measuring points are
// kept, beside those of whole visits.
const measureKey = "to measure at|"

// known returns the minutes by item.
func (w *wirer) known() (map[string]time.Duration, error) {
	s, err := w.app.shop(w.in)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	req := w.in.req
	key := fmt.Sprintf("%s%v|%v|%v|%v|%d|%s|%d|%d", measureKey, req.Found, req.Given, req.LeaveOpen, req.Missing, req.People, req.By, req.Rate, req.WaitRate)
	w.app.mu.Lock()
	kept := w.in.alone[key]
	w.app.mu.Unlock()
	times := map[string]time.Duration{}
	for item, t := range kept {
		times[item] = t
	}
	for _, item := range w.items() {
		if _, ok := times[string(item)]; ok {
			continue
		}
		if t, ok := s.toMeasure(item); ok {
			times[string(item)] = t
		}
	}
	w.app.mu.Lock()
	defer w.app.mu.Unlock()
	if len(w.in.alone) >= maxBenches {
		clear(w.in.alone)
	}
	w.in.alone[key] = times
	return times, nil
}

// toMeasure returns how long it takes to get to an item with a probe: along its
// check way, or nothing where a check of the guide measures at that very item
// and asks for no way. False where the guide says nothing of it.
func (s *shop) toMeasure(item guide.ID) (time.Duration, bool) {
	if s.reached(item) {
		moves := s.moves.Do(s.moves.Start(), plan.Task{Verb: guide.Measure, On: item})
		if len(moves) == 0 {
			return 0, false
		}
		return moves[0].Cost.Total(), true
	}
	return 0, slices.ContainsFunc(s.in.r.Guide.Checks, func(c guide.Check) bool { return openAt(s.in.r, &c, item) })
}

// openAt reports whether a check measures at an item for which nothing has to
// be opened: it has no way of its own and no point, and the words of its
// measuring point name the item.
func openAt(r *guide.Resolved, c *guide.Check, item guide.ID) bool {
	it := r.Item(item)
	if it == nil || c.Point != "" || len(c.Ways) > 0 || c.Closed || !slices.Contains(c.On, item) || !electrical(c) {
		return false
	}
	for _, name := range append([]string{string(it.ID), it.Name}, it.Also...) {
		if hasWords(c.At, name) {
			return true
		}
	}
	return false
}

// items are those of the drawn wiring, once each, in order.
func (w *wirer) items() []guide.ID {
	var out []guide.ID
	for i := range w.g.Nodes {
		if on := w.g.Nodes[i].On; on != "" && !slices.Contains(out, on) {
			out = append(out, on)
		}
	}
	return out
}
