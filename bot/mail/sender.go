package mail

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/mail"
	"time"

	gomail "github.com/wneessen/go-mail"
	"github.com/wneessen/go-mail/smtp"

	"ledgehand/bot/chat"
)

// Sender sends mails through one server.
type Sender struct {
	o      Options
	host   string
	port   int
	from   mail.Address
	domain string // of the sender
}

// NewSender prepares a Sender. It calls nobody.
func NewSender(o Options) (*Sender, error) {
	s, err := o.read()
	if err != nil {
		return nil, err
	}
	return &s, nil
}

var (
	errNoAddress = errors.New("no address that can be written to")
	errNoText    = errors.New("nothing to say: the text is empty")
)

// Send makes one attempt at a mail. A mail cannot be changed: edit is ignored.
func (s *Sender) Send(ctx context.Context, m chat.Message, _ int) (sent chat.Sent) {
	defer func() {
		if v := recover(); v != nil { // of the library: what it was panicked with may quote the mail
			sent = chat.Sent{Result: chat.ResultUnknown, Why: fmt.Sprintf("sending a mail panicked (%T)", v)}
		}
	}()
	msg, err := s.compose(m)
	if err != nil {
		return chat.Sent{Result: chat.ResultRefused, Why: err.Error()}
	}
	client, line, hangUp, err := s.dial(ctx)
	defer hangUp()
	if err != nil {
		return judgeDial(err)
	}
	err = client.SendWithSMTPClient(line, msg)
	if err == nil {
		_ = line.Quit() // the mail is taken already
	}
	return judgeSend(err, msg.IsDelivered())
}

// Check connects and logs in, and sends nothing.
func (s *Sender) Check(ctx context.Context) error {
	_, line, hangUp, err := s.dial(ctx)
	defer hangUp()
	if err != nil {
		return errors.New(judgeDial(err).Why)
	}
	_ = line.Quit()
	return nil
}

// dial has a line to the server on which the next thing said is a mail. hangUp ends it, whatever became of it: the library
// leaves a line open on which it fails to greet.
func (s *Sender) dial(ctx context.Context) (c *gomail.Client, line *smtp.Client, hangUp func(), err error) {
	var conn net.Conn
	hangUp = func() {
		if conn != nil {
			_ = conn.Close()
		}
	}
	step := s.o.Timeout / 2 // once for greeting and logging in, once for the mail
	secure := &tls.Config{ServerName: s.host, MinVersion: tls.VersionTLS12, RootCAs: s.o.Roots}
	opts := []gomail.Option{
		gomail.WithPort(s.port), gomail.WithTimeout(step), gomail.WithHELO(s.domain), gomail.WithTLSConfig(secure),
		gomail.WithoutNoop(), gomail.WithoutRset(), gomail.WithoutSMTPUTF8(),
		gomail.WithDialContextFunc(func(ctx context.Context, network, address string) (net.Conn, error) {
			c, err := new(net.Dialer).DialContext(ctx, network, address)
			if err != nil {
				return nil, err
			}
			if conn = c; s.o.TLS == Implicit {
				t := tls.Client(c, secure)
				if err := t.HandshakeContext(ctx); err != nil {
					return nil, err
				}
				conn = t
			}
			return conn, nil
		}),
	}
	switch s.o.TLS {
	case StartTLS:
		opts = append(opts, gomail.WithTLSPolicy(gomail.TLSMandatory))
	default: // encrypted already, or not at all
		opts = append(opts, gomail.WithTLSPolicy(gomail.NoTLS))
	}
	if s.o.User != "" {
		how := []gomail.SMTPAuthType{gomail.SMTPAuthSCRAMSHA256, gomail.SMTPAuthPlain, gomail.SMTPAuthLogin}
		if s.o.TLS == Off { // to this machine only
			how = []gomail.SMTPAuthType{gomail.SMTPAuthSCRAMSHA256, gomail.SMTPAuthPlainNoEnc, gomail.SMTPAuthLoginNoEnc}
		}
		opts = append(opts, gomail.WithOpportunisticSMTPAuth(how...), gomail.WithUsername(s.o.User), gomail.WithPassword(s.o.Password))
	}
	if c, err = gomail.NewClient(s.host, opts...); err != nil {
		return nil, nil, hangUp, err
	}
	ctx, cancel := context.WithTimeout(ctx, step)
	defer cancel()
	line, err = c.DialToSMTPClientWithContext(ctx)
	return c, line, hangUp, err
}

// whileBroken is how long a mail waits when the settings do not fit the server: for a person to put it right. whileDeferred is how long
// one waits that the server does not take for now (greylisting asks for minutes; common practice, no source). An alert waits no longer.
const (
	whileBroken   = time.Minute
	whileDeferred = time.Minute
)
