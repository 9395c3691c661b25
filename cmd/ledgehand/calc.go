package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"time"

	"ledgehand/conditions/measure"
)

// calc answers one JSON object a line on stdin with one a line on stdout, in order. Bad input, an empty line too, gets an
// error line and the next line is read. SI units, degrees true, instants RFC 3339: any offset in, UTC out.

// operation is one op of calc with an example for -h.
type operation struct {
	example string
	run     func(raw json.RawMessage) (any, error)
}

func operations() map[string]operation {
	return map[string]operation{
		"tide":        {`{"op":"tide","station":"noaa/9416841","from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z","step_s":3600,"want":["heights","extremes"]}`, calcTide},
		"tide.near":   {`{"op":"tide.near","lat":38.95,"lon":-123.74,"n":3}`, calcNear},
		"sky":         {`{"op":"sky","lat":38.95,"lon":-123.74,"date":"2026-03-14","tz":"America/Los_Angeles"}`, calcSky},
		"sky.at":      {`{"op":"sky.at","body":"moon","lat":38.95,"lon":-123.74,"t":"2026-03-14T14:00:00Z"}`, calcSkyAt},
		"sky.phases":  {`{"op":"sky.phases","from":"2026-03-01T00:00:00Z","to":"2026-04-01T00:00:00Z"}`, calcPhases},
		"wave.linear": {`{"op":"wave.linear","period_s":12,"depth_m":8}`, calcLinear},
		"wave.max":    {`{"op":"wave.max","n":1000}`, calcMax},
		"wash":        {`{"op":"wash","inputs":{"ledge":{"height_m":5,"faces":270,"open_sector":[200,340],"foot_depth_below_datum_m":10,"cot_alpha":0,"gamma_f":1},"partitions":[{"kind":"swell","Hs":1.8,"Tp":12,"dir_from":280}],"water_level_m":[1.2,1.4],"step_min":60}}`, calcWash},
		"watch":       {`{"op":"watch","k":0,"minutes":20,"then_minutes":120}`, calcWatch},
		"kappa":       {`{"op":"kappa","k":1,"minutes":20,"hs_m":1.5,"tz_s":8,"rc_m":3}`, calcKappa},
		"windchill":   {`{"op":"windchill","air_c":-5,"wind_kmh":30}`, calcChill},
		"when":        {`{"op":"when","line":"sat 5am til 10","ref":"2026-03-12T14:30+11:00","tz":"Australia/Sydney"}`, calcWhen},
		"feed":        {`{"op":"feed","kind":"openmeteo.marine","now":"2026-12-05T00:00:00Z","lat":38.9,"lon":-123.8,"body":{"latitude":38.875,"longitude":-123.79,"hourly_units":{"time":"unixtime","wave_height":"m","wave_period":"s","wave_direction":"°"},"hourly":{"time":[1796428800],"wave_height":[1.8],"wave_period":[9.4],"wave_direction":[285]}}}`, calcFeed},
		"catch":       {`{"op":"catch","line":"2 bream 31 33 kept 1","units":"metric","area":"AU-NSW"}`, calcCatch},
		"weight":      {`{"op":"weight","species":"Girella tricuspidata","measure":"FL","length_cm":30}`, calcWeight},
	}
}

// longestLine bounds one question; the longest that makes sense carries the body of a feed.
const longestLine = 16 << 20

func runCalc(ctx context.Context, args []string, in io.Reader, out, _ io.Writer) error {
	ops := operations()
	if len(args) > 0 {
		if args[0] != "-h" && args[0] != "--help" {
			return fmt.Errorf("%w: calc reads stdin; calc -h lists the operations", errUsage)
		}
		fmt.Fprintln(out, "One JSON object a line in, one a line out. SI units, degrees true, instants RFC 3339. An example each:")
		for _, name := range slices.Sorted(maps.Keys(ops)) {
			fmt.Fprintln(out, ops[name].example)
		}
		return nil
	}
	r := bufio.NewReaderSize(in, 1<<16)
	w := bufio.NewWriter(out)
	for ctx.Err() == nil {
		line, err := readLine(r)
		if err != nil && !errors.Is(err, errLongLine) && !errors.Is(err, io.EOF) {
			return errors.Join(fmt.Errorf("read a question: %w", err), w.Flush())
		}
		ended := errors.Is(err, io.EOF)
		if ended && len(line) == 0 {
			break
		}
		answer := []byte(nil)
		if errors.Is(err, errLongLine) {
			answer = errorLine(err)
		} else {
			answer = calcLine(ops, bytes.TrimSpace(line))
		}
		if _, err := w.Write(append(answer, '\n')); err != nil {
			return fmt.Errorf("write an answer: %w", err)
		}
		if r.Buffered() == 0 { // somebody waits for this answer
			if err := w.Flush(); err != nil {
				return fmt.Errorf("write an answer: %w", err)
			}
		}
		if ended {
			break
		}
	}
	if err := w.Flush(); err != nil {
		return fmt.Errorf("write an answer: %w", err)
	}
	return nil
}

