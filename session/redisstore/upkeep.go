package redisstore

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"github.com/redis/go-redis/v9"
)

// Upkeep looks at what need not stop a start but will stop the server one day: memory, and the rewriting of its
// append-only file. Findings as in Check; none is fatal but a server that does not answer.
func (st *Store) Upkeep(ctx context.Context) []Finding {
	return st.everyMaster(ctx, func(ctx context.Context, node redis.Cmdable, where string) []Finding {
		if err := node.Ping(ctx).Err(); err != nil {
			return []Finding{reach(err, where)}
		}
		facts := factsOf(ctx, node)
		found := []Finding{checkMemory(facts), checkRewrite(facts)}
		for i := range found {
			found[i].Says += where
		}
		return found
	})
}

// A rewrite of the file forks, and what is written meanwhile is in memory twice; with half of it in use the worst case
// fits no more. Common practice, no source.
const (
	mostOfLimit  = 80 // percent of maxmemory
	mostOfSystem = 50 // percent of the machine's memory
)

func checkMemory(facts map[string]string) Finding {
	const name = "memory"
	used, err := strconv.ParseInt(facts["used_memory"], 10, 64)
	if err != nil {
		return unknown(name, "see to it that there is room")
	}
	limit, _ := strconv.ParseInt(facts["maxmemory"], 10, 64)
	whole, _ := strconv.ParseInt(facts["total_system_memory"], 10, 64)
	says := fmt.Sprintf("%d MB in use", used>>20)
	switch {
	case limit > 0 && used*100 > limit*mostOfLimit:
		return Finding{Name: name, Says: fmt.Sprintf("%s of a limit of %d MB: full, it takes nothing more", says, limit>>20), Do: "raise `maxmemory`, or take what else is in it away"}
	case whole > 0 && used*100 > whole*mostOfSystem:
		return Finding{Name: name, Says: fmt.Sprintf("%s of the machine's %d MB", says, whole>>20), Do: "give the machine more memory, or take what else is in it away"}
	case limit > 0:
		says += fmt.Sprintf(" of a limit of %d MB", limit>>20)
	}
	return Finding{Name: name, OK: true, Says: says}
}

func checkRewrite(facts map[string]string) Finding {
	const name = "rewrite"
	switch {
	case facts["aof_enabled"] == "0":
		return Finding{Name: name, OK: true, Says: "no append-only file to rewrite"} // which Check finds fatal
	case facts["aof_last_bgrewrite_status"] == "":
		return unknown(name, "see to it that the append-only file does not grow for ever")
	case facts["aof_last_bgrewrite_status"] != "ok":
		return Finding{Name: name, Says: fmt.Sprintf("the last rewrite of the append-only file: %q; it grows until the disk is full", facts["aof_last_bgrewrite_status"]),
			Do: "see the server's log (mostly disk or memory is short), then BGREWRITEAOF"}
	}
	size, _ := strconv.ParseInt(facts["aof_current_size"], 10, 64)
	return Finding{Name: name, OK: true, Says: fmt.Sprintf("the last rewrite of the append-only file went well; it has %d MB", size>>20)}
}

// serving is who holds the lease of a shard at now, and the ids of the keys they can open; owner is "" when nobody does.
func (st *Store) serving(ctx context.Context, k *keys, now time.Time) (owner, ring string, err error) {
	got, err := st.rdb.HMGet(ctx, k.lead, "owner", "until", "k").Result()
	if err != nil {
		return "", "", explain(ctx, err)
	}
	until, err := instant(text(got[1]))
	if text(got[0]) == "" || err != nil || !until.After(now) {
		return "", "", nil
	}
	return text(got[0]), text(got[2]), nil
}
