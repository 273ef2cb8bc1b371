package web

import (
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading/record"
	"elbowroom/span"
)

// recordingPage takes what a logger wrote and says what it shows.
type recordingPage struct {
	page
	Subject subject
	Form    recordingForm
	Result  *recordedView // nil before a file came
}

// recordingForm asks for a recording.
type recordingForm struct {
	Hidden   []field // the whole job
	Checks   []offer
	Check    string // empty: every check
	Name     string
	Good     []string
	Words    []wordField
	Said     string
	Judged   string // what is judged, in words; empty: as the check says
	Example  string // of it
	Channels []channelField
	More     int    // channels that are not listed
	Memory   string // what was settled so far
	Error    string
	Details  []string
	Back     string
	Most     int      // MB
	names    []string // of the channels that the check judges
}

// channelField settles one channel.
type channelField struct {
	Key, Name, Label, Is, Guess string
	Meanings                    []offer
	Units                       []offer // when the file does not say
	Unit                        string  // when it does
}

// Bounds of the form of a recording.
const (
	maxFormField  = 1 << 20 // bytes of one field
	maxFormFields = 1000
	maxChannels   = 40
)

// judgedHere is the choice of a form that a channel is what the check judges.
const judgedHere = "*"

// record answers a question about a recording: the empty form, or what came
// with it.
func (s *site) record(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodPost {
		s.recorded(w, r)
		return
	}
	st, err := readState(r.URL.Query())
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	s.showRecording(w, r, st, nil, nil, nil)
}

// showRecording sends the page; typed is the form as it came, with what is
// wrong with it or what its recording says.
func (s *site) showRecording(w http.ResponseWriter, r *http.Request, st state, typed url.Values, wrong error, out *app.Recorded) {
	j := s.subject(st.ask)
	if s.mustChoose(w, r, st, j, "recording") {
		return
	}
	p := recordingPage{page: s.page("job", "recording.title", st), Subject: j}
	if !j.NoGuide {
		form, err := s.recordingForm(st, j, typed)
		if err != nil {
			s.fail(w, r, st, err)
			return
		}
		p.Form = *form
	}
	status := http.StatusOK
	if wrong != nil {
		status = statusOfUpload(wrong)
		p.Form.Error, p.Form.Details = wrongRecording(wrong)
	}
	if out != nil {
		p.Result = recordedOf(st, out)
		p.Form.settle(out)
	}
	s.render(w, r, status, "recording", "layout", p)
}

// statusOfUpload maps what went wrong with an upload to HTTP.
func statusOfUpload(err error) int {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return http.StatusRequestEntityTooLarge
	}
	return statusOf(err)
}

// wrongRecording says in plain words what is wrong with a recording, and where.
func wrongRecording(err error) (head string, details []string) {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return say("recording.large", mostRecording>>20), nil
	}
	var list span.List
	if !errors.As(err, &list) || len(list) == 0 {
		return sentences(plain(err))
	}
	head, _ = sentences(strings.TrimSuffix(strings.TrimSpace(strings.Replace(plain(err), list.Error(), "", 1)), ":"))
	return head, findingTexts(list)
}

// findingTexts says findings in sentences, with line and column.
func findingTexts(list span.List) []string {
	var out []string
	for i, f := range list {
		if i == maxFindings {
			out = append(out, say("recording.more-findings", len(list)-maxFindings))
			break
		}
		text := guide.Capital(f.Says)
		if f.Text != "" {
			text += ": “" + shorten(printable(f.Text), maxFound) + "”"
		}
		for _, more := range []string{f.Expect, f.Do} {
			if more != "" {
				text += "; " + more
			}
		}
		if f.Pos.Line > 0 {
			text = say("recording.at", f.Pos.Line, f.Pos.Col, text)
		}
		out = append(out, text)
	}
	return out
}

// Bounds of the findings on a page.
const (
	maxFindings = 30
	maxFound    = 80
)

