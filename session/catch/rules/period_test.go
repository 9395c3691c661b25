package rules

import (
	"math/rand/v2"
	"testing"
	"time"

	"ledgehand/session/catch"
)

const bass = "dicentrarchus_labrax"

// S.I. 368/2007, Bye-law 826 (row r106): two bass in any period of 24 hours. Europe/Dublin puts its clock forward on 29 March 2026
// and back on 25 October 2026 (tz database).
func TestAny24Hours(t *testing.T) {
	const zone = "Europe/Dublin"
	for _, tt := range []struct {
		name           string
		first, earlier string // two fish, one each
		now            string
		want           catch.Verdict
	}{
		{"AcrossMidnight", "2026-03-09 22:00", "2026-03-09 23:00", "2026-03-10 06:00", catch.NotAllowed},
		{"Exactly24HoursLater", "2026-03-09 22:00", "2026-03-09 23:00", "2026-03-10 22:00", catch.NotAllowed},
		{"AMinuteMore", "2026-03-09 22:00", "2026-03-09 23:00", "2026-03-10 22:01", catch.CannotTell}, // allowed but for r107, which does not say how to measure
		{"SpringForward23HoursByTheSun", "2026-03-28 22:00", "2026-03-28 22:00", "2026-03-29 22:30", catch.NotAllowed},
		{"SpringForwardPast24Hours", "2026-03-28 22:00", "2026-03-28 22:00", "2026-03-29 23:01", catch.CannotTell},
		{"AutumnBackStillWithin", "2026-10-24 22:00", "2026-10-24 22:00", "2026-10-25 21:00", catch.NotAllowed},
		{"AutumnBackPast24Hours", "2026-10-24 22:00", "2026-10-24 22:00", "2026-10-25 21:01", catch.CannotTell},
	} {
		t.Run(tt.name, func(t *testing.T) {
			now := at(t, zone, tt.now)
			e := entry(now, bass, 1, long(500*mm))
			c := Case{Now: now, Zone: now.Location(), Area: "IE-SW", Days: days(now.Location(), entry(at(t, zone, tt.first), bass, 1), entry(at(t, zone, tt.earlier), bass, 1), e)}
			a := inForce(t, "ie", "", now).Judge(c, e)
			if a.Verdict != tt.want || a.Has(OverBag) != (tt.want == catch.NotAllowed) {
				t.Errorf("Judge() = %s %+v, want %s", a.Verdict, a.Findings, tt.want)
			}
		})
	}
}

// A line that is written late counts in the hours it was caught in: fish after it count too.
func TestAny24HoursCountsWhatCameAfter(t *testing.T) {
	now := at(t, "Europe/Dublin", "2026-03-10 12:00")
	e := entry(now.Add(-6*time.Hour), bass, 1, long(500*mm))
	c := Case{Now: now, Zone: now.Location(), Area: "IE", Days: days(now.Location(), entry(now, bass, 2), e)}
	if a := inForce(t, "ie", "", now).Judge(c, e); a.Verdict != catch.NotAllowed {
		t.Errorf("Judge() = %s, want not allowed: three within 24 hours", a.Verdict)
	}
}

// However many entries lie about, no 24 hours hold more than are counted, and the count is that of some 24 hours.
func TestWorst24(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	base := time.Date(2026, 3, 10, 12, 0, 0, 0, time.UTC)
	total := func(of []counting) (n int) {
		for _, o := range of {
			n += keeping(o.e)
		}
		return n
	}
	for range 500 {
		var all []counting
		for range 1 + rng.IntN(8) {
			all = append(all, counting{entry(base.Add(time.Duration(rng.IntN(60)-30)*time.Hour), bass, 1+rng.IntN(3)), yes})
		}
		it := all[0].e.At
		got, want := total(worst24(all, it)), 0
		for m := -24 * 60; m <= 0; m += 30 { // every half hour: the entries lie on whole ones
			from, n := it.Add(time.Duration(m)*time.Minute), 0
			for _, o := range all {
				if d := o.e.At.Sub(from); d >= 0 && d <= 24*time.Hour {
					n += keeping(o.e)
				}
			}
			want = max(want, n)
		}
		if got != want {
			t.Fatalf("worst24() = %d fish, want %d", got, want)
		}
	}
}

