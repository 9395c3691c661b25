package wording

import (
	"errors"

	"ledgehand/session/after"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
	"ledgehand/session/watch"
)

// Errors of the conversation itself.
var (
	ErrOldPanel      = errors.New("button of something that is no more")
	ErrNothingToUndo = errors.New("nothing of this person to take back")
	ErrTripOut       = errors.New("those of the plan are out already")
	ErrTooEarly      = errors.New("too long before the start")
)

// Problem is what to tell somebody about an error: what is wrong and what to type instead. ok is false for
// errors people can do nothing about; those are the operator's.
func (w Words) Problem(err error) (text string, ok bool) {
	for _, p := range []struct {
		err error
		id  string
	}{
		{ErrOldPanel, "p_old_panel"},
		{ErrNothingToUndo, "p_nothing_to_undo"},
		{ErrTooEarly, "p_too_early"},
		{outing.ErrClosed, "p_closed"},
		{outing.ErrNotMember, "p_not_member"},
		{outing.ErrWasOff, "p_was_off"},
		{outing.ErrNotContact, "p_not_contact"},
		{outing.ErrPast, "p_past"},
		{outing.ErrTooFar, "p_too_far"},
		{outing.ErrWhy, "delay_why"},
		{trip.ErrCalledOff, "p_called_off"},
		{trip.ErrUnknown, "p_old_panel"}, // no button of ours carries it
		{trip.ErrTaken, "p_taken"},
		{trip.ErrNotIn, "p_not_in"},
		{trip.ErrTimes, "p_times"},
		{trip.ErrOver, "p_over"},
		{trip.ErrFull, "p_full"},
		{trip.ErrFirstToo, "p_first_too"},
		{trip.ErrVoteOver, "p_vote_over"},
		{trip.ErrFew, "p_vote_few"},
		{trip.ErrMany, "p_vote_many"},
		{trip.ErrTwice, "p_vote_twice"},
		{ErrTripOut, "p_trip_out"},
		{watch.ErrTooShort, "p_watch_short"},
		{watch.ErrTooLong, "p_watch_long"},
		{watch.ErrEnded, "p_watch_ended"},
		{watch.ErrNotYours, "p_watch_not_yours"},
		{after.ErrNotThere, "p_after_not_there"},
		{after.ErrOver, "p_old_panel"},
		{watch.ErrTooMany, "p_watch_many"},
		{watch.ErrShorter, "p_watch_shorter"},
	} {
		if errors.Is(err, p.err) {
			return w.T(p.id), true
		}
	}
	return "", false
}
