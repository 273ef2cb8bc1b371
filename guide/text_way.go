package guide

import (
	"slices"
	"strconv"
	"strings"
	"time"
)

// ShortKey is the key under which a mapping may hold a whole short form:
// {do: replace from top; needs AR05; 4 min, note: …}.
func (Way) ShortKey() string { return "do" }

// wayClause reads what follows a keyword into the way.
type wayClause struct {
	words []string // the keyword and other spellings
	field string   // yaml name of the field it fills
	read  func(w *Way, rest piece) FormErrors
}

var wayClauses = []wayClause{
	{[]string{"for"}, "for", func(w *Way, p piece) FormErrors { return shift(w.For.ReadShort(p.s), p.off) }},
	{[]string{"needs", "need"}, "needs", func(w *Way, p piece) FormErrors { return readList(&w.Needs, p) }},
	{[]string{"with"}, "with", func(w *Way, p piece) FormErrors { return readList(&w.With, p) }},
	{[]string{"fitted"}, "fitted", func(w *Way, p piece) FormErrors { return readIDs(&w.Fitted, p) }},
	{[]string{"tools", "tool"}, "tools", func(w *Way, p piece) FormErrors { return readIDs(&w.Tools, p) }},
	{[]string{"together"}, "together", func(w *Way, p piece) FormErrors { return readIDs(&w.Together, p) }},
	{[]string{"opens", "open"}, "opens", func(w *Way, p piece) FormErrors { return readIDs(&w.Opens, p) }},
	{[]string{"uses", "use"}, "uses", func(w *Way, p piece) FormErrors { return readList(&w.Uses, p) }},
	{[]string{"risk"}, "risks", readRisk},
	{[]string{"cautions", "caution"}, "cautions", func(w *Way, p piece) FormErrors { return readIDs(&w.Cautions, p) }},
	{[]string{"then"}, "then", func(w *Way, p piece) FormErrors { return readWords(&w.Then, p) }},
	{[]string{"note"}, "note", func(w *Way, p piece) FormErrors { return readWords(&w.Note, p) }},
	{[]string{"id"}, "id", func(w *Way, p piece) FormErrors { return readID(&w.ID, p) }},
	{[]string{"source"}, "source", func(w *Way, p piece) FormErrors { return readID(&w.Source, p) }},
	{[]string{"seen"}, "sight", func(w *Way, p piece) FormErrors { return readSight(w, InSight, p) }},
	{[]string{"mirror"}, "sight", func(w *Way, p piece) FormErrors { return readSight(w, ByMirror, p) }},
	{[]string{"by"}, "sight", readBy},
}

var wayKeywords = func() []string {
	words := []string{"min", "hands", "people"}
	for _, c := range wayClauses {
		words = append(words, c.words[0])
	}
	return words
}()

const expectWayClause = "one of for, needs, with, fitted, tools, together, opens, uses, risk, cautions, then, note, id, source, seen, mirror, by feel, 4 min, 10/14 min, 2 hands, 2 people"

// ReadShort reads one line such as
// "off from top; needs PN01, AR02; 10/14 min; seen; 2 hands". Clauses after
// the first may stand in any order; one of them must give the minutes.
func (w *Way) ReadShort(text string) error {
	said, err := w.ReadPart(text)
	if err == nil && !slices.Contains(said, "out") {
		return FormErrors{{Text: text, Field: "out", Says: "the minutes are missing", Expect: "4 min for a task, 10/14 min out and back for off and aside"}}
	}
	return err
}

// ReadPart reads like ReadShort what a mapping holds under "do", where the
// other keys of the mapping may say the rest. It returns the fields said.
func (w *Way) ReadPart(text string) (said []string, err error) {
	*w = Way{}
	parts := whole(text).split(";")
	errs := w.readHead(parts[0])
	said = []string{"do"}
	if w.From != "" {
		said = append(said, "from")
	}
	for _, p := range parts[1:] {
		field, e := w.readClause(p)
		errs = append(errs, e...)
		if field != "" && field != "risks" && slices.Contains(said, field) {
			errs = append(errs, p.errorf("said twice in one way", "one clause for "+field)...)
		}
		said = append(said, field)
		if field == "out" && w.Do.Clears() {
			said = append(said, "back")
		}
	}
	return said, errs.orNil()
}

