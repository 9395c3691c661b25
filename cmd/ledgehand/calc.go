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

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
	"ledgehand/conditions/wave"
)

// calc answers one JSON object a line on stdin with one a line on stdout, in order. Bad input gets an error line and
// the next line is read. SI units, degrees true, instants RFC 3339: any offset in, UTC out.

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
	}
}

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
	r := bufio.NewReaderSize(in, 1<<20)
	w := bufio.NewWriter(out)
	defer func() { _ = w.Flush() }()
	for ctx.Err() == nil {
		line, err := r.ReadBytes('\n')
		if trimmed := bytes.TrimSpace(line); len(trimmed) > 0 {
			if _, err := w.Write(append(calcLine(ops, trimmed), '\n')); err != nil {
				return fmt.Errorf("write an answer: %w", err)
			}
			if r.Buffered() == 0 { // somebody waits for this answer
				if err := w.Flush(); err != nil {
					return fmt.Errorf("write an answer: %w", err)
				}
			}
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("read a question: %w", err)
		}
	}
	return nil
}

func calcLine(ops map[string]operation, line []byte) []byte {
	answer, err := calcOne(ops, line)
	if err == nil {
		var body []byte
		if body, err = json.Marshal(answer); err == nil {
			return body
		}
	}
	body, merr := json.Marshal(map[string]string{"error": err.Error()})
	if merr != nil {
		return []byte(`{"error":"unprintable"}`)
	}
	return body
}

func calcOne(ops map[string]operation, line []byte) (any, error) {
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
	answer, err := op.run(line)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", head.Op, err)
	}
	return answer, nil
}

// read decodes into a struct whose required fields are pointers.
func read(raw json.RawMessage, v any) error {
	if err := json.Unmarshal(raw, v); err != nil {
		return fmt.Errorf("read the input: %w", err)
	}
	return nil
}

func missing(field string) error { return fmt.Errorf("field %q: missing", field) }

// mostSteps bounds one answer: a year at six minutes and a bit.
const mostSteps = 100_000

