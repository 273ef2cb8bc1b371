package guide

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"elbowroom/quantity"
)

// ShortKey is the key under which a mapping may hold a whole short form:
// {joint: "3 x M6x25 T30, 9 N·m", note: …}.
func (Joint) ShortKey() string { return "joint" }

const (
	expectJoint       = "count, thread and drive first, then clauses between commas: 3 x M6x25 T30 8.8 into aluminium, 9 N·m dry, crosswise"
	expectJointClause = "a torque (9 N·m, 40 N·m + 90°, to shoulder), torque unknown, torque not applicable, torque out of scope, dry, oiled, thread-locked, crosswise, spiral, 1-2-3-4, pattern …, single-use, reusable, part …, for …, id …, source … or note …"
	expectStage       = "a torque like 9 N·m, an angle like 90°, or to shoulder"
)

// mostFasteners is the largest count in one joint.
const mostFasteners = 200

// ReadShort reads one line such as
// "3 x M6x25 T30 8.8 into aluminium, 9 N·m dry, crosswise".
func (j *Joint) ReadShort(text string) error {
	*j = Joint{}
	parts := whole(text).split(",")
	errs := j.readHead(parts[0])
	var seen []string
	for _, p := range parts[1:] {
		field, e := j.readClause(p)
		errs = append(errs, e...)
		if field != "" && slices.Contains(seen, field) {
			errs = append(errs, p.errorf("said twice in one joint", "one clause for "+field)...)
		}
		seen = append(seen, field)
	}
	return errs.orNil()
}

var (
	metric   = regexp.MustCompile(`^M([1-9][0-9]*(?:\.[0-9]+)?)(?:[x×]([0-9]+(?:\.[0-9]+)?))?(?:[x×]([0-9./]+))?$`)
	lengthed = regexp.MustCompile(`^M([1-9][0-9]*(?:\.[0-9]+)?)[x×]([0-9]+(?:\.[0-9]+)?(?:/[0-9]+(?:\.[0-9]+)?)+)$`)
	other    = regexp.MustCompile(`^(?:ST[0-9]+(?:\.[0-9]+)?|G[0-9]+(?:/[0-9]+)?|[0-9]+/[0-9]+-[0-9]+)$`)
	driveOne = regexp.MustCompile(`^(?:T|E|PH|PZ|TP)[0-9]+$`)
	class    = regexp.MustCompile(`^(?:[0-9]{1,2}\.[0-9]|[AC][1-5]-[0-9]{2,3})$`)
	digits   = regexp.MustCompile(`^[1-9][0-9]*(?:\.[0-9]+)?$`)
	wordOnly = regexp.MustCompile(`^\pL[\pL-]*$`)
	order    = regexp.MustCompile(`^[0-9]+(?:-[0-9]+)+$`)
)

// materials are words that stand for the class of a fastener without one.
var materials = []string{"plastic", "brass", "copper", "steel", "stainless", "aluminium"}

// readHead reads "3 x M6x25 T30 8.8 into aluminium" or "2 clips".
func (j *Joint) readHead(p piece) FormErrors {
	words := p.words()
	if len(words) == 0 {
		return p.errorf("empty joint", expectJoint)
	}
	n, errs := words[0].count(1, mostFasteners)
	if errs != nil {
		return p.errorf("a joint begins with how many fasteners there are", expectJoint)
	}
	j.Count = n
	words = words[1:]
	times := len(words) > 0 && (words[0].s == "x" || words[0].s == "×")
	if times {
		words = words[1:]
	}
	if len(words) == 0 {
		return p.errorf("what the fasteners are is missing", expectJoint)
	}
	return j.readFastener(words, times)
}

func (j *Joint) readFastener(words []piece, times bool) (errs FormErrors) {
	var what []string
	for i := 0; i < len(words); {
		n, e := j.readWord(words[i:])
		errs = append(errs, e...)
		if n == 0 {
			what = append(what, words[i].s)
			n = 1
		}
		i += n
	}
	j.What = strings.Join(what, " ")
	if !times && j.Count > 1 {
		j.What = strings.TrimSuffix(j.What, "s")
	}
	return errs
}

