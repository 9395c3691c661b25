package bottest

import (
	"context"
	"fmt"
	"net/http"
	"time"
)

// Fault is something that goes wrong with calls of the bot.
type Fault struct {
	Method string // "" for any
	Chat   int64  // 0 for any
	Times  int    // 0 for once, -1 until Heal

	Code        int    // answer with this error instead of acting
	Description string // its description; "" for a plausible one
	RetryAfter  int    // seconds, with code 429
	Body        string // answer with this body instead of Telegram's JSON
	Cut         bool   // close the connection before acting
	Lost        bool   // act, then close the connection instead of answering
	Stall       bool   // neither act nor answer until the caller gives up
}

// Inject makes the next calls that match go wrong. Faults are used up in the order they came.
func (s *Server) Inject(f Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f.Times == 0 {
		f.Times = 1
	}
	s.faults = append(s.faults, &f)
}

// Heal takes back all faults that are left.
func (s *Server) Heal() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults = nil
}

func (s *Server) fault(method string, chat int64) *Fault {
	for i, f := range s.faults {
		if f.Method != "" && f.Method != method || f.Chat != 0 && f.Chat != chat {
			continue
		}
		if f.Times > 0 {
			if f.Times--; f.Times == 0 {
				s.faults = append(s.faults[:i:i], s.faults[i+1:]...)
			}
		}
		return f
	}
	return nil
}

// answer answers in the method's place, and says whether it did.
func (f *Fault) answer(ctx context.Context, w http.ResponseWriter) bool {
	switch {
	case f.Cut:
		panic(http.ErrAbortHandler)
	case f.Stall:
		select {
		case <-ctx.Done():
		case <-time.After(time.Hour):
		}
		panic(http.ErrAbortHandler)
	case f.Body != "":
		w.Header().Set("Content-Type", "text/html")
		w.WriteHeader(max(f.Code, http.StatusOK))
		w.Write([]byte(f.Body))
		return true
	case f.Code != 0:
		text := f.Description
		if text == "" {
			text = http.StatusText(f.Code)
			if f.Code == http.StatusTooManyRequests {
				text += fmt.Sprintf(": retry after %d", f.RetryAfter)
			}
		}
		write(w, nil, &refusal{code: f.Code, text: text, after: f.RetryAfter})
		return true
	}
	return false
}
