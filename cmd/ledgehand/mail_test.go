package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/mailtest"
	"ledgehand/session"
)

// Those ashore by mail, end to end: the whole bot, and a mail server of the test's own behind a real socket.

// moByMail makes Mo, by mail, the one ashore for Ana; chidiHolds makes Chidi the next one, by chat.
var (
	moByMail = []any{
		"[Fri 19:03] ana private> /contact mail mo@example.org Mo",
		"mail mo: Code:",
		"[Fri 19:04] ana codes",
		"ana: Mo holds your plans from now on, by e-mail",
	}
	chidiHolds = []any{
		"[Fri 19:05] chidi starts",
		"[Fri 19:05] ana private> /contact",
		"[Fri 19:06] chidi follows",
		"[Fri 19:07] chidi private taps Yes, I hold Ana's plans",
	}
)

func post(f mailtest.Fault) func(*story) { return func(s *story) { s.post.Inject(f) } }

// The address is refused as the plan goes out: the angler hears of it at once, before anybody leaves.
func TestARefusedAddressIsNewsAtTheStart(t *testing.T) {
	for name, f := range map[string]mailtest.Fault{
		"NobodyThere": {Verb: "RCPT", Reply: "550 5.1.1 <mo@example.org>: no such user", Times: -1},
		"NotTaken":    {Verb: "END", Reply: "554 5.7.1 refused", Times: -1},
	} {
		t.Run(name, func(t *testing.T) {
			s := plays(t, all(ready, moByMail, []any{
				post(f),
				"[Sat 07:00] ana> /out Anvil back 9am",
				"crew: The mail server refused my mail to Mo | Nobody ashore holds this plan",
				"crew: Nobody ashore holds this plan | /contact invites someone. /plan text",
				"[Sat 09:15] wait",
				"crew: Nobody ashore holds this plan: it is up to you here",
			})...)
			if n := len(s.post.Mails()); n != 1 {
				t.Errorf("%d mails came, want the invitation alone", n)
			}
		})
	}
}

// The mail server is away as the alarm is due: it is told around before it is two minutes late, the next one ashore is told, and the alert
// arrives when the server is back.
func TestTheMailServerIsAwayAtTheAlarm(t *testing.T) {
	s := plays(t, all(ready, moByMail, chidiHolds, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		"mail mo: You hold the plan of Ana",
		"[Sat 09:29] wait",
		func(s *story) { s.post.Down() },
		"[Sat 09:30] wait",
		"chidi: nothing",
		"[Sat 09:31] wait",
		"[Sat 09:32] wait",
		"crew: My mail to Mo does not get out; I keep trying | The plan is with Chidi",
		"chidi: Ana has not checked in",
		"[Sat 09:36] wait",
		"crew: nothing",
		func(s *story) { must(s.t, s.post.Up()) },
		"[Sat 09:37] wait",
		"mail mo: Ana has not checked in: due off Anvil 09:00 PDT | HAND-OVER SHEET",
		// From then on Mo counts again.
		"[Sat 09:42] wait",
		"mail mo: Still: Ana has not checked in",
		"[Sat 09:45] ana> /off",
		"mail mo: Stand down",
		"chidi: Stand down",
	})...)
	ids := map[string]bool{}
	for _, m := range s.post.Mails() {
		id := m.Header.Get("Message-ID")
		if ids[id] {
			t.Errorf("two mails are %s", id)
		}
		ids[id] = true
	}
}

// The same with nobody else ashore: the mates know that they are alone with it.
func TestTheMailServerIsAwayAndNobodyElseIsAshore(t *testing.T) {
	plays(t, all(ready, moByMail, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		"[Sat 09:29] wait",
		func(s *story) { s.post.Down() },
		"[Sat 09:30] wait", "[Sat 09:31] wait", "[Sat 09:32] wait",
		"crew: My mail to Mo does not get out; I keep trying | Nobody ashore holds this plan",
		"[Sat 09:40] wait",
		"crew: (still) | Nobody ashore holds this plan: it is up to you here",
	})...)
}

