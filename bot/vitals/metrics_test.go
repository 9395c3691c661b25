package vitals_test

import (
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus/testutil/promlint"
	dto "github.com/prometheus/client_model/go"
	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"

	"ledgehand/bot/chat"
	"ledgehand/bot/vitals"
	"ledgehand/session"
)

// families reads an answer with the parser of the exposition format's own people.
func families(t testing.TB, text string) map[string]*dto.MetricFamily {
	t.Helper()
	p := expfmt.NewTextParser(model.LegacyValidation)
	got, err := p.TextToMetricFamilies(strings.NewReader(text))
	if err != nil {
		t.Fatalf("/metrics does not parse: %v\n%s", err, text)
	}
	return got
}

// number reads one series, written as in the exposition.
func (w *world) number(series string) float64 {
	w.Helper()
	_, text := w.get("/metrics")
	name, _, _ := strings.Cut(series, "{")
	f := families(w, text)[name]
	if f == nil {
		w.Fatalf("no metric is called %s", name)
	}
	for _, m := range f.Metric {
		var labels []string
		for _, l := range m.Label {
			labels = append(labels, fmt.Sprintf("%s=%q", l.GetName(), l.GetValue()))
		}
		slices.Sort(labels)
		full := name
		if len(labels) > 0 {
			full += "{" + strings.Join(labels, ",") + "}"
		}
		if full == series {
			return m.GetCounter().GetValue() + m.GetGauge().GetValue() + float64(m.GetHistogram().GetSampleCount())
		}
	}
	w.Fatalf("no series %s", series)
	return 0
}

func (w *world) want(series string, want float64) {
	w.Helper()
	if got := w.number(series); got != want {
		w.Errorf("%s = %v, want %v", series, got, want)
	}
}

// between is for what depends on where in a tick the look falls.
func (w *world) between(series string, from, to float64) {
	w.Helper()
	if got := w.number(series); got < from || got > to {
		w.Errorf("%s = %v, want %v to %v", series, got, from, to)
	}
}

