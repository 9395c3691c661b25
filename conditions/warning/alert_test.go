package warning

import (
	"testing"
	"time"

	"ledgehand/conditions"
)

func ts(s string) time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return t
}

// surf has the times of a real pattern of the US service: the message expires before the event begins.
func surf() Alert {
	return Alert{
		ID: "a", Event: "High Surf Advisory", Status: "Actual", MessageType: "Alert",
		Sent: ts("2026-12-05T11:30:00Z"), Onset: ts("2026-12-06T00:00:00Z"),
		Expires: ts("2026-12-05T19:30:00Z"), Ends: ts("2026-12-08T06:00:00Z"),
	}
}

func TestStanding(t *testing.T) {
	with := func(change func(*Alert)) Alert {
		a := surf()
		change(&a)
		return a
	}
	noEnd := with(func(a *Alert) { a.Ends, a.Onset = time.Time{}, a.Sent })
	for _, tc := range []struct {
		name string
		a    Alert
		now  string
		want Standing
	}{
		{"before the onset it is to come", surf(), "2026-12-05T12:00:00Z", ToCome},
		{"an expired message does not end a coming event", surf(), "2026-12-05T23:00:00Z", ToCome},
		{"an expired message does not end a running event", surf(), "2026-12-07T00:00:00Z", InForce},
		{"the instant of the end is over", surf(), "2026-12-08T06:00:00Z", Over},
		{"a second before the end it stands", surf(), "2026-12-08T05:59:59Z", InForce},
		{"without an end the message counts", noEnd, "2026-12-05T19:29:59Z", InForce},
		{"without an end it is kept an hour, not confirmed", noEnd, "2026-12-05T19:30:00Z", NotConfirmed},
		{"and no longer", noEnd, "2026-12-05T20:30:00Z", Over},
		{"without any end it lasts a day from sending", with(func(a *Alert) { a.Ends, a.Expires, a.Onset = time.Time{}, time.Time{}, time.Time{} }), "2026-12-06T11:29:00Z", InForce},
		{"then an hour not confirmed", with(func(a *Alert) { a.Ends, a.Expires, a.Onset = time.Time{}, time.Time{}, time.Time{} }), "2026-12-06T11:31:00Z", NotConfirmed},
		{"no end and an onset after the message's end: still to come", with(func(a *Alert) { a.Ends = time.Time{} }), "2026-12-05T23:59:00Z", ToCome},
		{"no end and an onset after the message's end: begins", with(func(a *Alert) { a.Ends = time.Time{} }), "2026-12-06T00:30:00Z", NotConfirmed},
		{"an end before sending is no end", with(func(a *Alert) { a.Ends = a.Sent.Add(-time.Hour) }), "2026-12-06T00:10:00Z", NotConfirmed},
		{"a test is not actual", with(func(a *Alert) { a.Status = "Test" }), "2026-12-07T00:00:00Z", NotActual},
		{"an exercise is not actual", with(func(a *Alert) { a.Status = "Exercise" }), "2026-12-07T00:00:00Z", NotActual},
		{"a cancel takes back", with(func(a *Alert) { a.MessageType = "Cancel" }), "2026-12-07T00:00:00Z", Cancelled},
		{"an update that says all clear is over", with(func(a *Alert) { a.MessageType, a.Response = "Update", "AllClear" }), "2026-12-07T00:00:00Z", Over},
		{"an update about the past is over", with(func(a *Alert) { a.MessageType, a.Urgency = "Update", "Past" }), "2026-12-07T00:00:00Z", Over},
		{"a plain update stands", with(func(a *Alert) { a.MessageType = "Update" }), "2026-12-07T00:00:00Z", InForce},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := tc.a.Standing(ts(tc.now)); got != tc.want {
				t.Errorf("Standing(%s) = %q, want %q", tc.now, got, tc.want)
			}
		})
	}
}