// readWord reads thread, drive, class or material and returns how many words
// it took; 0 when the word is none of these.
func (j *Joint) readWord(words []piece) (int, FormErrors) {
	w := words[0].s
	next := func(i int) string {
		if i < len(words) {
			return words[i].s
		}
		return ""
	}
	switch {
	case j.Thread == "" && (metric.MatchString(w) || lengthed.MatchString(w)):
		return 1, j.readThread(words[0])
	case j.Thread == "" && other.MatchString(w):
		j.Thread = w
		return 1, nil
	case j.Drive == "" && (driveOne.MatchString(w) || w == "slot"):
		j.Drive = w
		return 1, nil
	case j.Drive == "" && (w == "hex" || w == "12-point") && digits.MatchString(next(1)):
		j.Drive = w + " " + next(1)
		return 2, nil
	case j.Drive == "" && w == "hex" && next(1) == "key" && digits.MatchString(next(2)):
		j.Drive = "hex key " + next(2)
		return 3, nil
	case j.Drive == "" && digits.MatchString(w) && next(1) == "mm":
		j.Drive = "hex " + w
		return 2, nil
	case j.Class == "" && (class.MatchString(w) || slices.Contains(materials, w)):
		j.Class = w
		return 1, nil
	case w == "into":
		return j.readInto(words)
	case !wordOnly.MatchString(w):
		return 1, words[0].errorf("not understood in a joint", "a thread like M6x25, a drive like T30 or hex 10, a property class like 8.8")
	}
	return 0, nil
}

func (j *Joint) readInto(words []piece) (int, FormErrors) {
	var into []string
	for _, w := range words[1:] {
		into = append(into, w.s)
	}
	j.Into = strings.Join(into, " ")
	if j.Into == "" {
		return 1, words[0].errorf("the mating material is missing", "into aluminium, for example")
	}
	return len(words), nil
}

// pitchShare tells a pitch from a length: no ISO metric pitch exceeds this
// share of the diameter (ISO 261: M1 has 0.25) and no screw is as short.
const pitchShare = 0.3

// readThread reads "M6", "M6x25", "M12x1.25", "M12x1.25x40" or "M6x25/25/40".
func (j *Joint) readThread(p piece) FormErrors {
	if m := lengthed.FindStringSubmatch(p.s); m != nil {
		j.Thread = "M" + m[1]
		return j.readLengths(p, m[2])
	}
	m := metric.FindStringSubmatch(p.s)
	j.Thread = "M" + m[1]
	d, _ := strconv.ParseFloat(m[1], 64)
	second, _ := strconv.ParseFloat(m[2], 64)
	switch {
	case m[2] == "":
		return nil
	case second <= pitchShare*d:
		j.Thread += "x" + m[2]
		return j.readLengths(p, m[3])
	case m[3] != "":
		return p.errorf("not a thread", "diameter, pitch and length, like M12x1.25x40")
	}
	return j.readLengths(p, m[2])
}

func (j *Joint) readLengths(p piece, text string) FormErrors {
	if text == "" {
		return nil
	}
	for _, s := range strings.Split(text, "/") {
		n, errs := piece{s, p.off}.number()
		if errs != nil || n <= 0 {
			return p.errorf("not a length", "millimetres, like M6x25 or M6x25/25/40")
		}
		j.Lengths = append(j.Lengths, n)
	}
	return nil
}

