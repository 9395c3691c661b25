package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
)

// calcFeed says what a body of a forecast or warning service means, as the bot would take it. A body that cannot be used
// is an answer (status refused or unknown), not an error; a question that cannot be answered is an error.
func calcFeed(raw json.RawMessage) (any, error) {
	var q struct {
		Kind  feed.Kind       `json:"kind"`
		Body  json.RawMessage `json:"body"`
		Now   *moment         `json:"now"`
		Lat   *float64        `json:"lat"`
		Lon   *float64        `json:"lon"`
		Zones []string        `json:"zones"` // UGC codes, to place US alerts by
		Langs []string        `json:"langs"` // to choose among the languages of a CAP message
	}
	if err := errors.Join(need(raw, "kind", "body", "now"), read(raw, &q)); err != nil {
		return nil, err
	}
	asked := feed.Asked{Now: q.Now.Time, Zones: q.Zones, Langs: q.Langs}
	if q.Lat != nil || q.Lon != nil {
		p, err := position(q.Lat, q.Lon)
		if err != nil {
			return nil, err
		}
		asked.At = &p
	}
	body, err := bodyText(q.Body)
	if err != nil {
		return nil, err
	}
	r, err := feed.Read(q.Kind, body, asked)
	if errors.Is(err, feed.ErrKind) {
		return nil, fmt.Errorf("%w; known are %q", err, feed.Kinds())
	}
	if errors.Is(err, feed.ErrNoPlace) {
		return nil, fmt.Errorf("field lat, lon: %w", err)
	}
	out := feedAnswer{Kind: q.Kind}
	out.Status, out.Why = feed.Status(err)
	if err != nil {
		out.Detail = err.Error()
	}
	if q.Kind.Warns() {
		return out.warn(r, err), nil
	}
	out.Hours = feedHours(r, &out)
	return out, nil
}

// bodyText is the body as the service sent it: the text of a JSON string, or the JSON itself.
func bodyText(body json.RawMessage) ([]byte, error) {
	body = bytes.TrimSpace(body)
	if body[0] != '"' {
		return body, nil
	}
	var s string
	if err := json.Unmarshal(body, &s); err != nil {
		return nil, fmt.Errorf("field body: %w", err)
	}
	return []byte(s), nil
}

type feedAnswer struct {
	Kind   feed.Kind `json:"kind"`
	Status string    `json:"status"`
	Why    feed.Why  `json:"why"`
	Detail string    `json:"detail,omitempty"`

	Source  *feedSource  `json:"source,omitempty"`
	Station *feedStation `json:"station,omitempty"`
	Latest  *feedLatest  `json:"latest,omitempty"`
	Tides   *feedTides   `json:"predictions,omitempty"`
	Hours   []any        `json:"hours"`
}

type feedWarned struct {
	feedAnswer
	Hours    *struct{}               `json:"hours,omitempty"` // hides that of a forecast
	State    conditions.WarningState `json:"state"`           // of all together, for the place
	Warnings []feedWarning           `json:"warnings"`
}

type feedSource struct {
	Name    string   `json:"name"`
	Licence string   `json:"licence,omitempty"`
	Model   string   `json:"model,omitempty"`
	RunAt   *string  `json:"run_at,omitempty"`
	Lat     *float64 `json:"lat,omitempty"` // of the point that answers
	Lon     *float64 `json:"lon,omitempty"`
	Km      *float64 `json:"distance_km,omitempty"`
}

type feedStation struct {
	ID      string   `json:"id"`
	Km      *float64 `json:"distance_km"`
	Bearing *float64 `json:"bearing_deg"`
}

type feedLatest struct {
	T     string   `json:"t"`
	AgeS  float64  `json:"age_s"`
	Hs    *float64 `json:"hs_m"`
	Tp    *float64 `json:"tp_s"`
	Dir   *float64 `json:"dir_deg"`
	TpAt  *string  `json:"tp_t"` // the row the peak period is from
	MeanS *float64 `json:"mean_period_s"`
}

// feedTides says what the answer leaves out: heights are in metres and times UTC only because that must have been asked.
type feedTides struct {
	HiLo  bool    `json:"hilo"`
	Datum *string `json:"datum"`
}

// feedSea is in every hour of every kind. Waves come from dir_deg; tp_s is a peak period, converted where the feed gives a
// mean.
type feedSea struct {
	T   string   `json:"t"`
	Hs  *float64 `json:"hs_m"`
	Tp  *float64 `json:"tp_s"`
	Dir *float64 `json:"dir_deg"`
}

type seaHour struct {
	feedSea
	Period     *float64         `json:"period_s"` // as the feed gives it
	PeriodKind *wave.PeriodKind `json:"period_kind"`
	WaterC     *float64         `json:"water_c"`
	Level      *float64         `json:"sea_level_m"`
	Partitions []seaPart        `json:"partitions"`
	Current    *feedCurrent     `json:"current,omitempty"`
}

type feedCurrent struct {
	Speed   *float64 `json:"speed_ms"`
	Towards *float64 `json:"to_deg"`
}

