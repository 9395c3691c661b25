package session_test

import (
	"testing"
	"time"

	"ledgehand/session"
)

func TestSeaHour(t *testing.T) {
	n := session.SeaNote{FetchedAt: noon}
	for i, hs := range []float64{1, 2, 3} {
		n.Hours = append(n.Hours, session.SeaHour{At: noon.Add(time.Duration(i) * time.Hour), Hs: hs})
	}
	for _, tt := range []struct {
		name   string
		at, as time.Duration // from noon: the hour asked for, and when
		want   float64       // 0: none
	}{
		{"OnTheHour", time.Hour, 0, 2},
		{"NearestBefore", 80 * time.Minute, 0, 2},
		{"NearestAfter", 100 * time.Minute, 0, 3},
		{"AnHourBeyond", 3 * time.Hour, 0, 3},
		{"FurtherBeyond", 3*time.Hour + time.Second, 0, 0},
		{"AnHourBefore", -time.Hour, 0, 1},
		{"FurtherBefore", -time.Hour - time.Second, 0, 0},
		{"OldButGood", time.Hour, session.SeaStale, 2},
		{"Stale", time.Hour, session.SeaStale + time.Second, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			h, ok := n.Hour(noon.Add(tt.at), noon.Add(tt.as))
			if h.Hs != tt.want || ok != (tt.want != 0) {
				t.Errorf("Hour() = %v m, %v, want %v m", h.Hs, ok, tt.want)
			}
		})
	}
	if _, ok := (session.SeaNote{FetchedAt: noon}).Hour(noon, noon); ok {
		t.Error("Hour() of an empty note = true, want false")
	}
}

func TestNextTurn(t *testing.T) {
	n := session.SeaNote{Turns: []session.Turn{{At: noon, High: true, Height: 1.8}, {At: noon.Add(6 * time.Hour), Height: 0.3}}}
	if x, ok := n.NextTurn(noon.Add(-time.Second)); !ok || !x.High {
		t.Errorf("NextTurn() before high water = %+v, %v, want the high", x, ok)
	}
	if x, ok := n.NextTurn(noon); !ok || x.High {
		t.Errorf("NextTurn() at high water = %+v, %v, want the low that follows", x, ok)
	}
	if x, ok := n.NextTurn(noon.Add(6 * time.Hour)); ok {
		t.Errorf("NextTurn() after the last = %+v, want none", x)
	}
}

func TestSeaNotesAreStoredByLedge(t *testing.T) {
	b := open(t)
	water := 14.5
	b.do("u1", noon, func(tx *session.Tx) error {
		return tx.PutSea(session.SeaNote{Ledge: "Anvil", FetchedAt: noon, WaterC: &water, Hours: []session.SeaHour{{At: noon, Hs: 1.5}}})
	})
	b.view(noon, func(tx *session.Tx) error {
		n, found, err := tx.LoadSea("ANVIL")
		if err != nil || !found || n.V != 1 || *n.WaterC != water || len(n.Hours) != 1 || !n.FetchedAt.Equal(noon) {
			t.Errorf("LoadSea() = %+v, %v, %v, want the note, however the name is written", n, found, err)
		}
		if _, found, err := tx.LoadSea("Long Step"); found || err != nil {
			t.Errorf("LoadSea() of another ledge = %v, %v, want none", found, err)
		}
		return nil
	})
}
