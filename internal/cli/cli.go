package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"runtime/debug"
	"strings"

	"github.com/alecthomas/kong"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/report"
	"elbowroom/span"
	"elbowroom/workshop"
)

// UseCases is what the commands ask of the program. *app.App satisfies it.
type UseCases interface {
	Plan(q app.Ask) (*app.Answer, error)
	Reach(q app.Ask) (*app.Answer, []app.ReachRow, error)
	Quote(q app.QuoteAsk) (*app.Quote, error)
	Where(q app.Ask, words string) (*app.Found, error)
	Item(q app.Ask, id guide.ID) (*app.ItemSheet, error)
	Judge(q app.Ask, text string) (*app.Judgement, error)
	Walk(q app.Ask, check string) (*app.Walk, error)
	Recording(q app.RecordingAsk) (*app.Recorded, error)
	Suspects(j app.Job) (*app.Inquiry, error)
	Next(j app.Job, d app.Detail) (*app.NextStep, error)
	ReadCodes(j app.Job, in app.CodeInput) (*app.CodesRead, error)
	Code(q app.Ask, text string) (*app.CodeSheet, error)
	Torque(q app.TorqueAsk) (*app.TorqueSheet, error)
	Fastener(q app.TorqueAsk, text string) (*app.BareTorque, error)
	Circuit(j app.Job, q app.Wires) (*app.Wiring, error)
	Paper(q app.PaperAsk) (*app.Paper, error)
	PaperOfLog(kind report.Kind, records []joblog.Record) (*report.Document, error)
	Vet(name string) (span.List, error)
	TestGuide(name string) ([]app.TestResult, error)
	Export(q app.Ask, format string, w io.Writer) error
	Home() []app.MachineLine
	Guides() []*app.Loaded
	Workshop() *workshop.Workshop
}

// Program is everything from outside that a run needs.
type Program struct {
	Args           []string
	Stdin          io.Reader
	Stdout, Stderr io.Writer
	Env            func(string) string
	Version        string
	// Open loads guides and workshop from the places that the flags name.
	Open func(guides []string, shop string) (UseCases, error)
	// Handler makes the pages over what Open returned last; they keep nothing.
	Handler func() http.Handler
	// Keep opens what is kept and makes the pages over it.
	Keep func(ctx context.Context, k Keeping) (*Kept, error)
	// Backup copies what is kept to a path, and Restore reads a copy back.
	Backup, Restore func(ctx context.Context, k Keeping, path string) (Copied, error)
}

// Keeping says where everything is kept.
type Keeping struct {
	Demo     bool   // the demonstration, in a folder of its own; the rest does not matter
	Data     string // folder of the SQLite file and the pictures
	Postgres string // database instead of the file; "" for the file
	Name     string // of this server among several on one database
	Proxy    bool   // a proxy that speaks TLS stands before the server
	Origin   string // where browsers find the pages behind the proxy, for passkeys; "" when nobody said
	Bucket   string // address of a bucket for pictures; "" for a folder
	Key      string // of the bucket
	Secret   string
	Log      io.Writer
}

// Kept is what is kept, open.
type Kept struct {
	Handler   http.Handler
	Where     string // for people: the folder or the database
	SetUpCode string // of an empty store; "" when it is set up
	Close     func() error
}

// Demo is where the demonstration comes from.
type Demo struct {
	Guide    app.Source
	Workshop func() (*workshop.Workshop, error)
}

// run is one run of a command.
type run struct {
	*Program
	ctx  context.Context
	cli  *commands
	exit Exit // of a command that succeeded
}

// errStop is raised by kong's help so that the run ends without os.Exit.
type errStop struct{ code int }

// Run carries out the command that the arguments name and returns the exit
// status. Cancelling the context ends serving.
func Run(ctx context.Context, p Program) (code Exit) {
	r := &run{Program: &p, ctx: ctx, cli: &commands{}}
	defer func() {
		switch v := recover().(type) {
		case nil:
		case errStop:
			code = Exit(v.code)
		default:
			code = r.fail(fmt.Errorf("%v\n%s", v, debug.Stack()))
		}
	}()
	parser, err := r.parser()
	if err != nil {
		return r.fail(fmt.Errorf("command line: %w", err))
	}
	if len(p.Args) == 0 {
		p.Args = []string{"--help"}
	}
	k, err := parser.Parse(inOrder(parser.Model.Node, p.Args))
	if err != nil {
		return r.fail(usage(err))
	}
	if err := k.Run(r); err != nil {
		return r.fail(err)
	}
	return r.exit
}

func (r *run) parser() (*kong.Kong, error) {
	return kong.New(r.cli,
		kong.Name("elbowroom"),
		kong.Description("Plans the way to a part of an engine and back: the cheapest there is, with the proof.\n\n"+exitHelp()),
		kong.Writers(r.Stdout, r.Stderr),
		kong.Exit(func(code int) { panic(errStop{code}) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, FlagsLast: true, NoExpandSubcommands: true, WrapUpperBound: mostWidth}),
		kong.Bind(r),
	)
}

// usage turns an error of the parser into one that says what to do.
func usage(err error) error {
	var parse *kong.ParseError
	hint := "see: elbowroom --help"
	if errors.As(err, &parse) && parse.Context != nil && parse.Context.Command() != "" {
		command, _, _ := strings.Cut(parse.Context.Command(), " <")
		command, _, _ = strings.Cut(command, " [")
		hint = fmt.Sprintf("see: elbowroom %s --help", command)
	}
	return fmt.Errorf("%w: %w; %s", errUsage, err, hint)
}

// open loads what the flags name.
func (r *run) open() (UseCases, error) { return r.Program.Open(r.cli.Guide, r.cli.Workshop) }

// show prints a page.
func (r *run) show(p *page) error { return p.writeTo(r.Stdout) }

func (r *run) page() *page { return newPage(r.Env) }
