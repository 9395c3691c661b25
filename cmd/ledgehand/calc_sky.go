package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"ledgehand/conditions/sky"
)

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
	loc, err := zoneNamed(q.TZ)
	if err != nil {
		return nil, err
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
		"sun_transit": event(d.SunTransit), "moon_transit": event(d.MoonTransit),
		"sun": d.Sun, "moon_lit": round(d.MoonLit, 5), "moon_phase": d.MoonPhase,
	}, nil
}

// zoneNamed is an IANA zone, or a fixed offset as tables have it: +05:30, -08:00.
func zoneNamed(tz string) (*time.Location, error) {
	if t, err := time.Parse("-07:00", tz); err == nil {
		return t.Location(), nil
	}
	if tz == "Local" { // the zone of whatever machine runs this is nobody's
		return nil, errors.New("tz Local: name a zone")
	}
	loc, err := time.LoadLocation(tz)
	if err != nil {
		return nil, fmt.Errorf("tz %q: %w", tz, err)
	}
	return loc, nil
}

func calcSkyAt(raw json.RawMessage) (any, error) {
	var q struct {
		Body string   `json:"body"`
		Lat  *float64 `json:"lat"`
		Lon  *float64 `json:"lon"`
		T    *moment  `json:"t"`
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
	s, err := sky.At(sky.Body(q.Body), p, q.T.Time)
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
		From *moment `json:"from"`
		To   *moment `json:"to"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	if err := between(q.From, q.To); err != nil {
		return nil, err
	}
	ps, err := sky.Phases(q.From.Time, q.To.Time)
	if err != nil {
		return nil, err
	}
	list := []map[string]any{}
	for _, x := range ps {
		list = append(list, map[string]any{"phase": x.Phase, "t": x.At.UTC().Format(time.RFC3339)})
	}
	return map[string]any{"phases": list}, nil
}
