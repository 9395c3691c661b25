package bot

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/session"
	"ledgehand/session/lookout"
	"ledgehand/session/outing"
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
		case m.Chat == 0:
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

// lookToLadle is one beat of a timer.
func (a *ask) lookToLadle(of string) error {
	return a.do(func(tx *session.Tx, c session.Crew, _ wording.Words) error {
		id, at, _ := strings.Cut(of, "-")
		o, found, err := tx.LoadOuting(id)
		if err != nil {
			return err
		}
		i := 0
		if _, err := fmt.Sscan(at, &i); err != nil || !found || i < 0 || i >= len(o.People) || !ladling(o, tx.Now()) {
			return a.endLookout(tx, lookout.Ladle, of)
		}
		m := o.People[i]
		if !m.OffAt.IsZero() || m.Chat == 0 || o.Sheet.Signal == string(ledge.SignalNo) {
			return a.endLookout(tx, lookout.Ladle, of)
		}
		l, found, err := tx.LoadLookout(lookout.Lookout{Kind: lookout.Ladle, Of: of}.ID())
		if err != nil || !found || l.NextLook().IsZero() {
			return err
		}
		if o.BackBy.Sub(tx.Now()) < noPromptBefore { // they are packing; with more time it goes on
			return nil
		}
		w := wordsOf(c, o, m.Chat)
		a.post(tx, ladleEntry(of), session.Slow, chat.Message{To: m.Chat, Quiet: true, Text: w.T("ladle_now", "at", w.Clock(l.NextLook()))})
		return nil
	})
}
