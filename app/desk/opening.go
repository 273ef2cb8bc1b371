package desk

import (
	"fmt"
	"regexp"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/joblog"
	"elbowroom/money"
	"elbowroom/workshop"
)

// written is a workshop with its text.
type written struct {
	workshop.Workshop
	text []byte
}

var isCurrency = regexp.MustCompile(`^[A-Z]{3}$`)

// workshop writes the description of the workshop that is opened.
func (o Opening) workshop() (written, error) {
	name := strings.TrimSpace(o.Workshop)
	if name == "" {
		return written{}, fmt.Errorf("%w: workshop: say what it is called", app.ErrInput)
	}
	id, err := named(name)
	if err != nil {
		return written{}, fmt.Errorf("workshop: %w", err)
	}
	if !isCurrency.MatchString(o.Currency) {
		return written{}, fmt.Errorf("%w: currency: %q is not three capital letters, such as EUR", app.ErrInput, o.Currency)
	}
	rate, err := money.Parse(o.Rate)
	if err != nil || rate <= 0 {
		return written{}, fmt.Errorf("%w: rate: %q is not a price for an hour, such as 84.00", app.ErrInput, o.Rate)
	}
	w := workshop.Workshop{Format: 1, ID: guide.ID(id), Name: name, Currency: o.Currency, Rate: money.PerHour(rate)}
	return written{w, file.Encode(w)}, nil
}

var notInName = regexp.MustCompile(`[^a-z0-9]+`)

// named makes a short name of what somebody or something is called: the last
// word in small letters.
func named(full string) (joblog.Person, error) {
	words := strings.Fields(strings.ToLower(full))
	for i := len(words) - 1; i >= 0; i-- {
		short := strings.Trim(notInName.ReplaceAllString(plain.Replace(words[i]), ""), "0123456789")
		if short != "" {
			return joblog.Person(cut(short, nameBytes)), nil
		}
	}
	return "", fmt.Errorf("%w: name: %q has no letter from a to z to make a short name of; add one", app.ErrInput, full)
}

// nameBytes is how long a short name may be.
const nameBytes = 32

// plain writes letters with marks without them.
var plain = strings.NewReplacer(
	"ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss", "å", "a", "æ", "ae", "ø", "o", "é", "e", "è", "e", "ê", "e", "ë", "e",
	"á", "a", "à", "a", "â", "a", "ã", "a", "í", "i", "ì", "i", "î", "i", "ï", "i", "ó", "o", "ò", "o", "ô", "o", "õ", "o",
	"ú", "u", "ù", "u", "û", "u", "ç", "c", "ñ", "n", "ý", "y", "ł", "l", "ś", "s", "š", "s", "ž", "z", "ź", "z", "ż", "z",
	"č", "c", "ć", "c", "ř", "r", "ě", "e", "ů", "u", "ą", "a", "ę", "e", "ń", "n", "ğ", "g", "ş", "s", "ı", "i",
)
