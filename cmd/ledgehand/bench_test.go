package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"log/slog"
	"os"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"
	"golang.org/x/sync/errgroup"

	"ledgehand/bot/chat"
	"ledgehand/bot/pump"
	"ledgehand/bot/telegram"
	"ledgehand/conditions/feed"
	"ledgehand/session"
	"ledgehand/session/outing"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

// What the durable core costs, on a real Redis and with the real desk: an update until its effect is committed, beside the bare
// round trips it takes; a great many deadlines in one minute; a tick with nothing to do; what one open outing takes up.
//
//	go test -run '^$' -bench Core ./cmd/ledgehand
//	go test -run '^$' -bench Core/Idle -million ./cmd/ledgehand   # a million open outings: 4 GB of memory, minutes to set up

var million = flag.Bool("million", false, "benchmarks: with a million open outings as well")

// flushing is how the server's append-only file reaches the disk: after every write, or once a second (the most that Check lets pass).
var flushing = []string{"always", "everysec"}

func BenchmarkCore(b *testing.B) {
	for _, fsync := range flushing {
		b.Run("Update/"+fsync, func(b *testing.B) { benchUpdate(b, fsync) })
	}
	for _, fsync := range flushing {
		for _, rung := range []outing.Rung{outing.RungAsk, outing.RungContact} {
			b.Run(fmt.Sprintf("Due10000Of100000/%s/%s", rung, fsync), func(b *testing.B) { benchDue(b, fsync, rung, 100_000, 10_000) })
		}
	}
	for _, open := range []int{1_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprintf("Idle/%d", open), func(b *testing.B) {
			if open >= 1_000_000 && !*million {
				b.Skip("with -million only")
			}
			benchIdle(b, open)
		})
	}
	b.Run("Memory", func(b *testing.B) { benchMemory(b, 20_000) })
}

// counted counts the calls of a store; each is one round trip.
type counted struct {
	*redisstore.Store
	reads, writes atomic.Int64
}

func (c *counted) Load(ctx context.Context, s session.Shard, keys ...string) ([]session.Record, error) {
	c.reads.Add(1)
	return c.Store.Load(ctx, s, keys...)
}

func (c *counted) Done(ctx context.Context, s session.Shard, cause string) (bool, error) {
	c.reads.Add(1)
	return c.Store.Done(ctx, s, cause)
}

func (c *counted) Begin(ctx context.Context, s session.Shard, cause string, keys ...string) (bool, []session.Record, error) {
	c.reads.Add(1)
	return c.Store.Begin(ctx, s, cause, keys...)
}

func (c *counted) Waiting(ctx context.Context, s session.Shard, after string, n int) ([]session.Letter, error) {
	c.reads.Add(1)
	return c.Store.Waiting(ctx, s, after, n)
}

func (c *counted) Take(ctx context.Context, s session.Shard, l session.Letter) (bool, error) {
	c.writes.Add(1)
	return c.Store.Take(ctx, s, l)
}

func (c *counted) Commit(ctx context.Context, s session.Shard, f session.Fence, ch session.Change) error {
	c.writes.Add(1)
	return c.Store.Commit(ctx, s, f, ch)
}

// Discard of what left with its commit writes nothing, so nothing is flushed for it.
func (c *counted) Discard(ctx context.Context, s session.Shard, f session.Fence, seq string) error {
	c.reads.Add(1)
	return c.Store.Discard(ctx, s, f, seq)
}

// benchCore is the whole bot on a Redis of its own, without a chat service at the other end: nothing is sent.
type benchCore struct {
	server *storetest.Server
	store  *counted
	house  *house
	now    time.Time
}

