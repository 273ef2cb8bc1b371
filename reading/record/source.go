package record

import (
	"bytes"
	"errors"
	"io"

	"elbowroom/span"
)

const (
	// markBytes is how much of a file tells its encoding in the first place.
	markBytes = 4096
	// emptyReads is how many reads in a row may bring nothing.
	emptyReads = 100
)

// source hands out whole lines of a file, decoded.
type source struct {
	from  io.Reader
	tail  []byte // beginning of a line that the chunk before did not hold whole
	ended bool
	err   error
}

// open reads the first bytes of a file, takes off its mark and turns UTF-16
// into UTF-8.
func open(r io.Reader) (*source, Encoding, *span.Finding) {
	s := &source{from: r}
	first := s.fill(nil, markBytes)
	encoding, mark, finding := encodingOf(first)
	rest := io.MultiReader(bytes.NewReader(first[mark:]), r)
	if s.ended {
		rest = bytes.NewReader(first[mark:])
	}
	s.from, s.ended = rest, false
	if encoding == UTF16LE || encoding == UTF16BE {
		s.from = newWide(rest, encoding == UTF16BE)
	}
	return s, encoding, finding
}

// head reads what Look wants to see: more than usual when lines are long.
func (s *source) head() []byte {
	var head []byte
	for want := headBytes; ; want *= 2 {
		head = s.fill(head, min(want, mostHead))
		if onlyReturns(head) {
			returned(head)
			s.from = returns{s.from}
		}
		lines := bytes.Count(head, []byte{'\n'})
		if s.ended || want >= mostHead || lines >= headLines || lines >= wideLines && want >= wideHead {
			return head
		}
	}
}

// unread puts the rest of the head back in front.
func (s *source) unread(rest []byte) {
	if s.ended {
		s.from = bytes.NewReader(rest)
	} else {
		s.from = io.MultiReader(bytes.NewReader(rest), s.from)
	}
	s.ended = false
}

// fill appends to b until it has want bytes or the stream ends.
func (s *source) fill(b []byte, want int) []byte {
	if cap(b) < want+slack {
		b = append(make([]byte, 0, want+slack), b...)
	}
	for idle := 0; len(b) < want && !s.ended; {
		n, err := s.from.Read(b[len(b):want])
		b = b[:len(b)+n]
		if n > 0 {
			idle = 0
		} else if idle++; idle > emptyReads && err == nil {
			err = io.ErrNoProgress
		}
		if err != nil {
			s.ended = true
			if !errors.Is(err, io.EOF) && s.err == nil {
				s.err = err
			}
		}
	}
	return b
}

// chunk fills a block with whole lines, about size bytes of them; false at the
// end of the file.
func (s *source) chunk(b *block, size int) bool {
	b.last, b.tooLong = false, false
	text := append(b.text[:0], s.tail...)
	for {
		from := len(text)
		text = s.fill(text, min(max(size, from+from/2+1), longestLine+1))
		if s.ended {
			b.last = true
			s.tail = s.tail[:0]
			break
		}
		if end := bytes.LastIndexByte(text, '\n') + 1; end > 0 {
			s.tail = append(s.tail[:0], text[end:]...)
			text = text[:end]
			break
		}
		if len(text) > longestLine {
			text = s.passLine(b, text)
			break
		}
	}
	b.length = len(text)
	b.text = append(text, endOfText[:]...)
	return b.length > 0
}

// endOfText stands behind every chunk: line ends, so that whatever is read
// there ends.
var endOfText = func() (e [slack]byte) {
	for i := range e {
		e[i] = '\n'
	}
	return e
}()

// passLine reads on to the end of a line that is too long, of which nothing is
// kept, and returns one byte to stand for it.
func (s *source) passLine(b *block, text []byte) []byte {
	b.tooLong = true
	b.passed = int64(len(text))
	for {
		text = s.fill(text[:0], usualChunk)
		b.passed += int64(len(text))
		if end := bytes.IndexByte(text, '\n') + 1; end > 0 {
			s.tail = append(s.tail[:0], text[end:]...)
			b.passed -= int64(len(text) - end)
			break
		}
		if s.ended {
			s.tail = s.tail[:0]
			break
		}
	}
	return append(text[:0], '\n')
}

// stream reads chunk by chunk, several at a time, and hands them to take in
// the order of the file.
func stream(src *source, sc *scanner, size int, take func(*block)) {
	if size <= 0 {
		size = usualChunk
	}
	free := make(chan *block, inFlight)
	ordered := make(chan *block, inFlight)
	work := make(chan *block, inFlight)
	for range inFlight {
		free <- &block{done: make(chan struct{}, 1)}
	}
	go func() {
		defer close(work)
		defer close(ordered)
		for b := range free {
			if !src.chunk(b, size) {
				return
			}
			work <- b
			ordered <- b
		}
	}()
	for range workers {
		go func() {
			for b := range work {
				sc.read(b)
				b.done <- struct{}{}
			}
		}()
	}
	for b := range ordered {
		<-b.done
		take(b)
		free <- b
	}
}
