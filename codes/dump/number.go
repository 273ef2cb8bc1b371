package dump

import (
	"fmt"
	"strings"
	"unicode"

	"elbowroom/quantity"
)

// unitWords are ways in which readers write units that package quantity does
// not take, because elsewhere they would be unclear.
var unitWords = map[string]string{
	"C": "°C", "deg C": "°C", "º C": "°C", "ºC": "°C", "° C": "°C", "F": "°F", "deg F": "°F", "ºF": "°F", "° F": "°F",
	"g/sec": "g/s", "gm/s": "g/s", "gm/sec": "g/s", "kph": "km/h", "kmh": "km/h", "km/hr": "km/h", "/min": "rpm", "RPM": "rpm", "r/min": "rpm",
	"volt": "V", "volts": "V", "Volt": "V", "Volts": "V", "sec": "s", "secs": "s", "seconds": "s", "mins": "min", "KM": "km", "Km": "km", "degrees": "°", "kpa": "kPa", "KPA": "kPa", "v": "V", "ma": "mA",
}

// question is why a number cannot be taken as it stands.
type question struct {
	says, do string
}

// longestNumber is how many bytes a number may have.
const longestNumber = 40

// number reads a number with a decimal point or comma, grouped or not, from the
// beginning of s. It returns the number with a point, how many bytes it takes,
// and a question when it can be read two ways.
func number(s string) (plain string, length int, q *question) {
	end := 0
	if end < len(s) && (s[end] == '-' || s[end] == '+') {
		end++
	}
	from := end
	for end < min(len(s), longestNumber) && (s[end] >= '0' && s[end] <= '9' || inNumber(s, end, from)) {
		end++
	}
	if end == from {
		return "", 0, nil
	}
	body := s[from:end]
	point, comma := strings.Count(body, "."), strings.Count(body, ",")
	plain = strings.ReplaceAll(body, " ", "")
	switch {
	case point == 1 && comma > 0 && thousands(plain[:strings.IndexByte(plain, '.')], ","):
		plain = strings.ReplaceAll(plain, ",", "")
	case comma == 1 && point > 0 && thousands(plain[:strings.IndexByte(plain, ',')], "."):
		plain = strings.ReplaceAll(strings.ReplaceAll(plain, ".", ""), ",", ".")
	case point > 1 && comma == 0 && thousands(plain, "."):
		plain = strings.ReplaceAll(plain, ".", "")
	case comma > 1 && point == 0 && thousands(plain, ","):
		plain = strings.ReplaceAll(plain, ",", "")
	case point+comma > 1: // a date, or anything else
		return "", 0, nil
	case comma == 1 && groupOf3(plain, ','):
		q = &question{
			fmt.Sprintf("%s is %s with a decimal comma, and %s with a comma between thousands", body, strings.Replace(plain, ",", ".", 1), strings.Replace(plain, ",", "", 1)),
			"write it with a decimal point, or without the comma",
		}
	case comma == 1:
		plain = strings.Replace(plain, ",", ".", 1)
	}
	return s[:from] + strings.TrimLeft(plain[:max(0, len(plain)-1)], "0") + plain[max(0, len(plain)-1):], end, q
}

// inNumber reports whether the point, comma or space at i belongs to a number:
// a digit follows, and a space only where it parts groups of three.
func inNumber(s string, i, from int) bool {
	switch s[i] {
	case '.', ',':
		return i+1 < len(s) && s[i+1] >= '0' && s[i+1] <= '9' || s[i] == '.' && i > from && (i+1 == len(s) || s[i+1] == ' ')
	case ' ':
		head := i - from
		if j := strings.LastIndexByte(s[from:i], ' '); j >= 0 {
			head = i - from - j - 1
			if head != 3 {
				return false
			}
		}
		return head >= 1 && head <= 3 && !strings.ContainsAny(s[from:i], ".,") && digitsAt(s, i+1) == 3
	}
	return false
}

func digitsAt(s string, i int) int {
	n := 0
	for i+n < len(s) && s[i+n] >= '0' && s[i+n] <= '9' {
		n++
	}
	return n
}

// thousands reports whether a mark parts a whole number into groups of three.
func thousands(s, mark string) bool {
	groups := strings.Split(s, mark)
	for i, g := range groups {
		if strings.ContainsAny(g, ".,") || i > 0 && len(g) != 3 || len(g) == 0 || len(g) > 3 {
			return false
		}
	}
	return len(groups) > 1
}

// groupOf3 reports whether a mark has one to three digits in front, not nought
// alone, and exactly three behind: it may part thousands.
func groupOf3(s string, mark byte) bool {
	i := strings.IndexByte(s, mark)
	return i >= 1 && i <= 3 && len(s)-i-1 == 3 && s[0] != '0'
}

// measured reads "83 °C" or "1,5 V" that makes up the whole text. It returns
// false when the text is no number with a unit; a question when it is one but
// cannot be taken.
func measured(text string) (quantity.Value, *question, bool) {
	text = strings.TrimSpace(text)
	plain, n, q := number(text)
	if n == 0 {
		return quantity.Value{}, nil, false
	}
	unit := strings.TrimSpace(text[n:])
	if len(unit) > 0 && !unitLike(unit) {
		return quantity.Value{}, nil, false
	}
	if q != nil {
		return quantity.Value{}, q, true
	}
	if w, ok := unitWords[unit]; ok {
		unit = w
	}
	v, err := quantity.Parse(plain + " " + unit)
	if err != nil {
		return quantity.Value{}, &question{fmt.Sprintf("%q is no unit that is known", unit), "write the value with a unit of the trade, such as °C, kPa, V, rpm"}, true
	}
	if v.Dimension() == quantity.Distance && strings.Count(text[:n], ".") == 1 && groupOf3(strings.TrimLeft(plain, "+-"), '.') {
		return quantity.Value{}, &question{fmt.Sprintf("%s is %s with a decimal point, and a thousand times that with a point between thousands", text[:n], plain), "write the distance without the point"}, true
	}
	return v, nil, true
}

// longestUnit is how long a unit may be, in bytes.
const longestUnit = 9

// unitLike reports whether a text may be a unit: short, and no sentence.
func unitLike(s string) bool {
	if len(s) > longestUnit || strings.Count(s, " ") > 1 {
		return false
	}
	for _, r := range s {
		if !unicode.IsLetter(r) && !strings.ContainsRune("°º%/·.² ", r) && r != '1' && r != '2' && r != 'µ' && r != 'Ω' {
			return false
		}
	}
	return true
}
