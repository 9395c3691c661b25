package bot

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/picture"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
	"ledgehand/session"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
	"ledgehand/session/watch"
)

// The job "conditions": this ledge, these hours.

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

// look asks the feeds and assesses. It changes nothing and may take seconds: never call it inside a change.
func (a *ask) look(led session.Ledge, from, to time.Time) (*looked, error) {
	card, err := cardOf(led)
	if err != nil {
		return nil, err
	}
	var where feed.WarningPlace
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		where = warningPlace(c, card)
		return nil
	}); err != nil {
		return nil, err
	}
	q := conditions.Question{Card: card, From: from, To: to, Now: a.cause.Now, Zone: zone(card.Zone), Learned: observations(led)}
	ctx, cancel := context.WithTimeout(a.ctx, patience)
	defer cancel()
	a.Sender.Typing(ctx, a.r.Place.ID, a.r.Place.Thread)
	a.askFeeds(ctx, &q, where)
	r, err := conditions.Assess(q)
	if err != nil {
		return nil, fmt.Errorf("assess %q: %w", led.Name, err)
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
	l := &looked{report: r, card: card, note: noteOf(led.Name, kept, q.Sea)}
	for _, h := range r.Hours {
		l.dark = l.dark || h.Dark
	}
	return l, nil
}

// askFeeds fills in what the world outside says. Only the sea anchor goes out, never the ledge (I8).
func (a *ask) askFeeds(ctx context.Context, q *conditions.Question, where feed.WarningPlace) {
	if q.Card.SeaAnchor == nil {
		q.SeaWhy, q.WeatherWhy = "the ledge has no place at sea", "the ledge has no place at sea"
		q.Warnings = conditions.Warnings{State: conditions.WarningsUnknown, Why: q.SeaWhy}
		return
	}
	anchor, err := feed.Snap(*q.Card.SeaAnchor)
	if err != nil {
		q.SeaWhy, q.WeatherWhy = "the ledge has no place at sea", "the ledge has no place at sea"
		q.Warnings = conditions.Warnings{State: conditions.WarningsUnknown, Why: q.SeaWhy}
		return
	}
	type answer struct {
		sea     *conditions.Sea
		weather *conditions.Weather
		err     error
	}
	seas, weathers, warnings := make(chan answer, 1), make(chan answer, 1), make(chan conditions.Warnings, 1)
	now := q.Now
	go func() { s, err := a.Seer.Sea(ctx, anchor, now); seas <- answer{sea: s, err: err} }()
	go func() { w, err := a.Seer.Weather(ctx, anchor, now); weathers <- answer{weather: w, err: err} }()
	go func() { warnings <- a.Seer.Warnings(ctx, where, now) }()
	s, w := <-seas, <-weathers
	q.Warnings = <-warnings
	if s.err != nil {
		a.Log.Warn("sea forecast not had", "err", s.err)
		q.SeaWhy = feedWord(s.err)
	}
	if w.err != nil {
		a.Log.Warn("weather forecast not had", "err", w.err)
		q.WeatherWhy = feedWord(w.err)
	}
	q.Sea, q.Weather = s.sea, w.weather
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
			x.From = float64(*h.SwellFrom)
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

// conditions is /conditions [LEDGE] [WHEN], and the buttons that ask for other hours.
func (a *ask) conditions(args string) error {
	var led session.Ledge
	var from, to time.Time
	var refusal string
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		var ok bool
		var rest string
		if i, f, t, is := unpackWindow(args); is {
			if i >= len(c.Ledges) {
				refusal = w.T("p_old_panel")
				return nil
			}
			led, from, to = c.Ledges[i], f, t
			return nil
		}
		led, rest, ok = c.LedgeIn(args)
		if !ok && len(c.Ledges) == 1 {
			led, rest, ok = c.Ledges[0], args, true
		}
		switch {
		case len(c.Ledges) == 0:
			refusal = w.T("no_ledges")
		case !ok && strings.TrimSpace(args) == "":
			refusal = w.T("cond_which", "ledges", w.Names(ledgeNames(c)))
		case !ok:
			refusal = w.T("ledge_unknown", "said", wording.Clean(args, 40), "ledges", w.Names(ledgeNames(c)))
		}
		if refusal != "" {
			return nil
		}
		card, err := cardOf(led)
		if err != nil {
			return err
		}
		z := zone(card.Zone)
		if strings.TrimSpace(rest) == "" {
			from, to = usualHours(card, tx.Now(), z)
			return nil
		}
		win, err := command.When(rest, tx.Now(), z, order(c))
		var amb *command.Ambiguous
		if errors.As(err, &amb) && amb.Question == command.AskUntil && !win.Start.IsZero() {
			err = nil // "sat 5am": from then on, for as long as people usually stay
		}
		if err != nil || win.Start.IsZero() || strings.TrimSpace(win.Rest) != "" {
			refusal = w.In(card.Zone).T("cond_when", "said", wording.Clean(rest, 40), "ledge", led.Name)
			return nil
		}
		from, to = win.Start, win.End
		if to.IsZero() {
			to = from.Add(usualStay)
		}
		return nil
	}); err != nil {
		return err
	}
	if refusal != "" {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.reply(tx, refusal)
			return nil
		})
	}
	return a.tellConditions(led, from, to)
}