// readHead reads "off from top".
func (w *Way) readHead(p piece) FormErrors {
	verb, rest := p.word()
	id, errs := verb.id()
	if errs != nil {
		return p.errorf("a way begins with what is done", "a verb such as off, aside, replace or check")
	}
	w.Do = Verb(id)
	if rest.s == "" {
		return nil
	}
	place, ok := rest.after("from")
	if !ok {
		return rest.errorf("unexpected words after the verb", `"from" and a place, or a semicolon before the next clause`)
	}
	first, more := place.word()
	if more.s != "" {
		return more.errorf("unexpected words after the place", "a semicolon before the next clause")
	}
	w.From, errs = first.id()
	return errs
}

// readClause reads one clause and returns the field it filled.
func (w *Way) readClause(p piece) (field string, errs FormErrors) {
	if p.s == "" {
		return "", p.errorf("empty clause", "a clause between two semicolons, and no semicolon at the end")
	}
	if p.s[0] >= '0' && p.s[0] <= '9' || p.s[0] == '-' {
		return w.readFigure(p)
	}
	word, rest := p.word()
	for _, c := range wayClauses {
		if slices.Contains(c.words, word.s) {
			errs = c.read(w, rest)
			for i := range errs {
				errs[i].Field = c.field
			}
			return c.field, errs
		}
	}
	return "", FormErrors{{Offset: p.off, Text: p.s, Says: "no clause of a way begins like this", Expect: expectWayClause, Known: wayKeywords}}
}

// readFigure reads "2 hands", "2 people", "10/14 min" or "4".
func (w *Way) readFigure(p piece) (field string, errs FormErrors) {
	number, unit := p.word()
	switch unit.s {
	case "hand", "hands":
		w.Hands, errs = number.count(1, 2)
		return "hands", errs
	case "people", "person":
		w.People, errs = number.count(1, mostPeople)
		return "people", errs
	}
	var two bool
	w.Out, w.Back, two, errs = p.outBack()
	switch {
	case errs != nil:
	case two && !w.Do.Clears():
		errs = p.errorf("a task has one number of minutes", "its work minutes, like 4 min")
	case !two && w.Do.Clears():
		errs = p.errorf("off and aside take minutes out and back", "both, like 10/14 min")
	}
	return "out", errs
}

// mostPeople is the largest number of people that a way can ask for.
const mostPeople = 9

func readIDs(to *[]ID, p piece) FormErrors {
	ids, errs := p.ids()
	*to = ids
	return errs
}

func readID(to *ID, p piece) (errs FormErrors) {
	*to, errs = p.id()
	return errs
}

func readWords(to *string, p piece) FormErrors {
	if p.s == "" {
		return p.errorf("words are missing", "text up to the next semicolon")
	}
	*to = p.s
	return nil
}

func readSight(w *Way, s Sight, p piece) FormErrors {
	if p.s != "" {
		return p.errorf("unexpected words", "a semicolon before the next clause")
	}
	w.Sight = s
	return nil
}

func readBy(w *Way, p piece) FormErrors {
	switch p.s {
	case "feel":
		w.Sight = ByFeel
	case "mirror":
		w.Sight = ByMirror
	default:
		return p.errorf("unknown sight", `"by feel", "mirror" or "seen"`)
	}
	return nil
}

func readRisk(w *Way, p piece) FormErrors {
	var r Risk
	err := r.ReadShort(p.s)
	w.Risks = append(w.Risks, r)
	return shift(err, p.off)
}

// readList reads short forms separated by commas.
func readList[T any, P interface {
	*T
	ReadShort(string) error
}](to *[]T, p piece) (errs FormErrors) {
	*to = nil
	for _, w := range p.split(",") {
		var v T
		errs = append(errs, shift(P(&v).ReadShort(w.s), w.off)...)
		*to = append(*to, v)
	}
	return errs
}

// Short returns the way on one line; false when the line leaves something out
// (words with a semicolon, say).
func (w Way) Short() (string, bool) {
	l := &line{sep: "; "}
	head := string(w.Do)
	if w.From != "" {
		head += " from " + string(w.From)
	}
	l.add(head)
	l.part = !isID(string(w.Do)) || w.From != "" && !isID(string(w.From))
	l.text("id ", string(w.ID), " ;,")
	if len(w.For) > 0 {
		s, ok := w.For.Short()
		l.add("for ", s)
		l.part = l.part || !ok
	}
	list(l, "needs ", w.Needs, shortOf[Need])
	list(l, "with ", w.With, shortOf[Req])
	list(l, "fitted ", w.Fitted, shortID)
	list(l, "tools ", w.Tools, shortID)
	l.add(formatOutBack(w.Out, w.Back, w.Do.Clears()))
	l.part = l.part || !w.Do.Clears() && w.Back != 0
	l.text("", string(w.Sight), ";")
	w.shortFigures(l)
	list(l, "together ", w.Together, shortID)
	list(l, "opens ", w.Opens, shortID)
	list(l, "uses ", w.Uses, shortOf[Use])
	for _, r := range w.Risks {
		s, ok := r.Short()
		l.text("risk ", s, ";")
		l.part = l.part || !ok
	}
	list(l, "cautions ", w.Cautions, shortID)
	l.text("then ", w.Then, ";")
	l.text("note ", w.Note, ";")
	l.text("source ", string(w.Source), " ;,")
	return l.done()
}

