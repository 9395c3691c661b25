package vitals

import (
	"context"
	"log/slog"
	"net/http"
	"sync"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/session"
)

// Options of a Vitals.
type Options struct {
	Now   func() time.Time // required
	Log   *slog.Logger     // nil: nothing is logged
	Gauge session.Gauge    // the store that is watched; nil: what waits stays unknown, which is a trouble

	// Heard says by when all that people said is stored, as far as any replica knows: where another polls, or a webhook is quiet,
	// nothing else does. nil: only our own polls count.
	Heard func(ctx context.Context) (time.Time, error)
	// FeedWhys are the words with which a feed may fail; any other counts as "other".
	FeedWhys []string
	Bounds   Bounds

	// Watchdog is the address to call after a healthy cycle, empty for none. It is a secret and is never logged.
	Watchdog string
	Every    time.Duration     // between two calls at least; 0: a minute
	Client   http.RoundTripper // nil: the network
}

// Vitals keeps what happened. A nil one hears nothing: its methods that report may be called all the same. It is safe for
// concurrent use and holds its lock for moments only.
type Vitals struct {
	o       Options
	b       Bounds
	m       *metrics
	mu      sync.Mutex
	f       facts
	dog     *dog
	triesAt session.Shard
}

// New makes one. It calls nobody; see Run.
func New(o Options) *Vitals {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Every == 0 {
		o.Every = time.Minute
	}
	v := &Vitals{o: o, b: o.Bounds.filled()}
	v.m = newMetrics(v)
	v.dog = newDog(o)
	return v
}

func (v *Vitals) facts() facts {
	v.mu.Lock()
	defer v.mu.Unlock()
	return v.f
}

// Handled is pump.Observer.
func (v *Vitals) Handled(aside bool) {
	if v == nil {
		return
	}
	if aside {
		v.m.letters.add("aside")
	} else {
		v.m.letters.add("handled")
	}
}

// Sent is pump.Observer.
func (v *Vitals) Sent(lane session.Lane, r chat.Result) {
	if v == nil {
		return
	}
	v.m.sends.add(string(lane), string(r))
}

// Round is pump.Observer.
func (v *Vitals) Round(clean []session.Shard, err error) {
	if v == nil {
		return
	}
	if err != nil {
		v.m.rounds.add("failed")
	} else {
		v.m.rounds.add("clean")
	}
	now := v.o.Now()
	v.mu.Lock()
	defer v.mu.Unlock()
	v.f.turned = now
	for _, s := range clean {
		v.f.shards[s].clean = now
	}
}

// Polled hears how a poll went, or the taking of an update that was brought: one of the Poll words.
func (v *Vitals) Polled(how string) {
	if v == nil {
		return
	}
	v.m.polls.add(how)
	now := v.o.Now()
	v.mu.Lock()
	defer v.mu.Unlock()
	if how == PollOK {
		v.f.polled = now
	}
}

// Reconciled hears how many deadlines had to be mended, and whether all could be compared.
func (v *Vitals) Reconciled(mended int, err error) {
	if v == nil {
		return
	}
	v.m.mended.Add(float64(mended))
	if err != nil {
		v.m.compared.add("failed")
	} else {
		v.m.compared.add("done")
	}
}

// Fed hears what asking a feed came to: one of the Feed names, and FeedOK, FeedPartly or one of Options.FeedWhys.
func (v *Vitals) Fed(feed, why string) {
	if v == nil {
		return
	}
	v.m.feeds.add(feed, why)
}
