package telegram

import (
	"bytes"
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"sync/atomic"
	"time"
)

// Webhook receives the updates that Telegram delivers by itself, the other way beside Poller: what
// is behind Take is the same. An update is answered with 200 only once Take has stored it; any
// other answer makes Telegram keep it and come again, until it is too old: a day, for a tap 150
// seconds. Any number of Webhooks may stand behind one address, since Telegram waits for the answer
// to one message of a chat before it sends the next.
//
// It answers 405 to what is no POST, 401 to who does not know the secret, 413 to a body that is too
// large, 400 to one that is no JSON object, 503 when there is too much at once or nothing can be
// stored. What is an object is stored, whether anybody understands it or not: the one who reads it
// later can still do something about it, Telegram cannot.
type Webhook struct {
	// Secret is what SetWebhook gave to Telegram: 1 to 256 of A-Z, a-z, 0-9, _ and -. Without a good
	// one nobody is let in; Check tells.
	Secret string

	// Take stores an update durably, as with Poller; here updates of different chats come at the same
	// time. Its context is not the request's: a caller who hangs up does not cut a write short.
	Take func(ctx context.Context, updateID string, chatID int64, raw []byte, got time.Time) error

	// Observe, if set, hears of every call how it went: nil for stored. What strangers do is
	// ErrStranger. The errors hold neither the secret nor what anybody wrote. It must bear being
	// called from several goroutines.
	Observe func(error)

	Now    func() time.Time // stamps what comes in; nil for time.Now
	Most   int64            // bytes of one body; 0 for 1 MiB, far more than Telegram sends
	AtOnce int              // bodies in hand at the same time; 0 for 64, more than Telegram has connections to us
	Limit  time.Duration    // how long a body may take to come in, and then to be stored; 0 for 20 s each: Telegram waits for 50

	inHand atomic.Int64
}

const (
	secretHeader = "X-Telegram-Bot-Api-Secret-Token"
	mostSecret   = 256
	mostHookBody = 1 << 20
	mostHooks    = 64
	hookLimit    = 20 * time.Second

	// Telegram's own pauses double up to two minutes. A store that is back must not wait that long
	// for somebody's "off", and a tap does not live that long.
	hookComeAgain = 5 * time.Second
)

// Check says what is wrong with the settings, before anybody calls.
func (h *Webhook) Check() error {
	if h.Take == nil {
		return errors.New("webhook: there is nothing to store updates with")
	}
	if err := checkSecret(h.Secret); err != nil {
		return fmt.Errorf("webhook: %w", err)
	}
	return nil
}

// checkSecret holds a secret against Telegram's rules, without repeating it.
func checkSecret(secret string) error {
	if len(secret) < 1 || len(secret) > mostSecret {
		return fmt.Errorf("the secret has %d characters, want 1 to %d", len(secret), mostSecret)
	}
	for _, c := range []byte(secret) {
		switch {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '_', c == '-':
		default:
			return errors.New("the secret has a character that is none of A-Z, a-z, 0-9, _ and -")
		}
	}
	return nil
}

// ServeHTTP takes one update.
func (h *Webhook) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	status, err := h.receive(w, r)
	h.observe(err)
	switch status {
	case http.StatusOK: // and nothing in it: a body may be taken for a call of the Bot API
		w.WriteHeader(status)
		return
	case http.StatusMethodNotAllowed:
		w.Header().Set("Allow", http.MethodPost)
	case http.StatusServiceUnavailable:
		w.Header().Set("Retry-After", strconv.Itoa(int(hookComeAgain/time.Second)))
	}
	if status != http.StatusServiceUnavailable {
		// Else the server would read on, for as long as it takes, to where the next request begins.
		w.Header().Set("Connection", "close")
		stopReading(w, time.Unix(0, 0))
	}
	http.Error(w, http.StatusText(status), status)
}

// receive does all but answer. err is nil only with 200.
func (h *Webhook) receive(w http.ResponseWriter, r *http.Request) (status int, err error) {
	if r.Method != http.MethodPost {
		return http.StatusMethodNotAllowed, fmt.Errorf("%w: not a POST", ErrStranger)
	}
	if !h.knows(r.Header) {
		return http.StatusUnauthorized, fmt.Errorf("%w: the secret is missing or another", ErrStranger)
	}
	atOnce := int64(orElse(h.AtOnce, mostHooks))
	defer h.inHand.Add(-1)
	if h.inHand.Add(1) > atOnce {
		return http.StatusServiceUnavailable, fmt.Errorf("receive an update: %d are in hand, which is the most", atOnce)
	}
	raw, err := h.read(w, r)
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		return http.StatusRequestEntityTooLarge, fmt.Errorf("receive an update: more than %d bytes", large.Limit)
	case err != nil:
		return http.StatusBadRequest, fmt.Errorf("receive an update: %w", err)
	case !isObject(raw):
		return http.StatusBadRequest, fmt.Errorf("receive an update: %d bytes that are no JSON object", len(raw))
	}
	got := h.now()
	id, _, chatID, err := identify(raw)
	if err != nil {
		h.observe(fmt.Errorf("update is stored all the same: %w", err))
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(r.Context()), orElse(h.Limit, hookLimit))
	defer cancel()
	if err := h.Take(ctx, id, chatID, raw, got); err != nil {
		return http.StatusServiceUnavailable, fmt.Errorf("store update %s: %w", id, err)
	}
	return http.StatusOK, nil
}

// knows says whether the caller knows the secret. Digests are compared, so that neither the time nor
// the length tells how near a guess came.
func (h *Webhook) knows(header http.Header) bool {
	said := header.Values(secretHeader)
	if len(said) != 1 || checkSecret(h.Secret) != nil {
		return false
	}
	theirs, ours := sha256.Sum256([]byte(said[0])), sha256.Sum256([]byte(h.Secret))
	return subtle.ConstantTimeCompare(theirs[:], ours[:]) == 1
}

func (h *Webhook) read(w http.ResponseWriter, r *http.Request) ([]byte, error) {
	most := orElse(h.Most, mostHookBody)
	if r.ContentLength > most {
		return nil, &http.MaxBytesError{Limit: most}
	}
	stopReading(w, time.Now().Add(orElse(h.Limit, hookLimit))) // what trickles in must not keep its place for ever
	raw, err := io.ReadAll(http.MaxBytesReader(w, r.Body, most))
	if err == nil {
		stopReading(w, time.Time{})
	}
	return raw, err
}

// stopReading sets when nothing more is read from the caller; never for zero. A server that cannot
// do that, as in tests, has no slow callers.
func stopReading(w http.ResponseWriter, at time.Time) {
	_ = http.NewResponseController(w).SetReadDeadline(at)
}

func isObject(raw []byte) bool {
	return bytes.HasPrefix(bytes.TrimLeft(raw, " \t\r\n"), []byte("{")) && json.Valid(raw)
}

func (h *Webhook) observe(err error) {
	if h.Observe != nil {
		h.Observe(err)
	}
}

func (h *Webhook) now() time.Time {
	if h.Now != nil {
		return h.Now()
	}
	return time.Now()
}
