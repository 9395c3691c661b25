package feed

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/warning"
)

// The public addresses. The free hosts of Open-Meteo are for non-commercial use.
const (
	MarineURL   = "https://marine-api.open-meteo.com"
	ForecastURL = "https://api.open-meteo.com"
	AlertsURL   = "https://api.weather.gov"
	BuoysURL    = "https://www.ndbc.noaa.gov"
	MetURL      = "https://api.met.no"
)

// Off in place of an address leaves the buoys or the second opinion out.
const Off = "off"

// MarineModels are asked together: the service's own choice, and two that are computed apart from it. Where they differ is
// part of what is not known, and the larger waves are shown.
var MarineModels = []string{"best_match", "ecmwf_wam025", "ncep_gfswave025"}

// Bounds of one request.
const (
	dialWithin   = 3 * time.Second
	answerWithin = 10 * time.Second // waiting for the host's slot included
	runWithin    = 2 * time.Second  // for the run data, which are only an age
	forecastMost = 2 << 20          // bytes, unpacked
	alertsMost   = 5 << 20
)

// Settings of a Client.
type Settings struct {
	// UserAgent is required: the services ask who is calling and how to reach them, and ban
	// those who hide it.
	UserAgent string
	// Base addresses, for a server of one's own; empty: the public ones.
	MarineURL, ForecastURL, AlertsURL, BuoysURL, MetURL string
	// CAPIndexes are the indexes of official warnings by ISO country code; nil: those built in.
	CAPIndexes map[string]string
	// Areas knows where coded areas of warnings lie; empty: what is named by code alone cannot be placed, and counts.
	Areas warning.Geocodes
	// Models are the wave models asked together; the larger waves are shown. Empty: MarineModels.
	Models []string
	// Shared keeps answers for other replicas and the next start; nil: none are kept but in memory.
	Shared Shared
	// Transport replaces the network, for tests; nil: a transport of its own.
	Transport http.RoundTripper
}

// Client asks the feeds. It is safe for many goroutines; Close ends what is still under way.
type Client struct {
	agent                    string
	marine, forecast, alerts *url.URL
	buoys, met               *url.URL
	caps                     map[string]*url.URL // indexes of CAP messages by country
	areas                    warning.Geocodes
	models                   string
	before                   validators
	shared                   Shared
	http                     *http.Client
	hosts                    map[string]*host // by scheme and host: nothing else is called

	sea     *shelf[conditions.Sea]
	weather *shelf[conditions.Weather]
	warned  *shelf[Alerts]
	seen    *shelf[[]Observation]
	second  *shelf[conditions.Weather]
	ocean   *shelf[conditions.Sea]
	indexes *shelf[warning.Index]
	caped   *shelf[warning.Message]
	runs    *shelf[ModelRun]

	mu     sync.Mutex
	closed bool
	base   context.Context
	cancel context.CancelFunc
	wg     sync.WaitGroup
}

