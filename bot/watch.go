package bot

import (
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
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
			again, err := d.tideSince(tx, c, x)
			d.lesser("look at the tide", err)
			look, err := lookOf(tx, x, again)
			if err != nil {
				return err
			}
			m.Text = w.WatchResult(x, look)
			if err := d.learn(tx, x); err != nil {
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

// lookOf works out what a watch can and cannot show. again is when the water will stand otherwise, as far as the tide tells.
func lookOf(tx *session.Tx, x watch.Watch, again time.Time) (wording.Look, error) {
	open, err := tx.OpenOutings()
	if err != nil {
		return wording.Look{}, err
	}
	stay := usualStay // of whom we do not know better
	for _, o := range open {
		if m, in := o.Member(x.By); in && m.OffAt.IsZero() && o.BackBy.Sub(x.EndedAt) >= time.Hour {
			stay = o.BackBy.Sub(x.EndedAt)
		}
	}
	return lookFor(x, stay, again, tx.Now())
}

// lookFor is lookOf for somebody who stays so long.
func lookFor(x watch.Watch, stay time.Duration, again, now time.Time) (wording.Look, error) {
	min := x.Watched(x.EndedAt).Minutes()
	in, err := ledge.InferWatch(ledge.WatchInput{Washes: len(x.Waves), Minutes: max(min, 1.0/60), ThenMinutes: 60})
	if err != nil {
		return wording.Look{}, err
	}
	l := wording.Look{UpperPerH: in.Upper95, TideMaking: x.Sea.Making, Again: again, Late: now.Sub(x.EndedAt)}
	if l.Again.IsZero() {
		l.Again = x.EndedAt.Add(2 * time.Hour).Truncate(15 * time.Minute)
	}
	if !x.Sea.Known || !(x.Sea.Tz > 0) {
		return l, nil
	}
	l.Waves = int(min*60/x.Sea.Tz + 0.5)
	sets := setsEvery(x)
	l.SetsMinutes, l.LongPeriod = sets.Minutes(), sets > x.Watched(x.EndedAt)
	l.Stay = stay.Round(time.Hour)
	if n := min * 60 / x.Sea.Tz; n >= 1 {
		few, err := wave.Rayleigh().LargestOf(n)
		if err != nil {
			return wording.Look{}, err
		}
		many, err := wave.Rayleigh().LargestOf(l.Stay.Seconds() / x.Sea.Tz)
		if err != nil {
			return wording.Look{}, err
		}
		l.BiggestHere, l.BiggestStay = few.MostProbable, many.MostProbable
	}
	return l, nil
}

// setsEvery is the mean time between big sets in the sea of a watch; 0 where it is not known.
func setsEvery(x watch.Watch) time.Duration {
	if !x.Sea.Known {
		return 0
	}
	sets, err := ledge.SetsEvery(measure.Seconds(x.Sea.Tz), measure.Seconds(x.Sea.Period))
	if err != nil {
		return 0 // a sea without a period
	}
	return sets
}

// longWatch is the least that a watch lasts where sets come rarer than the usual one is long.
const longWatch = 30 * time.Minute

// longer is how long a watch should last to meet a big set: 0 when it is long enough, or the sea is not known.
func longer(x watch.Watch) time.Duration {
	sets := setsEvery(x)
	if sets <= x.Length {
		return 0
	}
	to := max(longWatch, (sets + 5*time.Minute - 1).Truncate(5*time.Minute))
	if to = min(to, watch.Longest); to <= x.Length {
		return 0
	}
	return to
}

// learn keeps a finished watch with its ledge: it is what makes the next answer better. A watch in an unknown sea
// teaches nothing and is not kept as if it did, nor one of which nothing was heard. The crew is read anew: what is told
// before may have changed it.
func (d *Desk) learn(tx *session.Tx, x watch.Watch) error {
	watched := x.Watched(x.EndedAt)
	if !x.Sea.Known || watched < time.Minute {
		return nil
	}
	c, _, err := tx.LoadCrew()
	if err != nil {
		return err
	}
	l, ok := c.LedgeNamed(x.Ledge)
	if !ok {
		return nil
	}
	l.Observed = append(slices.Clone(l.Observed), session.Observed{
		At: x.EndedAt, By: x.ByName, K: len(x.Waves), Minutes: watched.Minutes(),
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
				return a.watchAgainAsked(tx, w.In(x.Zone), x, args)
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
		if making, ok := makingAt(card, tx.Now()); ok {
			x.Sea.Making = making
		}
		if x.Outing, err = a.outOn(tx, c, led); err != nil {
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

// outOn is the outing somebody is out on at a ledge, "" for none.
func (a *ask) outOn(tx *session.Tx, c session.Crew, led session.Ledge) (string, error) {
	open, err := tx.OpenOutings()
	if err != nil {
		return "", err
	}
	for _, o := range open {
		if l, ok := c.LedgeNamed(o.Ledge); ok && l.Name == led.Name && a.mine(o) {
			return o.ID, nil
		}
	}
	return "", nil
}

// watchAgainAsked is /watch of somebody who keeps one already: a longer time makes it longer, else it is shown again.
func (a *ask) watchAgainAsked(tx *session.Tx, w wording.Words, x watch.Watch, args string) error {
	words := strings.Fields(args)
	for n := min(len(words), 4); n > 0; n-- { // "Anvil 30", "30 min"
		to, err := command.Span(strings.Join(words[len(words)-n:], " "))
		if err != nil || to == x.Length {
			continue
		}
		next, err := x.Lengthen(a.r.From.ID, to)
		if err != nil {
			return a.problem(tx, w, err)
		}
		if err := tx.PutWatch(next); err != nil {
			return err
		}
		a.watchPanel(tx, w, next)
		x = next
		break
	}
	a.answer(tx, w.WatchStarted(x, setsEvery(x), longer(x)), watchButtons(w, x)...)
	return nil
}

func (d *Desk) watchPanel(tx *session.Tx, w wording.Words, x watch.Watch) {
	m := chat.Message{To: x.Chat, Thread: x.Thread, Panel: "watch/" + x.ID, Text: w.WatchStarted(x, setsEvery(x), longer(x)), Buttons: watchButtons(w, x)}
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
	rows := [][]chat.Button{
		{button(w.T("b_wave"), actWave, r, "")},
		{button(w.T("b_unwave"), actUnwave, r, ""), button(w.T("b_stop_watch"), actStopWatch, r, "")},
	}
	if to := longer(x); to > 0 {
		min := int(to.Minutes())
		rows = append(rows, []chat.Button{button(w.T("b_watch_longer", "min", min), actLonger, r, strconv.Itoa(min))})
	}
	return rows
}

// onWatch changes a running watch.
func (a *ask) onWatch(crew session.CrewID, id string, change func(x watch.Watch, now time.Time) (watch.Watch, []watch.Effect, error)) error {
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		x, ok, err := tx.LoadWatch(id)
		if err != nil {
			return err
		}
		if !ok {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		w = w.In(x.Zone)
		next, effects, err := change(x, tx.Now())
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

// tappedWatch is a tap on the panel of a watch.
func (a *ask) tappedWatch(crew session.CrewID, id string, act, arg string) error {
	by := a.r.From.ID
	return a.onWatch(crew, id, func(x watch.Watch, now time.Time) (next watch.Watch, effects []watch.Effect, err error) {
		switch act {
		case actWave:
			next, err = x.Wave(by, now)
		case actUnwave:
			next, err = x.Unwave(by)
		case actLonger:
			to, unread := command.Span(arg)
			if unread != nil {
				return x, nil, wording.ErrOldPanel
			}
			if next, err = x.Lengthen(by, to); errors.Is(err, watch.ErrShorter) {
				next, err = x, nil // tapped twice, or made longer still meanwhile
			}
		case actStopWatch:
			next, effects, err = x.Stop(by, now)
		}
		return next, effects, err
	})
}

// wave is /wave for those who cannot tap: one, "/wave 3" for several, "/wave -1" to take one back.
func (a *ask) wave(args string) error {
	n := 1
	if said := strings.TrimSpace(strings.ReplaceAll(args, "−", "-")); said != "" {
		var err error
		if n, err = strconv.Atoi(said); err != nil || n == 0 {
			return a.say("wave_unread", "said", wording.Clean(said, 40))
		}
	}
	return a.typedWatch(func(x watch.Watch, now time.Time) (watch.Watch, []watch.Effect, error) {
		next, err := x.Count(a.r.From.ID, n, now)
		return next, nil, err
	})
}

// stopWatch is /stopwatch.
func (a *ask) stopWatch() error {
	return a.typedWatch(func(x watch.Watch, now time.Time) (watch.Watch, []watch.Effect, error) {
		return x.Stop(a.r.From.ID, now)
	})
}

// typedWatch changes the watch that somebody keeps, wherever they keep it.
func (a *ask) typedWatch(change func(x watch.Watch, now time.Time) (watch.Watch, []watch.Effect, error)) error {
	crews := []session.CrewID{a.crew}
	if !a.r.Place.Group {
		p, err := a.person(a.r.From.ID)
		if err != nil {
			return err
		}
		crews = append(crews, crewsOf(p)...)
	}
	for _, crew := range crews {
		id := ""
		if err := a.Session.View(a.ctx, crew, a.cause.Now, func(tx *session.Tx) error {
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
		if id != "" {
			return a.onWatch(crew, id, change)
		}
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.answer(tx, w.T("no_watch"))
		return nil
	})
}
