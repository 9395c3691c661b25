package bot

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime/debug"
	"strings"
	"time"

	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
	"ledgehand/session"
	"ledgehand/session/after"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
	"ledgehand/session/watch"
)

// Looking at a ledge: feeds, assessment, and what is kept of it for an outing or a watch.

// looked is one conditions answer with what is kept of it.
type looked struct {
	report conditions.Report
	card   ledge.Card
	note   session.SeaNote
	dark   bool
}

func (l *looked) tripSea() trip.Sea {
	s := trip.Sea{Verdict: string(l.report.Verdict), At: l.report.Now}
	if w := l.report.Worst; w >= 0 {
		h := l.report.Hours[w]
		if h.Hs != nil {
			s.Hs = float64(*h.Hs)
		}
		if h.Period != nil {
			s.Period = float64(*h.Period)
		}
	}
	return s
}

// patience bounds all feeds of one answer together; what has not come by then is "not known".
const patience = 20 * time.Second

// look assesses a ledge and lays out what is kept of it. It changes nothing and may take seconds: never call it inside
// a change.
func (a *ask) look(led session.Ledge, from, to time.Time) (*looked, error) {
	q, r, err := a.assess(led, from, to)
	if err != nil {
		return nil, err
	}
	// What is kept runs from now to a day ahead, whatever hours were asked: an outing starts when it starts.
	ahead := q
	ahead.From = q.Now.Truncate(time.Hour)
	if ahead.To = ahead.From.Add(30 * time.Hour); to.After(ahead.To) {
		ahead.To = earlier(to, ahead.From.Add(conditions.MostHours*time.Hour))
	}
	kept, err := conditions.Assess(ahead)
	if err != nil {
		return nil, fmt.Errorf("assess %q ahead: %w", led.Name, err)
	}
	l := &looked{report: r, card: q.Card, note: noteOf(led.Name, kept, q.Sea)}
	for _, h := range r.Hours {
		l.dark = l.dark || h.Dark
	}
	return l, nil
}

// assess asks the feeds and answers for some hours; q is the question with what they said.
func (a *ask) assess(led session.Ledge, from, to time.Time) (q conditions.Question, r conditions.Report, err error) {
	card, err := cardOf(led)
	if err != nil {
		return q, r, err
	}
	where, err := a.whereWarned(card)
	if err != nil {
		return q, r, err
	}
	q = conditions.Question{Card: card, From: from, To: to, Now: a.cause.Now, Zone: zone(card.Zone), Learned: observations(led)}
	ctx, cancel := context.WithTimeout(a.ctx, patience)
	defer cancel()
	a.typing(ctx)
	if err := a.askFeeds(ctx, &q, where); err != nil {
		return q, r, err
	}
	if r, err = conditions.Assess(q); err != nil {
		return q, r, fmt.Errorf("assess %q: %w", led.Name, err)
	}
	return q, r, nil
}

// typing shows that an answer is being prepared, where somebody asked for one.
func (a *ask) typing(ctx context.Context) {
	if a.r.Place.ID != 0 {
		a.Sender.Typing(ctx, a.r.Place.ID, a.r.Place.Thread)
	}
}

// whereWarned is the place of a ledge as warnings are asked for.
func (a *ask) whereWarned(card ledge.Card) (where feed.WarningPlace, err error) {
	err = a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		where = warningPlace(c, card)
		return nil
	})
	return where, err
}

var errNoSea = errors.New("the ledge has no place at sea")

