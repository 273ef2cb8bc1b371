package pdf

import (
	"bytes"
	"compress/zlib"
	"crypto/sha256"
	"fmt"
	"strings"
	"time"
	"unicode/utf16"
)

// objects are the numbered objects of a file in the order in which they are
// written.
type objects struct {
	out     bytes.Buffer
	offsets []int // of object i+1; 0 while it is only reserved
	root    int
	info    int
	press   *zlib.Writer
}

const opening = "%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"

// reserve returns the number of an object that is written later.
func (o *objects) reserve() int {
	o.offsets = append(o.offsets, 0)
	return len(o.offsets)
}

func (o *objects) put(n int, body string) {
	if o.out.Len() == 0 {
		o.out.WriteString(opening)
	}
	o.offsets[n-1] = o.out.Len()
	fmt.Fprintf(&o.out, "%d 0 obj\n%s\nendobj\n", n, body)
}

func (o *objects) add(body string) int {
	n := o.reserve()
	o.put(n, body)
	return n
}

// stream adds compressed data with the entries of its dictionary.
func (o *objects) stream(dict string, data []byte) int {
	var z bytes.Buffer
	if o.press == nil {
		o.press = zlib.NewWriter(&z)
	} else {
		o.press.Reset(&z)
	}
	_, _ = o.press.Write(data) // a Buffer does not fail
	_ = o.press.Close()
	return o.add(fmt.Sprintf("<<%s/Length %d/Filter/FlateDecode>>stream\n%s\nendstream", dict, z.Len(), z.String()))
}

// finish adds the table of objects and returns the file.
func (o *objects) finish() []byte {
	at := o.out.Len()
	sum := sha256.Sum256(o.out.Bytes())
	fmt.Fprintf(&o.out, "xref\n0 %d\n0000000000 65535 f \n", len(o.offsets)+1)
	for _, off := range o.offsets {
		fmt.Fprintf(&o.out, "%010d 00000 n \n", off)
	}
	fmt.Fprintf(&o.out, "trailer\n<</Size %d/Root %d 0 R/Info %d 0 R/ID[<%x><%x>]>>\nstartxref\n%d\n%%%%EOF\n",
		len(o.offsets)+1, o.root, o.info, sum[:16], sum[:16], at)
	return o.out.Bytes()
}

// text prints a string for people in UTF-16, as hexadecimal digits.
func text(s string) string {
	var b strings.Builder
	b.WriteString("<FEFF")
	for _, u := range utf16.Encode([]rune(s)) {
		fmt.Fprintf(&b, "%04X", u)
	}
	return b.String() + ">"
}

func date(t time.Time) string {
	return "(" + t.Format("D:20060102150405") + strings.Replace(t.Format("-07:00"), ":", "'", 1) + "')"
}

func (f *File) build(o *objects) {
	tree := o.reserve()
	resources := o.reserve()
	kids, numbers := "", make([]int, len(f.pages))
	for i, p := range f.pages {
		content := o.stream("", p.out.Bytes())
		numbers[i] = o.add(fmt.Sprintf("<</Type/Page/Parent %d 0 R/MediaBox[0 0 %s %s]/Resources %d 0 R/Contents %d 0 R>>",
			tree, number(p.W), number(p.H), resources, content))
		kids += fmt.Sprintf("%d 0 R ", numbers[i])
	}
	o.put(tree, fmt.Sprintf("<</Type/Pages/Count %d/Kids[%s]>>", len(f.pages), kids))
	o.put(resources, f.resources(o))
	catalog := fmt.Sprintf("<</Type/Catalog/Pages %d 0 R/ViewerPreferences<</DisplayDocTitle true>>", tree)
	if f.info.Language != "" {
		catalog += "/Lang " + text(f.info.Language)
	}
	if len(f.marks) > 0 {
		catalog += fmt.Sprintf("/Outlines %d 0 R", f.outlines(o, numbers))
	}
	o.root = o.add(catalog + ">>")
	info := "<</Producer(Elbowroom)"
	for _, e := range []struct{ key, value string }{{"Title", f.info.Title}, {"Subject", f.info.Subject}, {"Author", f.info.Author}} {
		if e.value != "" {
			info += "/" + e.key + " " + text(e.value)
		}
	}
	if !f.info.Made.IsZero() {
		info += "/CreationDate " + date(f.info.Made)
	}
	o.info = o.add(info + ">>")
}