// NewClient checks the settings; it calls nobody.
func NewClient(s Settings) (*Client, error) {
	agent := strings.TrimSpace(s.UserAgent)
	const form = `set it to "name/version (+https://your-page; you@your-domain)", the feeds ask who is calling`
	switch {
	case agent == "":
		return nil, errors.New("user agent for feeds is empty: " + form)
	case !strings.Contains(agent, "@") && !strings.Contains(agent, "://"):
		return nil, fmt.Errorf("user agent for feeds %q names no contact: %s", agent, form)
	case strings.ContainsFunc(agent, func(r rune) bool { return r < ' ' || r > '~' }):
		return nil, fmt.Errorf("user agent for feeds %q: printable ASCII only: %s", agent, form)
	}
	c := &Client{
		agent: agent, hosts: map[string]*host{}, models: strings.Join(s.Models, ","), shared: s.Shared, areas: s.Areas,
		sea: newShelf[conditions.Sea](seaAges), weather: newShelf[conditions.Weather](weatherAges),
		warned: newShelf[Alerts](alertAges), runs: newShelf[ModelRun](runAges),
		seen: newShelf[[]Observation](buoyAges), second: newShelf[conditions.Weather](weatherAges), ocean: newShelf[conditions.Sea](seaAges),
		indexes: newShelf[warning.Index](alertAges), caped: newShelf[warning.Message](messageAges), caps: map[string]*url.URL{},
	}
	if c.models == "" {
		c.models = strings.Join(MarineModels, ",")
	}
	if strings.ContainsFunc(c.models, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '_' || r == ',')
	}) {
		return nil, fmt.Errorf("wave models %q: want names such as %s", c.models, strings.Join(MarineModels, ","))
	}
	for _, a := range []struct {
		to            **url.URL
		what, set, or string
	}{
		{&c.marine, "marine", s.MarineURL, MarineURL},
		{&c.forecast, "forecast", s.ForecastURL, ForecastURL},
		{&c.alerts, "alerts", s.AlertsURL, AlertsURL},
		{&c.buoys, "buoys", s.BuoysURL, BuoysURL},
		{&c.met, "second forecast", s.MetURL, MetURL},
	} {
		if a.set == "" {
			a.set = a.or
		}
		if a.set == Off && (a.to == &c.buoys || a.to == &c.met) {
			continue
		}
		u, err := c.admit(a.what, a.set)
		if err != nil {
			return nil, err
		}
		*a.to = u
	}
	indexes := CAPIndexes
	if s.CAPIndexes != nil {
		indexes = s.CAPIndexes
	}
	for country, address := range indexes {
		u, err := c.admit("warnings of "+country, address)
		if err != nil {
			return nil, err
		}
		c.caps[country] = u
	}
	transport := s.Transport
	if transport == nil {
		transport = &http.Transport{
			Proxy:               http.ProxyFromEnvironment,
			DialContext:         (&net.Dialer{Timeout: dialWithin}).DialContext,
			TLSHandshakeTimeout: dialWithin,
			ForceAttemptHTTP2:   true,
			MaxIdleConnsPerHost: 2,
			IdleConnTimeout:     90 * time.Second,
		}
	}
	c.http = &http.Client{Transport: transport, CheckRedirect: sameHost, Timeout: answerWithin}
	c.base, c.cancel = context.WithCancel(context.Background())
	return c, nil
}

// admit reads an address of the settings and lets its host be called.
func (c *Client) admit(what, address string) (*url.URL, error) {
	u, err := url.Parse(address)
	if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" || u.RawQuery != "" || u.User != nil || u.Fragment != "" {
		return nil, fmt.Errorf("address of the %s feed: want http(s)://host or http(s)://host/path and nothing else", what)
	}
	if c.hosts[origin(u)] == nil {
		c.hosts[origin(u)] = newHost(u.Host)
	}
	return u, nil
}

// Close ends requests under way and waits for them.
func (c *Client) Close() {
	c.mu.Lock()
	c.closed = true
	c.mu.Unlock()
	c.cancel()
	c.wg.Wait()
	c.http.CloseIdleConnections()
}

// begin is the context of one load, which no single asker owns.
func (c *Client) begin() (context.Context, func(), error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed {
		return nil, nil, &Unavailable{Why: Down, Err: errors.New("the client is closed")}
	}
	c.wg.Add(1)
	ctx, cancel := context.WithTimeout(c.base, answerWithin)
	return ctx, func() { cancel(); c.wg.Done() }, nil
}

func origin(u *url.URL) string { return u.Scheme + "://" + u.Host }

// sameHost follows a redirect only within the host and scheme it came from.
func sameHost(r *http.Request, via []*http.Request) error {
	if len(via) > 3 {
		return errors.New("more than 3 redirects")
	}
	if origin(r.URL) != origin(via[0].URL) {
		return errors.New("redirected to another host")
	}
	return nil
}

// accept is what we can read: forecasts and alerts in JSON, warnings and their indexes in XML, buoys in plain text.
const accept = "application/json, application/geo+json;q=0.9, application/cap+xml;q=0.8, application/atom+xml;q=0.8, application/rss+xml;q=0.8, text/xml;q=0.7, text/plain;q=0.5"

// errTooLong is wrapped where a body passes its bound.
var errTooLong = errors.New("longer than allowed")