// The answer is lost after the mail was taken: it goes out again under the same id, so that whoever reads it can tell.
func TestALostAnswerRepeatsTheSameMail(t *testing.T) {
	s := plays(t, all(ready, moByMail, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		"[Sat 09:29] wait",
		post(mailtest.Fault{Verb: "END", Cut: true, Kept: true}),
		"[Sat 09:30] wait",
		"mail mo: Ana has not checked in",
		"[Sat 09:31] wait",
		"mail mo: Ana has not checked in",
	})...)
	ms := s.post.Mails()
	a, b := ms[len(ms)-2], ms[len(ms)-1]
	if a.Header.Get("Message-ID") != b.Header.Get("Message-ID") || a.Body != b.Body {
		t.Errorf("the repeat is %s, want it to be %s again", b.Header.Get("Message-ID"), a.Header.Get("Message-ID"))
	}
	heads := map[string]int{}
	for _, m := range ms[1:] {
		heads[m.Header.Get("References")]++
	}
	if len(heads) != 1 || heads[""] != 0 {
		t.Errorf("the outing's mails hang on %v, want one thread", heads)
	}
	for _, m := range ms {
		if grave := m.Header.Get("Importance") == "high"; grave != strings.Contains(m.Subject, "has not checked in") {
			t.Errorf("%q: high importance %v", m.Subject, grave)
		}
	}
}

// Whoever says yes while Ana is out already gets the plan, and when it is late the alert, at once.
func TestACodeInTheMidstOfAnOuting(t *testing.T) {
	plays(t, all(ready, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		"[Sat 07:01] ana private> /contact mail mo@example.org Mo",
		"[Sat 09:35] ana codes",
		"mail mo: Plan of Ana",
		"[Sat 09:36] wait",
		"mail mo: Ana has not checked in | Mates, also told: their group",
		"[Sat 09:37] ana> /off",
		"mail mo: Stand down",
	})...)
}

// What is kept of somebody who never answers is gone after a week, whether or not anybody writes; the angler hears so.
func TestAnInvitationEnds(t *testing.T) {
	s := plays(t, all(ready, []any{
		"[Fri 19:03] ana private> /contact mail mo@example.org Mo",
		"[Fri 19:03] ana private> /contact mail gil@example.org Gil",
		"[Fri 19:04] ana codes", // Gil's, the newest
		"ana: Gil holds your plans",
	})...)
	keys := func() (n int) {
		for sh := range session.Shard(session.Shards) {
			ks, err := s.house.store.Keys(t.Context(), sh, "invites/")
			must(t, err)
			n += len(ks)
		}
		return n
	}
	if keys() != 1 {
		t.Fatalf("%d records of invitations, want one", keys())
	}
	s.since = len(s.server.Transcript())
	must(t, s.until(t.Context(), s.now().Add(7*24*time.Hour)))
	must(t, s.expect("ana", "Mo gave you no code within 7 days: the address is deleted"))
	if keys() != 0 {
		t.Errorf("%d records of invitations, want none", keys())
	}
}

// Caps: three wait at once, five a day, five wrong codes; and what the server refuses is said and deleted.
func TestInvitationsByMailAreBounded(t *testing.T) {
	plays(t, all(ready, []any{
		"[Fri 19:03] ana private> /contact mail a@example.org Ada",
		"[Fri 19:04] ana private> /contact mail b@example.org Bea",
		"[Fri 19:05] ana private> /contact mail c@example.org Cleo",
		"[Fri 19:06] ana private> /contact mail d@example.org Dot",
		"ana: 3 invitations by e-mail wait already",
		"[Fri 19:07] ana private> /contact mail c@example.org Cleo", // again, with a new code
		"mail c: Code:",
		"[Fri 19:08] ana private> /contact code AAAA",
		"ana: 4 more tries",
		"[Fri 19:09] ana private> /contact code", "ana: I can't read that",
		"[Fri 19:10] ana private> /contact code BBBBBBBB", "[Fri 19:11] ana private> /contact code CCCCCCCC", "[Fri 19:12] ana private> /contact code DDDDDDDD",
		"ana: 1 more try",
		"[Fri 19:13] ana private> /contact code EEEEEEEE",
		"ana: it was the last try: the invitations are ended, the addresses deleted",
		"[Fri 19:14] ana codes",
		"ana: No invitation by e-mail waits for a code",
		"[Fri 19:15] ana private> /contact mail d@example.org Dot",
		"mail d: Code:",
		"[Fri 19:16] ana private> /contact mail e@example.org Eda",
		"ana: 5 invitations by e-mail in a day, which is the most",
		"mail e: nothing",
		// Somebody else's code is none of Bram's.
		"[Fri 19:17] bram starts",
		"[Fri 19:18] bram codes",
		"bram: No invitation by e-mail waits for a code",
		post(mailtest.Fault{Verb: "RCPT", Reply: "550 5.1.1 no"}),
		"[Sat 19:20] ana private> /contact mail f@example.org Fen",
		"ana: The mail server refused my invitation to Fen; the address is deleted",
		post(mailtest.Fault{Verb: "END", Cut: true}),
		"[Sat 19:21] ana private> /contact mail g@example.org Gil",
		"ana: I can't tell whether my invitation to Gil went out",
	})...)
}

