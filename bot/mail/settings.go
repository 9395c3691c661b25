package mail

import (
	"crypto/x509"
	"errors"
	"fmt"
	"net"
	"net/mail"
	"strconv"
	"strings"
	"time"
)

// TLS says how the line to the server is kept from others' eyes.
type TLS string

// The ways there are. Off is for a server on the same machine only.
const (
	StartTLS TLS = "starttls" // a plain line that must turn to TLS before anything is said (RFC 3207)
	Implicit TLS = "implicit" // TLS from the first byte (RFC 8314, port 465)
	Off      TLS = "off"
)

// Options say how to reach the mail server.
type Options struct {
	Server   string // host:port
	User     string // "" to send without logging in
	Password string
	From     string // who the mails are from: an address that somebody reads, or Name <address>
	TLS      TLS    // "" for StartTLS, or for Off when the server is on loopback

	Now     func() time.Time // for the Date of a mail
	Timeout time.Duration    // of one attempt; 0 for 20 s
	Roots   *x509.CertPool   // nil for the system's
}

// ErrSettings is what cannot be: its text names no value.
var ErrSettings = errors.New("mail settings")

// read checks the options and takes them apart.
func (o Options) read() (s Sender, err error) {
	host, port, err := net.SplitHostPort(o.Server)
	n, perr := strconv.Atoi(port)
	if err != nil || perr != nil || host == "" || n < 1 || n > 65535 {
		return s, fmt.Errorf("%w: the server is not host:port", ErrSettings)
	}
	from, err := mail.ParseAddress(o.From)
	if err != nil || !plainAddress(from.Address) {
		return s, fmt.Errorf("%w: the sender is no address, nor Name <address>", ErrSettings)
	}
	if o.TLS == "" {
		if o.TLS = StartTLS; Loopback(host) {
			o.TLS = Off
		}
	}
	switch o.TLS {
	case StartTLS, Implicit:
	case Off:
		if !Loopback(host) {
			return s, fmt.Errorf("%w: without TLS only to a server on the same machine", ErrSettings)
		}
	default:
		return s, fmt.Errorf("%w: TLS is one of starttls, implicit, off", ErrSettings)
	}
	if o.User != "" && o.Password == "" {
		return s, fmt.Errorf("%w: an account without a password", ErrSettings)
	}
	if o.Timeout == 0 {
		o.Timeout = 20 * time.Second
	}
	if o.Now == nil {
		return s, fmt.Errorf("%w: nobody tells the time", ErrSettings)
	}
	_, domain, _ := strings.Cut(from.Address, "@")
	return Sender{o: o, host: host, port: n, from: *from, domain: domain}, nil
}

// Loopback says whether a host is this machine by its own word: what a name leads to is not asked.
func Loopback(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// plainAddress says whether an address has nothing that could end a command or a header: printable ASCII, one @.
func plainAddress(a string) bool {
	return strings.Count(a, "@") == 1 && len(a) >= 3 && len(a) <= 254 &&
		strings.IndexFunc(a, func(r rune) bool { return r <= ' ' || r > '~' || strings.ContainsRune(`<>()[]\,;:"`, r) }) < 0
}
