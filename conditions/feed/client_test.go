package feed

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

const agent = "ledgehand-test/0 (+https://example.org; test@example.org)"

// theLedge is an exact place that must never be seen in a request; the sample's cell holds it.
var theLedge = measure.Position{Lat: -33.861234, Lon: 151.283456}

// service is a feed server that remembers what it was asked.
type service struct {
	*httptest.Server
	mu     sync.Mutex
	asked  []*url.URL
	agents []string
	reply  http.HandlerFunc
}

func newService(t *testing.T, reply http.HandlerFunc) *service {
	t.Helper()
	s := &service{reply: reply}
	s.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.mu.Lock()
		s.asked = append(s.asked, r.URL)
		s.agents = append(s.agents, r.UserAgent())
		reply := s.reply
		s.mu.Unlock()
		reply(w, r)
	}))
	t.Cleanup(s.Close)
	return s
}

func (s *service) answer(h http.HandlerFunc) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.reply = h
}

// count is how many requests came whose path ends so.
func (s *service) count(path string) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := 0
	for _, u := range s.asked {
		if strings.HasSuffix(u.Path, path) {
			n++
		}
	}
	return n
}

func newTestClient(t *testing.T, s *service) *Client {
	t.Helper()
	c, err := NewClient(Settings{UserAgent: agent, MarineURL: s.URL, ForecastURL: s.URL, AlertsURL: s.URL, BuoysURL: Off, MetURL: Off, CAPIndexes: map[string]string{}})
	if err != nil {
		t.Fatalf("NewClient: %v", err)
	}
	t.Cleanup(c.Close)
	return c
}

// samples answers every question with the invented sample for it.
func samples(t *testing.T) http.HandlerFunc {
	t.Helper()
	bodies := map[string][]byte{
		"/v1/marine":     sample(t, "marine_sydney_rising_longperiod.constructed.json"),
		"/v1/forecast":   sample(t, "forecast_sydney_rising_longperiod.constructed.json"),
		"/alerts/active": sample(t, "alerts_active_central_california.constructed.json"),
		"/data/meteofrance_wave/static/meta.json": sample(t, "model_meta_mfwave.constructed.json"),
	}
	return func(w http.ResponseWriter, r *http.Request) {
		if b, ok := bodies[r.URL.Path]; ok {
			_, _ = w.Write(b)
			return
		}
		http.NotFound(w, r)
	}
}

func fixed(status int, body []byte) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		w.WriteHeader(status)
		_, _ = w.Write(body)
	}
}

func snap(t testing.TB, p measure.Position) Anchor {
	t.Helper()
	a, err := Snap(p)
	if err != nil {
		t.Fatalf("Snap: %v", err)
	}
	return a
}

func TestClientAsksForTheAnchorOnly(t *testing.T) {
	s := newService(t, samples(t))
	c := newTestClient(t, s)
	a, now := snap(t, theLedge), begin.Add(12*time.Hour)
	sea, err := c.Sea(t.Context(), a, now)
	if err != nil {
		t.Fatalf("Sea: %v", err)
	}
	if len(sea.Hours) != 168 || !sea.Source.FetchedAt.Equal(now) || !sea.Source.RunAt.Equal(begin) {
		t.Errorf("Sea = %d hours, %+v, want 168, fetched at %v, run of %v", len(sea.Hours), sea.Source, now, begin)
	}
	if w, err := c.Weather(t.Context(), a, now); err != nil || len(w.Hours) != 168 {
		t.Errorf("Weather = %v, %v, want 168 hours", w, err)
	}
	place := WarningPlace{Zones: []string{"CAZ340", "PZZ645"}}
	if w := c.Warnings(t.Context(), place, ts("2026-12-05T13:30:00Z")); w.State != conditions.WarningsInForce || len(w.List) != 3 {
		t.Errorf("Warnings = %+v, want three in force", w)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.asked) != 4 {
		t.Fatalf("%d requests, want marine, its run, forecast, alerts", len(s.asked))
	}
	for i, u := range s.asked {
		if s.agents[i] != agent {
			t.Errorf("user agent = %q, want %q", s.agents[i], agent)
		}
		text, q := u.String(), u.Query()
		for _, digits := range []string{"861", "283", "340", "645"} { // of the exact place, of the zones
			if strings.Contains(text, digits) {
				t.Errorf("request %s holds %q", text, digits)
			}
		}
		switch u.Path {
		case "/v1/marine", "/v1/forecast":
			if q.Get("latitude") != "-33.8750" || q.Get("longitude") != "151.2917" {
				t.Errorf("asked for %s, %s, want the cell centre -33.8750, 151.2917", q.Get("latitude"), q.Get("longitude"))
			}
			if q.Get("timeformat") != "unixtime" || q.Get("timezone") != "GMT" || q.Get("cell_selection") != "sea" {
				t.Errorf("request %s, want whole seconds of UTC from sea cells", text)
			}
		case "/alerts/active":
			if len(q) != 1 || q.Get("area") != "CA,PZ" {
				t.Errorf("alerts asked with %v, want area=CA,PZ alone", q)
			}
		}
	}
	if u := s.asked[2].Query(); u.Get("wind_speed_unit") != "ms" {
		t.Errorf("wind asked in %q, want ms", u.Get("wind_speed_unit"))
	}
}

