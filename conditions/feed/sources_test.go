package feed

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

// latestObs is a constructed file of all stations in NDBC's form (names and units from the first two lines).
const latestObs = `#STN       LAT      LON  YYYY MM DD hh mm WDIR WSPD   GST WVHT  DPD APD MWD   PRES  PTDY  ATMP  WTMP  DEWP  VIS   TIDE
#text      deg      deg   yr mo day hr mn degT  m/s   m/s   m   sec sec degT   hPa   hPa  degC  degC  degC  nmi     ft
EX001   38.900 -124.300  2026 12 05 06 40 290  7.0   9.0  2.3   14 9.0 285 1015.0   MM  12.0  13.0    MM   MM     MM
EX002   38.950 -123.900  2026 12 05 06 50 290  7.0   9.0   MM   MM  MM  MM 1015.0   MM  12.0  13.0    MM   MM     MM
EX003   39.300 -123.400  2026 12 05 06 40 290  7.0   9.0  1.1    8 6.0 285 1015.0   MM  12.0  13.0    MM   MM     MM
EX004   38.800 -123.950  2026 12 05 02 10 290  7.0   9.0  9.9   14 9.0 285 1015.0   MM  12.0  13.0    MM   MM     MM
`

func sourceClient(t *testing.T, s *service, change func(*Settings)) *Client {
	t.Helper()
	set := Settings{
		UserAgent: agent, MarineURL: s.URL, ForecastURL: s.URL, AlertsURL: s.URL, BuoysURL: s.URL, MetURL: Off, CAPIndexes: map[string]string{},
	}
	if change != nil {
		change(&set)
	}
	c, err := NewClient(set)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.Close)
	return c
}

var morningOf = time.Date(2026, 12, 5, 7, 10, 0, 0, time.UTC)

// The nearest buoy that has a wave height of the last three hours, on the side the ledge looks to: not the nearest without one,
// not the one ashore of it, not the one that fell silent. The place is not sent.
func TestTheNearestUsefulBuoy(t *testing.T) {
	s := newService(t, func(w http.ResponseWriter, r *http.Request) { fmt.Fprint(w, latestObs) })
	c := sourceClient(t, s, nil)
	a := snap(t, measure.Position{Lat: 38.9546, Lon: -123.80})
	faces := measure.From(270)
	got, err := c.Buoy(t.Context(), a, &faces, morningOf)
	if err != nil {
		t.Fatal(err)
	}
	if got.Station != "EX001" || got.Hs != 2.3 || *got.Peak != 14 || !got.Facing || got.Km < 35 || got.Km > 50 || !got.At.Equal(time.Date(2026, 12, 5, 6, 40, 0, 0, time.UTC)) {
		t.Errorf("Buoy = %+v, want EX001 about 43 km off", got)
	}
	for _, u := range s.asked {
		if u.RawQuery != "" {
			t.Errorf("asked with %q, want no place", u.RawQuery)
		}
	}
	if _, err := c.Buoy(t.Context(), snap(t, measure.Position{Lat: -33.9, Lon: 151.3}), nil, morningOf); err == nil {
		t.Error("a buoy off Sydney, want none")
	}
	if _, err := c.Buoy(t.Context(), a, &faces, morningOf.Add(6*time.Hour)); err == nil {
		t.Error("a reading of six hours ago, want none")
	}
	s.answer(fixed(200, []byte("<html>maintenance</html>")))
	c = sourceClient(t, s, nil)
	var bad *BadBody
	if _, err := c.Buoy(t.Context(), a, &faces, morningOf); !errors.As(err, &bad) {
		t.Errorf("HTML for a table: %v, want *BadBody", err)
	}
}