func (w Way) shortFigures(l *line) {
	switch w.Hands {
	case 0:
	case 1:
		l.add("1 hand")
	default:
		l.add(strconv.Itoa(w.Hands), " hands")
	}
	if w.People != 0 {
		l.add(strconv.Itoa(w.People), " people")
	}
}

// Complete reports what a way must have, whichever form it was written in.
func (w Way) Complete() error {
	var errs FormErrors
	add := func(field, says, expect string) {
		errs = append(errs, FormError{Field: field, Says: says, Expect: expect})
	}
	if w.Do.Clears() && w.Out > 0 && w.Back == 0 {
		add("back", "off and aside take minutes out and back", "back: minutes to refit, or 10/14 min in one line")
	}
	if !w.Do.Clears() && w.Back != 0 {
		add("back", "a task has no minutes back", "the work minutes alone")
	}
	if w.Hands < 0 || w.Hands > 2 {
		add("hands", "out of range", "1 or 2 hands")
	}
	if w.People < 0 || w.People > mostPeople {
		add("people", "out of range", "1 to 9 people")
	}
	return errs.orNil()
}

// ReadShort reads "PN01" or "PN01 off".
func (n *Need) ReadShort(text string) error {
	first, rest := whole(text).word()
	id, errs := first.id()
	*n = Need{Item: id, Off: rest.s == "off"}
	if rest.s != "" && rest.s != "off" {
		errs = append(errs, rest.errorf("unexpected words after the item", `nothing (aside or off will do) or "off"`)...)
	}
	return errs.orNil()
}

// Short returns the need as ReadShort reads it.
func (n Need) Short() (string, bool) { return n.String(), isID(string(n.Item)) }

// String prints "PN01" or "PN01 off".
func (n Need) String() string {
	if n.Off {
		return string(n.Item) + " off"
	}
	return string(n.Item)
}

const expectReq = "condition=value, condition!=value, or a value that only one condition has"

// ReadShort reads "engine=cold", "running!=yes" or "raised". A value alone
// leaves Condition empty; the reader of a whole guide fills it in.
func (r *Req) ReadShort(text string) error {
	*r = Req{}
	p := whole(text)
	name, value := piece{"", p.off}, p
	if i := strings.Index(p.s, "="); i >= 0 {
		name, value = piece{p.s[:i], p.off}.trim(), piece{p.s[i+1:], p.off + i + 1}.trim()
		if bare, not := strings.CutSuffix(name.s, "!"); not {
			name.s, r.Not = bare, true
			name = name.trim()
		}
		if !isID(name.s) {
			return p.errorf("not a required state", expectReq)
		}
	}
	if !isID(value.s) {
		return p.errorf("not a required state", expectReq)
	}
	r.Condition, r.Value = ID(name.s), ID(value.s)
	return nil
}

// Short returns the requirement as ReadShort reads it.
func (r Req) Short() (string, bool) {
	ok := isID(string(r.Value)) && (r.Condition != "" && isID(string(r.Condition)) || r.Condition == "" && !r.Not)
	return r.String(), ok
}

// String prints "engine=cold", "running!=yes" or "raised".
func (r Req) String() string {
	switch {
	case r.Condition == "":
		return string(r.Value)
	case r.Not:
		return string(r.Condition) + "!=" + string(r.Value)
	}
	return string(r.Condition) + "=" + string(r.Value)
}

const expectUse = `a count and a part, or litres of a fluid, like 2 lower-gasket or 0.4 L coolant; words without a price like 2 spare rivets or 1 "rag"`

