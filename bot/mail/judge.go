package mail

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net"
	"net/textproto"
	"os"

	gomail "github.com/wneessen/go-mail"

	"ledgehand/bot/chat"
)

// judgeDial says what became of an attempt that never got as far as the mail: it waits.
func judgeDial(err error) chat.Sent {
	out := chat.Sent{Result: chat.ResultLater, Apart: true}
	var said *textproto.Error
	var op *net.OpError
	var bad *tls.CertificateVerificationError
	var unknown x509.UnknownAuthorityError
	switch {
	case errors.As(err, &said):
		out.Why, out.After = fmt.Sprintf("the server answers %d before any mail", said.Code), whileBroken
		if said.Code == 535 || said.Code == 534 {
			out.Why = fmt.Sprintf("the server refuses the account (%d)", said.Code)
		}
	case errors.As(err, &bad), errors.As(err, &unknown):
		out.Why, out.After = "the server's certificate is not one for its name, or nobody we trust signed it", whileBroken
	case errors.Is(err, os.ErrDeadlineExceeded), errors.Is(err, context.DeadlineExceeded):
		out.Why = "the server does not answer in time"
	case errors.As(err, &op) && op.Op == "dial":
		out.Why = "the server cannot be reached"
	default:
		out.Why, out.After = "no line to the server with what was asked for (TLS, an account)", whileBroken
		if op != nil {
			out.Why, out.After = "the line to the server was cut", 0
		}
	}
	return out
}

// judgeSend says what became of a mail on a line that stood.
func judgeSend(err error, taken bool) chat.Sent {
	if err == nil || taken { // what goes wrong after the mail was taken is of no matter
		return chat.Sent{Result: chat.ResultSent}
	}
	var e *gomail.SendError
	if !errors.As(err, &e) {
		return chat.Sent{Result: chat.ResultLater, Apart: true, Why: "the line to the server was cut before the mail"}
	}
	code := e.ErrorCode()
	out := chat.Sent{Why: where[e.Reason]}
	if out.Why == "" {
		out.Why = "before the mail"
	}
	if code != 0 {
		out.Why = fmt.Sprintf("%d %s", code, out.Why)
	}
	if s := e.EnhancedStatusCode(); s != "" {
		out.Why = s + " " + out.Why
	}
	switch {
	case code == 0 && e.Reason == gomail.ErrSMTPDataClose:
		out.Result = chat.ResultUnknown // all of it was said; the answer is lost
	case code == 0: // cut before the end: a server takes nothing that is not ended (RFC 5321, 4.1.1.4)
		out.Result, out.Apart = chat.ResultLater, true
	case code < 500:
		out.Result, out.Apart, out.After = chat.ResultLater, true, whileDeferred
	case e.Reason == gomail.ErrSMTPRcptTo:
		out.Result = chat.ResultBlocked
	case e.Reason == gomail.ErrSMTPMailFrom: // it is we who are not wanted: for whoever runs the bot to put right
		out.Result, out.Apart, out.After = chat.ResultLater, true, whileBroken
	default:
		out.Result = chat.ResultRefused
	}
	return out
}

// where says at which step of a mail something went wrong.
var where = map[gomail.SendErrReason]string{
	gomail.ErrSMTPMailFrom: "at the sender", gomail.ErrSMTPRcptTo: "at the recipient", gomail.ErrSMTPData: "at the text",
	gomail.ErrWriteContent: "in the text", gomail.ErrSMTPDataClose: "after the text",
}
