package main

import (
	"context"
	"fmt"
	"log/slog"
	"os"

	"ledgehand/session/embedded"
	"ledgehand/session/redisstore"
)

// openBeside opens the store for a look from outside: the Redis of the settings, that of a serve which runs now, or the
// one serve would run, for as long as the look takes.
func openBeside(ctx context.Context, set settings, ring redisstore.Sealer, get func(string) string) (store *redisstore.Store, done func(), err error) {
	log := slog.New(slog.DiscardHandler)
	if !set.own() {
		return openStore(ctx, set, ring, log, nil)
	}
	dir, err := set.dataDir(get)
	if err != nil {
		return nil, nil, err
	}
	socket, err := embedded.SocketPath(dir)
	if err != nil {
		return nil, nil, err
	}
	if _, err := os.Stat(dir); err != nil { // it is not made here: it would belong to whoever looks
		return nil, nil, fmt.Errorf("the data directory: %w", err)
	}
	if err := embedded.CheckDir(dir); err != nil {
		return nil, nil, err
	}
	if store, err := set.reach(ctx, ring, socket); err == nil {
		return store, func() { _ = store.Close() }, nil
	}
	own, err := embedded.Run(ctx, dir, log)
	if err != nil {
		return nil, nil, err
	}
	if store, err = set.reach(ctx, ring, own.Socket); err != nil {
		_ = own.Close()
		return nil, nil, err
	}
	return store, func() { _ = store.Close(); _ = own.Close() }, nil
}
