package vitals

import (
	"runtime"
	"runtime/debug"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
)

// Every name begins so. Names end in a unit, or in _total where they only grow; ages and counts are taken at the scrape,
// so that they rise even while nothing can be read any more.
const namespace = "ledgehand"

// counter is a counter with one or two labels of closed sets. All its series exist from the start: a rate of what never
// happened is 0 rather than nothing, and counting asks no table of the library.
type counter struct {
	sets   [2][]string
	series map[[2]string]prometheus.Counter
}

func newCounter(r prometheus.Registerer, name, help string, labels []string, sets ...[]string) *counter {
	vec := prometheus.NewCounterVec(prometheus.CounterOpts{Namespace: namespace, Name: name, Help: help}, labels)
	r.MustRegister(vec)
	c := &counter{series: map[[2]string]prometheus.Counter{}}
	for i, s := range sets {
		c.sets[i] = append([]string{other}, s...)
	}
	for _, first := range c.sets[0] {
		if len(sets) == 1 {
			c.series[[2]string{first}] = vec.WithLabelValues(first)
			continue
		}
		for _, second := range c.sets[1] {
			c.series[[2]string{first, second}] = vec.WithLabelValues(first, second)
		}
	}
	return c
}

func (c *counter) add(values ...string) {
	var key [2]string
	copy(key[:], values)
	one, ok := c.series[key]
	if !ok {
		for i, w := range values {
			key[i] = known(c.sets[i], w)
		}
		one = c.series[key]
	}
	one.Inc()
}

type metrics struct {
	registry *prometheus.Registry

	sends, letters, takes, commits, rounds, polls, feeds, pings, compared, counted *counter
	mended                                                                         prometheus.Counter
	lateness                                                                       prometheus.Histogram
}

func newMetrics(v *Vitals) *metrics {
	r := prometheus.NewRegistry()
	m := &metrics{
		registry: r,
		sends:    newCounter(r, "sends_total", "Attempts at messages, by lane and what became of them.", []string{"lane", "result"}, lanes, results),
		letters:  newCounter(r, "letters_total", "Letters that left the inbox: handled, or put aside among the dead.", []string{"result"}, handling),
		takes:    newCounter(r, "updates_taken_total", "Updates brought to the store: fresh, had before, or not kept.", []string{"result"}, takings),
		commits:  newCounter(r, "commits_total", "Changes offered to the store, by result.", []string{"result"}, commits),
		rounds:   newCounter(r, "rounds_total", "Rounds of the queues, by result.", []string{"result"}, rounds),
		polls:    newCounter(r, "polls_total", "Polls for updates, or deliveries to the webhook and looks at it, by result.", []string{"result"}, polls),
		feeds:    newCounter(r, "feed_answers_total", "What asking a feed came to, answers kept from before included.", []string{"feed", "why"}, feeds, append([]string{FeedOK, FeedPartly}, v.o.FeedWhys...)),
		pings:    newCounter(r, "watchdog_pings_total", "Calls to the watchdog outside, by result; withheld because something was not well.", []string{"result"}, pings),
		compared: newCounter(r, "reconciles_total", "Comparisons of deadlines with records, one a shard, by result.", []string{"result"}, readings),
		counted:  newCounter(r, "backlog_reads_total", "Looks at what waits in the store, by result.", []string{"result"}, readings),
		mended: prometheus.NewCounter(prometheus.CounterOpts{Namespace: namespace, Name: "reconcile_differences_total",
			Help: "Deadlines that did not agree with their records and were mended."}),
		lateness: prometheus.NewHistogram(prometheus.HistogramOpts{Namespace: namespace, Name: "sweep_lateness_seconds",
			Help: "How late due items were looked at.", Buckets: []float64{1, 2, 5, 10, 30, 60, 300, 1800}}),
	}
	r.MustRegister(m.mended, m.lateness, collectors.NewGoCollector(), buildInfo())
	gauge := func(name, help string, labels prometheus.Labels, value func(f facts, now time.Time) float64) {
		r.MustRegister(prometheus.NewGaugeFunc(prometheus.GaugeOpts{Namespace: namespace, Name: name, Help: help, ConstLabels: labels},
			func() float64 { return value(v.facts(), v.o.Now()) }))
	}
	ageOf := func(name, help string, of func(facts) time.Time) {
		gauge(name, help, nil, func(f facts, now time.Time) float64 { return age(of(f), now).Seconds() })
	}
	stamp := func(name, help string, of func(facts) time.Time) {
		gauge(name, help+" As seconds since 1970; 0 for never.", nil, func(f facts, _ time.Time) float64 {
			t := of(f)
			if t.IsZero() {
				return 0
			}
			return float64(t.UnixMilli()) / 1000
		})
	}
	gauge("sweep_lag_seconds", "How late the latest due items were looked at: the worst of the last half to whole minute.", nil,
		func(f facts, now time.Time) float64 { return f.late.worst(now).Seconds() })
	ageOf("due_oldest_age_seconds", "How long the oldest due item has waited to be looked at, 0 for none.", func(f facts) time.Time { return f.backlog.OldestDue })
	ageOf("urgent_oldest_age_seconds", "How long ago the oldest urgent message that is not sent was decided, 0 for none.", func(f facts) time.Time { return f.backlog.OldestUrgent })
	ageOf("inbox_oldest_age_seconds", "How long the oldest letter has waited in the inbox, 0 for none.", func(f facts) time.Time { return f.backlog.OldestLetter })
	count := func(name, help string, labels prometheus.Labels, of func(facts) int) {
		gauge(name, help, labels, func(f facts, _ time.Time) float64 { return float64(of(f)) })
	}
	const waiting = "Messages waiting to be sent, by lane."
	count("outbox_waiting", waiting, prometheus.Labels{"lane": "urgent"}, func(f facts) int { return f.backlog.Urgent })
	count("outbox_waiting", waiting, prometheus.Labels{"lane": "slow"}, func(f facts) int { return f.backlog.Slow })
	count("inbox_waiting", "Letters waiting in the inbox.", nil, func(f facts) int { return f.backlog.Letters })
	count("dead_letters", "Letters put aside because nobody could read or handle them.", nil, func(f facts) int { return f.backlog.Dead })
	gauge("shards_served", "Shards whose lease is ours and runs.", nil, func(f facts, now time.Time) float64 {
		current, _ := f.served(now)
		return float64(current)
	})
	stamp("poll_last_good_timestamp_seconds", "When this replica last fetched updates, or was brought one.", func(f facts) time.Time { return f.polled })
	stamp("heard_timestamp_seconds", "By when all that was said is stored, as far as any replica knows.", func(f facts) time.Time { return f.heard })
	stamp("round_last_timestamp_seconds", "When the queues' loop last came round.", func(f facts) time.Time { return f.turned })
	stamp("backlog_last_read_timestamp_seconds", "When what waits was last read; ages and counts of queues are from then.", func(f facts) time.Time { return f.counted })
	stamp("store_last_write_timestamp_seconds", "When the store last took a trial write.", func(f facts) time.Time { return f.written })
	return m
}

func buildInfo() prometheus.Collector {
	labels := prometheus.Labels{"version": "", "revision": "", "go": runtime.Version()}
	if info, ok := debug.ReadBuildInfo(); ok {
		labels["version"] = info.Main.Version
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				labels["revision"] = s.Value
			}
		}
	}
	g := prometheus.NewGauge(prometheus.GaugeOpts{Namespace: namespace, Name: "build_info", Help: "Always 1; what was built, from what.", ConstLabels: labels})
	g.Set(1)
	return g
}