// readClause reads one clause after the first and returns the field it fills.
func (j *Joint) readClause(p piece) (field string, errs FormErrors) {
	word, rest := p.word()
	switch word.s {
	case "":
		return "", p.errorf("empty clause", "a clause between two commas, and no comma at the end")
	case "torque":
		j.Torque = Known(rest.s)
		if !slices.Contains([]Known{Unknown, NotApplicable, OutOfScope}, j.Torque) {
			return "torque", FormErrors{{Offset: p.off, Text: p.s, Says: "not a kind of torque", Expect: "torque unknown, torque not applicable or torque out of scope", Known: []string{"torque unknown", "torque not applicable", "torque out of scope"}}}
		}
		return "torque", nil
	case "pattern":
		return "pattern", readWords(&j.Pattern, rest)
	case "note":
		return "note", readWords(&j.Note, rest)
	case "for":
		return "for", shift(j.For.ReadShort(rest.s), rest.off)
	case "part":
		return "part", readID(&j.Part, rest)
	case "id":
		return "id", readID(&j.ID, rest)
	case "source":
		return "source", readID(&j.Source, rest)
	}
	return j.readBare(p)
}

// patterns are the orders of tightening that need no keyword.
var patterns = []string{"crosswise", "spiral", "outwards", "inwards"}

// readBare reads a clause that needs no keyword.
func (j *Joint) readBare(p piece) (field string, errs FormErrors) {
	switch {
	case slices.Contains([]State{Dry, Oiled, Locked}, State(p.s)):
		if j.State != "" {
			return "state", p.errorf("said twice in one joint", "one state of the threads")
		}
		j.State = State(p.s)
		return "state", nil
	case slices.Contains([]Reuse{Reusable, SingleUse}, Reuse(p.s)):
		j.Reuse = Reuse(p.s)
		return "reuse", nil
	case slices.Contains(patterns, p.s) || order.MatchString(p.s):
		j.Pattern = p.s
		return "pattern", nil
	case decimalStart(p.s) || strings.HasPrefix(p.s, "to shoulder"):
		return "torque", j.readStages(p)
	}
	return "", FormErrors{{
		Offset: p.off, Text: p.s, Says: "no clause of a joint reads like this", Expect: expectJointClause,
		Known: slices.Concat(patterns, []string{"dry", "oiled", "thread-locked", "single-use", "reusable", "torque", "pattern", "part", "note"}),
	}}
}

// readStages reads "40 N·m + 90°", with a state of the threads at the end.
func (j *Joint) readStages(p piece) FormErrors {
	for _, s := range []State{Dry, Oiled, Locked} {
		if bare, ok := strings.CutSuffix(p.s, " "+string(s)); ok {
			if j.State != "" {
				return p.errorf("said twice in one joint", "one state of the threads")
			}
			p.s, j.State = bare, s
			p = p.trim()
		}
	}
	var errs FormErrors
	for _, part := range p.split("+") {
		var s Stage
		errs = append(errs, shift(s.ReadShort(part.s), part.off)...)
		j.Stages = append(j.Stages, s)
	}
	j.Torque = Given
	return errs
}

// ReadShort reads "9 N·m", "90°" or "to shoulder".
func (s *Stage) ReadShort(text string) error {
	*s = Stage{}
	p := whole(text)
	if p.s == "to shoulder" {
		s.Shoulder = true
		return nil
	}
	v, err := quantity.Parse(p.s)
	switch {
	case err == nil && v.Dimension() == quantity.Torque && v.Number > 0 && v.Number <= largest:
		s.Torque = v
	case err == nil && v.Dimension() == quantity.Angle && v.Number > 0 && v.Number <= mostTurn:
		s.Angle = v.Number
	default:
		return p.errorf("not a stage of tightening", expectStage)
	}
	return nil
}

// mostTurn is the largest angle of one stage, degrees: two turns.
const mostTurn = 720

// Short returns the stage as ReadShort reads it.
func (s Stage) Short() (string, bool) {
	t := s.String()
	back, err := Parse[Stage](t)
	return t, err == nil && back == s
}

// String prints "9 N·m", "90°" or "to shoulder".
func (s Stage) String() string {
	switch {
	case s.Shoulder:
		return "to shoulder"
	case s.Angle != 0:
		return formatNumber(s.Angle) + "°"
	}
	return s.Torque.String()
}