func TestNewClientRefuses(t *testing.T) {
	for _, tc := range []struct {
		name string
		s    Settings
		say  string
	}{
		{"no user agent", Settings{}, "set it to"},
		{"a user agent without contact", Settings{UserAgent: "bot/1"}, "contact"},
		{"a user agent with a line break", Settings{UserAgent: "bot/1 (a@example.org)\r\nX: y"}, "printable"},
		{"an address without a host", Settings{UserAgent: agent, MarineURL: "marine"}, "marine"},
		{"an address of another scheme", Settings{UserAgent: agent, ForecastURL: "file:///etc/hosts"}, "forecast"},
		{"an address with a key in it", Settings{UserAgent: agent, AlertsURL: "https://h.example?apikey=hush"}, "alerts"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c, err := NewClient(tc.s)
			if c != nil || err == nil || !strings.Contains(err.Error(), tc.say) || strings.Contains(err.Error(), "hush") {
				t.Errorf("NewClient = %v, %v, want an error that says %q and no key", c, err, tc.say)
			}
		})
	}
}

func TestAnchorNotMadeBySnapIsRefused(t *testing.T) {
	s := newService(t, samples(t))
	c := newTestClient(t, s)
	if _, err := c.Sea(t.Context(), Anchor{}, begin); !errors.Is(err, errNoAnchor) {
		t.Errorf("Sea(no anchor) = %v, want %v", err, errNoAnchor)
	}
	if _, err := c.Weather(t.Context(), Anchor{}, begin); !errors.Is(err, errNoAnchor) {
		t.Errorf("Weather(no anchor) = %v, want %v", err, errNoAnchor)
	}
	if n := s.count(""); n != 0 {
		t.Errorf("%d requests, want none", n)
	}
}

func TestCacheAges(t *testing.T) {
	down := fixed(http.StatusInternalServerError, nil)
	type asker func(c *Client, now time.Time) (fetched time.Time, err error)
	sea := func(c *Client, now time.Time) (time.Time, error) {
		s, err := c.Sea(context.Background(), snap(t, theLedge), now)
		if err != nil {
			return time.Time{}, err
		}
		return s.Source.FetchedAt, nil
	}
	weather := func(c *Client, now time.Time) (time.Time, error) {
		w, err := c.Weather(context.Background(), snap(t, theLedge), now)
		if err != nil {
			return time.Time{}, err
		}
		return w.Source.FetchedAt, nil
	}
	warnings := func(c *Client, now time.Time) (time.Time, error) {
		w := c.Warnings(context.Background(), WarningPlace{State: "CA"}, now)
		if w.State == conditions.WarningsUnknown {
			return time.Time{}, errors.New(w.Why)
		}
		return w.CheckedAt, nil
	}
	for _, tc := range []struct {
		name, path    string
		ask           asker
		fresh, refuse time.Duration
	}{
		{"sea", "/v1/marine", sea, time.Hour, 12 * time.Hour},
		{"weather", "/v1/forecast", weather, 30 * time.Minute, 6 * time.Hour},
		{"warnings", "/alerts/active", warnings, 5 * time.Minute, 30 * time.Minute},
	} {
		t.Run(tc.name, func(t *testing.T) {
			start := ts("2026-12-05T13:20:00Z")
			s := newService(t, samples(t))
			c := newTestClient(t, s)
			want := func(what string, now, fetched time.Time, requests int) {
				t.Helper()
				got, err := tc.ask(c, now)
				if err != nil || !got.Equal(fetched) || s.count(tc.path) != requests {
					t.Errorf("%s: fetched %v after %d requests, %v, want %v after %d", what, got, s.count(tc.path), err, fetched, requests)
				}
			}
			want("first", start, start, 1)
			want("fresh", start.Add(tc.fresh), start, 1)
			refreshed := start.Add(tc.fresh + time.Second)
			want("no longer fresh", refreshed, refreshed, 2)
			s.answer(down)
			want("failing, within bounds", refreshed.Add(tc.refuse), refreshed, 3)
			if got, err := tc.ask(c, refreshed.Add(tc.refuse+time.Second)); err == nil {
				t.Errorf("failing, too old: fetched %v, want an error", got)
			}
			s.answer(samples(t))
			again := refreshed.Add(tc.refuse + time.Minute)
			want("back again", again, again, 5)
			want("a clock a little behind", again.Add(-tc.fresh), again, 5)
			leap := again.Add(-tc.fresh - time.Hour)
			if leap.After(start) {
				want("a clock far behind asks anew", leap, leap, 6)
			}
		})
	}
}

