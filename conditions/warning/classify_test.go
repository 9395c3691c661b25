package warning

import (
	"testing"

	"ledgehand/conditions"
)

// The groups are a judgement of each hazard for somebody on wet rock (common practice, no
// source); the names are the weather service's.
func TestClassify(t *testing.T) {
	for _, tc := range []struct {
		event string
		want  conditions.Concern
		known bool
	}{
		{"Tsunami Warning", "red", true}, {"Tsunami Advisory", "red", true},
		{"High Surf Advisory", "red", true}, // coded Minor by its sender
		{"High Surf Warning", "red", true}, {"Storm Surge Watch", "red", true},
		{"Hurricane Force Wind Watch", "red", true}, {"Typhoon Warning", "red", true},
		{"Storm Warning", "red", true}, {"Tropical Storm Watch", "red", true},
		{"Gale Warning", "amber", true}, {"gale  WATCH", "amber", true}, {"High Wind Warning", "amber", true},
		{"Coastal Flood Advisory", "amber", true}, {"Beach Hazards Statement", "amber", true},
		{"Rip Current Statement", "amber", true}, {"Severe Thunderstorm Warning", "amber", true},
		{"Special Marine Warning", "amber", true}, {"Hazardous Seas Warning", "amber", true},
		{"Small Craft Advisory", "note", true}, {"Dense Fog Advisory", "note", true},
		{"Flood Watch", "note", true}, {"Winter Storm Warning", "note", true},

		{"Hazardous Surf Warning for the Hunter Coast", "red", false},
		{"Tropical Cyclone Warning", "red", false},
		{"Sneaker Wave Statement", "amber", false}, {"Heavy Swell Alert", "amber", false},
		{"Marine Wind Warning Summary", "amber", false}, {"Yellow Coastalevent Warning", "amber", false},
		{"Thunderstorms", "amber", false}, {"Strong Squall Notice", "amber", false},
		{"Air Quality Alert", "note", false}, {"Embargo", "note", false}, {"", "note", false},
	} {
		got, known := Classify(tc.event)
		if got != tc.want || known != tc.known {
			t.Errorf("Classify(%q) = %q, %v, want %q, %v", tc.event, got, known, tc.want, tc.known)
		}
	}
}

// Nothing that speaks of the sea or of storms may pass for a note unless somebody put it in the table.
func TestOnlyTheTableMakesSeaWordsANote(t *testing.T) {
	for _, w := range append(append([]string{}, graveWords...), seaWords...) {
		event := "Unheard-of " + w + " bulletin"
		if got, _ := Classify(event); got == conditions.Note {
			t.Errorf("Classify(%q) = %q, want amber or red", event, got)
		}
	}
}
