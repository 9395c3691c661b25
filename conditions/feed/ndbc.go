package feed

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// The text files of the US National Data Buoy Center are tables: names in the first line, units in the second, both
// behind a "#", then a row an observation, all in UTC. The live ones write MM for what was not measured, the yearly ones
// fill the column with nines; which nines depends on the column, as 99 is a direction and no wave height.

// BuoyCredit names the source of every observation; the data are in the public domain.
const BuoyCredit = "NOAA National Data Buoy Center"

// buoyColumn is a number we read: the units it may come in, what no sea or sky exceeds (as wide as those of field, from
// memory) and what stands for "not measured" beside MM.
type buoyColumn struct {
	units    []string
	min, max float64
	nines    float64
}

var (
	degrees = []string{"degT", "deg"}
	seconds = []string{"sec", "s"}
)

// buoyColumns are the numbers we read, by their names in the files. Not read: DEWP and PTDY; VIS, whose unit the yearly
// files call "mi" where the live ones say nautical miles; TIDE, feet over a datum that is not the ledge's.
var buoyColumns = map[string]buoyColumn{
	"LAT":  {degrees, -90, 90, math.NaN()},
	"LON":  {degrees, -180, 180, math.NaN()},
	"WDIR": {degrees, 0, 360, 999},
	"WSPD": {[]string{"m/s"}, 0, 98.9, 99},
	"GST":  {[]string{"m/s"}, 0, 98.9, 99},
	"WVHT": {[]string{"m"}, 0, 35, 99},
	"DPD":  {seconds, 0, 60, 99},
	"APD":  {seconds, 0, 60, 99},
	"MWD":  {degrees, 0, 360, 999},
	"PRES": {[]string{"hPa"}, 850, 1100, 9999},
	"ATMP": {[]string{"degC"}, -90, 60, 999},
	"WTMP": {[]string{"degC"}, -5, 45, 999},
	"SwH":  {[]string{"m"}, 0, 35, 99},
	"SwP":  {seconds, 0, 60, 99},
	"WWH":  {[]string{"m"}, 0, 35, 99},
	"WWP":  {seconds, 0, 60, 99},
}

// buoyWords are the columns of words; their units line says whatever it likes ("-", "degT" over letters).
var buoyWords = map[string]bool{"STN": true, "SwD": true, "WWD": true, "STEEPNESS": true}

// mwdMissing is a second way in which the live files write that a direction is missing.
const mwdMissing = -99

// clockNames are the columns of the time, in the order of time.Date.
var clockNames = []string{"YY", "MM", "DD", "hh", "mm"}

// buoyTable is a file as read: columns as long as at. A column that the file lacks is nil; NaN is not measured.
type buoyTable struct {
	at    []time.Time
	num   map[string][]float64
	words map[string][]string
}

// buoyCell says what to do with the n-th word of a row, and collects what it gave.
type buoyCell struct {
	clock   int // index into clockNames, -1
	name    string
	num     *buoyColumn
	word    bool
	value   float64 // of this row
	numbers []float64
	words   []string
}

// readBuoyTable reads a file. A number no sea has refuses the file; with oneEach, in a file of a row a station, it drops
// the row: one station's fault must not blind a coast.
func readBuoyTable(raw []byte, oneEach bool) (*buoyTable, error) {
	raw = bytes.TrimLeft(raw, " \t\r\n\ufeff")
	switch {
	case len(raw) == 0:
		return nil, &BadBody{Why: Unreadable, Detail: "empty"}
	case raw[0] == '<':
		return nil, &BadBody{Why: Unreadable, Detail: "markup instead of a table"}
	case raw[0] != '#':
		return nil, &BadBody{Why: Unreadable, Detail: "no line of names"}
	}
	names, rest := buoyLine(raw)
	cells, err := buoyHeading(names, rest)
	if err != nil {
		return nil, err
	}
	if listed := slices.ContainsFunc(cells, func(c buoyCell) bool { return c.name == "STN" }); listed != oneEach {
		return nil, &BadBody{Why: WrongShape, Detail: "one station's file for a list of stations, or the other way round"}
	}
	room := bytes.Count(rest, []byte{'\n'})
	t := &buoyTable{at: make([]time.Time, 0, room), num: map[string][]float64{}, words: map[string][]string{}}
	for i := range cells {
		switch c := &cells[i]; {
		case c.num != nil:
			c.numbers = make([]float64, 0, room)
		case c.word:
			c.words = make([]string, 0, room)
		}
	}
	fields := make([][]byte, 0, len(cells)+1)
	width := len(names)
	var fault error
	for len(rest) > 0 {
		whole := bytes.IndexByte(rest, '\n') >= 0
		var line []byte
		line, rest = buoyLine(rest)
		if len(line) == 0 || line[0] == '#' {
			continue
		}
		// Rows are all as wide, at least as the line of names. A last one that is narrower and lacks its end was cut off.
		if !whole && len(line) < width {
			return nil, &BadBody{Why: WrongShape, Detail: "the last row is cut off"}
		}
		width = max(width, len(line))
		if fields = split(fields[:0], line); len(fields) != len(cells) {
			return nil, &BadBody{Why: WrongShape, Detail: fmt.Sprintf("a row of %d values under %d names", len(fields), len(cells))}
		}
		at, err := buoyRow(fields, cells)
		if err != nil {
			if !oneEach {
				return nil, err
			}
			fault = err
			continue
		}
		t.at = append(t.at, at)
		for i := range cells {
			switch c := &cells[i]; {
			case c.num != nil:
				c.numbers = append(c.numbers, c.value)
			case c.word:
				c.words = append(c.words, string(fields[i]))
			}
		}
	}
	switch {
	case len(t.at) == 0 && fault != nil:
		return nil, fault
	case len(t.at) == 0:
		return nil, &NoData{Why: AllNull}
	}
	for _, c := range cells {
		switch {
		case c.num != nil:
			t.num[c.name] = c.numbers
		case c.word:
			t.words[c.name] = c.words
		}
	}
	return t, nil
}