// A contact by mail in one crew is one in all of the angler's crews, and the order holds there.
func TestTheOrderHoldsAcrossCrews(t *testing.T) {
	const other int64 = -9009
	s := plays(t, all(ready, moByMail, chidiHolds, []any{
		"[Fri 19:08] ana private> /contact first Chidi",
		func(s *story) {
			s.server.AddGroup(other, "The others", 201)
			s.server.AddBot(other, 201)
		},
		func(s *story) {
			s.server.Write(other, 201, "/ledge add Long Step at 38.9211 -123.7302 lip 3.0 faces 200")
		},
		func(s *story) { s.server.Write(other, 201, "/out Long Step back 9am") },
		"mail mo: You hold the plan of Ana",
	})...)
	if _, ok := s.said(other, "at 09:30 I tell Chidi"); !ok {
		t.Error("the other crew's outing does not tell Chidi first")
	}
}

// A bot without a mail server refuses to invite, and keeps nothing.
func TestWithoutAMailServer(t *testing.T) {
	s := startStory(t, "start 2026-03-13 19:00 America/Los_Angeles")
	s.cast("people ana bram; ashore mo")
	s.house.desk.Mails = false
	must(t, s.act(s.instant("Fri", "19:00"), "ana starts"))
	must(t, s.act(s.instant("Fri", "19:00"), "ana private> /contact mail mo@example.org Mo"))
	must(t, s.expect("ana", "I have no mail server here, so I can invite nobody by e-mail, and kept nothing"))
	must(t, s.expect("mail mo", "nothing"))
	if got := (ways{}).Send(t.Context(), chat.Message{Mail: &chat.Mail{Address: "mo@example.org"}}, 0); got.Result != chat.ResultBlocked {
		t.Errorf("a mail with no server = %+v, want its reader out of reach", got)
	}
}

// Hostile names go through the whole bot into a mail: one reader, our headers, a subject of one line.
func TestHostileNamesInMail(t *testing.T) {
	for _, name := range []string{"Ana\r\nBcc: eve@example.com", "=?UTF-8?q?a=0ABcc:_eve@example.com?=", "<b>Ana</b> & \"co\" <eve@example.com>", "\u202eanA", "Müó 🎣"} {
		s := startStory(t, "start 2026-03-13 19:00 America/Los_Angeles")
		s.cast("people ana bram; ashore mo")
		s.server.AddPerson(s.people["ana"], name)
		for _, step := range []string{
			"Fri 19:00|bot joins", "Fri 19:01|ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 number 911", "Fri 19:02|ana starts",
			"Fri 19:03|ana private> /contact mail mo@example.org " + strings.ReplaceAll(name, "\r\n", " "), "Fri 19:04|ana codes", "Sat 07:00|ana> /out Anvil back 9am", "Sat 09:30|wait",
		} {
			when, what, _ := strings.Cut(step, "|")
			day, clock, _ := strings.Cut(when, " ")
			must(t, s.act(s.instant(day, clock), what))
		}
		ms := s.post.Mails()
		if len(ms) < 3 {
			t.Fatalf("%q: %d mails, want invitation, plan and alert", name, len(ms))
		}
		for _, m := range ms {
			to, err := m.Header.AddressList("To")
			if err != nil || len(to) != 1 || to[0].Address != "mo@example.org" || m.To != "mo@example.org" || m.Header.Get("Bcc") != "" {
				t.Errorf("%q: to %v (%v), envelope %s, Bcc %q", name, to, err, m.To, m.Header.Get("Bcc"))
			}
			if strings.ContainsAny(m.Subject, "\r\n\u202e") || strings.Contains(m.Subject, "&lt;") || strings.Contains(m.Body, "&lt;") || strings.Contains(m.Body, "<b>Mo") {
				t.Errorf("%q: subject %q, body %q", name, m.Subject, m.Body)
			}
		}
	}
}

