package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"

	"ledgehand/session/embedded"
	"ledgehand/session/redisstore"
)

// redisMore is what else says where the store is.
type redisMore struct {
	redisMaster      string // the master's name at the Sentinels that LEDGEHAND_REDIS then lists
	sentinelUser     string
	sentinelPassword string
	redisTLS         bool
	data             string // the directory of our own Redis, "" for the usual place
}

// readRedis reads the settings of where the store is. Without an address it is a redis-server of our own.
func (s *settings) readRedis(get func(string) string) error {
	s.redis, s.redisUser, s.redisPassword = get("LEDGEHAND_REDIS"), get("LEDGEHAND_REDIS_USER"), get("LEDGEHAND_REDIS_PASSWORD")
	s.redisMaster, s.data = get("LEDGEHAND_REDIS_MASTER"), get("LEDGEHAND_DATA")
	s.sentinelUser, s.sentinelPassword = get("LEDGEHAND_REDIS_SENTINEL_USER"), get("LEDGEHAND_REDIS_SENTINEL_PASSWORD")
	var errs []error
	switch get("LEDGEHAND_REDIS_TLS") {
	case "on":
		s.redisTLS = true
	case "", "off":
	default:
		errs = append(errs, errors.New("LEDGEHAND_REDIS_TLS is neither on nor off. Type: export LEDGEHAND_REDIS_TLS=on"))
	}
	// Half an address must not end in an empty Redis of our own, with everybody's outings elsewhere.
	if s.redis == "" && (s.redisMaster != "" || s.redisTLS || s.redisUser != "" || s.redisPassword != "") {
		errs = append(errs, errors.New("LEDGEHAND_REDIS is not set, though other LEDGEHAND_REDIS_ settings are: the address of a Redis, of some nodes of a Cluster, or of the Sentinels, parted by commas. Type: export LEDGEHAND_REDIS=127.0.0.1:6379"))
	}
	return errors.Join(errs...)
}

// own says whether serve runs a Redis of its own.
func (s *settings) own() bool { return s.redis == "" }

// dataDir is where our own Redis keeps everything: LEDGEHAND_DATA, or a folder of the user's state directory by the XDG
// Base Directory Specification 0.8 ($XDG_STATE_HOME, which must be absolute to count, else $HOME/.local/state).
func (s *settings) dataDir(get func(string) string) (string, error) {
	if s.data != "" {
		return filepath.Abs(s.data)
	}
	if state := get("XDG_STATE_HOME"); filepath.IsAbs(state) {
		return filepath.Join(state, "ledgehand"), nil
	}
	if home := get("HOME"); filepath.IsAbs(home) {
		return filepath.Join(home, ".local", "state", "ledgehand"), nil
	}
	return "", errors.New("there is no home directory to keep anything in. Type: export LEDGEHAND_DATA=/var/lib/ledgehand")
}

// readRing reads the sealing keys.
func readRing(file string) (*redisstore.Keyring, error) {
	keys, err := os.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("read LEDGEHAND_KEY_FILE: %w (make one: ledgehand key > ledgehand.key)", err)
	}
	ring, err := redisstore.ParseKeyring(string(keys))
	if err != nil {
		return nil, fmt.Errorf("read LEDGEHAND_KEY_FILE: %w", err)
	}
	return ring, nil
}

// reach opens a store that is there.
func (s *settings) reach(ctx context.Context, ring redisstore.Sealer, addrs ...string) (*redisstore.Store, error) {
	return redisstore.Open(ctx, redisstore.Options{
		Addrs: addrs, Username: s.redisUser, Password: s.redisPassword, TLS: s.redisTLS,
		MasterName: s.redisMaster, SentinelUsername: s.sentinelUser, SentinelPassword: s.sentinelPassword, Sealer: ring,
	})
}

// addrs are the addresses of LEDGEHAND_REDIS.
func (s *settings) addrs() []string {
	return strings.FieldsFunc(s.redis, func(r rune) bool { return r == ',' || r == ' ' })
}

// openStore opens the store serve works on: the Redis of the settings, or one of our own. done closes both.
func openStore(ctx context.Context, set settings, ring redisstore.Sealer, log *slog.Logger, out io.Writer) (store *redisstore.Store, done func(), err error) {
	if !set.own() {
		if store, err = set.reach(ctx, ring, set.addrs()...); err != nil {
			return nil, nil, fmt.Errorf("reach Redis at LEDGEHAND_REDIS: %w", err)
		}
		return store, func() { _ = store.Close() }, nil
	}
	dir, err := set.dataDir(os.Getenv)
	if err != nil {
		return nil, nil, err
	}
	own, err := embedded.Run(ctx, dir, log)
	if err != nil {
		return nil, nil, err
	}
	end := func() {
		if err := own.Close(); err != nil {
			log.Warn("our own Redis", "err", err)
		}
	}
	if store, err = set.reach(ctx, ring, own.Socket); err != nil {
		end()
		return nil, nil, fmt.Errorf("reach our own Redis in %s: %w", dir, err)
	}
	fmt.Fprintf(out, "Ledgehand runs its own Redis in %s; copies of %s are the backup.\n", dir, filepath.Join(dir, embedded.AppendDir))
	return store, func() { _ = store.Close(); end() }, nil
}