// Asked again, a server that says what its answer goes by is asked whether it changed; 304 stands for the answer before.
func TestAskingAgainIsConditional(t *testing.T) {
	conditional := 0
	s := newService(t, func(w http.ResponseWriter, r *http.Request) {
		const tag, date = `"v1"`, "Sat, 05 Dec 2026 06:52:01 GMT"
		if r.Header.Get("If-None-Match") == tag && r.Header.Get("If-Modified-Since") == date {
			conditional++
			w.WriteHeader(http.StatusNotModified)
			return
		}
		w.Header().Set("ETag", tag)
		w.Header().Set("Last-Modified", date)
		fmt.Fprint(w, latestObs)
	})
	c := sourceClient(t, s, nil)
	a := snap(t, measure.Position{Lat: 38.9546, Lon: -123.80})
	for i := range 3 {
		if b, err := c.Buoy(t.Context(), a, nil, morningOf.Add(time.Duration(i)*15*time.Minute)); err != nil || b.Station == "" {
			t.Fatalf("time %d: %+v, %v", i, b, err)
		}
	}
	if n := s.count("latest_obs.txt"); n != 3 || conditional != 2 {
		t.Errorf("%d requests, %d of them answered by 304, want 3 and 2", n, conditional)
	}
}

// The second opinion makes the wind of an hour stronger, never weaker, and stands alone where the first fails.
func TestTheHarsherOfTwoForecasts(t *testing.T) {
	first, second := sample(t, "forecast_lofoten_storm_polarnight.constructed.json"), sample(t, "locationforecast_complete_lofoten.constructed.json")
	down := ""
	s := newService(t, func(w http.ResponseWriter, r *http.Request) {
		switch {
		case down != "" && strings.Contains(r.URL.Path, down):
			w.WriteHeader(http.StatusInternalServerError)
		case strings.HasSuffix(r.URL.Path, "/v1/forecast"):
			_, _ = w.Write(first)
		case strings.Contains(r.URL.Path, "locationforecast"):
			_, _ = w.Write(second)
		default:
			http.NotFound(w, r)
		}
	})
	a := snap(t, measure.Position{Lat: 68.13, Lon: 13.02})
	alone := sourceClient(t, s, nil)
	w1, err := alone.Weather(t.Context(), a, morningOf)
	if err != nil {
		t.Fatal(err)
	}
	both := sourceClient(t, s, func(set *Settings) { set.MetURL = s.URL + "/met" })
	w2, err := both.Weather(t.Context(), a, morningOf)
	if err != nil {
		t.Fatal(err)
	}
	stronger := 0
	for i, h := range w1.Hours {
		x := w2.Hours[i]
		if h.Wind != nil && *x.Wind < *h.Wind || h.Gust != nil && *x.Gust < *h.Gust || h.PressureHPa != nil && *x.PressureHPa > *h.PressureHPa {
			t.Errorf("%s: wind %v gust %v, milder than the first alone", h.At, *x.Wind, *x.Gust)
		}
		if h.Wind != nil && *x.Wind > *h.Wind {
			stronger++
		}
	}
	if stronger == 0 || !strings.Contains(w2.Source.Name, "MET Norway") {
		t.Errorf("%d hours stronger, source %q: want some, and both named", stronger, w2.Source.Name)
	}
	down = "/v1/forecast"
	lone := sourceClient(t, s, func(set *Settings) { set.MetURL = s.URL + "/met" })
	if w, err := lone.Weather(t.Context(), a, morningOf); err != nil || !strings.Contains(w.Source.Name, "MET Norway") || strings.Contains(w.Source.Name, "Open-Meteo") {
		t.Errorf("with the first down: %+v, %v, want the second alone", w, err)
	}
	down = "/"
	none := sourceClient(t, s, func(set *Settings) { set.MetURL = s.URL + "/met" })
	if w, err := none.Weather(t.Context(), a, morningOf); err == nil {
		t.Errorf("with both down: %+v, want an error", w)
	}
}