type seaPart struct {
	Kind       string           `json:"kind"`
	Hs         *float64         `json:"hs_m"`
	Tp         *float64         `json:"tp_s"`
	Dir        *float64         `json:"dir_deg"`
	Period     *float64         `json:"period_s"`
	PeriodKind *wave.PeriodKind `json:"period_kind"`
}

type weatherHour struct {
	feedSea
	Wind       *float64 `json:"wind_ms"`
	Gust       *float64 `json:"gust_ms"`
	WindDir    *float64 `json:"wind_dir_deg"`
	AirC       *float64 `json:"air_c"`
	Pressure   *float64 `json:"pressure_hpa"`
	Visibility *float64 `json:"visibility_m"`
	Code       *int     `json:"weather_code"`
	CAPE       *float64 `json:"cape_jkg"`
	Rain       *float64 `json:"rain_mm"`
	*skyHour
}

type skyHour struct {
	Symbol     *string  `json:"symbol"`
	SymbolFor  int      `json:"symbol_hours"`
	Thunder    bool     `json:"thunder"`
	ThunderPct *float64 `json:"thunder_pct"`
	FogPct     *float64 `json:"fog_pct"`
}

type buoyHour struct {
	feedSea
	MeanS    *float64 `json:"mean_period_s"`
	Swell    *seaPart `json:"swell"`
	WindSea  *seaPart `json:"wind_sea"`
	Wind     *float64 `json:"wind_ms"`
	Gust     *float64 `json:"gust_ms"`
	WindDir  *float64 `json:"wind_dir_deg"`
	Pressure *float64 `json:"pressure_hpa"`
	AirC     *float64 `json:"air_c"`
	WaterC   *float64 `json:"water_c"`
}

type tideHour struct {
	feedSea
	Height *float64 `json:"height_m"`
	Kind   *string  `json:"kind"`
}

type feedWarning struct {
	ID       string  `json:"id"`
	Event    string  `json:"event"`
	State    string  `json:"state"`
	Concern  string  `json:"concern"`
	Onset    *string `json:"onset"`
	Ends     *string `json:"ends"`
	Expires  *string `json:"expires"` // of the message, not of the event
	Covers   *bool   `json:"covers"`
	Headline string  `json:"headline"`
	Sender   string  `json:"sender"`
}

// warn lists what a body of warnings says, and what it comes to for the place. A single message never comes to none: it
// says nothing of what others say.
func (out feedAnswer) warn(r feed.Reading, err error) feedWarned {
	w := feedWarned{feedAnswer: out, State: conditions.WarningsNone, Warnings: []feedWarning{}}
	if err != nil || out.Kind == feed.CAPMessage {
		w.State = conditions.WarningsUnknown
	}
	for _, j := range r.Warnings {
		shown := j.Warning()
		ends := shown.Ends
		if ends.IsZero() && out.Kind != feed.NWSAlerts { // CAP has no end of the event, only one of the message
			ends = j.Until()
		}
		w.Warnings = append(w.Warnings, feedWarning{
			ID: j.ID, Event: j.Event, State: string(j.Standing), Concern: string(j.Concern), Onset: instantOf(shown.Onset), Ends: instantOf(ends),
			Expires: instantOf(j.Expires), Covers: j.Covers, Headline: j.Headline, Sender: j.Sender,
		})
		if err == nil && j.Standing.Shown() && (j.Covers == nil || *j.Covers) {
			w.State = conditions.WarningsInForce
		}
	}
	return w
}

// feedHours writes the hours of a forecast, of a buoy or of a tide table, oldest first, and what is known beside them.
func feedHours(r feed.Reading, out *feedAnswer) []any {
	hours := []any{}
	switch {
	case r.Sea != nil:
		out.Source = sourceOf(r.Sea.Source)
		for i, h := range r.Sea.Hours {
			x := seaHourOf(h)
			if r.Currents != nil {
				x.Current = &feedCurrent{Speed: rounded(r.Currents[i].Speed, 3), Towards: rounded(r.Currents[i].Towards, 1)}
			}
			hours = append(hours, x)
		}
	case r.Weather != nil:
		out.Source = sourceOf(r.Weather.Source)
		for i, h := range r.Weather.Hours {
			x := weatherHour{
				feedSea: feedSea{T: utc(h.At)},
				Wind:    rounded(h.Wind, 3), Gust: rounded(h.Gust, 3), WindDir: rounded(h.WindFrom, 1), AirC: rounded(h.AirTempC, 3),
				Pressure: rounded(h.PressureHPa, 3), Visibility: rounded(h.VisibilityM, 3), Code: h.Code, CAPE: rounded(h.CAPE, 3), Rain: rounded(h.RainMM, 3),
			}
			if r.Sky != nil {
				s := r.Sky[i]
				x.skyHour = &skyHour{Symbol: wordOf(s.Symbol), SymbolFor: s.SymbolHours, Thunder: s.Thunder, ThunderPct: rounded(s.ThunderPct, 3), FogPct: rounded(s.FogPct, 3)}
			}
			hours = append(hours, x)
		}
	case r.Buoy != nil:
		out.Source = &feedSource{Name: feed.BuoyCredit}
		out.Latest = latestOf(r.Buoy.Latest, r.Buoy.Age, r.Buoy.PeakAt)
		for _, o := range r.Buoy.Observations {
			hours = append(hours, buoyHourOf(o))
		}
	case r.Near != nil:
		n := r.Near[0]
		out.Source = &feedSource{Name: feed.BuoyCredit}
		out.Station = &feedStation{ID: n.Station, Km: rounded(&n.Km, 3), Bearing: rounded(&n.Bearing, 1)}
		at := n.At
		if n.Peak == nil {
			at = time.Time{}
		}
		out.Latest = latestOf(n.Observation, n.Age, at)
		hours = append(hours, buoyHourOf(n.Observation))
	case r.Tides != nil:
		out.Tides = &feedTides{HiLo: r.Tides.HiLo, Datum: wordOf(r.Tides.Datum)}
		for _, p := range r.Tides.List {
			hours = append(hours, tideHour{feedSea: feedSea{T: utc(p.At)}, Height: rounded(p.Height, 5), Kind: wordOf(p.Kind)})
		}
	}
	return hours
}

