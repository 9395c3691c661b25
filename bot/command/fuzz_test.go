package command

import (
	"errors"
	"testing"
	"time"
	"unicode/utf8"
)

func FuzzSplit(f *testing.F) {
	for _, s := range []string{"/out north ledge back 3pm", " /OUT@bot 🎣", "/out Чёрный камень", "/ out", "//", "/a\xff b"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		cmd, args, ok := Split(s)
		if !ok {
			return
		}
		again, argsAgain, ok := Split("/" + cmd + " " + args)
		if !ok || again != cmd || argsAgain != args {
			t.Errorf("Split(%q) = %q, %q, but written again it is %q, %q, %v", s, cmd, args, again, argsAgain, ok)
		}
		Nearest(cmd, []string{"out", "catch"})
	})
}

func FuzzWhen(f *testing.F) {
	for _, s := range samples[tripSample](f, "trip_times.jsonl") {
		f.Add(s.Line, s.Ref.Unix())
	}
	for _, s := range []string{"Чёрный камень back 15:00 🎣 @Ana", "sun 2:30am-5am", "29 feb 24:00", "midnight til noon", "7h30-12h", "2026-04-05 02:30-03:00",
		"vuelvo a las 3 y media de la tarde", "el sábado 14 de marzo de 05:30 a las 9", "mañana por la mañana hasta la medianoche", "en media hora", "las 4 menos cuarto", "an hour before low sat",
		"sat morning 2h either side of high", "hw-2 to hw+2 fri", "last 2 of the ebb tomorrow", "first light til dark", "5am + 3h", "sunset +/- 1h", "fri 10pm til 2am sat",
		"sat week 5:30 for 6", "back by 10, call it 11 if we walk slow", "土曜5時半から10時まで", "tomorrow night 2 til 5", "saturday's morning low ± 2"} {
		f.Add(s, int64(1_775_200_000))
	}
	zones := []*time.Location{zoneOf(f, "Australia/Sydney"), zoneOf(f, "Australia/Lord_Howe"), zoneOf(f, "America/Los_Angeles"), time.UTC}
	f.Fuzz(func(t *testing.T, line string, unix int64) {
		if unix < 0 || unix > 4e9 {
			return
		}
		now := time.Unix(unix, 0)
		zone := zones[len(line)%len(zones)]
		order := DayFirst
		if unix%2 == 0 {
			order = MonthFirst
		}
		var place Local
		if unix%5 != 0 {
			place = around(now, zone)
		}
		read := place.When
		if unix%3 == 0 {
			read = place.WhenBack
		}
		got, err := read(line, now, zone, order)
		floor := now.Truncate(time.Minute)
		check := func(w Window, whole bool) {
			for name, at := range map[string]time.Time{"start": w.Start, "end": w.End, "back by": w.BackBy} {
				if !at.IsZero() && (at.Before(floor) || at.Sub(now) > MaxAhead+2*MaxSpan) {
					t.Errorf("When(%q) at %v: %s %v is out of range", line, now, name, at)
				}
			}
			if !whole {
				return
			}
			if (w.Start.IsZero() || w.End.IsZero()) && w.BackBy.IsZero() {
				t.Errorf("When(%q) at %v = %v: neither a range nor a time to be back", line, now, w)
			}
			if !w.Start.IsZero() {
				for _, at := range []time.Time{w.End, w.BackBy} {
					if !at.IsZero() && (!at.After(w.Start) || at.Sub(w.Start) > MaxSpan) {
						t.Errorf("When(%q) at %v = %v: %v is not within %v of the start", line, now, w, at, MaxSpan)
					}
				}
			}
			if !w.End.IsZero() && !w.BackBy.IsZero() && w.BackBy.Before(w.End) {
				t.Errorf("When(%q) at %v = %v: back before the end", line, now, w)
			}
		}
		var ask *Ambiguous
		var unread *Unread
		switch {
		case err == nil:
			check(got, true)
			for _, at := range []time.Time{got.Start, got.End, got.BackBy} {
				if !at.IsZero() && at.Location() != zone {
					t.Errorf("When(%q) is in %v, want %v", line, at.Location(), zone)
				}
			}
			again, errAgain := read(line, now, zone, order)
			if errAgain != nil || again != got {
				t.Errorf("When(%q) at %v = %v, then %v, %v", line, now, got, again, errAgain)
			}
		case errors.As(err, &ask):
			if len(ask.Candidates) != len(ask.Readings) {
				t.Errorf("When(%q): %d candidates with %d readings", line, len(ask.Candidates), len(ask.Readings))
			}
			for i, c := range ask.Candidates {
				Choose(line, ask.Candidates, zone)
				if i > 0 && !c.After(ask.Candidates[i-1]) {
					t.Errorf("When(%q) offers %v", line, ask.Candidates)
				}
			}
			place.Answer(line, line, time.Time{}, now, zone, order)
			if ask.Question != AskStarted && ask.Question != AskLong {
				check(got, false)
			}
		case !errors.As(err, &unread):
			t.Errorf("When(%q) fails with %T", line, err)
		}
	})
}

