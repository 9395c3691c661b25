package vitals_test

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/pump"
	"ledgehand/bot/vitals"
	"ledgehand/session"
	"ledgehand/session/storetest"
)

// BenchmarkRound is one full round of 64 shards in which nothing is due, on a real Redis, heard and not.
func BenchmarkRound(b *testing.B) {
	for name, listens := range map[string]bool{"heard": true, "alone": false} {
		b.Run(name, func(b *testing.B) {
			st := storetest.OpenRedis(b, storetest.StartServer(b).Addr, "t")
			storetest.LeadAll(b, st, time.Now(), 1)
			var store vitals.Store = st
			fence := func(session.Shard) session.Fence { return 1 }
			log := slog.New(slog.DiscardHandler)
			p := &pump.Pump{Now: time.Now, Log: log}
			p.Inbox = &pump.Inbox{Fence: fence, Desk: desk{}, Log: log}
			p.Outbox = &pump.Outbox{Fence: fence, Log: log}
			if listens {
				v := vitals.New(vitals.Options{Now: time.Now, Gauge: st})
				store = v.Hear(st)
				p.Observer, p.Inbox.Observer, p.Outbox.Observer = v, v, v
			}
			service := session.New(store, fence)
			p.Inbox.Store, p.Outbox.Store = store, store
			p.Sweep = func(ctx context.Context, s session.Shard, now time.Time) (int, error) {
				return service.Sweep(ctx, s, now, nil)
			}
			b.ReportAllocs()
			for b.Loop() {
				if err := p.Settle(b.Context(), time.Now()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkHear is what each thing that happens costs those who are watched.
func BenchmarkHear(b *testing.B) {
	v := vitals.New(vitals.Options{Now: time.Now})
	all := make([]session.Shard, session.Shards)
	for i := range all {
		all[i] = session.Shard(i)
	}
	for name, f := range map[string]func(){
		"sent":    func() { v.Sent(session.Urgent, chat.ResultSent) },
		"handled": func() { v.Handled(false) },
		"round":   func() { v.Round(all, nil) },
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				f()
			}
		})
	}
}

// BenchmarkLook is what vitals does every few seconds, and what a scrape costs.
func BenchmarkLook(b *testing.B) {
	st := storetest.OpenRedis(b, storetest.StartServer(b).Addr, "t")
	v := vitals.New(vitals.Options{Now: time.Now, Gauge: st})
	b.Run("step", func(b *testing.B) {
		for b.Loop() {
			v.Step(b.Context())
		}
	})
	h := vitals.Handler(v)
	b.Run("scrape", func(b *testing.B) {
		for b.Loop() {
			rec := httptest.NewRecorder()
			h.ServeHTTP(rec, httptest.NewRequest(http.MethodGet, "/metrics", nil))
			_, _ = io.Copy(io.Discard, rec.Body)
		}
	})
}
