// Package peer holds the durable core beside a general job library, asynq (MIT), on the same real Redis, machine and run, and both
// beside bare round trips. It is a module of its own, so that nothing of that library gets into the program's dependencies.
//
//	go test -run '^$' -bench . -benchtime 3x .
//
// What is compared is the same errand, "at this instant do that for each of N", and not the same promise:
//
//   - Ours: the outing is loaded, its state machine decides, words are made for every recipient, and the new state, the next deadline,
//     an outbox entry for each recipient and the memory of the cause are committed in one step under the shard's fence, exactly once.
//     Every body is sealed (AES-256-GCM). Nothing is sent yet, and there is no retry but the hold running out.
//   - Theirs: a scheduled task is forwarded, leased to a worker, handed to a handler and acknowledged; tasks that fail are tried again
//     and those of a dead worker recovered, so a handler runs at least once. The handler here writes its payload, as many bytes as
//     our record has, with one command: it decides nothing, words nothing, seals nothing, and may write twice after a crash. Its
//     payload is plain, its schedule counts whole seconds.
//   - Bare: as many kilobytes written by a script that does nothing else; what Redis and the wire cost by themselves.
//
// Where a library looks for what is due only from time to time, that time is cut out: ours is asked at the instant, theirs looks every
// 5 ms instead of every 5 s, which is to its advantage.
package peer

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"log/slog"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/hibiken/asynq"
	"github.com/redis/go-redis/v9"

	"ledgehand/bot"
	"ledgehand/bot/pump"
	"ledgehand/session"
	"ledgehand/session/outing"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

var items = flag.String("items", "1000,10000", "benchmarks: how many items, by comma")

// flushing is how the server's append-only file reaches the disk.
var flushing = []string{"always", "everysec"}

// workers is how many tasks the library works on at once. Of 8, 32 and 128, three runs each with 10,000 tasks, 8 had the best times here
// (4.7 s with "always", 1.6 s with "everysec"; 6.0 and 1.7, 5.7 and 1.9 with more), so it is measured at its best.
const workers = 8

var day = time.Date(2026, time.March, 14, 15, 0, 0, 0, time.UTC)

// each runs a benchmark for every size and way of flushing.
func each(b *testing.B, run func(b *testing.B, fsync string, n int)) {
	for _, size := range strings.Split(*items, ",") {
		n, err := strconv.Atoi(size)
		if err != nil {
			b.Fatalf("-items: %v", err)
		}
		for _, fsync := range flushing {
			b.Run(size+"/"+fsync, func(b *testing.B) { run(b, fsync, n) })
		}
	}
}