func FuzzCatch(f *testing.F) {
	for _, s := range samples[catchSample](f, "catch_lines.jsonl") {
		f.Add(s.Line)
	}
	for _, s := range []string{"Chidi 2 рыба 31 33 🎣 kept 1", "no, 29", "me and Ana 4 luderick each, lost 2", "5 bream 28-34, kept the rest", "クロダイ42センチ1枚放流", "dos lubinas 40 y 43 solté una",
		"wrasse 3lb 4 & 2lb 8, both back", "2 bream (31, 33) @ Kelpie Point 6:40am, 2 rods 90 min", "heaps of bream biggest 45 or so, none kept"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		for _, g := range []Terms{terms(Metric, "AU-NSW"), terms(Imperial, "US-OR")} {
			got, err := Catch(line, g)
			if err != nil {
				var doubt *Doubt
				var unread *Unread
				if !errors.As(err, &doubt) && !errors.As(err, &unread) {
					t.Errorf("Catch(%q) fails with %T", line, err)
				}
				continue
			}
			if got.Fix != nil || got.Delete {
				if got.Fix != nil && (got.Delete || got.Blank || len(got.Entries) != 1) || got.Delete && len(got.Entries) != 0 {
					t.Errorf("Catch(%q) = %+v: a correction of what?", line, got)
				}
				continue
			}
			if got.Blank && len(got.Entries) > 0 || len(got.Entries) == 0 && !got.Blank && !got.Lost {
				t.Errorf("Catch(%q) = %+v: blank and fish, or nothing", line, got)
			}
			if got.Effort.Hours < 0 || got.Effort.Hours > 48 || got.Effort.Rods < 0 || got.Effort.Hours > 0 && got.Effort.Rods == 0 {
				t.Errorf("Catch(%q) = %+v: effort", line, got.Effort)
			}
			for _, e := range got.Entries {
				if len(e.Species) != 1 && !e.Wide && e.NotFish == "" || e.Unsure || e.Count < 1 || e.Count > MaxCount || len(e.Lengths) > e.Count || len(e.WeightsG) > e.Count {
					t.Errorf("Catch(%q) = %v", line, e)
				}
				if (e.Kept == nil) != (e.Released == nil) || e.Kept != nil && (*e.Kept < 0 || *e.Released < 0 || *e.Kept+*e.Released != e.Count) {
					t.Errorf("Catch(%q) = %v: kept and let go do not add up", line, e)
				}
				for _, s := range e.Lengths {
					if s.UM < MinLengthUM || s.UM > MaxLengthUM {
						t.Errorf("Catch(%q) = %v: a fish of %v mm", line, e, s.MM())
					}
				}
			}
		}
	})
}

func FuzzUnpack(f *testing.F) {
	for _, s := range []string{"amore|outing/k3f9|30|2s", "ax|||0", "b", "", "ax|%c3%a9||zz", "a%7c|||1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := Unpack(s)
		if err != nil {
			return
		}
		if again, err := Pack(p); err != nil || again != s || len(again) > MaxPayload {
			t.Errorf("Pack(Unpack(%q)) = %q, %v", s, again, err)
		}
	})
}

func FuzzLedgeCard(f *testing.F) {
	for _, s := range []string{LedgeExample, `"Low Foot" foot 3 ft`, "Чёрный камень 🎣 open SW-NNW slope 1:2", "x at 38°54.85' N 123°43.65' W", "x slope 0:0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		l, err := LedgeCard(s)
		if err != nil {
			if l != (LedgeFields{}) {
				t.Errorf("LedgeCard(%q) = %+v beside an error", s, l)
			}
			return
		}
		if l.Name == "" || utf8.RuneCountInString(l.Name) > MaxName || l.At != nil && l.At.Check() != nil ||
			l.Slope != nil && !(*l.Slope >= 0 && *l.Slope <= 20) || l.Faces != nil && !(*l.Faces >= 0 && *l.Faces < 360) {
			t.Errorf("LedgeCard(%q) = %+v", s, l)
		}
	})
}
