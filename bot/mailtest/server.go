// Package mailtest is a mail server that behaves (RFC 5321, with STARTTLS after RFC 3207 and AUTH PLAIN after RFC 4954) and
// misbehaves when told to, for tests. It listens on loopback, keeps what it accepted and hands nothing on.
package mailtest

import (
	"bufio"
	"crypto/tls"
	"encoding/base64"
	"fmt"
	"io"
	"mime"
	"net"
	"net/mail"
	"strings"
	"sync"
)

// Mail is one that the server said 250 to.
type Mail struct {
	From, To string // of the envelope
	Raw      string // as it came, dots unstuffed
	Header   mail.Header
	Subject  string // decoded
	Body     string // decoded, lines ended by \n
	TLS      bool   // it came over TLS
	User     string // who had logged in, "" for nobody
}

// A Fault is what happens to one command, before anything else is looked at.
type Fault struct {
	Verb  string // HELLO (the greeting), EHLO, STARTTLS, AUTH, MAIL, RCPT, DATA, END (the dot after the text), NOOP, RSET, QUIT
	To    string // with RCPT, DATA and END: only for this address; "" for all
	Reply string // the answer, such as "550 5.1.1 nobody here"; "" with Cut or Mute
	Cut   bool   // the line is cut, after Reply if there is one
	Kept  bool   // with END: the mail is accepted all the same
	Mute  bool   // no answer until the client goes away
	Times int    // how often; 0: once; negative: always
}

// Options say what the server offers.
type Options struct {
	TLS      *tls.Config // offered as STARTTLS; nil: not offered
	Implicit bool        // TLS from the first byte
	User     string      // with Password: nobody may send without
	Password string
}

// Server is the mail server.
type Server struct {
	Addr string // host:port
	opts Options
	l    net.Listener

	mu     sync.Mutex
	mails  []Mail
	faults []Fault
	seen   []string // verbs, in the order they came
	conns  map[net.Conn]bool
	down   bool
	wg     sync.WaitGroup
}

// Start listens on a free port of loopback.
func Start(o Options) (*Server, error) {
	s := &Server{opts: o, conns: map[net.Conn]bool{}}
	return s, s.listen("127.0.0.1:0")
}

func (s *Server) listen(addr string) error {
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return fmt.Errorf("listen for mail: %w", err)
	}
	s.mu.Lock()
	s.l, s.Addr, s.down = l, l.Addr().String(), false
	s.mu.Unlock()
	s.wg.Go(func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			s.mu.Lock()
			if s.down {
				s.mu.Unlock()
				_ = c.Close()
				continue
			}
			s.conns[c] = true
			s.mu.Unlock()
			s.wg.Go(func() {
				defer func() {
					_ = c.Close()
					s.mu.Lock()
					delete(s.conns, c)
					s.mu.Unlock()
				}()
				s.serve(c)
			})
		}
	})
	return nil
}

// Down stops listening: connections are refused from now on.
func (s *Server) Down() {
	s.mu.Lock()
	s.down = true
	_ = s.l.Close()
	for c := range s.conns {
		_ = c.Close()
	}
	s.mu.Unlock()
	s.wg.Wait()
}

// Up listens again, at the same address.
func (s *Server) Up() error { return s.listen(s.Addr) }

// Close ends the server.
func (s *Server) Close() { s.Down() }

// Inject lets something go wrong.
func (s *Server) Inject(f Fault) {
	if f.Times == 0 {
		f.Times = 1
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults = append(s.faults, f)
}

// Heal takes all faults back.
func (s *Server) Heal() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults = nil
}

// Mails are those accepted so far.
func (s *Server) Mails() []Mail {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]Mail(nil), s.mails...)
}

// Verbs are the commands that came so far.
func (s *Server) Verbs() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]string(nil), s.seen...)
}

func (s *Server) fault(verb, to string) (Fault, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.seen = append(s.seen, verb)
	for i := range s.faults {
		f := &s.faults[i]
		if f.Verb != verb || f.Times == 0 || f.To != "" && !strings.EqualFold(f.To, to) {
			continue
		}
		if f.Times > 0 {
			f.Times--
		}
		return *f, true
	}
	return Fault{}, false
}

// session is one connection.
type session struct {
	s    *Server
	conn net.Conn
	r    *bufio.Reader
	tls  bool
	user string
	from string
	to   string
}

func (s *Server) serve(c net.Conn) {
	x := &session{s: s, conn: c}
	if s.opts.Implicit {
		t := tls.Server(c, s.opts.TLS)
		if t.Handshake() != nil {
			return
		}
		x.conn, x.tls = t, true
	}
	x.r = bufio.NewReader(x.conn)
	if !x.answer("HELLO", "220 mail.example.org ready") {
		return
	}
	for {
		line, err := x.r.ReadString('\n')
		if err != nil {
			return
		}
		verb, rest, _ := strings.Cut(strings.TrimRight(line, "\r\n"), " ")
		if !x.command(strings.ToUpper(verb), rest) {
			return
		}
	}
}

