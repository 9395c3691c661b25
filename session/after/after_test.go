package after

import (
	"encoding/json"
	"errors"
	"reflect"
	"testing"
	"time"
)

var t0 = time.Date(2026, 3, 14, 15, 0, 0, 0, time.UTC)

const ana, bram, chidi = 11, 12, 13

func at(min int) time.Time { return t0.Add(time.Duration(min) * time.Minute) }

func hours(n int) (out []Hour) {
	for i := range n {
		out = append(out, Hour{At: at(60 * i), Hs: 1.2, Tz: 9, Period: 12, Rc: 3})
	}
	return out
}

// asked is a report of three hours of which two people were asked; Bram left after one.
func asked() Report {
	r := Report{V: Version, ID: "k1", Crew: "g1", Ledge: "Anvil", From: t0, To: at(180)}.Sea(hours(6), t0)
	return r.Ask([]Person{{ID: ana, Name: "Ana", Chat: ana, Off: at(180)}, {ID: bram, Name: "Bram", Chat: -9, Off: at(60)}}, at(400))
}

func answer(t *testing.T, r Report, by int64, water Water, wet Wet) Report {
	t.Helper()
	was, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	next, _, err := r.Answer(by, water, wet, at(410))
	if err != nil {
		t.Fatal(err)
	}
	if now, _ := json.Marshal(r); string(now) != string(was) {
		t.Errorf("the report handed in became %s, was %s", now, was)
	}
	return next
}

func TestTheWettestAnswerCounts(t *testing.T) {
	type said struct {
		by    int64
		water Water
	}
	for _, tt := range []struct {
		name  string
		says  []said
		want  Water
		until int // minutes
		ok    bool
	}{
		{"Nobody", nil, "", 0, false},
		{"One", []said{{ana, WaterNo}}, WaterNo, 180, true},
		{"TheOneWhoLeftEarly", []said{{bram, WaterNo}}, WaterNo, 60, true},
		{"BothDry", []said{{ana, WaterNo}, {bram, WaterNo}}, WaterNo, 180, true},
		{"OneWet", []said{{ana, WaterNo}, {bram, WaterSome}}, WaterSome, 180, true},
		{"TheWetter", []said{{ana, WaterOften}, {bram, WaterSome}}, WaterOften, 180, true},
		{"Changed", []said{{ana, WaterOften}, {ana, WaterNo}}, WaterNo, 180, true},
		{"ChangedBack", []said{{ana, WaterNo}, {ana, WaterSome}, {ana, WaterSome}}, WaterSome, 180, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := asked()
			for _, s := range tt.says {
				r = answer(t, r, s.by, s.water, "")
			}
			w, until, ok := r.Told()
			if w != tt.want || ok != tt.ok || ok && !until.Equal(at(tt.until)) {
				t.Errorf("Told() = %q until %v, %v; want %q until minute %d, %v", w, until, ok, tt.want, tt.until, tt.ok)
			}
		})
	}
}

func TestANearMissIsNewsOnce(t *testing.T) {
	r := asked()
	for i, s := range []struct {
		wet  Wet
		near bool
	}{{WetFeet, false}, {WetKnocked, true}, {WetKnocked, false}, {WetIn, false}, {WetNo, false}, {WetIn, true}} {
		next, near, err := r.Answer(ana, "", s.wet, at(410+i))
		if err != nil || near != s.near || next.People[0].Wet != s.wet {
			t.Fatalf("step %d: %q is news %v, %v; want %v", i, next.People[0].Wet, near, err, s.near)
		}
		r = next
	}
	if _, _, ok := r.Told(); ok {
		t.Error("whether somebody got wet says nothing of water over the ledge")
	}
}