// Heights of the second sea forecast raise those of the first where they are larger; they bring no period and stand for nothing alone.
func TestTheHigherOfTwoSeas(t *testing.T) {
	first := sample(t, "marine_lofoten_storm_polarnight.constructed.json")
	// The sample's heights lie below those of the first: every third is put above.
	n := 0
	second := regexp.MustCompile(`"sea_surface_wave_height": [0-9.]+`).ReplaceAllFunc(sample(t, "oceanforecast_lofoten.constructed.json"), func(b []byte) []byte {
		if n++; n%3 != 0 {
			return b
		}
		return []byte(`"sea_surface_wave_height": 14.5`)
	})
	firstDown := false
	s := newService(t, func(w http.ResponseWriter, r *http.Request) {
		switch {
		case strings.HasSuffix(r.URL.Path, "/v1/marine") && !firstDown:
			_, _ = w.Write(first)
		case strings.Contains(r.URL.Path, "oceanforecast"):
			_, _ = w.Write(second)
		default:
			http.NotFound(w, r)
		}
	})
	a := snap(t, measure.Position{Lat: 68.13, Lon: 13.04})
	one, err := sourceClient(t, s, nil).Sea(t.Context(), a, morningOf)
	if err != nil {
		t.Fatal(err)
	}
	two, err := sourceClient(t, s, func(set *Settings) { set.MetURL = s.URL + "/met" }).Sea(t.Context(), a, morningOf)
	if err != nil {
		t.Fatal(err)
	}
	higher := 0
	for i, h := range one.Hours {
		if h.Hs == nil {
			continue
		}
		if *two.Hours[i].Hs < *h.Hs {
			t.Errorf("%s: %v m, lower than %v of the first", h.At, *two.Hours[i].Hs, *h.Hs)
		} else if *two.Hours[i].Hs > *h.Hs {
			higher++
		}
	}
	if higher == 0 {
		t.Error("no hour is higher: nothing was tried")
	}
	firstDown = true
	if sea, err := sourceClient(t, s, func(set *Settings) { set.MetURL = s.URL + "/met" }).Sea(t.Context(), a, morningOf); err == nil {
		t.Errorf("heights without periods alone = %+v, want an error", sea)
	}
	if n := s.count("oceanforecast/2.0/complete"); n == 0 {
		t.Error("the second sea was never asked")
	}
	before := s.count("oceanforecast/2.0/complete")
	_, _ = sourceClient(t, s, func(set *Settings) { set.MetURL = s.URL + "/met" }).Sea(t.Context(), snap(t, measure.Position{Lat: -33.9, Lon: 151.3}), morningOf)
	if n := s.count("oceanforecast/2.0/complete"); n != before {
		t.Error("asked for a sea off Australia, which it does not have")
	}
}

// capService serves an index whose entries lie on the same host.
func capService(t *testing.T, bodies map[string]string) *service {
	t.Helper()
	return newService(t, func(w http.ResponseWriter, r *http.Request) {
		if name, ok := bodies[r.URL.Path]; ok {
			body := sample(t, name)
			_, _ = w.Write([]byte(strings.ReplaceAll(string(body), "https://feeds.example", "http://"+r.Host)))
			return
		}
		http.NotFound(w, r)
	})
}

