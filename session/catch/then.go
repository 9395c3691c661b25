package catch

import "time"

// Then is what tide, sea and light were when something was caught, as it was known at the time: tide and light are computed, the sea is
// that of the last forecast in hand. What is nil or empty is not known, and never nothing.
type Then struct {
	Tide  *ThenTide `json:"tide,omitempty"`
	Sea   *ThenSea  `json:"sea,omitempty"`
	Light string    `json:"light,omitempty"` // dark, dawn, day, dusk
}

// ThenTide is the predicted tide.
type ThenTide struct {
	Stage   string  `json:"stage"` // making, ebbing, high, low, slack
	HeightM float64 `json:"height_m"`
	Datum   string  `json:"datum,omitempty"`
	Turn    string  `json:"turn"`     // high, low: the nearest in time
	TurnMin int     `json:"turn_min"` // minutes since that turn, negative before it
}

// ThenSea is the forecast sea off the ledge.
type ThenSea struct {
	HsM      float64   `json:"hs_m"`
	PeriodS  float64   `json:"period_s,omitempty"` // peak, 0: not known
	FromDeg  *float64  `json:"from_deg,omitempty"` // degrees true, nil: not known
	Forecast time.Time `json:"forecast"`           // when that forecast was fetched
}

// Stands says whether an entry counts: it was not taken back.
func (e Entry) Stands() bool { return e.Undone.IsZero() }
