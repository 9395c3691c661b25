package trip

import (
	"cmp"
	"time"
)

// Home as a plan B is no ledge: nobody goes.
const Home = "home"

// change moves a plan to another ledge or other hours. The same plan said again is no change.
func (t *Trip) change(e Change, now time.Time) error {
	led, start, end := cmp.Or(e.Ledge, t.Ledge), e.Start, e.End
	if start.IsZero() {
		start = t.Start
	}
	if end.IsZero() {
		end = t.End
	}
	switch {
	case !end.After(start):
		return ErrTimes
	case !end.After(now):
		return ErrOver
	case led == t.Ledge && start.Equal(t.Start) && end.Equal(t.End):
		return nil
	}
	t.Ledge, t.Start, t.End = led, start, end
	t.Zone = cmp.Or(e.Zone, t.Zone)
	t.Capacity, t.Dark = e.Capacity, e.Dark
	t.SeaAtPlan, t.SeaNow = e.Sea, e.Sea // what the old hours promised says nothing of these
	for i := range t.Gear {
		if t.Gear[i].Name == Lights {
			t.Gear[i].Vital = t.Dark
		}
	}
	t.Seq++
	t.ChangedAt = now
	for i := range t.Roster {
		if p := &t.Roster[i]; p.ID == e.By && p.Answer == In {
			p.Confirmed = t.Seq
		}
	}
	return nil
}

// Unconfirmed are those who are in and have not said so since the plan changed.
func (t Trip) Unconfirmed() []Place {
	var out []Place
	for _, p := range t.Who(In) {
		if p.Confirmed < t.Seq {
			out = append(out, p)
		}
	}
	return out
}