// askFeeds fills in what the world outside says. Only the sea anchor goes out, never the ledge (I8). What a feed does not say
// stays unknown; an error is one of storing an anchor that had to be moved.
func (a *ask) askFeeds(ctx context.Context, q *conditions.Question, where feed.WarningPlace) error {
	var anchor feed.Anchor
	err := errNoSea
	if q.Card.SeaAnchor != nil {
		anchor, err = feed.Snap(*q.Card.SeaAnchor)
	}
	if err != nil {
		q.SeaWhy, q.WeatherWhy = errNoSea.Error(), errNoSea.Error()
		q.Warnings = conditions.Warnings{State: conditions.WarningsUnknown, Why: q.SeaWhy}
		return nil
	}
	type answer struct {
		sea     *conditions.Sea
		weather *conditions.Weather
		err     error
	}
	seas, weathers, warnings := make(chan answer, 1), make(chan answer, 1), make(chan conditions.Warnings, 1)
	buoys := make(chan *conditions.Observed, 1)
	now := q.Now
	go func() {
		var out answer
		out.err = unbroken(func() (err error) { out.sea, err = a.Seer.Sea(ctx, anchor, now); return err })
		seas <- out
	}()
	go func() {
		var out answer
		out.err = unbroken(func() (err error) { out.weather, err = a.Seer.Weather(ctx, anchor, now); return err })
		weathers <- out
	}()
	go func() {
		out := conditions.Warnings{State: conditions.WarningsUnknown, Why: string(feed.Unreadable)}
		if err := unbroken(func() error { out = a.Seer.Warnings(ctx, where, now); return nil }); err != nil {
			a.Log.Error("warnings not had", "err", err)
		}
		warnings <- out
	}()
	faces := q.Card.Faces
	go func() {
		var b *conditions.Observed
		if err := unbroken(func() (err error) { b, err = a.Seer.Buoy(ctx, anchor, faces, now); return err }); err != nil {
			a.Log.Debug("no buoy", "err", err) // most coasts have none, and nothing hangs on it
		}
		buoys <- b
	}()
	s, w := <-seas, <-weathers
	q.Warnings, q.Buoy = <-warnings, <-buoys
	stored := q.Card.SeaAnchor
	if landOnly(s.err) {
		s.sea, s.err = a.seaward(ctx, q, s.err)
	}
	if s.err != nil {
		a.Log.Warn("sea forecast not had", "err", s.err)
		q.SeaWhy = feedWord(s.err)
	}
	if w.err != nil {
		a.Log.Warn("weather forecast not had", "err", w.err)
		q.WeatherWhy = feedWord(w.err)
	}
	q.Sea, q.Weather = s.sea, w.weather
	return a.keepAnchor(q.Card.Name, stored, q.Card.SeaAnchor)
}

// unbroken makes an error of a panic: a feed is asked beside the handler, where nobody else would catch it, and what a
// service sends must not be able to end the bot for everybody. What was panicked with may hold a place; its kind does not.
func unbroken(f func() error) (err error) {
	defer func() {
		if v := recover(); v != nil {
			err = fmt.Errorf("asking a feed panicked (%T)\n%s", v, debug.Stack())
		}
	}()
	return f()
}

// noteOf keeps what an outing or a watch will want to know without asking a feed.
func noteOf(name string, r conditions.Report, sea *conditions.Sea) session.SeaNote {
	n := session.SeaNote{Ledge: name, FetchedAt: r.Now, Datum: r.Datum, LastLight: r.LastLight}
	if r.SeaSource != nil {
		n.FetchedAt = r.SeaSource.FetchedAt
	}
	for _, h := range r.Hours {
		if !h.Known || h.Hs == nil || h.Tz == 0 || math.IsNaN(float64(h.Freeboard)) {
			continue
		}
		x := session.SeaHour{At: h.At, Hs: float64(*h.Hs), HsLocal: float64(h.HsReach), Tz: float64(h.Tz), Rc: float64(h.Freeboard)}
		if h.Period != nil {
			x.Period = float64(*h.Period)
		}
		if h.SwellFrom != nil {
			x.From = new(float64(*h.SwellFrom))
		}
		n.Hours = append(n.Hours, x)
	}
	for _, e := range r.Extremes {
		n.Turns = append(n.Turns, session.Turn{At: e.At, High: e.Kind == tide.High, Height: float64(e.Height)})
	}
	if sea != nil {
		for _, h := range sea.Hours {
			if h.WaterTempC != nil && !h.At.Before(r.From) {
				n.WaterC = h.WaterTempC
				break
			}
		}
	}
	return n
}

