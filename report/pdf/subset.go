package pdf

import (
	"bytes"
	"encoding/binary"
	"slices"
)

// mostGlyphs is how many different characters of a face one file can hold;
// further ones are printed as the empty box.
const mostGlyphs = 60_000

// used collects the characters of one face that a file needs. Every character
// gets a glyph of its own, also where several look the same, so that each keeps
// its meaning when it is copied.
type used struct {
	font  *font
	runes []rune // glyph i+1 shows runes[i]; glyph 0 is the empty box
	at    map[rune]uint16
}

func newUsed(f *font) *used { return &used{font: f, at: map[rune]uint16{}} }

// glyph returns the number of a character's glyph in the file.
func (u *used) glyph(r rune) uint16 {
	if g, ok := u.at[r]; ok {
		return g
	}
	if len(u.runes) >= mostGlyphs {
		return 0
	}
	u.runes = append(u.runes, r)
	g := uint16(len(u.runes))
	u.at[r] = g
	return g
}

// Flags of composite glyphs (OpenType, table glyf).
const (
	argsAreWords = 0x0001
	hasScale     = 0x0008
	more         = 0x0020
	hasXYScale   = 0x0040
	hasTwoByTwo  = 0x0080
	hasCode      = 0x0100
)

// subset returns a TrueType font that holds only the used glyphs, without
// hinting, which paper does not need.
func (u *used) subset() []byte {
	from := make([]uint16, 1, len(u.runes)+1) // old glyph of each new one
	for _, r := range u.runes {
		from = append(from, u.font.glyph(r))
	}
	var glyf, hmtx bytes.Buffer
	var loca []uint32
	parts := map[uint16]uint16{}
	for i := 0; i < len(from); i++ { // grows by the parts of composites
		loca = append(loca, uint32(glyf.Len()))
		g := slices.Clone(u.font.outline(from[i]))
		if len(g) > 0 && int16(u16(g, 0)) < 0 {
			g = renumber(g, func(old uint16) uint16 {
				n, ok := parts[old]
				if !ok {
					n = uint16(len(from))
					parts[old] = n
					from = append(from, old)
				}
				return n
			})
		} else {
			g = plain(g)
		}
		glyf.Write(g)
		for glyf.Len()%4 != 0 {
			glyf.WriteByte(0)
		}
		hmtx.Write(u.font.metrics(from[i]))
	}
	loca = append(loca, uint32(glyf.Len()))
	return u.assemble(len(from), loca, glyf.Bytes(), hmtx.Bytes())
}

// outline returns the record of a glyph, empty for a space.
func (f *font) outline(g uint16) []byte {
	loca, glyf := f.tables["loca"], f.tables["glyf"]
	if int(g) >= f.glyphs {
		return nil
	}
	if f.longLoc {
		return glyf[u32(loca, 4*int(g)):u32(loca, 4*int(g)+4)]
	}
	return glyf[2*int(u16(loca, 2*int(g))) : 2*int(u16(loca, 2*int(g)+2))]
}

// metrics returns width and left side bearing of a glyph as they stand in hmtx.
func (f *font) metrics(g uint16) []byte {
	hmtx, n := f.tables["hmtx"], int(g)
	if n < f.longHM {
		return hmtx[4*n : 4*n+4]
	}
	bearing := hmtx[4*f.longHM+2*(n-f.longHM):]
	return []byte{hmtx[4*f.longHM-4], hmtx[4*f.longHM-3], bearing[0], bearing[1]}
}

// plain takes the hinting out of a simple glyph.
func plain(g []byte) []byte {
	if len(g) == 0 {
		return g
	}
	at := 10 + 2*int(u16(g, 0))
	code := int(u16(g, at))
	return slices.Concat(g[:at], []byte{0, 0}, g[at+2+code:])
}

// renumber puts new numbers on the parts of a composite glyph and takes its
// hinting out.
func renumber(g []byte, part func(uint16) uint16) []byte {
	at := 10
	for {
		flags := u16(g, at)
		binary.BigEndian.PutUint16(g[at:], flags&^hasCode)
		binary.BigEndian.PutUint16(g[at+2:], part(u16(g, at+2)))
		at += 6
		if flags&argsAreWords != 0 {
			at += 2
		}
		switch {
		case flags&hasScale != 0:
			at += 2
		case flags&hasXYScale != 0:
			at += 4
		case flags&hasTwoByTwo != 0:
			at += 8
		}
		if flags&more == 0 {
			return g[:at]
		}
	}
}

// assemble puts the tables of the smaller font together.
func (u *used) assemble(glyphs int, loca []uint32, glyf, hmtx []byte) []byte {
	head, hhea, maxp := slices.Clone(u.font.tables["head"]), slices.Clone(u.font.tables["hhea"]), slices.Clone(u.font.tables["maxp"])
	binary.BigEndian.PutUint32(head[8:], 0)  // checksum of the file, set below
	binary.BigEndian.PutUint16(head[50:], 1) // long offsets
	binary.BigEndian.PutUint16(hhea[34:], uint16(glyphs))
	binary.BigEndian.PutUint16(maxp[4:], uint16(glyphs))
	longs := make([]byte, 0, 4*len(loca))
	for _, o := range loca {
		longs = binary.BigEndian.AppendUint32(longs, o)
	}
	tables := []struct {
		tag  string
		data []byte
	}{{"glyf", glyf}, {"head", head}, {"hhea", hhea}, {"hmtx", hmtx}, {"loca", longs}, {"maxp", maxp}}
	out := binary.BigEndian.AppendUint32(nil, 0x00010000)
	for _, n := range []uint16{uint16(len(tables)), 64, 2, uint16(16*len(tables) - 64)} { // the search fields for six tables
		out = binary.BigEndian.AppendUint16(out, n)
	}
	at, headAt := 12+16*len(tables), 0
	var body []byte
	for _, t := range tables {
		if t.tag == "head" {
			headAt = at
		}
		out = append(out, t.tag...)
		for _, n := range []uint32{checksum(t.data), uint32(at), uint32(len(t.data))} {
			out = binary.BigEndian.AppendUint32(out, n)
		}
		body = append(body, t.data...)
		for len(body)%4 != 0 {
			body = append(body, 0)
		}
		at = 12 + 16*len(tables) + len(body)
	}
	out = append(out, body...)
	binary.BigEndian.PutUint32(out[headAt+8:], 0xB1B0AFBA-checksum(out))
	return out
}

// checksum adds the four-byte words of a table.
func checksum(b []byte) uint32 {
	var sum uint32
	for i := 0; i < len(b); i += 4 {
		var word [4]byte
		copy(word[:], b[i:])
		sum += binary.BigEndian.Uint32(word[:])
	}
	return sum
}
