package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"
	"time"
)

// Poller fetches updates and hands each over before it is confirmed. Telegram forgets an update
// as soon as a later call passes a higher offset; so the offset moves only past updates that
// Take has stored. A crash in between brings an update twice, never not at all.
//
// There may be one Poller per bot: two would take each other's updates away.
type Poller struct {
	Token  string
	Server string       // "" for Telegram's own
	Client *http.Client // nil for one that waits as long as a poll lasts

	// Take stores an update durably. Until it succeeds nothing after that update is taken or
	// confirmed. Updates come again after a crash: it must bear that. The chat is 0 where the
	// update belongs to none or cannot be read.
	Take func(ctx context.Context, updateID string, chatID int64, raw []byte, got time.Time) error

	// Observe, if set, hears of every poll how it went: nil for well. The errors hold no token.
	Observe func(error)

	// CaughtUp, if set, is called once, when everything that waited at the start is stored. Until
	// then Telegram is asked not to hold polls open.
	CaughtUp func()

	// Stored, if set, is called again and again with an instant by which all that had come in is stored.
	Stored func(by time.Time)

	// Again, if set, ends the pause after a failed poll: somebody cannot wait for what may be there.
	Again <-chan struct{}

	Now   func() time.Time // stamps what comes in; nil for time.Now
	Hold  time.Duration    // how long Telegram may keep an empty poll open; 0 for 50 s, the most it does
	Grace time.Duration    // how long the batch in hand may take to be stored once told to stop; 0 for 10 s
}

const (
	mostUpdates  = 100
	mostPollBody = 32 << 20
	longestHold  = 50 * time.Second
	pollSlack    = 15 * time.Second // for an answer after its hold
	confirmLimit = 5 * time.Second
	emptyGap     = time.Second // between polls that end at once with nothing; Telegram slows down who asks faster
	firstPause   = time.Second
	longestPause = 30 * time.Second
)

// Run polls until ctx ends, then stores the batch in hand, confirms what was stored and returns
// nil. It returns an error only when polling on is of no use: ErrToken.
func (p *Poller) Run(ctx context.Context) error {
	taking, done := outlive(ctx, orElse(p.Grace, 10*time.Second))
	defer done()
	var offset, confirmed int64
	fails, behind := 0, p.CaughtUp != nil
	for ctx.Err() == nil {
		gap := time.NewTimer(emptyGap)
		asked := p.now()
		hold := min(orElse(p.Hold, longestHold), longestHold)
		if behind {
			hold = 0
		}
		batch, err := p.fetch(ctx, offset, mostUpdates, hold)
		if err != nil {
			if ctx.Err() != nil {
				break
			}
			p.observe(err.error)
			if err.fatal {
				return err.error
			}
			fails++
			p.rest(ctx, max(err.after, pause(fails)), err.after > 0)
			continue
		}
		fails, confirmed = 0, offset
		p.observe(nil)
		answered := p.now()
		next, took := p.takeAll(taking, batch, offset)
		// Not the highest: after a quiet week Telegram may go on with lower ids.
		stuck := next == offset && len(batch) > 0
		offset = next
		if !took {
			break
		}
		if by, all := storedBy(batch, asked, answered); all && p.Stored != nil {
			p.Stored(by)
		}
		if behind && len(batch) == 0 { // fewer than asked for is not yet all: Telegram sends small batches too
			behind = false
			p.CaughtUp()
			continue
		}
		if len(batch) == 0 || stuck {
			select {
			case <-gap.C:
			case <-ctx.Done():
			}
		}
		gap.Stop()
	}
	if offset != confirmed {
		p.confirm(ctx, offset)
	}
	return nil
}

// A batch is all that waits if it is well below what Telegram gives out at once: 100 updates, about 4 MB (read in its open-source Bot
// API server).
const smallBatch = 1 << 20

// storedBy is the instant by which all that had come in is in the batch: when it was answered, if there was nothing or Telegram had held
// the poll open for it; when it was asked for, if it is small.
func storedBy(batch []json.RawMessage, asked, answered time.Time) (by time.Time, all bool) {
	if len(batch) == 0 || answered.Sub(asked) >= time.Second {
		return answered, true
	}
	size := 0
	for _, raw := range batch {
		size += len(raw)
	}
	return asked, len(batch) < mostUpdates && size < smallBatch
}

// rest waits after a failed poll. Only where Telegram did not say how long may somebody cut it short.
func (p *Poller) rest(ctx context.Context, d time.Duration, told bool) {
	again := p.Again
	if told {
		again = nil
	}
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
	case <-again:
	case <-ctx.Done():
	}
}

