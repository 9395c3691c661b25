package feed

import (
	"math"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

// Current is the set of the water at the surface.
type Current struct {
	Speed   *measure.MetresPerSecond
	Towards *measure.Towards // the way the water goes
}

// MetSea is a sea forecast with the current of each of its hours.
type MetSea struct {
	Sea      conditions.Sea
	Currents []Current // as long as Sea.Hours
}

// DecodeMetOcean reads an answer of MET Norway's ocean forecast 2.0 (the Norwegian, Barents and North Seas) for one point,
// fetched at now. Heights are significant and total. Waves are given by where they come FROM, currents by where they go
// TO; version 0.9 gave waves the other way round, under another name, which is not read. There is no period: nothing can
// be judged by this feed alone. Source.Point is the nearest sea point, which is what the service answers for.
//
// A height of zero is taken for not known. None, or none but zeros, a point on land or a forecast more than a day old is a
// *NoData, anything odd a *BadBody.
func DecodeMetOcean(raw []byte, now time.Time, asked measure.Position) (MetSea, error) {
	none := MetSea{}
	b, err := decodeMet(raw, now, asked)
	if err != nil {
		return none, err
	}
	var height, from, water, current, to []float64
	for _, c := range []struct {
		to   *[]float64
		name string
		field
		get func(*metInstant) *float64
	}{
		{&height, "sea_surface_wave_height", waveHeight, func(d *metInstant) *float64 { return d.Wave }},
		{&from, "sea_surface_wave_from_direction", metDirection, func(d *metInstant) *float64 { return d.WaveFrom }},
		{&water, "sea_water_temperature", field{"celsius", -5, 45}, func(d *metInstant) *float64 { return d.Water }},
		{&current, "sea_water_speed", field{"m/s", 0, 15}, func(d *metInstant) *float64 { return d.Current }},
		{&to, "sea_water_to_direction", metDirection, func(d *metInstant) *float64 { return d.CurrentTo }},
	} {
		if *c.to, err = b.column(c.name, c.field, func(s *metStep) *float64 { return c.get(&s.Data.Instant.Details) }); err != nil {
			return none, err
		}
	}
	if why := emptiness(height); why != "" {
		return none, &NoData{Why: why}
	}
	for i, h := range height {
		if h == 0 {
			height[i] = math.NaN()
		}
	}
	if b.over(height, now) {
		return none, &NoData{Why: Ended}
	}
	n := len(b.times)
	out := MetSea{
		Sea:      conditions.Sea{Source: b.source("oceanforecast", now), Hours: make([]conditions.SeaHour, n)},
		Currents: make([]Current, n),
	}
	hs, dirs, rate, set := metres(height), froms(from), speeds(current), pointers[measure.Towards](to, anyOf, measure.Wrap360)
	for i := range out.Sea.Hours {
		h := &out.Sea.Hours[i]
		h.At, h.WaterTempC = b.times[i], given(water, i)
		if h.Hs = hs(i); h.Hs != nil {
			h.From = dirs(i)
		}
		out.Currents[i] = Current{Speed: rate(i), Towards: set(i)}
	}
	return out, nil
}
