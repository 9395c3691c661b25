package after

import (
	"errors"
	"testing"
	"time"
)

func TestTheRingIsAskedOnceADay(t *testing.T) {
	now := time.Date(2026, 3, 14, 20, 0, 0, 0, time.UTC)
	r := Report{ID: "a"}
	if _, err := r.AnswerRing(1, RingThere, now); !errors.Is(err, ErrOver) {
		t.Errorf("an answer that nobody asked for: %v", err)
	}
	r = r.Ask([]Person{{ID: 1, Name: "Ana"}, {ID: 2, Name: "Bram"}}, now)
	if _, err := r.AnswerRing(1, RingThere, now); !errors.Is(err, ErrOver) {
		t.Errorf("an answer about a ring that was not asked for: %v", err)
	}
	r.Ring = true
	next, err := r.AnswerRing(1, RingGone, now.Add(time.Hour))
	if err != nil || next.People[0].Ring != RingGone || r.People[0].Ring != "" || next.People[1].Ring != "" {
		t.Errorf("%+v of %+v, %v", next.People, r.People, err)
	}
	if _, err := r.AnswerRing(3, RingGone, now); !errors.Is(err, ErrNotThere) {
		t.Errorf("an answer of somebody who was not there: %v", err)
	}
	if _, err := r.AnswerRing(1, RingGone, now.Add(Answers)); !errors.Is(err, ErrOver) {
		t.Errorf("an answer a day late: %v", err)
	}
}