func TestFailedRefreshServesNoDataNoMore(t *testing.T) {
	s := newService(t, fixed(http.StatusOK, sample(t, "marine_inland_all_null.constructed.json")))
	c := newTestClient(t, s)
	a := snap(t, inland)
	for i := range 3 {
		_, err := c.Sea(t.Context(), a, begin.Add(time.Duration(i)*time.Minute))
		wantStatus(t, err, "unknown", AllNull)
	}
	if n := s.count("/v1/marine"); n != 1 {
		t.Errorf("a land cell was asked for %d times in 3 minutes, want once", n)
	}
	_, err := c.Sea(t.Context(), a, begin.Add(2*time.Hour))
	wantStatus(t, err, "unknown", AllNull)
	if n := s.count("/v1/marine"); n != 2 {
		t.Errorf("after 2 hours %d requests, want 2", n)
	}
}

func TestBadAnswersGiveNoSea(t *testing.T) {
	big := append([]byte(`{"latitude":-33.875,"longitude":151.29,"pad":"`), bytes.Repeat([]byte("x"), forecastMost)...)
	for _, tc := range []struct {
		name   string
		h      http.HandlerFunc
		status string
		why    Why
	}{
		{"markup with status 200", fixed(200, []byte("<html>sign in</html>")), "refused", Unreadable},
		{"cut off with status 200", fixed(200, sample(t, "body_200_truncated_stream.constructed.txt")), "refused", Unreadable},
		{"not a number", fixed(200, []byte(`{"latitude":nan,"longitude":nan}`)), "unknown", NotCovered},
		{"zero-filled", fixed(200, sample(t, "marine_gfs_zero_filled.constructed.json")), "refused", WrongPlace},
		{"too long", fixed(200, big), "refused", WrongShape},
		{"too long once unpacked", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Encoding", "gzip")
			z := gzip.NewWriter(w)
			_, _ = z.Write(big)
			_ = z.Close()
		}, "refused", WrongShape},
		{"status 204", fixed(204, nil), "unknown", Down},
		{"status 400", fixed(400, sample(t, "error_400_bad_variable.constructed.json")), "unknown", BadRequest},
		{"status 400, no data there", fixed(400, []byte(`{"error":true,"reason":"No data is available for this location"}`)), "unknown", NotCovered},
		{"status 403", fixed(403, nil), "unknown", Forbidden},
		{"status 429", fixed(429, sample(t, "error_429_minutely.constructed.json")), "unknown", Limited},
		{"status 500", fixed(500, []byte("<html>")), "unknown", Down},
		{"status 503", fixed(503, sample(t, "error_503_overloaded.constructed.json")), "unknown", Down},
		{"the connection dies", func(w http.ResponseWriter, _ *http.Request) { panic(http.ErrAbortHandler) }, "unknown", Down},
		{"a redirect to another host", func(w http.ResponseWriter, r *http.Request) {
			http.Redirect(w, r, "http://198.51.100.7/v1/marine?latitude=-33.8750", http.StatusFound)
		}, "unknown", Down},
		{"a redirect that cannot be read", func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Location", "http://[-33.8750")
			w.WriteHeader(http.StatusFound)
		}, "unknown", Down},
		{"redirects for ever", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, r.URL.String(), http.StatusFound) }, "unknown", Down},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := newService(t, tc.h)
			c := newTestClient(t, s)
			sea, err := c.Sea(t.Context(), snap(t, theLedge), begin)
			if sea != nil || err == nil {
				t.Fatalf("Sea = %v, %v, want an error", sea, err)
			}
			wantStatus(t, err, tc.status, tc.why)
			for e := err; e != nil; e = errors.Unwrap(e) {
				for _, secret := range []string{"33.87", "151.29", "latitude", "hourly"} {
					if strings.Contains(e.Error(), secret) {
						t.Errorf("error %q holds %q of the request", e, secret)
					}
				}
			}
			place := WarningPlace{State: "CA"}
			if w := c.Warnings(t.Context(), place, begin); w.State != conditions.WarningsUnknown || w.Why == "" || len(w.List) != 0 {
				t.Errorf("Warnings = %+v, want unknown with a reason", w)
			}
		})
	}
}

