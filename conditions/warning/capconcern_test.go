package warning

import (
	"testing"

	"ledgehand/conditions"
)

func TestConcernOfAHazard(t *testing.T) {
	aware := func(level, kind string) []Pair {
		return []Pair{{"awareness_level", level}, {"awareness_type", kind}}
	}
	en := func(event string) Info { return Info{Language: "en", Event: event} }
	for _, tc := range []struct {
		name   string
		blocks []Info
		want   conditions.Concern
	}{
		{"a name of the table", []Info{en("High Surf Advisory")}, conditions.Red},
		{"whatever its severity", []Info{{Language: "en", Event: "High Surf Advisory", Severity: "Minor"}}, conditions.Red},
		{"words of the sea", []Info{en("Marine Wind Warning")}, conditions.Amber},
		{"words we know to be of something else", []Info{en("Air Quality Alert")}, conditions.Note},
		{"a note of the table", []Info{en("Dense Fog Advisory")}, conditions.Note},
		{"the extreme coastal event", []Info{en("Extreme coastal event warning")}, conditions.Red},
		{"the red one", []Info{en("Red Coastalevent Warning")}, conditions.Red},
		{"the severe one", []Info{en("Severe coastal event warning")}, conditions.Amber},
		{"the moderate one", []Info{en("Moderate coastal event warning")}, conditions.Amber},
		{"not every word with red in it", []Info{en("Predicted coastal event")}, conditions.Amber},
		{"a code says what the name does not", []Info{{Language: "en", Event: "Marine", Codes: []Pair{{"x", "marineHazardousSurf"}}}}, conditions.Red},
		{"the address of a code list says nothing", []Info{{Language: "en", Event: "Heat", Codes: []Pair{{"x", "https://coast.example/surf"}}}}, conditions.Note},

		{"a language we do not read", []Info{{Language: "pt-PT", Event: "Agitação marítima"}}, conditions.Amber},
		{"such a one that says no language", []Info{{Language: "en-US", Event: "Agitação marítima"}}, conditions.Amber},
		{"but tsunami is the same in many", []Info{{Language: "id", Event: "Peringatan Dini Tsunami"}}, conditions.Red},
		{"with its translation", []Info{{Language: "pt", Event: "Tempo quente"}, en("Heat warning")}, conditions.Note},
		{"with a grave translation", []Info{{Language: "pt", Event: "Tempo quente"}, en("Storm surge")}, conditions.Red},
		{"no name at all", []Info{{Language: "en"}}, conditions.Amber},
		{"a name that names nothing", []Info{en("Severe Weather Warning")}, conditions.Amber},
		{"the headline says of what", []Info{{Language: "en", Event: "Weather Warning", Headline: "Dangerous surf until Monday"}}, conditions.Red},
		{"a headline does not make more of a name", []Info{{Language: "en", Event: "Heat warning", Headline: "Heat on the Surf Coast"}}, conditions.Note},
		{"the monsoon is wind", []Info{en("Strong monsoon signal")}, conditions.Amber},

		{"red at the coast", []Info{{Language: "fi", Event: "X", Parameters: aware("4; red; Extreme", "7; coastalevent")}}, conditions.Red},
		{"orange at the coast", []Info{{Language: "fi", Event: "X", Parameters: aware("3; orange; Severe", "7; coastalevent")}}, conditions.Amber},
		{"yellow at the coast", []Info{{Language: "fi", Event: "X", Parameters: aware("2; yellow; Moderate", "7; coastalevent")}}, conditions.Amber},
		{"red wind", []Info{{Language: "fi", Event: "X", Parameters: aware("4; red; Extreme", "1; Wind")}}, conditions.Red},
		{"yellow wind", []Info{{Language: "fi", Event: "X", Parameters: aware("2; yellow; Moderate", "1; Wind")}}, conditions.Amber},
		{"yellow thunder", []Info{{Language: "fi", Event: "X", Parameters: aware("2; yellow; Moderate", "3; Thunderstorm")}}, conditions.Amber},
		{"yellow rain", []Info{{Language: "fi", Event: "X", Parameters: aware("2; yellow; Moderate", "10; Rain")}}, conditions.Note},
		{"orange rain", []Info{{Language: "fi", Event: "X", Parameters: aware("3; orange; Severe", "10; Rain")}}, conditions.Amber},
		{"green", []Info{{Language: "fi", Event: "Coastal event", Parameters: aware("1; green; Minor", "7; coastalevent")}}, conditions.Note},
		{"green in one language only", []Info{{Language: "fi", Event: "X", Parameters: aware("1; green; Minor", "7; coastalevent")}, en("Gale warning")}, conditions.Amber},
		{"green in the other language only", []Info{en("Gale warning"), {Language: "fi", Event: "X", Parameters: aware("1; green; Minor", "7; coastalevent")}}, conditions.Amber},
		{"a level that is none", []Info{{Language: "fi", Event: "X", Parameters: aware("12; ultra", "1; Wind")}}, conditions.Amber},
		{"a level without a type", []Info{{Language: "fi", Event: "X", Parameters: aware("2; yellow", "")}}, conditions.Amber},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := (hazard{blocks: tc.blocks}).concern(); got != tc.want {
				t.Errorf("concern = %q, want %q", got, tc.want)
			}
		})
	}
}
