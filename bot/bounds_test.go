package bot

import (
	"fmt"
	"testing"
	"time"
)

var noon = time.Date(2026, time.March, 14, 12, 0, 0, 0, time.UTC)

func TestTallyAdmits(t *testing.T) {
	var x tally
	var ok, news bool
	for i := range 5 {
		x, ok, news = x.admit(fmt.Sprint(i), noon.Add(time.Duration(i)*time.Second), 3)
		if want := i < 3; ok != want || news != (i == 3) {
			t.Errorf("line %d: admitted %v, news %v, want %v, %v", i, ok, news, want, i == 3)
		}
	}
	if x, ok, _ = x.admit("1", noon.Add(5*time.Second), 3); !ok {
		t.Error("a letter that was admitted and comes again is held back")
	}
	if x, ok, _ = x.admit("late", noon.Add(-30*time.Second), 3); !ok {
		t.Error("a line from before the others, read after them, is held back")
	}
	if x, ok, _ = x.admit("next", noon.Add(61*time.Second), 3); !ok {
		t.Error("a line a minute later is held back")
	}
	if len(x.asked) > 3 {
		t.Errorf("%d lines remembered, want up to 3", len(x.asked))
	}
}

func TestBoundsForgetTheQuiet(t *testing.T) {
	var b bounds
	for i := range int64(3 * mostTallies) {
		at := noon.Add(time.Duration(i/100) * time.Second)
		if ok, _ := b.admit(i+1, fmt.Sprint(i), at, 1); !ok {
			t.Fatalf("the first line of %d is held back", i+1)
		}
		if len(b.of) > mostTallies {
			t.Fatalf("%d tallies, want up to %d", len(b.of), mostTallies)
		}
	}
}

func TestKnownIsBounded(t *testing.T) {
	var k known
	for i := range int64(2*mostKnown + 5) {
		k.note(i, "g1 Ana")
		if !k.as(i, "g1 Ana") || k.as(i, "g2 Ana") || len(k.of) > mostKnown {
			t.Fatalf("after %d: %d remembered", i, len(k.of))
		}
	}
}
