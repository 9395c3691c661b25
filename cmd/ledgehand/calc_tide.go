package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

// Bounds of one answer: a node cycle of 19 years hourly and more, of high and low waters 20 years.
const (
	mostSteps = 1_000_000
	mostYears = 20
)

func calcTide(raw json.RawMessage) (any, error) {
	var q struct {
		Station      string                `json:"station"`
		Constituents map[string][]*float64 `json:"constituents"`
		Z0           *float64              `json:"z0_m"`
		Datum        string                `json:"datum"`
		Exclude      []string              `json:"exclude"`
		Node         string                `json:"node"`
		From         *moment               `json:"from"`
		To           *moment               `json:"to"`
		Step         *float64              `json:"step_s"`
		Want         []string              `json:"want"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	if err := between(q.From, q.To); err != nil {
		return nil, err
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
	p, name, err := predictor(q.Station, q.Constituents, q.Z0, q.Datum, q.Exclude, mode)
	if err != nil {
		return nil, err
	}
	out := map[string]any{"station": name, "datum": p.Datum()}
	if w := p.Warning(); w != "" && name != nil {
		out["warning"] = w
	}
	for _, want := range q.Want {
		switch want {
		case "heights":
			step := 3600.0
			if q.Step != nil {
				step = *q.Step
			}
			if !(step >= 1e-3) {
				return nil, fmt.Errorf("step_s %v: must be 0.001 or more", step)
			}
			length := q.To.Sub(q.From.Time)
			if n := length.Seconds() / step; n > mostSteps {
				return nil, fmt.Errorf("%.0f steps: more than %d", n, mostSteps)
			}
			if length == math.MaxInt64 {
				return nil, errors.New("from and to lie centuries apart")
			}
			d := length + 1 // a step beyond the end leaves one height, that of from
			if step <= length.Seconds() {
				d = time.Duration(math.Round(step * float64(time.Second)))
			}
			hs := p.Heights(q.From.Time, q.To.Time, d)
			rounded := make([]float64, len(hs))
			for i, h := range hs {
				rounded[i] = round(float64(h), 5)
			}
			out["heights"] = rounded
		case "extremes":
			if q.To.Sub(q.From.Time) > mostYears*366*24*time.Hour {
				return nil, fmt.Errorf("extremes of more than %d years in one question", mostYears)
			}
			list := []map[string]any{}
			for _, e := range p.Extremes(q.From.Time, q.To.Time) {
				list = append(list, map[string]any{"t": e.At.UTC().Format(time.RFC3339), "height_m": round(float64(e.Height), 5), "kind": e.Kind})
			}
			out["extremes"] = list
		default:
			return nil, fmt.Errorf("want %q: not one of heights, extremes", want)
		}
	}
	return out, nil
}

// predictor is that of a station, or of constants given in the question. name is the station's id, or nil.
func predictor(station string, constants map[string][]*float64, z0 *float64, datum string, exclude []string, mode tide.Mode) (*tide.Predictor, any, error) {
	opts := []tide.Option{tide.WithMode(mode), tide.Without(exclude...)}
	if datum != "" {
		opts = append(opts, tide.WithDatum(datum))
	}
	if z0 != nil {
		opts = append(opts, tide.WithMeanLevel(measure.Metres(*z0)))
	}
	switch {
	case station != "" && constants != nil:
		return nil, nil, errors.New("give a station or constituents, not both")
	case station != "":
		p, err := tide.Open(station, opts...)
		if z0 != nil && errors.Is(err, tide.ErrSubordinateLevel) && isReferenceLevel(station, *z0) {
			p, err = tide.Open(station, opts[:2]...)
		}
		return p, station, err
	case constants == nil:
		return nil, nil, missing("station")
	}
	var cs []tide.Constituent
	for _, name := range slices.Sorted(maps.Keys(constants)) {
		c := constants[name]
		if len(c) != 2 || slices.Contains(c, nil) {
			return nil, nil, fmt.Errorf("constituent %q: need an amplitude and a phase", name)
		}
		cs = append(cs, tide.Constituent{Name: name, Amplitude: measure.Metres(*c[0]), Phase: *c[1]})
	}
	p, err := tide.New(0, cs, opts...)
	return p, nil, err
}

// isReferenceLevel says whether a mean level is that which a subordinate station's reference has anyway, to the millimetre.
func isReferenceLevel(station string, z0 float64) bool {
	s, err := tide.Find(station)
	if err != nil {
		return false
	}
	ref, err := tide.Find(s.Reference)
	return err == nil && math.Abs(float64(ref.MeanLevel)-z0) <= 0.001
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
			"datum": s.Datum, "timezone": s.Zone, "lat": s.Position.Lat, "lon": s.Position.Lon, "licence": s.Licence, "warning": s.Warning,
		})
	}
	return map[string]any{"stations": list}, nil
}