func TestRedirectWithinTheHostIsFollowed(t *testing.T) {
	ok := samples(t)
	s := newService(t, func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/v1/marine" && r.URL.Query().Get("moved") == "" {
			http.Redirect(w, r, r.URL.String()+"&moved=1", http.StatusMovedPermanently)
			return
		}
		ok(w, r)
	})
	if sea, err := newTestClient(t, s).Sea(t.Context(), snap(t, theLedge), begin); err != nil || len(sea.Hours) != 168 {
		t.Errorf("Sea = %v, %v, want 168 hours", sea, err)
	}
}

func TestGzip(t *testing.T) {
	body := sample(t, "marine_sydney_rising_longperiod.constructed.json")
	s := newService(t, func(w http.ResponseWriter, r *http.Request) {
		if r.Header.Get("Accept-Encoding") != "gzip" {
			t.Errorf("Accept-Encoding = %q, want gzip", r.Header.Get("Accept-Encoding"))
		}
		w.Header().Set("Content-Encoding", "gzip")
		z := gzip.NewWriter(w)
		_, _ = z.Write(body)
		_ = z.Close()
	})
	if sea, err := newTestClient(t, s).Sea(t.Context(), snap(t, theLedge), begin); err != nil || len(sea.Hours) != 168 {
		t.Errorf("Sea = %v, %v, want 168 hours", sea, err)
	}
}