// An index of CAP messages over HTTP: its messages are fetched and judged for the place, which is not sent.
func TestWarningsFromAnIndexOfMessages(t *testing.T) {
	here := []measure.Position{{Lat: 42.88, Lon: -9.27}}
	now := time.Date(2026, 12, 5, 8, 30, 0, 0, time.UTC)
	s := capService(t, map[string]string{"/atom": "cap/index_atom_meteoalarm_style.constructed.atom.xml", "/cap/CO1": "cap/coastal_event_bilingual_onset_later.constructed.xml"})
	c := sourceClient(t, s, func(set *Settings) { set.CAPIndexes = map[string]string{"ES": s.URL + "/atom"} })
	got := c.Warnings(t.Context(), WarningPlace{Country: "ES", Places: here, Languages: []string{"en"}}, now)
	if got.State != conditions.WarningsInForce || len(got.List) != 1 || !strings.Contains(got.List[0].Event+got.List[0].Headline, "coastal") || got.Source != "Warnings for Exampleland" {
		t.Fatalf("Warnings = %+v, want the coastal event once", got)
	}
	for _, u := range s.asked {
		if strings.Contains(u.String(), "42.8") {
			t.Errorf("the place was sent: %s", u)
		}
	}
	n := s.count("/cap/CO1")
	c.Warnings(t.Context(), WarningPlace{Country: "ES", Places: here}, now.Add(30*time.Minute))
	if again := s.count("/cap/CO1"); again != n {
		t.Error("a message was fetched twice: it never changes")
	}
	if got := c.Warnings(t.Context(), WarningPlace{Country: "XX", Places: here}, now); got.State != conditions.WarningsUnknown || got.Why != string(NoFeed) {
		t.Errorf("a country without an index: %+v, want unknown", got)
	}
}

func TestWhatAnIndexCannotSay(t *testing.T) {
	here := []measure.Position{{Lat: 42.88, Lon: -9.27}}
	now := time.Date(2026, 12, 5, 8, 30, 0, 0, time.UTC)
	for name, tc := range map[string]struct {
		bodies map[string]string
		now    time.Time
		want   conditions.WarningState
	}{
		"an empty index that is fresh":            {map[string]string{"/atom": "cap/index_rss_empty.constructed.rss.xml"}, now, conditions.WarningsUnknown},
		"an empty index of last week":             {map[string]string{"/atom": "cap/index_rss_empty.constructed.rss.xml"}, now.AddDate(0, 0, 7), conditions.WarningsUnknown},
		"an index that is a message":              {map[string]string{"/atom": "cap/hazardous_surf_1_alert.constructed.xml"}, now, conditions.WarningsUnknown},
		"an index in JSON":                        {map[string]string{"/atom": "alerts_active_none.constructed.json"}, now, conditions.WarningsUnknown},
		"no index":                                {nil, now, conditions.WarningsUnknown},
		"an index whose message cannot be had":    {map[string]string{"/atom": "cap/index_atom_meteoalarm_style.constructed.atom.xml"}, now, conditions.WarningsUnknown},
		"an index whose message is not a message": {map[string]string{"/atom": "cap/index_atom_meteoalarm_style.constructed.atom.xml", "/cap/CO1": "alerts_active_none.constructed.json"}, now, conditions.WarningsUnknown},
	} {
		s := capService(t, tc.bodies)
		c := sourceClient(t, s, func(set *Settings) { set.CAPIndexes = map[string]string{"ES": s.URL + "/atom"} })
		if got := c.Warnings(t.Context(), WarningPlace{Country: "ES", Places: here}, tc.now); got.State != tc.want || tc.want == conditions.WarningsUnknown && got.Why == "" {
			t.Errorf("%s: %+v, want %s", name, got, tc.want)
		}
	}
	// Where every message on a fresh list lies elsewhere for sure, there is none here.
	far := capService(t, map[string]string{"/atom": "cap/index_atom_meteoalarm_style.constructed.atom.xml", "/cap/CO1": "cap/coastal_event_bilingual_onset_later.constructed.xml"})
	cf := sourceClient(t, far, func(set *Settings) { set.CAPIndexes = map[string]string{"ES": far.URL + "/atom"} })
	if got := cf.Warnings(t.Context(), WarningPlace{Country: "ES", Places: []measure.Position{{Lat: 36.0, Lon: -5.6}}}, now); got.State != conditions.WarningsNone || len(got.List) != 0 {
		t.Errorf("a message for another coast: %+v, want none", got)
	}
	// A message on another host than its index is not fetched: the entry is judged, and the state is unknown.
	elsewhere := newService(t, func(w http.ResponseWriter, r *http.Request) { t.Error("another host was called"); http.NotFound(w, r) })
	s := newService(t, func(w http.ResponseWriter, r *http.Request) {
		_, _ = w.Write([]byte(strings.ReplaceAll(string(sample(t, "cap/index_atom_meteoalarm_style.constructed.atom.xml")), "https://feeds.example", elsewhere.URL)))
	})
	c := sourceClient(t, s, func(set *Settings) { set.CAPIndexes = map[string]string{"ES": s.URL + "/atom"} })
	if got := c.Warnings(t.Context(), WarningPlace{Country: "ES", Places: here}, now); got.State != conditions.WarningsUnknown || len(got.List) == 0 {
		t.Errorf("messages elsewhere: %+v, want unknown with what the index says", got)
	}
}

