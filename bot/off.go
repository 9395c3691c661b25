package bot

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// Coming back: off the rocks, home, staying longer, not going after all.

// off is /off, "/off all", or /off with names of the party. Whoever is off is off everywhere: an outing that somebody
// else named them in must not alarm anybody for them (I5).
func (a *ask) off(args string) error {
	fs, err := a.ownOutings(func(o outing.Outing) bool { _, in := o.Member(a.r.From.ID); return in })
	if err != nil {
		return err
	}
	words := offWords(args, func(word string) bool {
		return slices.ContainsFunc(fs, func(f found) bool { _, ok := named(f.o, []string{word}); return ok })
	})
	var first func(o outing.Outing) outing.Event
	switch {
	case len(words) == 0:
		fs = slices.DeleteFunc(fs, func(f found) bool { return !a.mine(f.o) })
	case slices.ContainsFunc(words, func(s string) bool { return slices.Contains([]string{"all", "todos", "todas"}, s) }):
		first = func(o outing.Outing) outing.Event { return offEvent(o, a.r.From.ID) }
	default: // for others, even by one who is off already
		i := slices.IndexFunc(fs, func(f found) bool { _, ok := named(f.o, words); return ok })
		if i < 0 { // a name nobody has must not pass for the speaker's own
			return a.help("off")
		}
		return a.onOuting(fs[i].crew, fs[i].o.ID, func(o outing.Outing) outing.Event {
			who, _ := named(o, words)
			return outing.SayOffRocks{By: a.r.From.ID, Who: who}
		})
	}
	if len(fs) == 0 {
		return a.notOut()
	}
	for i := len(fs) - 1; i >= 0; i-- {
		cause, event := a.cause, func(outing.Outing) outing.Event { return outing.SayOffRocks{By: a.r.From.ID} }
		if i > 0 {
			if cause = cause.Then("off/" + fs[i].o.ID); !a.mine(fs[i].o) {
				continue
			}
		} else if first != nil {
			event = first
		}
		if err := a.onOutingAs(cause, fs[i].crew, fs[i].o.ID, event); err != nil {
			return err
		}
	}
	return nil
}

// offWords are the words after /off that say who; what only dresses an "I am off", in either language, is none of them,
// unless somebody of the party is called so.
func offWords(args string, isName func(string) bool) []string {
	words := strings.FieldsFunc(strings.ToLower(strings.ReplaceAll(args, "’", "'")), func(r rune) bool { return strings.ContainsRune(" ,.!¡&", r) })
	dress := []string{"the", "rocks", "now", "i'm", "im", "i", "am", "off", "safe", "fine", "ok", "okay", "thanks", "and",
		"ya", "estoy", "estamos", "fuera", "de", "las", "rocas", "ahora", "salí", "sali", "salimos", "he", "hemos", "salido", "vuelta", "bien", "a", "salvo", "vale", "gracias", "y"}
	return slices.DeleteFunc(words, func(s string) bool { return slices.Contains(dress, s) && !isName(s) })
}

// named finds those of the party whom words name, whole names or first ones; ok only if every word is part of the name
// of just one of them.
func named(o outing.Outing, words []string) (who []int64, ok bool) {
	for len(words) > 0 {
		var fit []int64
		used := 0
		for n := min(len(words), 6); n > 0 && len(fit) == 0; n-- {
			said := strings.Join(words[:n], " ")
			for _, m := range o.People {
				name := strings.ToLower(m.Name)
				first, _, _ := strings.Cut(name, " ")
				if name == said || n == 1 && first == said {
					fit, used = append(fit, m.ID), n
				}
			}
		}
		if len(fit) != 1 {
			return nil, false
		}
		who, words = append(who, fit[0]), words[used:]
	}
	return who, true
}

// offEvent calls the whole party off.
func offEvent(o outing.Outing, by int64) outing.Event {
	e := outing.SayOffRocks{By: by}
	for _, m := range o.People {
		e.Who = append(e.Who, m.ID)
	}
	return e
}

func (a *ask) home() error {
	// Home is said after the outing closed, so open ones are not enough to look at.
	fs, err := a.ownOutings(func(o outing.Outing) bool { _, ok := o.Member(a.r.From.ID); return ok })
	if err != nil {
		return err
	}
	if len(fs) > 0 {
		return a.onOuting(fs[0].crew, fs[0].o.ID, func(outing.Outing) outing.Event { return outing.SayAtHome{By: a.r.From.ID} })
	}
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	ended, err := a.latelyIn(everywhere(p), func(o outing.Outing) bool {
		m, in := o.Member(a.r.From.ID)
		return in && m.HomeAt.IsZero() && o.Closed() && !o.Cancelled && a.cause.Now.Sub(o.ClosedAt) < aDay
	})
	if err != nil {
		return err
	}
	for i, o := range ended { // all of them: whoever is home is missed by nobody
		cause := a.cause
		if i > 0 {
			cause = cause.Then("home/" + o.ID)
		}
		if err := a.onOutingAs(cause, session.CrewID(o.Crew), o.ID, func(outing.Outing) outing.Event { return outing.SayAtHome{By: a.r.From.ID} }); err != nil {
			return err
		}
	}
	if len(ended) > 0 {
		return nil
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.reply(tx, w.T("home", "who", a.name()))
		return nil
	})
}

