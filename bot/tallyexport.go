package bot

import (
	"slices"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/catch/files"
	caught "ledgehand/session/catch/tally"
)

// What was caught as files for other programs: a table and a Darwin Core archive. They go where they were asked for.

// tallyExport is /tally export, of the crew or of the one who asks alone.
func (a *ask) tallyExport(c session.Crew, mine bool) error {
	if ok, _ := a.scans.admit(a.r.From.ID, a.cause.ID, a.at(), 1); !ok && !a.Unbounded {
		return a.say("one_a_minute")
	}
	salt, err := a.tallySalt()
	if err != nil {
		return err
	}
	all, err := a.readLedger(c, false)
	if err != nil {
		return err
	}
	trips := all.trips
	if mine {
		trips = caught.All(trips, a.r.From.ID)
	}
	if len(trips) == 0 {
		return a.say("tally_export_none")
	}
	log := a.fileLog(c, trips, salt)
	archive, err := files.DarwinCore(log)
	if err != nil {
		return err
	}
	day := a.cause.Now.In(zone(c.Zone)).Format(time.DateOnly)
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		table, err := files.CSV(log, tableWords(w))
		if err != nil {
			return err
		}
		text := w.T("tally_csv", "n", len(trips))
		if all.older > 0 {
			text += " " + w.T("tally_older", "n", all.days, "older", all.older)
		}
		a.sendFile(tx, text, chat.Document{Data: table, Name: "catches-" + day + ".csv", Type: "text/csv"})
		licence := w.T("tally_dwc_no_licence")
		if log.Licence != "" {
			licence = w.T("tally_dwc_licence", "licence", log.Licence)
		}
		a.sendFile(tx, w.T("tally_dwc")+" "+licence, chat.Document{Data: archive, Name: "catches-" + day + "-dwca.zip", Type: "application/zip"})
		return nil
	})
}

// tallySalt is what makes the numbers in a crew's exports; the first export makes it.
func (a *ask) tallySalt() (salt string, err error) {
	err = a.doIn(a.crew, a.cause.Then("salt"), func(tx *session.Tx, c session.Crew, _ wording.Words) error {
		set := tallyOf(c)
		if set.Salt != "" {
			return nil
		}
		set.Salt = a.Token()
		c.Tally = &set
		return tx.PutCrew(c)
	})
	if err != nil {
		return "", err
	}
	c, err := a.crewRecord(a.crew) // what was committed, by whomever
	return tallyOf(c).Salt, err
}

// fileLog puts trips beside where they were, as coarse as it goes out, and who wants to be named.
func (a *ask) fileLog(c session.Crew, trips []caught.Trip, salt string) files.Log {
	l := files.Log{Salt: salt, Licence: tallyOf(c).Licence, Made: a.cause.Now, Named: map[int64]string{}}
	for _, m := range c.Members {
		if m.Named {
			l.Named[m.ID] = m.Name
		}
	}
	type there struct {
		place *files.Place
		zone  *time.Location
	}
	known := map[string]there{}
	for _, t := range trips {
		x, ok := known[t.Ledge]
		if !ok {
			x.zone = zone(c.Zone)
			if i := slices.IndexFunc(c.Ledges, func(l session.Ledge) bool { return l.Name == t.Ledge || slices.Contains(l.Aliases, t.Ledge) }); i >= 0 && t.Ledge != "" {
				card, err := cardOf(c.Ledges[i])
				a.lesser("place of a trip", err)
				if card.Exact != nil {
					if p, ok := files.Coarsen(card.Exact.Lat, card.Exact.Lon); ok {
						x.place = &p
					}
				}
				if card.Zone != "" {
					x.zone = zone(card.Zone)
				}
			}
			known[t.Ledge] = x
		}
		l.Trips = append(l.Trips, files.Trip{Trip: t, Place: x.place, Zone: x.zone})
	}
	return l
}

// tableWords are the headings and words of the table.
func tableWords(w wording.Words) files.Words {
	out := files.Words{Word: map[string]string{"yes": wording.Plain(w.T("csv_yes"))}}
	for _, c := range files.Columns {
		out.Headings = append(out.Headings, wording.Plain(w.T("csv_"+c)))
	}
	for _, s := range []string{"making", "ebbing", "high", "low", "slack"} {
		out.Word[s] = wording.Plain(w.T("tally_tide_" + s))
	}
	for _, s := range []string{"dark", "dawn", "day", "dusk"} {
		out.Word[s] = wording.Plain(w.T("tally_light_" + s))
	}
	return out
}