func (s *site) recordingForm(st state, j subject, typed url.Values) (*recordingForm, error) {
	f := &recordingForm{Hidden: st.fields("at"), Check: st.check, Said: typed.Get("also"), Memory: typed.Get("memory"), Most: mostRecording >> 20}
	back := st
	back.check = ""
	f.Back = back.to("/job")
	f.Checks = []offer{{Text: say("recording.every"), Here: st.check == ""}}
	if j.loaded != nil {
		for _, c := range j.loaded.Guide.Checks {
			f.Checks = append(f.Checks, offer{Value: string(c.ID), Text: fmt.Sprintf("%s %s", c.ID, shorten(c.Name, maxCheckName)), Here: st.check == string(c.ID)})
		}
	}
	if st.check == "" {
		return f, nil
	}
	form, err := s.use.Form(st.inquiry(), st.check)
	if err != nil {
		return nil, err
	}
	f.Check, f.Name, f.Good = string(form.Check.ID), form.Check.Name, prettyAll(form.Limits)
	f.Judged, f.Example, f.names = typed.Get("judged"), strings.Join(app.ChannelsOf(form.Check), ", "), app.ChannelsOf(form.Check)
	for _, text := range form.Words {
		f.Words = append(f.Words, wordField{text, slices.Contains(typed["said"], text)})
	}
	return f, nil
}

// settle lists the channels of what was read, to be settled with the next
// upload.
func (f *recordingForm) settle(out *app.Recorded) {
	f.Memory = out.Memory
	var names []string
	for _, file := range []*app.RecordingRead{out.First, out.After} {
		if file == nil {
			continue
		}
		for _, c := range file.Mapping.Channels {
			name := app.ChannelName(c)
			switch {
			case slices.Contains(names, name):
			case len(f.Channels) == maxChannels:
				f.More++
			default:
				names = append(names, name)
				f.Channels = append(f.Channels, f.channel(len(f.Channels), name, c, slices.Concat(file.Subjects, f.names)))
			}
		}
	}
}

func (f *recordingForm) channel(i int, name string, c record.Channel, subjects []string) channelField {
	label, is, guess := app.ChannelText(c)
	x := channelField{Key: strconv.Itoa(i), Name: name, Label: printable(label), Is: is, Guess: guess, Unit: c.In}
	x.Meanings = []offer{{Text: say("recording.keep", is), Here: true}, {Value: "nothing", Text: say("recording.nothing")}}
	if f.Check != "" {
		x.Meanings = append(x.Meanings, offer{Value: judgedHere, Text: say("recording.what-judged", f.Check)})
	}
	for _, m := range meanings(c, subjects) {
		x.Meanings = append(x.Meanings, offer{Value: m, Text: m})
	}
	if c.In == "" {
		x.Units = []offer{{Text: say("recording.unit-unknown"), Here: true}}
		for _, u := range quantity.Units() {
			x.Units = append(x.Units, offer{Value: u, Text: u})
		}
	}
	return x
}

