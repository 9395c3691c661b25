package feed

import (
	"context"
	"net/url"
	"slices"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

// The second opinion: MET Norway's forecasts of wind and sky for the whole world, and of waves for the seas around Norway.
// It is asked beside the first and may fail: then the first stands alone, and says so.

// Names of the two, for where one of them is silent.
const (
	firstName  = "Open-Meteo"
	secondName = "MET Norway"
)

// silent is the name of a second source that should have answered and did not. That it has nothing for a place is an answer.
func silent(err error) string {
	if status, why := Status(err); status == "ok" || why == NotCovered || why == BadRequest {
		return ""
	}
	return secondName
}

// beside asks while something else is asked; answer waits for it.
func beside[T any](ask func() (T, error)) (answer func() (T, error)) {
	var v T
	var err error
	done := make(chan struct{})
	go func() {
		defer close(done)
		v, err = ask()
	}()
	return func() (T, error) { <-done; return v, err }
}

// secondWeather is nil where it is not asked or could not be had.
func (c *Client) secondWeather(ctx context.Context, a Anchor, now time.Time) (*conditions.Weather, error) {
	if c.met == nil {
		return nil, nil
	}
	w, _, err := answer(ctx, c, c.second, "second weather "+a.String(), now, func(ctx context.Context) ([]byte, error) {
		return c.fetch(ctx, c.met, "weatherapi/locationforecast/2.0/complete", latLon(a), forecastMost, now)
	}, func(raw []byte, at time.Time) (conditions.Weather, error) {
		m, err := DecodeMetLocation(raw, at, a.at)
		return m.Weather, err
	})
	if err != nil {
		return nil, err
	}
	return &w, nil
}

// secondSea is nil outside the seas around Norway, where it is not asked, and where it could not be had.
func (c *Client) secondSea(ctx context.Context, a Anchor, now time.Time) (*conditions.Sea, error) {
	if c.met == nil || !northernSeas(a.at) {
		return nil, nil
	}
	s, _, err := answer(ctx, c, c.ocean, "second sea "+a.String(), now, func(ctx context.Context) ([]byte, error) {
		return c.fetch(ctx, c.met, "weatherapi/oceanforecast/2.0/complete", latLon(a), forecastMost, now)
	}, func(raw []byte, at time.Time) (conditions.Sea, error) {
		m, err := DecodeMetOcean(raw, at, a.at)
		return m.Sea, err
	})
	if err != nil {
		return nil, err
	}
	return &s, nil
}

// northernSeas is a box about the Norwegian, Barents and North Seas; outside it the service refuses (from memory).
func northernSeas(p measure.Position) bool {
	return p.Lat > 50 && p.Lat < 82 && p.Lon > -15 && p.Lon < 60
}

func latLon(a Anchor) url.Values {
	return url.Values{"lat": {decimals(a.at.Lat)}, "lon": {decimals(a.at.Lon)}}
}

// sameHour is how far apart two forecasts of one hour may be.
const sameHour = 30 * time.Minute

// harsher is a forecast that for every hour of the first has the stronger wind and gust, the lower pressure and the worse sky
// of both; the other alone where there is only one, nil for none. Of the second's own hours nothing is added: it takes steps of
// six hours before the first ends.
func harsher(a, b *conditions.Weather) *conditions.Weather {
	if a == nil || b == nil {
		if a == nil {
			return b
		}
		return a
	}
	out := *a
	out.Hours = slices.Clone(a.Hours)
	used := false
	for i := range out.Hours {
		h := &out.Hours[i]
		j := slices.IndexFunc(b.Hours, func(x conditions.WeatherHour) bool { return x.At.Sub(h.At).Abs() < sameHour })
		if j < 0 {
			continue
		}
		x := b.Hours[j]
		if x.Wind != nil && (h.Wind == nil || *x.Wind > *h.Wind) {
			h.Wind, h.WindFrom = x.Wind, x.WindFrom
			used = true
		}
		if x.Gust != nil && (h.Gust == nil || *x.Gust > *h.Gust) {
			h.Gust, used = x.Gust, true
		}
		if x.PressureHPa != nil && (h.PressureHPa == nil || *x.PressureHPa < *h.PressureHPa) {
			h.PressureHPa = x.PressureHPa
		}
		if x.AirTempC != nil && h.AirTempC == nil {
			h.AirTempC = x.AirTempC
		}
		if x.Code != nil && (h.Code == nil || *x.Code >= 95 && *h.Code < 95) { // thunder in either is thunder
			h.Code, used = x.Code, true
		}
	}
	if used {
		out.Source.Name += ", " + b.Source.Name
	}
	return &out
}

// raised is a sea whose hours are as high as the higher of both says; b gives heights only. Its parts are raised to the total
// where they are used.
func raised(a, b *conditions.Sea) *conditions.Sea {
	if a == nil || b == nil {
		return a
	}
	out := *a
	out.Hours = slices.Clone(a.Hours)
	used := false
	for i := range out.Hours {
		h := &out.Hours[i]
		j := slices.IndexFunc(b.Hours, func(x conditions.SeaHour) bool { return x.At.Sub(h.At).Abs() < sameHour })
		if j < 0 || b.Hours[j].Hs == nil || h.Hs == nil || *b.Hours[j].Hs <= *h.Hs {
			continue
		}
		h.Hs, used = b.Hours[j].Hs, true
	}
	if used {
		out.Source.Name += ", " + b.Source.Name
	}
	return &out
}
