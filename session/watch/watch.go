// Package watch is the look at the water from a safe place before going down: a timer with
// three prompts and a count of waves that would have reached the feet. It is pure. It gives
// no pass mark: what a dry watch can and cannot show is worked out in conditions/ledge.
package watch

import (
	"errors"
	"slices"
	"time"
)

// Version is the stored form.
const Version = 1

// Shortest is the least that is called a watch. Australian beach-safety advice and Recfishwest: about
// 20 minutes; 15 to 20 is usual (common practice, no source). Longest keeps a forgotten one from running on.
const (
	Shortest = 15 * time.Minute
	Usual    = 20 * time.Minute
	Longest  = 90 * time.Minute
)

// Watch is one look at one ledge.
type Watch struct {
	V         int           `json:"v"`
	ID        string        `json:"id"`
	Crew      string        `json:"crew"`
	Chat      int64         `json:"chat"`
	Thread    int           `json:"thread,omitempty"`
	Ledge     string        `json:"ledge"`
	Zone      string        `json:"zone"`
	By        int64         `json:"by"`
	ByName    string        `json:"by_name"`
	Outing    string        `json:"outing,omitempty"`
	StartedAt time.Time     `json:"started_at"`
	Length    time.Duration `json:"length"`
	Waves     []time.Time   `json:"waves,omitempty"` // when a wave would have reached the feet
	Prompts   int           `json:"prompts,omitempty"`
	EndedAt   time.Time     `json:"ended_at,omitzero"`
	Stopped   bool          `json:"stopped,omitempty"` // ended by hand before its time
	Sea       Sea           `json:"sea,omitzero"`
	Deaf      []Window      `json:"deaf,omitempty"` // when taps may have been lost: the bot or the chat service was down

	Language string `json:"language,omitempty"` // what is read in Chat, "": as the crew
}

// Window is a time within a watch.
type Window struct {
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
}

// Sea is the state the watch was held in, as forecast: what the count is worth later depends on it.
type Sea struct {
	Known     bool     `json:"known,omitempty"`
	Hs        float64  `json:"hs,omitempty"`         // m at the ledge's foot
	Tz        float64  `json:"tz,omitempty"`         // s
	Rc        float64  `json:"rc,omitempty"`         // freeboard, m
	Period    float64  `json:"period,omitempty"`     // peak, s
	Making    bool     `json:"making,omitempty"`     // the tide is rising
	SwellFrom *float64 `json:"swell_from,omitempty"` // direction the swell comes from, degrees true
}

// Errors.
var (
	ErrTooShort = errors.New("watch is too short")
	ErrTooLong  = errors.New("watch is too long")
	ErrEnded    = errors.New("watch has ended")
	ErrNotYours = errors.New("somebody else keeps this watch")
	ErrTooMany  = errors.New("more waves than pass in a watch")
	ErrShorter  = errors.New("a watch that runs is only made longer")
)

// Bounds of what is counted. MostAtOnce is more than anybody holds in their head between two lines; MostWaves is one
// every three seconds of the longest watch, and no sea has so many.
const (
	MostAtOnce = 50
	MostWaves  = 1800
)

// New starts a watch at now.
func New(w Watch, now time.Time) (Watch, error) {
	if w.Length < Shortest {
		return Watch{}, ErrTooShort
	}
	if w.Length > Longest {
		return Watch{}, ErrTooLong
	}
	w.V = Version
	w.StartedAt = now
	return w, nil
}

// EffectKind is what there is to say.
type EffectKind string

// The effects.
const (
	SayPrompt EffectKind = "prompt" // a third has passed: biggest so far? water over the edge?
	SayResult EffectKind = "result" // it is over
)

// Effect is one thing to say in the watch's chat.
type Effect struct {
	Kind EffectKind
	N    int // which prompt, 1 or 2
}

// Wave counts one wave that would have reached the feet; By must keep the watch.
func (w Watch) Wave(by int64, now time.Time) (Watch, error) { return w.Count(by, 1, now) }

// Count counts n waves at once, or takes as many back where n is negative.
func (w Watch) Count(by int64, n int, now time.Time) (Watch, error) {
	if err := w.mine(by); err != nil {
		return Watch{}, err
	}
	if n > MostAtOnce || n < -MostAtOnce || len(w.Waves)+n > MostWaves {
		return Watch{}, ErrTooMany
	}
	if n < 0 {
		w.Waves = slices.Clone(w.Waves[:max(0, len(w.Waves)+n)])
		return w, nil
	}
	w.Waves = slices.Clone(w.Waves)
	for range n {
		w.Waves = append(w.Waves, now)
	}
	return w, nil
}

