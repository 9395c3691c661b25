package mail

import (
	"errors"
	"fmt"
	"net/mail"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"ledgehand/bot/chat"
	"ledgehand/bot/mailtest"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

var at = time.Date(2026, 3, 14, 16, 30, 0, 0, time.UTC)

const secret = "hunter-of-limpets"

func server(t *testing.T, o mailtest.Options) *mailtest.Server {
	t.Helper()
	s, err := mailtest.Start(o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	return s
}

// sender is one to that server; change alters its options.
func sender(t *testing.T, srv *mailtest.Server, change func(*Options)) *Sender {
	t.Helper()
	o := Options{Server: srv.Addr, From: "Ledgehand <bot@example.com>", Now: func() time.Time { return at }, Timeout: 10 * time.Second}
	if change != nil {
		change(&o)
	}
	s, err := NewSender(o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func alert() chat.Message {
	return chat.Message{
		To: chat.MailNumber("mo@example.org"), Entry: "k3f9/1/contact/0/5", Text: "⚠ <b>Ana has not checked in.</b> Due off Anvil at 09:00; it is 09:30.\n.\nSea &amp; tide: “1.6 m”",
		Mail: &chat.Mail{Address: "mo@example.org", Name: "Mo", Subject: "Ana has not checked in: due off Anvil 09:00 PDT", Thread: "outing/g9/k3f9", Grave: true},
	}
}

func TestAnAlertAsItArrives(t *testing.T) {
	srv := server(t, mailtest.Options{})
	if got := sender(t, srv, nil).Send(t.Context(), alert(), 0); got != (chat.Sent{Result: chat.ResultSent}) {
		t.Fatalf("Send() = %+v, want sent", got)
	}
	m := only(t, srv)
	if m.From != "bot@example.com" || m.To != "mo@example.org" {
		t.Errorf("envelope %q to %q", m.From, m.To)
	}
	if want := "⚠ Ana has not checked in. Due off Anvil at 09:00; it is 09:30.\n.\nSea & tide: “1.6 m”"; strings.TrimRight(m.Body, "\n") != want {
		t.Errorf("body %q, want %q", m.Body, want)
	}
	for h, want := range map[string]string{
		"From": `"Ledgehand" <bot@example.com>`, "To": `"Mo" <mo@example.org>`, "Date": "Sat, 14 Mar 2026 16:30:00 +0000", "Auto-Submitted": "auto-generated", "Importance": "high",
		"X-Priority": "1", "List-Unsubscribe": "<mailto:bot@example.com?subject=stop>", "Content-Type": "text/plain; charset=UTF-8", "User-Agent": "", "X-Mailer": "", "Bcc": "",
	} {
		if got := m.Header.Get(h); got != want {
			t.Errorf("%s: %q, want %q", h, got, want)
		}
	}
	if m.Subject != "Ana has not checked in: due off Anvil 09:00 PDT" {
		t.Errorf("subject %q", m.Subject)
	}
	head := m.Header.Get("References")
	if _, err := mail.ParseAddress(head); err != nil || !strings.HasSuffix(head, "@example.com>") || head != m.Header.Get("In-Reply-To") {
		t.Errorf("References %q, In-Reply-To %q, want one id of ours", head, m.Header.Get("In-Reply-To"))
	}
	if id := m.Header.Get("Message-ID"); !strings.HasSuffix(id, "@example.com>") || strings.Contains(id, "k3f9") || id == head {
		t.Errorf("Message-ID %q, want one of ours that shows nothing", id)
	}
	if got := strings.Join(srv.Verbs(), " "); got != "HELLO EHLO MAIL RCPT DATA END QUIT" {
		t.Errorf("said %q", got)
	}
	if strings.Contains(m.Raw, "9/k3f9") {
		t.Error("ids of ours are shown")
	}
}

func only(t *testing.T, srv *mailtest.Server) mailtest.Mail {
	t.Helper()
	ms := srv.Mails()
	if len(ms) != 1 {
		t.Fatalf("%d mails arrived, want one", len(ms))
	}
	return ms[0]
}

// A repeat after an unknown outcome bears the same id; other words, another entry or another reader do not.
func TestARepeatCanBeRecognised(t *testing.T) {
	srv := server(t, mailtest.Options{})
	s := sender(t, srv, nil)
	srv.Inject(mailtest.Fault{Verb: "END", Cut: true, Kept: true})
	if got := s.Send(t.Context(), alert(), 0); got.Result != chat.ResultUnknown {
		t.Fatalf("Send() with the answer lost = %+v, want unknown", got)
	}
	words, entry, reader := alert(), alert(), alert()
	words.Text += " (still)"
	entry.Entry = "k3f9/1/contact/1/5"
	other := *reader.Mail
	other.Address = "gil@example.org"
	reader.Mail = &other
	for _, m := range []chat.Message{alert(), words, entry, reader} {
		if got := s.Send(t.Context(), m, 0); got.Result != chat.ResultSent {
			t.Fatalf("Send() = %+v", got)
		}
	}
	ids := map[string]int{}
	for _, m := range srv.Mails() {
		ids[m.Header.Get("Message-ID")]++
	}
	if ms := srv.Mails(); len(ms) != 5 || len(ids) != 4 || ids[ms[0].Header.Get("Message-ID")] != 2 {
		t.Errorf("%d mails with ids %v, want five of which two share one", len(ms), ids)
	}
	if ms := srv.Mails(); ms[0].Header.Get("References") != ms[3].Header.Get("References") || ms[0].Header.Get("References") == ms[4].Header.Get("References") {
		t.Error("one thread for each outing and reader, want those of one outing together")
	}
}

func TestRoutineMailIsNotGrave(t *testing.T) {
	srv := server(t, mailtest.Options{})
	m := alert()
	m.Mail.Grave, m.Mail.Thread = false, ""
	sender(t, srv, nil).Send(t.Context(), m, 0)
	for _, h := range []string{"Importance", "X-Priority", "Priority", "References", "In-Reply-To"} {
		if got := only(t, srv).Header.Get(h); got != "" {
			t.Errorf("%s: %q, want none", h, got)
		}
	}
}

// What a server may answer at each step, and what is made of it.
func TestWhatBecomesOfAMail(t *testing.T) {
	later := func(apart bool, after time.Duration) chat.Sent {
		return chat.Sent{Result: chat.ResultLater, Apart: apart, After: after}
	}
	for _, c := range []struct {
		name  string
		fault mailtest.Fault
		want  chat.Sent
	}{
		{"greeted with 421", mailtest.Fault{Verb: "HELLO", Reply: "421 4.3.2 closing", Cut: true}, later(true, time.Minute)},
		{"greeted with 554", mailtest.Fault{Verb: "HELLO", Reply: "554 5.7.1 mo@example.org", Cut: true}, later(true, time.Minute)},
		{"cut at the greeting", mailtest.Fault{Verb: "HELLO", Cut: true}, later(true, time.Minute)},
		{"cut at EHLO", mailtest.Fault{Verb: "EHLO", Cut: true, Times: -1}, later(true, time.Minute)},
		{"sender refused for now", mailtest.Fault{Verb: "MAIL", Reply: "451 4.3.0 later"}, later(true, time.Minute)},
		{"sender refused", mailtest.Fault{Verb: "MAIL", Reply: "550 5.7.1 not you bot@example.com"}, later(true, time.Minute)},
		{"cut at MAIL", mailtest.Fault{Verb: "MAIL", Cut: true}, later(true, 0)},
		{"greylisted", mailtest.Fault{Verb: "RCPT", Reply: "450 4.7.1 greylisted <mo@example.org>"}, later(true, time.Minute)},
		{"nobody there", mailtest.Fault{Verb: "RCPT", Reply: "550 5.1.1 <mo@example.org>: no such user"}, chat.Sent{Result: chat.ResultBlocked}},
		{"no relay", mailtest.Fault{Verb: "RCPT", Reply: "554 5.7.1 relay access denied"}, chat.Sent{Result: chat.ResultBlocked}},
		{"mailbox full", mailtest.Fault{Verb: "RCPT", Reply: "552 5.2.2 mailbox full"}, chat.Sent{Result: chat.ResultBlocked}},
		{"cut at RCPT", mailtest.Fault{Verb: "RCPT", Cut: true}, later(true, 0)},
		{"no text for now", mailtest.Fault{Verb: "DATA", Reply: "452 4.3.1 no room"}, later(true, time.Minute)},
		{"no text", mailtest.Fault{Verb: "DATA", Reply: "554 5.5.1 no"}, chat.Sent{Result: chat.ResultRefused}},
		{"text not taken for now", mailtest.Fault{Verb: "END", Reply: "451 4.3.0 try again"}, later(true, time.Minute)},
		{"text refused", mailtest.Fault{Verb: "END", Reply: "554 5.7.1 Ana has not checked in: spam"}, chat.Sent{Result: chat.ResultRefused}},
		{"cut after the text", mailtest.Fault{Verb: "END", Cut: true}, chat.Sent{Result: chat.ResultUnknown}},
		{"cut after the text, kept", mailtest.Fault{Verb: "END", Cut: true, Kept: true}, chat.Sent{Result: chat.ResultUnknown}},
		{"cut at the goodbye", mailtest.Fault{Verb: "QUIT", Cut: true}, chat.Sent{Result: chat.ResultSent}},
		{"a bad goodbye", mailtest.Fault{Verb: "QUIT", Reply: "500 5.5.1 what"}, chat.Sent{Result: chat.ResultSent}},
	} {
		t.Run(c.name, func(t *testing.T) {
			srv := server(t, mailtest.Options{})
			srv.Inject(c.fault)
			got := sender(t, srv, nil).Send(t.Context(), alert(), 0)
			why := got.Why
			if got.Why = ""; got != c.want {
				t.Errorf("Send() = %+v (%s), want %+v", got, why, c.want)
			}
			if got.Result != chat.ResultSent && why == "" {
				t.Error("no reason is given")
			}
			discreet(t, why)
		})
	}
}

// discreet: no address, no word of a mail, nothing that the server said and no address of the server.
func discreet(t *testing.T, text string) {
	t.Helper()
	for _, s := range []string{"example", "@", "mo", "Ana", "Anvil", "checked", "spam", "greylisted", "127.0.0.1", "no such", secret, "limpet"} {
		if strings.Contains(text, s) {
			t.Errorf("%q is told in %q", s, text)
		}
	}
}

func TestAServerThatIsSlowOrAway(t *testing.T) {
	for _, verb := range []string{"HELLO", "EHLO", "MAIL", "RCPT", "DATA", "END"} {
		t.Run(verb, func(t *testing.T) {
			srv := server(t, mailtest.Options{})
			srv.Inject(mailtest.Fault{Verb: verb, Mute: true, Times: -1})
			got := sender(t, srv, func(o *Options) { o.Timeout = 200 * time.Millisecond }).Send(t.Context(), alert(), 0)
			want := chat.ResultLater
			if verb == "END" {
				want = chat.ResultUnknown
			}
			if got.Result != want || got.Apart != (want == chat.ResultLater) {
				t.Errorf("Send() = %+v, want %s", got, want)
			}
			discreet(t, got.Why)
		})
	}
	srv := server(t, mailtest.Options{})
	s := sender(t, srv, nil)
	srv.Down()
	if got := s.Send(t.Context(), alert(), 0); got.Result != chat.ResultLater || !got.Apart || got.After != 0 || got.Why != "the server cannot be reached" {
		t.Errorf("Send() to nobody = %+v, want later", got)
	}
	if err := srv.Up(); err != nil {
		t.Fatal(err)
	}
	if got := s.Send(t.Context(), alert(), 0); got.Result != chat.ResultSent {
		t.Errorf("Send() when it is back = %+v, want sent", got)
	}
}

func TestTLSAndTheAccount(t *testing.T) {
	cert, roots, err := mailtest.Certificate("127.0.0.1")
	if err != nil {
		t.Fatal(err)
	}
	other, _, err := mailtest.Certificate("mail.example.com")
	if err != nil {
		t.Fatal(err)
	}
	account := func(o *Options) { o.User, o.Password, o.Roots = "bot", secret, roots }
	type setup struct {
		name   string
		server mailtest.Options
		change func(*Options)
		want   chat.Result
		why    string
	}
	for _, c := range []setup{
		{"starttls", mailtest.Options{TLS: cert, User: "bot", Password: secret}, func(o *Options) { account(o); o.TLS = StartTLS }, chat.ResultSent, ""},
		{"implicit", mailtest.Options{TLS: cert, Implicit: true, User: "bot", Password: secret}, func(o *Options) { account(o); o.TLS = Implicit }, chat.ResultSent, ""},
		{"on this machine, in the clear", mailtest.Options{User: "bot", Password: secret}, account, chat.ResultSent, ""},
		{"no starttls offered", mailtest.Options{User: "bot", Password: secret}, func(o *Options) { account(o); o.TLS = StartTLS }, chat.ResultLater, "TLS"},
		{"a certificate of another name", mailtest.Options{TLS: other}, func(o *Options) { account(o); o.TLS = StartTLS }, chat.ResultLater, "certificate"},
		{"a certificate nobody signed", mailtest.Options{TLS: cert}, func(o *Options) { o.TLS = StartTLS }, chat.ResultLater, "certificate"},
		{"a certificate nobody signed, implicit", mailtest.Options{TLS: cert, Implicit: true}, func(o *Options) { o.TLS = Implicit }, chat.ResultLater, "certificate"},
		{"another password", mailtest.Options{TLS: cert, User: "bot", Password: "another"}, func(o *Options) { account(o); o.TLS = StartTLS }, chat.ResultLater, "refuses the account"},
		{"no account offered", mailtest.Options{TLS: cert}, func(o *Options) { account(o); o.TLS = StartTLS }, chat.ResultLater, "account"},
		{"an account is missing", mailtest.Options{TLS: cert, User: "bot", Password: secret}, func(o *Options) { o.TLS, o.Roots = StartTLS, roots }, chat.ResultLater, "530"},
	} {
		t.Run(c.name, func(t *testing.T) {
			srv := server(t, c.server)
			s := sender(t, srv, c.change)
			got := s.Send(t.Context(), alert(), 0)
			if got.Result != c.want || !strings.Contains(got.Why, c.why) {
				t.Errorf("Send() = %+v, want %s because of %q", got, c.want, c.why)
			}
			if got.Result == chat.ResultLater && got.After != time.Minute {
				t.Errorf("it waits %v, want a minute: somebody must put it right", got.After)
			}
			discreet(t, got.Why)
			if c.want == chat.ResultSent {
				m := only(t, srv)
				if m.TLS != (c.server.TLS != nil) || m.User != "bot" {
					t.Errorf("arrived with TLS %v from %q", m.TLS, m.User)
				}
			} else if strings.Contains(strings.Join(srv.Verbs(), " "), "AUTH") && c.server.TLS == nil {
				t.Error("the password went out in the clear")
			}
			err := s.Check(t.Context())
			if ok := err == nil; ok != (c.want == chat.ResultSent) && c.why != "530" {
				t.Errorf("Check() = %v", err)
			}
			if err != nil {
				discreet(t, err.Error())
			}
		})
	}
}

func TestCheckSendsNothing(t *testing.T) {
	srv := server(t, mailtest.Options{User: "bot", Password: secret})
	if err := sender(t, srv, func(o *Options) { o.User, o.Password = "bot", secret }).Check(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(srv.Verbs(), " "); got != "HELLO EHLO AUTH QUIT" {
		t.Errorf("said %q", got)
	}
}

// Names, subjects and addresses are hostile: no header and no reader comes of them.
func TestNothingIsInjected(t *testing.T) {
	hostile := []string{
		"Mo\r\nBcc: eve@example.com", "Mo\nX-Evil: 1", "Mo\r\n\r\nbody", "\"Mo\" <eve@example.com>", "Mo, eve@example.com", "Mo\x00\x1b[31m", "=?UTF-8?q?a=0D=0ABcc:_eve@example.com?=",
		"Mo\u2028Bcc: eve@example.com", "\u202eoM", strings.Repeat("long ", 200), "\xff\xfe", "Müó 🎣", ".", "\r\n.\r\n",
	}
	for i, h := range hostile {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			srv := server(t, mailtest.Options{})
			m := alert()
			m.Mail.Name, m.Mail.Subject, m.Mail.Thread = h, "Late: "+h, h
			m.Text = h + "\r\n.\r\nMAIL FROM:<eve@example.com>\r\n" + "x"
			if got := sender(t, srv, func(o *Options) { o.From = "bot@example.com" }).Send(t.Context(), m, 0); got.Result != chat.ResultSent {
				t.Fatalf("Send() = %+v, want sent", got)
			}
			got := only(t, srv)
			if got.To != "mo@example.org" {
				t.Errorf("went to %q", got.To)
			}
			for name := range got.Header {
				switch name {
				case "From", "To", "Subject", "Date", "Message-Id", "In-Reply-To", "References", "Auto-Submitted", "X-Auto-Response-Suppress", "List-Unsubscribe", "Importance", "Priority",
					"X-Priority", "X-Msmail-Priority", "Content-Type", "Content-Transfer-Encoding", "Mime-Version":
				default:
					t.Errorf("there is a header %q", name)
				}
				if len(got.Header[name]) != 1 {
					t.Errorf("header %q is there %d times", name, len(got.Header[name]))
				}
			}
			to, err := got.Header.AddressList("To")
			if err != nil || len(to) != 1 || to[0].Address != "mo@example.org" {
				t.Errorf("To is %v, %v: %q", to, err, got.Header.Get("To"))
			}
			if strings.ContainsAny(got.Subject, "\r\n\u2028\u202e\x00\x1b") || len([]rune(got.Subject)) > mostSubject {
				t.Errorf("subject %q", got.Subject)
			}
			if !strings.Contains(got.Body, "MAIL FROM:") {
				t.Errorf("the body ends early: %q", got.Body)
			}
		})
	}
	for _, a := range []string{"", "mo", "mo@example.org\r\nRCPT TO:<eve@example.com>", "mo@example.org>", "a b@example.org", "mo@exam\nple.org", "mo@@example.org", "<mo@example.org>", "mo@example.org,eve@example.com", "mö@example.org", strings.Repeat("m", 250) + "@example.org"} {
		srv := server(t, mailtest.Options{})
		m := alert()
		m.Mail.Address = a
		if got := sender(t, srv, nil).Send(t.Context(), m, 0); got.Result != chat.ResultRefused || len(srv.Mails()) != 0 || len(srv.Verbs()) != 0 {
			t.Errorf("Send() to %q = %+v after %v, want refused before anything is said", a, got, srv.Verbs())
		}
	}
}

func TestNothingToSay(t *testing.T) {
	srv := server(t, mailtest.Options{})
	m := alert()
	m.Text = "<b> </b>\n"
	if got := sender(t, srv, nil).Send(t.Context(), m, 0); got.Result != chat.ResultRefused {
		t.Errorf("Send() of nothing = %+v, want refused", got)
	}
	m = alert()
	m.Mail = nil
	if got := sender(t, srv, nil).Send(t.Context(), m, 0); got.Result != chat.ResultRefused {
		t.Errorf("Send() to nobody = %+v, want refused", got)
	}
}

func TestSettings(t *testing.T) {
	good := Options{Server: "mail.example.com:587", From: "bot@example.com", Now: time.Now}
	if s, err := NewSender(good); err != nil || s.o.TLS != StartTLS {
		t.Errorf("NewSender() = %v, %v, want STARTTLS required", s, err)
	}
	for name, change := range map[string]func(*Options){
		"no port": func(o *Options) { o.Server = "mail.example.com" }, "no host": func(o *Options) { o.Server = ":587" }, "a port of no sense": func(o *Options) { o.Server = "mail.example.com:0" },
		"no sender": func(o *Options) { o.From = "" }, "two senders": func(o *Options) { o.From = "a@example.com, b@example.com" }, "a sender that breaks": func(o *Options) { o.From = "bot@example.com\r\nBcc: x@example.com" },
		"in the clear elsewhere": func(o *Options) { o.TLS = Off }, "by a name that may lead here": func(o *Options) { o.Server, o.TLS = "127.0.0.1.example.com:25", Off },
		"no password": func(o *Options) { o.User = "bot" }, "a word": func(o *Options) { o.TLS = "on" }, "no time": func(o *Options) { o.Now = nil },
	} {
		o := good
		change(&o)
		_, err := NewSender(o)
		if !errors.Is(err, ErrSettings) {
			t.Errorf("%s: NewSender() = %v, want it refused", name, err)
			continue
		}
		discreet(t, strings.ReplaceAll(err.Error(), "same machine", ""))
	}
	for _, host := range []string{"127.0.0.1", "::1", "localhost", "127.8.9.1"} {
		if !Loopback(host) {
			t.Errorf("Loopback(%q) = false", host)
		}
	}
	for _, host := range []string{"127.0.0.1.example.com", "localhost.example.com", "10.0.0.1", "0.0.0.0", ""} {
		if Loopback(host) {
			t.Errorf("Loopback(%q) = true", host)
		}
	}
}
