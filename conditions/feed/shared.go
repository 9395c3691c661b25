package feed

import (
	"context"
	"time"
)

// Shared keeps raw answers where other replicas and the next start of this one find them. It is a convenience: where it
// fails, the feed is asked as if it were not there.
type Shared interface {
	// Load gives what was saved under a key and of when it is; no body and no error if there is nothing.
	Load(ctx context.Context, key string) (body []byte, at time.Time, err error)
	// Save keeps a body for some time.
	Save(ctx context.Context, key string, body []byte, at time.Time, keep time.Duration) error
}

// sharedWithin bounds how long anybody waits for the shared answers.
const sharedWithin = time.Second

// answer gives the answer to a question, and the instant it is of: from a shelf, else as fetched does.
func answer[T any](ctx context.Context, c *Client, s *shelf[T], key string, now time.Time, ask func(context.Context) ([]byte, error), decode func(raw []byte, at time.Time) (T, error)) (T, time.Time, error) {
	return s.get(ctx, c, key, now, func(ctx context.Context) (T, time.Time, error) {
		return fetched(ctx, c, s.ages, key, now, ask, decode)
	})
}

// fetched gives the answer to a question: a fresh one from the shared answers, else by asking, else, where the feed fails, a
// shared one that is not too old to count. decode takes the instant the body is of.
func fetched[T any](ctx context.Context, c *Client, a ages, key string, now time.Time, ask func(context.Context) ([]byte, error), decode func(raw []byte, at time.Time) (T, error)) (T, time.Time, error) {
	shared, at := c.recall(ctx, key)
	if within(at, now, a.fresh) {
		if v, err := decode(shared, at); err == nil {
			return v, at, nil
		}
	}
	raw, err := ask(ctx)
	if err == nil {
		v, err := decode(raw, now)
		if err == nil {
			c.remember(ctx, key, raw, now, a.refuse)
		}
		return v, now, err
	}
	if within(at, now, a.refuse) {
		if v, bad := decode(shared, at); bad == nil {
			return v, at, nil
		}
	}
	var none T
	return none, time.Time{}, err
}

func (c *Client) recall(ctx context.Context, key string) ([]byte, time.Time) {
	if c.shared == nil {
		return nil, time.Time{}
	}
	ctx, cancel := context.WithTimeout(ctx, sharedWithin)
	defer cancel()
	body, at, err := c.shared.Load(ctx, key)
	if err != nil || body == nil {
		return nil, time.Time{}
	}
	return body, at
}

func (c *Client) remember(ctx context.Context, key string, body []byte, at time.Time, keep time.Duration) {
	if c.shared == nil {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, sharedWithin)
	defer cancel()
	_ = c.shared.Save(ctx, key, body, at, keep) // asked again elsewhere, at worst
}
