package session

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"
)

func TestNearMissesOfALedge(t *testing.T) {
	now := time.Date(2026, 3, 14, 15, 0, 0, 0, time.UTC)
	c := Crew{Ledges: []Ledge{{Name: "Anvil", Near: []NearMiss{{ID: "old", At: now.Add(-NearLasts), Text: "long ago", By: 1}}}, {Name: "Long Step"}}}
	before := c.Ledges[0].Near
	if !c.NoteNear("anvil", NearMiss{ID: "a", At: now, Text: "knocked over", By: 1}) || c.NoteNear("nowhere", NearMiss{ID: "x"}) {
		t.Fatal("noted where there is no ledge, or not where there is one")
	}
	c.NoteNear("Anvil", NearMiss{ID: "a", At: now, Text: "knocked over", By: 1})
	l, _ := c.LedgeNamed("Anvil")
	if got := l.NearLately(now); len(got) != 1 || got[0].ID != "a" || len(l.Near) != 2 || len(before) != 1 {
		t.Errorf("lately %+v of %+v, want the new one once, and the old one kept", got, l.Near)
	}
	if _, ok := c.TakeBackNear("a", 2); ok {
		t.Error("taken back by somebody else")
	}
	if name, ok := c.TakeBackNear("a", 1); !ok || name != "Anvil" {
		t.Errorf("taken back %v at %q", ok, name)
	}
	if _, ok := c.TakeBackNear("old", 1); !ok {
		t.Error("the last one cannot be taken back")
	}
	if l, _ := c.LedgeNamed("Anvil"); len(l.Near) != 0 {
		t.Errorf("left %+v, want none", l.Near)
	}
	for i := range MostNear + 5 {
		c.NoteNear("Anvil", NearMiss{ID: fmt.Sprint(i), At: now.Add(time.Duration(i) * time.Hour), By: 1})
	}
	l, _ = c.LedgeNamed("Anvil")
	if len(l.Near) != MostNear || l.Near[0].ID != "5" || l.NearLately(now.Add(30 * time.Hour))[0].ID != "24" {
		t.Errorf("%d kept from %q on, want the newest %d", len(l.Near), l.Near[0].ID, MostNear)
	}
	// A changed card keeps them, and so does the store.
	c.PutLedge(Ledge{Name: "Anvil", Card: json.RawMessage(`{}`)})
	if l, _ = c.LedgeNamed("Anvil"); len(l.Near) != MostNear {
		t.Errorf("%d left when the card changed", len(l.Near))
	}
}
