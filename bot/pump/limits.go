package pump

import (
	"sync"
	"time"
)

// Class is how much a message matters to the limits.
type Class int

// The classes. A higher one finds room where a lower one has to wait.
const (
	Chatter Class = iota // answers and news
	Urgent               // what somebody's safety depends on
	Alert                // an alert: waits for nothing but the service itself
)

// What the service takes (Telegram's FAQ for bots: about 30 messages a second overall, about one a second in a chat with
// short bursts, 20 a minute in a group), and how much of it each class may use. An edit is a message too. Windows are a
// little longer than the figure's own, for calls take their time on the way.
const (
	overallSpan = 1100 * time.Millisecond
	groupSpan   = 61 * time.Second
	paceEvery   = time.Second
)

var (
	overallRoom = [...]int{Chatter: 20, Urgent: 25, Alert: 30}
	groupRoom   = [...]int{Chatter: 14, Urgent: 20, Alert: 20}
	paceBurst   = [...]int{Chatter: 5, Urgent: 7, Alert: 8}
)

const (
	// standAside is how long after an alert's turn in a chat the others there still leave it first go.
	standAside = 3 * time.Second

	// So many chats asking for a pause within floodWithin mean that the whole bot is meant (tdlib/td #1062: "sometimes
	// yes and sometimes no").
	floodChats  = 3
	floodWithin = 10 * time.Second
	// longestPause bounds the pause of everything. Meanwhile one alert each probeEvery tries whether it is over.
	longestPause = time.Minute
	probeEvery   = 5 * time.Second

	// clockSlack is how far back a clock may go before all that was counted on it is forgotten.
	clockSlack = time.Minute
)

// Limits keeps sending within what the service takes. It does no I/O and reads no clock; every instant is handed in. The
// zero value is ready, and several goroutines may use it. Chats that are idle are forgotten.
//
// A bucket of tokens would let a full bucket and a minute's refill through in one minute, so groups and the whole are
// counted in sliding windows.
type Limits struct {
	mu      sync.Mutex
	last    int64 // the newest instant seen, in ns like all below
	overall window
	chats   map[int64]*limited
	sweepAt int // how many chats there may be before the idle ones are forgotten

	floods     []flood
	pauseSince int64
	pauseUntil int64
	probeAt    int64
}

// limited is what is known of one chat.
type limited struct {
	paid  int64  // the instant up to which the pace is used up
	group window // of a group
	shut  int64  // the service takes nothing there before
	aside int64  // an alert waits there: until then others let it go first
}

type flood struct{ chat, at int64 }

// Ask takes room for n messages to a chat at now and returns zero, or takes none and says how long to wait before asking
// again, in whole milliseconds. n is at least 1.
func (l *Limits) Ask(to int64, c Class, n int, now time.Time) time.Duration {
	l.mu.Lock()
	defer l.mu.Unlock()
	t := l.tick(now)
	free := l.overall.free(overallRoom[c], n, overallSpan)
	s := l.chats[to]
	if s != nil {
		free = max(free, s.free(c, n))
	}
	if c == Alert {
		free = max(free, min(l.probeAt, l.pauseUntil))
	} else if l.pauseUntil != 0 {
		free = max(free, l.pauseUntil+int64(standAside))
	}
	if free > t {
		if c == Alert && s != nil {
			s.aside = max(s.aside, free+int64(standAside))
		}
		return (time.Duration(free-t) + time.Millisecond - 1).Truncate(time.Millisecond)
	}
	if s == nil {
		s = l.meet(to, t)
	}
	if l.pauseUntil > t {
		l.probeAt = t + int64(probeEvery)
	}
	for range n {
		l.overall.put(t)
		if to < 0 {
			s.group.put(t)
		}
	}
	s.paid = max(s.paid, t) + int64(n)*int64(paceEvery)
	return 0
}