func TestTheNumbers(t *testing.T) {
	live(t, vitals.Options{FeedWhys: []string{"down"}}, func(w *world) {
		w.pass(30 * time.Second)
		w.want("ledgehand_shards_served", 64)
		w.want(`ledgehand_sends_total{lane="urgent",result="later"}`, 0)
		w.want("ledgehand_due_oldest_age_seconds", 0)

		// Nobody looks for 40 s; then what was due is looked at, late.
		w.set(func() { w.sweep = func(session.Shard) (bool, error) { return true, nil } })
		w.commit(session.Change{Due: []session.DueItem{{Item: "nobody/s", At: time.Now()}, {Item: "nobody/t", At: time.Now().Add(time.Hour)}}})
		w.pass(40 * time.Second)
		w.between("ledgehand_due_oldest_age_seconds", 40, 40)
		w.set(func() { w.sweep = nil })
		w.pass(2 * tick)
		w.want("ledgehand_due_oldest_age_seconds", 0)
		w.between("ledgehand_sweep_lag_seconds", 40, 50)
		w.want("ledgehand_sweep_lateness_seconds", 1)
		w.pass(time.Minute)
		w.want("ledgehand_sweep_lag_seconds", 0)

		// An alert that is put off waits and is tried; chatter goes.
		w.set(func() {
			w.send = func(chat.Message) chat.Sent { return chat.Sent{Result: chat.ResultLater, After: 10 * time.Minute} }
		})
		w.post("alert", session.Urgent)
		w.pass(20 * time.Second)
		w.set(func() { w.send = nil })
		w.post("chatter", session.Slow)
		w.pass(20 * time.Second)
		w.want(`ledgehand_sends_total{lane="urgent",result="later"}`, 1)
		w.want(`ledgehand_sends_total{lane="slow",result="sent"}`, 1)
		w.want(`ledgehand_outbox_waiting{lane="urgent"}`, 1)
		w.want(`ledgehand_outbox_waiting{lane="slow"}`, 0)
		w.between("ledgehand_urgent_oldest_age_seconds", 40, 41)

		// Letters: one handled, one had before, one dead.
		for _, l := range []session.Letter{{ID: "u1", Body: []byte("{}")}, {ID: "u1", Body: []byte("{}")}, {ID: "u2", Body: []byte("garbage")}} {
			l.Got = time.Now()
			if _, err := w.heard.Take(w.Context(), shard, l); err != nil {
				w.Fatal(err)
			}
		}
		w.pass(10 * time.Second)
		w.want(`ledgehand_updates_taken_total{result="fresh"}`, 2)
		w.want(`ledgehand_updates_taken_total{result="repeat"}`, 1)
		w.want(`ledgehand_letters_total{result="handled"}`, 1)
		w.want(`ledgehand_letters_total{result="aside"}`, 1)
		w.want("ledgehand_dead_letters", 1)
		w.want("ledgehand_inbox_waiting", 0)

		// Commits by what became of them.
		committed := w.number(`ledgehand_commits_total{result="committed"}`)
		c := session.Change{Cause: "once", Now: time.Now()}
		for range 2 {
			_ = w.heard.Commit(w.Context(), shard, fence, c)
		}
		_ = w.heard.Commit(w.Context(), shard, fence+1, session.Change{Cause: "x", Now: time.Now()})
		_ = w.heard.Commit(w.Context(), shard, fence, session.Change{Cause: "y", Now: time.Now(), Writes: []session.Record{{Key: "r", Version: 4, Body: []byte("{}")}}})
		w.want(`ledgehand_commits_total{result="committed"}`, committed+1)
		for _, word := range []string{"done", "fenced", "conflict"} {
			w.want(`ledgehand_commits_total{result="`+word+`"}`, 1)
		}

		// An outage: ages go on from what was last read.
		w.store.Off()
		_ = w.heard.Commit(w.Context(), shard, fence, session.Change{Cause: "z", Now: time.Now()})
		before := w.number("ledgehand_urgent_oldest_age_seconds")
		w.pass(20 * time.Second)
		w.want(`ledgehand_commits_total{result="unavailable"}`, 1)
		w.want("ledgehand_urgent_oldest_age_seconds", before+20)
		w.between(`ledgehand_backlog_reads_total{result="failed"}`, 4, 4)
		w.store.On()

		w.v.Fed(vitals.FeedSea, "down")
		w.v.Fed(vitals.FeedSea, "38.9546,-123.7406")
		w.v.Fed("Anvil", "down")
		w.want(`ledgehand_feed_answers_total{feed="sea",why="down"}`, 1)
		w.want(`ledgehand_feed_answers_total{feed="sea",why="other"}`, 1)
		w.want(`ledgehand_feed_answers_total{feed="other",why="down"}`, 1)
		w.v.Polled(vitals.PollFlood)
		w.want(`ledgehand_polls_total{result="flood"}`, 1)
		w.v.Reconciled(3, nil)
		w.want("ledgehand_reconcile_differences_total", 3)
		w.want(`ledgehand_reconciles_total{result="done"}`, 1)
	})
}

// The exposition is as the format's own people want it: their parser reads it, their linter finds nothing.
func TestTheExposition(t *testing.T) {
	live(t, vitals.Options{FeedWhys: []string{"down"}}, func(w *world) {
		w.pass(time.Minute)
		status, text := w.get("/metrics")
		if status != http.StatusOK {
			w.Fatalf("/metrics = %d", status)
		}
		f := families(w, text)
		for _, name := range []string{"ledgehand_build_info", "go_goroutines", "go_memstats_heap_alloc_bytes"} {
			if f[name] == nil {
				w.Errorf("no %s", name)
			}
		}
		problems, err := promlint.New(strings.NewReader(text)).Lint()
		if err != nil {
			w.Fatal(err)
		}
		for _, p := range problems {
			if strings.HasPrefix(p.Metric, "ledgehand_") {
				w.Errorf("%s: %s", p.Metric, p.Text)
			}
		}
		// Every label of ours is from a closed set: its values are words, not data.
		for name, family := range f {
			if !strings.HasPrefix(name, "ledgehand_") || name == "ledgehand_build_info" {
				continue
			}
			for _, m := range family.Metric {
				for _, l := range m.Label {
					if v := l.GetValue(); v == "" || strings.Trim(v, "abcdefghijklmnopqrstuvwxyz_") != "" {
						w.Errorf("%s has the label %s=%q, want a word", name, l.GetName(), v)
					}
				}
			}
		}
	})
}

func TestNobodyListens(t *testing.T) {
	var v *vitals.Vitals
	v.Handled(true)
	v.Sent(session.Urgent, chat.ResultSent)
	v.Round(nil, io.EOF)
	v.Polled(vitals.PollOK)
	v.Reconciled(1, nil)
	v.Fed(vitals.FeedSea, vitals.FeedOK)
	if got := v.Hear(nil); got != nil {
		t.Errorf("Hear() of nobody = %v, want the store itself", got)
	}
}