// a bag of one rule for bass, by the words in the file.
func bassPack(t *testing.T, lines string) Book {
	t.Helper()
	p, err := Load([]byte("format: 1\nid: own-bass\ntitle: bass\njurisdiction: GB\nsource: an invented leaflet\nas_of: '2026'\nchecked_on: 2026-03-01\nprovenance: official\nareas:\n  - {id: bay, name: The Bay}\n  - {id: cove, name: The Cove, inside: bay}\nrules:\n  - id: bass\n    name: bass\n    species: [Dicentrarchus labrax]\n" + lines))
	if err != nil {
		t.Fatal(err)
	}
	return Book{{Pack: p}}
}

func judged(b Book, now time.Time, change func(*Case), es ...catch.Entry) Answer {
	c := Case{Now: now, Zone: now.Location(), Area: "GB", Days: days(now.Location(), es...)}
	if change != nil {
		change(&c)
	}
	return b.Judge(c, es[len(es)-1])
}

func TestTripAndYear(t *testing.T) {
	now := at(t, "Europe/London", "2026-03-10 00:30")
	trip := bassPack(t, "    bag: {n: 2, period: trip}\n")
	before := now.Add(-2 * time.Hour) // yesterday, same outing
	if a := judged(trip, now, nil, entry(before, bass, 2, on("o1")), entry(now, bass, 1, on("o1"))); a.Verdict != catch.NotAllowed {
		t.Errorf("third of one outing, past midnight: %s", a.Verdict)
	}
	if a := judged(trip, now, nil, entry(before, bass, 2, on("o1")), entry(now, bass, 1, on("o2"))); a.Verdict != catch.Allowed {
		t.Errorf("first of another outing: %s", a.Verdict)
	}
	year := bassPack(t, "    bag: {n: 3, period: year}\n")
	if a := judged(year, now, nil, entry(at(t, "Europe/London", "2026-01-01 00:01"), bass, 3), entry(now, bass, 1)); a.Verdict != catch.NotAllowed {
		t.Errorf("fourth of a year: %s", a.Verdict)
	}
	if a := judged(year, now, nil, entry(at(t, "Europe/London", "2025-12-31 23:59"), bass, 3), entry(now, bass, 1)); a.Verdict != catch.Allowed {
		t.Errorf("first of a year: %s", a.Verdict)
	}
	for _, tt := range []struct {
		b    Book
		from string
	}{{trip, "2026-03-03"}, {year, "2026-01-01"}, {bassPack(t, "    bag: 2\n"), "2026-03-10"}, {bassPack(t, "    bag: {n: 2, period: any 24 h}\n"), "2026-03-08"}} {
		if from, to := tt.b.Back(Case{Now: now, Zone: now.Location(), Area: "GB"}, entry(now, bass, 1)); from != tt.from || to != "2026-03-11" {
			t.Errorf("Back() = %s to %s, want %s to 2026-03-11", from, to, tt.from)
		}
	}
}

func TestPossession(t *testing.T) {
	now := at(t, "Australia/Sydney", "2026-03-14 09:00")
	const bream = "acanthopagrus_australis"
	b := inForce(t, "au-nsw", "", now) // r001: possession 20, twice the group bag
	home := func(n int, ago time.Duration) func(*Case) {
		return func(c *Case) {
			c.Area, c.Home = "AU-NSW", []Stock{{WhoID: ana, Who: "Ana", Species: bream, N: n, At: now.Add(-ago)}}
		}
	}
	e := entry(now, bream, 4, long(300*mm, 300*mm, 300*mm, 300*mm))
	for _, tt := range []struct {
		name   string
		change func(*Case)
		es     []catch.Entry
		want   catch.Verdict
		has    What
	}{
		{"HomeNotSaid", func(c *Case) { c.Area = "AU-NSW" }, []catch.Entry{e}, catch.Allowed, HomeUnsaid},
		{"RoomAtHome", home(16, time.Hour), []catch.Entry{e}, catch.Allowed, ""},
		{"FullAtHome", home(17, time.Hour), []catch.Entry{e}, catch.NotAllowed, OverHeld},
		{"KeptSinceTheyTold", home(12, 48*time.Hour), []catch.Entry{entry(now.Add(-30*time.Hour), bream, 5), e}, catch.NotAllowed, OverHeld},
		{"KeptBeforeTheyTold", home(12, 24*time.Hour), []catch.Entry{entry(now.Add(-30*time.Hour), bream, 5), e}, catch.Allowed, ""},
		{"ToldTooLongAgo", home(17, StockLasts+time.Hour), []catch.Entry{e}, catch.Allowed, HomeUnsaid},
		{"AnothersFreezer", func(c *Case) {
			c.Area, c.Home = "AU-NSW", []Stock{{WhoID: bram, Who: "Bram", Species: bream, N: 20, At: now}}
		}, []catch.Entry{e}, catch.Allowed, HomeUnsaid},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a := judged(b, now, tt.change, tt.es...)
			if a.Verdict != tt.want || tt.has != "" && !a.Has(tt.has) || tt.has == "" && a.Has(HomeUnsaid) {
				t.Errorf("Judge() = %s %+v, want %s with %q", a.Verdict, a.Findings, tt.want, tt.has)
			}
		})
	}
}

