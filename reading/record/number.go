package record

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/bits"
	"strconv"
	"unicode/utf8"
)

// slack is how many bytes may be read past the end of a chunk: three words.
const slack = 24

// Constants of the eight-digits-at-once reading of a number; each applies to
// eight bytes in one word, the first digit in the lowest byte.
const (
	ascii0  = 0x3030303030303030 // '0' in every byte
	sevens  = 0x7f7f7f7f7f7f7f7f
	above9  = 0x7676767676767676 // 0x80 - 10 in every byte
	highs   = 0x8080808080808080
	pairs   = 0x000000FF000000FF
	hundred = 0x000F424000000064 // 100 + (1000000 << 32)
	one     = 0x0000271000000001 // 1 + (10000 << 32)
)

// exact are the powers of ten that a float64 holds exactly.
var exact = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// mostDigits is the most digits whose whole number surely fits the 53 bits of
// a float64, so that one correctly rounded division gives the nearest value.
const mostDigits = 15

// eightDigits returns the number written by eight digit values, the first in
// the lowest byte.
func eightDigits(v uint64) uint64 {
	v = v*10 + v>>8
	return ((v&pairs)*hundred + ((v>>16)&pairs)*one) >> 32
}

// word8 returns eight bytes from a place, the first in the lowest byte.
func word8(b []byte, i int) uint64 { return binary.LittleEndian.Uint64(b[i : i+8 : i+8]) }

// quick reads the plain number that begins at b[p], such as "-12.5": digits
// with at most one decimal separator and a minus. It returns the value and the
// place behind it. A number of any other form, or one that needs more than a
// float64's exact digits, returns end == p, and so does an empty cell. b must
// have slack bytes behind the number.
func quick(b []byte, p int, decimal byte) (value float64, end int) {
	x := word8(b, p) ^ ascii0
	start, minus := p, 0
	if byte(x) == '-'^'0' {
		minus = 1
	}
	// A minus is shifted out; what comes in behind is no digit.
	x = x>>(8*uint(minus)&63) | uint64(-minus)<<56
	p += minus
	other := others(x)
	first := bits.TrailingZeros64(other) >> 3
	switch {
	case first+minus >= 8:
		value, end = longer(b, p, decimal)
	case b[p+first] != decimal:
		value, end = float64(eightDigits(x<<(8*uint(8-first)))), p+first
	default:
		rest := other & (other - 1)
		stop := bits.TrailingZeros64(rest) >> 3
		if stop+minus >= 8 {
			value, end = fraction(b, p, first, eightDigits(x<<(8*uint(8-first))))
			break
		}
		low := uint64(1)<<(8*uint(first)) - 1
		digits := (x&low | x>>8&^low) << (8 * uint(9-stop))
		value, end = float64(eightDigits(digits))/exact[stop-first-1], p+stop
		if stop == 1 { // a lone separator
			end = p
		}
	}
	if end == p {
		return 0, start
	}
	return math.Float64frombits(math.Float64bits(value) | uint64(minus)<<63), end
}

// ones is 1 in every byte: ones*c is c in every byte.
const ones = 0x0101010101010101

// zeros marks the zero bytes of a word; the lowest mark is exact, higher ones
// may be false.
func zeros(x uint64) uint64 { return (x - ones) &^ x & highs }

// others marks the bytes of a word that hold no digit value, exactly.
func others(x uint64) uint64 { return (x&sevens + above9 | x) & highs }

// cell8 reads the plain number in the cell that begins at b[p] and ends, at a
// delimiter or a line end, within eight bytes, as nearly every one does. The
// end is found first and by itself, so that the processor goes on to the next
// cell while it still works out the value. ends is delimiter*ones. It returns
// end == p for any other cell.
func cell8(b []byte, p int, decimal byte, ends uint64) (value float64, end int) {
	w := word8(b, p)
	stops := zeros(w^ends) | zeros(w^'\n'*ones)
	if stops == 0 {
		return 0, p
	}
	stop := uint(bits.TrailingZeros64(stops)) >> 3
	x := w ^ ascii0
	minus := uint(0)
	if byte(x) == '-'^'0' {
		minus = 1
	}
	x >>= 8 * minus & 63
	n := stop - minus // characters without the minus
	if n == 0 {
		return 0, p
	}
	other := others(x) & (1<<(8*n&63) - 1)
	if other == 0 {
		value = float64(int64(eightDigits(x << (8 * (8 - n) & 63))))
		return math.Float64frombits(math.Float64bits(value) | uint64(minus)<<63), p + int(stop)
	}
	first := uint(bits.TrailingZeros64(other)) >> 3
	if other&(other-1) != 0 || n == 1 || byte(x>>(8*first&63)) != decimal^'0' {
		return 0, p
	}
	low := uint64(1)<<(8*first&63) - 1
	digits := (x&low | x>>8&^low) << (8 * (9 - n) & 63)
	value = float64(int64(eightDigits(digits))) / exact[(n-first-1)&7]
	return math.Float64frombits(math.Float64bits(value) | uint64(minus)<<63), p + int(stop)
}

// fraction reads the digits behind the separator at b[p+first], before which
// first digits with the value whole stand; end == p when there are too many.
func fraction(b []byte, p, first int, whole uint64) (value float64, end int) {
	at := p + first + 1
	x := word8(b, at) ^ ascii0
	n := bits.TrailingZeros64(others(x)) >> 3
	if n == 8 || first+n > mostDigits {
		return 0, p
	}
	return float64(whole*tens[n]+eightDigits(x<<(8*uint(8-n)))) / exact[n], at + n
}