// memoryAnswers is a Shared of one test; broken, it fails at everything.
type memoryAnswers struct {
	mu     sync.Mutex
	kept   map[string]memoryAnswer
	broken bool
}

type memoryAnswer struct {
	body []byte
	at   time.Time
	keep time.Duration
}

func (m *memoryAnswers) Load(_ context.Context, key string) ([]byte, time.Time, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.broken {
		return nil, time.Time{}, errors.New("away")
	}
	return m.kept[key].body, m.kept[key].at, nil
}

func (m *memoryAnswers) Save(_ context.Context, key string, body []byte, at time.Time, keep time.Duration) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.broken {
		return errors.New("away")
	}
	if m.kept == nil {
		m.kept = map[string]memoryAnswer{}
	}
	m.kept[key] = memoryAnswer{body, at, keep}
	return nil
}

// A second replica, or the same one started anew, asks no feed for what is fresh, uses what is not too old where the feed
// fails, says how old it is, and refuses what is older. Without the shared answers all goes on as before.
func TestAnswersAreShared(t *testing.T) {
	s := newService(t, samples(t))
	m := &memoryAnswers{}
	open := func() *Client { return sourceClient(t, s, func(set *Settings) { set.Shared = m }) }
	a, now := snap(t, theLedge), begin.Add(12*time.Hour)
	if _, err := open().Sea(t.Context(), a, now); err != nil {
		t.Fatal(err)
	}
	n := s.count("/v1/marine")
	sea, err := open().Sea(t.Context(), a, now.Add(20*time.Minute))
	if err != nil || s.count("/v1/marine") != n || !sea.Source.FetchedAt.Equal(now) {
		t.Errorf("another client: %v, %d more requests, fetched at %s, want none and %s", err, s.count("/v1/marine")-n, sea.Source.FetchedAt, now)
	}
	if _, err := open().Sea(t.Context(), a, now.Add(2*time.Hour)); err != nil || s.count("/v1/marine") != n+1 {
		t.Errorf("two hours on: %v, %d more requests, want one", err, s.count("/v1/marine")-n)
	}
	s.answer(fixed(500, nil))
	if sea, err := open().Sea(t.Context(), a, now.Add(9*time.Hour)); err != nil || !sea.Source.FetchedAt.Equal(now.Add(2*time.Hour)) {
		t.Errorf("with the feed down: %+v, %v, want that of seven hours before", sea, err)
	}
	if sea, err := open().Sea(t.Context(), a, now.Add(15*time.Hour)); err == nil {
		t.Errorf("thirteen hours old: %+v, want it refused", sea)
	}
	s.answer(samples(t))
	m.broken = true
	if _, err := open().Sea(t.Context(), a, now); err != nil {
		t.Errorf("with the shared answers away: %v, want the feed's own", err)
	}
	m.broken = false
	for key, k := range m.kept {
		k.body = []byte("{")
		m.kept[key] = k
	}
	if _, err := open().Sea(t.Context(), a, now); err != nil {
		t.Errorf("with damaged shared answers: %v, want the feed's own", err)
	}
	for key, k := range m.kept {
		if k.keep <= 0 || k.keep > 48*time.Hour {
			t.Errorf("%q is kept for %s", key, k.keep)
		}
	}
}
