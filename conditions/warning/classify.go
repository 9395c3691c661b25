package warning

import (
	"strings"

	"ledgehand/conditions"
)

// concern is the table of event names of the US weather service, in lower case. What keeps
// people off and what is a no by default is our judgement of each hazard for a person on wet
// rock (common practice, no source); the names are from memory of the service's product list.
// The severity a message carries is not looked at: a High Surf Advisory is coded "Minor"
// while its text speaks of waves washing people off rocks.
var concern = map[string]conditions.Concern{
	"tsunami warning": conditions.Red, "tsunami advisory": conditions.Red, "tsunami watch": conditions.Red,
	"high surf warning": conditions.Red, "high surf advisory": conditions.Red,
	"storm surge warning": conditions.Red, "storm surge watch": conditions.Red,
	"hurricane warning": conditions.Red, "hurricane watch": conditions.Red,
	"hurricane local statement":    conditions.Red,
	"hurricane force wind warning": conditions.Red, "hurricane force wind watch": conditions.Red,
	"typhoon warning": conditions.Red, "typhoon watch": conditions.Red, "typhoon local statement": conditions.Red,
	"tropical storm warning": conditions.Red, "tropical storm watch": conditions.Red,
	"tropical storm local statement": conditions.Red, "tropical cyclone local statement": conditions.Red,
	"storm warning": conditions.Red, "storm watch": conditions.Red,
	"extreme wind warning": conditions.Red,

	"gale warning": conditions.Amber, "gale watch": conditions.Amber,
	"high wind warning": conditions.Amber, "high wind watch": conditions.Amber, "wind advisory": conditions.Amber,
	"brisk wind advisory":   conditions.Amber,
	"coastal flood warning": conditions.Amber, "coastal flood watch": conditions.Amber,
	"coastal flood advisory": conditions.Amber, "coastal flood statement": conditions.Amber,
	"lakeshore flood warning": conditions.Amber, "lakeshore flood watch": conditions.Amber,
	"lakeshore flood advisory": conditions.Amber, "lakeshore flood statement": conditions.Amber,
	"beach hazards statement": conditions.Amber, "rip current statement": conditions.Amber,
	"hazardous seas warning": conditions.Amber, "hazardous seas watch": conditions.Amber,
	"small craft advisory for hazardous seas": conditions.Amber,
	"severe thunderstorm warning":             conditions.Amber, "severe thunderstorm watch": conditions.Amber,
	"severe weather statement": conditions.Amber,
	"special marine warning":   conditions.Amber, "marine weather statement": conditions.Amber,
	"tornado warning": conditions.Amber, "tornado watch": conditions.Amber,
	"heavy freezing spray warning": conditions.Amber, "heavy freezing spray watch": conditions.Amber,
	"freezing spray advisory": conditions.Amber,
	"evacuation immediate":    conditions.Amber, "civil danger warning": conditions.Amber,
	"civil emergency message": conditions.Amber, "shelter in place warning": conditions.Amber,

	"small craft advisory": conditions.Note, "small craft advisory for winds": conditions.Note,
	"small craft advisory for rough bar": conditions.Amber,
	"dense fog advisory":                 conditions.Note, "marine dense fog advisory": conditions.Note,
	"dense smoke advisory": conditions.Note, "marine dense smoke advisory": conditions.Note,
	"low water advisory": conditions.Note, "special weather statement": conditions.Note,
	"flood warning": conditions.Note, "flood watch": conditions.Note, "flood advisory": conditions.Note,
	"flood statement": conditions.Note, "flash flood warning": conditions.Note,
	"flash flood watch": conditions.Note, "flash flood statement": conditions.Note,
	"hydrologic outlook": conditions.Note, "hazardous weather outlook": conditions.Note,
	"winter storm warning": conditions.Note, "winter storm watch": conditions.Note,
	"winter weather advisory": conditions.Note, "ice storm warning": conditions.Note,
	"red flag warning": conditions.Note, "fire weather watch": conditions.Note,
	"wind chill advisory": conditions.Note, "dust storm warning": conditions.Note,
	"lake wind advisory": conditions.Note,
}

// graveWords make an event unknown to the table red, seaWords amber: a name we have not met
// is taken for the worst its words allow.
var (
	graveWords = []string{"tsunami", "surf", "storm surge", "hurricane", "typhoon", "cyclone", "storm force", "storm-force", "tidal wave"}
	seaWords   = []string{
		"wave", "swell", "sea", "ocean", "marine", "coast", "shore", "beach", "rip", "tide", "tidal", "surge", "gale",
		"storm", "squall", "thunder", "lightning", "wind", "monsoon", "water", "seiche", "boat", "craft", "bar", "freezing spray",
	}
)

// Classify says how grave an event is for somebody on a ledge. known is false for a name that
// is not in the table; such a name is amber, or red, if its words sound of the sea or of
// storms, and a note otherwise.
func Classify(event string) (c conditions.Concern, known bool) {
	name := strings.ToLower(strings.Join(strings.Fields(event), " "))
	if c, ok := concern[name]; ok {
		return c, true
	}
	for _, w := range graveWords {
		if strings.Contains(name, w) {
			return conditions.Red, false
		}
	}
	for _, w := range seaWords {
		if hasWord(name, w) {
			return conditions.Amber, false
		}
	}
	return conditions.Note, false
}

// hasWord finds w at the start of a word of s, so that "bar" is not found in "embargo" while
// "seas" and "thunderstorm" still count.
func hasWord(s, w string) bool {
	for from := 0; ; {
		i := strings.Index(s[from:], w)
		if i < 0 {
			return false
		}
		if i += from; i == 0 || s[i-1] < 'a' || s[i-1] > 'z' {
			return true
		}
		from = i + 1
	}
}

// rank puts the gravest first.
func rank(c conditions.Concern) int {
	switch c {
	case conditions.Red:
		return 0
	case conditions.Amber:
		return 1
	}
	return 2
}
