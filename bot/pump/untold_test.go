package pump

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"testing"
)

func TestUntoldLeavesOutWhatPeopleWrote(t *testing.T) {
	_, number := strconv.ParseFloat("38.9x", 64)
	for _, err := range []error{
		number, fmt.Errorf("read %q: no time", "secret"), errors.New("place 38.9546, -123.7406"), errors.New("at (38,9546)"), errors.New("ring +00 555 0142 99"), errors.New("ring 5550142"), errors.New("ring (00) 555-0142"),
		fmt.Errorf("a %q in %w", `a "secret"`, number), errors.New("a “secret” `secret`"),
		panicOf("secret 38.9546", nil), panicOf(errors.New("secret"), nil), panicOf(fmt.Errorf("x: %w", panicOf("secret", nil)), nil),
	} {
		got := untold(fmt.Errorf("handle letter: %w", err))
		for _, no := range []string{"secret", "38", "123", "555", "0142"} {
			if strings.Contains(got, no) {
				t.Errorf("untold(%v) = %q, want no %q", err, got, no)
			}
		}
	}
	if got := untold(fmt.Errorf("commit outing/g5en/100352: %w", errors.New("store says ERR 7"))); got != "commit outing/g5en/100352: store says ERR 7" {
		t.Errorf("untold() = %q, want what an operator needs", got)
	}
	var none []int
	defer func() {
		if got := panicOf(recover(), []byte("the stack")).Error(); !strings.Contains(got, "index out of range") || !strings.Contains(got, "the stack") {
			t.Errorf("of a runtime's panic %q is told, want what it says and where", got)
		}
	}()
	_ = none[len(got(t))]
}

func got(*testing.T) []int { return nil }
