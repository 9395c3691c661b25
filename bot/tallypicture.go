package bot

import (
	"fmt"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/picture"
	"ledgehand/bot/wording"
	caught "ledgehand/session/catch/tally"
)

// seasonPicture draws the trips of a season. A picture that cannot be drawn costs nobody the words.
func (a *ask) seasonPicture(w wording.Words, t wording.Tally, trips []caught.Trip) *chat.Picture {
	s := seasonOf(w, t, trips, a.cause.Now)
	body, err := picture.SeasonPNG(s)
	if err != nil {
		a.Log.Error("the picture of a season cannot be drawn", "err", err)
		return nil
	}
	return &chat.Picture{PNG: body, Name: "season.png", Alt: s.Title}
}

func seasonOf(w wording.Words, t wording.Tally, trips []caught.Trip, now time.Time) picture.Season {
	from, _ := time.ParseInLocation(time.DateOnly, t.Season.From, w.Zone)
	last, _ := time.ParseInLocation(time.DateOnly, t.Season.To, w.Zone)
	s := picture.Season{From: from, To: last.AddDate(0, 0, 1), Now: now, Zone: w.Zone, Labels: w.SeasonLabels()}
	who := wording.Plain(w.T("tally_the_crew"))
	if t.Who != "" && picture.Drawable(t.Who) {
		who = t.Who
	} else if t.Who != "" {
		who = "–"
	}
	s.Title = fmt.Sprintf("%s, %s", who, w.SeasonName(t.Season.From, t.Season.To))
	for _, x := range trips {
		at := x.At
		if day, err := time.ParseInLocation(time.DateOnly, x.Date, w.Zone); err == nil && (at.Before(s.From) || !at.Before(s.To)) {
			at = day // the crew's zone was another when it was noted
		}
		s.Trips = append(s.Trips, picture.SeasonTrip{At: at, Kept: x.Kept, Gone: x.Released, Unsaid: x.Unsaid})
	}
	return s
}