const usualStay = 5 * time.Hour

// usualHours are the next hours of light: from now if there is time left today, else from first light tomorrow.
func usualHours(card ledge.Card, now time.Time, z *time.Location) (from, to time.Time) {
	from = now.Truncate(time.Hour)
	at := card.Exact
	if at == nil {
		at = card.SeaAnchor
	}
	if at == nil {
		return from, from.Add(usualStay)
	}
	for day := range 2 {
		d, err := sky.DayAt(*at, sky.DateIn(now.Add(time.Duration(day)*24*time.Hour), z), z)
		if err != nil || !d.CivilDawn.OK || !d.CivilDusk.OK {
			break
		}
		start := from
		if dawn := d.CivilDawn.At.Truncate(time.Hour).Add(time.Hour); start.Before(dawn) {
			start = dawn
		}
		if end := d.CivilDusk.At.Truncate(time.Hour); end.Sub(start) >= time.Hour {
			if s := start.Add(usualStay); s.Before(end) {
				end = s
			}
			return start, end
		}
	}
	return from, from.Add(usualStay)
}

func (a *ask) tellConditions(led session.Ledge, from, to time.Time) error {
	if to.Sub(from) > conditions.MostHours*time.Hour {
		to = from.Add(conditions.MostHours * time.Hour)
	}
	l, err := a.look(led, from, to)
	if err != nil {
		return err
	}
	others, err := a.otherLedges(led, from, to)
	if err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		return a.postConditions(tx, c, w, l, others)
	})
}

// otherLedge is what another of the crew's ledges gets on the same hours.
type otherLedge struct {
	name    string
	verdict ledge.Verdict
}

// otherLedges looks at up to three more ledges of the crew; they share the feeds' cache. It is said as a fact, without ranking.
func (a *ask) otherLedges(but session.Ledge, from, to time.Time) ([]otherLedge, error) {
	var ledges []session.Ledge
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		ledges = slices.DeleteFunc(slices.Clone(c.Ledges), func(l session.Ledge) bool { return l.Name == but.Name })
		return nil
	}); err != nil {
		return nil, err
	}
	var out []otherLedge
	for _, l := range ledges[:min(3, len(ledges))] {
		x, err := a.look(l, from, to)
		if err != nil {
			return nil, err
		}
		out = append(out, otherLedge{l.Name, x.report.Verdict})
	}
	return out, nil
}

func (a *ask) postConditions(tx *session.Tx, c session.Crew, w wording.Words, l *looked, others []otherLedge) error {
	if err := tx.PutSea(l.note); err != nil {
		return err
	}
	w = w.In(l.card.Zone)
	text := w.Conditions(l.report)
	for _, o := range others {
		text += "\n" + w.T("alt_verdict", "ledge", o.name, "verdict", wording.HTML(w.Verdict(string(o.verdict))))
	}
	m := chat.Message{To: a.r.Place.ID, Thread: a.r.Place.Thread, Text: text}
	i := slices.IndexFunc(c.Ledges, func(x session.Ledge) bool { return x.Name == l.report.Ledge })
	if i >= 0 {
		r := ref(tx.Crew, "")
		from, to := l.report.From, l.report.To
		m.Buttons = [][]chat.Button{{
			button(w.T("b_why"), actWhy, r, packWindow(i, from, to)),
			button(w.T("b_later"), actConditions, r, packWindow(i, to, to.Add(to.Sub(from)))),
		}}
	}
	if png, err := picture.PNG(chartOf(w, l)); err != nil {
		a.Log.Warn("no picture", "err", err) // the words stand alone
	} else {
		m.Picture = &chat.Picture{PNG: png, Name: "conditions.png", Alt: wording.Plain(w.T("pic_alt", "ledge", l.report.Ledge))}
	}
	a.post(tx, "", session.Slow, m)
	return nil
}

