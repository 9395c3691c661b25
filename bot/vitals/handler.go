package vitals

import (
	"fmt"
	"net/http"

	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Handler answers /metrics, /healthz and /readyz. Whoever reaches it learns how much waits and that the bot exists, and
// nothing of anybody; it is meant for an address that the world does not see.
func Handler(v *Vitals) http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(v.m.registry, promhttp.HandlerOpts{MaxRequestsInFlight: 4}))
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) {
		if t, is := stuck(v.facts(), v.b, v.o.Now()); is {
			plain(w, http.StatusServiceUnavailable, t.String())
			return
		}
		plain(w, http.StatusOK, "alive")
	})
	mux.HandleFunc("GET /readyz", func(w http.ResponseWriter, _ *http.Request) {
		now := v.o.Now()
		if bad := unfit(v.facts(), v.b, now.Add(-v.b.Clean), now); len(bad) > 0 {
			plain(w, http.StatusServiceUnavailable, say(bad))
			return
		}
		plain(w, http.StatusOK, "serving")
	})
	return mux
}

func plain(w http.ResponseWriter, status int, line string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = fmt.Fprintln(w, line)
}
