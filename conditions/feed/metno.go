package feed

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

// The forecasts of MET Norway are one GeoJSON Feature a point: the point used, when it was made, the units, and steps of
// an hour or more, each with what holds at that instant and what is expected of the time after it.

const (
	// metFarKm is the farthest the point used may lie from the point asked for. The land forecast uses the point
	// itself, the one of the sea the nearest point of its grid of 4 km or less. Our judgement.
	metFarKm = 50
	// metOld is when a forecast was made too long ago: there is a new one several times a day. Our judgement.
	metOld = 24 * time.Hour

	metCredit  = "MET Norway"
	metLicence = "CC BY 4.0"
)

type metBody struct {
	Type     string `json:"type"`
	Geometry struct {
		Type        string     `json:"type"`
		Coordinates []*float64 `json:"coordinates"`
	} `json:"geometry"`
	Properties struct {
		Meta struct {
			Updated *time.Time        `json:"updated_at"`
			Units   map[string]string `json:"units"`
			metComplaint
		} `json:"meta"`
		Steps *[]metStep `json:"timeseries"`
		metComplaint
	} `json:"properties"`
	metComplaint

	point measure.Position
	km    float64
	times []time.Time
}

// metComplaint is where an answer may say why it has no forecast. The service documents that it says so for a point on
// land among the sea, and not where: any of these will do.
type metComplaint struct {
	Error   json.RawMessage `json:"error"`
	Message json.RawMessage `json:"message"`
}

func (c metComplaint) there() bool {
	return len(c.Error) > 0 && string(c.Error) != "null" || len(c.Message) > 0 && string(c.Message) != "null"
}

type metStep struct {
	Time *time.Time `json:"time"`
	Data struct {
		Instant struct {
			Details metInstant `json:"details"`
		} `json:"instant"`
		Next1 *metNext `json:"next_1_hours"`
		Next6 *metNext `json:"next_6_hours"`
	} `json:"data"`
}

type metInstant struct {
	Pressure *float64 `json:"air_pressure_at_sea_level"`
	Air      *float64 `json:"air_temperature"`
	Fog      *float64 `json:"fog_area_fraction"`
	WindFrom *float64 `json:"wind_from_direction"`
	Wind     *float64 `json:"wind_speed"`
	Gust     *float64 `json:"wind_speed_of_gust"`

	WaveFrom  *float64 `json:"sea_surface_wave_from_direction"`
	Wave      *float64 `json:"sea_surface_wave_height"`
	Current   *float64 `json:"sea_water_speed"`
	CurrentTo *float64 `json:"sea_water_to_direction"`
	Water     *float64 `json:"sea_water_temperature"`
}

type metNext struct {
	Summary struct {
		Symbol string `json:"symbol_code"`
	} `json:"summary"`
	Details struct {
		Rain    *float64 `json:"precipitation_amount"`
		Thunder *float64 `json:"probability_of_thunder"`
	} `json:"details"`
}

// decodeMet reads the common part and checks that it is an answer to our question.
func decodeMet(raw []byte, now time.Time, asked measure.Position) (*metBody, error) {
	if err := asked.Check(); err != nil {
		return nil, fmt.Errorf("point asked for: %w", err)
	}
	raw = bytes.TrimSpace(raw)
	switch {
	case len(raw) == 0:
		return nil, &BadBody{Why: Unreadable, Detail: "empty"}
	case raw[0] == '<':
		return nil, &BadBody{Why: Unreadable, Detail: "markup instead of JSON"}
	}
	var b metBody
	if err := json.Unmarshal(raw, &b); err != nil {
		return nil, &BadBody{Why: Unreadable, Err: plain(err)}
	}
	p := &b.Properties
	if p.Steps == nil || len(*p.Steps) == 0 {
		switch {
		case p.there() || p.Meta.there() || b.there():
			return nil, &NoData{Why: NotCovered}
		case p.Steps == nil:
			return nil, &BadBody{Why: WrongShape, Detail: "timeseries is missing"}
		}
		return nil, &NoData{Why: AllNull}
	}
	c := b.Geometry.Coordinates
	switch {
	case b.Type != "Feature" || b.Geometry.Type != "Point" || len(c) < 2 || c[0] == nil || c[1] == nil:
		return nil, &BadBody{Why: WrongShape, Detail: "not one point"}
	case p.Meta.Updated == nil:
		return nil, &BadBody{Why: WrongShape, Detail: "updated_at is missing"}
	}
	b.point = measure.Position{Lat: *c[1], Lon: *c[0]}
	if err := b.point.Check(); err != nil {
		return nil, &BadBody{Why: WrongValue, Err: err}
	}
	if b.km = measure.DistanceKm(asked, b.point); b.km > metFarKm {
		return nil, &BadBody{Why: WrongPlace, Detail: fmt.Sprintf("a point %.0f km from the one asked for, most is %d", b.km, metFarKm)}
	}
	b.times = make([]time.Time, len(*p.Steps))
	for i, s := range *p.Steps {
		if s.Time == nil {
			return nil, &BadBody{Why: WrongShape, Detail: "a step without a time"}
		}
		if u := s.Time.Unix(); u < earliest || u > latest {
			return nil, &BadBody{Why: WrongValue, Detail: "a time outside the years 2000 to 2100"}
		}
		b.times[i] = s.Time.UTC()
		if i > 0 && !b.times[i].After(b.times[i-1]) {
			return nil, &BadBody{Why: WrongShape, Detail: fmt.Sprintf("step %d is not after the one before", i)}
		}
	}
	if now.Sub(*p.Meta.Updated) > metOld {
		return nil, &NoData{Why: TooOld}
	}
	return &b, nil
}

// column collects one number of all steps; nil if no step has it. Its unit must be the one in f.
func (b *metBody) column(name string, f field, get func(*metStep) *float64) ([]float64, error) {
	var out []float64
	steps := *b.Properties.Steps
	for i := range steps {
		v := get(&steps[i])
		if v == nil {
			continue
		}
		if *v < f.min || *v > f.max {
			return nil, &BadBody{Why: WrongValue, Detail: fmt.Sprintf("%s of %v outside %v to %v", name, *v, f.min, f.max)}
		}
		if out == nil {
			if unit, ok := b.Properties.Meta.Units[name]; !ok || unit != f.unit {
				return nil, &BadBody{Why: WrongUnits, Detail: fmt.Sprintf("%s in %q, want %q", name, short(unit), f.unit)}
			}
			out = make([]float64, len(steps))
			for k := range out {
				out[k] = math.NaN()
			}
		}
		out[i] = *v
	}
	return out, nil
}

func (b *metBody) source(model string, now time.Time) conditions.Source {
	return conditions.Source{
		Name: metCredit, Licence: metLicence, Model: model, RunAt: b.Properties.Meta.Updated.UTC(),
		FetchedAt: now, Point: b.point, Km: b.km,
	}
}

// over says whether the last hour with a value lies before now. A column without any has none.
func (b *metBody) over(column []float64, now time.Time) bool {
	for i := len(column) - 1; i >= 0; i-- {
		if !math.IsNaN(column[i]) {
			return !b.times[i].Add(time.Hour).After(now)
		}
	}
	return true
}
