package feed

import (
	"context"
	"math/rand/v2"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// Towards one host: a request at a time, since the free servers serve one per address, a few a
// second, half of what they allow in a minute. A host is left alone after failuresMost failures
// in a row, and at once where it says so.
const (
	perSecond    = 5
	burst        = 5
	failuresMost = 5
	restAfter    = time.Minute
	restMost     = 15 * time.Minute
	forbiddenFor = time.Hour
)

// host paces the requests to one server.
type host struct {
	name string
	rate *rate.Limiter
	slot chan struct{}

	mu       sync.Mutex
	failures int
	rests    int // in a row, each twice as long as the one before
	until    time.Time
	why      Why
}

func newHost(name string) *host {
	return &host{name: name, rate: rate.NewLimiter(perSecond, burst), slot: make(chan struct{}, 1)}
}

// enter waits for the host's slot and pace; leave gives the slot back.
func (h *host) enter(ctx context.Context, now time.Time) (leave func(), err error) {
	if err := h.resting(now); err != nil {
		return nil, err
	}
	select {
	case h.slot <- struct{}{}:
	case <-ctx.Done():
		return nil, &Unavailable{Why: Down, Host: h.name, Err: ctx.Err()}
	}
	if err := h.resting(now); err != nil { // the one before us may have learned it
		<-h.slot
		return nil, err
	}
	if err := h.rate.Wait(ctx); err != nil {
		<-h.slot
		why := Limited
		if ctx.Err() != nil { // the slot came free as the time ran out: the one before us was slow
			why = Down
		}
		return nil, &Unavailable{Why: why, Host: h.name, Err: err}
	}
	return func() { <-h.slot }, nil
}

func (h *host) resting(now time.Time) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if now.Before(h.until) {
		return &Unavailable{Why: h.why, Host: h.name, Until: h.until}
	}
	return nil
}

// learn takes note of how a request made at now went.
func (h *host) learn(why Why, until, now time.Time) time.Time {
	h.mu.Lock()
	defer h.mu.Unlock()
	switch why {
	case "", BadRequest:
		h.failures, h.rests = 0, 0
		return time.Time{}
	case Limited, Forbidden:
		h.until, h.why = until, why
		return h.until
	}
	if h.failures++; h.failures < failuresMost && until.IsZero() {
		return time.Time{}
	}
	rest := min(restAfter<<min(h.rests, 10), restMost)
	h.rests++
	h.failures = 0
	h.until, h.why = now.Add(rest), Resting
	if until.After(h.until) {
		h.until = until
	}
	return h.until
}

// refusal reads a status that is not 200: why, and when to come back. The counters of
// Open-Meteo start anew on the whole minute, hour and UTC day and it sends no Retry-After; a
// little is added at random so that many do not come back in the same second.
func refusal(r *http.Response, reason string, now time.Time) (Why, time.Time) {
	late := time.Duration(rand.Int64N(int64(10 * time.Second)))
	switch {
	case r.StatusCode == http.StatusTooManyRequests:
		until := retryAfter(r, now)
		switch {
		case !until.IsZero():
		case strings.Contains(reason, "Hourly"):
			until = now.Truncate(time.Hour).Add(time.Hour)
		case strings.Contains(reason, "Daily"), strings.Contains(reason, "Monthly"):
			until = now.Truncate(24 * time.Hour).Add(24 * time.Hour)
		case strings.Contains(reason, "concurrent"):
			until = now.Add(10 * time.Second)
		default:
			until = now.Truncate(time.Minute).Add(time.Minute)
		}
		return Limited, until.Add(late)
	case r.StatusCode == http.StatusForbidden:
		return Forbidden, now.Add(forbiddenFor)
	case r.StatusCode == http.StatusServiceUnavailable:
		until := retryAfter(r, now)
		if until.IsZero() {
			until = now.Add(restAfter)
		}
		return Down, until.Add(late)
	case r.StatusCode >= 400 && r.StatusCode < 500:
		return BadRequest, time.Time{}
	}
	return Down, time.Time{}
}

// retryAfter reads the header in seconds, at most a day; the form with a date is not used by
// these services.
func retryAfter(r *http.Response, now time.Time) time.Time {
	s, err := strconv.Atoi(r.Header.Get("Retry-After"))
	if err != nil || s <= 0 {
		return time.Time{}
	}
	return now.Add(min(time.Duration(s)*time.Second, 24*time.Hour))
}