func TestHostIsLeftAlone(t *testing.T) {
	a := snap(t, theLedge)
	start := ts("2026-12-05T13:20:30Z")
	for _, tc := range []struct {
		name     string
		h        http.HandlerFunc
		failures int           // that reach the host before it rests
		from, to time.Duration // the rest ends in between
	}{
		{"for the rest of the minute and a little", fixed(429, sample(t, "error_429_minutely.constructed.json")), 1, 30 * time.Second, 41 * time.Second},
		{"for the rest of the hour", fixed(429, []byte(`{"error":true,"reason":"Hourly API request limit exceeded."}`)), 1, 39*time.Minute + 30*time.Second, 39*time.Minute + 41*time.Second},
		{"for the rest of the UTC day", fixed(429, []byte(`{"reason":"Daily API request limit exceeded.","error":true}`)), 1, 10*time.Hour + 39*time.Minute + 30*time.Second, 10*time.Hour + 39*time.Minute + 41*time.Second},
		{"for as long as it says", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Retry-After", "120")
			w.WriteHeader(429)
		}, 1, 2 * time.Minute, 2*time.Minute + 11*time.Second},
		{"an hour where it refuses us", fixed(403, nil), 1, time.Hour, time.Hour + time.Second},
		{"a minute where it is overloaded", fixed(503, nil), 1, time.Minute, time.Minute + 11*time.Second},
		{"a minute after five failures", fixed(500, nil), 5, time.Minute, time.Minute + time.Second},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := newService(t, tc.h)
			c := newTestClient(t, s)
			for range tc.failures + 2 {
				_, _ = c.Sea(t.Context(), a, start)
			}
			if n := s.count("/v1/marine"); n != tc.failures {
				t.Fatalf("%d requests, want %d", n, tc.failures)
			}
			var un *Unavailable
			_, err := c.Sea(t.Context(), a, start.Add(tc.from-time.Second))
			if !errors.As(err, &un) || un.Until.Before(start.Add(tc.from)) || un.Until.After(start.Add(tc.to)) {
				t.Errorf("resting: %v until %v, want between %v and %v", err, un.Until, start.Add(tc.from), start.Add(tc.to))
			}
			s.answer(samples(t))
			if _, err := c.Sea(t.Context(), a, start.Add(tc.to)); err != nil {
				t.Errorf("after the rest: %v, want a sea", err)
			}
		})
	}
	t.Run("and each time for longer, to a quarter of an hour", func(t *testing.T) {
		h, now := newHost("x"), start
		var rests []time.Duration
		for range 6 {
			until := now
			for range failuresMost {
				until = h.learn(Down, time.Time{}, now)
			}
			rests = append(rests, until.Sub(now))
			now = until
		}
		want := "[1m0s 2m0s 4m0s 8m0s 15m0s 15m0s]"
		if got := fmt.Sprint(rests); got != want {
			t.Errorf("rests = %v, want %v", got, want)
		}
		h.learn("", time.Time{}, now)
		for range failuresMost - 1 {
			h.learn(Down, time.Time{}, now)
		}
		if err := h.resting(now); err != nil {
			t.Errorf("after a success and four failures: %v, want no rest", err)
		}
	})
	t.Run("our own bad request does not shut the others out", func(t *testing.T) {
		s := newService(t, fixed(400, sample(t, "error_400_bad_variable.constructed.json")))
		c := newTestClient(t, s)
		for range 7 {
			_, _ = c.Sea(t.Context(), a, start)
		}
		if n := s.count("/v1/marine"); n != 2 { // with all models, then with the service's own choice
			t.Errorf("the same bad request went out %d times, want twice", n)
		}
		s.answer(samples(t))
		if _, err := c.Weather(t.Context(), a, start); err != nil {
			t.Errorf("Weather = %v, want one", err)
		}
	})
}

func TestManyAskersCauseOneRequest(t *testing.T) {
	ok := samples(t)
	arrived, release := make(chan struct{}, 1), make(chan struct{})
	s := newService(t, func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/v1/marine" {
			arrived <- struct{}{}
			<-release
		}
		ok(w, r)
	})
	c := newTestClient(t, s)
	a := snap(t, theLedge)
	var wg sync.WaitGroup
	impatient, cancel := context.WithCancel(t.Context())
	wg.Go(func() {
		if _, err := c.Sea(impatient, a, begin); !errors.Is(err, context.Canceled) {
			t.Errorf("the one who gave up: %v, want %v", err, context.Canceled)
		}
	})
	<-arrived
	for range 20 {
		wg.Go(func() {
			if sea, err := c.Sea(t.Context(), a, begin); err != nil || len(sea.Hours) != 168 {
				t.Errorf("Sea = %v, %v, want 168 hours", sea, err)
			}
		})
	}
	cancel() // the first asker goes; the others' answer must still come
	close(release)
	wg.Wait()
	if n := s.count("/v1/marine"); n != 1 {
		t.Errorf("%d requests, want 1", n)
	}
}

// roundTrip is a network of one function.
type roundTrip func(*http.Request) (*http.Response, error)

func (f roundTrip) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }

func respond(body []byte) *http.Response {
	return &http.Response{StatusCode: 200, Header: http.Header{}, Body: io.NopCloser(bytes.NewReader(body))}
}

