package chat

import (
	"fmt"
	"math"
	"testing"
)

// Numbers of mail contacts and ids of Telegram, which have at most 52 significant bits (Bot API), never meet.
func TestMailNumbersAreNobodysID(t *testing.T) {
	const largest = int64(1)<<52 - 1 // that Telegram can give, either way
	seen := map[int64]string{}
	for i := range 20_000 {
		address := fmt.Sprintf("mo%d@example.org", i)
		n := MailNumber(address)
		if n <= largest || -n >= -largest || n >= 1<<53 || int64(float64(n)) != n {
			t.Fatalf("MailNumber(%q) = %d, want one between 2^52 and 2^53", address, n)
		}
		if !IsMailNumber(n) {
			t.Fatalf("IsMailNumber(%d) = false", n)
		}
		if other, ok := seen[n]; ok {
			t.Fatalf("%q and %q share %d", address, other, n)
		}
		seen[n] = address
	}
	for _, id := range []int64{1, largest, -largest, -1, 0, math.MinInt64} {
		if IsMailNumber(id) {
			t.Errorf("IsMailNumber(%d) = true, want it left to chat services", id)
		}
	}
}

// The number is part of what is stored: it must stay the same for ever.
func TestMailNumberIsTheSameForEver(t *testing.T) {
	const want = 4522489422527071
	for _, a := range []string{"mo@example.org", "Mo@Example.ORG", " mo@example.org "} {
		if got := MailNumber(a); got != want {
			t.Errorf("MailNumber(%q) = %d, want %d", a, got, want)
		}
	}
	if MailNumber("mo@example.com") == want {
		t.Error("another address has the same number")
	}
}