// BenchmarkDue is N items due at one instant: from then until the effects of all are committed.
func BenchmarkDue(b *testing.B) {
	b.Run("ours", func(b *testing.B) {
		each(b, func(b *testing.B, fsync string, n int) {
			var cpu time.Duration
			for b.Loop() {
				b.StopTimer()
				o := openOurs(b)
				o.fill(b, n)
				flush(b, o.server, fsync)
				before := o.server.CPU(b)
				b.StartTimer()
				if err := o.pump.Settle(b.Context(), day.Add(time.Hour)); err != nil {
					b.Fatal(err)
				}
				b.StopTimer()
				cpu += o.server.CPU(b) - before
				if got := o.messages(b); got != 2*n {
					b.Fatalf("%d messages are committed, want two for each of %d", got, n)
				}
				o.server.Kill(b)
				b.StartTimer()
			}
			perItem(b, n, cpu)
		})
	})
	b.Run("asynq", func(b *testing.B) {
		each(b, func(b *testing.B, fsync string, n int) {
			var cpu time.Duration
			for b.Loop() {
				b.StopTimer()
				t := openTheirs(b)
				due := time.Now().Add(2*time.Second + time.Duration(n)*500*time.Microsecond).Truncate(time.Second)
				t.fill(b, n, due)
				flush(b, t.server, fsync)
				var left sync.WaitGroup
				left.Add(n)
				srv := asynq.NewServer(t.at, asynq.Config{Concurrency: workers, LogLevel: asynq.FatalLevel,
					TaskCheckInterval: 5 * time.Millisecond, DelayedTaskCheckInterval: 5 * time.Millisecond})
				if err := srv.Start(asynq.HandlerFunc(func(ctx context.Context, task *asynq.Task) error {
					id, _ := asynq.GetTaskID(ctx)
					if err := t.plain.Set(ctx, "effect:"+id, task.Payload(), 0).Err(); err != nil {
						return fmt.Errorf("write: %w", err)
					}
					left.Done()
					return nil
				})); err != nil {
					b.Fatal(err)
				}
				<-time.After(time.Until(due)) // the library knows no other clock
				before := t.server.CPU(b)
				b.StartTimer()
				left.Wait()
				b.StopTimer()
				cpu += t.server.CPU(b) - before
				srv.Shutdown()
				t.server.Kill(b)
				b.StartTimer()
			}
			perItem(b, n, cpu)
		})
	})
	b.Run("bare", func(b *testing.B) {
		each(b, func(b *testing.B, fsync string, n int) {
			t := openTheirs(b)
			flush(b, t.server, fsync)
			set := redis.NewScript("redis.call('SET', KEYS[1], ARGV[1]) return {'ok'}")
			if err := set.Load(b.Context(), t.plain).Err(); err != nil {
				b.Fatal(err)
			}
			before := t.server.CPU(b)
			for b.Loop() {
				for i := 0; i < n; i += 100 { // a hundred at a time, as ours
					pipe := t.plain.Pipeline()
					for j := i; j < min(i+100, n); j++ {
						set.EvalSha(b.Context(), pipe, []string{"effect:" + strconv.Itoa(j)}, t.payload)
					}
					if _, err := pipe.Exec(b.Context()); err != nil {
						b.Fatal(err)
					}
				}
			}
			cpu := t.server.CPU(b) - before
			perItem(b, n, cpu)
		})
	})
}

// flush sets how what is written from now on reaches the disk.
func flush(b *testing.B, s *storetest.Server, fsync string) {
	s.Flush(b)
	s.Do(b, "CONFIG", "SET", "appendfsync", fsync)
}

// perItem reports time by the clock, and the processor time of both sides and Redis: that one hardly depends on who else is busy here.
func perItem(b *testing.B, n int, cpu time.Duration) {
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(n), "µs/item")
	b.ReportMetric(float64(cpu.Microseconds())/float64(b.N)/float64(n), "cpu-µs/item")
}

