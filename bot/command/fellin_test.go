package command

import "testing"

func TestFellIn(t *testing.T) {
	known := []string{"fellin", "off", "out", "in", "home", "hours", "trip", "more", "who", "help"}
	for cmd, want := range map[string]bool{
		"fellin": true, "inwater": true, "overboard": true, "sos": true, "mayday": true, "trouble": true,
		"felin": true, "feelin": true, "felllin": true, "overbord": true, "maday": true, "touble": true, "inwter": true, "fell": false, "monday": false, "water": false,
		"off": false, "in": false, "out": false, "so": false, "sod": false, "help": false, "follow": false, "": false, "homee": false,
	} {
		if got := FellIn(cmd, known); got != want {
			t.Errorf("FellIn(%q) = %v, want %v", cmd, got, want)
		}
	}
	for line, want := range map[string]bool{
		"SOS": true, "Man overboard!": true, "somebody fell in": true, "He’s in the water!!": true,
		"the bait fell in": false, "in the water it is warm": false, "": false, "sos later": false,
	} {
		if got := FellInPlainly(line); got != want {
			t.Errorf("FellInPlainly(%q) = %v, want %v", line, got, want)
		}
	}
}
