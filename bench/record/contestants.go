package main

import (
	"bufio"
	"elbowroom/guide"
	"elbowroom/reading/record"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
)

// contestant is one way of reading the table.
type contestant struct {
	name string
	run  func(file string) ([]channel, error)
}

// contestants, the one that ratios refer to first.
var contestants = []contestant{
	{"elbowroom with stretches", runElbowroom},
	{"elbowroom totals only", runTotals},
	{"encoding/csv", runStandard},
}

// every is all contestants of this build, see others.
func every() []contestant { return append(contestants[:len(contestants):len(contestants)], others...) }

func fresh() []channel {
	found := make([]channel, channels)
	for i := range found {
		found[i].Least, found[i].Most = math.Inf(1), math.Inf(-1)
	}
	return found
}

func (c *channel) add(v float64) {
	c.N++
	c.Mean += v // a sum until means
	if v < c.Least {
		c.Least = v
	}
	if v > c.Most {
		c.Most = v
	}
}

func means(found []channel) []channel {
	for i := range found {
		found[i].Mean /= float64(found[i].N)
	}
	return found
}

// clauses are the conditions of the two questions.
func clauses(texts ...string) ([]guide.Clause, error) {
	var all []guide.Clause
	for _, t := range texts {
		c, err := guide.Parse[guide.Clause](t)
		if err != nil {
			return nil, err
		}
		all = append(all, c)
	}
	return all, nil
}

func runElbowroom(file string) ([]channel, error) {
	warm, err := clauses("coolant >= 85 °C", "speed 1500..2500 rpm")
	if err != nil {
		return nil, err
	}
	hot, err := clauses("oil 90..100 °C", "speed 1000..3000 rpm", "battery voltage >= 13.5 V")
	if err != nil {
		return nil, err
	}
	m := record.Mapping{Channels: []record.Channel{
		{Name: "coolant", Unit: "°C", Nth: 1, Meaning: "coolant", In: "°C"},
		{Name: "oil", Unit: "°C", Nth: 1, Meaning: "oil", In: "°C"},
		{Name: "engine speed", Unit: "rpm", Nth: 1, Meaning: "speed", In: "rpm"},
		{Name: "battery", Unit: "V", Nth: 1, Meaning: "battery voltage", In: "V"},
		{Name: "manifold pressure", Unit: "hPa", Nth: 1, Meaning: "manifold pressure", In: "hPa"},
		{Name: "oil pressure", Unit: "bar", Nth: 1, Meaning: "oil pressure", In: "bar"},
	}}
	rec, found, err := elbowroom(file, record.Request{Mapping: m, Questions: []record.Question{
		{Name: "manifold", Judged: "manifold pressure", When: warm, Demand: record.NoneSteady},
		{Name: "oil", Judged: "oil pressure", When: hot},
	}, Plot: []string{"oil pressure"}})
	if err != nil {
		return nil, err
	}
	for _, a := range rec.Answers {
		if len(a.Missing) > 0 || a.Together == 0 {
			return nil, fmt.Errorf("the question %q found nothing: %v", a.Question.Name, a.Missing)
		}
	}
	return found, nil
}

func runTotals(file string) ([]channel, error) {
	_, found, err := elbowroom(file, record.Request{})
	return found, err
}

func elbowroom(file string, req record.Request) (*record.Recording, []channel, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	rec := record.Read(f, req)
	if rec.Outcome != record.Whole {
		return nil, nil, fmt.Errorf("%s: %w", rec.Outcome, rec.Findings)
	}
	var found []channel
	for _, s := range rec.Channels {
		found = append(found, channel{N: int64(s.N), Least: s.Least, Most: s.Most, Mean: s.Mean})
	}
	return rec, found, nil
}

func runStandard(file string) ([]channel, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r := csv.NewReader(bufio.NewReaderSize(f, 1<<18))
	r.ReuseRecord = true
	found := fresh()
	for first := true; ; first = false {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return means(found), nil
		}
		if err != nil {
			return nil, err
		}
		if first {
			continue
		}
		for i, c := range cells {
			v, err := strconv.ParseFloat(c, 64)
			if err != nil {
				return nil, err
			}
			found[i].add(v)
		}
	}
}
