package warning

import (
	"fmt"
	"math"
	"testing"

	"ledgehand/conditions/measure"
)

// many is a country's worth of messages: outlines of 60 corners, every fourth an update of the one before.
func many(n int) []Message {
	var out []Message
	for i := range n {
		centre := measure.Position{Lat: 36 + float64(i%60)/4, Lon: -10 + float64(i%37)/2}
		var r Ring
		for k := range 60 {
			s, c := math.Sincos(2 * math.Pi * float64(k) / 60)
			r = append(r, measure.Position{Lat: centre.Lat + 0.4*s, Lon: centre.Lon + 0.5*c})
		}
		m := Message{
			Identifier: fmt.Sprint("m", i), Sender: "warnings@met.example", Sent: ts("2026-12-05T10:00:00Z"), Status: "Actual", Type: "Alert", Scope: "Public",
			Infos: []Info{{Language: "es", Event: "Aviso", Areas: []Area{{Polygons: []Ring{r}}}}, {Language: "en", Event: "Gale warning", Areas: []Area{{Polygons: []Ring{r}}}}},
		}
		if i%4 == 3 {
			m.Type, m.Sent = "Update", ts("2026-12-05T11:00:00Z")
			m.References = []Reference{{Sender: m.Sender, Identifier: fmt.Sprint("m", i-1), Sent: ts("2026-12-05T10:00:00Z")}}
		}
		out = append(out, m)
	}
	return out
}

func BenchmarkJudgeCAP500(b *testing.B) {
	messages, now := many(500), ts("2026-12-05T12:00:00Z")
	places := []measure.Position{{Lat: 43.3, Lon: -8.9}, {Lat: 43.4, Lon: -9}}
	for b.Loop() {
		if got := JudgeCAP(messages, places, now, []string{"es"}, Geocodes{}); len(got) != 500 {
			b.Fatalf("%d hazards, want 500", len(got))
		}
	}
}

func BenchmarkDecodeCAP(b *testing.B) {
	raw := sampleCAP(b, "two_hazards_two_languages.constructed.xml")
	b.SetBytes(int64(len(raw)))
	for b.Loop() {
		if _, err := DecodeCAP(raw); err != nil {
			b.Fatal(err)
		}
	}
}