func TestSlowHost(t *testing.T) {
	marine := sample(t, "marine_sydney_rising_longperiod.constructed.json")
	slow := roundTrip(func(r *http.Request) (*http.Response, error) {
		<-r.Context().Done()
		return nil, r.Context().Err()
	})
	t.Run("costs ten seconds and no more, waiting in line included", func(t *testing.T) {
		synctest.Test(t, func(t *testing.T) {
			c, err := NewClient(Settings{UserAgent: agent, BuoysURL: Off, MetURL: Off, Transport: slow})
			if err != nil {
				t.Fatal(err)
			}
			defer c.Close()
			start := time.Now()
			var wg sync.WaitGroup
			for i := range 3 {
				wg.Go(func() {
					_, err := c.Sea(t.Context(), snap(t, measure.Position{Lat: float64(i) - 34, Lon: 151.3}), begin)
					wantStatus(t, err, "unknown", Down)
				})
			}
			wg.Wait()
			if took := time.Since(start); took != answerWithin {
				t.Errorf("three askers waited %v, want %v", took, answerWithin)
			}
		})
	})
	t.Run("is down, not limited, when the slot comes free as the time runs out", func(t *testing.T) {
		ended, cancel := context.WithCancel(t.Context())
		cancel()
		h := newHost("host")
		for range 50 { // the free slot and the ended context are taken at random
			_, err := h.enter(ended, begin)
			wantStatus(t, err, "unknown", Down)
		}
	})
	t.Run("costs two seconds where a stale answer is at hand", func(t *testing.T) {
		synctest.Test(t, func(t *testing.T) {
			fast := true
			c, err := NewClient(Settings{UserAgent: agent, BuoysURL: Off, MetURL: Off, Transport: roundTrip(func(r *http.Request) (*http.Response, error) {
				if fast {
					return respond(marine), nil
				}
				return slow(r)
			})})
			if err != nil {
				t.Fatal(err)
			}
			defer c.Close()
			a := snap(t, theLedge)
			if _, err := c.Sea(t.Context(), a, begin); err != nil {
				t.Fatal(err)
			}
			fast = false
			for _, tc := range []struct {
				age, wait time.Duration
			}{{3 * time.Hour, patience}, {6 * time.Hour, patience}, {7 * time.Hour, answerWithin}} {
				time.Sleep(time.Minute) // the flight before has ended
				start := time.Now()
				s, err := c.Sea(t.Context(), a, begin.Add(tc.age))
				if err != nil || !s.Source.FetchedAt.Equal(begin) || time.Since(start) != tc.wait {
					t.Errorf("at age %v: %v after %v, want the answer of %v after %v", tc.age, err, time.Since(start), begin, tc.wait)
				}
			}
		})
	})
	t.Run("does not hold up closing", func(t *testing.T) {
		synctest.Test(t, func(t *testing.T) {
			c, err := NewClient(Settings{UserAgent: agent, BuoysURL: Off, MetURL: Off, Transport: slow})
			if err != nil {
				t.Fatal(err)
			}
			done := make(chan error, 1)
			go func() { _, err := c.Sea(t.Context(), snap(t, theLedge), begin); done <- err }()
			synctest.Wait()
			start := time.Now()
			c.Close()
			if err := <-done; err == nil || time.Since(start) != 0 {
				t.Errorf("closed after %v with %v, want at once with an error", time.Since(start), err)
			}
			if _, err := c.Sea(t.Context(), snap(t, sydney), begin); err == nil {
				t.Error("Sea of a closed client = nil error, want one")
			}
		})
	})
	t.Run("is asked one request at a time and a few a second", func(t *testing.T) {
		synctest.Test(t, func(t *testing.T) {
			var mu sync.Mutex
			now, most := 0, 0
			c, err := NewClient(Settings{UserAgent: agent, BuoysURL: Off, MetURL: Off, Transport: roundTrip(func(r *http.Request) (*http.Response, error) {
				mu.Lock()
				now++
				most = max(most, now)
				mu.Unlock()
				time.Sleep(50 * time.Millisecond)
				mu.Lock()
				now--
				mu.Unlock()
				return respond([]byte(`{}`)), nil
			})})
			if err != nil {
				t.Fatal(err)
			}
			defer c.Close()
			start := time.Now()
			var wg sync.WaitGroup
			for i := range 20 {
				wg.Go(func() {
					_, _ = c.Weather(t.Context(), snap(t, measure.Position{Lat: float64(i), Lon: 20}), begin)
				})
			}
			wg.Wait()
			if most != 1 {
				t.Errorf("%d requests at once, want 1", most)
			}
			// 5 at once, 15 more at 5 a second: 3 s.
			if took := time.Since(start); took < 2900*time.Millisecond || took > 3200*time.Millisecond {
				t.Errorf("20 requests took %v, want about 3 s", took)
			}
		})
	})
}