func openCore(b *testing.B) *benchCore {
	b.Helper()
	c := &benchCore{server: storetest.StartServer(b), now: day}
	c.store = &counted{Store: storetest.OpenRedis(b, c.server.Addr, "")}
	seer, err := feed.NewRecorded(day.Add(-8*time.Hour), false)
	if err != nil {
		b.Fatal(err)
	}
	me := telegram.Me{ID: 900, Username: "ledge_bot"}
	log := slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	c.house = build(parts{
		store: c.store, seer: seer, sender: mute{}, log: log, now: func() time.Time { return c.now },
		decode: func(raw []byte, got time.Time) (chat.Request, error) { return telegram.Decode(raw, got, me) },
		link:   func(token string) string { return token },
	})
	c.house.pump.Glance = c.store.Heads
	c.house.pump.Outbox = &pump.Outbox{Store: kept{c.store}, Fence: c.house.fence, Sender: mute{}, Log: log}
	if err := c.house.lead(b.Context(), day, 365*24*time.Hour); err != nil {
		b.Fatal(err)
	}
	return c
}

// flush sets how what is written from now on reaches the disk.
func (c *benchCore) flush(b *testing.B, fsync string) {
	c.server.Flush(b)
	c.server.Do(b, "CONFIG", "SET", "appendfsync", fsync)
}

// kept is an outbox nobody empties: what is measured ends where a message is committed.
type kept struct{ session.Outbox }

func (kept) ClaimOut(context.Context, session.Shard, session.Fence, session.Lane, time.Time, time.Duration, int) ([]session.Claimed, error) {
	return nil, nil
}

type mute struct{}

func (mute) Send(context.Context, chat.Message, int) chat.Sent {
	return chat.Sent{Result: chat.ResultSent}
}
func (mute) Typing(context.Context, int64, int)             {}
func (mute) Fetch(context.Context, string) ([]byte, error)  { return nil, chat.ErrFileGone }
func (mute) Admins(context.Context, int64) ([]int64, error) { return nil, nil }

// benchUpdate lets groups say "/out" and "/off" in turn. An op is one raw update: stored, read, understood, handled, its effect
// committed. Beside each op the same count of bare round trips is taken, by turns, so that both see the same machine: an empty script
// for what only reads, one that sets a kilobyte for what writes.
func benchUpdate(b *testing.B, fsync string) {
	c := openCore(b)
	const groups = 50
	update := 0
	say := func(g int, text string) {
		update++
		c.now = c.now.Add(time.Second)
		raw := fmt.Appendf(nil, `{"update_id":%d,"message":{"message_id":%d,"date":%d,"chat":{"id":%d,"type":"group","title":"Crew"},`+
			`"from":{"id":%d,"is_bot":false,"first_name":"Ana"},"text":%q,"entities":[{"type":"bot_command","offset":0,"length":%d}]}}`,
			update, update, c.now.Unix(), -1000-g, 100+g, text, len(strings.Fields(text)[0]))
		to := int64(-1000 - g)
		if err := c.house.take(b.Context(), "u"+strconv.Itoa(update), to, raw, c.now); err != nil {
			b.Fatal(err)
		}
		if n, err := c.house.pump.Inbox.Step(b.Context(), session.ShardOfChat(to), c.now); err != nil || n != 1 {
			b.Fatal(n, err)
		}
	}
	for g := range groups {
		say(g, "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 foot 12 slope wall number 911")
	}
	c.flush(b, fsync)
	bare := newBare(b, c.server.Addr)
	c.store.reads.Store(0)
	c.store.writes.Store(0)
	var took, floor []time.Duration
	var reads, writes int64
	i := 0
	for b.Loop() {
		g, text := i%groups, "/out Anvil back in 2 hours"
		if i/groups%2 == 1 {
			text = "/off"
		}
		i++
		start := time.Now()
		say(g, text)
		took = append(took, time.Since(start))
		b.StopTimer()
		r, w := c.store.reads.Swap(0), c.store.writes.Swap(0)
		reads, writes = reads+r, writes+w
		floor = append(floor, bare.trips(b, r, w))
		b.StartTimer()
	}
	b.ReportMetric(float64(reads)/float64(i), "reads/op")
	b.ReportMetric(float64(writes)/float64(i), "writes/op")
	b.ReportMetric(us(at(took, 0.5)), "p50-µs")
	b.ReportMetric(us(at(took, 0.99)), "p99-µs")
	b.ReportMetric(us(at(floor, 0.5)), "bare-p50-µs")
	b.ReportMetric(us(at(floor, 0.99)), "bare-p99-µs")
	b.ReportMetric(us(at(took, 0.5))/us(at(floor, 0.5)), "x-bare")
}

