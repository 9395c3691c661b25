package bot

import (
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/picture"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
	"ledgehand/session"
)

// The job "conditions": this ledge, these hours.

// conditions is /conditions [LEDGE] [WHEN], and the buttons that ask for other hours.
func (a *ask) conditions(args string) error {
	var led session.Ledge
	var from, to time.Time
	var refusal string
	var choice [][]chat.Button
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
		led, rest, ok = c.LedgeMeant(args)
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
		place, err := spotOfLedge(c, led)
		if err != nil {
			return err
		}
		win, err := place.when(rest, tx.Now(), order(c))
		win.End = endOf(win)
		var amb *command.Ambiguous
		if errors.As(err, &amb) && amb.Question == command.AskUntil && !win.Start.IsZero() {
			err = nil // "sat 5am": from then on, for as long as people usually stay
		}
		if errors.As(err, &amb) && strings.TrimSpace(win.Rest) == "" {
			w := w.In(card.Zone)
			if choice = conditionsButtons(w, tx.Crew, place.ledge, amb, tx.Now()); choice != nil {
				refusal = w.WhenAsk(string(amb.Question), amb.Said, amb.Candidates, tx.Now())
				return nil
			}
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
			a.reply(tx, refusal, choice...)
			return nil
		})
	}
	return a.tellConditions(led, from, to)
}

const usualStay = 5 * time.Hour

// usualHours are the next hours of light: from now if there is time left today, else from first light tomorrow.
func usualHours(card ledge.Card, now time.Time, z *time.Location) (from, to time.Time) {
	from = now.Truncate(time.Hour)
	at := card.Place()
	if at == nil {
		return from, from.Add(usualStay)
	}
	for day := range 2 {
		d, err := sky.SunDayAt(*at, sky.DateIn(now.Add(time.Duration(day)*24*time.Hour), z), z)
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
		_, r, err := a.assess(l, from, to)
		if err != nil {
			return nil, err
		}
		out = append(out, otherLedge{l.Name, r.Verdict})
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
	q, r, err := a.assess(led, from, to)
	if err != nil {
		return err
	}
	if at := q.Card.Place(); at != nil && r.Station != "" {
		r.TideDoubts = tide.DoubtsOf(*at, q.Card.TideStation)
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		w = w.In(q.Card.Zone)
		text := w.Why(r) + "\n" + w.Learned(conditions.Taught(q.Card, q.Learned, tx.Now()))
		if l, ok := c.LedgeNamed(led.Name); ok {
			if near := a.nearOf(w, l, tx.Now(), mostNearShown); near != "" {
				text = near + "\n" + text
			}
		}
		a.reply(tx, text)
		return nil
	})
}

// packWindow puts a ledge and hours into a button: the ledge's place in the crew's list, minutes since 1970.
func packWindow(i int, from, to time.Time) string {
	return "#" + strconv.Itoa(i) + "." + minutes36(from) + "." + minutes36(to)
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
