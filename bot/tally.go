package bot

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/session"
	"ledgehand/session/catch"
	caught "ledgehand/session/catch/tally"
	"ledgehand/session/outing"
)

// What was caught over time: /tally, in words, as a picture and as files. It reads many records, so it is answered beside the
// inbox; what is said is committed like any other answer.

// How much of a crew's log a tally reads: years of a keen crew (common practice, no source), and an end to what somebody could fill.
const (
	mostDays    = 1000 // on which something was noted, the newest
	mostEntries = 20_000
	mostStays   = 2000 // outings
)

// tally is /tally.
func (a *ask) tally(args string) error {
	c, err := a.crewRecord(a.crew)
	if err != nil {
		return err
	}
	line, err := command.Tally(args)
	if l, ok := c.LedgeNamed(args); ok { // a ledge may be called like one of the words
		line, err = command.TallyLine{What: command.TallyLedge, Rest: l.Name}, nil
	}
	var un *command.Unread
	switch {
	case errors.As(err, &un):
		return a.say("tally_unread", "said", wording.Clean(un.Said, 40))
	case err != nil:
		return err
	}
	switch line.What {
	case command.TallyMine, command.TallyCrew:
		return a.tallySeason(c, line)
	case command.TallyLedge:
		return a.tallyLedge(c, line.Rest)
	case command.TallyExport, command.TallyExportMine:
		return a.tallyExport(c, line.What == command.TallyExportMine)
	}
	return a.tallySetting(line)
}

// ledgerOf is the log of a crew, sorted into trips.
type ledgerOf struct {
	trips   []caught.Trip
	outings []outing.Outing
	older   int // days left out
	days    int // read
}

// readLedger reads all that is held of a crew, as far as the bounds go. shares are worked out only where they are compared.
func (a *ask) readLedger(c session.Crew, shares bool) (ledgerOf, error) {
	days, older, unread, err := a.Session.Days(a.ctx, a.crew, "", "9999", session.Most{Days: mostDays, Lines: mostEntries})
	if err != nil {
		return ledgerOf{}, err
	}
	outings, _, n, err := a.Session.Outings(a.ctx, a.crew, mostStays)
	if err != nil {
		return ledgerOf{}, err
	}
	if unread += n; unread > 0 {
		a.Log.Warn("records cannot be read for a tally", "n", unread)
	}
	stays := map[string]caught.Stay{}
	for _, o := range outings {
		s := caught.Stay{From: o.OpenedAt, To: cmp.Or(o.ClosedAt, a.cause.Now), Open: !o.Closed(), Making: -1, Lit: -1}
		if led, ok := c.LedgeNamed(o.Ledge); ok && shares {
			if card, err := cardOf(led); err == nil {
				x := conditions.SharesOf(card.Place(), card.TideStation, s.From, s.To)
				s.Making, s.Lit = x.Making, x.Lit
			}
		}
		stays[o.ID] = s
	}
	return ledgerOf{trips: caught.Trips(days, stays), outings: outings, older: older, days: len(days)}, nil
}

// prior is what all trips of the crew say of a rate; nil where there is none.
func (l ledgerOf) prior() *caught.Prior {
	var all []caught.Effort
	for _, t := range l.trips {
		if e, ok := t.Counts(); ok {
			all = append(all, e)
		}
	}
	if p, ok := caught.Fit(all); ok {
		return &p
	}
	return nil
}

// rateOf is the rate of some trips; without a prior, which no fish gives, only its sums.
func rateOf(p *caught.Prior, trips []caught.Trip) (r caught.Rate, open int) {
	var some []caught.Effort
	for _, t := range trips {
		if !t.Complete() {
			open++
		}
		if e, ok := t.Counts(); ok {
			some = append(some, e)
		}
	}
	if p != nil {
		return caught.RateOf(*p, some), open
	}
	for _, e := range some {
		r.Trips, r.Fish, r.Hours = r.Trips+1, r.Fish+e.Fish, r.Hours+e.Hours
	}
	return r, open
}

// silent counts the outings that ended in a season about which nobody noted a line: what was caught there is not known, and no blank.
func (l ledgerOf) silent(z *time.Location, from, to, ledge string) (n int) {
	noted := map[string]bool{}
	for _, t := range l.trips {
		noted[t.Outing] = true
	}
	for _, o := range l.outings {
		day := o.OpenedAt.In(z).Format(time.DateOnly)
		if o.Closed() && !o.Cancelled && !noted[o.ID] && day >= from && day <= to && (ledge == "" || strings.EqualFold(ledge, o.Ledge)) {
			n++
		}
	}
	return n
}

// called is what a kind of fish is called: the name the table has, else the one that was written.
func called(species, named string) string {
	return fishName(catch.Entry{Species: species, Named: named})
}

