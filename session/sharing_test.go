package session_test

import (
	"fmt"
	"testing"

	"ledgehand/session"
)

// However many replicas there are, the shares add up to all shards, none is more than one larger than another, and no two begin
// at the same.
func TestSharesAreEven(t *testing.T) {
	for n := 1; n <= 80; n++ {
		var present []string
		for i := range n {
			present = append(present, fmt.Sprintf("r%02d", i))
		}
		sum, least, most := 0, session.Shards, 0
		for _, p := range present {
			k, first := session.Share(p, present)
			if k > 0 && int(first) != sum {
				t.Errorf("%s of %d begins at %d, want %d", p, n, first, sum)
			}
			sum, least, most = sum+k, min(least, k), max(most, k)
		}
		if sum != session.Shards || most-least > 1 {
			t.Errorf("%d replicas serve %d shards, from %d to %d each", n, sum, least, most)
		}
	}
	if k, _ := session.Share("x", []string{"a", "b"}); k != 0 {
		t.Errorf("a replica nobody knows gets %d", k)
	}
}
