package pump

import (
	"ledgehand/bot/chat"
	"ledgehand/session"
)

// Observer hears how the queues fare, for those who watch from outside. Its methods must return at once, whatever
// they find, and are called by several goroutines at a time.
type Observer interface {
	// Handled is a letter that left the inbox: with its effect, or put aside among the dead.
	Handled(aside bool)
	// Sent is one attempt at a message and what became of it.
	Sent(lane session.Lane, r chat.Result)
	// Round is a turn of the queues over some shards, and clean those of them in which nothing went wrong. A round that
	// hangs is not heard of.
	Round(clean []session.Shard, err error)
}

// deaf stands where nobody listens.
type deaf struct{}

func (deaf) Handled(bool)                   {}
func (deaf) Sent(session.Lane, chat.Result) {}
func (deaf) Round([]session.Shard, error)   {}

func hears(o Observer) Observer {
	if o == nil {
		return deaf{}
	}
	return o
}