func TestPlaceWithoutAFeedIsUnknownAndAsksNobody(t *testing.T) {
	s := newService(t, samples(t))
	c := newTestClient(t, s)
	w := c.Warnings(t.Context(), WarningPlace{}, begin)
	if w.State != conditions.WarningsUnknown || w.Why != string(NoFeed) || s.count("") != 0 {
		t.Errorf("Warnings = %+v after %d requests, want unknown, no feed, none", w, s.count(""))
	}
}

func TestShelfIsBounded(t *testing.T) {
	s := newShelf[int](seaAges)
	for i := range 3 * shelfRoom {
		s.put(fmt.Sprint(i), i, begin.Add(time.Duration(i)*time.Second), nil, begin.Add(time.Duration(i)*time.Second))
	}
	if n := len(s.kept); n != shelfRoom {
		t.Errorf("%d answers kept, want %d", n, shelfRoom)
	}
	if k := s.look(fmt.Sprint(3*shelfRoom - 1)); k.at.IsZero() {
		t.Error("the newest answer is gone, want the oldest to go")
	}
	s.put("late", 1, begin.Add(100*time.Hour), nil, begin.Add(100*time.Hour))
	if n := len(s.kept); n != 1 {
		t.Errorf("%d answers kept after four days, want 1", n)
	}
}

func TestHostNotInTheSettingsIsNotCalled(t *testing.T) {
	s := newService(t, samples(t))
	c := newTestClient(t, s)
	other, _ := url.Parse("http://198.51.100.7")
	_, err := c.fetch(t.Context(), other, "x", nil, 10, begin)
	wantStatus(t, err, "unknown", Forbidden)
}

// Three models are asked at once and the larger waves shown; a server that lacks one is asked for its own choice.
func TestSeveralModelsAreAsked(t *testing.T) {
	three, one := sample(t, "marine_sydney_three_models.constructed.json"), sample(t, "marine_sydney_rising_longperiod.constructed.json")
	lacking := false
	s := newService(t, func(w http.ResponseWriter, r *http.Request) {
		switch models := r.URL.Query().Get("models"); {
		case r.URL.Path != "/v1/marine":
			http.NotFound(w, r)
		case models == strings.Join(MarineModels, ",") && !lacking:
			_, _ = w.Write(three)
		case models == oneModel:
			_, _ = w.Write(one)
		default:
			w.WriteHeader(http.StatusBadRequest)
			_, _ = w.Write([]byte(`{"error":true,"reason":"Data corrupted at path ''. Cannot initialize MultiDomains from invalid String value"}`))
		}
	})
	a := snap(t, theLedge)
	sea, err := newTestClient(t, s).Sea(t.Context(), a, begin.Add(12*time.Hour))
	if err != nil || !strings.HasPrefix(sea.Source.Model, "larger of ") || !strings.Contains(sea.Source.Model, "ecmwf_wam025") {
		t.Fatalf("Sea = %+v, %v, want the larger of three models", sea, err)
	}
	lacking = true
	if sea, err = newTestClient(t, s).Sea(t.Context(), a, begin.Add(12*time.Hour)); err != nil || sea.Source.Model != oneModel {
		t.Errorf("with a model missing: %v, %v, want the service's own choice", sea, err)
	}
	if _, err := NewClient(Settings{UserAgent: agent, Models: []string{"best match&apikey=1"}}); err == nil {
		t.Error("NewClient with models that are no names = nil, want an error")
	}
}

// A load that panics is a refusal for all who asked, and no end of anything: the next asking goes on.
func TestALoadThatPanicsIsARefusal(t *testing.T) {
	s := newService(t, samples(t))
	c := newTestClient(t, s)
	shelf := newShelf[string](seaAges)
	_, _, err := shelf.get(t.Context(), c, "q", begin, func(context.Context) (string, time.Time, error) { panic("38.9546") })
	if status, why := Status(err); status != "refused" || why != Unreadable || strings.Contains(err.Error(), "38.9546") {
		t.Errorf("get = %v, want it refused as unreadable, without what was panicked with", err)
	}
	v, _, err := shelf.get(t.Context(), c, "q", begin, func(context.Context) (string, time.Time, error) { return "sea", begin, nil })
	if err != nil || v != "sea" {
		t.Errorf("the next get = %q, %v, want what was loaded", v, err)
	}
}
