package bot

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/session"
	"ledgehand/session/lookout"
	"ledgehand/session/outing"
	"ledgehand/session/watch"
)

// A little berley, often: a quiet line to one who asked for it, while they are out. Nobody else is told anything, and it is
// silent as soon as something matters more.

// ladle is /ladle every 10 min, /ladle off.
func (a *ask) ladle(args string) error {
	fs, err := a.ownOutings(a.mine)
	if err != nil {
		return err
	}
	line := strings.ToLower(strings.TrimSpace(args))
	off := slices.Contains([]string{"off", "stop", "no", "fin", "parar"}, line)
	var every time.Duration
	if !off {
		for _, p := range []string{"every ", "each ", "cada "} {
			line = strings.TrimPrefix(line, p)
		}
		every, err = command.Span(line)
		if line == "" && len(fs) == 0 {
			return a.say("ladle_none")
		}
		if err != nil || every < lookout.LadleLeast || every > lookout.LadleMost {
			return a.say("ladle_unread")
		}
	}
	if len(fs) == 0 {
		if off {
			return a.say("ladle_none")
		}
		return a.say("not_out")
	}
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	return a.doIn(fs[0].crew, a.cause, func(tx *session.Tx, c session.Crew, _ wording.Words) error {
		o, found, err := tx.LoadOuting(fs[0].o.ID)
		if err != nil {
			return err
		}
		w := a.words(c).In(o.Zone)
		i := slices.IndexFunc(o.People, func(m outing.Member) bool { return m.ID == a.r.From.ID })
		if !found || i < 0 {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		of := ladleOf(o, i)
		if off {
			l, found, err := tx.LoadLookout(lookout.Lookout{Kind: lookout.Ladle, Of: of}.ID())
			if err != nil {
				return err
			}
			if !found || l.NextLook().IsZero() {
				a.reply(tx, w.T("ladle_none"))
				return nil
			}
			tx.Unsay(ladleEntry(of))
			a.reply(tx, w.T("ladle_off"))
			return tx.PutLookout(l.Ended())
		}
		switch m := o.People[i]; {
		case !p.Private:
			a.reply(tx, w.T("ladle_private"))
			return nil
		case o.Sheet.Signal == string(ledge.SignalNo):
			a.reply(tx, w.T("ladle_no_signal", "ledge", o.Ledge))
			return nil
		case !m.OffAt.IsZero() || !ladling(o, tx.Now()):
			a.reply(tx, w.T("ladle_late", "ledge", o.Ledge))
			return nil
		}
		a.reply(tx, w.LadleSet(every, tx.Now()))
		return tx.PutLookout(lookout.ForLadle(of, every, tx.Now()))
	})
}

// ladleOf names one of those of an outing by their place in it: no number of theirs lies in another record.
func ladleOf(o outing.Outing, i int) string { return fmt.Sprintf("%s-%d", o.ID, i) }

// ladleEntry is the one message of a timer that can wait: a newer takes its place.
func ladleEntry(of string) string { return "ladle/" + of }

// ladling says whether an outing is as it should be: nobody late, nobody in the water, nobody alarmed.
func ladling(o outing.Outing, now time.Time) bool {
	_, fell := o.LastFall()
	return !o.Closed() && now.Before(o.BackBy) && !fell && len(o.Alarmed()) == 0
}

// ladler is whose timer it is.
func ladler(tx *session.Tx, of string) (o outing.Outing, m outing.Member, ok bool, err error) {
	id, at, _ := strings.Cut(of, "-")
	if o, ok, err = tx.LoadOuting(id); err != nil || !ok {
		return o, m, false, err
	}
	i, err := strconv.Atoi(at)
	if err != nil || i < 0 || i >= len(o.People) || o.People[i].ID <= 0 {
		return o, m, false, nil
	}
	return o, o.People[i], true, nil
}

// lookToLadle is one beat of a timer.
func (a *ask) lookToLadle(of string) error {
	var p session.Person
	if err := a.view(func(tx *session.Tx, _ session.Crew, _ wording.Words) error {
		_, m, ok, err := ladler(tx, of)
		if err != nil || !ok {
			return err
		}
		p, err = a.person(m.ID)
		return err
	}); err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, _ wording.Words) error {
		o, m, ok, err := ladler(tx, of)
		if err != nil {
			return err
		}
		if !ok || !p.Private || p.ID != m.ID || !ladling(o, tx.Now()) || !m.OffAt.IsZero() || o.Sheet.Signal == string(ledge.SignalNo) {
			return a.endLookout(tx, lookout.Ladle, of)
		}
		l, found, err := tx.LoadLookout(lookout.Lookout{Kind: lookout.Ladle, Of: of}.ID())
		if err != nil || !found || l.NextLook().IsZero() {
			return err
		}
		if o.BackBy.Sub(tx.Now()) < noPromptBefore { // they are packing; with more time it goes on
			return nil
		}
		running, err := tx.RunningWatches()
		if err != nil || slices.ContainsFunc(running, func(x watch.Watch) bool { return x.By == m.ID }) {
			return err // they look at the water
		}
		w := wordsIn(c, p.Language).In(o.Zone)
		a.post(tx, ladleEntry(of), session.Slow, chat.Message{To: p.ID, Quiet: true, Text: w.T("ladle_now", "at", w.Clock(l.NextLook()))})
		return nil
	})
}