// free is the earliest instant at which n more may go, as far as this chat is concerned.
func (s *limited) free(c Class, n int) int64 {
	free := max(s.shut, s.paid-int64(max(paceBurst[c]-n, 0))*int64(paceEvery), s.group.free(groupRoom[c], n, groupSpan))
	if c != Alert {
		free = max(free, s.aside)
	}
	return free
}

// every is how far apart messages of a class can go out in a chat for long.
func every(to int64, c Class) time.Duration {
	if to < 0 {
		return groupSpan / time.Duration(groupRoom[c])
	}
	return paceEvery
}

// Shut notes that at now the service asked to leave a chat alone for so long. Several chats within a short time pause
// everything for a while.
func (l *Limits) Shut(chat int64, wait time.Duration, now time.Time) {
	l.mu.Lock()
	defer l.mu.Unlock()
	t := l.tick(now)
	s := l.chats[chat]
	if s == nil {
		s = l.meet(chat, t)
	}
	s.shut = max(s.shut, t+int64(wait))
	kept := l.floods[:0]
	for _, f := range l.floods {
		if f.chat != chat && t-f.at < int64(floodWithin) && len(kept) < floodChats {
			kept = append(kept, f)
		}
	}
	l.floods = append(kept, flood{chat, t})
	if len(l.floods) < floodChats {
		return
	}
	if l.pauseUntil <= t {
		l.pauseSince = t
	}
	l.pauseUntil = max(l.pauseUntil, t+int64(min(wait, longestPause)))
	l.probeAt = t + int64(probeEvery)
}

// Went notes that a message asked for at that instant got through: a pause that began before it is over.
func (l *Limits) Went(asked time.Time) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.pauseUntil != 0 && asked.UnixNano() > l.pauseSince {
		l.pauseUntil, l.floods = 0, l.floods[:0]
	}
}

// Chats is how many chats are remembered.
func (l *Limits) Chats() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return len(l.chats)
}

// tick is now as the limits count it. Goroutines come with instants a little out of order: those count as the newest. A
// clock that was set back makes everything forgotten, for nothing may wait until it is where it was.
func (l *Limits) tick(now time.Time) int64 {
	t := now.UnixNano()
	if l.chats == nil || t < l.last-int64(clockSlack) {
		l.chats, l.sweepAt = map[int64]*limited{}, sweepFrom
		l.overall = newWindow(overallRoom[Alert])
		l.floods, l.pauseUntil = make([]flood, 0, floodChats+1), 0
		l.last = t
	}
	l.last = max(l.last, t)
	return l.last
}

// sweepFrom is how many chats are remembered without looking whether they are idle.
const sweepFrom = 256

// meet begins to remember a chat, and forgets those that nothing hangs on any more.
func (l *Limits) meet(id, t int64) *limited {
	if len(l.chats) >= l.sweepAt {
		for id, s := range l.chats {
			if max(s.free(Chatter, groupRoom[Chatter]), s.paid) <= t {
				delete(l.chats, id)
			}
		}
		l.sweepAt = max(sweepFrom, 2*len(l.chats))
	}
	s := &limited{}
	if id < 0 {
		s.group = newWindow(groupRoom[Alert])
	}
	l.chats[id] = s
	return s
}

// window keeps the instants of the newest messages, in a ring.
type window struct {
	at   []int64
	next int // where the next one is put, in place of the oldest
}

func newWindow(n int) window { return window{at: make([]int64, n)} }

func (w *window) put(t int64) {
	if w.at == nil {
		return
	}
	w.at[w.next] = t
	w.next = (w.next + 1) % len(w.at)
}

// free is the earliest instant at which n more, or as many as there is ever room for, keep any span at no more than room.
func (w *window) free(room, n int, span time.Duration) int64 {
	if w.at == nil {
		return 0
	}
	back := room - min(n, room) + 1 // so many messages back is the one that must be out of the window by then
	t := w.at[(w.next-back+len(w.at))%len(w.at)]
	if t == 0 {
		return 0
	}
	return t + int64(span)
}