// seaHourOf leaves a height of zero out, as the assessment does: it is what a feed sends that does not know.
func seaHourOf(h conditions.SeaHour) seaHour {
	x := seaHour{feedSea: feedSea{T: utc(h.At)}, WaterC: rounded(h.WaterTempC, 3), Level: rounded(h.SeaLevel, 3), Partitions: []seaPart{}}
	if h.Hs == nil || *h.Hs == 0 {
		return x
	}
	x.Hs, x.Dir = rounded(h.Hs, 3), rounded(h.From, 1)
	if h.Period != nil {
		x.Period, x.PeriodKind, x.Tp = rounded(h.Period, 3), &h.PeriodKind, peakOf(*h.Period, h.PeriodKind)
	}
	for _, p := range h.Partitions {
		if p.Hs == 0 {
			continue
		}
		x.Partitions = append(x.Partitions, seaPart{
			Kind: p.Kind, Hs: rounded(&p.Hs, 3), Tp: peakOf(p.Period, p.PeriodKind), Dir: rounded(&p.From, 1),
			Period: rounded(&p.Period, 3), PeriodKind: &p.PeriodKind,
		})
	}
	return x
}

// peakOf converts a mean period as the assessment does.
func peakOf(t measure.Seconds, kind wave.PeriodKind) *float64 {
	if kind != wave.Peak {
		var err error
		if t, err = wave.Convert(t, kind, wave.Peak, wave.WindSeaPeak); err != nil {
			return nil
		}
	}
	return rounded(&t, 3)
}

func buoyHourOf(o feed.Observation) buoyHour {
	return buoyHour{
		feedSea: feedSea{T: utc(o.At), Hs: rounded(o.Hs, 3), Tp: rounded(o.Peak, 3), Dir: rounded(o.From, 1)},
		MeanS:   rounded(o.Mean, 3), Swell: systemOf("swell", o.Swell), WindSea: systemOf("wind", o.WindSea),
		Wind: rounded(o.Wind, 3), Gust: rounded(o.Gust, 3), WindDir: rounded(o.WindFrom, 1),
		Pressure: rounded(o.PressureHPa, 3), AirC: rounded(o.AirTempC, 3), WaterC: rounded(o.WaterTempC, 3),
	}
}

func systemOf(kind string, s *feed.WaveSystem) *seaPart {
	if s == nil {
		return nil
	}
	x := &seaPart{Kind: kind, Hs: rounded(&s.Hs, 3), Dir: rounded(s.From, 1), Tp: rounded(s.Period, 3), Period: rounded(s.Period, 3)}
	if s.Period != nil {
		peak := wave.Peak
		x.PeriodKind = &peak
	}
	return x
}

func latestOf(o feed.Observation, age time.Duration, peakAt time.Time) *feedLatest {
	return &feedLatest{
		T: utc(o.At), AgeS: age.Seconds(), Hs: rounded(o.Hs, 3), Tp: rounded(o.Peak, 3), TpAt: instantOf(peakAt),
		Dir: rounded(o.From, 1), MeanS: rounded(o.Mean, 3),
	}
}

func sourceOf(s conditions.Source) *feedSource {
	return &feedSource{
		Name: s.Name, Licence: s.Licence, Model: s.Model, RunAt: instantOf(s.RunAt),
		Lat: rounded(&s.Point.Lat, 5), Lon: rounded(&s.Point.Lon, 5), Km: rounded(&s.Km, 3),
	}
}

// rounded rounds what is there.
func rounded[T ~float64](v *T, digits int) *float64 {
	if v == nil {
		return nil
	}
	r := round(float64(*v), digits)
	return &r
}

func utc(t time.Time) string { return t.UTC().Format(time.RFC3339) }

// instantOf is null for no instant.
func instantOf(t time.Time) *string {
	if t.IsZero() {
		return nil
	}
	s := utc(t)
	return &s
}

// wordOf is null for no word.
func wordOf(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}