func TestJudge(t *testing.T) {
	now := ts("2026-12-07T00:00:00Z")
	standings := func(alerts ...Alert) map[string]Standing {
		out := map[string]Standing{}
		for _, j := range Judge(alerts, InZones(nil), now) {
			out[j.ID] = j.Standing
		}
		return out
	}
	first := surf()
	update := surf()
	update.ID, update.MessageType, update.Sent, update.Replaces = "b", "Update", first.Sent.Add(time.Hour), []string{"a"}

	t.Run("an update replaces what it names, in any order", func(t *testing.T) {
		for _, order := range [][]Alert{{first, update}, {update, first}} {
			if got := standings(order...); got["a"] != Replaced || got["b"] != InForce {
				t.Errorf("standings = %v, want a replaced, b in force", got)
			}
		}
	})
	t.Run("a cancel takes back what it names", func(t *testing.T) {
		c := update
		c.MessageType = "Cancel"
		if got := standings(c, first); got["a"] != Cancelled || got["b"] != Cancelled {
			t.Errorf("standings = %v, want both cancelled", got)
		}
	})
	t.Run("a message that names itself stands", func(t *testing.T) {
		u := update
		u.Replaces = []string{"b"}
		if got := standings(u); got["b"] != InForce {
			t.Errorf("standings = %v, want b in force", got)
		}
	})
	t.Run("two that name each other do not both vanish", func(t *testing.T) {
		a := update
		a.ID, a.Sent, a.Replaces = "a", first.Sent, []string{"b"}
		if got := standings(a, update); got["a"] != Replaced || got["b"] != InForce {
			t.Errorf("standings = %v, want a replaced, b in force", got)
		}
	})
	t.Run("a test cancel takes nothing back", func(t *testing.T) {
		c := update
		c.MessageType, c.Status = "Cancel", "Test"
		if got := standings(c, first); got["a"] != InForce {
			t.Errorf("standings = %v, want a in force", got)
		}
	})
	t.Run("an ended message stays over and not replaced", func(t *testing.T) {
		a := first
		a.Ends = now.Add(-time.Hour)
		if got := standings(a, update); got["a"] != Over {
			t.Errorf("standings = %v, want a over", got)
		}
	})
	t.Run("the gravest comes first, then the placed", func(t *testing.T) {
		fog, gale, here := surf(), surf(), surf()
		fog.ID, fog.Event, fog.Codes = "fog", "Dense Fog Advisory", []string{"PZZ455"}
		gale.ID, gale.Event = "gale", "Gale Warning"
		here.ID, here.Event, here.Codes = "here", "Gale Warning", []string{"PZZ455"}
		var got []string
		for _, j := range Judge([]Alert{fog, gale, here, first}, InZones([]string{"PZZ455"}), now) {
			got = append(got, j.ID)
		}
		want := [4]string{"a", "here", "gale", "fog"}
		if len(got) != 4 || [4]string(got) != want {
			t.Errorf("order = %v, want %v", got, want)
		}
	})
}

func TestWarningKeepsTheWords(t *testing.T) {
	a := surf()
	a.Headline, a.Text, a.Sender = "HIGH SURF  ADVISORY\nin effect", "* WHAT...Waves", "NWS Somewhere"
	w := Judge([]Alert{a}, InZones(nil), a.Onset)[0].Warning()
	if w.Headline != a.Headline || w.Text != a.Text || w.Sender != a.Sender || w.Event != a.Event {
		t.Errorf("Warning() = %+v, want the words of %+v unchanged", w, a)
	}
	if w.Concern != conditions.Red || !w.Onset.Equal(a.Onset) || !w.Ends.Equal(a.Ends) || w.Covers != nil {
		t.Errorf("Warning() = %+v, want red, the times of the event, not placed", w)
	}
}

func TestPlace(t *testing.T) {
	for _, tc := range []struct {
		name         string
		codes, zones []string
		want         string
	}{
		{"a zone of the ledge is in the area", []string{"CAZ108", "CAZ109"}, []string{"CAZ109", "PZZ455"}, "yes"},
		{"the area lists other zones of the same kind only", []string{"PZZ645"}, []string{"CAZ109", "PZZ455"}, "no"},
		{"the area is at sea and no sea zone is known", []string{"PZZ455"}, []string{"CAZ109"}, "not known"},
		{"the area is in counties and no county is known", []string{"CAC045"}, []string{"CAZ109", "PZZ455"}, "not known"},
		{"one code of the area cannot be compared", []string{"CAZ001", "CAC045"}, []string{"CAZ109"}, "not known"},
		{"no zone is known", []string{"PZZ455"}, nil, "not known"},
		{"the area has no codes", nil, []string{"PZZ455"}, "not known"},
		{"the codes are rubbish", []string{"P"}, []string{"PZZ455"}, "not known"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got := "not known"
			if c := Place(tc.codes, tc.zones); c != nil {
				got = map[bool]string{true: "yes", false: "no"}[*c]
			}
			if got != tc.want {
				t.Errorf("Place(%v, %v) = %s, want %s", tc.codes, tc.zones, got, tc.want)
			}
		})
	}
}