// tripSea looks at a trip's hours again and shows what changed since the plan.
func (a *ask) tripSea(id string) error {
	var t trip.Trip
	var led session.Ledge
	found := false
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) (err error) {
		if t, found, err = tx.LoadTrip(id); err != nil || !found {
			return err
		}
		led, found = c.LedgeNamed(t.Ledge)
		return nil
	}); err != nil {
		return err
	}
	if !found {
		return a.oldPanel()
	}
	l, err := a.look(led, t.Start, t.End)
	if err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		t, found, err := tx.LoadTrip(id)
		if err != nil {
			return err
		}
		if !found {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		next, err := t.Apply(trip.NewSea{Sea: l.tripSea()}, tx.Now())
		if err != nil {
			return a.problem(tx, w, err)
		}
		if err := tx.PutTrip(next); err != nil {
			return err
		}
		if a.r.Place.ID == next.Chat { // asked in private it was seen by one
			if err := sawSea(tx, next, l.report); err != nil {
				return err
			}
		}
		a.tripPanel(tx, c, next, false)
		return a.postConditions(tx, c, w, l, nil)
	})
}

// fillSheet puts on the hand-over sheet what the ledge card and the last conditions answer say.
func (a *ask) fillSheet(tx *session.Tx, o *outing.Outing, led session.Ledge, card ledge.Card) error {
	c, _, err := tx.LoadCrew()
	if err != nil {
		return err
	}
	s := &o.Sheet
	if card.Exact != nil {
		lat, lon := card.Exact.Lat, card.Exact.Lon
		s.Lat, s.Lon = &lat, &lon
	}
	s.WaysOut = strings.Join(card.WaysOut, "; ")
	s.Access, s.Parking = card.Access, card.Parking
	s.Number, s.AskFor = numberOf(c, card), card.Emergency.AskFor
	if card.RescueRing != nil && card.RescueRing.Gone.IsZero() {
		s.Ring = card.RescueRing.Where
	}
	switch card.Signal {
	case ledge.SignalYes, ledge.SignalNo, ledge.SignalPatchy:
		s.Signal = string(card.Signal)
	}
	fillGate(s, card, tx.Now(), o.BackBy)
	if at := card.Exact; at != nil {
		s.LastLight, s.FirstLight = lightAround(*at, o.BackBy, zone(card.Zone))
	}
	n, ok, err := tx.LoadSea(led.Name)
	if err != nil || !ok {
		return err
	}
	now := tx.Now()
	if h, ok := n.Hour(now, now); ok {
		s.SeaHs, s.SeaPeriod, s.SeaAt = h.Hs, h.Period, h.At
		s.SeaHsLater = h.Hs
		for _, x := range n.Hours {
			if x.At.After(now) && x.At.Before(o.BackBy.Add(3*time.Hour)) {
				s.SeaHsLater = max(s.SeaHsLater, x.Hs)
			}
		}
	}
	if t, ok := n.NextTurn(o.BackBy); ok {
		s.NextTide, s.NextTideIsHigh, s.NextTideHeight, s.Datum = t.At, t.High, t.Height, n.Datum
	}
	if card.Exact == nil && !n.LastLight.IsZero() && n.LastLight.Sub(o.BackBy).Abs() < 24*time.Hour {
		s.LastLight = n.LastLight
	}
	s.WaterC = n.WaterC
	return nil
}

// lightAround is the dusk that ends the day of an instant, or that began its night, and the dawn after it; zero where the
// sun keeps no such hours.
func lightAround(at measure.Position, t time.Time, z *time.Location) (dusk, dawn time.Time) {
	day := sky.DateIn(t, z)
	instant := func(d sky.Date, of func(sky.Day) sky.Event) time.Time {
		x, err := sky.SunDayAt(at, d, z)
		if e := of(x); err == nil && e.OK {
			return e.At
		}
		return time.Time{}
	}
	duskOf, dawnOf := func(d sky.Day) sky.Event { return d.CivilDusk }, func(d sky.Day) sky.Event { return d.CivilDawn }
	shift := func(n int) sky.Date { return sky.DateIn(time.Date(day.Year, day.Month, day.Day+n, 12, 0, 0, 0, z), z) }
	if dawn = instant(day, dawnOf); !dawn.IsZero() && t.Before(dawn) {
		return instant(shift(-1), duskOf), dawn
	}
	return instant(day, duskOf), instant(shift(1), dawnOf)
}

