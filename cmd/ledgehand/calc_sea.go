package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
)

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
		Inputs json.RawMessage `json:"inputs"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	var parts struct {
		Ledge      json.RawMessage     `json:"ledge"`
		Partitions []json.RawMessage   `json:"partitions"`
		Steps      [][]json.RawMessage `json:"step_partitions"`
		Levels     []*float64          `json:"water_level_m"`
		Spreads    []*float64          `json:"step_sigma_Hs"`
	}
	if err := need(raw, "inputs"); err != nil {
		return nil, err
	}
	if err := need(q.Inputs, "ledge", "water_level_m", "step_min"); err != nil {
		return nil, err
	}
	if err := read(q.Inputs, &parts); err != nil {
		return nil, err
	}
	if err := need(parts.Ledge, "height_m", "faces", "open_sector", "foot_depth_below_datum_m", "cot_alpha"); err != nil {
		return nil, fmt.Errorf("ledge: %w", err)
	}
	var face struct {
		Open []*float64 `json:"open_sector"`
	}
	if err := read(parts.Ledge, &face); err != nil {
		return nil, err
	}
	if len(face.Open) != 2 {
		return nil, fmt.Errorf("open_sector of %d directions: need 2", len(face.Open))
	}
	// A null decodes as zero, which is a level, a spread and a direction like any other.
	if slices.Contains(slices.Concat(parts.Levels, parts.Spreads, face.Open), nil) {
		return nil, errors.New("null among water_level_m, step_sigma_Hs or open_sector")
	}
	for _, p := range slices.Concat(append(parts.Steps, parts.Partitions)...) {
		if err := need(p, "kind", "Hs", "Tp", "dir_from"); err != nil {
			return nil, fmt.Errorf("partition: %w", err)
		}
	}
	var in ledge.WashInput
	if err := read(q.Inputs, &in); err != nil {
		return nil, err
	}
	if in.Gravity == 0 {
		in.Gravity = scenarioGravity
	}
	return ledge.Wash(in)
}

func calcWatch(raw json.RawMessage) (any, error) {
	var q ledge.WatchInput
	if err := errors.Join(need(raw, "k", "minutes", "then_minutes"), read(raw, &q)); err != nil {
		return nil, err
	}
	return ledge.InferWatch(q)
}

func calcKappa(raw json.RawMessage) (any, error) {
	var q ledge.CalibrateInput
	if err := errors.Join(need(raw, "k", "minutes", "hs_m", "tz_s", "rc_m"), read(raw, &q)); err != nil {
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
