package feed

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"ledgehand/conditions/measure"
)

// farKm is the farthest a model cell may lie from the point asked for: two cells of the
// coarsest grid behind the service (0.25 degrees) and room for the search beyond them.
const farKm = 100

// body is one point's answer of Open-Meteo.
type body struct {
	Latitude, Longitude *float64
	Failed              bool                       `json:"error"`
	Reason              string                     `json:"reason"`
	Units               map[string]string          `json:"hourly_units"`
	Hourly              map[string]json.RawMessage `json:"hourly"`

	times []time.Time
	cell  measure.Position
	km    float64
}

// decode reads the common part of an answer and checks that it is an answer to our question.
func decode(raw []byte, asked measure.Position) (*body, error) {
	if err := asked.Check(); err != nil {
		return nil, fmt.Errorf("point asked for: %w", err)
	}
	raw = bytes.TrimSpace(raw)
	switch {
	case len(raw) == 0:
		return nil, &BadBody{Why: Unreadable, Detail: "empty"}
	case raw[0] == '<':
		return nil, &BadBody{Why: Unreadable, Detail: "markup instead of JSON"}
	case raw[0] == '[':
		// One point was asked for. A list would have to be matched to its questions by order
		// alone (the first element carries no number), and the wrong sea is worse than none.
		return nil, &BadBody{Why: WrongShape, Detail: "a list of answers where one point was asked for"}
	}
	var b body
	if err := json.Unmarshal(raw, &b); err != nil {
		if bytes.Contains(raw[:min(len(raw), 100)], []byte(`"latitude":nan`)) {
			return nil, &NoData{Why: NotCovered} // status 200 all the same
		}
		return nil, &BadBody{Why: Unreadable, Err: plain(err)}
	}
	if b.Failed {
		return nil, serviceError(b.Reason)
	}
	if b.Latitude == nil || b.Longitude == nil || b.Hourly == nil {
		return nil, &BadBody{Why: WrongShape, Detail: "latitude, longitude or hourly is missing"}
	}
	b.cell = measure.Position{Lat: *b.Latitude, Lon: *b.Longitude}
	if err := b.cell.Check(); err != nil {
		return nil, &BadBody{Why: WrongValue, Err: err}
	}
	if b.km = measure.DistanceKm(asked, b.cell); b.km > farKm {
		return nil, &BadBody{Why: WrongPlace, Detail: fmt.Sprintf("a cell %.0f km from the point asked for, most is %d", b.km, farKm)}
	}
	if err := b.readTimes(); err != nil {
		return nil, err
	}
	return &b, nil
}

// plain keeps the kind of a JSON error and drops what it quotes of the body.
func plain(err error) error {
	switch e := err.(type) {
	case *json.SyntaxError:
		return fmt.Errorf("not JSON at byte %d", e.Offset)
	case *json.UnmarshalTypeError:
		return fmt.Errorf("a %s where %q was expected", strings.Fields(e.Value + " value")[0], e.Field)
	}
	return err
}

// serviceError reads the reason in an error body of Open-Meteo; the phrases are its own.
func serviceError(reason string) error {
	switch {
	case strings.Contains(reason, "No data is available"):
		return &NoData{Why: NotCovered}
	case strings.Contains(reason, "limit exceeded"), strings.Contains(reason, "Too many concurrent"):
		return &Unavailable{Why: Limited, Reason: reason}
	case strings.Contains(reason, "overloaded"):
		return &Unavailable{Why: Down, Reason: reason}
	}
	return &Unavailable{Why: BadRequest, Reason: reason}
}