// Unwave takes the last count back.
func (w Watch) Unwave(by int64) (Watch, error) {
	if err := w.mine(by); err != nil {
		return Watch{}, err
	}
	if n := len(w.Waves); n > 0 {
		w.Waves = slices.Clone(w.Waves[:n-1])
	}
	return w, nil
}

// Lengthen makes a running watch last so long from its start. Prompts that were said stay said; the next one moves on.
func (w Watch) Lengthen(by int64, to time.Duration) (Watch, error) {
	if err := w.mine(by); err != nil {
		return Watch{}, err
	}
	switch {
	case to > Longest:
		return Watch{}, ErrTooLong
	case to < w.Length:
		return Watch{}, ErrShorter
	}
	w.Length = to
	return w, nil
}

// WasDeaf notes that nobody was heard from then to then. It counts neither as watched nor as dry. Windows that overlap are
// one; what lies outside the watch is not of it.
func (w Watch) WasDeaf(from, to time.Time) Watch {
	end := w.StartedAt.Add(w.Length)
	if !w.EndedAt.IsZero() {
		end = w.EndedAt
	}
	if from.Before(w.StartedAt) {
		from = w.StartedAt
	}
	if to.After(end) {
		to = end
	}
	if !to.After(from) {
		return w
	}
	var kept []Window
	for _, d := range w.Deaf {
		if d.To.Before(from) || d.From.After(to) {
			kept = append(kept, d)
			continue
		}
		if d.From.Before(from) {
			from = d.From
		}
		if d.To.After(to) {
			to = d.To
		}
	}
	w.Deaf = append(kept, Window{From: from, To: to})
	slices.SortFunc(w.Deaf, func(a, b Window) int { return a.From.Compare(b.From) })
	return w
}

// Stop ends it by hand; what was seen so far counts for as long as it was watched.
func (w Watch) Stop(by int64, now time.Time) (Watch, []Effect, error) {
	if err := w.mine(by); err != nil {
		return Watch{}, nil, err
	}
	w.EndedAt = now
	w.Stopped = now.Before(w.StartedAt.Add(w.Length))
	return w, []Effect{{Kind: SayResult}}, nil
}

func (w Watch) mine(by int64) error {
	if !w.EndedAt.IsZero() {
		return ErrEnded
	}
	if by != w.By {
		return ErrNotYours
	}
	return nil
}

// Tick gives the prompts at a third and two thirds, and the result at the end.
func (w Watch) Tick(now time.Time) (Watch, []Effect) {
	if !w.EndedAt.IsZero() {
		return w, nil
	}
	if end := w.StartedAt.Add(w.Length); !now.Before(end) {
		w.EndedAt = end
		return w, []Effect{{Kind: SayResult}}
	}
	var effects []Effect
	for w.Prompts < 2 && !now.Before(w.prompt(w.Prompts+1)) {
		w.Prompts++
		effects = []Effect{{Kind: SayPrompt, N: w.Prompts}} // after an outage only the newest is worth saying
	}
	return w, effects
}

func (w Watch) prompt(n int) time.Time {
	return w.StartedAt.Add(w.Length * time.Duration(n) / 3)
}

// NextLook is when Tick next has something to do; zero when it has ended.
func (w Watch) NextLook() time.Time {
	switch {
	case !w.EndedAt.IsZero():
		return time.Time{}
	case w.Prompts < 2:
		return w.prompt(w.Prompts + 1)
	}
	return w.StartedAt.Add(w.Length)
}

// Watched is for how long it was really watched, as of now, without the time in which nobody was heard. By the clock of
// another replica, a little behind, that is no time at all.
func (w Watch) Watched(now time.Time) time.Duration {
	if !w.EndedAt.IsZero() {
		now = w.EndedAt
	}
	long := min(now.Sub(w.StartedAt), w.Length)
	for _, d := range w.Deaf {
		if to := d.To; to.After(d.From) && now.After(d.From) {
			if to.After(now) {
				to = now
			}
			long -= to.Sub(d.From)
		}
	}
	return max(0, long)
}