func TestHowFarARuleIsTrusted(t *testing.T) {
	now := time.Date(2026, 3, 14, 13, 0, 0, 0, time.UTC)
	with := func(change func(*Pack)) Book {
		b := bassPack(t, "    measure: TL\n    min: 42 cm\n    bag: 2\n")
		change(b[0].Pack)
		return b
	}
	good, short := entry(now, bass, 1, long(500*mm)), entry(now, bass, 1, long(300*mm))
	for _, tt := range []struct {
		name  string
		b     Book
		e     catch.Entry
		want  catch.Verdict
		found What
	}{
		{"Checked", with(func(*Pack) {}), good, catch.Allowed, ""},
		{"CheckedAYearAgo", with(func(p *Pack) { p.CheckedOn = Date{now.Add(-Stale)} }), good, catch.Allowed, ""},
		{"CheckedOverAYearAgo", with(func(p *Pack) { p.CheckedOn = Date{now.Add(-Stale - time.Second)} }), good, catch.CannotTell, Old},
		{"NeverChecked", with(func(p *Pack) { p.CheckedOn = Date{} }), good, catch.CannotTell, Old},
		{"AnOldRuleStillForbids", with(func(p *Pack) { p.CheckedOn = Date{} }), short, catch.NotAllowed, Old},
		{"SecondHandAllowsNothing", with(func(p *Pack) { p.Provenance = Secondary }), good, catch.CannotTell, SecondHand},
		{"SecondHandForbidsNothing", with(func(p *Pack) { p.Provenance = Secondary }), short, catch.CannotTell, SecondHand},
		{"AnExampleIsNoRule", with(func(p *Pack) { p.Example = true }), good, catch.CannotTell, OnlyExample},
		{"SourcesDiffer", with(func(p *Pack) { p.Rules[0].Disagree = "another page says 36 cm" }), good, catch.CannotTell, Differs},
		{"NotInForceYet", with(func(p *Pack) { p.Rules[0].ValidFrom = Date{now.AddDate(0, 0, 1)} }), good, catch.CannotTell, Ended},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a := judged(tt.b, now, nil, tt.e)
			if a.Verdict != tt.want || tt.found != "" && !a.Has(tt.found) {
				t.Errorf("Judge() = %s %+v, want %s with %q", a.Verdict, a.Findings, tt.want, tt.found)
			}
		})
	}
}

func TestNarrowerAreasAndExceptions(t *testing.T) {
	now := time.Date(2026, 3, 14, 13, 0, 0, 0, time.UTC)
	b := bassPack(t, "    bag: 2\n  - id: bay\n    name: bass in the bay\n    species: [Dicentrarchus labrax]\n    areas: [bay]\n    measure: TL\n    min: 42 cm\n  - id: cove\n    name: bass in the cove\n    species: [Dicentrarchus labrax]\n    areas: [cove]\n    exception_to: [bass]\n    bag: 5\n")
	for _, tt := range []struct {
		place string
		e     catch.Entry
		want  catch.Verdict
	}{
		{Elsewhere, entry(now, bass, 3), catch.NotAllowed},
		{Elsewhere, entry(now, bass, 2), catch.Allowed},
		{"bay", entry(now, bass, 1, long(400*mm)), catch.NotAllowed},                                              // the narrower one holds as well
		{"bay", entry(now, bass, 3, long(500*mm, 500*mm, 500*mm)), catch.CannotTell},                              // the cove is in the bay
		{"cove", entry(now, bass, 3, long(500*mm, 500*mm, 500*mm)), catch.Allowed},                                // the exception stands in the place of the rule
		{"cove", entry(now, bass, 1, long(400*mm)), catch.NotAllowed},                                             // and of no other
		{"", entry(now, bass, 3, long(500*mm, 500*mm, 500*mm)), catch.CannotTell},                                 // two or five
		{"", entry(now, bass, 2, long(500*mm, 500*mm)), catch.Allowed},                                            // either way
		{"", entry(now, bass, 6, long(500*mm, 500*mm, 500*mm, 500*mm, 500*mm, 500*mm)), catch.CannotTell},         // over either; which of them holds is not known
		{"cove", entry(now, bass, 6, long(500*mm, 500*mm, 500*mm, 500*mm, 500*mm, 500*mm)), catch.NotAllowed},     //
		{"bay", entry(now, bass, 1, long(500*mm), func(e *catch.Entry) { e.Kept = num(0) }), catch.Allowed},       //
		{"bay", entry(now, bass, 1, long(500*mm), measured(FL)), catch.CannotTell},                                //
		{"bay", entry(now, bass, 1, long(500*mm), func(e *catch.Entry) { e.Estimated = true }), catch.CannotTell}, //
		{"bay", entry(now, bass, 1, long(500*mm), unsaid), catch.CannotTell},                                      //
	} {
		b[0].Place = tt.place
		if a := judged(b, now, nil, tt.e); a.Verdict != tt.want {
			t.Errorf("in %q, %d of %v: %s %+v, want %s", tt.place, tt.e.Count, tt.e.LengthsUM, a.Verdict, a.Findings, tt.want)
		}
	}
}