func calcTide(raw json.RawMessage) (any, error) {
	var q struct {
		Station      string                `json:"station"`
		Constituents map[string][2]float64 `json:"constituents"`
		Z0           *float64              `json:"z0_m"`
		Exclude      []string              `json:"exclude"`
		Node         string                `json:"node"`
		From         *time.Time            `json:"from"`
		To           *time.Time            `json:"to"`
		Step         *float64              `json:"step_s"`
		Want         []string              `json:"want"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	if q.From == nil {
		return nil, missing("from")
	}
	if q.To == nil {
		return nil, missing("to")
	}
	if q.To.Before(*q.From) {
		return nil, errors.New("to lies before from")
	}
	mode := tide.Instant
	switch q.Node {
	case "", string(tide.Instant):
	case string(tide.Year):
		mode = tide.Year
	default:
		return nil, fmt.Errorf("node %q: not one of instant, year", q.Node)
	}
	if len(q.Want) == 0 {
		q.Want = []string{"heights", "extremes"}
	}
	p, name, err := predictor(q.Station, q.Constituents, q.Z0, q.Exclude, mode)
	if err != nil {
		return nil, err
	}
	out := map[string]any{"station": name, "datum": p.Datum()}
	for _, want := range q.Want {
		switch want {
		case "heights":
			step := 3600.0
			if q.Step != nil {
				step = *q.Step
			}
			if !(step > 0) {
				return nil, fmt.Errorf("step_s %v: must be above 0", step)
			}
			d := time.Duration(math.Round(step * float64(time.Second)))
			if n := q.To.Sub(*q.From) / max(d, 1); n > mostSteps || d <= 0 {
				return nil, fmt.Errorf("%d steps: more than %d", n, mostSteps)
			}
			hs := p.Heights(*q.From, *q.To, d)
			rounded := make([]float64, len(hs))
			for i, h := range hs {
				rounded[i] = round(float64(h), 5)
			}
			out["heights"] = rounded
		case "extremes":
			if q.To.Sub(*q.From) > 3*366*24*time.Hour {
				return nil, errors.New("extremes of more than three years in one question")
			}
			list := []map[string]any{}
			for _, e := range p.Extremes(*q.From, *q.To) {
				list = append(list, map[string]any{"t": e.At.UTC().Format(time.RFC3339), "height_m": round(float64(e.Height), 5), "kind": e.Kind})
			}
			out["extremes"] = list
		default:
			return nil, fmt.Errorf("want %q: not one of heights, extremes", want)
		}
	}
	return out, nil
}

func round(v float64, digits int) float64 {
	p := math.Pow(10, float64(digits))
	return math.Round(v*p) / p
}

func calcNear(raw json.RawMessage) (any, error) {
	var q struct {
		Lat *float64 `json:"lat"`
		Lon *float64 `json:"lon"`
		N   *int     `json:"n"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	p, err := position(q.Lat, q.Lon)
	if err != nil {
		return nil, err
	}
	n := 5
	if q.N != nil {
		n = *q.N
	}
	if n < 1 || n > 1000 {
		return nil, fmt.Errorf("n %d: outside 1 to 1000", n)
	}
	list := []map[string]any{}
	for _, s := range tide.Near(p, n) {
		kind := "reference"
		if s.Subordinate {
			kind = "subordinate"
		}
		list = append(list, map[string]any{
			"id": s.ID, "name": s.Name, "distance_km": round(s.Km, 3), "bearing_deg": round(float64(s.Bearing), 1), "type": kind,
			"datum": s.Datum, "timezone": s.Zone, "lat": s.Position.Lat, "lon": s.Position.Lon,
		})
	}
	return map[string]any{"stations": list}, nil
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

func event(e sky.Event) any {
	if !e.OK {
		return nil
	}
	return e.At.UTC().Format(time.RFC3339)
}

func calcSky(raw json.RawMessage) (any, error) {
	var q struct {
		Lat  *float64 `json:"lat"`
		Lon  *float64 `json:"lon"`
		Date string   `json:"date"`
		TZ   string   `json:"tz"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	p, err := position(q.Lat, q.Lon)
	if err != nil {
		return nil, err
	}
	if q.TZ == "Local" { // the zone of whatever machine runs this is nobody's
		return nil, errors.New("tz Local: name a zone")
	}
	loc, err := time.LoadLocation(q.TZ)
	if err != nil {
		return nil, fmt.Errorf("tz %q: %w", q.TZ, err)
	}
	date, err := sky.ParseDate(q.Date)
	if err != nil {
		return nil, err
	}
	d, err := sky.DayAt(p, date, loc)
	if err != nil {
		return nil, err
	}
	return map[string]any{
		"sunrise": event(d.Sunrise), "sunset": event(d.Sunset), "civil_dawn": event(d.CivilDawn), "civil_dusk": event(d.CivilDusk),
		"nautical_dawn": event(d.NauticalDawn), "nautical_dusk": event(d.NauticalDusk), "moonrise": event(d.Moonrise), "moonset": event(d.Moonset),
		"sun": d.Sun, "moon_lit": round(d.MoonLit, 5), "moon_phase": d.MoonPhase,
	}, nil
}

func calcSkyAt(raw json.RawMessage) (any, error) {
	var q struct {
		Body string     `json:"body"`
		Lat  *float64   `json:"lat"`
		Lon  *float64   `json:"lon"`
		T    *time.Time `json:"t"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	p, err := position(q.Lat, q.Lon)
	if err != nil {
		return nil, err
	}
	if q.T == nil {
		return nil, missing("t")
	}
	s, err := sky.At(sky.Body(q.Body), p, *q.T)
	if err != nil {
		return nil, err
	}
	out := map[string]any{"altitude_deg": round(s.Altitude, 5), "azimuth_deg": round(float64(s.Azimuth), 5)}
	if sky.Body(q.Body) == sky.Moon {
		out["lit"], out["distance_km"] = round(s.Lit, 5), round(s.DistanceKm, 1)
	}
	return out, nil
}

func calcPhases(raw json.RawMessage) (any, error) {
	var q struct {
		From *time.Time `json:"from"`
		To   *time.Time `json:"to"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	if q.From == nil {
		return nil, missing("from")
	}
	if q.To == nil {
		return nil, missing("to")
	}
	ps, err := sky.Phases(*q.From, *q.To)
	if err != nil {
		return nil, err
	}
	list := []map[string]any{}
	for _, x := range ps {
		list = append(list, map[string]any{"phase": x.Phase, "t": x.At.UTC().Format(time.RFC3339)})
	}
	return map[string]any{"phases": list}, nil
}

func calcLinear(raw json.RawMessage) (any, error) {
	var q struct {
		Period *float64 `json:"period_s"`
		Depth  *float64 `json:"depth_m"` // null or left out: deep
		G      *float64 `json:"g"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	if q.Period == nil {
		return nil, missing("period_s")
	}
	depth, g := math.Inf(1), measure.Gravity
	if q.Depth != nil {
		depth = *q.Depth
	}
	if q.G != nil {
		g = *q.G
	}
	return wave.Solve(measure.Seconds(*q.Period), measure.Metres(depth), g)
}

func calcMax(raw json.RawMessage) (any, error) {
	var q struct {
		N *float64 `json:"n"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	if q.N == nil {
		return nil, missing("n")
	}
	return wave.Rayleigh().LargestOf(*q.N)
}

// scenarioGravity is the g the published scenarios of the wash chain were computed with; an input's own g wins.
const scenarioGravity = 9.81

func calcWash(raw json.RawMessage) (any, error) {
	var q struct {
		Inputs *ledge.WashInput `json:"inputs"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	if q.Inputs == nil {
		return nil, missing("inputs")
	}
	if q.Inputs.Gravity == 0 {
		q.Inputs.Gravity = scenarioGravity
	}
	return ledge.Wash(*q.Inputs)
}

func calcWatch(raw json.RawMessage) (any, error) {
	var q ledge.WatchInput
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	return ledge.InferWatch(q)
}

func calcKappa(raw json.RawMessage) (any, error) {
	var q ledge.CalibrateInput
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	return ledge.Calibrate(q)
}

func calcChill(raw json.RawMessage) (any, error) {
	var q struct {
		AirC    *float64 `json:"air_c"`
		WindKmh *float64 `json:"wind_kmh"`
		AirF    *float64 `json:"air_f"`
		WindMph *float64 `json:"wind_mph"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	switch {
	case q.AirC != nil && q.WindKmh != nil:
		c, err := wave.WindChillC(*q.AirC, *q.WindKmh)
		return map[string]any{"chill_c": c}, err
	case q.AirF != nil && q.WindMph != nil:
		f, err := wave.WindChillF(*q.AirF, *q.WindMph)
		return map[string]any{"chill_f": f}, err
	}
	return nil, errors.New("need air_c and wind_kmh, or air_f and wind_mph")
}

// predictor is that of a station, or of constants given in the question. name is the station's id, or nil.
func predictor(station string, constants map[string][2]float64, z0 *float64, exclude []string, mode tide.Mode) (*tide.Predictor, any, error) {
	opts := []tide.Option{tide.WithMode(mode), tide.Without(exclude...)}
	if z0 != nil {
		opts = append(opts, tide.WithMeanLevel(measure.Metres(*z0)))
	}
	switch {
	case station != "" && constants != nil:
		return nil, nil, errors.New("give a station or constituents, not both")
	case station != "":
		p, err := tide.Open(station, opts...)
		return p, station, err
	case constants == nil:
		return nil, nil, missing("station")
	}
	var cs []tide.Constituent
	for _, name := range slices.Sorted(maps.Keys(constants)) {
		cs = append(cs, tide.Constituent{Name: name, Amplitude: measure.Metres(constants[name][0]), Phase: constants[name][1]})
	}
	p, err := tide.New(0, cs, opts...)
	return p, nil, err
}