// BenchmarkSchedule is what it costs to put one more item on the list, one after the other. Ours reads the crew, keeps its list of open
// outings and commits both records with the deadline; theirs stores a task; bare is a script that sets a kilobyte and adds to an index.
func BenchmarkSchedule(b *testing.B) {
	for _, fsync := range flushing {
		b.Run("ours/"+fsync, func(b *testing.B) {
			o := openOurs(b)
			flush(b, o.server, fsync)
			for i := 0; b.Loop(); i++ {
				o.schedule(b, sample(b, i))
			}
		})
		b.Run("asynq/"+fsync, func(b *testing.B) {
			t := openTheirs(b)
			flush(b, t.server, fsync)
			due := time.Now().Add(time.Hour)
			for b.Loop() {
				t.schedule(b, due)
			}
		})
		b.Run("bare/"+fsync, func(b *testing.B) {
			t := openTheirs(b)
			flush(b, t.server, fsync)
			set := redis.NewScript("redis.call('SET', KEYS[1], ARGV[1]) redis.call('ZADD', KEYS[2], '0', KEYS[1]) return {'ok'}")
			for i := 0; b.Loop(); i++ {
				if err := set.Run(b.Context(), t.plain, []string{"item:" + strconv.Itoa(i), "due"}, t.payload).Err(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkWaiting is the memory that one waiting item takes in Redis. Ours is an outing of a crew that is there already, with its
// deadline and the cause remembered for 72 hours; theirs a task with a payload of as many bytes as the outing has.
func BenchmarkWaiting(b *testing.B) {
	sizes := strings.Split(*items, ",")
	n, err := strconv.Atoi(sizes[len(sizes)-1])
	if err != nil {
		b.Fatalf("-items: %v", err)
	}
	b.Run("ours", func(b *testing.B) {
		for b.Loop() {
			o := openOurs(b)
			o.commitCrews(b, n)
			before := used(b, o.server)
			o.commitOutings(b, n)
			b.ReportMetric(float64(used(b, o.server)-before)/float64(n), "B/item")
			o.server.Kill(b)
		}
	})
	b.Run("asynq", func(b *testing.B) {
		for b.Loop() {
			t := openTheirs(b)
			t.fill(b, 1, time.Now().Add(time.Hour))
			before := used(b, t.server)
			t.fill(b, n, time.Now().Add(time.Hour))
			b.ReportMetric(float64(used(b, t.server)-before)/float64(n), "B/item")
			t.server.Kill(b)
		}
	})
	b.ReportMetric(float64(len(asJSON(b, sample(b, 0)))), "B/payload")
}

func used(b *testing.B, s *storetest.Server) int64 {
	return int64(s.Info(b, "memory", "used_memory"))
}

// ours is the durable core with the real words, and an outbox that nobody empties.
type ours struct {
	server  *storetest.Server
	store   *redisstore.Store
	session *session.Service
	pump    *pump.Pump
}

const fence = session.Fence(1)

func openOurs(b *testing.B) *ours {
	o := &ours{server: storetest.StartServer(b, "--appendfsync", "no")}
	o.store = storetest.OpenRedis(b, o.server.Addr, "")
	storetest.LeadAll(b, o.store, day, fence)
	fenceOf := func(session.Shard) session.Fence { return fence }
	o.session = session.New(o.store, fenceOf)
	log := slog.New(slog.DiscardHandler)
	desk := &bot.Desk{Session: o.session, Log: log}
	o.pump = &pump.Pump{
		Inbox:  &pump.Inbox{Store: o.store, Fence: fenceOf, Desk: desk, Log: log},
		Outbox: &pump.Outbox{Store: kept{o.store}, Fence: fenceOf, Log: log},
		Sweep: func(ctx context.Context, s session.Shard, now time.Time) (int, error) {
			return o.session.Sweep(ctx, s, now, desk)
		},
		Now: func() time.Time { return day }, Log: log, Glance: o.store.Heads,
	}
	return o
}

// kept is an outbox nobody empties.
type kept struct{ session.Outbox }

func (kept) ClaimOut(context.Context, session.Shard, session.Fence, session.Lane, time.Time, time.Duration, int) ([]session.Claimed, error) {
	return nil, nil
}

func (o *ours) messages(b *testing.B) (all int) {
	for s := range session.Shard(session.Shards) {
		n, _, err := o.store.Pending(b.Context(), s)
		if err != nil {
			b.Fatal(err)
		}
		all += n
	}
	return all
}

// fill stores outings that are all due back in an hour, each of a crew of its own.
func (o *ours) fill(b *testing.B, n int) {
	o.commitCrews(b, n)
	o.commitOutings(b, n)
}

func (o *ours) commitCrews(b *testing.B, n int) {
	o.commit(b, n, func(i int) (ch session.Change) {
		g := sample(b, i)
		c := session.Crew{V: 1, ID: session.CrewID(g.Crew), Chat: g.Group, Group: true, Title: "Crew", Units: "metric", Zone: g.Zone, Language: "en",
			Members: []session.Member{{ID: 11, Name: "Ana", Seen: day}, {ID: 12, Name: "Bram", Seen: day}}, Outings: []string{g.ID}, Met: day}
		ch.Writes = []session.Record{{Key: "crew/" + g.Crew, Body: asJSON(b, c)}}
		return ch
	})
}

func (o *ours) commitOutings(b *testing.B, n int) {
	o.commit(b, n, func(i int) (ch session.Change) {
		g := sample(b, i)
		key := "outing/" + g.Crew + "/" + g.ID
		ch.Writes = []session.Record{{Key: key, Body: asJSON(b, g)}}
		ch.Due = []session.DueItem{{Item: key, At: g.NextLook()}}
		return ch
	})
}

func (o *ours) commit(b *testing.B, n int, change func(i int) session.Change) {
	var all [session.Shards][]session.Change
	for i := range n {
		s := session.CrewID(sample(b, i).Crew).Shard()
		c := change(i)
		c.Cause, c.Now = "u"+strconv.Itoa(i)+c.Writes[0].Key[:4], day
		all[s] = append(all[s], c)
	}
	for s, changes := range all {
		if err := errors.Join(o.store.CommitAll(b.Context(), session.Shard(s), fence, changes)...); err != nil {
			b.Fatal(err)
		}
	}
}

// schedule is one outing opened, without its messages.
func (o *ours) schedule(b *testing.B, g outing.Outing) {
	err := o.session.Do(b.Context(), session.Cause{ID: "u" + g.ID, Now: day}, session.CrewID(g.Crew), func(tx *session.Tx) error { return tx.PutOuting(g) })
	if err != nil {
		b.Fatal(err)
	}
}

// sample is what "/out" makes of an ordinary morning: two people, one ashore, a filled sheet.
func sample(b *testing.B, i int) outing.Outing {
	g := int64(-10_000_000 - i)
	lat, lon, water := 38.9546, -123.7406, 12.5
	o, _, err := outing.New(outing.Outing{
		ID: "k" + strconv.Itoa(i), Crew: string(session.CrewOf(g)), Group: g, Ledge: "Anvil", Zone: "America/Los_Angeles", OpenedBy: 11, BackBy: day.Add(time.Hour),
		Ladder:   outing.DefaultLadder(),
		People:   []outing.Member{{ID: 11, Name: "Ana", Chat: 11, Phone: "+15550111"}, {ID: 12, Name: "Bram"}},
		Contacts: []outing.Contact{{ID: 21, Name: "Mo", Chat: 21, Reached: day}},
		Sheet: outing.Sheet{Lat: &lat, Lon: &lon, Access: "gully north of the gate", WaysOut: "ladder in the inlet", Parking: "lay-by at the gate",
			Number: "911", AskFor: "coastguard", Car: "white van", Lifejacket: "yes", Signal: "patchy", Wearing: "orange jackets",
			SeaHs: 1.4, SeaHsLater: 1.8, SeaPeriod: 11, SeaAt: day, WaterC: &water, NextTide: day.Add(3 * time.Hour), NextTideIsHigh: true, NextTideHeight: 1.6, Datum: "MLLW"},
	}, day)
	if err != nil {
		b.Fatal(err)
	}
	return o
}

func asJSON(b *testing.B, v any) []byte {
	raw, err := json.Marshal(v)
	if err != nil {
		b.Fatal(err)
	}
	return raw
}

// theirs is the library on a Redis of its own, and a plain client beside it.
type theirs struct {
	server  *storetest.Server
	at      asynq.RedisClientOpt
	client  *asynq.Client
	plain   *redis.Client
	payload []byte
}

func openTheirs(b *testing.B) *theirs {
	t := &theirs{server: storetest.StartServer(b, "--appendfsync", "no"), payload: asJSON(b, sample(b, 0))}
	t.at = asynq.RedisClientOpt{Network: "unix", Addr: t.server.Addr, PoolSize: 2 * workers}
	t.client = asynq.NewClient(t.at)
	t.plain = redis.NewClient(&redis.Options{Network: "unix", Addr: t.server.Addr, PoolSize: workers})
	b.Cleanup(func() {
		_ = t.client.Close()
		_ = t.plain.Close()
	})
	return t
}

func (t *theirs) schedule(b *testing.B, due time.Time) {
	if _, err := t.client.EnqueueContext(b.Context(), asynq.NewTask("overdue", t.payload), asynq.ProcessAt(due)); err != nil {
		b.Error(err)
	}
}

// fill schedules some from several goroutines: it has no call for many.
func (t *theirs) fill(b *testing.B, n int, due time.Time) {
	var g sync.WaitGroup
	for part := range slices.Chunk(make([]struct{}, n), n/8+1) {
		g.Go(func() {
			for range part {
				t.schedule(b, due)
			}
		})
	}
	g.Wait()
}
