package feed

import (
	"context"
	"fmt"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

// buoyAges: the file of all stations is made anew every few minutes; a station reports once an hour.
var buoyAges = ages{10 * time.Minute, time.Hour, 3 * time.Hour}

// Buoy is what the nearest useful buoy read: within 150 km of the anchor, on the side that faces looks to if there is one,
// at most 3 h old. The file of all stations is asked for, so nobody learns which. Errors as of Sea; with any of them no
// buoy is known, which says nothing about the sea.
func (c *Client) Buoy(ctx context.Context, a Anchor, faces *measure.From, now time.Time) (*conditions.Observed, error) {
	if !a.set {
		return nil, fmt.Errorf("buoys: %w", errNoAnchor)
	}
	if c.buoys == nil {
		return nil, fmt.Errorf("buoys: %w", &NoData{Why: NoFeed})
	}
	all, _, err := answer(ctx, c, c.seen, "buoys", now, func(ctx context.Context) ([]byte, error) {
		return c.fetch(ctx, c.buoys, "data/latest_obs/latest_obs.txt", nil, forecastMost, now)
	}, func(raw []byte, _ time.Time) ([]Observation, error) { return DecodeBuoys(raw) })
	if err != nil {
		return nil, fmt.Errorf("buoys: %w", err)
	}
	near := NearBuoys(all, BuoyWant{At: a.at, Facing: faces}, now)
	if len(near) == 0 {
		return nil, fmt.Errorf("buoys: %w", &NoData{Why: NotCovered})
	}
	b := near[0]
	return &conditions.Observed{
		Station: b.Station, Source: "NOAA NDBC", Km: b.Km, Bearing: b.Bearing, At: b.At, Hs: *b.Hs, Peak: b.Peak, From: b.From, Facing: b.Facing,
	}, nil
}