// more is /more 30 [why], /more 1h, /more until 15:00.
func (a *ask) more(args string) error {
	fs, err := a.ownOutings(a.mine)
	if err != nil {
		return err
	}
	if len(fs) == 0 {
		return a.notOut()
	}
	s, known, err := a.spotIn(fs[0].crew, fs[0].o.Ledge)
	if err != nil {
		return err
	}
	if !known { // a ledge taken off the list: its clocks are still known
		s = spot{zone: zone(fs[0].o.Zone)}
	}
	e, err := moreEvent(args, a.r.From.ID, s, a.at())
	var amb *command.Ambiguous
	if errors.As(err, &amb) {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			w = w.In(fs[0].o.Zone)
			var row []chat.Button
			for _, t := range amb.Candidates[:min(4, len(amb.Candidates))] {
				row = append(row, button(w.When(t, tx.Now()), actMore, ref(fs[0].crew, fs[0].o.ID), packTime(t)))
			}
			a.answer(tx, w.T("out_which_time", "said", wording.Clean(args, 60)), row)
			return nil
		})
	}
	if err != nil {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.answer(tx, w.T("more_unread", "said", wording.Clean(args, 60)))
			return nil
		})
	}
	return a.onOuting(fs[0].crew, fs[0].o.ID, func(outing.Outing) outing.Event { return e })
}

func moreEvent(args string, by int64, s spot, now time.Time) (outing.Event, error) {
	words := strings.Fields(wording.Clean(args, mostWhy))
	unclear := fmt.Errorf("read %q: no length of time in it", args)
	for n := min(len(words), longestTime); n > 0; n-- {
		head, why := strings.Join(words[:n], " "), strings.Join(words[n:], " ")
		if clockLike(head) {
			continue // "900" is more likely nine o'clock than fifteen hours
		}
		if n < len(words) && goesOn(words[n]) {
			continue // "1 hora y 20 minutos" is not an hour, and "y 20 minutos" no reason
		}
		if d, err := command.Span(head); err == nil && d > 0 {
			return outing.SetDelay{By: by, For: d, Why: why}, nil
		}
		t, err := s.backBy(head, now, command.DayFirst)
		if err == nil {
			return outing.SetDelay{By: by, To: t, Why: why}, nil
		}
		if amb := (*command.Ambiguous)(nil); why == "" && errors.As(err, &amb) && len(returnsOf(amb, now)) > 0 {
			unclear = &command.Ambiguous{Said: amb.Said, Question: amb.Question, Candidates: returnsOf(amb, now)}
		}
	}
	return nil, unclear
}

// longestTime is how many words a time may have: "hasta las 3 de la tarde de mañana".
const longestTime = 8

// goesOn says whether a word carries a Spanish time on, so that what stands before it is half of one.
func goesOn(word string) bool {
	return slices.Contains([]string{"y", "menos", "de", "del", "o", "mañana", "manana", "hora", "horas", "minuto", "minutos"}, strings.ToLower(strings.Trim(word, ",.;")))
}

// packTime puts an instant, to the minute, into a button; unpackTime reads it.
func packTime(t time.Time) string { return "@" + minutes36(t) }

// minutes36 is an instant as buttons carry it: minutes since 1970, in base 36.
func minutes36(t time.Time) string { return strconv.FormatInt(t.Unix()/60, 36) }

func unpackTime(s string) (time.Time, bool) {
	s, ok := strings.CutPrefix(s, "@")
	minutes, err := strconv.ParseInt(s, 36, 64)
	return time.Unix(minutes*60, 0).UTC(), ok && err == nil
}

// clockLike says whether a bare number is too long for minutes that anybody would count out.
func clockLike(s string) bool {
	n, err := strconv.Atoi(strings.TrimPrefix(s, "+"))
	return err == nil && n > 240 && n < 1000
}

// cancel is /cancel: nobody went after all.
func (a *ask) cancel() error {
	return a.onMine(func(outing.Outing) outing.Event { return outing.Cancel{By: a.r.From.ID} })
}
