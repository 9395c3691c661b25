package bottest

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"strconv"
	"sync"
	"time"
)

// trip is how far the delivery of an update has come.
type trip struct {
	underway bool
	fails    int
	delay    time.Duration
	due      time.Time // not before; zero for at once
}

const (
	firstHookDelay   = time.Second
	longestHookDelay = 2 * time.Minute // Telegram draws its longest between one and two
	longestComeAgain = time.Hour       // of a Retry-After
	hookPatience     = 50 * time.Second
)

// Deliver brings the webhook all that is due by the server's clock and returns when nothing more
// is: how many updates it took, and when the next is due, zero for none that waits. Updates of one
// lane go one after the other, the next only after a 2xx to the one before; lanes go side by side.
// What is not taken comes again at once the first time, then after pauses that double, or after
// what the answer's Retry-After says, until it is too old. A nil client is the usual one; Local is
// one that needs no socket. Without a webhook nothing happens.
func (s *Server) Deliver(ctx context.Context, client *http.Client) (taken int, next time.Time) {
	if client == nil {
		client = http.DefaultClient
	}
	c := *client
	c.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	for ctx.Err() == nil {
		var lanes []string
		var most int
		if lanes, most, next = s.dueLanes(); len(lanes) == 0 {
			break
		}
		conns := make(chan struct{}, most)
		var mu sync.Mutex
		var wg sync.WaitGroup
		for _, lane := range lanes {
			wg.Go(func() {
				for ctx.Err() == nil {
					conns <- struct{}{}
					u, h, ok := s.setOut(lane)
					if ok && s.arrived(u, h, post(ctx, &c, h, u.raw)) {
						mu.Lock()
						taken++
						mu.Unlock()
					}
					<-conns
					if !ok {
						return
					}
				}
			})
		}
		wg.Wait()
	}
	return taken, next
}

// dueLanes are the lanes whose first update may set out now. next is when another may.
func (s *Server) dueLanes() (lanes []string, most int, next time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.hook.url == "" {
		return nil, 0, time.Time{}
	}
	s.expire()
	now, seen := s.now(), map[string]bool{}
	for _, u := range s.queue {
		if seen[u.lane] {
			continue
		}
		seen[u.lane] = true
		switch {
		case u.underway: // by another Deliver
		case !u.due.After(now):
			lanes = append(lanes, u.lane)
		case next.IsZero() || u.due.Before(next):
			next = u.due
		}
	}
	return lanes, s.hook.most, next
}

// setOut takes the first update of a lane if it is due.
func (s *Server) setOut(lane string) (*update, hook, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.hook.url == "" {
		return nil, hook{}, false
	}
	s.expire()
	for _, u := range s.queue {
		if u.lane != lane {
			continue
		}
		if u.underway || u.due.After(s.now()) {
			break
		}
		u.underway = true
		return u, s.hook, true
	}
	return nil, hook{}, false
}

// verdict is what became of a delivery.
type verdict struct {
	why   string // "" for taken
	after time.Duration
}

func post(ctx context.Context, c *http.Client, h hook, raw []byte) verdict {
	ctx, cancel := context.WithTimeout(ctx, hookPatience)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, h.url, bytes.NewReader(raw))
	if err != nil {
		return verdict{why: "Invalid URL"}
	}
	req.Header.Set("Content-Type", "application/json")
	if h.secret != "" {
		req.Header.Set("X-Telegram-Bot-Api-Secret-Token", h.secret)
	}
	resp, err := c.Do(req)
	if err != nil {
		var op *net.OpError
		switch {
		case errors.As(err, &op) && op.Op == "dial":
			return verdict{why: "Connection refused"} // from memory
		case errors.Is(err, context.DeadlineExceeded):
			return verdict{why: "Read timeout expired"} // from memory
		}
		return verdict{why: "Webhook connection closed"}
	}
	defer resp.Body.Close()
	io.Copy(io.Discard, io.LimitReader(resp.Body, 1<<20))
	if resp.StatusCode/100 == 2 {
		return verdict{}
	}
	seconds, _ := strconv.Atoi(resp.Header.Get("Retry-After"))
	return verdict{
		why:   "Wrong response from the webhook: " + strconv.Itoa(resp.StatusCode) + " " + http.StatusText(resp.StatusCode),
		after: min(max(time.Duration(seconds)*time.Second, 0), longestComeAgain),
	}
}

// arrived puts down what became of a delivery and says whether the update was taken.
func (s *Server) arrived(u *update, h hook, v verdict) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.hook.set != h.set {
		return false // another webhook, or none: nobody listens to the old one's answer, and the update comes again
	}
	u.underway = false
	if v.why == "" {
		s.forget(u)
		return true
	}
	now := s.now()
	s.hook.failed, s.hook.why = now, v.why
	pause := v.after
	if u.delay == 0 {
		u.delay = firstHookDelay
	}
	if v.after == 0 && u.fails > 0 {
		u.delay = min(2*u.delay, longestHookDelay)
		pause = u.delay
	}
	u.fails++
	u.due = now.Add(pause)
	if u.due.After(u.at.Add(u.keeps())) {
		s.forget(u)
	}
	return false
}

func (s *Server) forget(u *update) {
	for i, q := range s.queue {
		if q == u {
			s.queue = append(s.queue[:i:i], s.queue[i+1:]...)
			return
		}
	}
}
