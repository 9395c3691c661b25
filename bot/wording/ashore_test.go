package wording

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"ledgehand/session/outing"
)

// mailedTo is Ana out, with Mo ashore whom only mail gets to, and Dell by a chat where both is said.
func mailedTo(c cast, both bool) outing.Outing {
	o := outBy9(c)
	o.Contacts = []outing.Contact{{ID: 1<<52 + 9, Name: c.mo, Chat: 1<<52 + 9, Mail: "mo@example.org", Reached: at(6, 31)}}
	if both {
		o.Contacts = append(o.Contacts, outing.Contact{ID: 8, Name: c.dell, Chat: 8, Reached: at(6, 31)})
	}
	o.Mates = []outing.Contact{{ID: 3, Name: c.bram, Chat: 3}, {ID: 4, Name: c.chidi, Chat: 4}}
	return o
}

func late(o outing.Outing, to ...outing.Recipient) outing.Outing {
	o.Told = append(o.Told, outing.Told{Rung: outing.RungContact, For: o.BackBy, At: at(9, 30), Alert: true, To: to})
	return o
}

func mailSamples(w Words, c cast) []sample {
	both, only := mailedTo(c, true), mailedTo(c, false)
	waiting := mailedTo(c, true)
	waiting.Contacts[0].Reached = time.Time{}
	refused := mailedTo(c, true)
	refused.Contacts[0].Refused = at(6, 32)
	none := mailedTo(c, false)
	none.Contacts = nil
	mo := outing.Recipient{Role: outing.RoleContact, Chat: 1<<52 + 9, ID: 1<<52 + 9, Name: c.mo}
	dell := outing.Recipient{Role: outing.RoleContact, Chat: 8, ID: 8, Name: c.dell}
	group := outing.Recipient{Role: outing.RoleGroup, Chat: -7}
	later := mailedTo(c, false)
	later.Delays = []outing.Delay{{At: at(8, 50), By: c.ana, From: at(9, 0), To: at(9, 30)}}
	later.BackBy = at(9, 30)
	off := offAt(late(mailedTo(c, false), mo), at(9, 47), "")
	unnamed := late(mailedTo(c, false), group, mo)
	unnamed.Mates = nil
	shut := late(mailedTo(c, false), group, mo)
	shut.GroupRefused = at(9, 20)
	var out []sample
	say := func(name string, o outing.Outing, e outing.Effect, now time.Time) {
		out = append(out, sample{name, w.Outing(o, e, now)})
	}
	mail := func(name string, o outing.Outing, e outing.Effect, now time.Time) {
		subject, text := w.Mail(o, e, now)
		out = append(out, sample{name, "Subject: " + Escape(subject) + "\n\n" + text})
	}
	say("opened: only mail ashore", only, outing.Effect{Kind: outing.SayOpened, To: group}, at(6, 31))
	say("opened: mail and a chat", both, outing.Effect{Kind: outing.SayOpened, To: group}, at(6, 31))
	say("opened: the mail is on its way", waiting, outing.Effect{Kind: outing.SayOpened, To: group}, at(6, 31))
	say("opened: nobody ashore", none, outing.Effect{Kind: outing.SayOpened, To: group}, at(6, 31))
	say("unreachable: the mail is refused", refused, outing.Effect{Kind: outing.SayUnreachable, To: group, Who: c.mo, N: 1<<52 + 9}, at(6, 32))
	say("unreachable: the mail server is away", refused, outing.Effect{Kind: outing.SayUnreachable, To: group, Who: c.mo, N: 1<<52 + 9, Until: at(9, 34)}, at(9, 33))
	say("released", none, outing.Effect{Kind: outing.SayReleased, To: group, Who: c.mo, N: 1<<52 + 9}, at(8, 0))
	mail("mail: plan", only, outing.Effect{Kind: outing.SayPlan, To: mo}, at(6, 31))
	mail("mail: alert, the mates and another know", late(late(mailedTo(c, true), group), mo, dell), outing.Effect{Kind: outing.SayContact, To: mo, Alert: true, First: true}, at(9, 30))
	mail("mail: alert, nobody else knows", late(only, mo), outing.Effect{Kind: outing.SayContact, To: mo, Alert: true, First: true}, at(9, 30))
	mail("mail: alert again, the group's people not named", unnamed, outing.Effect{Kind: outing.SayContact, To: mo, Alert: true, N: 1}, at(9, 40))
	mail("mail: alert, the group cannot be written to", shut, outing.Effect{Kind: outing.SayContact, To: mo, Alert: true, N: 1}, at(9, 40))
	mail("mail: delayed", later, outing.Effect{Kind: outing.SayDelayed, To: mo}, at(8, 50))
	mail("mail: one more is out", mailedTo(c, false), outing.Effect{Kind: outing.SayAlong, To: mo, Who: c.bram}, at(7, 0))
	mail("mail: other times", mailedTo(c, false), outing.Effect{Kind: outing.SayTimes, To: mo, Who: c.ana}, at(7, 0))
	mail("mail: acked", acked(late(mailedTo(c, false), group, mo), c, outing.AckTrying), outing.Effect{Kind: outing.SayAcked, To: mo, Who: c.bram}, at(9, 33))
	mail("mail: stand down", off, outing.Effect{Kind: outing.SayStandDown, To: mo}, at(9, 47))
	mail("mail: off in time", offAt(mailedTo(c, false), at(8, 55), ""), outing.Effect{Kind: outing.SayContactOff, To: mo}, at(8, 55))
	mail("mail: not going", only, outing.Effect{Kind: outing.SayCancelled, To: mo}, at(6, 40))
	mail("mail: heard nobody", only, outing.Effect{Kind: outing.SayDeaf, N: 1, Deaf: outing.Deaf{From: at(8, 5), To: at(9, 40)}, To: mo, Alert: true}, at(9, 41))
	mail("mail: the group is out of reach", only, outing.Effect{Kind: outing.SayUnreachable, To: mo, N: -1, Who: "The crew"}, at(9, 31))
	out = append(out, sample{"mail: invitation", "Subject: " + Escape(Plain(w.T("mail_s_invite", "who", c.ana))) + "\n\n" + w.T("mail_invite", "who", c.ana, "code", "ACDEFHJK") + "\n\n" + w.T("mail_invite_foot", "who", c.ana)})
	some := party(c)
	some.People[1].OffAt = at(8, 50)
	out = append(out, sample{"plan text", w.PlanText(outBy9(c), at(7, 0))}, sample{"plan text: nothing known, one is off", w.PlanText(some, at(8, 55))})
	return out
}