// tallySeason is a season of the one who asks, or of the crew.
func (a *ask) tallySeason(c session.Crew, line command.TallyLine) error {
	set := tallyOf(c)
	all, err := a.readLedger(c, line.What == command.TallyCrew && set.By != "")
	if err != nil {
		return err
	}
	z := zone(c.Zone)
	from, to := caught.SeasonAt(a.at().In(z).Format(time.DateOnly), set.Season)
	if line.Year != 0 {
		from, to = caught.SeasonAt(fmt.Sprintf("%d-%02d-01", line.Year, max(1, set.Season)), set.Season)
	}
	trips, says := all.trips, wording.Tally{Fish: called, Older: all.older, Days: all.days}
	mine := line.What == command.TallyMine
	if mine {
		trips, says.Who = caught.All(trips, a.r.From.ID), a.name()
		says.Bests = caught.Bests(all.trips, a.r.From.ID)
	}
	says.Season = caught.SeasonOf(trips, from, to)
	season := caught.Between(trips, from, to)
	if !mine {
		says.Prior = all.prior()
		says.Rate, says.Open = rateOf(says.Prior, season)
		says.Silent = all.silent(z, from, to, "")
		if set.By != "" && says.Prior != nil {
			x := caught.Compare(*says.Prior, caught.By(set.By), all.trips, set.Since)
			says.Compare = &x
		}
		if set.Counts {
			says.Counts = caught.Counts(season)
		}
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		m := chat.Message{To: a.r.Place.ID, Thread: a.r.Place.Thread, Text: w.TallyCrew(says)}
		if mine {
			m.Text = w.TallyMine(says)
		}
		if a.r.Place.Group {
			m.ReplyTo = a.r.Message
		}
		if len(season) > 0 {
			m.Picture = a.seasonPicture(w, says, season)
		}
		a.post(tx, "", session.Slow, m)
		return nil
	})
}

// tallyLedge is the log of one ledge.
func (a *ask) tallyLedge(c session.Crew, name string) error {
	led, ok := c.LedgeNamed(name)
	if !ok {
		return a.say("tally_unread", "said", wording.Clean(name, 40))
	}
	all, err := a.readLedger(c, false)
	if err != nil {
		return err
	}
	says := wording.Tally{Ledge: led.Name, Fish: called, Older: all.older, Days: all.days, Prior: all.prior()}
	says.Log = caught.On(all.trips, append([]string{led.Name}, led.Aliases...)...)
	says.Rate, says.Open = rateOf(says.Prior, says.Log)
	says.Silent = all.silent(zone(c.Zone), "", "9999", led.Name)
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.reply(tx, w.TallyLedge(says, tx.Now()))
		return nil
	})
}

// tallyOf is what a crew chose, or the usual.
func tallyOf(c session.Crew) session.Tally {
	if c.Tally == nil {
		return session.Tally{}
	}
	return *c.Tally
}

// tallySetting is what a crew, or one of it, chooses.
func (a *ask) tallySetting(line command.TallyLine) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		set := tallyOf(c)
		said := ""
		switch line.What {
		case command.TallyCounts:
			set.Counts = line.On
			if said = w.T("tally_counts_off"); line.On {
				said = w.T("tally_counts_on")
			}
		case command.TallyCompare:
			said = a.compareBy(&set, w, line.By)
		case command.TallySeason:
			set.Season = line.Month
			said = w.T("tally_season_set", "month", w.T("mo"+fmt.Sprint(line.Month)))
		case command.TallyLicence:
			set.Licence = line.Licence
			if said = w.T("tally_licence_none"); line.Licence != "" {
				said = w.T("tally_licence_set", "licence", line.Licence)
			}
		case command.TallyName:
			i := slices.IndexFunc(c.Members, func(m session.Member) bool { return m.ID == a.r.From.ID })
			if i < 0 { // alone with us, and not noted yet
				c.Saw(a.r.From.ID, a.name(), tx.Now())
				i = slices.IndexFunc(c.Members, func(m session.Member) bool { return m.ID == a.r.From.ID })
			}
			if i >= 0 {
				c.Members = slices.Clone(c.Members)
				c.Members[i].Named = line.On
			}
			if said = w.T("tally_name_off"); line.On {
				said = w.T("tally_name_on", "who", a.name())
			}
		}
		if set != (session.Tally{}) || c.Tally != nil {
			c.Tally = &set
		}
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.reply(tx, said)
		return nil
	})
}

// compareBy chooses the one comparison. The first choice counts all that is held, for nothing was compared before; whoever changes it has
// looked, and counts from then on.
func (a *ask) compareBy(set *session.Tally, w wording.Words, by string) string {
	if by == "" {
		if set.By != "" {
			set.Since = a.cause.Now // what comes back later was looked at
		}
		set.By = ""
		return w.T("tally_compare_off")
	}
	if set.By != "" && set.By != by {
		set.Since = a.cause.Now
	}
	set.By = by
	one, two := w.T("tally_side_making"), w.T("tally_side_ebbing")
	if by == string(caught.ByLight) {
		one, two = w.T("tally_side_light"), w.T("tally_side_dark")
	}
	out := w.T("tally_compare_by", "one", wording.HTML(one), "two", wording.HTML(two), "least", caught.FewestCompared)
	if !set.Since.IsZero() {
		out += " " + w.T("tally_compare_since")
	}
	return out
}
