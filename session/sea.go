package session

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"time"
)

// SeaNote is what the last conditions answer said about a ledge, hour by hour, so that starting an outing or a
// watch never waits for a feed (I7). It is as old as FetchedAt says and no newer.
type SeaNote struct {
	V         int       `json:"v"`
	Ledge     string    `json:"ledge"`
	FetchedAt time.Time `json:"fetched_at"`
	Datum     string    `json:"datum,omitempty"`
	LastLight time.Time `json:"last_light,omitzero"`
	WaterC    *float64  `json:"water_c,omitempty"`
	Hours     []SeaHour `json:"hours,omitempty"`
	Turns     []Turn    `json:"turns,omitempty"` // high and low waters around those hours
}

// SeaHour is one hour of a SeaNote; metres, seconds, degrees true.
type SeaHour struct {
	At      time.Time `json:"at"`
	Hs      float64   `json:"hs"`       // offshore
	HsLocal float64   `json:"hs_local"` // at the foot of the ledge, lowered for oblique arrival
	Tz      float64   `json:"tz"`
	Period  float64   `json:"period"`         // peak
	From    *float64  `json:"from,omitempty"` // nil: not known
	Rc      float64   `json:"rc"`             // freeboard
}

// Turn is one high or low water.
type Turn struct {
	At     time.Time `json:"at"`
	High   bool      `json:"high"`
	Height float64   `json:"height"`
}

// SeaStale is when a note is too old to speak of the sea (reference: refuse a sea forecast after 12 hours).
const SeaStale = 12 * time.Hour

// Hour is the note's hour nearest to t, if one lies within an hour and the note is not stale at now.
func (n SeaNote) Hour(t, now time.Time) (SeaHour, bool) {
	best, ok := SeaHour{}, false
	if now.Sub(n.FetchedAt) > SeaStale {
		return best, false
	}
	for _, h := range n.Hours {
		if d := h.At.Sub(t).Abs(); d <= time.Hour && (!ok || d < best.At.Sub(t).Abs()) {
			best, ok = h, true
		}
	}
	return best, ok
}

// NextTurn is the first high or low water after t.
func (n SeaNote) NextTurn(t time.Time) (Turn, bool) {
	for _, x := range n.Turns {
		if x.At.After(t) {
			return x, true
		}
	}
	return Turn{}, false
}

// seaKey does not hold the ledge's name, for keys lie open in the store: a sum of the crew and the name does.
func seaKey(c CrewID, ledge string) string {
	sum := sha256.Sum256([]byte(string(c) + "/" + strings.ToLower(ledge)))
	return "sea/" + string(c) + "/" + hex.EncodeToString(sum[:8])
}

// LoadSea reads the last note on a ledge; found is false when nobody asked yet.
func (tx *Tx) LoadSea(ledge string) (n SeaNote, found bool, err error) {
	found, err = tx.load(seaKey(tx.Crew, ledge), &n)
	return n, found, err
}

// PutSea writes it.
func (tx *Tx) PutSea(n SeaNote) error {
	n.V = 1
	return tx.put(seaKey(tx.Crew, n.Ledge), n)
}