// block is what a tap on the plan copies.
func block(t *testing.T, html string) string {
	t.Helper()
	_, in, ok := strings.Cut(html, "<pre>")
	in, _, ok2 := strings.Cut(in, "</pre>")
	if !ok || !ok2 || strings.ContainsAny(in, "<>") {
		t.Fatalf("no block to copy in %q", html)
	}
	return Plain(in)
}

// The plan to send by other means is understood without any of this: who, phone, where in two notations, by when and when to worry with
// day and zone, whom to call; and it is short.
func TestPlanTextStandsAlone(t *testing.T) {
	got := block(t, words(Metric).PlanText(outBy9(crew), at(7, 0)))
	for _, part := range []string{"Ana", "+00 555 0142", "Anvil", "38.95460, -123.74060", "38°57.276' N 123°44.436' W", "Sat 14 Mar 09:00 PDT", "Sat 14 Mar 09:20 PDT", "911", "the coast guard", "grey van, AB 123", "written Sat 14 Mar 07:00 PDT"} {
		if !strings.Contains(got, part) {
			t.Errorf("the plan lacks %q:\n%s", part, got)
		}
	}
	if n := utf8.RuneCountInString(got); n >= 600 {
		t.Errorf("the plan has %d characters, want under 600:\n%s", n, got)
	}
	for _, part := range []string{"/off", "tap", "Telegram", "Ledgehand"} {
		if strings.Contains(got, part) {
			t.Errorf("the plan speaks of %q, which its reader knows nothing of", part)
		}
	}
	if got := block(t, words(Metric).PlanText(party(crew), at(7, 0))); !strings.Contains(got, "exact position not known") || !strings.Contains(got, "local emergency number") {
		t.Errorf("what is not known is not said:\n%s", got)
	}
}

// A mail that alarms says in its subject who, where and when; in its text what a chat's alert says, that nobody hears the reader, and all
// of the sheet. Every mail says last how it stops.
func TestMailsSayAllThereIs(t *testing.T) {
	for _, s := range mailSamples(words(Metric), crew) {
		if !strings.HasPrefix(s.name, "mail: ") || s.name == "mail: invitation" {
			continue
		}
		text := Plain(s.text)
		if last := text[strings.LastIndexByte(text, '\n')+1:]; !strings.Contains(last, "To stop, tell Ana, or answer this mail") || !strings.Contains(last, "PDT, UTC-7") {
			t.Errorf("%s ends with %q", s.name, last)
		}
		subject, body, _ := strings.Cut(strings.TrimPrefix(text, "Subject: "), "\n")
		if n := utf8.RuneCountInString(subject); n > 90 {
			t.Errorf("%s: subject of %d characters: %s", s.name, n, subject)
		}
		if strings.Contains(s.name, "alert") {
			for _, part := range []string{"has not checked in: due off Anvil 09:00 PDT"} {
				if !strings.Contains(subject, part) {
					t.Errorf("%s: subject %q, want %q in it", s.name, subject, part)
				}
			}
			for _, part := range []string{"⚠ ", "I cannot hear you", "Ring Ana", "+00 555 0142", "Call 911 now", "HAND-OVER SHEET", "38.95460, -123.74060", "Mates"} {
				if !strings.Contains(body, part) {
					t.Errorf("%s lacks %q:\n%s", s.name, part, body)
				}
			}
		}
		for _, part := range []string{"tap below", "/trying", "/letgo", "this chat"} {
			if strings.Contains(body, part) {
				t.Errorf("%s speaks of %q:\n%s", s.name, part, body)
			}
		}
	}
}