// gateAhead is how far the walk-in is looked at: past any back-by time and its delays.
const gateAhead = 30 * time.Hour

// fillGate notes when the predicted tide is over the walk-in next, and until when. A ledge of which that is not known has no such time.
func fillGate(s *outing.Sheet, card ledge.Card, now, backBy time.Time) {
	if card.WalkInGate == nil {
		return
	}
	p, err := tide.Open(card.TideStation)
	if err != nil {
		return // an answer about the tide says so
	}
	for _, wet := range p.Above(*card.WalkInGate, now, backBy.Add(gateAhead)) {
		s.WalkInFloods, s.WalkInDries = wet.From, wet.To
		return
	}
}

// seaFor is the sea a watch is held in, from the last conditions answer; not known when nobody asked.
func (a *ask) seaFor(tx *session.Tx, led session.Ledge, t time.Time) (watch.Sea, error) {
	n, ok, err := tx.LoadSea(led.Name)
	if err != nil || !ok {
		return watch.Sea{}, err
	}
	var out watch.Sea
	if h, ok := n.Hour(t, tx.Now()); ok {
		out = watch.Sea{Known: true, Hs: h.HsLocal, Tz: h.Tz, Rc: h.Rc, Period: h.Period, SwellFrom: h.From}
	}
	if x, ok := n.NextTurn(t); ok {
		out.Making = x.High
	}
	return out, nil
}

// cardOf reads the ledge card a crew stored.
func cardOf(l session.Ledge) (ledge.Card, error) {
	var c ledge.Card
	if err := jsonInto(l.Card, &c); err != nil {
		return c, fmt.Errorf("read the card of a ledge: %w", err)
	}
	c.Name = l.Name
	return c, nil
}

// observations turns stored watches into what the learning takes.
func observations(l session.Ledge) []ledge.Observation {
	var out []ledge.Observation
	for _, o := range l.Observed {
		if o.Hs <= 0 || o.Tz <= 0 || o.Rc <= 0 || o.Minutes <= 0 {
			continue // one that says nothing must not silence the others
		}
		from := fromOf(o.From)
		if o.Report != "" {
			var spans []ledge.Span
			for _, s := range o.Spans {
				spans = append(spans, ledge.Span{Minutes: s.Minutes, Hs: measure.Metres(s.Hs), Tz: measure.Seconds(s.Tz), Rc: measure.Metres(s.Rc), From: fromOf(s.From)})
			}
			out = append(out, ledge.Reported(o.At, o.K, measure.Seconds(o.Period), spans...))
			continue
		}
		out = append(out, ledge.Observation{
			At: o.At, Washes: o.K, Phi: ledge.PhiOf(measure.Seconds(o.Period)),
			Spans: []ledge.Span{{Minutes: o.Minutes, Hs: measure.Metres(o.Hs), Tz: measure.Seconds(o.Tz), Rc: measure.Metres(o.Rc), From: from}},
		})
	}
	return out
}

func fromOf(deg *float64) *measure.From {
	if deg == nil {
		return nil
	}
	return new(measure.From(*deg))
}

// leastWashes is how often water came at least, by those who were there.
func leastWashes(w after.Water) int {
	switch w {
	case after.WaterSome:
		return ledge.ReportedOnce
	case after.WaterOften:
		return ledge.ReportedOften
	}
	return 0
}

// feedWord is why a feed gave nothing, in its own short word; no request and no place is in it.
func feedWord(err error) string {
	var no *feed.NoData
	var bad *feed.BadBody
	var un *feed.Unavailable
	switch {
	case errors.As(err, &no):
		return string(no.Why)
	case errors.As(err, &bad):
		return string(bad.Why)
	case errors.As(err, &un):
		return string(un.Why)
	case errors.Is(err, context.DeadlineExceeded):
		return string(feed.Down)
	}
	return string(feed.Unreadable)
}
