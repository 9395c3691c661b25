package redisstore_test

import (
	"fmt"
	"strconv"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"ledgehand/session"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

// The measure of a commit is the bare round trip: one script that does nothing, on the same server.
func BenchmarkBareRoundTrip(b *testing.B) {
	s := storetest.StartServer(b)
	c := redis.NewClient(&redis.Options{Addr: s.Addr})
	defer c.Close()
	empty := redis.NewScript("return {'ok'}")
	if err := empty.Load(b.Context(), c).Err(); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if err := empty.Run(b.Context(), c, []string{"{07}"}).Err(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkCommit is what one update does: record, deadline, message, cause.
func BenchmarkCommit(b *testing.B) {
	s := storetest.StartServer(b)
	st := open(b, redisstore.Options{Addrs: []string{s.Addr}})
	f := lead(b, st)
	body := make([]byte, 1024)
	i := int64(0)
	b.ReportAllocs()
	for b.Loop() {
		if err := st.Commit(b.Context(), shard, f, update(i, i, "outing/k3f9", body)); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

func update(i, version int64, key string, body []byte) session.Change {
	return session.Change{
		Cause: "u" + strconv.FormatInt(i, 10), Now: noon,
		Writes: []session.Record{{Key: key, Version: version, Body: body}},
		Due:    []session.DueItem{{Item: key, At: noon.Add(time.Hour)}},
		Post:   []session.Entry{{ID: "panel/" + key, Lane: session.Urgent, Chat: -1, Body: body[:256]}},
	}
}

// BenchmarkCommitParallel commits in all shards at once, as the workers of one replica do.
func BenchmarkCommitParallel(b *testing.B) {
	s := storetest.StartServer(b)
	st := open(b, redisstore.Options{Addrs: []string{s.Addr}})
	body := make([]byte, 1024)
	b.ReportAllocs()
	b.SetParallelism(16)
	workers := make(chan int, 1000)
	for i := range cap(workers) {
		workers <- i
	}
	b.RunParallel(func(pb *testing.PB) {
		w := <-workers
		key := fmt.Sprintf("outing/%d", w)
		for i := int64(0); pb.Next(); i++ {
			c := update(i, i, key, body)
			c.Cause = strconv.Itoa(w) + c.Cause
			if err := st.Commit(b.Context(), session.Shard(w%session.Shards), 0, c); err != nil {
				b.Error(err)
				return
			}
		}
	})
}

func BenchmarkTake(b *testing.B) {
	s := storetest.StartServer(b)
	st := open(b, redisstore.Options{Addrs: []string{s.Addr}})
	body := make([]byte, 1024)
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		i++
		if _, err := st.Take(b.Context(), shard, session.Letter{ID: "u" + strconv.Itoa(i), Got: noon, Body: body}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	s := storetest.StartServer(b)
	st := open(b, redisstore.Options{Addrs: []string{s.Addr}})
	if err := st.Commit(b.Context(), shard, 0, update(0, 0, "outing/k3f9", make([]byte, 1024))); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := st.Load(b.Context(), shard, "outing/k3f9"); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSweep claims 100 due items of 100,000 in the index and commits each: cost goes by what is due.
func BenchmarkSweep100Of(b *testing.B) {
	for _, open_ := range []int{1_000, 100_000} {
		b.Run(strconv.Itoa(open_), func(b *testing.B) {
			s := storetest.StartServer(b)
			st := open(b, redisstore.Options{Addrs: []string{s.Addr}})
			for i := 0; i < open_; i += 1000 {
				c := session.Change{Cause: fmt.Sprintf("fill%d", i), Now: noon}
				for j := i; j < i+1000; j++ {
					c.Due = append(c.Due, session.DueItem{Item: fmt.Sprintf("outing/%d", j), At: noon.Add(24 * time.Hour)})
				}
				if err := st.Commit(b.Context(), shard, 0, c); err != nil {
					b.Fatal(err)
				}
			}
			due := session.Change{Now: noon}
			for j := range 100 {
				due.Due = append(due.Due, session.DueItem{Item: fmt.Sprintf("outing/%d", j), At: noon})
			}
			i := 0
			b.ReportAllocs()
			for b.Loop() {
				i++
				due.Cause = fmt.Sprintf("due%d", i)
				if err := st.Commit(b.Context(), shard, 0, due); err != nil {
					b.Fatal(err)
				}
				items, err := st.ClaimDue(b.Context(), shard, 0, noon, time.Minute, 100)
				if err != nil || len(items) != 100 {
					b.Fatal(len(items), err)
				}
			}
		})
	}
}