// fetch gets one body. The errors it gives name the host but never the query.
func (c *Client) fetch(ctx context.Context, base *url.URL, path string, query url.Values, most int64, now time.Time) ([]byte, error) {
	u := base.JoinPath(path)
	u.RawQuery = query.Encode()
	h := c.hosts[origin(u)]
	if h == nil {
		return nil, &Unavailable{Why: Forbidden, Host: u.Host, Err: errors.New("not a host of the settings")}
	}
	leave, err := h.enter(ctx, now)
	if err != nil {
		return nil, err
	}
	defer leave()
	fail := func(why Why, status int, until time.Time, reason string, err error) error {
		return &Unavailable{Why: why, Host: h.name, Status: status, Until: h.learn(why, until, now), Reason: reason, Err: err}
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, u.String(), nil)
	if err != nil {
		return nil, &Unavailable{Why: BadRequest, Host: h.name, Err: errors.New("the request cannot be built")}
	}
	r.Header.Set("User-Agent", c.agent)
	r.Header.Set("Accept", accept)
	had := c.before.ask(r)
	res, err := c.http.Do(r)
	if err != nil {
		return nil, fail(Down, 0, time.Time{}, "", quiet(err))
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(io.LimitReader(res.Body, most+1))
	switch {
	case err != nil:
		return nil, fail(Down, res.StatusCode, time.Time{}, "", fmt.Errorf("read the body: %w", err))
	case int64(len(raw)) > most:
		h.learn("", time.Time{}, now)
		return nil, &BadBody{Why: WrongShape, Err: fmt.Errorf("body of over %d bytes: %w", most, errTooLong)}
	case res.StatusCode == http.StatusOK:
		h.learn("", time.Time{}, now)
		c.before.keep(u.String(), res.Header, raw)
		return raw, nil
	case res.StatusCode == http.StatusNotModified && had != nil:
		h.learn("", time.Time{}, now)
		return had, nil
	}
	reason := reasonOf(raw)
	if none, ok := errors.AsType[*NoData](serviceError(reason)); ok && res.StatusCode == http.StatusBadRequest {
		h.learn("", time.Time{}, now)
		return nil, none
	}
	why, until := refusal(res, reason, now)
	return nil, fail(why, res.StatusCode, until, reason, nil)
}

// quiet takes the address of a request out of an error: the outer error of net/http prints all
// of it, and some inner ones quote the place a server redirected to.
func quiet(err error) error {
	if ue, ok := errors.AsType[*url.Error](err); ok {
		err = ue.Err
	}
	if text := err.Error(); strings.ContainsAny(text, "?=") || strings.Contains(text, "Location") {
		return errors.New("the request failed")
	}
	return err
}

// reasonOf reads an error body: "reason" at Open-Meteo, "detail" or "title" at the weather service.
func reasonOf(raw []byte) string {
	var e struct{ Reason, Detail, Title string }
	if json.Unmarshal(raw, &e) != nil {
		return ""
	}
	for _, s := range []string{e.Reason, e.Detail, e.Title} {
		if s != "" {
			return s
		}
	}
	return ""
}

// errNoAnchor says that a zero Anchor was passed.
var errNoAnchor = errors.New("no sea anchor: make one with Snap")

// point is the query for one place. Times as whole seconds of UTC, cells of sea: land cells
// under-read the wind over exposed rock.
func point(a Anchor, hourly string) url.Values {
	return url.Values{
		"latitude": {decimals(a.at.Lat)}, "longitude": {decimals(a.at.Lon)},
		"hourly": {hourly}, "timeformat": {"unixtime"}, "timezone": {"GMT"},
		"cell_selection": {"sea"}, "forecast_days": {"7"}, "length_unit": {"metric"},
	}
}

const marineHourly = "wave_height,wave_direction,wave_period,wave_peak_period," +
	"wind_wave_height,wind_wave_direction,wind_wave_period,wind_wave_peak_period," +
	"swell_wave_height,swell_wave_direction,swell_wave_period,swell_wave_peak_period," +
	"secondary_swell_wave_height,secondary_swell_wave_direction,secondary_swell_wave_period," +
	"sea_level_height_msl,sea_surface_temperature"

const forecastHourly = "temperature_2m,precipitation,weather_code,pressure_msl,visibility," +
	"wind_speed_10m,wind_direction_10m,wind_gusts_10m,cape"

// Sea is the sea-state forecast for an anchor, at most 12 h old at now; Source.FetchedAt says
// how old. Its hours are shared with other callers: read them only. Errors are *NoData,
// *BadBody or *Unavailable; with any of them the sea is not known.
func (c *Client) Sea(ctx context.Context, a Anchor, now time.Time) (*conditions.Sea, error) {
	if !a.set {
		return nil, fmt.Errorf("sea forecast: %w", errNoAnchor)
	}
	second := beside(func() (*conditions.Sea, error) { return c.secondSea(ctx, a, now) })
	// Not answer: when the run was started is asked for on the load's own context too.
	s, _, err := c.sea.get(ctx, c, a.String(), now, func(ctx context.Context) (conditions.Sea, time.Time, error) {
		return fetched(ctx, c, c.sea.ages, "sea "+c.models+" "+a.String(), now, func(ctx context.Context) ([]byte, error) {
			raw, err := c.askMarine(ctx, a, c.models, now)
			if un, refused := errors.AsType[*Unavailable](err); refused && un.Why == BadRequest && c.models != oneModel {
				raw, err = c.askMarine(ctx, a, oneModel, now) // a server of one's own may not hold every model
			}
			return raw, err
		}, func(raw []byte, at time.Time) (conditions.Sea, error) {
			s, err := DecodeMarine(raw, at, a.at)
			if err == nil {
				s.Source.RunAt = c.runAt(ctx, at)
			}
			return s, err
		})
	})
	if err != nil {
		return nil, fmt.Errorf("sea forecast: %w", err)
	}
	higher, apart := second()
	s.Source.Silent = silent(apart)
	return raised(&s, higher), nil
}

// oneModel is the service's own choice of models.
const oneModel = "best_match"

func (c *Client) askMarine(ctx context.Context, a Anchor, models string, now time.Time) ([]byte, error) {
	q := point(a, marineHourly)
	q.Set("models", models)
	return c.fetch(ctx, c.marine, "v1/marine", q, forecastMost, now)
}

// runAt is when the wave model behind the default answer was started; zero if the service will
// not say. A forecast without it is a forecast all the same, so nothing here is an error.
func (c *Client) runAt(ctx context.Context, now time.Time) time.Time {
	ctx, cancel := context.WithTimeout(ctx, runWithin)
	defer cancel()
	const path = "data/meteofrance_wave/static/meta.json"
	r, _, err := answer(ctx, c, c.runs, path, now, func(context.Context) ([]byte, error) {
		return c.fetch(ctx, c.marine, path, nil, forecastMost, now)
	}, func(raw []byte, _ time.Time) (ModelRun, error) { return DecodeRun(raw) })
	if err != nil {
		return time.Time{}
	}
	return r.At(now)
}

// Weather is the wind and sky forecast for an anchor, at most 6 h old at now; otherwise as Sea.
func (c *Client) Weather(ctx context.Context, a Anchor, now time.Time) (*conditions.Weather, error) {
	if !a.set {
		return nil, fmt.Errorf("weather forecast: %w", errNoAnchor)
	}
	second := beside(func() (*conditions.Weather, error) { return c.secondWeather(ctx, a, now) })
	w, err := c.firstWeather(ctx, a, now)
	other, apart := second()
	if w != nil {
		w.Source.Silent = silent(apart)
	}
	if w == nil && other != nil {
		other.Source.Silent = firstName
	}
	if both := harsher(w, other); both != nil {
		return both, nil
	}
	return nil, err
}

func (c *Client) firstWeather(ctx context.Context, a Anchor, now time.Time) (*conditions.Weather, error) {
	w, _, err := answer(ctx, c, c.weather, "weather "+a.String(), now, func(ctx context.Context) ([]byte, error) {
		q := point(a, forecastHourly)
		q.Set("wind_speed_unit", "ms")
		q.Set("temperature_unit", "celsius")
		q.Set("precipitation_unit", "mm")
		return c.fetch(ctx, c.forecast, "v1/forecast", q, forecastMost, now)
	}, func(raw []byte, at time.Time) (conditions.Weather, error) { return DecodeForecast(raw, at, a.at) })
	if err != nil {
		return nil, fmt.Errorf("weather forecast: %w", err)
	}
	return &w, nil
}

// Warnings is what the official feed says for a place, at most 30 minutes old at now; after
// that, and wherever there is no feed or it fails, the state is unknown and Why says why.
func (c *Client) Warnings(ctx context.Context, place WarningPlace, now time.Time) conditions.Warnings {
	areas := place.areas()
	if index := c.caps[place.Country]; index != nil && len(areas) == 0 {
		return c.capWarnings(ctx, index, place, now)
	}
	if len(areas) == 0 {
		return conditions.Warnings{State: conditions.WarningsUnknown, Why: string(NoFeed), CheckedAt: now}
	}
	key := strings.Join(areas, ",")
	a, at, err := answer(ctx, c, c.warned, "alerts "+key, now, func(ctx context.Context) ([]byte, error) {
		return c.fetch(ctx, c.alerts, "alerts/active", url.Values{"area": {key}}, alertsMost, now)
	}, func(raw []byte, _ time.Time) (Alerts, error) { return DecodeAlerts(raw) })
	if err != nil {
		_, why := Status(err)
		return conditions.Warnings{State: conditions.WarningsUnknown, Why: string(why), Source: alertSource, CheckedAt: now}
	}
	w := a.Judge(place, c.areas, now)
	w.CheckedAt = at
	return w
}