// takeAll hands a batch over in order and returns the offset that confirms what was taken. It
// tries an update until it is taken; ok is false when ctx ended before.
func (p *Poller) takeAll(ctx context.Context, batch []json.RawMessage, offset int64) (next int64, ok bool) {
	got := p.now()
	for _, raw := range batch {
		id, n, chatID, err := identify(raw)
		if err != nil {
			p.observe(fmt.Errorf("update is stored all the same: %w", err))
		}
		for fails := 1; ; fails++ {
			err := p.Take(ctx, id, chatID, raw, got)
			if err == nil {
				break
			}
			p.observe(fmt.Errorf("store update %s (attempt %d): %w", id, fails, err))
			if !wait(ctx, pause(fails)) {
				return offset, false
			}
		}
		if n != 0 {
			offset = n + 1
		}
	}
	return offset, true
}

// confirm tells Telegram what was stored. What it answers with is left where it is.
func (p *Poller) confirm(ctx context.Context, offset int64) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), confirmLimit)
	defer cancel()
	if _, err := p.fetch(ctx, offset, 1, 0); err != nil {
		p.observe(fmt.Errorf("confirm the last updates, which will come again: %w", err.error))
	}
}

// pollError is what went wrong with a poll and what to do about it.
type pollError struct {
	error
	fatal bool
	after time.Duration
}

func (p *Poller) fetch(ctx context.Context, offset int64, limit int, hold time.Duration) ([]json.RawMessage, *pollError) {
	ctx, cancel := context.WithTimeout(ctx, hold+pollSlack)
	defer cancel()
	ask, err := json.Marshal(map[string]any{
		"offset": offset, "limit": limit, "timeout": int(hold / time.Second), "allowed_updates": wanted,
	})
	if err != nil {
		return nil, &pollError{error: fmt.Errorf("word a poll: %w", err)}
	}
	url := strings.TrimRight(orElse(p.Server, defaultServer), "/") + "/bot" + p.Token + "/getUpdates"
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, url, bytes.NewReader(ask))
	if err != nil {
		return nil, p.failed("poll for updates: the server's address cannot be used")
	}
	req.Header.Set("Content-Type", "application/json")
	client := p.Client
	if client == nil {
		client = defaultClient
	}
	resp, err := client.Do(req)
	if err != nil {
		return nil, p.failed("poll for updates: " + sayWhy(err, p.Token))
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(io.LimitReader(resp.Body, mostPollBody))
	if err != nil {
		return nil, p.failed("poll for updates: " + sayWhy(err, p.Token))
	}
	var a answer
	if err := json.Unmarshal(body, &a); err != nil {
		return nil, p.failed(fmt.Sprintf("poll for updates: status %d with a body that is not Telegram's", resp.StatusCode))
	}
	if !a.OK {
		return nil, p.refused(a)
	}
	var batch []json.RawMessage
	if err := json.Unmarshal(a.Result, &batch); err != nil {
		return nil, p.failed("poll for updates: the answer is no list")
	}
	return batch, nil
}

func (p *Poller) failed(what string) *pollError {
	return &pollError{error: fmt.Errorf("%s", what)}
}

func (p *Poller) refused(a answer) *pollError {
	why := redact(a.Description, p.Token)
	switch a.Code {
	case http.StatusUnauthorized, http.StatusNotFound: // 404 is how a token of the wrong shape is answered
		return &pollError{error: fmt.Errorf("poll for updates: %w (%d %s)", ErrToken, a.Code, why), fatal: true}
	case http.StatusConflict:
		return &pollError{error: fmt.Errorf("poll for updates: %w (%s)", ErrOtherPoller, why), after: 5 * time.Second}
	case http.StatusTooManyRequests:
		after := time.Duration(a.Parameters.RetryAfter) * time.Second
		return &pollError{error: fmt.Errorf("poll for updates: %w of %s", ErrFlood, after), after: after}
	}
	return &pollError{error: fmt.Errorf("poll for updates: %d %s", a.Code, why)}
}

func (p *Poller) observe(err error) {
	if p.Observe != nil {
		p.Observe(err)
	}
}

func (p *Poller) now() time.Time {
	if p.Now != nil {
		return p.Now()
	}
	return time.Now()
}

// outlive is a context that goes on for a while after ctx ended: what is half done is finished.
func outlive(ctx context.Context, grace time.Duration) (context.Context, func()) {
	longer, cancel := context.WithCancel(context.WithoutCancel(ctx))
	stop := context.AfterFunc(ctx, func() {
		wait(longer, grace)
		cancel()
	})
	return longer, func() {
		stop()
		cancel()
	}
}

// wait reports whether it waited for all of d.
func wait(ctx context.Context, d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return true
	case <-ctx.Done():
		return false
	}
}

// pause is how long to wait after so many failures in a row.
func pause(fails int) time.Duration {
	return min(firstPause<<min(fails-1, 10), longestPause)
}

func orElse[T comparable](v, fallback T) T {
	var zero T
	if v == zero {
		return fallback
	}
	return v
}
