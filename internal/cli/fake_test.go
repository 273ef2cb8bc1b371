package cli

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net/http"
	"os"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/report"
	"elbowroom/span"
	"elbowroom/workshop"
)

// fake answers every question with an error that it was told, and remembers
// the last question.
type fake struct {
	asked app.Ask
	err   error
	home  []app.MachineLine
}

func (f *fake) Plan(q app.Ask) (*app.Answer, error) { f.asked = q; return nil, f.err }

func (f *fake) Reach(q app.Ask) (*app.Answer, []app.ReachRow, error) {
	f.asked = q
	return nil, nil, f.err
}

func (f *fake) Quote(q app.QuoteAsk) (*app.Quote, error)          { f.asked = q.Ask; return nil, f.err }
func (f *fake) Where(q app.Ask, _ string) (*app.Found, error)     { f.asked = q; return nil, f.err }
func (f *fake) Item(app.Ask, guide.ID) (*app.ItemSheet, error)    { return nil, f.err }
func (f *fake) Vet(string) (span.List, error)                     { return nil, f.err }
func (f *fake) TestGuide(string) ([]app.TestResult, error)        { return nil, f.err }
func (f *fake) Judge(app.Ask, string) (*app.Judgement, error)     { return nil, f.err }
func (f *fake) Walk(app.Ask, string) (*app.Walk, error)           { return nil, f.err }
func (f *fake) Recording(app.RecordingAsk) (*app.Recorded, error) { return nil, f.err }
func (f *fake) Suspects(app.Job) (*app.Inquiry, error)            { return nil, f.err }
func (f *fake) Next(app.Job, app.Detail) (*app.NextStep, error)   { return nil, f.err }
func (f *fake) Circuit(app.Job, app.Wires) (*app.Wiring, error)   { return nil, f.err }
func (f *fake) Code(app.Ask, string) (*app.CodeSheet, error)      { return nil, f.err }

func (f *fake) Torque(q app.TorqueAsk) (*app.TorqueSheet, error) { f.asked = q.Ask; return nil, f.err }

func (f *fake) Fastener(app.TorqueAsk, string) (*app.BareTorque, error) { return nil, f.err }

func (f *fake) ReadCodes(app.Job, app.CodeInput) (*app.CodesRead, error) { return nil, f.err }

func (f *fake) Paper(q app.PaperAsk) (*app.Paper, error) { f.asked = q.Ask; return nil, f.err }

func (f *fake) PaperOfLog(report.Kind, []joblog.Record) (*report.Document, error) {
	return nil, f.err
}

func (f *fake) Workshop() *workshop.Workshop { return nil }

func (f *fake) Home() []app.MachineLine { return f.home }
func (f *fake) Guides() []*app.Loaded {
	return []*app.Loaded{{Name: "demo", Guide: &guide.Guide{ID: "g"}}}
}

func (f *fake) Export(q app.Ask, format string, w io.Writer) error {
	f.asked = q
	if _, err := io.WriteString(w, format+" half"); err != nil {
		return err
	}
	return f.err
}

// result is what a run left behind.
type result struct {
	code     Exit
	out, err string
}

// with runs a command over the use cases.
func with(u UseCases, env map[string]string, args ...string) result {
	var out, errs bytes.Buffer
	code := Run(context.Background(), Program{
		Args: args, Stdout: &out, Stderr: &errs, Version: "test",
		Env:     func(k string) string { return env[k] },
		Open:    func([]string, string) (UseCases, error) { return u, nil },
		Handler: func() http.Handler { return http.NotFoundHandler() },
	})
	return result{code, out.String(), errs.String()}
}

var utf8Env = map[string]string{"LANG": "C.UTF-8"}

// demoApp is the real program over the demonstration.
func demoApp(t testing.TB) *app.App {
	t.Helper()
	a, err := Open(time.Now, Demo{app.Source{Name: demoName, FS: demo.FS(), Dir: demo.GuideDir}, demo.Workshop}, []string{demoName}, "")
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// errFault stands for a fault of the program.
var errFault = errors.New("wheel came off")

// leftovers counts the files of a folder.
func leftovers(t *testing.T, dir string) int {
	t.Helper()
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	return len(files)
}