// buoyLine cuts off the first line, without its end.
func buoyLine(raw []byte) (line, rest []byte) {
	line, rest, _ = bytes.Cut(raw, []byte{'\n'})
	return bytes.TrimRight(line, " \t\r"), rest
}

// split appends the words of a line.
func split(to [][]byte, line []byte) [][]byte {
	for i := 0; i < len(line); {
		for i < len(line) && (line[i] == ' ' || line[i] == '\t') {
			i++
		}
		start := i
		for i < len(line) && line[i] != ' ' && line[i] != '\t' {
			i++
		}
		if i > start {
			to = append(to, line[start:i])
		}
	}
	return to
}

// buoyHeading reads names and units. Files of before 2007 have no units and no "#"; what they are in would be a guess.
func buoyHeading(first, rest []byte) ([]buoyCell, error) {
	names := strings.Fields(strings.TrimPrefix(string(first), "#"))
	second, _ := buoyLine(rest)
	if len(second) == 0 || second[0] != '#' {
		return nil, &BadBody{Why: WrongUnits, Detail: "no line of units"}
	}
	units := strings.Fields(strings.TrimPrefix(string(second), "#"))
	if len(units) != len(names) {
		return nil, &BadBody{Why: WrongShape, Detail: fmt.Sprintf("%d units for %d names", len(units), len(names))}
	}
	cells := make([]buoyCell, len(names))
	seen := map[string]bool{}
	for i, name := range names {
		if name == "YYYY" {
			name = "YY"
		}
		if seen[name] {
			return nil, &BadBody{Why: WrongShape, Detail: short(name) + " is there twice"}
		}
		seen[name] = true
		c := buoyCell{clock: slices.Index(clockNames, name), name: name, word: buoyWords[name]}
		if col, ok := buoyColumns[name]; ok {
			if !slices.Contains(col.units, units[i]) {
				return nil, &BadBody{Why: WrongUnits, Detail: fmt.Sprintf("%s in %q, want %q", name, short(units[i]), col.units[0])}
			}
			c.num = &col
		}
		cells[i] = c
	}
	for _, n := range append([]string{"WVHT"}, clockNames...) {
		if !seen[n] {
			return nil, &BadBody{Why: WrongShape, Detail: n + " is missing"}
		}
	}
	return cells, nil
}

// buoyRow reads the numbers and the time of one row.
func buoyRow(fields [][]byte, cells []buoyCell) (time.Time, error) {
	var clock [5]int
	for i := range cells {
		switch c := &cells[i]; {
		case c.clock >= 0:
			n, err := strconv.ParseUint(string(fields[i]), 10, 16)
			if err != nil {
				return time.Time{}, &BadBody{Why: WrongShape, Detail: "a time that is not whole numbers"}
			}
			clock[c.clock] = int(n)
		case c.num != nil:
			v, err := measured(fields[i], c.num.nines)
			if err != nil {
				return time.Time{}, &BadBody{Why: WrongShape, Detail: c.name, Err: err}
			}
			if c.name == "MWD" && v == mwdMissing {
				v = math.NaN()
			}
			if v < c.num.min || v > c.num.max {
				return time.Time{}, &BadBody{Why: WrongValue, Detail: fmt.Sprintf("%s of %v outside %v to %v", c.name, v, c.num.min, c.num.max)}
			}
			c.value = v
		}
	}
	at := time.Date(clock[0], time.Month(clock[1]), clock[2], clock[3], clock[4], 0, 0, time.UTC)
	if at.Unix() < earliest || at.Unix() > latest || int(at.Month()) != clock[1] || at.Day() != clock[2] || at.Hour() != clock[3] || at.Minute() != clock[4] {
		return time.Time{}, &BadBody{Why: WrongValue, Detail: "a time that no clock shows"}
	}
	return at, nil
}

// measured reads a number; NaN for one that was not measured.
func measured(word []byte, nines float64) (float64, error) {
	if string(word) == "MM" {
		return math.NaN(), nil
	}
	for i, b := range word { // what ParseFloat takes beyond this (Inf, NaN, hexadecimal) is no measurement
		if (b < '0' || b > '9') && b != '.' && !(i == 0 && (b == '-' || b == '+')) {
			return 0, errNotMeasured
		}
	}
	v, err := strconv.ParseFloat(string(word), 64)
	if err != nil {
		return 0, errNotMeasured
	}
	if v == nines {
		return math.NaN(), nil
	}
	return v, nil
}
