package feed

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"ledgehand/conditions/measure"
)

// tideMost is the highest a tide stands over or under any datum in use, with room: the largest known range is about
// 16 m (from memory).
const tideMost = 25

// TidePrediction is one predicted height; nil where the service has none.
type TidePrediction struct {
	At     time.Time
	Height *measure.Metres
	Kind   string // high or low; empty in a series by the hour
}

// TidePredictions is a decoded answer of the prediction service of NOAA CO-OPS, in order of time.
//
// The answer itself names neither datum nor unit nor zone, and a request that is a little off silently gets feet. The
// caller must have asked for units=metric and time_zone=gmt; that is taken here, and the datum is his to know: Datum is
// what the answer says of it, nearly always nothing.
type TidePredictions struct {
	List  []TidePrediction
	HiLo  bool // high and low waters, not a series
	Datum string
}

// DecodeTidePredictions reads an answer to product=predictions, high and low waters or a series, as of now. No predictions,
// or none left after now, is a *NoData, a complaint of the service an *Unavailable, anything odd a *BadBody, such as
// times that stand still or go back, which is what local times do when clocks change. From NOAA CO-OPS, public domain.
func DecodeTidePredictions(raw []byte, now time.Time) (TidePredictions, error) {
	none := TidePredictions{}
	raw = bytes.TrimSpace(raw)
	switch {
	case len(raw) == 0:
		return none, &BadBody{Why: Unreadable, Detail: "empty"}
	case raw[0] == '<':
		return none, &BadBody{Why: Unreadable, Detail: "markup instead of JSON"}
	}
	var b struct {
		Predictions *[]struct {
			T    string  `json:"t"`
			V    *string `json:"v"`
			Type string  `json:"type"`
		} `json:"predictions"`
		Units string `json:"units"`
		Datum string `json:"datum"`
		Error *struct {
			Message string `json:"message"`
		} `json:"error"`
	}
	if err := json.Unmarshal(raw, &b); err != nil {
		return none, &BadBody{Why: Unreadable, Err: plain(err)}
	}
	switch {
	case b.Error != nil:
		return none, tideError(b.Error.Message)
	case b.Predictions == nil: // measured levels, harmonic constants and datums come in other lists
		return none, &BadBody{Why: WrongShape, Detail: "predictions are missing"}
	case b.Units != "" && b.Units != "metric" && b.Units != "meters" && b.Units != "m":
		return none, &BadBody{Why: WrongUnits, Detail: fmt.Sprintf("heights in %q, want metres", short(b.Units))}
	case len(*b.Predictions) == 0:
		return none, &NoData{Why: AllNull}
	}
	out := TidePredictions{List: make([]TidePrediction, len(*b.Predictions)), HiLo: (*b.Predictions)[0].Type != "", Datum: b.Datum}
	heights := make([]float64, len(out.List))
	for i, p := range *b.Predictions {
		x := &out.List[i]
		var err error
		if x.At, err = time.Parse("2006-01-02 15:04", p.T); err != nil {
			return none, &BadBody{Why: WrongShape, Detail: "a time not like 2026-12-05 03:14"}
		}
		if u := x.At.Unix(); u < earliest || u > latest {
			return none, &BadBody{Why: WrongValue, Detail: "a time outside the years 2000 to 2100"}
		}
		if i > 0 && !x.At.After(out.List[i-1].At) {
			return none, &BadBody{Why: WrongShape, Detail: fmt.Sprintf("prediction %d is not after the one before", i)}
		}
		if x.Kind, err = tideKind(p.Type, out.HiLo); err != nil {
			return none, err
		}
		if heights[i], err = tideHeight(p.V); err != nil {
			return none, err
		}
	}
	if why := emptiness(absolute(heights)); why != "" {
		return none, &NoData{Why: why}
	}
	hs := pointers[measure.Metres](heights, anyOf, same)
	var before *TidePrediction // the one before with a height
	for i := range out.List {
		x := &out.List[i]
		if x.Height = hs(i); x.Height == nil {
			continue
		}
		if before != nil && x.Kind != before.Kind && (x.Kind == "high") != (*x.Height > *before.Height) {
			return none, &BadBody{Why: WrongValue, Detail: "a high water that is not above the low one beside it"}
		}
		before = x
	}
	if !before.At.After(now) {
		return none, &NoData{Why: Ended}
	}
	return out, nil
}

// tideError reads a complaint; the phrases are the service's own. It sends them with status 200 too, and has sent this
// one for every station while it was out of order, so it is not remembered as a fact about the place.
func tideError(message string) error {
	if strings.Contains(message, "data was found") {
		return &NoData{Why: NotCovered}
	}
	return &Unavailable{Why: BadRequest, Reason: message}
}

func tideKind(word string, hilo bool) (string, error) {
	switch {
	case word == "" && !hilo:
		return "", nil
	case (word == "H" || word == "HH") && hilo:
		return "high", nil
	case (word == "L" || word == "LL") && hilo:
		return "low", nil
	}
	return "", &BadBody{Why: WrongShape, Detail: fmt.Sprintf("a prediction of type %q", short(word))}
}

// tideHeight reads a height, which comes as text; absent, null or empty is NaN.
func tideHeight(text *string) (float64, error) {
	if text == nil || *text == "" {
		return math.NaN(), nil
	}
	v, err := measured([]byte(*text), math.NaN())
	if err != nil || math.IsNaN(v) {
		return 0, &BadBody{Why: WrongShape, Detail: "a height that is not a number"}
	}
	if math.Abs(v) > tideMost {
		return 0, &BadBody{Why: WrongValue, Detail: "a height of " + strconv.FormatFloat(v, 'g', 6, 64) + " m"}
	}
	return v, nil
}

func absolute(column []float64) []float64 {
	out := make([]float64, len(column))
	for i, v := range column {
		out[i] = math.Abs(v)
	}
	return out
}
