package bot

import (
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/session"
	"ledgehand/session/watch"
)

// The watch before going down: timer, prompts, count, and what the count is worth.

// WatchDue puts what became due of a watch into messages (session.Herald).
func (d *Desk) WatchDue(tx *session.Tx, x watch.Watch, effects []watch.Effect) error {
	c, _, err := tx.LoadCrew()
	if err != nil {
		return err
	}
	return d.sayWatch(tx, c, x, effects)
}

// watchWords are for where a watch is kept.
func watchWords(c session.Crew, x watch.Watch) wording.Words {
	return wordsIn(c, x.Language).In(x.Zone)
}

func (d *Desk) sayWatch(tx *session.Tx, c session.Crew, x watch.Watch, effects []watch.Effect) error {
	w := watchWords(c, x)
	for _, e := range effects {
		m := chat.Message{To: x.Chat, Thread: x.Thread}
		switch e.Kind {
		case watch.SayPrompt:
			m.Text, m.Buttons = w.WatchPrompt(x, e.N), watchButtons(w, x)
		case watch.SayResult:
			look, err := lookOf(x)
			if err != nil {
				return err
			}
			m.Text = w.WatchResult(x, look)
			if err := d.learn(tx, c, x); err != nil {
				return err
			}
			if err := heard(tx, x); err != nil {
				return err
			}
			d.watchPanel(tx, w, x)
		}
		say(tx, session.Entry{ID: "watch/" + x.ID + "/" + string(e.Kind) + string(rune('0'+e.N)), Lane: session.Urgent}, m)
	}
	return nil
}

// lookOf works out what a watch can and cannot show.
func lookOf(x watch.Watch) (wording.Look, error) {
	min := x.Watched(x.EndedAt).Minutes()
	in, err := ledge.InferWatch(ledge.WatchInput{Washes: len(x.Waves), Minutes: max(min, 1.0/60), ThenMinutes: 60})
	if err != nil {
		return wording.Look{}, err
	}
	l := wording.Look{UpperPerH: in.Upper95, TideMaking: x.Sea.Making, Again: x.EndedAt.Add(2 * time.Hour).Truncate(15 * time.Minute)}
	if x.Sea.Known && x.Sea.Tz > 0 {
		l.Waves = int(min*60/x.Sea.Tz + 0.5)
		l.LongPeriod = x.Sea.Period >= 12
		sets, err := ledge.SetsEvery(measure.Seconds(x.Sea.Tz), measure.Seconds(x.Sea.Period))
		if err != nil {
			return wording.Look{}, err
		}
		l.SetsMinutes = sets.Minutes()
	}
	return l, nil
}

// learn keeps a finished watch with its ledge: it is what makes the next answer better. A watch in an unknown sea
// teaches nothing and is not kept as if it did.
func (d *Desk) learn(tx *session.Tx, c session.Crew, x watch.Watch) error {
	if !x.Sea.Known {
		return nil
	}
	l, ok := c.LedgeNamed(x.Ledge)
	if !ok {
		return nil
	}
	l.Observed = append(l.Observed, session.Observed{
		At: x.EndedAt, By: x.ByName, K: len(x.Waves), Minutes: x.Watched(x.EndedAt).Minutes(),
		Hs: x.Sea.Hs, Tz: x.Sea.Tz, Rc: x.Sea.Rc, From: x.Sea.SwellFrom, Period: x.Sea.Period,
	})
	l.Observed = l.Observed[max(0, len(l.Observed)-mostWatches):]
	c.PutLedge(l)
	return tx.PutCrew(c)
}

// heard notes the end of the watch on the outing of whoever kept it.
func heard(tx *session.Tx, x watch.Watch) error {
	what := "watch_dry"
	if len(x.Waves) > 0 {
		what = "watch_wet"
	}
	a := &ask{r: chat.Request{From: chat.Person{ID: x.By}}}
	return a.signOfLife(tx, what)
}

