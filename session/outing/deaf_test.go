package outing

import (
	"slices"
	"testing"
	"time"
)

func deafCase(t *testing.T) (Outing, time.Time) {
	t.Helper()
	start := time.Date(2026, 3, 14, 14, 0, 0, 0, time.UTC)
	o, _, err := New(Outing{
		ID: "k3f9", Crew: "g9", Group: -9, Ledge: "Anvil", Zone: "UTC", OpenedBy: 1, BackBy: start.Add(2 * time.Hour), Ladder: DefaultLadder(),
		People: []Member{{ID: 1, Name: "Ana", Chat: 1}, {ID: 2, Name: "Tavi"}}, Contacts: []Contact{{ID: 3, Name: "Mo", Chat: 3}},
	}, start)
	if err != nil {
		t.Fatal(err)
	}
	return o, start
}

func chats(effects []Effect) []int64 {
	var out []int64
	for _, e := range effects {
		out = append(out, e.To.Chat)
	}
	slices.Sort(out)
	return out
}

// A time in which nobody could be heard is told once; before the back-by time to the party alone, and nothing is moved by it.
func TestDeafnessBeforeTheTime(t *testing.T) {
	o, start := deafCase(t)
	at := start.Add(time.Hour)
	e := WasDeaf{From: start.Add(20 * time.Minute), To: at}
	next, effects, err := o.Apply(e, at)
	if err != nil || !slices.Equal(chats(effects), []int64{-9}) || effects[0].Kind != SayDeaf || effects[0].Alert {
		t.Fatalf("Apply = %+v, %v, want a word in the group", effects, err)
	}
	if !next.NextLook().Equal(o.NextLook()) {
		t.Errorf("next look at %s, want it unchanged at %s", next.NextLook(), o.NextLook())
	}
	if again, effects, err := next.Apply(e, at.Add(time.Minute)); err != nil || len(effects) > 0 || len(again.Deaf) != 1 {
		t.Errorf("the same again = %+v, %v, want nothing", effects, err)
	}
	if _, effects, _ := o.Apply(WasDeaf{From: start.Add(-time.Hour), To: start.Add(-time.Minute)}, at); len(effects) > 0 {
		t.Errorf("deaf before it began: %+v, want nothing", effects)
	}
}

// Past the back-by time those who may have answered in vain are asked again, and get some minutes before others are alarmed; what
// was due in the time is late by these and no more.
func TestDeafnessPastTheTimeAsksAgain(t *testing.T) {
	o, start := deafCase(t)
	at := start.Add(3 * time.Hour) // the contact's time has passed too
	o, effects, err := o.Apply(WasDeaf{From: start.Add(time.Hour), To: at}, at)
	if err != nil || !slices.Equal(chats(effects), []int64{-9, 1, 3}) {
		t.Fatalf("Apply = %+v, %v, want the group, Ana and Mo told", effects, err)
	}
	o, effects = o.Tick(at)
	for _, e := range effects {
		if e.Kind == SayParty || e.Kind == SayContact {
			t.Errorf("alarmed at once: %+v", e)
		}
	}
	if want := at.Add(askedAgain); !o.NextLook().Equal(want) {
		t.Errorf("next look at %s, want %s", o.NextLook(), want)
	}
	_, effects = o.Tick(at.Add(askedAgain))
	if !slices.ContainsFunc(effects, func(e Effect) bool { return e.Kind == SayContact }) {
		t.Errorf("after the minutes to answer: %+v, want Mo alarmed", effects)
	}
}

// A bot that goes on falling over asks again each time, and alarms others all the same.
func TestDeafnessAgainAndAgainPutsNothingOff(t *testing.T) {
	o, start := deafCase(t)
	at := start.Add(3 * time.Hour)
	var err error
	for i := range 20 {
		from := at.Add(time.Duration(i) * 3 * time.Minute)
		if o, _, err = o.Apply(WasDeaf{From: from, To: from.Add(3 * time.Minute)}, from.Add(3*time.Minute)); err != nil {
			t.Fatal(err)
		}
	}
	if want := at.Add(3*time.Minute + askedAgain); !o.NextLook().Before(want.Add(time.Second)) {
		t.Errorf("next look at %s, want no later than %s", o.NextLook(), want)
	}
}

// An alert that is out already is not held back by it.
func TestDeafnessHoldsNoAlertBackThatIsOut(t *testing.T) {
	o, start := deafCase(t)
	at := start.Add(3 * time.Hour)
	o, _ = o.Tick(at)
	before := o.NextLook()
	o, _, err := o.Apply(WasDeaf{From: at, To: at.Add(9 * time.Minute)}, at.Add(9*time.Minute))
	if err != nil || !o.NextLook().Equal(before) {
		t.Errorf("next look at %s, %v, want %s", o.NextLook(), err, before)
	}
}

// What still waits to be said of it does not go out after the "off".
func TestDeafnessIsNotSaidAfterTheOff(t *testing.T) {
	o, start := deafCase(t)
	at := start.Add(3 * time.Hour)
	o, effects, err := o.Apply(WasDeaf{From: start.Add(time.Hour), To: at}, at)
	if err != nil {
		t.Fatal(err)
	}
	waiting := o.Outstanding()
	for _, e := range effects {
		if id := o.MessageID(e); !slices.Contains(waiting, id) {
			t.Errorf("%s is not among what is called back: %v", id, waiting)
		}
	}
	if o, _, err = o.Apply(SayOffRocks{By: 1, Who: []int64{1, 2}}, at); err != nil {
		t.Fatal(err)
	}
	if o, effects, err = o.Apply(WasDeaf{From: at, To: at.Add(time.Hour)}, at.Add(time.Hour)); err != nil || len(effects) > 0 || len(o.Deaf) != 1 {
		t.Errorf("after the off: %+v, %v, want nothing", effects, err)
	}
}