// The doctor connects and logs in, sends nothing, and shows no value of a setting.
func TestDoctorOnMail(t *testing.T) {
	s := newServed(t)
	const password = "limpets-on-the-shelf"
	srv, err := mailtest.Start(mailtest.Options{User: "robot-of-the-rocks", Password: password})
	must(t, err)
	t.Cleanup(srv.Close)
	file := filepath.Join(t.TempDir(), "password")
	must(t, os.WriteFile(file, []byte(password+"\n"), 0o600))
	for _, c := range []struct {
		name   string
		change map[string]string
		want   string
	}{
		{"none", map[string]string{"LEDGEHAND_MAIL_SERVER": "", "LEDGEHAND_MAIL_USER": "", "LEDGEHAND_MAIL_PASSWORD_FILE": "", "LEDGEHAND_MAIL_FROM": ""}, "ok   mail: no server is set"},
		{"good", nil, "ok   mail: the server answers and takes the account; nothing was sent"},
		{"another account", map[string]string{"LEDGEHAND_MAIL_USER": "somebody-else"}, "FAIL mail: the server refuses the account (535)"},
		{"away", map[string]string{"LEDGEHAND_MAIL_SERVER": "127.0.0.1:1"}, "FAIL mail: the server cannot be reached"},
		{"tls asked for", map[string]string{"LEDGEHAND_MAIL_TLS": "starttls"}, "FAIL mail: no line to the server with what was asked for"},
		{"in the clear elsewhere", map[string]string{"LEDGEHAND_MAIL_SERVER": "mail.example.com:25", "LEDGEHAND_MAIL_TLS": "off"}, "FAIL settings: the settings LEDGEHAND_MAIL_… do not fit together"},
		{"no sender", map[string]string{"LEDGEHAND_MAIL_FROM": ""}, "the sender is no address"},
		{"no password there", map[string]string{"LEDGEHAND_MAIL_PASSWORD_FILE": "/no/such/file/anywhere"}, "FAIL settings: read LEDGEHAND_MAIL_PASSWORD_FILE"},
		{"no server", map[string]string{"LEDGEHAND_MAIL_SERVER": ""}, "FAIL settings: LEDGEHAND_MAIL_SERVER is not set"},
	} {
		t.Run(c.name, func(t *testing.T) {
			env := s.env()
			for k, v := range map[string]string{"LEDGEHAND_MAIL_SERVER": srv.Addr, "LEDGEHAND_MAIL_USER": "robot-of-the-rocks", "LEDGEHAND_MAIL_PASSWORD_FILE": file, "LEDGEHAND_MAIL_FROM": "bot@rocks.example.com"} {
				env[k] = v
			}
			for k, v := range c.change {
				env[k] = v
			}
			text, _ := examine(t, env, false)
			if !strings.Contains(text, c.want) {
				t.Errorf("it does not say %q:\n%s", c.want, text)
			}
			for _, secret := range []string{password, "robot-of", "somebody-else", "rocks.example", file, srv.Addr, "mail.example.com:25"} {
				if strings.Contains(text, secret) {
					t.Errorf("it shows %q:\n%s", secret, text)
				}
			}
		})
	}
	if n := len(srv.Mails()); n != 0 {
		t.Errorf("the doctor sent %d mails", n)
	}
}

// I7: a mail server that answers nothing keeps no chat's alert back.
func TestASilentMailServerHoldsNoAlertUp(t *testing.T) {
	s := startStory(t, "start 2026-03-13 19:00 America/Los_Angeles")
	s.cast("people ana bram chidi; ashore mo")
	var steps []string
	for _, part := range all(ready, moByMail[:1], moByMail[2:3], []any{"[Sat 07:00] ana> /out Anvil back 9am", "[Sat 09:29] wait"}) {
		steps = append(steps, part.(string))
	}
	for _, step := range steps {
		m := stamped.FindStringSubmatch(step)
		must(t, s.act(s.instant(m[1], m[2]+":"+m[3]), m[4]))
	}
	s.post.Inject(mailtest.Fault{Verb: "HELLO", Mute: true, Times: -1})
	at := s.instant("Sat", "09:40")
	s.set(at)
	// One round, as Run makes it: it comes back with the mail still under way, and the group has its alert.
	for _, sh := range s.house.alive() {
		if _, err := s.house.pump.Round(context.Background(), sh, at); err != nil {
			t.Fatal(err)
		}
	}
	if s.posts(storyGroup, "Ana has not checked in") == 0 {
		t.Error("the group's alert waits behind the mail")
	}
	s.post.Down() // which ends the mail under way
	if n := s.house.pump.Outbox.Wait(); n != 1 {
		t.Errorf("%d mails were under way, want one", n)
	}
}
