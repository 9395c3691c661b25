package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"time"

	"ledgehand/session"
	"ledgehand/session/redisstore"
)

// runReseal seals everything that is stored with the first key of the key file.
func runReseal(ctx context.Context, args []string, _ io.Reader, out, _ io.Writer) error {
	if len(args) > 0 {
		return fmt.Errorf("%w: it takes no arguments, only the settings of serve in the environment", errUsage)
	}
	redisstore.LogTo(nil)
	return reseal(ctx, os.Getenv, time.Now, out)
}

func reseal(ctx context.Context, get func(string) string, now func() time.Time, out io.Writer) error {
	set := settings{keyFile: get("LEDGEHAND_KEY_FILE")}
	if err := set.readRedis(get); err != nil {
		return err
	}
	if set.keyFile == "" {
		return errors.New("LEDGEHAND_KEY_FILE is not set. Type: export LEDGEHAND_KEY_FILE=ledgehand.key")
	}
	ring, err := readRing(set.keyFile)
	if err != nil {
		return err
	}
	store, done, err := openBeside(ctx, set, ring, get)
	if err != nil {
		return fmt.Errorf("reach what is stored: %w", err)
	}
	defer done()
	ids := ring.IDs()
	from, closed, left := map[string]int{}, map[string]int{}, 0
	defer func() { // also what was done before it broke off
		for _, id := range slices.Sorted(maps.Keys(from)) {
			fmt.Fprintf(out, "key %s: %d bodies sealed anew with %s\n", id, from[id], ids[0])
		}
	}()
	for s := range session.Shard(session.Shards) {
		r, err := store.Reseal(ctx, s, now())
		for id, n := range r.From {
			from[id] += n
		}
		if err != nil {
			return fmt.Errorf("%w (run it again: what is done is done)", err)
		}
		for id, n := range r.Closed {
			closed[id] += n
		}
		left += r.Left
	}
	for _, id := range slices.Sorted(maps.Keys(closed)) {
		fmt.Fprintf(out, "key %s: %d bodies do not open; they are as they were (ledgehand doctor says more)\n", orDamaged(id), closed[id])
	}
	switch {
	case left > 0:
		return fmt.Errorf("%d bodies are still sealed with older keys: somebody writes with an older key file. Start every replica with the new one, then run this again", left)
	case len(closed) > 0:
		return errors.New("not everything could be opened")
	case len(ids) > 1:
		fmt.Fprintf(out, "All is sealed with %s. Not used any more: %v. Keep those keys with the backups made before now; then their lines can go, and serve be started anew.\n", ids[0], ids[1:])
	default:
		fmt.Fprintf(out, "All is sealed with %s, the only key there is.\n", ids[0])
	}
	return nil
}

// orDamaged names a key id, or says that there is none.
func orDamaged(id string) string {
	if id == "" {
		return "(none: damaged)"
	}
	return id
}
