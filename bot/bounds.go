package bot

import (
	"slices"
	"sync"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
)

// How much one person, or one group, may ask of us in a minute. What a life may hang on is never held back; what is
// over the bound is dropped after one line that says so. Counts are kept in memory: losing them with a restart forgives.

// The bounds. Setting up a first ledge takes a newcomer six lines and taps; a crew in the middle of a plan rarely sends
// ten (common practice, no source).
const (
	mostLines      = 20 // of a person in a crew that has a ledge, or who holds plans
	mostLinesNew   = 10 // of anybody else
	mostOfGroup    = 60
	mostOfGroupNew = 20
)

// boundWindow is over how long they count.
const boundWindow = time.Minute

// mostTallies bounds the memory: those who were quiet for a minute leave first.
const mostTallies = 2048

// tally is what somebody asked of us of late.
type tally struct {
	asked []asked
	told  time.Time // when we last said that it is too much
}

type asked struct {
	cause string
	at    time.Time
}

// admit counts one request at the instant it was written at: after an outage a day's lines come at once, and none of
// them is too much. It says whether the request is within most a minute, and otherwise whether that is news. A request
// that was admitted stays so when its letter comes again.
func (t tally) admit(cause string, at time.Time, most int) (next tally, ok, news bool) {
	if slices.ContainsFunc(t.asked, func(x asked) bool { return x.cause == cause }) {
		return t, true, false
	}
	if t.within(at) >= most {
		news = t.told.IsZero() || at.Sub(t.told).Abs() >= boundWindow
		if news {
			t.told = at
		}
		return t, false, news
	}
	kept := append(slices.Clone(t.asked), asked{cause, at})
	t.asked = kept[max(0, len(kept)-most):]
	return t, true, false
}

// within counts what was asked in the minute up to at.
func (t tally) within(at time.Time) (n int) {
	for _, x := range t.asked {
		if x.at.After(at.Add(-boundWindow)) && !x.at.After(at) {
			n++
		}
	}
	return n
}

// quiet says whether nothing was heard for a while: then the tally is worth nothing.
func (t tally) quiet(at time.Time) bool {
	return !slices.ContainsFunc(t.asked, func(x asked) bool { return at.Sub(x.at).Abs() < boundWindow })
}

// bounds are the tallies of people, by id, and of groups, by their negative one.
type bounds struct {
	mu sync.Mutex
	of map[int64]tally
}

func (b *bounds) admit(id int64, cause string, at time.Time, most int) (ok, news bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.of == nil {
		b.of = map[int64]tally{}
	}
	t, known := b.of[id]
	if !known && len(b.of) >= mostTallies {
		for k, x := range b.of {
			if x.quiet(at) {
				delete(b.of, k)
			}
		}
		if len(b.of) >= mostTallies {
			clear(b.of) // forgiving all is better than counting without end
		}
	}
	t, ok, news = t.admit(cause, at, most)
	b.of[id] = t
	return ok, news
}

func (b *bounds) within(id int64, at time.Time) int {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.of[id].within(at)
}

// within says whether a request is within the bounds; if not, it has been answered as far as it will be.
func (a *ask) within() (bool, error) {
	if a.Unbounded || !a.counts() {
		return true, nil
	}
	type bound struct {
		id        int64
		few, many int
	}
	var of []bound
	if a.r.From.ID != 0 {
		of = append(of, bound{a.r.From.ID, mostLinesNew, mostLines})
	}
	if a.r.Place.Group {
		of = append(of, bound{a.r.Place.ID, mostOfGroupNew, mostOfGroup})
	}
	for _, b := range of {
		most := b.few
		if a.bounds.within(b.id, a.at()) >= b.few { // who asks is read only for those who ask much
			free, home, err := a.standing()
			if err != nil || free {
				return err == nil, err
			}
			if home {
				most = b.many
			}
		}
		if ok, news := a.bounds.admit(b.id, a.cause.ID, a.at(), most); !ok {
			return false, a.tooFast(news)
		}
	}
	return true, nil
}

// counts says whether a request is one of ours to answer and none that a life may hang on.
func (a *ask) counts() bool {
	switch a.r.Kind {
	case chat.KindText, chat.KindUnlisted:
		cmd, _, ok := command.Split(a.r.Text)
		toUs := !a.r.Place.Group || a.r.ReplyTo != 0
		if ok {
			return !slices.Contains(neverHeldBack, cmd) && !command.FellIn(cmd, Commands)
		}
		return toUs && !plainlyOff(a.r.Text) && !perhapsOff(a.r.Text) && !command.FellInPlainly(a.r.Text)
	case chat.KindTap:
		p, err := command.Unpack(a.r.Data)
		return err != nil || !slices.Contains(tapsNeverHeldBack, p.Act)
	case chat.KindPlace:
		return true
	}
	return false
}

// What is never held back, whoever says it: who is out, off, late or in trouble, and who takes care of it. Waves of a
// watch are among it, for a wave that is not counted makes the ledge look drier than it is.
var (
	neverHeldBack = []string{
		"out", "off", "home", "more", "late", "cancel", "plan", "letgo", "trying", "reached", "called", "wave", "stopwatch",
		"help", "fellin", "inwater", "trouble", "sos", "mayday", "overboard",
	}
	tapsNeverHeldBack = []string{
		actOff, actOffAll, actHome, actMore, actOther, actAlong, actPlan, actAck, actLetGo, actJacket, actSignal, actTime, actOutLedge, actGo, actWave, actUnwave, actStopWatch, actLonger,
	}
)

// standing is who asks: free, when the line answers what we asked about going out; home, in a crew that has a ledge or
// as one who holds plans.
func (a *ask) standing() (free, home bool, err error) {
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		q, asked := c.Question(a.r.From.ID, a.r.Place.ID, a.cause.Now)
		free, home = asked && q.What == "out" && a.r.Kind == chat.KindText, len(c.Ledges) > 0
		return nil
	}); err != nil || home || a.r.From.ID == 0 {
		return free, home, err
	}
	p, err := a.person(a.r.From.ID)
	return free, len(p.Holds) > 0, err
}

// tooFast says once that it is too much; a button is answered every time, or it would spin.
func (a *ask) tooFast(news bool) error {
	if a.r.Kind == chat.KindTap {
		return a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.toast, a.loud = w.T("toast_too_fast"), true
			return nil
		})
	}
	if !news {
		return nil
	}
	return a.say("too_fast")
}