// Short returns the joint on one line; false when the line leaves something
// out (superseded values, or words with a comma).
func (j Joint) Short() (string, bool) {
	s := j.String()
	back, err := Parse[Joint](s)
	return s, err == nil && j.Was == nil && back.same(j)
}

func (j Joint) same(k Joint) bool {
	a, b := j, k
	ok := slices.Equal(a.Lengths, b.Lengths) && slices.Equal(a.Stages, b.Stages) && a.For.String() == b.For.String()
	return ok && a.ID == b.ID && a.Count == b.Count && a.Thread == b.Thread && a.Drive == b.Drive && a.What == b.What &&
		a.Class == b.Class && a.Into == b.Into && a.State == b.State && a.Torque == b.Torque && a.Pattern == b.Pattern &&
		a.Reuse == b.Reuse && a.Part == b.Part && a.Note == b.Note && a.Source == b.Source
}

// String prints the joint in its short form.
func (j Joint) String() string {
	l := &line{sep: ", "}
	l.add(j.head())
	switch {
	case len(j.Stages) > 0:
		l.add(j.tightening())
	case j.Torque != "":
		l.add("torque ", string(j.Torque))
	}
	if j.State != "" && len(j.Stages) == 0 {
		l.add(string(j.State))
	}
	switch {
	case slices.Contains(patterns, j.Pattern) || order.MatchString(j.Pattern):
		l.add(j.Pattern)
	default:
		l.text("pattern ", j.Pattern, ",")
	}
	l.text("", string(j.Reuse), ",")
	l.text("part ", string(j.Part), ", ")
	l.text("for ", j.For.String(), ",")
	l.text("id ", string(j.ID), ", ")
	l.text("source ", string(j.Source), ", ")
	l.text("note ", j.Note, ",")
	s, _ := l.done()
	return s
}

func (j Joint) head() string {
	n := strconv.Itoa(j.Count)
	if j.Thread == "" && j.What != "" && !strings.HasPrefix(j.What, "x ") {
		n += " " + j.What
		if j.Count > 1 {
			n += "s"
		}
	} else {
		n += " x"
	}
	words := []string{n}
	if j.Thread != "" {
		words = append(words, j.Thread+j.lengths())
		words = append(words, j.What)
	}
	words = append(words, j.Drive, j.Class)
	if j.Into != "" {
		words = append(words, "into "+j.Into)
	}
	return strings.Join(slices.DeleteFunc(words, func(s string) bool { return s == "" }), " ")
}

func (j Joint) lengths() string {
	words := make([]string, len(j.Lengths))
	for i, n := range j.Lengths {
		words[i] = formatNumber(n)
	}
	if len(words) == 0 {
		return ""
	}
	return "x" + strings.Join(words, "/")
}

func (j Joint) tightening() string {
	words := make([]string, len(j.Stages))
	for i, s := range j.Stages {
		words[i] = s.String()
	}
	s := strings.Join(words, " + ")
	if j.State != "" {
		s += " " + string(j.State)
	}
	return s
}

// Complete reports a joint that contradicts itself.
func (j Joint) Complete() error {
	var errs FormErrors
	add := func(field, says, expect string) {
		errs = append(errs, FormError{Field: field, Says: says, Expect: expect})
	}
	if j.Count < 1 || j.Count > mostFasteners {
		add("count", "out of range", "1 to 200 fasteners")
	}
	if len(j.Stages) > 0 && j.Torque != Given && j.Torque != "" {
		add("torque", "a torque is given and said to be "+string(j.Torque), "one of the two")
	}
	if len(j.Stages) == 0 && j.Torque == Given {
		add("torque", "the torque is said to be given and is missing", "stages, or torque: unknown")
	}
	if n := len(j.Lengths); n > 1 && n != j.Count {
		add("lengths", "lengths do not match the count", "one length, or one for each of the "+strconv.Itoa(j.Count)+" fasteners")
	}
	return errs.orNil()
}
