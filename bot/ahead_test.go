package bot

import (
	"slices"
	"testing"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
	"ledgehand/session/notice"
	"ledgehand/session/trip"
)

var aheadAt = time.Date(2026, 3, 14, 15, 0, 0, 0, time.UTC)

func hourAt(hs, wind, gust float64) conditions.Hour {
	return conditions.Hour{Hs: new(measure.Metres(hs)), Wind: new(measure.MetresPerSecond(wind)), Gust: new(measure.MetresPerSecond(gust)), Known: true}
}

// A trip is as bad as the worst of its hours, each number by itself; what no hour knows is not known.
func TestAMarkIsTheWorstOfItsHours(t *testing.T) {
	m := markOf(conditions.Report{Now: aheadAt, Verdict: "could be washed", Hours: []conditions.Hour{hourAt(1.2, 9, 10), {}, hourAt(1.6, 4, 14), hourAt(1.4, 5, 6)}})
	if m.Hs == nil || *m.Hs != 1.6 || *m.Wind != 9 || *m.Gust != 14 || m.Verdict != "could be washed" || !m.At.Equal(aheadAt) || m.Gate || m.Missing != nil {
		t.Errorf("mark %+v", m)
	}
	if m := markOf(conditions.Report{Hours: []conditions.Hour{{}, {}}}); m.Hs != nil || m.Wind != nil || m.Gust != nil {
		t.Errorf("of hours nobody knows: %+v", m)
	}
}

// Silent is what had something to say; a coast without a source is none.
func TestWhichSilenceIsNews(t *testing.T) {
	for _, why := range append(slices.Clone(feed.Whys), "", feed.Why(errNoSea.Error()), "a word nobody knows") {
		want := !slices.Contains([]feed.Why{"", feed.NoFeed, feed.NotCovered, feed.AllNull, feed.AllZero, feed.Why(errNoSea.Error())}, why)
		m := markOf(conditions.Report{SeaWhy: string(why), WeatherWhy: string(why), Warnings: conditions.Warnings{State: conditions.WarningsUnknown, Why: string(why)}})
		if got := len(m.Missing) == 3; got != want || len(m.Missing) != 0 && !got {
			t.Errorf("why %q: missing %v, want silent %v", why, m.Missing, want)
		}
	}
	m := markOf(conditions.Report{Warnings: conditions.Warnings{State: conditions.WarningsNone, Why: string(feed.Down)}})
	if m.Missing != nil {
		t.Errorf("warnings that are told: missing %v", m.Missing)
	}
	old := markOf(conditions.Report{Reasons: []conditions.Reason{{Word: conditions.WhySeaOld, Doubt: true}}})
	if !slices.Equal(old.Missing, []notice.Blind{notice.NoSea}) {
		t.Errorf("a forecast that is too old: missing %v, want the sea", old.Missing)
	}
}

func TestWhenTheWalkInFloods(t *testing.T) {
	at := func(m int) time.Time { return aheadAt.Add(time.Duration(m) * time.Minute) }
	for name, tt := range map[string]struct {
		dry  []tide.Span
		want int // minutes, -1: it stays dry
	}{
		"never":          {[]tide.Span{{From: at(-60), To: at(300)}}, -1},
		"to the minute":  {[]tide.Span{{From: at(0), To: at(180)}}, -1},
		"later":          {[]tide.Span{{From: at(0), To: at(70)}}, 70},
		"and dries":      {[]tide.Span{{From: at(0), To: at(70)}, {From: at(120), To: at(180)}}, 70},
		"at once":        {[]tide.Span{{From: at(30), To: at(180)}}, 0},
		"all the time":   {nil, 0},
		"in two strokes": {[]tide.Span{{From: at(0), To: at(70)}, {From: at(70), To: at(200)}}, -1},
	} {
		got := floods(conditions.Report{From: at(0), To: at(180), HasGate: true, WalkInDry: tt.dry})
		if want := at(tt.want); tt.want < 0 && !got.IsZero() || tt.want >= 0 && !got.Equal(want) {
			t.Errorf("%s: floods %v, want minute %d", name, got, tt.want)
		}
	}
}

// A trip of which nothing was marked, from before marks were kept, is held against what its plan says.
func TestAnOldPlanIsHeldAgainstItsOwnSea(t *testing.T) {
	p := trip.Trip{SeaAtPlan: trip.Sea{Hs: 1.2, Verdict: "could be washed", At: aheadAt}}
	is := notice.Mark{Verdict: "could be washed", Hs: new(1.3), Gust: new(20.0)}
	if plan, news := newsOf(notice.Notice{}, p, is); news || plan == nil || *plan.Hs != 1.2 {
		t.Errorf("same sea: news %v, plan %+v", news, plan)
	}
	is.Hs = new(1.6)
	if _, news := newsOf(notice.Notice{}, p, is); !news {
		t.Error("more swell is no news")
	}
	if plan, news := newsOf(notice.Notice{}, trip.Trip{}, is); !news || plan != nil {
		t.Errorf("a sea never seen: news %v, plan %+v", news, plan)
	}
	n := notice.Notice{}.Saw(0, is)
	if _, news := newsOf(n, p, is); news {
		t.Error("what people saw is news")
	}
	blind := is
	blind.Missing = []notice.Blind{notice.NoWind}
	if _, news := newsOf(n.Told(0, blind), p, blind); !news {
		t.Error("a source that is silent still is not said again")
	}
}
