package workshop

import (
	"fmt"
	"strconv"
	"time"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// Timed is how long one operation took here. What names it as a quote does:
// "off AR04 from top", "refit AR04 from top", "replace SE13 from top",
// "check T36 from cab", "position=raised"; the place may be left out where the
// guide has one way only.
type Timed struct {
	What string        `yaml:"what"`
	Took time.Duration `yaml:"took"` // by the clock
	By   guide.ID      `yaml:"by,omitempty"`
	Job  string        `yaml:"job,omitempty"` // the stay of one machine: times of one job share its condition
	Date string        `yaml:"date,omitempty"`
}

// Lived is how old a part was when it failed, or when it was last seen good.
type Lived struct {
	Of     guide.ID       `yaml:"of"` // item, kind or part of a guide
	Age    quantity.Value `yaml:"age"`
	Failed bool           `yaml:"failed,omitempty"` // else it was still good
	Count  int            `yaml:"count,omitempty"`  // 0 means 1
	Note   string         `yaml:"note,omitempty"`
}

// Complete reports a time that is none.
func (t Timed) Complete() error {
	var errs guide.FormErrors
	if t.Took <= 0 {
		errs = append(errs, guide.FormError{Field: "took", Text: t.Took.String(), Says: "not a time that something took", Expect: "a time above nothing, such as 27 min"})
	}
	if _, err := time.Parse(time.DateOnly, t.Date); t.Date != "" && err != nil {
		errs = append(errs, guide.FormError{Field: "date", Text: t.Date, Says: "not a day", Expect: "year, month and day, such as 2026-03-16"})
	}
	if len(errs) == 0 {
		return nil
	}
	return errs
}

// Complete reports an age that is none.
func (l Lived) Complete() error {
	if l.Age.Zero() || l.Age.Number > 0 && (l.Age.Dimension() == quantity.Distance || l.Age.Dimension() == quantity.Time) {
		return nil // a missing age is reported as such
	}
	return guide.FormErrors{{Field: "age", Text: l.Age.String(), Says: "not the age of a part", Expect: "a distance or a time above nothing, such as 92000 km or 40 months"}}
}

// Complete reports what cannot be so of the prices and hours of a workshop.
func (w Workshop) Complete() error {
	var errs guide.FormErrors
	if !(w.VAT >= 0 && w.VAT <= mostVAT) {
		errs = append(errs, guide.FormError{Field: "vat", Text: strconv.FormatFloat(w.VAT, 'f', -1, 64), Says: "not a rate of tax", Expect: fmt.Sprintf("per cent from 0 to %d, such as 20", mostVAT)})
	}
	if w.Day < 0 || w.Day > 24*time.Hour {
		errs = append(errs, guide.FormError{Field: "day", Text: w.Day.String(), Says: "not the hours of a working day", Expect: "a time up to 24 h, such as 8 h"})
	}
	if len(errs) == 0 {
		return nil
	}
	return errs
}

// mostVAT is the highest rate of tax that is taken for one, per cent.
const mostVAT = 100
