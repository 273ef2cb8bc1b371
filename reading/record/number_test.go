package record

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
)

// padded returns the text with the slack that quick may read.
func padded(s string) []byte { return append([]byte(s), make([]byte, slack)...) }

func TestQuickIsTheNearestFloat(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	took := 0
	for range 300_000 {
		whole, fraction := rng.IntN(12), rng.IntN(9)
		if whole+fraction == 0 {
			continue
		}
		var b strings.Builder
		if rng.IntN(3) == 0 {
			b.WriteByte('-')
		}
		for range whole {
			b.WriteByte(byte('0' + rng.IntN(10)))
		}
		if fraction > 0 || rng.IntN(9) == 0 {
			b.WriteByte('.')
		}
		for range fraction {
			b.WriteByte(byte('0' + rng.IntN(10)))
		}
		text := b.String()
		end := []string{",", ";", "\n", "\r", "\t", "|", " ", "e3"}[rng.IntN(8)]
		want, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		got, n := quick(padded(text+end+"987"), 0, '.')
		if n == 0 {
			continue
		}
		took++
		if n != len(text) || math.Float64bits(got) != math.Float64bits(want) {
			t.Fatalf("quick(%q) = %v to %d, want %v to %d", text+end, got, n, want, len(text))
		}
		if v, n := cell8(padded(text+end+"987"), 0, '.', uint64(end[0])*ones); n != 0 && (n != len(text) || math.Float64bits(v) != math.Float64bits(want)) {
			t.Fatalf("cell8(%q) = %v to %d, want %v to %d", text+end, v, n, want, len(text))
		}
		comma, n := quick(padded(strings.Replace(text, ".", ",", 1)+";9"), 0, ',')
		if n != len(text) || comma != want {
			t.Fatalf("%q with a comma: %v to %d, want %v", text, comma, n, want)
		}
	}
	if took < 200_000 {
		t.Errorf("quick took only %d of the plain numbers", took)
	}
}

func TestCarefulCells(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		reason, cell string
		decimal      byte
		unit         string
		want         float64
		kind         cellKind
	}{
		{"a plain number", "12.5", '.', "", 12.5, numberCell},
		{"an exponent", "1.25E-3", '.', "", 1.25e-3, numberCell},
		{"a plus", "+3", '.', "", 3, numberCell},
		{"blanks and quotes", ` " 7,5 " `, ',', "", 7.5, numberCell},
		{"a no-break blank", "\u00a08.25", '.', "", 8.25, numberCell},
		{"a typographic minus", "\u22124.5", '.', "", -4.5, numberCell},
		{"a unit in every cell", "12.5 V", '.', "V", 12.5, numberCell},
		{"another unit than the column's", "12.5 mV", '.', "kPa", nan, textCell},
		{"the other separator, clear", "12,5", '.', "", 12.5, otherDecimal},
		{"the other separator, clear because of a leading 0", "0,125", '.', "", 0.125, otherDecimal},
		{"the other separator, clear because of four digits before", "1234,125", '.', "", 1234.125, otherDecimal},
		{"the other separator where it could group thousands", "1,234", '.', "", nan, ambiguousCell},
		{"the file's own separator before three digits", "1,234", ',', "", 1.234, numberCell},
		{"two separators", "1.234,5", ',', "", nan, ambiguousCell},
		{"grouped twice", "1,234,567", '.', "", nan, ambiguousCell},
		{"empty", "", '.', "", nan, emptyCell},
		{"empty quotes", `""`, '.', "", nan, emptyCell},
		{"not available", "N/A", '.', "", nan, emptyCell},
		{"a word", "ON", '.', "", nan, textCell},
		{"infinity is no reading", "inf", '.', "", nan, textCell},
		{"too large for a float", "1e999", '.', "", nan, textCell},
		{"hexadecimal is no reading", "0x1F", '.', "", nan, textCell},
		{"a lone separator", ".", '.', "", nan, textCell},
		{"a very long number", strings.Repeat("1", 70), '.', "", nan, textCell},
	} {
		got, kind := careful([]byte(c.cell), c.decimal, c.unit)
		if kind != c.kind || got != c.want && !(math.IsNaN(got) && math.IsNaN(c.want)) {
			t.Errorf("%s: careful(%q) = %v, kind %d; want %v, kind %d", c.reason, c.cell, got, kind, c.want, c.kind)
		}
	}
}

func FuzzNumber(f *testing.F) {
	for _, s := range []string{"1.5", "-0", "1e5", "1,5", "", "−3", "99999999.", "12345678,1"} {
		f.Add(s, false)
	}
	f.Fuzz(func(t *testing.T, s string, comma bool) {
		decimal := byte('.')
		if comma {
			decimal = ','
		}
		if v, n := cell8(padded(s+";12;"), 0, decimal, ';'*ones); n > 0 {
			want, err := strconv.ParseFloat(strings.Replace(s[:n], string(decimal), ".", 1), 64)
			if err != nil || want != v || n < len(s) && s[n] != ';' && s[n] != '\n' {
				t.Fatalf("cell8(%q) = %v to %d, ParseFloat says %v, %v", s, v, n, want, err)
			}
		}
		v, n := quick(padded(s), 0, decimal)
		if n == 0 {
			careful([]byte(s), decimal, "V")
			return
		}
		if n > len(s) {
			t.Fatalf("quick(%q) ends at %d, behind the text", s, n)
		}
		want, err := strconv.ParseFloat(strings.Replace(s[:n], string(decimal), ".", 1), 64)
		if err != nil || want != v {
			t.Fatalf("quick(%q) = %v, ParseFloat says %v, %v", s[:n], v, want, err)
		}
	})
}

func BenchmarkQuick(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	var text []byte
	for range 100_000 {
		text = strconv.AppendFloat(text, float64(rng.IntN(1_000_000))/100-3000, 'f', 1+rng.IntN(3), 64)
		text = append(text, ',')
	}
	n := len(text)
	text = append(text, make([]byte, slack)...)
	b.SetBytes(int64(n))
	for b.Loop() {
		count := 0
		for p := 0; p < n; p++ {
			_, end := quick(text, p, '.')
			if end == p {
				b.Fatal("not taken")
			}
			p = end
			count++
		}
		if count != 100_000 {
			b.Fatalf("%d numbers", count)
		}
	}
}