var errLongLine = fmt.Errorf("line longer than %d bytes", longestLine)

// readLine reads up to the end of a line. Of one that is too long nothing is kept, but all of it is read.
func readLine(r *bufio.Reader) ([]byte, error) {
	var line []byte
	long := false
	for {
		part, err := r.ReadSlice('\n')
		if long = long || len(line)+len(part) > longestLine; !long {
			line = append(line, part...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
		case long && (err == nil || errors.Is(err, io.EOF)):
			return nil, errLongLine
		default:
			return line, err
		}
	}
}

func calcLine(ops map[string]operation, line []byte) []byte {
	answer, err := calcOne(ops, line)
	if err != nil {
		return errorLine(err)
	}
	body, err := json.Marshal(answer)
	if err != nil { // a number without end, of which JSON knows none
		return errorLine(fmt.Errorf("write the answer: %w", err))
	}
	return body
}

func errorLine(err error) []byte {
	body, merr := json.Marshal(map[string]string{"error": err.Error()})
	if merr != nil {
		return []byte(`{"error":"unprintable"}`)
	}
	return body
}

func calcOne(ops map[string]operation, line []byte) (answer any, err error) {
	if len(line) == 0 {
		return nil, errors.New("empty line")
	}
	var head struct {
		Op string `json:"op"`
	}
	if err := json.Unmarshal(line, &head); err != nil {
		return nil, fmt.Errorf("read the line as a JSON object: %w", err)
	}
	op, ok := ops[head.Op]
	if !ok {
		return nil, fmt.Errorf("op %q: not known; known are %q", head.Op, slices.Sorted(maps.Keys(ops)))
	}
	defer func() { // one question must not end the answers to all others
		if p := recover(); p != nil {
			answer, err = nil, fmt.Errorf("%s: failed: %v", head.Op, p)
		}
	}()
	if answer, err = op.run(line); err != nil {
		return nil, fmt.Errorf("%s: %w", head.Op, err)
	}
	return answer, nil
}

func read(raw json.RawMessage, v any) error {
	if err := json.Unmarshal(raw, v); err != nil {
		return fmt.Errorf("read the input: %w", err)
	}
	return nil
}

// need refuses an object that lacks a field or has null for it: zero would be taken for a value somebody gave.
func need(raw json.RawMessage, fields ...string) error {
	var given map[string]json.RawMessage
	if err := read(raw, &given); err != nil {
		return err
	}
	for _, f := range fields {
		if v, ok := given[f]; !ok || string(v) == "null" {
			return missing(f)
		}
	}
	return nil
}

func missing(field string) error { return fmt.Errorf("field %q: missing", field) }

// moment is an instant in RFC 3339, the seconds of which may be left out as many tables do.
type moment struct{ time.Time }

func (m *moment) UnmarshalJSON(b []byte) error {
	var s string
	if err := json.Unmarshal(b, &s); err != nil {
		return fmt.Errorf("instant: %w", err)
	}
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		var short error
		if t, short = time.Parse("2006-01-02T15:04Z07:00", s); short != nil {
			return fmt.Errorf("instant %q: not RFC 3339: %w", s, err)
		}
	}
	m.Time = t.UTC()
	return nil
}

// between reads the two ends of a time.
func between(from, to *moment) error {
	switch {
	case from == nil:
		return missing("from")
	case to == nil:
		return missing("to")
	case to.Before(from.Time):
		return fmt.Errorf("to %s: lies before from %s", to.Format(time.RFC3339), from.Format(time.RFC3339))
	}
	return nil
}

func position(lat, lon *float64) (measure.Position, error) {
	if lat == nil {
		return measure.Position{}, missing("lat")
	}
	if lon == nil {
		return measure.Position{}, missing("lon")
	}
	p := measure.Position{Lat: *lat, Lon: *lon}
	return p, p.Check()
}

func round(v float64, digits int) float64 {
	p := math.Pow(10, float64(digits))
	return math.Round(v*p) / p
}
