package redisstore

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/redis/go-redis/v9"

	"ledgehand/session"
)

// explain gives an error of the client its meaning for the caller. The original stays in the chain.
//
// A caller that gave up finds context.Canceled, not an outage; one that ran out of time finds both. Everything that says the server
// cannot be reached, or is there and will not write (READONLY, OOM, LOADING, NOREPLICAS, NOAUTH, …),
// or did not answer in time, is also session.ErrUnavailable. What remains is a fault of ours (a
// script error, a key of the wrong type): trying again would not help, so it is not called an outage.
func explain(ctx context.Context, err error) error {
	switch {
	case err == nil:
		return nil
	case ctx.Err() != nil && errors.Is(err, context.Canceled):
		return err
	case ourFault(err):
		return err
	}
	return fmt.Errorf("%w: %w", session.ErrUnavailable, err)
}

// ourFault tells replies that blame the request from those that tell of the server's state.
func ourFault(err error) bool {
	var reply redis.Error
	if !errors.As(err, &reply) {
		return false
	}
	for _, prefix := range []string{"max number of clients", "Protocol error"} {
		if redis.HasErrorPrefix(err, prefix) {
			return false
		}
	}
	for _, code := range []string{"ERR ", "WRONGTYPE", "CROSSSLOT", "NOSCRIPT"} {
		if len(reply.Error()) >= len(code) && reply.Error()[:len(code)] == code {
			return true
		}
	}
	return false
}

// exec sends a pipeline. Each command has its own error then; the client leaves them without one when a new connection was refused with
// a reply (READONLY, LOADING, NOAUTH), and what was never answered would pass for an empty answer.
func exec(ctx context.Context, pipe redis.Pipeliner) {
	cmds, err := pipe.Exec(ctx)
	if err == nil || slices.ContainsFunc(cmds, func(c redis.Cmder) bool { return c.Err() != nil }) {
		return
	}
	for _, c := range cmds {
		c.SetErr(err)
	}
}
