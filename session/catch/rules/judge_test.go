package rules

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"ledgehand/session/catch"
)

const (
	ana, bram = 11, 12
	mm        = 1_000  // micrometres
	inch      = 25_400 // micrometres, by definition
)

func num(n int) *int { return &n }

// inForce is an example as if a crew had compared it with the rules in force the day before.
func inForce(t testing.TB, id, place string, now time.Time) Book {
	t.Helper()
	p := example(t, id)
	p.Example, p.CheckedOn = false, Date{now.AddDate(0, 0, -1)}
	return Book{{Pack: p, Place: place}}
}

func at(t testing.TB, zone, when string) time.Time {
	t.Helper()
	z, err := time.LoadLocation(zone)
	if err != nil {
		t.Fatal(err)
	}
	x, err := time.ParseInLocation("2006-01-02 15:04", when, z)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

type change func(*catch.Entry)

func entry(when time.Time, species string, kept int, changes ...change) catch.Entry {
	e := catch.Entry{ID: fmt.Sprint(when.UnixNano(), species, kept), At: when, Who: "Ana", WhoID: ana, By: ana, Species: species, Named: species, Count: kept, Kept: num(kept)}
	for _, c := range changes {
		c(&e)
	}
	return e
}

func long(um ...int) change     { return func(e *catch.Entry) { e.LengthsUM = um } }
func weigh(g ...float64) change { return func(e *catch.Entry) { e.WeightsG = g } }
func measured(m Measure) change { return func(e *catch.Entry) { e.Measure = string(m) } }
func by(id int64, n string) change {
	return func(e *catch.Entry) { e.WhoID, e.Who = id, n }
}
func unsaid(e *catch.Entry)   { e.Kept = nil }
func on(outing string) change { return func(e *catch.Entry) { e.Outing = outing } }

// days sorts entries into days of a zone.
func days(zone *time.Location, es ...catch.Entry) (out []catch.Day) {
	for _, e := range es {
		date := e.At.In(zone).Format(time.DateOnly)
		i := slices.IndexFunc(out, func(d catch.Day) bool { return d.Date == date })
		if i < 0 {
			out = append(out, catch.Day{Date: date})
			i = len(out) - 1
		}
		e.ID = fmt.Sprintf("%s-%d", e.ID, len(out[i].Entries))
		out[i] = out[i].Add(e)
	}
	return out
}

// Worked judgements. Each names the row of testdata/fish/rules/rows.csv whose words it works out; the row names its source.
func TestWorkedJudgements(t *testing.T) {
	const (
		bream, tarwhine = "acanthopagrus_australis", "rhabdosargus_sarba"
	)
	for _, tt := range []struct {
		name    string
		source  string
		pack    string
		place   string
		area    string
		zone    string
		now     string
		mode    string
		earlier []catch.Entry
		entry   func(now time.Time) []catch.Entry // the last is judged
		want    catch.Verdict
		has     []What
	}{
		{name: "ExactEdgeIsLegal", source: "r001 NSW DPI: bream 25 cm", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, bream, 1, long(250*mm))} }, want: catch.Allowed, has: []What{NearMin}},
		{name: "AHairUnderIsNot", source: "r001", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, bream, 1, long(250*mm-1))} }, want: catch.NotAllowed, has: []What{Short, NearMin}},
		{name: "ForkLengthWhereTotalIsTheRule", source: "r001; a 36.2 cm FL tailor is 42.9 cm TL: trade lore of the table of lengths", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, bream, 1, long(300*mm), measured(FL))}
			}, want: catch.CannotTell, has: []What{OtherWay}},
		{name: "GroupBagNineAndOne", source: "r001, r002: bream and tarwhine 10 in total", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), tarwhine, 9), entry(n, bream, 1, long(300*mm))}
			}, want: catch.Allowed, has: []What{AtBag}},
		{name: "GroupBagTenAndOne", source: "r001, r002", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), tarwhine, 10), entry(n, bream, 1, long(300*mm))}
			}, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "GroupBagOfAnother", source: "r001, r002: a bag is a person's", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), tarwhine, 10, by(bram, "Bram")), entry(n, bream, 1, long(300*mm))}
			}, want: catch.Allowed},
		{name: "GroupBagYesterdayDoesNotCount", source: "r001: fish/person/day", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2026-03-14 00:10",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-20*time.Minute), tarwhine, 10), entry(n, bream, 1, long(300*mm))}
			}, want: catch.Allowed},
		{name: "AFishNobodyNamedMayBeInTheGroup", source: "r001: species unknown in a group bag", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), tarwhine, 9), entry(n.Add(-time.Hour), "thing", 1), entry(n, bream, 1, long(300*mm))}
			}, want: catch.CannotTell, has: []What{BagUnsure}},
		{name: "BlueGroperNone", source: "r007: eastern blue groper 0", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2030-03-14 09:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "achoerodus_viridis", 1)} }, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "BlueGroperLetGoWhileNobodyMayFishForIt", source: "r007: line-fishing ban from 1 March 2025, three years", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2028-02-29 23:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "achoerodus_viridis", 1, func(e *catch.Entry) { e.Kept = num(0) })}
			}, want: catch.NotAllowed, has: []What{ClosedFish}},
		{name: "BlueGroperLetGoAfterTheBan", source: "r007", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2028-03-01 00:10",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "achoerodus_viridis", 1, func(e *catch.Entry) { e.Kept = num(0) })}
			}, want: catch.Allowed},
		{name: "SnapperOnlyFromASecondHandTable", source: "r015: secondary, never shown as law", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "chrysophrys_auratus", 1, long(200*mm))}
			}, want: catch.CannotTell, has: []What{SecondHand}},
		{name: "UnlistedInAPackThatDoesNotListAll", source: "r009: any fish not listed 20", pack: "au-nsw", area: "AU-NSW", zone: "Australia/Sydney", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "scorpis_lineolata", 1)} }, want: catch.CannotTell, has: []What{DefaultBare}},

		{name: "OregonCabezonOneInsideTheFive", source: "r076, r077: its own 1, and the 5", pack: "us-or", area: "US-OR", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "sebastes_melanops", 4), entry(n, "scorpaenichthys_marmoratus", 1, long(20*inch))}
			}, want: catch.CannotTell, has: []What{AtBag, HowUnsaid}},
		{name: "OregonASecondCabezon", source: "r077", pack: "us-or", area: "US-OR", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "scorpaenichthys_marmoratus", 1, long(20*inch)), entry(n, "scorpaenichthys_marmoratus", 1, long(20*inch))}
			}, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "OregonCabezonAsTheSixth", source: "r076", pack: "us-or", area: "US-OR", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "sebastes_melanops", 5), entry(n, "scorpaenichthys_marmoratus", 1, long(20*inch))}
			}, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "OregonCabezonBeforeJuly", source: "r077: open 1 Jul - 31 Dec", pack: "us-or", area: "US-OR", zone: "America/Los_Angeles", now: "2026-06-30 23:59",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "scorpaenichthys_marmoratus", 1, long(20*inch))}
			}, want: catch.NotAllowed, has: []What{ClosedKeep}},
		{name: "Lingcod22Inches", source: "r080: 22 in is 558.8 mm exactly", pack: "us-ca", area: "US-CA", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "ophiodon_elongatus", 1, long(558_800))}
			}, want: catch.Allowed, has: []What{NearMin}},
		{name: "Lingcod558Millimetres", source: "r084: 558 mm is short", pack: "us-ca", area: "US-CA", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "ophiodon_elongatus", 1, long(558*mm))} }, want: catch.NotAllowed, has: []What{Short}},
		{name: "CopperRockfishFromTheShore", source: "r083: boat only, shore catch exempt", pack: "us-or", area: "US-OR", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "sebastes_caurinus", 1)} }, want: catch.Allowed},
		{name: "CopperRockfishFromABoat", source: "r083", pack: "us-or", area: "US-OR", zone: "America/Los_Angeles", now: "2026-08-14 09:00", mode: Boat,
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "sebastes_caurinus", 1)} }, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "SurfperchIsNoneOfTheFive", source: "r081: 15", pack: "us-or", area: "US-OR", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "sebastes_melanops", 5), entry(n, "amphistichus_rhodoterus", 10)}
			}, want: catch.Allowed},

		{name: "KingfishThreeInsideTheTwenty", source: "r050, r051: 3 count towards the 20; which baitfish are outside is not in the row", pack: "nz", place: "central", area: "NZ", zone: "Pacific/Auckland", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "chelidonichthys_kumu", 17, long()), entry(n, "seriola_lalandi", 3)}
			}, want: catch.Allowed, has: []What{AtBag}},
		{name: "KingfishFour", source: "r051", pack: "nz", place: "central", area: "NZ-AKL", zone: "Pacific/Auckland", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "seriola_lalandi", 4)} }, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "KingfishAsTheTwentyFirst", source: "r050", pack: "nz", place: "central", area: "NZ", zone: "Pacific/Auckland", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "chelidonichthys_kumu", 20), entry(n, "seriola_lalandi", 1)}
			}, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "KingfishWhereTheAreaWasNotSaid", source: "r051: three regions named", pack: "nz", area: "NZ", zone: "Pacific/Auckland", now: "2026-03-14 09:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "seriola_lalandi", 1)} }, want: catch.CannotTell, has: []What{AreaUnknown}},

		{name: "CaliforniaTenOfOneKind", source: "r089: 20 in total, at most 10 of one species", pack: "us-ca", place: "north", area: "US-CA", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "girella_nigricans", 11)}
			}, want: catch.NotAllowed, has: []What{OneKind, NoRule}},
		{name: "CaliforniaTwentyOfSeveralKinds", source: "r089", pack: "us-ca", place: "north", area: "US-CA", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "girella_nigricans", 10), entry(n.Add(-time.Hour), "medialuna_californiensis", 9), entry(n, "ophiodon_elongatus", 2, long(24*inch, 25*inch))}
			}, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "CaliforniaRockfishTenTogether", source: "r085 to r088: 10 in total, black rockfish 4", pack: "us-ca", place: "north", area: "US-CA", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "sebastes_mystinus", 7), entry(n, "sebastes_melanops", 4)}
			}, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "CaliforniaBonitoUnderBothAsTheFifth", source: "r092: 24 in fork or 5 lb, 5 may be under both", pack: "us-ca", place: "north", area: "US-CA", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "bonito", 4, named("Pacific bonito"), long(20*inch, 20*inch, 20*inch, 20*inch), weigh(1500, 1500, 1500, 1500), measured(FL)), entry(n, "bonito", 1, named("Pacific bonito"), long(20*inch), weigh(1500), measured(FL))}
			}, want: catch.Allowed},
		{name: "CaliforniaBonitoUnderBothAsTheSixth", source: "r092", pack: "us-ca", place: "north", area: "US-CA", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "bonito", 5, named("Pacific bonito"), long(20*inch, 20*inch, 20*inch, 20*inch, 20*inch), weigh(1500, 1500, 1500, 1500, 1500), measured(FL)), entry(n, "bonito", 1, named("Pacific bonito"), long(20*inch), weigh(1500), measured(FL))}
			}, want: catch.NotAllowed, has: []What{OverSmall}},
		{name: "CaliforniaBonitoShortAndHeavy", source: "r092: or 5 lb", pack: "us-ca", place: "north", area: "US-CA", zone: "America/Los_Angeles", now: "2026-08-14 09:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "bonito", 5, named("Pacific bonito"), long(20*inch, 20*inch, 20*inch, 20*inch, 20*inch), weigh(1500, 1500, 1500, 1500, 1500), measured(FL)), entry(n, "bonito", 1, named("Pacific bonito"), long(20*inch), weigh(2500), measured(FL))}
			}, want: catch.Allowed},

		{name: "GaljoenOnTheFirstClosedDay", source: "r055: closed 15 Oct - end of Feb", pack: "za", area: "ZA-EC", zone: "Africa/Johannesburg", now: "2027-10-15 00:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "dichistius_capensis", 1, long(400*mm))}
			}, want: catch.NotAllowed, has: []What{ClosedKeep}},
		{name: "GaljoenTheDayBefore", source: "r055; its bag of 2 is second-hand", pack: "za", area: "ZA-EC", zone: "Africa/Johannesburg", now: "2027-10-14 23:59",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "dichistius_capensis", 1, long(400*mm))}
			}, want: catch.Allowed},
		{name: "GaljoenOnLeapDay", source: "r055: end of Feb", pack: "za", area: "ZA", zone: "Africa/Johannesburg", now: "2028-02-29 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "dichistius_capensis", 1, long(400*mm))}
			}, want: catch.NotAllowed, has: []What{ClosedKeep}},
		{name: "GaljoenOn28FebruaryOfACommonYear", source: "r055", pack: "za", area: "ZA", zone: "Africa/Johannesburg", now: "2027-02-28 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "dichistius_capensis", 1, long(400*mm))}
			}, want: catch.NotAllowed, has: []What{ClosedKeep}},
		{name: "GaljoenOn1March", source: "r055", pack: "za", area: "ZA", zone: "Africa/Johannesburg", now: "2028-03-01 00:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "dichistius_capensis", 1, long(400*mm))}
			}, want: catch.Allowed},
		{name: "GaljoenOnNewYearsEve", source: "r055", pack: "za", area: "ZA", zone: "Africa/Johannesburg", now: "2027-12-31 23:59",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "dichistius_capensis", 1, long(400*mm))}
			}, want: catch.NotAllowed, has: []What{ClosedKeep}},
		{name: "GaljoenOverASecondHandBag", source: "r055: bag from a secondary page", pack: "za", area: "ZA", zone: "Africa/Johannesburg", now: "2027-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "dichistius_capensis", 3, long(400*mm, 410*mm, 420*mm))}
			}, want: catch.CannotTell, has: []What{OverBag, SecondHand}},
		{name: "RedSteenbrasThatLaterListsProtect", source: "r068: no longer current", pack: "za", area: "ZA", zone: "Africa/Johannesburg", now: "2027-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "red steenbras", 1, long(600*mm))}
			}, want: catch.CannotTell, has: []What{Differs}},

		{name: "GaliciaFiveKilosAndOneFishOver", source: "r133: 5 kg a licence and day, one fish may exceed it", pack: "es-ga", area: "ES-GA", zone: "Europe/Madrid", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "dicentrarchus_labrax", 1, weigh(4000)), entry(n, "dicentrarchus_labrax", 1, weigh(6000))}
			}, want: catch.CannotTell, has: []What{NoRule}},
		{name: "GaliciaFiveKilosAndOneFishOverWhereAllIsListed", source: "r133", pack: "es-ga", place: "all", area: "ES-GA", zone: "Europe/Madrid", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "dicentrarchus_labrax", 2, weigh(4000, 1000)), entry(n, "dicentrarchus_labrax", 1, weigh(6000))}
			}, want: catch.Allowed},
		{name: "GaliciaMoreThanOneFishOver", source: "r133", pack: "es-ga", area: "ES-GA", zone: "Europe/Madrid", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "dicentrarchus_labrax", 2, weigh(4000, 1500)), entry(n, "dicentrarchus_labrax", 1, weigh(6000))}
			}, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "GaliciaNotWeighed", source: "r133", pack: "es-ga", area: "ES-GA", zone: "Europe/Madrid", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "dicentrarchus_labrax", 1)} }, want: catch.CannotTell, has: []What{BagUnweighd}},

		{name: "BlackDrumInTheSlot", source: "r097: 14 to 24 in, 1 over", pack: "us-fl", place: "gulf", area: "US-FL", zone: "America/New_York", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "pogonias_cromis", 1, long(20*inch))} }, want: catch.Allowed},
		{name: "BlackDrumOneOver", source: "r097", pack: "us-fl", place: "gulf", area: "US-FL", zone: "America/New_York", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "pogonias_cromis", 1, long(30*inch))} }, want: catch.Allowed},
		{name: "BlackDrumASecondOver", source: "r097", pack: "us-fl", place: "gulf", area: "US-FL", zone: "America/New_York", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "pogonias_cromis", 1, long(30*inch)), entry(n, "pogonias_cromis", 1, long(25*inch))}
			}, want: catch.NotAllowed, has: []What{OverLong}},
		{name: "BlackDrumExactly24InchesIsNotOver", source: "r097", pack: "us-fl", place: "gulf", area: "US-FL", zone: "America/New_York", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "pogonias_cromis", 1, long(30*inch)), entry(n, "pogonias_cromis", 1, long(24*inch))}
			}, want: catch.Allowed, has: []What{NearMax}},
		{name: "BlackDrumUnderTheSlot", source: "r097", pack: "us-fl", place: "gulf", area: "US-FL", zone: "America/New_York", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "pogonias_cromis", 1, long(13*inch))} }, want: catch.NotAllowed, has: []What{Short}},
		{name: "BluefishInTheAtlantic", source: "r095: 3 in the Atlantic", pack: "us-fl", place: "atlantic", area: "US-FL", zone: "America/New_York", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "pomatomus_saltatrix", 4, long(14*inch, 14*inch, 14*inch, 14*inch), measured(FL))}
			}, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "BluefishInTheGulf", source: "r096: 10 in the Gulf", pack: "us-fl", place: "gulf", area: "US-FL", zone: "America/New_York", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "pomatomus_saltatrix", 4, long(14*inch, 14*inch, 14*inch, 14*inch), measured(FL))}
			}, want: catch.Allowed},
		{name: "BluefishSomewhere", source: "r095, r096", pack: "us-fl", area: "US-FL", zone: "America/New_York", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "pomatomus_saltatrix", 4, long(14*inch, 14*inch, 14*inch, 14*inch), measured(FL))}
			}, want: catch.CannotTell, has: []What{AreaUnknown}},
		{name: "SnookNeedsAPermit", source: "r102: extra permit needed", pack: "us-fl", place: "atlantic", area: "US-FL", zone: "America/New_York", now: "2026-03-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "snook", 1, named("snook"), long(30*inch))}
			}, want: catch.CannotTell, has: []What{NeedsPaper}},
		{name: "SnookInTheSecondClosedSeason", source: "r102: and 1 Jun - 31 Aug", pack: "us-fl", place: "atlantic", area: "US-FL", zone: "America/New_York", now: "2026-08-31 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "snook", 1, named("snook"), long(30*inch))}
			}, want: catch.NotAllowed, has: []What{ClosedKeep}},

		{name: "KagawaSixCentimetresOrLess", source: "r135: 6 cm or less may not be taken", pack: "jp-37", area: "JP-37", zone: "Asia/Tokyo", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "acanthopagrus_schlegelii", 1, long(60*mm))}
			}, want: catch.NotAllowed, has: []What{Short, NearMin}},
		{name: "KagawaAHairOverSix", source: "r135", pack: "jp-37", area: "JP-37", zone: "Asia/Tokyo", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "acanthopagrus_schlegelii", 1, long(60*mm+1))}
			}, want: catch.Allowed, has: []What{NearMin}},
		{name: "KagawaSeabreamInSummer", source: "r136: 12 cm or less barred 1 Jul - 30 Sep", pack: "jp-37", area: "JP-37", zone: "Asia/Tokyo", now: "2026-09-30 12:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "pagrus_major", 1, long(120*mm))} }, want: catch.NotAllowed, has: []What{Short}},

		{name: "PollackInApril", source: "r108: keep none 1 Jan - 30 Apr", pack: "eu", place: "ices-8", area: "ES-GA", zone: "Europe/Madrid", now: "2026-04-30 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "pollachius_pollachius", 1, long(500*mm))}
			}, want: catch.NotAllowed, has: []What{ClosedKeep}},
		{name: "PollackLetGoInApril", source: "r108: release allowed", pack: "eu", place: "ices-8", area: "ES-GA", zone: "Europe/Madrid", now: "2026-04-30 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "pollachius_pollachius", 1, func(e *catch.Entry) { e.Kept = num(0) })}
			}, want: catch.Allowed},
		{name: "ParkSeasonIsOver", source: "r122: closed 1 Feb - 14 Mar 2025", pack: "pt", place: "vicentina", area: "PT-S", zone: "Europe/Lisbon", now: "2025-03-15 12:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "diplodus_sargus", 1)} }, want: catch.CannotTell, has: []What{Ended}},
		{name: "ParkSeason", source: "r122", pack: "pt", place: "vicentina", area: "PT-S", zone: "Europe/Lisbon", now: "2025-03-14 12:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "diplodus_sargus", 1)} }, want: catch.NotAllowed, has: []What{ClosedKeep}},
		{name: "CongerShortAndHeavy", source: "r121: 140 cm or 5.5 kg", pack: "pt-az", area: "PT-AZ", zone: "Atlantic/Azores", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "conger_conger", 1, long(1300*mm), weigh(6000))}
			}, want: catch.CannotTell, has: []What{HowUnsaid}},
		{name: "CongerShortAndNotWeighed", source: "r121", pack: "pt-az", area: "PT-AZ", zone: "Atlantic/Azores", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "conger_conger", 1, long(1300*mm))} }, want: catch.CannotTell, has: []What{NotWeighed}},
		{name: "CongerShortAndLight", source: "r121", pack: "pt-az", area: "PT-AZ", zone: "Atlantic/Azores", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "conger_conger", 1, long(1300*mm), weigh(4000))}
			}, want: catch.NotAllowed, has: []What{Short}},
		{name: "NurseryWatersInSummer", source: "r104: no bass fishing 1 May - 31 Oct; second-hand", pack: "uk-eng", place: "solent-nursery", area: "UK-SW", zone: "Europe/London", now: "2026-06-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "dicentrarchus_labrax", 1, long(500*mm))}
			}, want: catch.CannotTell, has: []What{SecondHand, ClosedFish}},
		{name: "NorthWestInWinter", source: "r105: keep only 1 Mar - 30 Nov", pack: "uk-eng", place: "north-west", area: "UK", zone: "Europe/London", now: "2026-12-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "dicentrarchus_labrax", 1, long(500*mm))}
			}, want: catch.NotAllowed, has: []What{ClosedKeep}},
		{name: "AnotherCountrysRulesAreNone", source: "r106 is for Ireland", pack: "ie", area: "UK-SW", zone: "Europe/London", now: "2026-03-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "dicentrarchus_labrax", 1, long(500*mm))}
			}, want: catch.CannotTell, has: []What{NoRule}},
		{name: "WestCoastDhufishTwo", source: "r047: demersal 2 on the West Coast", pack: "au-wa", place: "west-coast", area: "AU-WA", zone: "Australia/Perth", now: "2026-03-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n.Add(-time.Hour), "boarfish", 1, named("boarfish")), entry(n, "dhufish", 2, named("West Australian dhufish"))}
			}, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "GroperElsewhereInWA", source: "r043: 1, outside the West Coast", pack: "au-wa", place: Elsewhere, area: "AU-WA", zone: "Australia/Perth", now: "2026-03-01 12:00",
			entry: func(n time.Time) []catch.Entry { return []catch.Entry{entry(n, "achoerodus_gouldii", 2)} }, want: catch.NotAllowed, has: []What{OverBag}},
		{name: "BandedMorwongOverTheSlot", source: "r029: 36 to 46 cm, nose to fork", pack: "au-tas", area: "AU-TAS", zone: "Australia/Hobart", now: "2026-03-01 12:00",
			entry: func(n time.Time) []catch.Entry {
				return []catch.Entry{entry(n, "cheilodactylus_spectabilis", 1, long(460*mm+1), measured(FL))}
			}, want: catch.NotAllowed, has: []What{Long, NearMax}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			now := at(t, tt.zone, tt.now)
			es := tt.entry(now)
			c := Case{Now: now, Zone: now.Location(), Area: tt.area, Mode: tt.mode, Days: days(now.Location(), es...)}
			b := inForce(t, tt.pack, tt.place, now)
			if tt.place == "all" {
				b[0].Place, b[0].Pack.ListsAll = "", true
			}
			a := b.Judge(c, es[len(es)-1])
			var got []What
			for _, f := range a.Findings {
				got = append(got, f.What)
			}
			if a.Verdict != tt.want {
				t.Errorf("Judge() = %s %v, want %s (%s)", a.Verdict, got, tt.want, tt.source)
			}
			for _, w := range tt.has {
				if !a.Has(w) {
					t.Errorf("Judge() = %s %v, want %s among it (%s)", a.Verdict, got, w, tt.source)
				}
			}
			if a.Verdict == catch.Allowed && slices.ContainsFunc(a.Findings, func(f Finding) bool { return f.Level != Note }) {
				t.Errorf("allowed with %v", got)
			}
		})
	}
}

func named(n string) change { return func(e *catch.Entry) { e.Named, e.Species = n, n } }