// why is the longer story behind an answer.
func (a *ask) why(arg string) error {
	i, from, to, ok := unpackWindow(arg)
	var led session.Ledge
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if ok = ok && i < len(c.Ledges); ok {
			led = c.Ledges[i]
		}
		return nil
	}); err != nil {
		return err
	}
	if !ok {
		return a.oldPanel()
	}
	l, err := a.look(led, from, to)
	if err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.reply(tx, w.In(l.card.Zone).Why(l.report))
		return nil
	})
}

// packWindow puts a ledge and hours into a button: the ledge's place in the crew's list, minutes since 1970.
func packWindow(i int, from, to time.Time) string {
	return "#" + strconv.Itoa(i) + "." + strconv.FormatInt(from.Unix()/60, 36) + "." + strconv.FormatInt(to.Unix()/60, 36)
}

func unpackWindow(s string) (i int, from, to time.Time, ok bool) {
	p := strings.Split(strings.TrimPrefix(s, "#"), ".")
	if !strings.HasPrefix(s, "#") || len(p) != 3 {
		return 0, from, to, false
	}
	i, err := strconv.Atoi(p[0])
	f, err1 := strconv.ParseInt(p[1], 36, 64)
	t, err2 := strconv.ParseInt(p[2], 36, 64)
	if err != nil || err1 != nil || err2 != nil || i < 0 || t <= f || t-f > 60*conditions.MostHours {
		return 0, from, to, false
	}
	return i, time.Unix(f*60, 0).UTC(), time.Unix(t*60, 0).UTC(), true
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
		a.tripPanel(tx, w, next, false)
		return a.postConditions(tx, c, w, l, nil)
	})
}

// fillSheet puts on the hand-over sheet what the ledge card and the last conditions answer say.
func (a *ask) fillSheet(tx *session.Tx, o *outing.Outing, led session.Ledge, card ledge.Card) error {
	s := &o.Sheet
	if card.Exact != nil {
		lat, lon := card.Exact.Lat, card.Exact.Lon
		s.Lat, s.Lon = &lat, &lon
	}
	s.WaysOut = strings.Join(card.WaysOut, "; ")
	s.Parking = card.Parking
	s.Number, s.AskFor = card.Emergency.Number, card.Emergency.AskFor
	if card.RescueRing != nil {
		s.Ring = card.RescueRing.Where
	}
	switch card.Signal {
	case ledge.SignalYes, ledge.SignalNo, ledge.SignalPatchy:
		s.Signal = string(card.Signal)
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
	if at := card.Exact; at != nil {
		if d, err := sky.DayAt(*at, sky.DateIn(o.BackBy, zone(card.Zone)), zone(card.Zone)); err == nil && d.CivilDusk.OK {
			s.LastLight = d.CivilDusk.At
		}
	} else if !n.LastLight.IsZero() && n.LastLight.Sub(o.BackBy).Abs() < 24*time.Hour {
		s.LastLight = n.LastLight
	}
	s.WaterC = n.WaterC
	return nil
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

// observations turns stored watches into what the learning takes. Swell counts vary more than chance, because
// waves come in sets, so each says less than it seems.
func observations(l session.Ledge) []ledge.Observation {
	var out []ledge.Observation
	for _, o := range l.Observed {
		if o.Hs <= 0 || o.Tz <= 0 || o.Rc <= 0 || o.Minutes <= 0 {
			continue // one that says nothing must not silence the others
		}
		from := measure.From(o.From)
		out = append(out, ledge.Observation{
			At: o.At, Washes: o.K, Phi: ledge.PhiSwell,
			Spans: []ledge.Span{{Minutes: o.Minutes, Hs: measure.Metres(o.Hs), Tz: measure.Seconds(o.Tz), Rc: measure.Metres(o.Rc), From: &from}},
		})
	}
	return out
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
