package feed

import (
	"context"
	"embed"
	"fmt"
	"slices"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/warning"
)

// The samples are invented by us in the shape of the real answers. They are for a place off
// Point Arena, California, and begin at local midnight.
//
//go:embed recorded/*.constructed.json
var recordings embed.FS

// recordedState is the only coast the invented warnings are for.
const recordedState = "CA"

// Recorded answers like a Client, from invented samples and with no network: three days off
// Point Arena, a quiet morning under a light wind off the land, then a long-period swell that
// doubles by late afternoon with an onshore wind. Every answer says that it is recorded; it is
// no forecast for any day.
type Recorded struct {
	sea     conditions.Sea
	weather conditions.Weather
	alerts  Alerts
}

// NewRecorded lays the samples so that their first hour, a local midnight, falls on start
// (to the whole hour). With beachHazard the list of warnings holds a Beach Hazards Statement
// from 11:00 of the first day to 16:00 of the second, otherwise it is empty.
func NewRecorded(start time.Time, beachHazard bool) (*Recorded, error) {
	start = start.UTC().Truncate(time.Hour)
	read := func(name string) ([]byte, error) {
		return recordings.ReadFile("recorded/" + name + ".constructed.json")
	}
	fail := func(err error) (*Recorded, error) { return nil, fmt.Errorf("recorded feed: %w", err) }

	// The samples have an hour 0 of their own; they are decoded as of then, then moved.
	raw, err := read("marine_point_arena_rising")
	if err != nil {
		return fail(err)
	}
	r := &Recorded{}
	if r.sea, err = DecodeMarine(raw, time.Time{}, recordedAt); err != nil {
		return fail(err)
	}
	shift := start.Sub(r.sea.Hours[0].At)
	for i := range r.sea.Hours {
		r.sea.Hours[i].At = r.sea.Hours[i].At.Add(shift)
	}
	r.sea.Source.Name, r.sea.Source.Recorded = "invented sample in the form of "+r.sea.Source.Name, true

	if raw, err = read("forecast_point_arena_rising"); err != nil {
		return fail(err)
	}
	if r.weather, err = DecodeForecast(raw, time.Time{}, recordedAt); err != nil {
		return fail(err)
	}
	for i := range r.weather.Hours {
		r.weather.Hours[i].At = r.weather.Hours[i].At.Add(shift)
	}
	r.weather.Source.Name, r.weather.Source.Recorded = "invented sample in the form of "+r.weather.Source.Name, true
	r.sea.Source.Licence, r.weather.Source.Licence = "", ""

	name := "alerts_none"
	if beachHazard {
		name = "alerts_beach_hazard"
	}
	if raw, err = read(name); err != nil {
		return fail(err)
	}
	if r.alerts, err = DecodeAlerts(raw); err != nil {
		return fail(err)
	}
	for i := range r.alerts.List {
		a := &r.alerts.List[i]
		for _, t := range []*time.Time{&a.Sent, &a.Onset, &a.Expires, &a.Ends} {
			if !t.IsZero() {
				*t = t.Add(shift)
			}
		}
	}
	return r, nil
}

// recordedAt is the cell of the samples.
var recordedAt = measure.Position{Lat: 38.875, Lon: -123.791664}

// Sea is the sample, as if fetched at now. Km is how far the sample's place is from the anchor.
func (r *Recorded) Sea(ctx context.Context, a Anchor, now time.Time) (*conditions.Sea, error) {
	if err := r.check(ctx, a); err != nil {
		return nil, fmt.Errorf("recorded sea: %w", err)
	}
	s := r.sea
	if last := s.Hours[len(s.Hours)-1].At; !last.Add(time.Hour).After(now) {
		return nil, fmt.Errorf("recorded sea: %w", &NoData{Why: Ended})
	}
	s.Source.FetchedAt, s.Source.Km = now, measure.DistanceKm(a.at, s.Source.Point)
	return &s, nil
}

// Weather is the sample, as if fetched at now.
func (r *Recorded) Weather(ctx context.Context, a Anchor, now time.Time) (*conditions.Weather, error) {
	if err := r.check(ctx, a); err != nil {
		return nil, fmt.Errorf("recorded weather: %w", err)
	}
	w := r.weather
	if last := w.Hours[len(w.Hours)-1].At; !last.Add(time.Hour).After(now) {
		return nil, fmt.Errorf("recorded weather: %w", &NoData{Why: Ended})
	}
	w.Source.FetchedAt, w.Source.Km = now, measure.DistanceKm(a.at, w.Source.Point)
	return &w, nil
}

func (r *Recorded) check(ctx context.Context, a Anchor) error {
	if !a.set {
		return errNoAnchor
	}
	return ctx.Err()
}

// Warnings are the invented ones, judged for the place as real ones would be; for a coast
// other than the sample's they are unknown.
func (r *Recorded) Warnings(_ context.Context, place WarningPlace, now time.Time) conditions.Warnings {
	if !slices.Contains(place.areas(), recordedState) {
		return conditions.Warnings{State: conditions.WarningsUnknown, Why: string(NoFeed), CheckedAt: now}
	}
	a := r.alerts
	a.Updated = now
	if len(a.List) > 0 && now.Before(a.List[0].Sent) {
		a.List = nil // not issued yet
	}
	w := a.Judge(place, warning.Geocodes{}, now)
	w.Source = "invented sample in the form of the " + alertSource
	return w
}

// Buoy has none: a reading would have to be of the sample's own day.
func (r *Recorded) Buoy(context.Context, Anchor, *measure.From, time.Time) (*conditions.Observed, error) {
	return nil, fmt.Errorf("recorded buoys: %w", &NoData{Why: NoFeed})
}