// tens are the powers of ten as whole numbers.
var tens = [...]uint64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7}

// longer reads digits with at most one decimal separator one by one; end == p
// when there are none or more than mostDigits.
func longer(b []byte, p int, decimal byte) (float64, int) {
	var mantissa uint64
	i, dot := p, -1
	for ; i < len(b); i++ {
		d := b[i] - '0'
		if d <= 9 {
			mantissa = mantissa*10 + uint64(d)
			if i-p > mostDigits+1 {
				return 0, p
			}
			continue
		}
		if b[i] != decimal || dot >= 0 {
			break
		}
		dot = i
	}
	digits, fraction := i-p, 0
	if dot >= 0 {
		digits--
		fraction = i - dot - 1
	}
	if digits == 0 || digits > mostDigits {
		return 0, p
	}
	return float64(mantissa) / exact[fraction], i
}

// reading of a cell that quick did not take.
type cellKind uint8

const (
	numberCell    cellKind = iota
	otherDecimal           // a number, written with the separator that is not the file's
	emptyCell              // nothing, or a word that loggers write for nothing
	ambiguousCell          // could be a decimal or a grouped thousand
	textCell               // no number
)

// nothings are what loggers write where there is no value.
var nothings = []string{"-", "--", "---", "n/a", "na", "nan", "null", "none", "?", "#n/a"}

// careful reads a whole cell of any form: blanks, quotes, signs, exponents, the
// other decimal separator, a unit behind the number.
func careful(cell []byte, decimal byte, unit string) (float64, cellKind) {
	cell = trimCell(cell)
	if len(cell) == 0 || isNothing(cell) {
		return math.NaN(), emptyCell
	}
	if rest, ok := bytes.CutSuffix(cell, []byte(unit)); ok && unit != "" {
		cell = trimCell(rest)
	}
	if rest, ok := bytes.CutPrefix(cell, []byte("\u2212")); ok {
		cell = append([]byte{'-'}, rest...)
	}
	var room [64]byte
	plain, kind := separated(room[:0], cell, decimal)
	if kind != numberCell && kind != otherDecimal {
		return math.NaN(), kind
	}
	v, err := strconv.ParseFloat(string(plain), 64)
	if err != nil || math.IsInf(v, 0) {
		return math.NaN(), textCell
	}
	return v, kind
}

// separated returns the cell with a decimal point, appended to room, and what
// its separators say; textCell when it has a byte that no number has.
func separated(room, cell []byte, decimal byte) ([]byte, cellKind) {
	if len(cell) > cap(room) {
		return nil, textCell
	}
	marks, at := 0, -1
	var mark byte
	for i, c := range cell {
		switch {
		case c == '.' || c == ',':
			marks++
			mark, at = c, i
			c = '.'
		case c >= '0' && c <= '9', c == '-', c == '+', c == 'e', c == 'E':
		default:
			return nil, textCell
		}
		room = append(room, c)
	}
	switch {
	case marks > 1:
		return nil, ambiguousCell
	case marks == 0 || mark == decimal:
		return room, numberCell
	case couldGroup(cell, at):
		return nil, ambiguousCell
	}
	return room, otherDecimal
}

// couldGroup reports whether the separator at could group thousands: one to
// three digits before it, the first not 0, and exactly three behind.
func couldGroup(cell []byte, at int) bool {
	before := bytes.TrimLeft(cell[:at], "+-")
	behind := cell[at+1:]
	return len(behind) == 3 && onlyDigits(behind) && len(before) >= 1 && len(before) <= 3 && onlyDigits(before) && before[0] != '0'
}

func onlyDigits(b []byte) bool {
	for _, c := range b {
		if c < '0' || c > '9' {
			return false
		}
	}
	return true
}

func isNothing(cell []byte) bool {
	if len(cell) > 4 {
		return false
	}
	for _, n := range nothings {
		if len(n) == len(cell) && bytes.EqualFold(cell, []byte(n)) {
			return true
		}
	}
	return false
}

// trimCell removes blanks (also no-break ones) and one pair of quotes, then
// blanks inside them.
func trimCell(cell []byte) []byte {
	cell = trimBlank(cell)
	if len(cell) >= 2 && cell[0] == '"' && cell[len(cell)-1] == '"' {
		cell = trimBlank(cell[1 : len(cell)-1])
	}
	return cell
}

func trimBlank(cell []byte) []byte {
	return bytes.TrimFunc(cell, func(r rune) bool { return r == ' ' || r == '\t' || r == '\u00a0' || r == '\u202f' || r == '\r' })
}

// characters returns how many characters the first n bytes of line are.
func characters(line []byte, n int) int { return utf8.RuneCount(line[:min(n, len(line))]) }

func abs(x float64) float64 { return math.Abs(x) }

// rounded cuts a number that is shown to four significant digits, whole
// numbers to none.
func rounded(x float64) float64 {
	if x == 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	scale := math.Pow(10, 3-math.Floor(math.Log10(math.Abs(x))))
	if scale < 1 {
		return math.Round(x)
	}
	return math.Round(x*scale) / scale
}