func (f *File) resources(o *objects) string {
	var b strings.Builder
	b.WriteString("<</Font<<")
	for i, u := range f.used {
		if len(u.runes) > 0 {
			fmt.Fprintf(&b, "/F%d %d 0 R", i, u.write(o, i))
		}
	}
	b.WriteString(">>/ExtGState<<")
	for i, s := range f.states {
		fmt.Fprintf(&b, "/G%d %s", i, s)
	}
	b.WriteString(">>/Pattern<<")
	for i, p := range f.patterns {
		fmt.Fprintf(&b, "/P%d %d 0 R", i, o.stream(p.dict, []byte(p.body)))
	}
	b.WriteString(">>>>")
	return b.String()
}

// outlines adds the list of contents, one level.
func (f *File) outlines(o *objects, pages []int) int {
	root := o.reserve()
	items := make([]int, len(f.marks))
	for i := range items {
		items[i] = o.reserve()
	}
	for i, m := range f.marks {
		body := fmt.Sprintf("<</Title %s/Parent %d 0 R/Dest[%d 0 R/XYZ null %s null]", text(m.title), root, pages[m.page], number(m.y))
		if i > 0 {
			body += fmt.Sprintf("/Prev %d 0 R", items[i-1])
		}
		if i+1 < len(items) {
			body += fmt.Sprintf("/Next %d 0 R", items[i+1])
		}
		o.put(items[i], body+">>")
	}
	o.put(root, fmt.Sprintf("<</Type/Outlines/First %d 0 R/Last %d 0 R/Count %d>>", items[0], items[len(items)-1], len(items)))
	return root
}

// write adds the font with the used glyphs and returns its number.
func (u *used) write(o *objects, i int) int {
	f := u.font
	tag := string([]byte{'E', 'L', 'B', 'O', 'W', byte('A' + i)}) + "+" + f.name
	data := u.subset()
	file := o.stream(fmt.Sprintf("/Length1 %d", len(data)), data)
	em := func(v int16) string { return number(float64(v) * 1000 / f.upem) }
	descriptor := o.add(fmt.Sprintf("<</Type/FontDescriptor/FontName/%s/Flags 32/FontBBox[%s %s %s %s]/ItalicAngle 0/Ascent %s/Descent %s/CapHeight %s/StemV %d/FontFile2 %d 0 R>>",
		tag, em(f.box[0]), em(f.box[1]), em(f.box[2]), em(f.box[3]), em(f.ascent), em(f.descent), em(f.capital), 80+60*i, file))
	var widths strings.Builder
	fmt.Fprintf(&widths, "0[%s", number(float64(f.advance(0))*1000/f.upem))
	for _, r := range u.runes {
		widths.WriteString(" " + number(float64(f.advance(f.glyph(r)))*1000/f.upem))
	}
	cid := o.add(fmt.Sprintf("<</Type/Font/Subtype/CIDFontType2/BaseFont/%s/CIDSystemInfo<</Registry(Adobe)/Ordering(Identity)/Supplement 0>>/FontDescriptor %d 0 R/CIDToGIDMap/Identity/W[%s]]>>",
		tag, descriptor, widths.String()))
	return o.add(fmt.Sprintf("<</Type/Font/Subtype/Type0/BaseFont/%s/Encoding/Identity-H/DescendantFonts[%d 0 R]/ToUnicode %d 0 R>>",
		tag, cid, o.stream("", []byte(u.toUnicode()))))
}

// chunk is the most entries of one list of a CMap (Adobe technical note 5014).
const chunk = 100

// toUnicode returns the map from glyphs back to characters.
func (u *used) toUnicode() string {
	var b strings.Builder
	b.WriteString("/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n" +
		"/CIDSystemInfo <</Registry(Adobe)/Ordering(UCS)/Supplement 0>> def\n/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n" +
		"1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n")
	for from := 0; from < len(u.runes); from += chunk {
		part := u.runes[from:min(from+chunk, len(u.runes))]
		fmt.Fprintf(&b, "%d beginbfchar\n", len(part))
		for i, r := range part {
			fmt.Fprintf(&b, "<%04X> <", from+i+1)
			for _, c := range utf16.Encode([]rune{r}) {
				fmt.Fprintf(&b, "%04X", c)
			}
			b.WriteString(">\n")
		}
		b.WriteString("endbfchar\n")
	}
	b.WriteString("endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n")
	return b.String()
}
