package outing

import (
	"encoding/json"
	"reflect"
	"testing"
	"time"
)

func TestLanguageIn(t *testing.T) {
	o := Outing{
		Group:    -7,
		People:   []Member{{ID: 1, Name: "Ana", Chat: 11, Language: "es"}, {ID: 2, Name: "Bram", Language: "pt"}, {ID: -1, Name: "Eve"}},
		Contacts: []Contact{{ID: 9, Name: "Mo", Chat: 9, Language: "es"}, {ID: 8, Name: "Dell", Chat: 8}},
		Mates:    []Contact{{ID: 3, Name: "Chidi", Chat: 3, Language: "fr"}},
	}
	for chat, want := range map[int64]string{-7: "", 11: "es", 2: "pt", 9: "es", 8: "", 3: "fr", 99: "", -1: ""} {
		if got := o.LanguageIn(chat); got != want {
			t.Errorf("LanguageIn(%d) = %q, want %q", chat, got, want)
		}
	}
	// Of a lone angler the own chat is where the party reads.
	lone := Outing{People: []Member{{ID: 1, Chat: 1, Language: "es"}}}
	if got := lone.LanguageIn(lone.PartyChat()); got != "es" {
		t.Errorf("LanguageIn(a lone angler's chat) = %q, want their own", got)
	}
}

func TestReadsChangesOnlyTheLanguage(t *testing.T) {
	at := time.Date(2026, 3, 14, 13, 30, 0, 0, time.UTC)
	o, _, err := New(Outing{
		ID: "o1", Crew: "g7", Group: -7, Ledge: "Anvil", Zone: "UTC", OpenedBy: 1, BackBy: at.Add(2 * time.Hour), Ladder: DefaultLadder(),
		People: []Member{{ID: 1, Name: "Ana", Chat: 1}}, Contacts: []Contact{{ID: 9, Name: "Mo", Chat: 9}}, Mates: []Contact{{ID: 3, Name: "Chidi", Chat: 3}},
	}, at)
	if err != nil {
		t.Fatal(err)
	}
	before, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	next := o.Reads(1, "es").Reads(9, "es").Reads(3, "pt").Reads(77, "fr").Reads(9, "")
	if now, err := json.Marshal(o); err != nil || string(now) != string(before) {
		t.Errorf("what was handed in changed to %s (%v)", now, err)
	}
	if next.People[0].Language != "es" || next.Contacts[0].Language != "es" || next.Mates[0].Language != "pt" {
		t.Errorf("Reads = %+v", next)
	}
	// The ladder goes on as it would have.
	a, b := o, next
	for range 20 {
		look := a.NextLook()
		if !look.Equal(b.NextLook()) {
			t.Fatalf("next look %v beside %v", b.NextLook(), look)
		}
		var said, saidToo []Effect
		a, said = a.Tick(look)
		b, saidToo = b.Tick(look)
		if !reflect.DeepEqual(said, saidToo) {
			t.Fatalf("at %v: %+v beside %+v", look, saidToo, said)
		}
	}
	// A plan taken up later brings its holder's language; one said again without it keeps what is known.
	joined, _, err := o.Apply(Join{ID: 5, Name: "Gil", Chat: 5, Language: "es"}, at)
	if err != nil || joined.LanguageIn(5) != "es" {
		t.Errorf("after Join the language is %q (%v), want es", joined.LanguageIn(5), err)
	}
	if joined, _, err = joined.Apply(Join{ID: 5, Name: "Gil", Chat: 5}, at); err != nil || joined.LanguageIn(5) != "es" {
		t.Errorf("after another Join the language is %q (%v), want es", joined.LanguageIn(5), err)
	}
}
