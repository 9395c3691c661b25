package redisstore

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"time"

	"github.com/redis/go-redis/v9"
)

// Answers keeps public answers of other services, forecasts and the like, for a while: P:answer:HASH is a STRING of the
// instant it is of (ms, 8 bytes, big end first) and the body, with a time to live. Nothing of the crew's is in it, so it is not
// sealed; the key is a hash, so that it tells nobody which coasts are asked about. It belongs to no shard and no promise
// hangs on it.
type Answers struct {
	rdb    redis.UniversalClient
	prefix string
}

// Answers are kept beside the records, under the same prefix.
func (s *Store) Answers() *Answers { return &Answers{rdb: s.rdb, prefix: s.prefix} }

func (a *Answers) key(key string) string {
	sum := sha256.Sum256([]byte(key))
	return a.prefix + ":answer:" + hex.EncodeToString(sum[:])
}

// Load gives what was saved under a key and of when it is; no body and no error if there is nothing.
func (a *Answers) Load(ctx context.Context, key string) (body []byte, at time.Time, err error) {
	raw, err := a.rdb.Get(ctx, a.key(key)).Bytes()
	switch {
	case errors.Is(err, redis.Nil), err == nil && len(raw) < 8:
		return nil, time.Time{}, nil
	case err != nil:
		return nil, time.Time{}, fmt.Errorf("load a shared answer: %w", err)
	}
	return raw[8:], time.UnixMilli(int64(binary.BigEndian.Uint64(raw))).UTC(), nil
}

// Save keeps a body for some time.
func (a *Answers) Save(ctx context.Context, key string, body []byte, at time.Time, keep time.Duration) error {
	raw := append(binary.BigEndian.AppendUint64(make([]byte, 0, 8+len(body)), uint64(at.UnixMilli())), body...)
	if err := a.rdb.Set(ctx, a.key(key), raw, keep).Err(); err != nil {
		return fmt.Errorf("save a shared answer: %w", err)
	}
	return nil
}
