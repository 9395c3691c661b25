package feed

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
	"time"
)

// field is a column we read: the only unit it may come in, and what no sea or sky exceeds.
// The bounds are wide (records with room to spare, from memory); they are there to catch
// shifted columns and other units, not bad forecasts.
type field struct {
	unit     string
	min, max float64
}

var (
	waveHeight = field{"m", 0, 35}
	wavePeriod = field{"s", 0, 60}
	direction  = field{"°", 0, 360}
	speed      = field{"m/s", 0, 150}
)

var errNotNumber = errors.New("neither a number nor null")

// numbers reads a JSON array of numbers and nulls; null becomes NaN, never 0. raw has been
// found to be valid JSON already.
func numbers(raw json.RawMessage, want int) ([]float64, error) {
	out := make([]float64, 0, want)
	i := 0
	skip := func() {
		for i < len(raw) && (raw[i] == ' ' || raw[i] == '\n' || raw[i] == '\t' || raw[i] == '\r') {
			i++
		}
	}
	if skip(); i == len(raw) || raw[i] != '[' {
		return nil, errors.New("not a list")
	}
	for i++; ; i++ {
		skip()
		if i < len(raw) && raw[i] == ']' { // after "[" only, as the JSON is valid
			break
		}
		start := i
		for i < len(raw) && raw[i] != ',' && raw[i] != ']' && raw[i] > ' ' {
			i++
		}
		word := raw[start:i]
		v := math.NaN()
		if string(word) != "null" {
			if len(word) == 0 || word[0] != '-' && (word[0] < '0' || word[0] > '9') {
				return nil, errNotNumber
			}
			var err error
			if v, err = strconv.ParseFloat(string(word), 64); err != nil {
				return nil, errNotNumber
			}
		}
		if len(out) == want {
			return nil, fmt.Errorf("longer than the %d times", want)
		}
		out = append(out, v)
		if skip(); i >= len(raw) || raw[i] != ',' {
			break
		}
	}
	if len(out) != want {
		return nil, fmt.Errorf("%d values for %d times", len(out), want)
	}
	return out, nil
}

// read takes one column of a body. Absent, or of undefined unit and all null (a model that
// lacks the variable), is nil.
func (b *body) read(name string, f field) ([]float64, error) {
	raw, ok := b.Hourly[name]
	if !ok {
		return nil, nil
	}
	unit := b.Units[name]
	if unit != f.unit && unit != "undefined" {
		return nil, &BadBody{Why: WrongUnits, Detail: fmt.Sprintf("%s in %q, want %q", short(name), short(unit), f.unit)}
	}
	values, err := numbers(raw, len(b.times))
	if err != nil {
		return nil, &BadBody{Why: WrongShape, Detail: short(name), Err: err}
	}
	some := false
	for _, v := range values {
		if math.IsNaN(v) {
			continue
		}
		some = true
		if v < f.min || v > f.max {
			return nil, &BadBody{Why: WrongValue, Detail: fmt.Sprintf("%s of %v outside %v to %v", short(name), v, f.min, f.max)}
		}
	}
	switch {
	case unit != "undefined":
		return values, nil
	case some:
		return nil, &BadBody{Why: WrongUnits, Detail: short(name) + " has values of undefined unit"}
	}
	return nil, nil
}

// earliest and latest bound what can be a time of a forecast: 2000 to 2100.
const earliest, latest = 946684800, 4102444800

func (b *body) readTimes() error {
	if u := b.Units["time"]; u != "unixtime" {
		// Local times come with one offset for the whole span, wrong after a change of clocks.
		return &BadBody{Why: WrongUnits, Detail: fmt.Sprintf("time in %q, want %q", short(u), "unixtime")}
	}
	var stamps []int64
	if err := json.Unmarshal(b.Hourly["time"], &stamps); err != nil {
		return &BadBody{Why: WrongShape, Detail: "time is not a list of whole seconds"}
	}
	if len(stamps) == 0 {
		return &NoData{Why: AllNull}
	}
	b.times = make([]time.Time, len(stamps))
	for i, s := range stamps {
		if s < earliest || s > latest { // a null reads as 0
			return &BadBody{Why: WrongValue, Detail: fmt.Sprintf("time %d outside the years 2000 to 2100", s)}
		}
		if i > 0 && s <= stamps[i-1] {
			return &BadBody{Why: WrongShape, Detail: fmt.Sprintf("time %d not after the one before", s)}
		}
		b.times[i] = time.Unix(s, 0).UTC()
	}
	return nil
}

// short keeps a stranger's text from flooding an error.
func short(s string) string {
	if len(s) > 40 {
		return s[:40] + "..."
	}
	return s
}