// answer gives the answer, or what a fault makes of it. more is false when the connection is over.
func (x *session) answer(verb, reply string) (more bool) {
	f, bad := x.s.fault(verb, x.to)
	if !bad {
		return x.say(reply)
	}
	if f.Mute {
		_, _ = io.Copy(io.Discard, x.r)
		return false
	}
	if f.Reply != "" {
		x.say(f.Reply)
	}
	return !f.Cut
}

func (x *session) say(reply string) bool {
	_, err := io.WriteString(x.conn, reply+"\r\n")
	return err == nil
}

// ok is answer, and whether a good reply went out.
func (x *session) ok(verb, reply string) (more, good bool) {
	f, bad := x.s.fault(verb, x.to)
	if !bad {
		return x.say(reply), true
	}
	if f.Mute {
		_, _ = io.Copy(io.Discard, x.r)
		return false, false
	}
	if f.Reply != "" {
		x.say(f.Reply)
	}
	return !f.Cut, strings.HasPrefix(f.Reply, "2") || strings.HasPrefix(f.Reply, "3")
}

func (x *session) command(verb, rest string) (more bool) {
	switch verb {
	case "EHLO", "HELO":
		lines := []string{"mail.example.org", "8BITMIME", "ENHANCEDSTATUSCODES"}
		if x.s.opts.TLS != nil && !x.tls {
			lines = append(lines, "STARTTLS")
		}
		if x.s.opts.User != "" {
			lines = append(lines, "AUTH PLAIN")
		}
		for i := range lines {
			sep := "-"
			if i == len(lines)-1 {
				sep = " "
			}
			lines[i] = "250" + sep + lines[i]
		}
		return x.answer("EHLO", strings.Join(lines, "\r\n"))
	case "STARTTLS":
		more, good := x.ok("STARTTLS", "220 2.0.0 go on")
		if !good {
			return more
		}
		t := tls.Server(x.conn, x.s.opts.TLS)
		if t.Handshake() != nil {
			return false
		}
		x.conn, x.r, x.tls, x.user, x.from, x.to = t, bufio.NewReader(t), true, "", "", ""
		return true
	case "AUTH":
		return x.auth(rest)
	case "MAIL":
		if x.s.opts.User != "" && x.user == "" {
			return x.say("530 5.7.0 log in first")
		}
		more, good := x.ok("MAIL", "250 2.1.0 ok")
		if good {
			x.from, x.to = path(rest), ""
		}
		return more
	case "RCPT":
		if x.from == "" {
			return x.say("503 5.5.1 MAIL first")
		}
		x.to = path(rest)
		more, good := x.ok("RCPT", "250 2.1.5 ok")
		if !good {
			x.to = ""
		}
		return more
	case "DATA":
		if x.to == "" {
			return x.say("503 5.5.1 RCPT first")
		}
		more, good := x.ok("DATA", "354 end with a dot")
		if !good {
			return more
		}
		return x.text()
	case "RSET":
		x.from, x.to = "", ""
		return x.answer("RSET", "250 2.0.0 ok")
	case "NOOP":
		return x.answer("NOOP", "250 2.0.0 ok")
	case "QUIT":
		x.answer("QUIT", "221 2.0.0 bye")
		return false
	}
	return x.say("502 5.5.2 not known")
}

func path(rest string) string {
	_, a, _ := strings.Cut(rest, "<")
	a, _, _ = strings.Cut(a, ">")
	return a
}

func (x *session) auth(rest string) (more bool) {
	mech, initial, _ := strings.Cut(rest, " ")
	raw, err := base64.StdEncoding.DecodeString(initial)
	if !strings.EqualFold(mech, "PLAIN") || err != nil {
		return x.say("504 5.5.4 not known")
	}
	p := strings.Split(string(raw), "\x00")
	if len(p) != 3 || p[1] != x.s.opts.User || p[2] != x.s.opts.Password {
		return x.answer("AUTH", "535 5.7.8 no")
	}
	more, good := x.ok("AUTH", "235 2.7.0 welcome")
	if good {
		x.user = p[1]
	}
	return more
}

// text reads up to the dot.
func (x *session) text() (more bool) {
	var raw strings.Builder
	for {
		line, err := x.r.ReadString('\n')
		if err != nil {
			return false // cut off by the client: nothing was accepted
		}
		if line == ".\r\n" {
			break
		}
		raw.WriteString(strings.TrimPrefix(line, "."))
	}
	f, bad := x.s.fault("END", x.to)
	if !bad || f.Kept {
		x.keep(raw.String())
	}
	x.from = ""
	switch {
	case !bad:
		return x.say("250 2.0.0 taken")
	case f.Mute:
		_, _ = io.Copy(io.Discard, x.r)
		return false
	}
	if f.Reply != "" {
		x.say(f.Reply)
	}
	return !f.Cut
}

func (x *session) keep(raw string) {
	m := Mail{From: x.from, To: x.to, Raw: raw, TLS: x.tls, User: x.user}
	if msg, err := mail.ReadMessage(strings.NewReader(raw)); err == nil {
		m.Header = msg.Header
		m.Subject, _ = new(mime.WordDecoder).DecodeHeader(msg.Header.Get("Subject"))
		m.Body = body(msg)
	}
	x.s.mu.Lock()
	defer x.s.mu.Unlock()
	x.s.mails = append(x.s.mails, m)
}