// watch is /watch [LEDGE] [MINUTES].
func (a *ask) watch(args string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		running, err := tx.RunningWatches()
		if err != nil {
			return err
		}
		for _, x := range running {
			if x.By == a.r.From.ID {
				a.answer(tx, w.WatchStarted(x, tx.Now()), watchButtons(w, x)...)
				return nil
			}
		}
		led, rest, ok := c.LedgeIn(args)
		if !ok {
			open, err := tx.OpenOutings()
			if err != nil {
				return err
			}
			for _, o := range open {
				if a.mine(o) {
					if led, ok = c.LedgeNamed(o.Ledge); ok {
						break
					}
				}
			}
		}
		if !ok && len(c.Ledges) == 1 {
			led, ok = c.Ledges[0], true
		}
		if !ok {
			a.answer(tx, w.T("watch_which", "ledges", w.Names(ledgeNames(c))))
			return nil
		}
		card, err := cardOf(led)
		if err != nil {
			return err
		}
		w = w.In(card.Zone)
		x := watch.Watch{
			ID: recordID(a.cause.ID), Crew: string(tx.Crew), Chat: a.r.Place.ID, Thread: a.r.Place.Thread,
			Ledge: led.Name, Zone: card.Zone, By: a.r.From.ID, ByName: a.name(), Length: watch.Usual,
		}
		if !a.r.Place.Group {
			x.Language = a.reads
		}
		if strings.TrimSpace(rest) != "" {
			if x.Length, err = command.Span(rest); err != nil {
				a.answer(tx, w.T("watch_unread", "said", wording.Clean(rest, 40)))
				return nil
			}
		}
		if x.Sea, err = a.seaFor(tx, led, tx.Now()); err != nil {
			return err
		}
		if x, err = watch.New(x, tx.Now()); err != nil {
			return a.problem(tx, w, err)
		}
		if err := tx.PutWatch(x); err != nil {
			return err
		}
		if err := a.signOfLife(tx, "watch_start"); err != nil {
			return err
		}
		a.watchPanel(tx, w, x)
		return nil
	})
}

func (d *Desk) watchPanel(tx *session.Tx, w wording.Words, x watch.Watch) {
	m := chat.Message{To: x.Chat, Thread: x.Thread, Panel: "watch/" + x.ID, Text: w.WatchStarted(x, tx.Now()), Buttons: watchButtons(w, x)}
	if !x.EndedAt.IsZero() {
		m.Text = w.In(x.Zone).T("watch_over", "ledge", x.Ledge, "count", wording.HTML(w.T("watch_count", "n", len(x.Waves))))
	}
	say(tx, session.Entry{Lane: session.Urgent}, m)
}

func watchButtons(w wording.Words, x watch.Watch) [][]chat.Button {
	if !x.EndedAt.IsZero() {
		return nil
	}
	r := ref(session.CrewID(x.Crew), x.ID)
	return [][]chat.Button{
		{button(w.T("b_wave"), actWave, r, "")},
		{button(w.T("b_unwave"), actUnwave, r, ""), button(w.T("b_stop_watch"), actStopWatch, r, "")},
	}
}

// onWatch changes a running watch.
func (a *ask) onWatch(crew session.CrewID, id string, act string) error {
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		x, ok, err := tx.LoadWatch(id)
		if err != nil {
			return err
		}
		if !ok {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		w = w.In(x.Zone)
		var effects []watch.Effect
		next := x
		switch act {
		case actWave:
			next, err = x.Wave(a.r.From.ID, tx.Now())
		case actUnwave:
			next, err = x.Unwave(a.r.From.ID)
		case actStopWatch:
			next, effects, err = x.Stop(a.r.From.ID, tx.Now())
		}
		if err != nil {
			return a.problem(tx, w, err)
		}
		if err := tx.PutWatch(next); err != nil {
			return err
		}
		a.toast = w.T("watch_count", "n", len(next.Waves))
		if effects == nil {
			a.watchPanel(tx, watchWords(c, next), next)
		}
		// The crew was changed by PutWatch: what a result teaches must be added to that, not to the older copy.
		if c, _, err = tx.LoadCrew(); err != nil {
			return err
		}
		return a.sayWatch(tx, c, next, effects)
	})
}

// typedWatch is /wave and /stopwatch for those who cannot tap.
func (a *ask) typedWatch(act string) error {
	var id string
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		xs, err := tx.RunningWatches()
		for _, x := range xs {
			if x.By == a.r.From.ID {
				id = x.ID
			}
		}
		return err
	}); err != nil {
		return err
	}
	if id == "" {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.answer(tx, w.T("no_watch"))
			return nil
		})
	}
	return a.onWatch(a.crew, id, act)
}
