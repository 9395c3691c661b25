package vitals

import (
	"slices"

	"ledgehand/bot/chat"
	"ledgehand/session"
)

// Every label value there can be. What is not listed counts as other, so that nothing from outside becomes a label.
const other = "other"

var (
	lanes    = []string{string(session.Urgent), string(session.Slow)}
	results  = words(chat.ResultSent, chat.ResultSame, chat.ResultLater, chat.ResultUnknown, chat.ResultBlocked, chat.ResultMoved, chat.ResultGone, chat.ResultRefused)
	takings  = []string{"fresh", "repeat", "failed"}
	handling = []string{"handled", "aside"}
	commits  = []string{"committed", "done", "conflict", "fenced", "unavailable", "failed"}
	rounds   = []string{"clean", "failed"}
	readings = []string{"done", "failed"}
	pings    = []string{"answered", "refused", "unreachable", "withheld"}
)

// How a poll (or an update brought to us) went.
const (
	PollOK       = "ok"
	PollToken    = "token"    // the service does not know our token
	PollConflict = "conflict" // somebody else fetches our updates
	PollFlood    = "flood"    // the service wants a pause
	PollStore    = "store"    // fetched, but the store did not take it
	PollFailed   = "failed"   // anything else
)

var polls = []string{PollOK, PollToken, PollConflict, PollFlood, PollStore, PollFailed}

// The feeds, and what asking one can come to beside the reasons it was set up with (Options.FeedWhys).
const (
	FeedSea      = "sea"
	FeedWeather  = "weather"
	FeedWarnings = "warnings"
	FeedBuoy     = "buoy"

	FeedOK     = "ok"
	FeedPartly = "partly" // an answer, with one of its sources silent
)

var feeds = []string{FeedSea, FeedWeather, FeedWarnings, FeedBuoy}

func words[T ~string](list ...T) (out []string) {
	for _, w := range list {
		out = append(out, string(w))
	}
	return out
}

func known(list []string, w string) string {
	if slices.Contains(list, w) {
		return w
	}
	return other
}
