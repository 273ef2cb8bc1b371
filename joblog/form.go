package joblog

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"elbowroom/guide"
	"elbowroom/plan"
)

// form collects what is wrong with the form of an event.
type form struct{ wrong []string }

func (f *form) add(format string, args ...any) {
	f.wrong = append(f.wrong, fmt.Sprintf(format, args...))
}

var named = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_.@-]{0,63}$`)

func (f *form) name(field, s string) {
	if !named.MatchString(s) {
		f.add("%s: %q is not a name: a letter, then letters, digits and any of _ - . @, 64 at most", field, short(s))
	}
}

// id checks a name of the guide; an empty one is not given.
func (f *form) id(field string, id guide.ID) {
	if id != "" && (id.Check() != nil || len(id) > MaxName) {
		f.add("%s: %q is not the id of anything in a guide", field, short(string(id)))
	}
}

func (f *form) needID(field string, id guide.ID) {
	if id == "" {
		f.add("%s is missing", field)
	}
	f.id(field, id)
}

func (f *form) ref(field string, id ID) {
	if id.Zero() {
		f.add("%s: the id of an event is missing", field)
	}
}

// text checks words that may be left out.
func (f *form) text(field, s string, most int) {
	switch {
	case !utf8.ValidString(s):
		f.add("%s is not UTF-8", field)
	case utf8.RuneCountInString(s) > most:
		f.add("%s is longer than %d characters", field, most)
	case strings.ContainsFunc(s, unprintable):
		f.add("%s holds a control character", field)
	}
}

func unprintable(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\t' }

func (f *form) need(field, s string, most int) {
	if strings.TrimSpace(s) == "" {
		f.add("%s is empty", field)
	}
	f.text(field, s, most)
}

func (f *form) texts(field string, list []string) {
	f.length(field, len(list))
	for _, s := range list {
		f.need(field, s, MaxText)
	}
}

func (f *form) length(field string, n int) {
	if n > MaxList {
		f.add("%s has more than %d entries", field, MaxList)
	}
}

func (f *form) between(field string, n, low, high int64) {
	if n < low || n > high {
		f.add("%s is %d and must be from %d to %d", field, n, low, high)
	}
}

// mostIndex bounds indexes into a guide.
const mostIndex = 1 << 20

// wrong returns what is wrong with the form of the event, body and all.
func (e Event) wrong() []string {
	var f form
	f.envelope(e)
	switch {
	case e.Foreign():
	case e.Schema != Schema:
		f.add("schema is %d; this program writes %d", e.Schema, Schema)
	case e.Body == nil:
		f.add("there is no kind %q", short(string(e.Kind)))
	case e.Body.kind() != e.Kind:
		f.add("the kind is %q and the body is that of %q", short(string(e.Kind)), e.Body.kind())
	default:
		e.Body.check(&f)
	}
	return f.wrong
}

func (f *form) envelope(e Event) {
	if e.ID.Zero() {
		f.add("id is missing")
	}
	f.name("job", string(e.Job))
	f.name("author", string(e.Author))
	f.name("device", string(e.Device))
	f.between("seq", e.Seq, 1, MaxSequence)
	if e.At < Earliest || e.At > latest {
		f.add("at: %s is before %s or past all calendars: set the clock of the device", e.At, Earliest)
	}
	if e.ID.Time() < e.At {
		f.add("the id was made for %s and the event for %s: an id is never older than its event", e.ID.Time(), e.At)
	}
	if len(e.Seen) > MaxDevices {
		f.add("seen names more than %d devices", MaxDevices)
	}
	for _, d := range sortedKeys(e.Seen) {
		f.name("seen", string(d))
		f.between("seen: "+short(string(d)), e.Seen[d], 1, MaxSequence)
		if d == e.Device {
			f.add("seen names the device itself: its own events are always seen")
		}
	}
}

func (b *Arrived) check(f *form) {
	f.needID("machine", b.Machine)
	f.text("complaint", b.Complaint, MaxText)
	f.text("distance", b.Distance, MaxName)
	f.text("stands", b.Stands, MaxName)
}

func (b *SignNoted) check(f *form) { f.need("says", b.Says, MaxText) }

func (b *SignWithdrawn) check(f *form) {
	f.ref("of", b.Of)
	f.need("reason", b.Reason, MaxText)
}

func (b *CodeNoted) check(f *form) {
	f.need("code", b.Code, MaxName)
	f.text("status", b.Status, MaxName)
	f.text("says", b.Says, MaxText)
}

// noValue are words that record no value and are no reading.
var noValue = []string{"ok", "okay", "good", "fine", "alright", "all right", "in order", "passed", "pass"}

func (b *ReadingTaken) check(f *form) {
	f.need("text", b.Text, MaxText)
	bare := strings.Trim(strings.ToLower(strings.TrimSpace(b.Text)), ".!")
	if slices.Contains(noValue, bare) {
		f.add("text: %q records no value; write what the instrument showed, or what was seen", b.Text)
	}
	f.id("check", b.Check)
	f.text("what", b.What, MaxName)
	if b.Check == "" && strings.TrimSpace(b.What) == "" {
		f.add("neither check nor what says what was read")
	}
	f.text("point", b.Point, MaxName)
	f.text("instrument", b.Instrument, MaxName)
	f.texts("conditions", b.Conditions)
}

func (f *form) verdict(v Verdict) {
	if !slices.Contains(Verdicts, v) {
		f.add("verdict: %q is none of %v", short(string(v)), Verdicts)
	}
}

func (b *VerdictRecorded) check(f *form) {
	f.ref("of", b.Of)
	f.verdict(b.Verdict)
	f.text("limit", b.Limit, MaxText)
	f.text("why", b.Why, MaxText)
}

func (b *PlanTaken) check(f *form) {
	f.needID("pin.guide", b.Pin.Guide)
	f.text("pin.revision", b.Pin.Revision, MaxName)
	f.text("pin.date", b.Pin.Date, MaxName)
	f.text("pin.hash", b.Pin.Hash, MaxName)
	f.request(&b.Request)
	f.length("steps", len(b.Steps))
	for i := range b.Steps {
		f.step(i, &b.Steps[i], len(b.Request.Tasks))
	}
}

func (f *form) request(r *Request) {
	for _, n := range []int{len(r.Tasks), len(r.Variant), len(r.Found), len(r.Given), len(r.LeaveOpen), len(r.Missing)} {
		f.length("request", n)
	}
	for i, t := range r.Tasks {
		if t.Verb == "" || t.Verb.Check() != nil {
			f.add("request: task %d has no verb", i+1)
		}
		f.needID("request: task on", t.On)
		f.length("request: after", len(t.After))
	}
	for _, s := range r.Variant {
		f.need("request: variant", s, MaxName)
	}
	for _, s := range r.Found {
		f.needID("request: found", s.Item)
	}
	for _, s := range r.Given {
		f.needID("request: given", s.Condition)
		f.needID("request: given", s.Value)
	}
	for _, id := range slices.Concat(r.LeaveOpen, r.Missing) {
		f.needID("request", id)
	}
}

// stepKinds are the kinds of step that a plan can have.
var stepKinds = []plan.StepKind{plan.Clear, plan.Refit, plan.Change, plan.Await, plan.Do}

func (f *form) step(i int, s *PlanStep, tasks int) {
	if !slices.Contains(stepKinds, s.Kind) {
		f.add("step %d: there is no kind of step %q", i+1, short(string(s.Kind)))
	}
	if s.Kind == plan.Do && (s.Task < 0 || s.Task >= tasks) {
		f.add("step %d does task %d, which was not asked for", i+1, s.Task+1)
	}
	for _, id := range []guide.ID{s.Item, guide.ID(s.Verb), s.Condition, s.From, s.To, s.Place, s.Tool} {
		f.id(fmt.Sprintf("step %d", i+1), id)
	}
	for _, ms := range []int64{s.Hands, s.Setup, s.Wait} {
		f.between(fmt.Sprintf("step %d: milliseconds", i+1), ms, 0, mostMillis)
	}
	f.between("way", int64(s.Way), -1, mostIndex)
	f.between("change", int64(s.Change), -1, mostIndex)
}

func (f *form) act(a *Act) {
	if !slices.Contains(stepKinds, a.Kind) {
		f.add("act: there is no kind of step %q", short(string(a.Kind)))
	}
	f.between("act: way", int64(a.Way), -1, mostIndex)
	f.between("act: change", int64(a.Change), -1, mostIndex)
	f.id("act: verb", guide.ID(a.Verb))
	switch a.Kind {
	case plan.Change, plan.Await:
		f.needID("act: condition", a.Condition)
	case plan.Do:
		if a.Verb == "" {
			f.add("act: verb is missing")
		}
		f.needID("act: item", a.Item)
	default:
		f.needID("act: item", a.Item)
	}
}

func (b *StepDone) check(f *form) {
	f.text("lies", b.Lies, MaxName)
	f.between("step", int64(b.Step), 0, MaxList)
	if (b.Step == 0) == (b.Act == nil) {
		f.add("name either the number of a step or an act, not both and not neither")
	}
	if b.Act != nil {
		f.act(b.Act)
	}
}

func (b *StepUndone) check(f *form) {
	f.between("step", int64(b.Step), 0, MaxList)
	if (b.Step == 0) == b.Done.Zero() {
		f.add("name either the number of a step or the event that ticked it, not both and not neither")
	}
	f.text("reason", b.Reason, MaxText)
}

func (b *Fastener) check(f *form) {
	f.needID("item", b.Item)
	f.between("joint", int64(b.Joint), 0, MaxList)
	f.between("index", int64(b.Index), 0, MaxList)
}

func (b *Ticked) check(f *form) {
	b.Fastener.check(f)
	f.id("wrench", b.Wrench)
	f.text("value", b.Value, MaxName)
}

func (b *Unticked) check(f *form) {
	b.Fastener.check(f)
	f.text("reason", b.Reason, MaxText)
}

func (b *PartNew) check(f *form) {
	f.id("part", b.Part)
	f.needID("on", b.On)
	f.between("joint", int64(b.Joint), 0, MaxList)
	f.between("count", int64(b.Count), 1, MaxList)
	if b.Part == "" && b.Joint == 0 {
		f.add("neither part nor joint says what is new")
	}
	f.text("number", b.Number, MaxName)
}

func (b *Laid) check(f *form) {
	f.needID("item", b.Item)
	f.need("lies", b.Lies, MaxName)
}

var digest = regexp.MustCompile(`^[0-9a-f]{64}$`)

// pictureTypes are the types of picture that are kept.
var pictureTypes = []string{"image/jpeg", "image/png", "image/webp"}

// mostPicture is the size of the largest picture, in bytes.
const mostPicture = 32 << 20

func (b *PictureAdded) check(f *form) {
	if !digest.MatchString(b.Hash) {
		f.add("hash: not the 64 digits of a SHA-256")
	}
	if !slices.Contains(pictureTypes, b.Type) {
		f.add("type: %q is none of %v", short(b.Type), pictureTypes)
	}
	f.between("size", b.Size, 1, mostPicture)
	f.id("on", b.On)
	f.between("step", int64(b.Step), 0, MaxList)
	f.text("says", b.Says, MaxText)
}

func (b *Note) check(f *form) {
	f.need("text", b.Text, MaxText)
	f.id("on", b.On)
}

func (b *Paused) check(f *form) { f.text("reason", b.Reason, MaxText) }

func (b *Resumed) check(*form) {}

func (b *HandedOver) check(f *form) {
	if b.To != "" {
		f.name("to", string(b.To))
	}
	f.text("says", b.Says, MaxText)
}

func (b *Deviation) check(f *form) {
	f.name("signed", string(b.Signed))
	f.need("reason", b.Reason, MaxText)
	f.texts("lacks", b.Lacks)
	f.length("done", len(b.Done))
	f.length("steps", len(b.Steps))
	for _, id := range b.Done {
		f.ref("done", id)
	}
	for _, s := range b.Steps {
		f.ref("steps: plan", s.Plan)
		f.between("steps: step", int64(s.Step), 1, MaxList)
	}
	if len(b.Lacks)+len(b.Done)+len(b.Steps) == 0 {
		f.add("a deviation that names nothing covers nothing")
	}
}

var currency = regexp.MustCompile(`^[A-Z]{3}$`)

func (b *PriceAgreed) check(f *form) {
	if b.Amount < 0 || b.Limit < 0 {
		f.add("a price cannot be negative")
	}
	if b.Amount == 0 && b.Limit == 0 {
		f.add("neither amount nor limit says what was agreed")
	}
	if !currency.MatchString(b.Currency) {
		f.add("currency: %q is not three letters of ISO 4217", short(b.Currency))
	}
	f.need("who", b.Who, MaxName)
	f.need("how", b.How, MaxName)
	f.text("for", b.For, MaxText)
}

func (b *ProofMade) check(f *form) {
	f.id("check", b.Check)
	f.text("what", b.What, MaxText)
	if b.Check == "" && strings.TrimSpace(b.What) == "" {
		f.add("neither check nor what says what was proved")
	}
	f.length("readings", len(b.Readings))
	f.verdict(b.Verdict)
	f.texts("conditions", b.Conditions)
}

func (b *Closed) check(f *form) { f.text("says", b.Says, MaxText) }

func (b *Reopened) check(f *form) { f.need("reason", b.Reason, MaxText) }

func (b *Correction) check(f *form) {
	f.ref("of", b.Of)
	f.need("reason", b.Reason, MaxText)
	switch {
	case b.Strike == (b.With != nil):
		f.add("a correction either strikes an event or says what it should have been")
	case b.With == nil:
	case b.With.Body == nil || b.With.Body.kind() != b.With.Kind:
		f.add("with: there is no kind %q", short(string(b.With.Kind)))
	case b.With.Kind == KindCorrect:
		f.add("a correction is not replaced: strike it and correct again")
	default:
		b.With.Body.check(f)
	}
}
