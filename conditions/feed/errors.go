package feed

import (
	"errors"
	"fmt"
	"time"
)

// Why says in one word or two what is wrong; bot/wording has the sentences.
type Why string

// What can be wrong with a feed.
const (
	AllNull    Why = "all null"          // every value is missing: a land cell or a variable the model lacks
	AllZero    Why = "all zero"          // zero height in every hour is a land cell of one model, not a flat sea
	NotCovered Why = "not covered"       // the service says it has nothing here
	Ended      Why = "ended"             // the last hour with a value lies before now
	TooOld     Why = "too old"           // the feed was last updated too long ago to mean anything
	Incomplete Why = "incomplete"        // the list goes on elsewhere
	EmptyList  Why = "empty list"        // a whole country's list of warnings without one: more often a fault than a quiet day
	NoFeed     Why = "no feed here"      // no source of ours covers this coast
	Down       Why = "down"              // no connection, no answer in time, or a server error
	Limited    Why = "limited"           // the service wants fewer requests
	Forbidden  Why = "forbidden"         // the service refuses us
	BadRequest Why = "bad request"       // our fault; asking again changes nothing
	Resting    Why = "resting"           // the host is left alone after failures
	Unreadable Why = "unreadable"        // not the JSON that was asked for
	WrongUnits Why = "unexpected units"  // never converted: refused
	WrongShape Why = "unexpected shape"  // columns, times or count of answers do not fit
	WrongPlace Why = "unexpected place"  // the answer is for somewhere else
	WrongValue Why = "impossible values" // no sea or wind is like that
)

// Whys are all of them, for who counts them.
var Whys = []Why{AllNull, AllZero, NotCovered, Ended, TooOld, Incomplete, EmptyList, NoFeed, Down, Limited, Forbidden, BadRequest, Resting,
	Unreadable, WrongUnits, WrongShape, WrongPlace, WrongValue}

// NoData says that the service answered properly and has nothing to say. It is not a calm sea.
type NoData struct{ Why Why }

func (e *NoData) Error() string { return "feed has no data: " + string(e.Why) }

// BadBody says that an answer was refused.
type BadBody struct {
	Why    Why
	Detail string // the column or field, and the limit it broke
	Err    error
}

func (e *BadBody) Error() string {
	s := "feed body refused: " + string(e.Why)
	if e.Detail != "" {
		s += ": " + e.Detail
	}
	if e.Err != nil {
		s += ": " + e.Err.Error()
	}
	return s
}

func (e *BadBody) Unwrap() error { return e.Err }

// Unavailable says that a service could not be asked or answered with a failure. Its text
// names the host and never the request, which holds a place.
type Unavailable struct {
	Why    Why
	Host   string
	Status int       // of HTTP, 0 if it did not come to that
	Until  time.Time // when it makes sense to ask again, zero: any time
	Reason string    // the service's own words; they may repeat the request, so they stay out of Error
	Err    error
}

func (e *Unavailable) Error() string {
	s := "feed " + string(e.Why)
	if e.Host != "" {
		s += fmt.Sprintf(": host %q", e.Host)
	}
	if e.Status != 0 {
		s += fmt.Sprintf(": status %d", e.Status)
	}
	if e.Err != nil {
		s += ": " + e.Err.Error()
	}
	return s
}

func (e *Unavailable) Unwrap() error { return e.Err }

// Status sorts an error of this package: "ok" for none, "refused" for a body that must not be
// used, "unknown" where there is nothing to be had. why is empty with ok.
func Status(err error) (status string, why Why) {
	var none *NoData
	var bad *BadBody
	var un *Unavailable
	switch {
	case err == nil:
		return "ok", ""
	case errors.As(err, &bad):
		return "refused", bad.Why
	case errors.As(err, &none):
		return "unknown", none.Why
	case errors.As(err, &un):
		return "unknown", un.Why
	}
	return "unknown", Down
}
