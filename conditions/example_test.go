package conditions_test

import (
	"fmt"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
)

// Long Step, invented, near the tide gauge of Arena Cove, California: no sea could be had, so the answer is a no.
func ExampleAssess() {
	zone := time.FixedZone("PDT", -7*3600)
	now := time.Date(2026, 3, 13, 19, 0, 0, 0, zone)
	q := conditions.Question{
		Card: ledge.Card{
			Name: "Long Step", TideStation: "noaa/9416841", LipHeight: new(measure.Metres(5.5)), LipMeasured: ledge.Measured,
			FootDepth: new(measure.Metres(9)), Faces: new(measure.From(250)), FaceSlope: new(0.0),
		},
		From: now.Add(13 * time.Hour), To: now.Add(19 * time.Hour), Now: now, Zone: zone,
		SeaWhy: "down", Warnings: conditions.Warnings{State: conditions.WarningsNone},
	}
	r, err := conditions.Assess(q)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %s (%s)\n", r.Ledge, r.Verdict, r.Reasons[0].Word)

	// With a metre of swell and everything known the numbers decide.
	q.Sea = &conditions.Sea{Source: conditions.Source{FetchedAt: now}}
	q.Weather = &conditions.Weather{Source: conditions.Source{FetchedAt: now}}
	for t := q.From; !t.After(q.To); t = t.Add(time.Hour) {
		q.Sea.Hours = append(q.Sea.Hours, conditions.SeaHour{
			At: t, Hs: new(measure.Metres(1)),
			Partitions: []conditions.Partition{{Kind: "swell", Hs: 1, Period: 11, PeriodKind: conditions.PeriodPeak, From: 270}},
		})
		q.Weather.Hours = append(q.Weather.Hours, conditions.WeatherHour{At: t, Wind: new(measure.MetresPerSecond(3)), WindFrom: new(measure.From(90))})
	}
	if r, err = conditions.Assess(q); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %s, biggest wave in a bad case %.1f m over the lip\n", r.Ledge, r.Verdict, float64(r.ExcessBad))
	// Output:
	// Long Step: cannot tell (sea_unknown)
	// Long Step: could be washed, biggest wave in a bad case 0.8 m over the lip
}