func TestWhoMayAnswerAndUntilWhen(t *testing.T) {
	if _, _, err := asked().Answer(chidi, WaterNo, "", at(410)); !errors.Is(err, ErrNotThere) {
		t.Errorf("one who was not there: %v", err)
	}
	r := asked()
	for _, tt := range []struct {
		r    Report
		when time.Time
		want error
	}{{r, at(401), nil}, {r, r.Asked.Add(Answers - 1), nil}, {r, r.Asked.Add(Answers), ErrOver}, {Report{}, at(401), ErrOver}} {
		if _, _, err := tt.r.Answer(ana, WaterNo, "", tt.when); !errors.Is(err, tt.want) {
			t.Errorf("answered at %v: %v, want %v", tt.when, err, tt.want)
		}
	}
	if again := r.Ask(nil, at(500)); !reflect.DeepEqual(again, r) {
		t.Errorf("asked again it becomes %+v", again)
	}
}

func total(s []Stretch) (minutes float64) {
	for _, x := range s {
		minutes += x.Minutes
	}
	return minutes
}

func TestWhatAReportTeaches(t *testing.T) {
	change := func(f func(r *Report)) Report {
		r := asked()
		r.Hours = append([]Hour(nil), r.Hours...)
		f(&r)
		return r
	}
	for _, tt := range []struct {
		name   string
		r      Report
		by     int64
		water  Water
		want   float64 // minutes
		spread int     // stretches
	}{
		{"AllOfIt", asked(), ana, WaterNo, 180, 3},
		{"UntilTheyLeft", asked(), bram, WaterSome, 60, 1},
		{"SeaNotKnown", change(func(r *Report) { r.Hours = nil }), ana, WaterNo, 0, 0},
		{"DryInTheHoursThatAreKnown", change(func(r *Report) { r.Hours = r.Hours[1:2] }), ana, WaterNo, 60, 1},
		{"WetInHoursThatMayBeOthers", change(func(r *Report) { r.Hours = r.Hours[1:2] }), ana, WaterSome, 0, 0},
		{"WetInMostHours", change(func(r *Report) { r.Hours[0].At = at(-20) }), ana, WaterOften, 160, 3},
		{"UnderWater", change(func(r *Report) { r.Hours[1].Rc = -0.1 }), ana, WaterSome, 0, 0},
		{"UnderWaterWhenTheyHadLeft", change(func(r *Report) { r.Hours[2].Rc = -0.1 }), bram, WaterNo, 60, 1},
		{"TooShort", change(func(r *Report) { r.To = at(20) }), ana, WaterNo, 0, 0},
		{"SaidLate", change(func(r *Report) { r.People[0].Off = at(900) }), ana, WaterNo, 180, 3},
		{"BegunWithinAnHour", change(func(r *Report) { r.From = at(15) }), ana, WaterNo, 165, 3},
		{"NoWavesKnown", change(func(r *Report) { r.Hours[0].Hs = 0 }), ana, WaterNo, 120, 2},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.r.Teaches(); got != nil {
				t.Errorf("unanswered it teaches %v", got)
			}
			got := answer(t, tt.r, tt.by, tt.water, "").Teaches()
			if total(got) != tt.want || len(got) != tt.spread {
				t.Errorf("Teaches() = %v minutes in %d hours, want %v in %d", total(got), len(got), tt.want, tt.spread)
			}
		})
	}
}

// What was fetched while they were out takes the place of what was known when they went, and never the other way round.
func TestNewerHoursReplaceOlderOnes(t *testing.T) {
	r := Report{From: t0}.Sea(hours(4), t0)
	newer := []Hour{{At: at(60), Hs: 2}, {At: at(120), Hs: 2.1}, {At: at(-120), Hs: 9}}
	r = r.Sea(newer, at(70))
	var hs []float64
	for _, h := range r.Hours {
		hs = append(hs, h.Hs)
	}
	if !reflect.DeepEqual(hs, []float64{1.2, 2, 2.1, 1.2}) {
		t.Errorf("heights %v, want those of the second hour and the third replaced", hs)
	}
	if again := r.Sea(hours(4), at(-300)); !reflect.DeepEqual(again, r) {
		t.Errorf("older hours make it %+v", again)
	}
}
