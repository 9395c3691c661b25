package pump_test

import (
	"slices"
	"testing"
	"time"

	"ledgehand/session"
)

// A letter waits for an older one of the same person in another shard, for nobody else's, and not for ever.
func TestALetterWaitsItsTurn(t *testing.T) {
	const here, there = session.Shard(3), session.Shard(40)
	for name, c := range map[string]struct {
		there []string // letters in the other shard, and
		mine  string   // the one here, which came second
		waits bool
	}{
		"the same person said something first": {[]string{"ana: out"}, "ana: off", true},
		"among others":                         {[]string{"moses: in", "ana: out", "bo: hello"}, "ana: off", true},
		"somebody else did":                    {[]string{"moses: out"}, "ana: off", false},
		"they ask a feed":                      {[]string{"ana: slow sea"}, "ana: off", false},
		"nobody can read it":                   {[]string{"garbage"}, "ana: off", false},
		"nothing waits there":                  {nil, "ana: off", false},
	} {
		t.Run(name, func(t *testing.T) {
			b := open(t)
			b.desk.elsewhere = []session.Shard{there}
			h := build(b, nil)
			h.goOut("k1", noon.Add(2*time.Hour), noon)
			for i, l := range c.there {
				h.takeAt(there, "u"+string(rune('1'+i)), l, noon)
			}
			h.takeAt(here, "u9", c.mine, noon)
			at := noon.Add(50 * time.Minute) // however long ago they were received: they may have lain here through a fall of ours
			if _, err := h.pump.Round(t.Context(), here, at); err != nil {
				t.Fatal(err)
			}
			if got := slices.Contains(b.desk.handled, "off"); got == c.waits {
				t.Fatalf("handled %q though it waits: %v", b.desk.handled, c.waits)
			}
			// A shard that nobody serves holds nobody up for longer than it takes to be taken over.
			if _, err := h.pump.Round(t.Context(), here, at.Add(time.Minute)); err != nil {
				t.Fatal(err)
			}
			if !slices.Contains(b.desk.handled, "off") {
				t.Errorf("handled %q, want the letter read after a minute", b.desk.handled)
			}
		})
	}
}

// In one round over all shards the older letter is read first, whichever shard comes first, and nothing is judged in between.
func TestALetterThatWaitsIsReadInTheSameRound(t *testing.T) {
	for _, out := range []session.Shard{2, 50} {
		b := open(t)
		off := session.Shard(20)
		b.desk.elsewhere = []session.Shard{out, off}
		h := build(b, nil)
		h.goOut("k1", noon.Add(time.Minute), noon)
		h.takeAt(out, "u1", "ana: out", noon.Add(time.Hour))
		h.takeAt(off, "u2", "ana: off", noon.Add(time.Hour))
		if err := h.pump.Settle(t.Context(), noon.Add(time.Hour)); err != nil {
			t.Fatal(err)
		}
		if got := b.desk.handled; !slices.Equal(got, []string{"out", "off"}) {
			t.Errorf("handled %q, want them in the order in which they were said", got)
		}
		if got := h.sender.texts(); !slices.Equal(got, []string{"off noted"}) {
			t.Errorf("sent %q, want no alert: the off was read first", got)
		}
	}
}
