package pdf

import (
	_ "embed" // the letters
	"encoding/binary"
	"sync"
)

//go:embed letters/Go-Regular.ttf
var regularFile []byte

//go:embed letters/Go-Bold.ttf
var boldFile []byte

// Face is a cut of the letters.
type Face int

// The faces.
const (
	Regular Face = iota
	Bold
	faces
)

// font is a TrueType font as far as it is needed here. Names of tables and
// fields are those of the OpenType specification, version 1.9.
type font struct {
	name    string
	data    []byte
	tables  map[string][]byte
	glyphs  int // number of them
	longHM  int // entries of hmtx with a width of their own
	upem    float64
	runes   map[rune]uint16
	ascent  int16
	descent int16
	capital int16
	box     [4]int16
	longLoc bool
	quick   [frequent]int // widths of the first characters; -1 for those that take no room
}

// frequent is the first character whose width is looked up each time: Latin,
// Greek and Cyrillic lie below it.
const frequent = 0x500

var fonts = sync.OnceValue(func() [faces]*font {
	return [faces]*font{parseFont("Go", regularFile), parseFont("Go-Bold", boldFile)}
})

// parseFont reads one of the embedded fonts; a test reads each of them.
func parseFont(name string, data []byte) *font {
	f := &font{name: name, data: data, tables: map[string][]byte{}, runes: map[rune]uint16{}}
	for i := range int(u16(data, 4)) {
		rec := data[12+16*i:]
		from, size := u32(rec, 8), u32(rec, 12)
		f.tables[string(rec[:4])] = data[from : from+size]
	}
	head, hhea := f.tables["head"], f.tables["hhea"]
	f.upem = float64(u16(head, 18))
	for i := range f.box {
		f.box[i] = int16(u16(head, 36+2*i))
	}
	f.longLoc = u16(head, 50) == 1
	f.ascent, f.descent = int16(u16(hhea, 4)), int16(u16(hhea, 6))
	f.longHM = int(u16(hhea, 34))
	f.glyphs = int(u16(f.tables["maxp"], 4))
	f.capital = int16(u16(f.tables["OS/2"], 88))
	f.readCmap(f.tables["cmap"])
	// The hyphen of these letters is as wide as a minus, so that formulas stand;
	// words want the short one, which they have as soft hyphen.
	f.runes['-'] = f.runes['\u00ad']
	for r := range rune(frequent) {
		if f.quick[r] = -1; !unseen(r) {
			f.quick[r] = f.advance(f.glyph(r))
		}
	}
	return f
}

// readCmap reads the Unicode subtable of format 4.
func (f *font) readCmap(t []byte) {
	for i := range int(u16(t, 2)) {
		platform, sub := u16(t, 4+8*i), t[u32(t, 8+8*i):]
		if platform != 3 || u16(sub, 0) != 4 {
			continue
		}
		n := int(u16(sub, 6)) / 2
		ends, starts, deltas, offsets := sub[14:], sub[16+2*n:], sub[16+4*n:], sub[16+6*n:]
		for s := range n {
			for c := int(u16(starts, 2*s)); c <= int(u16(ends, 2*s)) && c < 0xFFFF; c++ {
				g := uint16(c) + u16(deltas, 2*s)
				if o := int(u16(offsets, 2*s)); o != 0 {
					if g = u16(offsets, 2*s+o+2*(c-int(u16(starts, 2*s)))); g != 0 {
						g += u16(deltas, 2*s)
					}
				}
				if g != 0 {
					f.runes[rune(c)] = g
				}
			}
		}
	}
}

func u16(b []byte, at int) uint16 { return binary.BigEndian.Uint16(b[at:]) }
func u32(b []byte, at int) uint32 { return binary.BigEndian.Uint32(b[at:]) }

// near are characters that stand in for some that the letters lack.
var near = map[rune]rune{
	'\u2010': '-', '\u2011': '-', '\u2012': '–', '\u2212': '−', '\u2043': '-',
	'\u2000': ' ', '\u2001': ' ', '\u2002': ' ', '\u2003': ' ', '\u2004': ' ', '\u2005': ' ', '\u2006': ' ', '\u2007': ' ',
	'\u2008': ' ', '\u2009': ' ', '\u200a': ' ', '\u202f': ' ', '\u205f': ' ', '\u3000': ' ', '\u00a0': ' ',
	'⌀': 'ø', '∅': 'ø', '⋅': '·', '∙': '·', '\u2126': 'Ω', '\u212a': 'K', '\u212b': 'Å', '\u03bc': 'µ', 'ʼ': '’', '′': '\'', '″': '"',
	'⩽': '≤', '⩾': '≥', '⁄': '/', '☐': '□', '▯': '□', '•': '•', '✓': '√', '✔': '√',
}

// missing stands where the letters have neither a character nor a near one.
const missing = '□'

// glyph returns the glyph of a character.
func (f *font) glyph(r rune) uint16 {
	if g, ok := f.find(r); ok {
		return g
	}
	return f.runes[missing]
}

func (f *font) find(r rune) (uint16, bool) {
	if g, ok := f.runes[r]; ok {
		return g, true
	}
	other, ok := near[r]
	return f.runes[other], ok
}

// advance returns the width of a glyph in units of the font.
func (f *font) advance(g uint16) int {
	return int(u16(f.tables["hmtx"], 4*min(int(g), f.longHM-1)))
}

// Width returns how wide a text is.
func Width(face Face, size float64, text string) float64 {
	f := fonts()[face]
	sum := 0
	for _, r := range text {
		switch {
		case r >= 0 && r < frequent:
			sum += max(f.quick[r], 0)
		case !unseen(r):
			sum += f.advance(f.glyph(r))
		}
	}
	return float64(sum) * size / f.upem
}

// Shown reports whether the letters have the character or a near one.
func Shown(r rune) bool {
	_, ok := fonts()[Regular].find(r)
	return ok || unseen(r)
}

// unseen reports whether a character takes no room: marks of direction and
// joining, selectors, the zero-width space, and controls.
func unseen(r rune) bool {
	switch {
	case r < ' ', r >= 0x7f && r < 0xa0, r == 0xad, r == 0xfeff:
		return true
	case r >= 0x200b && r <= 0x200f, r >= 0x202a && r <= 0x202e, r >= 0x2060 && r <= 0x206f, r >= 0xfe00 && r <= 0xfe0f:
		return true
	}
	return false
}

// Ascent returns how far the tallest letters rise above the base line, Capital
// how far capitals and figures do.
func Ascent(face Face, size float64) float64 {
	f := fonts()[face]
	return float64(f.ascent) * size / f.upem
}

// Capital returns the height of capitals and figures.
func Capital(face Face, size float64) float64 {
	f := fonts()[face]
	return float64(f.capital) * size / f.upem
}
