package feed

import (
	"errors"
	"fmt"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/warning"
)

// Kind names a form of answer that this package can read, for who has a body and no client.
type Kind string

// The kinds.
const (
	OpenMeteoMarine   Kind = "openmeteo.marine"
	OpenMeteoForecast Kind = "openmeteo.forecast"
	NDBCText          Kind = "ndbc.txt"
	NDBCSpec          Kind = "ndbc.spec"
	NDBCLatest        Kind = "ndbc.latest"
	MetLocation       Kind = "metno.location"
	MetOcean          Kind = "metno.ocean"
	NWSAlerts         Kind = "nws.alerts"
	CAPMessage        Kind = "cap"
	CAPIndex          Kind = "cap.index"
	CoopsPredictions  Kind = "coops.predictions"
)

// Kinds lists them.
func Kinds() []Kind {
	return []Kind{
		OpenMeteoMarine, OpenMeteoForecast, NDBCText, NDBCSpec, NDBCLatest, MetLocation, MetOcean, NWSAlerts, CAPMessage, CAPIndex, CoopsPredictions,
	}
}

// Warns says whether answers of this kind are warnings and not hours.
func (k Kind) Warns() bool { return k == NWSAlerts || k == CAPMessage || k == CAPIndex }

// Errors of a question, not of an answer.
var (
	ErrKind    = errors.New("no such kind of answer")
	ErrNoPlace = errors.New("this kind of answer needs a place")
)

// Asked is what a body was the answer to.
type Asked struct {
	Now   time.Time
	At    *measure.Position // nil: not said; forecasts are then refused, warnings not placed
	Zones []string          // UGC codes the place lies in, for warnings; may be empty
	Langs []string          // of the reader, the best first, for cap; empty: English
}

// places is At as the judging of warnings takes it.
func (q Asked) places() []measure.Position {
	if q.At == nil {
		return nil
	}
	return []measure.Position{*q.At}
}

// Reading is what a body says; which parts are set depends on its kind.
type Reading struct {
	Sea      *conditions.Sea
	Currents []Current // beside Sea.Hours, metno.ocean only
	Weather  *conditions.Weather
	Sky      []MetSky         // beside Weather.Hours, metno.location only
	Buoy     *Buoy            // of ndbc.txt, ndbc.spec
	Near     []NearBuoy       // of ndbc.latest, the nearest first
	Tides    *TidePredictions // of coops.predictions
	// Warnings are all messages in the body, those over and taken back too, the gravest first. With an error they are
	// what is known of a list that says too little: none of them is not none in force.
	Warnings []warning.Judged
}

// Read decodes a body of a kind. Errors are those of the decoders (see Status), and ErrKind and ErrNoPlace.
func Read(k Kind, raw []byte, q Asked) (Reading, error) {
	var r Reading
	switch k {
	case OpenMeteoMarine, OpenMeteoForecast, NDBCLatest, MetLocation, MetOcean:
		if q.At == nil {
			return r, fmt.Errorf("%w: %q", ErrNoPlace, k)
		}
	}
	if q.At != nil {
		if err := q.At.Check(); err != nil {
			return r, fmt.Errorf("%w: %w", ErrNoPlace, err)
		}
	}
	switch k {
	case OpenMeteoMarine:
		s, err := DecodeMarine(raw, q.Now, *q.At)
		if err != nil {
			return r, err
		}
		r.Sea = &s
	case OpenMeteoForecast:
		w, err := DecodeForecast(raw, q.Now, *q.At)
		if err != nil {
			return r, err
		}
		r.Weather = &w
	case MetOcean:
		s, err := DecodeMetOcean(raw, q.Now, *q.At)
		if err != nil {
			return r, err
		}
		r.Sea, r.Currents = &s.Sea, s.Currents
	case MetLocation:
		w, err := DecodeMetLocation(raw, q.Now, *q.At)
		if err != nil {
			return r, err
		}
		r.Weather, r.Sky = &w.Weather, w.Sky
	case NDBCText, NDBCSpec:
		decode := DecodeBuoyText
		if k == NDBCSpec {
			decode = DecodeBuoySpec
		}
		b, err := decode(raw, q.Now)
		if err != nil {
			return r, err
		}
		r.Buoy = &b
	case NDBCLatest:
		all, err := DecodeBuoys(raw)
		if err != nil {
			return r, err
		}
		if r.Near = NearBuoys(all, BuoyWant{At: *q.At}, q.Now); len(r.Near) == 0 {
			return r, &NoData{Why: NotCovered}
		}
	case CoopsPredictions:
		p, err := DecodeTidePredictions(raw, q.Now)
		if err != nil {
			return r, err
		}
		r.Tides = &p
	case NWSAlerts:
		return readAlerts(raw, q)
	case CAPMessage:
		return readCAP(raw, q)
	case CAPIndex:
		return readIndex(raw, q)
	default:
		return r, fmt.Errorf("%w: %q", ErrKind, short(string(k)))
	}
	return r, nil
}

// readAlerts judges a list of the US service.
func readAlerts(raw []byte, q Asked) (Reading, error) {
	a, err := DecodeAlerts(raw)
	if err != nil {
		return Reading{}, err
	}
	r := Reading{Warnings: a.judged(WarningPlace{Zones: q.Zones, Places: q.places()}, warning.Geocodes{}, q.Now)}
	switch {
	case q.Now.Sub(a.Updated) > alertsOld:
		return r, &NoData{Why: TooOld}
	case a.Incomplete:
		return r, &NoData{Why: Incomplete}
	}
	return r, nil
}

// readCAP judges one message by itself: what it takes back or what takes it back is not here. Areas given by code only
// cannot be placed.
func readCAP(raw []byte, q Asked) (Reading, error) {
	m, err := warning.DecodeCAP(raw)
	if err != nil {
		return Reading{}, refusedCAP(err)
	}
	return Reading{Warnings: warning.JudgeCAP([]warning.Message{m}, q.places(), q.Now, q.langs(), q.here())}, nil
}

// readIndex judges an index without its messages, by what its entries say of them. One that lists nothing is unknown and
// not none: nobody can tell it from an index that has lost its entries.
func readIndex(raw []byte, q Asked) (Reading, error) {
	x, err := warning.DecodeIndex(raw)
	if err != nil {
		return Reading{}, refusedCAP(err)
	}
	r := Reading{Warnings: x.JudgeEntries(q.places(), q.Now, q.here())}
	whole := x.Judge(nil, q.places(), q.Now, q.langs(), q.here())
	switch {
	case x.Worth(q.Now) != "":
		return r, &NoData{Why: Why(x.Worth(q.Now))}
	case len(x.Entries) == 0:
		return r, &NoData{Why: AllNull}
	case whole.Why != "" && len(whole.List) == 0: // what is over by its entry may not be by its message
		return r, &NoData{Why: Why(whole.Why)}
	}
	return r, nil
}

// here is what of coded areas is known by the question: the zones the place lies in.
func (q Asked) here() warning.Geocodes { return warning.Geocodes{Here: ugc(q.Zones)} }

func (q Asked) langs() []string {
	if len(q.Langs) == 0 {
		return []string{"en"}
	}
	return q.Langs
}

// refusedCAP turns a refusal of package warning into one of this package; the words for why are the same.
func refusedCAP(err error) error {
	var r *warning.Refused
	if errors.As(err, &r) {
		return &BadBody{Why: Why(r.Why), Detail: r.Detail, Err: r.Err}
	}
	return &BadBody{Why: Unreadable, Err: err}
}
