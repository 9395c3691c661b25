package bot

import (
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/lookout"
	"ledgehand/session/outing"
)

// The way home. Off the rocks closes an outing; whoever also said when they would be home is missed if they are not, by the
// same people, in other words: nobody is sent to a ledge for somebody on the road.

// homeBy takes "home 5pm" off the end of a line that says before it when they will be off the rocks. Anything else stays in the line, to
// be asked about: home is never taken for off the rocks.
func homeBy(line string, now time.Time, s spot, ord command.DayOrder) (rest string, home time.Time) {
	words := strings.Fields(line)
	i := slices.IndexFunc(words, func(s string) bool { return strings.EqualFold(strings.Trim(s, ","), "home") })
	if i < 1 || i == len(words)-1 {
		return line, time.Time{}
	}
	rest = strings.Join(words[:i], " ")
	back, err := s.backBy(rest, now, ord)
	if err != nil {
		return line, time.Time{}
	}
	if home, err = s.backBy("back "+strings.TrimPrefix(strings.Join(words[i+1:], " "), "by "), now, ord); err != nil || !home.After(back) || home.Sub(back) > outing.Longest {
		return line, time.Time{}
	}
	return rest, home
}

// headsHome lays down when those of an outing that is over are to be home, if they said so.
func headsHome(tx *session.Tx, o outing.Outing) error {
	if o.Cancelled || o.HomeBy.IsZero() || len(notHome(o)) == 0 {
		return nil
	}
	return tx.PutLookout(lookout.ForHome(o.ID, o.HomeBy, o.ClosedAt))
}

// notHome are those of a party who did not say that they are home; guests cannot.
func notHome(o outing.Outing) (out []outing.Member) {
	for _, m := range o.People {
		if m.HomeAt.IsZero() && m.ID > 0 {
			out = append(out, m)
		}
	}
	return out
}

// lookHome asks those who are not home yet, and the next times tells their mates and those who held the plan.
func (a *ask) lookHome(id string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		o, found, err := tx.LoadOuting(id)
		if err != nil || !found {
			return err
		}
		l, found, err := tx.LoadLookout(lookout.Lookout{Kind: lookout.Home, Of: id}.ID())
		if err != nil || !found {
			return err
		}
		missing := notHome(o)
		if !o.Closed() || o.Wiped() || len(missing) == 0 {
			return a.endLookout(tx, lookout.Home, id)
		}
		told := len(l.Told)
		l.Told = append(slices.Clone(l.Told), tx.Now().UTC().Format(time.RFC3339))
		if err := tx.PutLookout(l); err != nil {
			return err
		}
		button := func(w wording.Words) [][]chat.Button {
			return [][]chat.Button{{button(w.T("b_home"), actHome, ref(tx.Crew, o.ID), "")}}
		}
		var asked []int64
		for _, m := range missing {
			to := outing.Recipient{Role: outing.RoleAngler, Chat: m.Chat}
			if to.Chat == 0 {
				to = outing.Recipient{Role: outing.RoleGroup, Chat: o.PartyChat(), Thread: o.Thread}
			}
			if slices.Contains(asked, to.Chat) {
				continue
			}
			asked = append(asked, to.Chat)
			w := wordsOf(c, o, to.Chat)
			a.post(tx, "", session.Urgent, chat.Message{To: to.Chat, Thread: to.Thread, Text: w.HomeAsk(o, missing), Buttons: button(w)})
		}
		if told == 0 {
			return nil
		}
		if o.Group != 0 && !slices.Contains(asked, o.Group) {
			w := wordsOf(c, o, o.Group)
			a.post(tx, "", session.Urgent, chat.Message{To: o.Group, Thread: o.Thread, Text: w.HomeLate(o, missing, tx.Now()), Buttons: button(w)})
		}
		for _, ashore := range o.Contacts {
			w := wordsOf(c, o, ashore.Chat)
			m := chat.Message{To: ashore.Chat, Text: w.HomeLate(o, missing, tx.Now())}
			if ashore.Mail != "" {
				m = outingMail(o, ashore, w.HomeSubject(o, missing), m.Text+"\n\n"+w.MailFoot(o, tx.Now()))
			}
			a.post(tx, "", session.Urgent, m)
		}
		return nil
	})
}

// tellHome tells those ashore who heard that somebody was not home yet that they are.
func (a *ask) tellHome(tx *session.Tx, c session.Crew, o outing.Outing) error {
	l, found, err := tx.LoadLookout(lookout.Lookout{Kind: lookout.Home, Of: o.ID}.ID())
	if err != nil || !found || len(l.Told) < 2 { // the first look asks the person alone
		return err
	}
	for _, ashore := range o.Contacts {
		w := wordsOf(c, o, ashore.Chat)
		m := chat.Message{To: ashore.Chat, Text: w.T("home", "who", a.name())}
		if ashore.Mail != "" {
			m = outingMail(o, ashore, wording.Plain(m.Text), m.Text+"\n\n"+w.MailFoot(o, tx.Now()))
		}
		a.post(tx, "", session.Urgent, m)
	}
	return nil
}
