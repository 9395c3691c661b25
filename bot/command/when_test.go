package command

import (
	"errors"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

func zoneOf(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// show writes a window the way the tables below do.
func show(w Window, zone *time.Location) string {
	var b strings.Builder
	for _, p := range []struct {
		name string
		t    time.Time
	}{{"from", w.Start}, {"to", w.End}, {"back", w.BackBy}} {
		if !p.t.IsZero() {
			b.WriteString(p.name + p.t.In(zone).Format(" Mon 02 Jan 15:04 "))
		}
	}
	if w.Rest != "" {
		b.WriteString("(" + w.Rest + ") ")
	}
	if w.Confirm != "" {
		b.WriteString("? " + string(w.Confirm))
	}
	return strings.TrimSpace(b.String())
}

// Thursday 12 March 2026, 14:30 in Sydney, unless a row says otherwise.
func TestWhenReads(t *testing.T) {
	zone := zoneOf(t, "Australia/Sydney")
	for _, tt := range []struct{ line, at, want string }{
		{"north ledge back 3pm", "", "back Thu 12 Mar 15:00 (north ledge)"},
		{"back by 15:30", "", "back Thu 12 Mar 15:30"},
		{"home by 6pm", "", "back Thu 12 Mar 18:00"},
		{"off the rocks by 1700", "", "back Thu 12 Mar 17:00"},
		{"Чёрный камень back 15:00 🎣", "", "back Thu 12 Mar 15:00 (Чёрный камень 🎣)"},
		{"Long-Step sat 5am til 10", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 10:00 (Long-Step)"},
		{"going to Anvil sat 5am-10am", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 10:00 (Anvil)"},
		{"back in 3 hours", "", "back Thu 12 Mar 17:30"},
		{"Anvil for 3h", "", "from Thu 12 Mar 14:30 to Thu 12 Mar 17:30 (Anvil)"},
		{"for an hour and a half", "", "from Thu 12 Mar 14:30 to Thu 12 Mar 16:00"},
		{"now till 5", "", "from Thu 12 Mar 14:30 to Thu 12 Mar 17:00"},
		{"til 5pm", "", "back Thu 12 Mar 17:00"},
		{"sat 5am for 4 hours", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 09:00"},
		{"sat 5am, 4h", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 09:00"},
		{"sat 5.30am - 9", "", "from Sat 14 Mar 05:30 to Sat 14 Mar 09:00"},
		{"sat 5:30 a.m. – 9 a.m.", "", "from Sat 14 Mar 05:30 to Sat 14 Mar 09:00"},
		{"sat 10-2pm", "", "from Sat 14 Mar 10:00 to Sat 14 Mar 14:00"},
		{"sat 10:00-14:00", "", "from Sat 14 Mar 10:00 to Sat 14 Mar 14:00"},
		{"sat 1000-1400", "", "from Sat 14 Mar 10:00 to Sat 14 Mar 14:00"},
		{"2026-03-14 10:00-11:30", "", "from Sat 14 Mar 10:00 to Sat 14 Mar 11:30"},
		{"2026-03-14 12:30-13:00", "", "from Sat 14 Mar 12:30 to Sat 14 Mar 13:00"},
		{"sat 0530-0900 back by 10", "", "from Sat 14 Mar 05:30 to Sat 14 Mar 09:00 back Sat 14 Mar 10:00"},
		{"back by 10am sat 5am", "", "from Sat 14 Mar 05:00 back Sat 14 Mar 10:00"},
		{"sat 5 back by 10am", "", "from Sat 14 Mar 05:00 back Sat 14 Mar 10:00"},
		{"sat 14 mar 5am-9am", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 09:00"},
		{"14th march 5am-9am", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 09:00"},
		{"mar 14 5am-9am", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 09:00"},
		{"14 mar 2026 5am-9am", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 09:00"},
		{"sat 14th 5am-9am", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 09:00"},
		{"14/3/26 5am-9am", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 09:00"},
		{"tomorrow morning 5 til 9", "", "from Fri 13 Mar 05:00 to Fri 13 Mar 09:00"},
		{"5-10 tomorrow morning", "", "from Fri 13 Mar 05:00 to Fri 13 Mar 10:00"},
		{"sat 5 to 10 in the morning", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 10:00"},
		{"sat ten to six in the morning till nine", "", "from Sat 14 Mar 05:50 to Sat 14 Mar 09:00"},
		{"sat six in the morning till nine", "", "from Sat 14 Mar 06:00 to Sat 14 Mar 09:00"},
		{"this evening 6-9", "", "from Thu 12 Mar 18:00 to Thu 12 Mar 21:00"},
		{"sat night 10-2", "", "from Sat 14 Mar 22:00 to Sun 15 Mar 02:00"},
		{"sat 8pm-8am", "", "from Sat 14 Mar 20:00 to Sun 15 Mar 08:00"},
		{"sat 20:00-24:00", "", "from Sat 14 Mar 20:00 to Sun 15 Mar 00:00"},
		{"back by midnight", "", "back Fri 13 Mar 00:00"},
		{"back by 1am", "", "back Fri 13 Mar 01:00"},
		{"tonight back by 1am", "20:00", "back Fri 13 Mar 01:00"},
		{"back by 3pm sat", "", "back Sat 14 Mar 15:00"},
		{"tonight back by 10", "", "back Thu 12 Mar 22:00"},
		{"5am til 10", "", "from Fri 13 Mar 05:00 to Fri 13 Mar 10:00 ? which-date"},
		{"today 3-6", "", "from Thu 12 Mar 15:00 to Thu 12 Mar 18:00"}, // 03:00 has gone
		{"back by 5", "", "back Thu 12 Mar 17:00 ? which-half"},
		{"leaving at 4pm back by 7", "", "from Thu 12 Mar 16:00 back Thu 12 Mar 19:00"},
		{"tonight midnight til 4", "", "from Fri 13 Mar 00:00 to Fri 13 Mar 04:00"},
		{"sat quarter past 5 am til half past 9", "", "from Sat 14 Mar 05:15 to Sat 14 Mar 09:30"},
		{"fri 10pm til sat 2am", "", "from Fri 13 Mar 22:00 to Sat 14 Mar 02:00"},
		{"sat 5am+3h", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 08:00"},
		{"in 2 hours for 3h", "", "from Thu 12 Mar 16:30 to Thu 12 Mar 19:30"},
		{"tomorrow 7h30-12h", "", "from Fri 13 Mar 07:30 to Fri 13 Mar 12:00"},
		{"back by 17h30", "", "back Thu 12 Mar 17:30"},
	} {
		now := time.Date(2026, 3, 12, 14, 30, 45, 0, zone)
		if tt.at != "" {
			clock, _ := time.Parse("15:04", tt.at)
			now = time.Date(2026, 3, 12, clock.Hour(), clock.Minute(), 0, 0, zone)
		}
		got, err := When(tt.line, now, zone, DayFirst)
		if err != nil || show(got, zone) != tt.want {
			t.Errorf("When(%q) = %s, %v, want %s", tt.line, show(got, zone), err, tt.want)
		}
	}
}

// What must never be read. With candidates: what is offered, oldest first.
func TestWhenAsks(t *testing.T) {
	sydney := zoneOf(t, "Australia/Sydney")
	for _, tt := range []struct {
		line       string
		now        string // in Sydney
		question   Word
		candidates string
	}{
		{"sat 5-10", "", AskHour, "14 05:00, 14 17:00"},
		{"back by 3", "2026-03-12 21:00", AskHour, "13 03:00, 13 15:00"},
		{"back by 11", "2026-03-12 08:00", AskHour, "12 11:00, 12 23:00"},
		{"back 9", "2026-03-12 08:50", AskHour, "12 09:00, 12 21:00"},
		{"back by 12", "2026-03-12 08:00", AskHour, "12 12:00, 13 00:00"},
		{"sat back by 3", "", AskHour, "14 03:00, 14 15:00"},
		{"back 3pm", "2026-03-12 16:00", AskFar, "13 15:00"},
		{"sat 8 back by 9pm", "", AskHour, "14 08:00, 14 20:00"},
		{"next sat 5am-9am", "", AskDate, "14 05:00, 21 05:00"},
		{"fri 14 mar 5am-9am", "", AskDate, "13 05:00, 14 05:00"},
		{"sat 5am-10am back by 9am", "", AskBackFirst, "14 09:00"},
		{"sat 5am-8pm", "", AskLong, "14 20:00"},
		{"sat 7pm-6pm", "", AskLong, "15 18:00"},
		{"sat 5am for 15h", "", AskLong, "14 20:00"},
		{"midnight sat til 4", "", AskMidnight, "14 00:00, 15 00:00"},
		{"in 3 hours", "", AskUntil, ""},
		{"half five til 9", "", AskHour, "12 17:30, 13 05:30"},
		{"sat 5ish til 10", "", AskVague, ""},
		{"5:30 for 6 sat", "", AskMeet, "14 06:00, 14 18:00"},
		{"just now til 6pm", "", AskStart, ""},
		{"dawn til 9", "", AskLight, ""},
		{"an hour before low sat", "", AskTide, ""},
		{"3 hours", "", AskStart, ""},
		{"back", "", AskBack, ""},
		{"north ledge back", "", AskBack, ""},
		{"sat", "", AskTime, ""},
		{"tonight", "", AskTime, ""},
		{"sat 5am", "", AskUntil, ""},
		{"sat 5am til", "", AskUntil, ""},
		{"sat 5am til late", "", AskUntil, ""},
		{"sat til 10am", "", AskStart, ""},
		{"sat around 5am til 10", "", AskVague, ""},
		{"sat 5am til 10 or 11", "", AskVague, ""},
		{"today 5am til 6pm", "2026-03-12 07:00", AskStarted, "12 05:00"},
		{"10 mar 5am-9am", "", AskDate, "10 05:00"}, // has passed: next year's?
		{"leaving in an hour back in 3 hours", "", AskStartBack, ""},
		{"sun 2:30am-5am", "2026-04-03 20:00", AskFirstOrTwo, "05 02:30, 05 02:30"},
		{"sat 11pm til 2:30am", "2026-04-03 20:00", AskFirstOrTwo, "05 02:30, 05 02:30"},
		{"back by 2:30am", "2026-04-04 20:00", AskFirstOrTwo, "05 02:30, 05 02:30"},
		{"sun back by 2:30am", "2026-10-01 12:00", AskMissing, "04 03:30"},
		{"sat 10pm til 2:30am", "2026-10-01 12:00", AskMissing, "04 03:30"},
	} {
		now := time.Date(2026, 3, 12, 14, 30, 0, 0, sydney)
		if tt.now != "" {
			now, _ = time.ParseInLocation("2006-01-02 15:04", tt.now, sydney)
		}
		got, err := When(tt.line, now, sydney, DayFirst)
		var ask *Ambiguous
		if !errors.As(err, &ask) || ask.Question != tt.question {
			t.Errorf("When(%q) = %s, %v, want to be asked %s", tt.line, show(got, sydney), err, tt.question)
			continue
		}
		var list []string
		for _, c := range ask.Candidates {
			list = append(list, c.In(sydney).Format("02 15:04"))
		}
		if s := strings.Join(list, ", "); s != tt.candidates || len(ask.Readings) != len(list) {
			t.Errorf("When(%q) offers %s with %d readings, want %s", tt.line, s, len(ask.Readings), tt.candidates)
		}
	}
}

func TestWhenRefuses(t *testing.T) {
	zone := zoneOf(t, "Australia/Sydney")
	now := time.Date(2026, 3, 12, 14, 30, 0, 0, zone)
	for line, why := range map[string]Word{
		"": WhyEmpty, "fri 25:00": WhyClock, "fri 5:75": WhyClock, "13pm": WhyClock, "0am": WhyClock, "31 feb 5am-9am": WhyDate, "45/3 5am-9am": WhyDate,
		"yesterday 5am til 10": WhyPast, "today 5am til 10": WhyPast, "2026-03-11 5am til 10": WhyPast, "1 jan 2026 5am-9am": WhyPast,
		"2028-03-14 5am-9am": WhyTooFar, "north ledge": WhyNoTime, "hello 🎣": WhyNoTime, "whenever the swell drops": WhyNoTime,
		"sat 5am 10am": WhyTwoTimes, "sat 5am-10am 3 hours": WhyTwoTimes, "sat 5am-9am sun 5am-9am": WhyTwoTimes, "sat sun 5am-9am": WhyTwoDays,
		"sat morning 5pm-9pm": WhyClash,
		"sat not 5am til 10":  WhyToken, "sat 5am til 10 unless it blows": WhyToken,
		"saturdya 5am til 10": WhyToken, "tomorroo 5am-9am": WhyToken, "samstag 5am-9am": WhyDate,
		"Ledge 9 back 3pm": WhyToken, "back ledge sat 5am til 10": WhyOrder, "sat 5am-": "", "-5am": WhyOrder, "back by -3": WhyOrder, "10:30:15": WhyToken,
		"sat every 5am-9am": WhyToken, "99999 back 3pm": WhyToken, "٣pm": WhyNoTime, "5am bis 10": WhyToken, "by 3pm": WhyToken,
	} {
		got, err := When(line, now, zone, DayFirst)
		if why == "" {
			if err == nil {
				t.Errorf("When(%q) = %s, want a question or a refusal", line, show(got, zone))
			}
			continue
		}
		var u *Unread
		if !errors.As(err, &u) || u.Why != why {
			t.Errorf("When(%q) = %s, %v, want Unread %s", line, show(got, zone), err, why)
		}
	}
	if _, err := When(strings.Repeat("x", MaxLine+1), now, zone, DayFirst); answered(err) != "refuse" {
		t.Errorf("When(a page) = %v, want a refusal", err)
	}
}

// TestWhenBack: who goes out now means the return.
func TestWhenBack(t *testing.T) {
	zone := zoneOf(t, "Australia/Sydney")
	now := time.Date(2026, 3, 12, 14, 30, 0, 0, zone)
	for line, want := range map[string]string{
		"15:00": "back Thu 12 Mar 15:00", "Anvil 5pm": "back Thu 12 Mar 17:00 (Anvil)", "5": "back Thu 12 Mar 17:00 ? which-half",
		"in 3 hours": "back Thu 12 Mar 17:30", "3h": "from Thu 12 Mar 14:30 to Thu 12 Mar 17:30", "for 3h": "from Thu 12 Mar 14:30 to Thu 12 Mar 17:30",
		"90 min": "from Thu 12 Mar 14:30 to Thu 12 Mar 16:00", "back 3pm": "back Thu 12 Mar 15:00", "til 5pm": "back Thu 12 Mar 17:00",
		"4pm til 7": "from Thu 12 Mar 16:00 to Thu 12 Mar 19:00", "sat 3pm": "back Sat 14 Mar 15:00", "sat 5am back by 10": "from Sat 14 Mar 05:00 back Sat 14 Mar 10:00",
		"4pm, 3h": "from Thu 12 Mar 16:00 to Thu 12 Mar 19:00", "tonight 9": "back Thu 12 Mar 21:00", "midnight": "back Fri 13 Mar 00:00",
		"leaving 4pm": "ask", "sat 3": "ask", "now": "ask", "2pm": "ask", "": "refuse", "anvil": "refuse", "25:00": "refuse", "15h": "ask", "back": "ask",
		"15:00 17:00": "refuse", "5ish": "ask", "going 3pm": "ask", "late": "ask", "sat": "ask", "sat 3h": "ask",
	} {
		got, err := WhenBack(line, now, zone, DayFirst)
		if s := show(got, zone); err == nil && s != want || err != nil && answered(err) != want {
			t.Errorf("WhenBack(%q) = %s, %v, want %s", line, s, err, want)
		}
		if err == nil && got.End.IsZero() && got.BackBy.IsZero() {
			t.Errorf("WhenBack(%q) = %s: no return", line, show(got, zone))
		}
	}
}

// TestDayOrder: "5/4" is 5 April for a day-first group and asked in a month-first one.
func TestDayOrder(t *testing.T) {
	zone := zoneOf(t, "America/Los_Angeles")
	now := time.Date(2026, 3, 14, 16, 0, 0, 0, zone)
	for _, tt := range []struct {
		line  string
		order DayOrder
		want  string
	}{
		{"5/4 6am-9am", DayFirst, "from Sun 05 Apr 06:00 to Sun 05 Apr 09:00 ? which-date"},
		{"5/4 6am-9am", MonthFirst, "from Mon 04 May 06:00 to Mon 04 May 09:00 ? which-date"},
		{"3/4 6am-9am", MonthFirst, "ask"}, // has just passed there
		{"4/18 6am-9am", MonthFirst, "from Sat 18 Apr 06:00 to Sat 18 Apr 09:00"},
		{"18/4 6am-9am", MonthFirst, "from Sat 18 Apr 06:00 to Sat 18 Apr 09:00 ? which-date"},
		{"4/4 6am-9am", MonthFirst, "from Sat 04 Apr 06:00 to Sat 04 Apr 09:00"},
		{"mon 5/4 6am-9am", MonthFirst, "from Mon 04 May 06:00 to Mon 04 May 09:00"},
	} {
		got, err := When(tt.line, now, zone, tt.order)
		if s := show(got, zone); err == nil && s != tt.want || err != nil && answered(err) != tt.want {
			t.Errorf("When(%q, %s) = %s, %v, want %s", tt.line, tt.order, s, err, tt.want)
		}
	}
}

// TestWhenReadsWhatItPrints: a window written with its full date and 24-hour times reads as itself,
// for random windows in zones with whole, half hour and no clock changes.
func TestWhenReadsWhatItPrints(t *testing.T) {
	seed := uint64(20260312)
	rng := rand.New(rand.NewPCG(seed, 1))
	read := 0
	for range 3000 {
		zone := zoneOf(t, []string{"Australia/Sydney", "Australia/Lord_Howe", "Asia/Tokyo", "America/Los_Angeles", "Asia/Kathmandu"}[rng.IntN(5)])
		now := time.Unix(1_700_000_000+rng.Int64N(100_000_000), 0).In(zone)
		start := now.Truncate(time.Minute).Add(time.Duration(1+rng.IntN(300*24*60)) * time.Minute)
		end := start.Add(time.Duration(1+rng.IntN(11*60)) * time.Minute)
		back := end.Add(time.Duration(rng.IntN(60)) * time.Minute)
		line := start.Format("2006-01-02 15:04") + end.Format("-15:04") + back.Format(" back by 15:04")
		got, err := When(line, now, zone, DayFirst)
		var ask *Ambiguous
		if errors.As(err, &ask) && ask.Question == AskFirstOrTwo {
			continue
		}
		if err != nil || !got.Start.Equal(start) || !got.End.Equal(end) || !got.BackBy.Equal(back) {
			t.Fatalf("seed %d: When(%q) at %v = %s, %v", seed, line, now, show(got, zone), err)
		}
		read++
	}
	if read < 2900 {
		t.Errorf("only %d of 3000 windows were read", read)
	}
}

// TestMoments checks the clock changes themselves against published ones: the IANA time zone
// database, as the runtime's copy has it.
func TestMoments(t *testing.T) {
	for _, tt := range []struct {
		zone, wall string
		want       int
		shown      string
	}{
		{"Australia/Sydney", "2026-04-05 02:30", 2, ""}, {"Australia/Sydney", "2026-04-05 01:59", 1, ""}, {"Australia/Sydney", "2026-04-05 03:00", 1, ""},
		{"Australia/Sydney", "2026-10-04 02:30", 0, "03:30"}, {"Europe/London", "2026-10-25 01:30", 2, ""}, {"Europe/London", "2026-03-29 01:00", 0, "02:00"},
		{"Australia/Lord_Howe", "2026-04-05 01:45", 2, ""}, {"Australia/Lord_Howe", "2026-04-05 01:15", 1, ""}, {"Australia/Lord_Howe", "2026-10-04 02:15", 0, "02:45"},
		{"America/New_York", "2026-11-01 01:00", 2, ""}, {"Asia/Tokyo", "2026-11-01 01:00", 1, ""}, {"Pacific/Apia", "2011-12-30 12:00", 0, "12:00"},
	} {
		wall, _ := time.Parse("2006-01-02 15:04", tt.wall)
		at, shown := moments(wall.Truncate(24*time.Hour), wall.Hour()*60+wall.Minute(), zoneOf(t, tt.zone))
		if len(at) != tt.want {
			t.Errorf("moments(%s %s) = %v, want %d", tt.zone, tt.wall, at, tt.want)
		}
		for _, a := range at {
			if s := a.Format("2006-01-02 15:04"); s != tt.wall {
				t.Errorf("moments(%s %s) shows %s", tt.zone, tt.wall, s)
			}
		}
		if len(at) == 0 && shown.Format("15:04") != tt.shown {
			t.Errorf("moments(%s %s) offers %s, want %s", tt.zone, tt.wall, shown.Format("15:04"), tt.shown)
		}
	}
}

// TestBareReturnIsNeverReadLate: a bare hour to be back by is asked, or it is the very next such hour
// and carries Confirm, whatever minute it is now.
func TestBareReturnIsNeverReadLate(t *testing.T) {
	zone := zoneOf(t, "Australia/Sydney")
	for m := range 24 * 60 {
		now := time.Date(2026, 3, 12, 0, m, 0, 0, zone)
		for hour := 1; hour <= 12; hour++ {
			line := "back by " + time.Date(0, 1, 1, hour, 0, 0, 0, time.UTC).Format("3")
			got, err := When(line, now, zone, DayFirst)
			if err != nil {
				continue
			}
			if wait := got.BackBy.Sub(now); wait <= 0 || wait > 12*time.Hour || got.Confirm != AskHour {
				t.Fatalf("When(%q) at %s = %s, want the next such hour, to be confirmed", line, now.Format("15:04"), show(got, zone))
			}
		}
	}
}

func BenchmarkWhen(b *testing.B) {
	zone := zoneOf(b, "Australia/Sydney")
	now := time.Date(2026, 3, 12, 14, 30, 0, 0, zone)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := When("north ledge sat 5am til 10 back by 11", now, zone, DayFirst); err != nil {
			b.Fatal(err)
		}
	}
}