// ReadShort reads "2 lower-gasket", "0.4 L coolant", "lower-gasket" (one) or
// "2 spare rivets" (words). One word that is no part stands in quotes: 1 "rag".
func (u *Use) ReadShort(text string) error {
	*u = Use{Count: 1}
	rest := whole(text)
	first, after := rest.word()
	if decimal.MatchString(first.s) {
		n, errs := first.number()
		if errs == nil && n <= 0 {
			errs = first.errorf("nothing is used", "a number above 0")
		}
		if errs != nil {
			return errs
		}
		u.Count, rest = n, after
		u.readLitres(&rest)
	}
	switch name := strings.TrimSpace(rest.s); {
	case isID(name) && !slices.Contains(litreWords, name):
		u.What = ID(name)
	case len(name) > 2 && name[0] == '"' && name[len(name)-1] == '"' && plain(name[1:len(name)-1], `"`):
		u.Words = name[1 : len(name)-1]
	case strings.ContainsRune(name, ' ') && !strings.ContainsRune(name, '"') && !decimalStart(name):
		u.Words = name
	default:
		return whole(text).errorf("not something used", expectUse)
	}
	return nil
}

// litreWords are the spellings of the units of volume; no part has such a name.
var litreWords = []string{"L", "l", "mL", "ml"}

func decimalStart(s string) bool { return s != "" && (s[0] >= '0' && s[0] <= '9' || s[0] == '-') }

func (u *Use) readLitres(rest *piece) {
	unit, after := rest.word()
	switch unit.s {
	case "L", "l":
		u.Litres, *rest = true, after
	case "mL", "ml":
		u.Litres, u.Count, *rest = true, u.Count/1000, after
	}
}

// Short returns the use as ReadShort reads it.
func (u Use) Short() (string, bool) {
	s := u.String()
	words := u.Words == "" || plain(u.Words, `",;`) && !decimalStart(u.Words)
	return s, u.Count > 0 && u.Count <= largest && words && (u.What == "") != (u.Words == "") && (u.What == "" || isID(string(u.What)))
}

// String prints "2 lower-gasket", "0.4 L coolant" or "2 spare rivets".
func (u Use) String() string {
	s := formatNumber(u.Count) + " "
	if u.Litres {
		s += "L "
	}
	switch {
	case u.What != "":
		return s + string(u.What)
	case strings.ContainsRune(u.Words, ' ') && !slices.Contains(litreWords, firstOf(u.Words)):
		return s + u.Words
	}
	return s + `"` + u.Words + `"`
}

func firstOf(words string) string {
	first, _, _ := strings.Cut(words, " ")
	return first
}

const expectRisk = "what breaks, how often in how many visits, then minutes and price if any: trim tab breaks 3 of 11, 5 min, 12.00"

// ReadShort reads "trim tab breaks 3 of 11, 5 min, 12.00".
func (r *Risk) ReadShort(text string) error {
	*r = Risk{}
	p := whole(text)
	parts := p.split(",")
	words := parts[0].words()
	n := len(words)
	if n < 4 || words[n-2].s != "of" {
		return p.errorf("not a risk", expectRisk)
	}
	var e1, e2 FormErrors
	r.Times, e1 = words[n-3].count(0, mostVisits)
	r.Of, e2 = words[n-1].count(1, mostVisits)
	errs := append(e1, e2...)
	if errs == nil && r.Times > r.Of {
		errs = parts[0].errorf("it happened more often than there were visits", expectRisk)
	}
	r.What = piece{p.s[:words[n-3].off-p.off], p.off}.trim().s
	for _, c := range parts[1:] {
		errs = append(errs, r.readDamage(c)...)
	}
	return errs.orNil()
}

// mostVisits is the largest count of visits in a risk.
const mostVisits = 1_000_000

// readDamage reads the minutes or the price of a risk.
func (r *Risk) readDamage(p piece) FormErrors {
	_, unit := p.word()
	if unit.s != "" {
		var errs FormErrors
		r.Minutes, errs = p.minutes(time.Minute)
		return errs
	}
	if err := r.Price.UnmarshalText([]byte(p.s)); err != nil || r.Price < 0 {
		return p.errorf("neither minutes nor a price", "minutes with their unit like 5 min, or a price like 12.00")
	}
	return nil
}

// Short returns the risk as ReadShort reads it.
func (r Risk) Short() (string, bool) {
	return r.String(), plain(r.What, ",;") && r.Complete() == nil
}

// String prints "trim tab breaks 3 of 11, 5 min, 12.00".
func (r Risk) String() string {
	s := r.What + " " + strconv.Itoa(r.Times) + " of " + strconv.Itoa(r.Of)
	if r.Minutes != 0 {
		s += ", " + FormatMinutes(r.Minutes)
	}
	if r.Price != 0 {
		s += ", " + r.Price.String()
	}
	return s
}

// Complete reports counts that cannot be.
func (r Risk) Complete() error {
	if r.Of < 1 || r.Of > mostVisits || r.Times < 0 || r.Times > r.Of || r.Price < 0 {
		return FormErrors{{Says: "counts or price of a risk cannot be", Expect: expectRisk}}
	}
	return nil
}