// bare is the least that a round trip costs.
type bare struct {
	c          *redis.Client
	read, save *redis.Script
	body       []byte
}

func newBare(b *testing.B, addr string) *bare {
	c := &bare{c: redis.NewClient(&redis.Options{Addr: addr}), body: make([]byte, 1024),
		read: redis.NewScript("return {'ok'}"), save: redis.NewScript("redis.call('SET', KEYS[1], ARGV[1]) return {'ok'}")}
	b.Cleanup(func() { _ = c.c.Close() })
	c.trips(b, 1, 1)
	return c
}

func (c *bare) trips(b *testing.B, reads, writes int64) time.Duration {
	start := time.Now()
	for range reads {
		if err := c.read.Run(b.Context(), c.c, []string{"bare"}).Err(); err != nil {
			b.Fatal(err)
		}
	}
	for range writes {
		if err := c.save.Run(b.Context(), c.c, []string{"bare"}, c.body).Err(); err != nil {
			b.Fatal(err)
		}
	}
	return time.Since(start)
}

func us(d time.Duration) float64 { return float64(d.Nanoseconds()) / 1000 }

// at is a quantile.
func at(all []time.Duration, q float64) time.Duration {
	all = slices.Sorted(slices.Values(all))
	return all[min(len(all)-1, int(q*float64(len(all))))]
}

// benchDue has many open outings of which some come due within one minute: the time from the end of that minute until every one of
// them has its rung climbed and the messages of it committed, beginning with the look that finds out which are due.
func benchDue(b *testing.B, fsync string, rung outing.Rung, open, due int) {
	var worst, cpu time.Duration
	messages := 0
	for b.Loop() {
		b.StopTimer()
		c := openCore(b)
		backBy := day.Add(time.Hour)
		c.fill(b, open, 50, func(i int) outing.Outing {
			o := sampleOuting(b, i, backBy)
			if i >= due {
				o.BackBy = o.BackBy.Add(5 * time.Hour)
				return o
			}
			if rung == outing.RungContact { // asked and told to the mates already, those ashore come next
				o, _ = o.Tick(o.BackBy)
				o, _ = o.Tick(o.BackBy.Add(o.Ladder.Party))
			}
			return o
		})
		c.now = backBy.Add(time.Minute)
		if rung == outing.RungContact {
			c.now = c.now.Add(30 * time.Minute)
		}
		c.flush(b, fsync)
		used, start := c.server.CPU(b), time.Now()
		b.StartTimer()
		if err := c.house.pump.Settle(b.Context(), c.now); err != nil {
			b.Fatal(err)
		}
		b.StopTimer()
		worst = max(worst, time.Since(start))
		cpu += c.server.CPU(b) - used
		messages = 0
		for s := range session.Shard(session.Shards) {
			n, _, err := c.store.Pending(b.Context(), s)
			if err != nil {
				b.Fatal(err)
			}
			messages += n
		}
		if messages < due {
			b.Fatalf("%d messages wait, want at least one for each of %d", messages, due)
		}
		c.server.Kill(b)
		b.StartTimer()
	}
	b.ReportMetric(worst.Seconds()*1000, "worst-ms")
	b.ReportMetric(float64(messages), "messages")
	b.ReportMetric(us(b.Elapsed())/float64(b.N)/float64(due), "µs/due")
	b.ReportMetric(us(cpu)/float64(b.N)/float64(due), "cpu-µs/due")
}

// benchIdle is one tick of the pump over all shards with nothing to do.
func benchIdle(b *testing.B, open int) {
	c := openCore(b)
	c.fill(b, open, 200, func(i int) outing.Outing { return sampleOuting(b, i, day.Add(4*time.Hour)) })
	for b.Loop() {
		if err := c.house.pump.Settle(b.Context(), c.now); err != nil {
			b.Fatal(err)
		}
	}
}

