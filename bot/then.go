package bot

import (
	"math"
	"time"

	"ledgehand/conditions"
	"ledgehand/session"
	"ledgehand/session/catch"
)

// then is what tide, sea and light are when something is caught on a ledge of the crew. Nothing is waited for: the tide and the light are
// computed, the sea is that of the last conditions answer for the ledge, if it is fresh enough. nil where nothing of it is known.
func (a *ask) then(tx *session.Tx, c session.Crew, ledge string, at time.Time) *catch.Then {
	led, ok := c.LedgeNamed(ledge)
	if !ok {
		return nil
	}
	var t catch.Then
	card, err := cardOf(led)
	if err != nil {
		a.lesser("tide and light of a catch", err)
		return nil
	}
	m := conditions.MomentAt(card.Place(), card.TideStation, at)
	t.Light = string(m.Light)
	if m.Tide != "" {
		t.Tide = &catch.ThenTide{Stage: string(m.Tide), HeightM: cents(float64(m.Level)), Datum: m.Datum, Turn: string(m.Turn.Kind), TurnMin: int(math.Round(at.Sub(m.Turn.At).Minutes()))}
	}
	n, found, err := tx.LoadSea(led.Name)
	a.lesser("sea of a catch", err)
	if h, ok := n.Hour(at, at); err == nil && found && ok && !n.FetchedAt.After(at) {
		t.Sea = &catch.ThenSea{HsM: cents(h.Hs), PeriodS: cents(h.Period), FromDeg: h.From, Forecast: n.FetchedAt}
	}
	if t == (catch.Then{}) {
		return nil
	}
	return &t
}

// cents rounds to two decimals: more of a forecast than that is noise.
func cents(v float64) float64 { return math.Round(v*100) / 100 }