func meanings(c record.Channel, subjects []string) []string {
	var all []string
	for _, s := range subjects {
		if !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	if c.Meaning != "" && !slices.Contains(all, c.Meaning) {
		all = append(all, c.Meaning)
	}
	slices.Sort(all)
	return all
}

// settled reads what a form says of channels, and which of them the check
// judges.
func settled(v url.Values, judges string) (texts []string, judged string) {
	for i := range maxChannels {
		key := strconv.Itoa(i)
		meaning := v.Get("m" + key)
		if meaning == "" {
			continue
		}
		if meaning == judgedHere {
			meaning, judged = judges, judges
		}
		texts = append(texts, strings.TrimSpace(fmt.Sprintf("%s = %s %s", v.Get("n"+key), meaning, v.Get("u"+key))))
	}
	return texts, judged
}

// upload is a request with a form and files, read as it comes.
type upload struct {
	parts *multipart.Reader
	form  url.Values
	err   error // that ended it
}

// openUpload reads the fields of a form up to the first file.
func openUpload(r *http.Request) (*upload, *app.RecordingFile, error) {
	parts, err := r.MultipartReader()
	if err != nil {
		return nil, nil, fmt.Errorf("%w: %s", app.ErrInput, say("recording.not-a-form"))
	}
	u := &upload{parts: parts, form: url.Values{}}
	file, err := u.next("file")
	return u, file, err
}

// next reads on to the file of that name; nil when none was chosen.
func (u *upload) next(name string) (*app.RecordingFile, error) {
	for n := 0; ; n++ {
		part, err := u.parts.NextPart()
		if errors.Is(err, io.EOF) {
			return nil, nil
		}
		if err != nil {
			return nil, u.broken(err)
		}
		if part.FormName() == name && part.FileName() != "" {
			return &app.RecordingFile{Name: shorten(printable(part.FileName()), maxWords), From: &watched{part, u}}, nil
		}
		text, err := io.ReadAll(io.LimitReader(part, maxFormField+1))
		if err != nil {
			return nil, u.broken(err)
		}
		if len(text) > maxFormField || n > maxFormFields {
			return nil, fmt.Errorf("%w: %s", app.ErrInput, say("recording.form-large"))
		}
		if key := part.FormName(); key != "" && part.FileName() == "" && key != "file" && key != "after" {
			u.form.Add(key, string(text))
		}
	}
}

// broken keeps why an upload ended early.
func (u *upload) broken(err error) error {
	u.err = err
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return err
	}
	return fmt.Errorf("%w: %s", app.ErrInput, say("recording.broken"))
}

// watched remembers why reading a file ended early: a recording that was cut
// off by the network must not pass for a short one.
type watched struct {
	from io.Reader
	of   *upload
}

func (w *watched) Read(b []byte) (int, error) {
	n, err := w.from.Read(b)
	if err != nil && !errors.Is(err, io.EOF) {
		w.of.err = err
	}
	return n, err
}

// recorded reads the upload as it comes and answers with what it shows.
func (s *site) recorded(w http.ResponseWriter, r *http.Request) {
	u, file, err := openUpload(r)
	if u == nil {
		s.fail(w, r, state{}, err)
		return
	}
	form := validForm(u.form)
	st, stErr := readState(form)
	switch {
	case stErr != nil:
		s.fail(w, r, st, stErr)
		return
	case err == nil && file == nil:
		err = fmt.Errorf("%w: %s", app.ErrInput, say("recording.no-file"))
	}
	if err != nil {
		s.showRecording(w, r, st, form, err, nil)
		return
	}
	select {
	case s.uploads <- struct{}{}:
		defer func() { <-s.uploads }()
	default:
		s.busy(w)
		return
	}
	out, err := s.use.Recording(s.recordingAsk(st, form, u, file))
	if u.err != nil {
		out, err = nil, u.broken(u.err)
	}
	s.showRecording(w, r, st, form, err, out)
}

// validForm makes every text printable; the remembered channels keep their
// lines.
func validForm(v url.Values) url.Values {
	memory := strings.Split(strings.ReplaceAll(v.Get("memory"), "\r\n", "\n"), "\n")
	for i, line := range memory {
		memory[i] = printable(line)
	}
	out := validValues(v)
	out.Set("memory", strings.Join(memory, "\n"))
	return out
}

func (s *site) recordingAsk(st state, form url.Values, u *upload, file *app.RecordingFile) app.RecordingAsk {
	q := app.RecordingAsk{Ask: st.ask, Check: st.check, Channels: form.Get("memory"), File: *file, Said: form["said"]}
	judges, plain := "", false
	if st.check != "" {
		if f, err := s.use.Form(st.inquiry(), st.check); err == nil {
			judges, plain = app.JudgedBy(f.Check), app.JudgesOne(f.Check)
		}
	}
	q.Settled, q.Judged = settled(form, judges)
	if !plain {
		q.Judged = "" // the name of the check tells what is made of the channel
	}
	if own := strings.TrimSpace(form.Get("judged")); own != "" {
		q.Judged = own
	}
	if also := strings.TrimSpace(form.Get("also")); also != "" {
		q.Said = append(slices.Clone(q.Said), also)
	}
	q.After = func() (*app.RecordingFile, error) { return u.next("after") }
	return q
}