// benchMemory is what one open outing of a crew of its own takes up in Redis and with us, memory of its cause included.
func benchMemory(b *testing.B, open int) {
	for b.Loop() {
		c := openCore(b)
		c.fill(b, 100, 1, func(i int) outing.Outing { return sampleOuting(b, open+i, day.Add(4*time.Hour)) })
		debug.FreeOSMemory()
		redisBefore, before := c.usedMemory(b), resident(b)
		c.fill(b, open, 1, func(i int) outing.Outing { return sampleOuting(b, i, day.Add(4*time.Hour)) })
		debug.FreeOSMemory()
		b.ReportMetric(float64(c.usedMemory(b)-redisBefore)/float64(open), "redis-B/outing")
		b.ReportMetric(float64(resident(b)-before)/float64(open), "own-B/outing")
		c.server.Kill(b)
	}
}

func (c *benchCore) usedMemory(b *testing.B) int64 {
	return int64(c.server.Info(b, "memory", "used_memory"))
}

// resident is this process' memory in bytes, after what is free was given back.
func resident(b *testing.B) int64 {
	raw, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		b.Skip("no /proc here: ", err)
	}
	pages, err := strconv.ParseInt(strings.Fields(string(raw))[1], 10, 64)
	if err != nil {
		b.Fatal(err)
	}
	return pages * int64(os.Getpagesize())
}

// sampleOuting is what "/out" makes of an ordinary morning: two people, one ashore, a filled sheet. Every one is of a crew of its own.
func sampleOuting(b *testing.B, i int, backBy time.Time) outing.Outing {
	g := int64(-10_000_000 - i)
	lat, lon, water := 38.9546, -123.7406, 12.5
	o, _, err := outing.New(outing.Outing{
		ID: "k" + strconv.Itoa(i), Crew: string(session.CrewOf(g)), Group: g, Ledge: "Anvil", Zone: "America/Los_Angeles", OpenedBy: 11, BackBy: backBy,
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

// fill stores open outings and their crews as "/out" would, some in one change, without the messages of it. Nothing is flushed
// meanwhile: it is not what is measured.
func (c *benchCore) fill(b *testing.B, n, atOnce int, make func(i int) outing.Outing) {
	b.Helper()
	c.server.Do(b, "CONFIG", "SET", "appendfsync", "no")
	var changes [session.Shards]session.Change
	var g errgroup.Group
	g.SetLimit(8)
	send := func(s session.Shard) {
		ch := changes[s]
		changes[s] = session.Change{}
		if len(ch.Due) > 0 {
			g.Go(func() error { return c.store.Store.Commit(b.Context(), s, c.house.fence(s), ch) })
		}
	}
	for i := range n {
		o := make(i)
		crew := session.Crew{V: 1, ID: session.CrewID(o.Crew), Chat: o.Group, Group: true, Title: "Crew", Units: "metric", Zone: o.Zone, Language: "en",
			Members: []session.Member{{ID: 11, Name: "Ana", Seen: day}, {ID: 12, Name: "Bram", Seen: day}}, Outings: []string{o.ID}, Met: day}
		s := crew.ID.Shard()
		ch := &changes[s]
		key := "outing/" + o.Crew + "/" + o.ID
		ch.Cause, ch.Now = "fill"+strconv.Itoa(i)+o.ID, day
		ch.Writes = append(ch.Writes, session.Record{Key: "crew/" + o.Crew, Body: asJSON(b, crew)}, session.Record{Key: key, Body: asJSON(b, o)})
		ch.Due = append(ch.Due, session.DueItem{Item: key, At: o.NextLook()})
		if len(ch.Due) >= atOnce {
			send(s)
		}
	}
	for s := range changes {
		send(session.Shard(s))
	}
	if err := g.Wait(); err != nil {
		b.Fatal(err)
	}
}

func asJSON(b *testing.B, v any) []byte {
	raw, err := json.Marshal(v)
	if err != nil {
		b.Fatal(err)
	}
	return raw
}