func TestConversionsAndNear(t *testing.T) {
	now := time.Date(2026, 3, 14, 13, 0, 0, 0, time.UTC)
	b := bassPack(t, "    measure: TL\n    min: 42 cm\n")
	convert := func(c *Case) {
		c.Convert = func(_ catch.Entry, from, to Measure, um int) (int, bool) { return um * 11 / 10, from == FL && to == TL }
	}
	for _, tt := range []struct {
		um   int
		m    Measure
		want catch.Verdict
	}{{500 * mm, FL, catch.Allowed}, {300 * mm, FL, catch.NotAllowed}, {390 * mm, FL, catch.CannotTell}, {500 * mm, SL, catch.CannotTell}} {
		if a := judged(b, now, convert, entry(now, bass, 1, long(tt.um), measured(tt.m))); a.Verdict != tt.want || a.Has(Converted) == (tt.want == catch.CannotTell) {
			t.Errorf("%d µm %s: %s %+v, want %s, and the conversion said", tt.um, tt.m, a.Verdict, a.Findings, tt.want)
		}
	}
	for _, tt := range []struct {
		near, um int
		want     bool
	}{{0, 426 * mm, false}, {8 * mm, 426 * mm, true}, {8 * mm, 428 * mm, false}, {10 * mm, 429 * mm, true}} {
		a := judged(b, now, func(c *Case) { c.Near = tt.near }, entry(now, bass, 1, long(tt.um)))
		if a.Has(NearMin) != tt.want || a.Verdict != catch.Allowed {
			t.Errorf("near %d at %d: %s %v, want near %v", tt.near, tt.um, a.Verdict, a.Has(NearMin), tt.want)
		}
	}
}

func TestBags(t *testing.T) {
	now := at(t, "Australia/Sydney", "2026-03-14 09:00")
	b := inForce(t, "au-nsw", "", now)
	c := Case{Now: now, Zone: now.Location(), Area: "AU-NSW", Days: days(now.Location(),
		entry(now, "acanthopagrus_australis", 4), entry(now, "rhabdosargus_sarba", 2), entry(now, "arripis_trutta", 5), entry(now, "rhabdosargus_sarba", 3, by(bram, "Bram")), entry(now, "acanthopagrus_australis", 2, unsaid))}
	got := b.Bags(c, "Ana", ana)
	if len(got) != 2 {
		t.Fatalf("Bags() = %d, want 2: %+v", len(got), got)
	}
	if got[0].Rule.ID != "r003" || !got[0].Full() {
		t.Errorf("first is %s %+v, want the full salmon", got[0].Rule.ID, got[0])
	}
	if g := got[1]; g.Rule.ID != "bream-tarwhine" || g.Kept != 6 || g.Unsure != 2 || g.Limit != 10 || g.Room() != 2 {
		t.Errorf("second is %+v, want 6 of 10 bream and tarwhine and 2 unsure", g)
	}
	if all := b.Bags(c, "Dell", 14); len(all) != 0 {
		t.Errorf("Bags() of somebody without fish = %+v", all)
	}
}
