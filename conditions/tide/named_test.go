package tide_test

import (
	"testing"

	"ledgehand/conditions/tide"
)

// A greeting is no place: less than three letters must be the whole name, three may begin it.
func TestTwoLettersNameNoStation(t *testing.T) {
	if got := tide.Named("hi", 3); len(got) != 0 {
		t.Errorf("Named(%q) = %s, want nothing", "hi", got[0].Name)
	}
	if got := tide.Named("hil", 1); len(got) != 1 {
		t.Errorf("Named(%q) found %d stations, want one", "hil", len(got))
	}
}
