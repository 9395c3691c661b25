package redisstore

import (
	"context"
	"fmt"
	"log/slog"

	"github.com/redis/go-redis/v9"
)

// LogTo sends the Redis client's own remarks (failed dials, a new master) to a logger, at the level
// Warn, or nowhere if it is nil. They repeat what errors say as well and hold addresses, no contents.
// It is for the whole process, because the client's logger is; unset, they go to standard error.
func LogTo(l *slog.Logger) {
	if l == nil {
		l = slog.New(slog.DiscardHandler)
	}
	redis.SetLogger(clientLog{l})
}

type clientLog struct{ l *slog.Logger }

// Printf is the client's logging interface.
func (c clientLog) Printf(ctx context.Context, format string, v ...any) {
	if c.l.Enabled(ctx, slog.LevelWarn) {
		c.l.WarnContext(ctx, "redis client", "says", fmt.Sprintf(format, v...))
	}
}
