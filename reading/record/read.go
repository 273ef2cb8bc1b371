package record

import (
	"io"
	"math"

	"elbowroom/span"
)

const (
	// workers is how many chunks are read at the same time.
	workers = 2
	// inFlight is how many chunks exist at most, so that memory is bounded.
	inFlight = workers + 2
	// usualChunk is how many bytes a chunk has: large enough that handing it
	// over costs nothing, small enough that its values stay in a cache.
	usualChunk = 256 << 10
	// gapRows and leastGap: a step of the time is a gap when it is longer than
	// so many usual rows and than so many seconds.
	gapRows  = 10
	leastGap = 1
	// longestGap is the longest step of the time that counts as time gone by;
	// beyond, the clock was set.
	longestGap = day
	// staleRows and leastStale: a channel that is written less often counts as
	// known for so many of its own rows, and so many seconds at least.
	staleRows  = 5
	leastStale = 2
	// traceSteps is how many steps of time a trace keeps.
	traceSteps = 2048
)

var plusInf, minusInf = math.Inf(1), math.Inf(-1)

// Request is what to look for in a recording.
type Request struct {
	Says      Says    // what a person knows of the format
	Mapping   Mapping // channels; see Map
	Questions []Question
	Plot      []string  // meanings or names of the channels to draw
	From, To  float64   // time that is drawn, in seconds since the first row; both 0 is all
	Match     *Matching // collects blocks for Compare
	Gap       float64   // seconds that count as a gap; 0 is ten usual rows, one second at least

	chunk int // bytes of a chunk; tests vary it
}

// Summary is what one column did over the whole recording.
type Summary struct {
	Column
	Index   int
	N       int // values
	Least   float64
	Most    float64
	Mean    float64
	Seconds float64 // usual distance of its values in the head, 0 when unknown
	sum     float64
}

// Outcome says how much of a recording could be used.
type Outcome string

// The outcomes of Read.
const (
	Whole   Outcome = "whole"   // every line was used or is of a sort that holds no values
	Partly  Outcome = "partly"  // some lines or cells were not used; the findings say which
	Refused Outcome = "refused" // nothing could be used
)

// Recording is what was read.
type Recording struct {
	Outcome  Outcome
	Format   Format
	Counts   Counts
	Channels []Summary // of the columns that hold numbers or times, in their order
	Seconds  float64   // from the first row to the last
	Segments int       // parts that are not joined, by gaps, jumps and repeated headers
	Answers  []Answer  // to the questions, in their order
	Traces   []Trace
	Blocks   *Blocks
	Findings span.List
}

// Read streams a recording and answers the questions in one pass. Memory is
// bounded whatever its length. It never fails: what hinders is a finding, and
// Outcome says how much could be used.
func Read(r io.Reader, req Request) *Recording {
	rec := &Recording{Outcome: Refused}
	src, encoding, finding := open(r)
	head := src.head()
	s := &sniffed{}
	s.short = src.ended
	if encoding != UTF16LE && encoding != UTF16BE {
		encoding, _, finding = afterMark(encoding, head)
	}
	s.note(encoding, finding)
	if !s.findings.Has(span.Error) {
		s.look(head, req.Says)
	}
	rec.Format, rec.Findings = s.Format, s.findings
	if !rec.Findings.Has(span.Error) {
		src.unread(head[s.skip:])
		c := newConsumer(rec, &req)
		stream(src, newScanner(&rec.Format), req.chunk, c.take)
		c.finish()
	}
	if src.err != nil {
		rec.Findings = append(rec.Findings, span.Finding{
			Severity: span.Error, Rule: "read", Says: "the file could not be read to its end: " + src.err.Error(),
			Do: "what was read before was used; copy the file again",
		})
	}
	rec.settle()
	return rec
}

// afterMark tells the encoding of a head whose mark, if any, was taken off.
func afterMark(before Encoding, head []byte) (Encoding, int, *span.Finding) {
	e, mark, finding := encodingOf(head)
	if before == UTF8BOM && e == UTF8 {
		e = UTF8BOM
	}
	return e, mark, finding
}

// settle says how much could be used and puts the findings in order.
func (rec *Recording) settle() {
	c := &rec.Counts
	switch {
	case c.Rows == 0:
		rec.Outcome = Refused
	case rec.Findings.Has(span.Error) || c.Spoilt+c.TooLong+c.Wrong+c.Ambiguous+c.Short+c.Extra+c.Unused+c.Untimed+c.Cut > 0:
		rec.Outcome = Partly
	default:
		rec.Outcome = Whole
	}
	rec.Findings.Sort()
}

func noChannel(name string) span.Finding {
	return span.Finding{Severity: span.Warning, Rule: "no-channel", Text: short(name), Says: "the recording has no channel of that name to draw"}
}
