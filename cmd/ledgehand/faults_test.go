package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/feed"
)

const faultTable = "../../conditions/feed/FAULTS.md"

// The feeds of the table, each on a host of its own, as in earnest.
const (
	marineFeed = "sea forecast"
	windFeed   = "wind forecast"
	alertsFeed = "US warnings"
	indexFeed  = "index of warnings"
	capFeed    = "a warning's own text"
	buoyFeed   = "buoys"
	secondFeed = "second opinion"
)

// shore is a coast with all its feeds in order, and the question that is asked there.
type shore struct {
	ledge, ask string
	now        time.Time
	country    string // of its index of warnings, if it has one
	bodies     map[string][]byte
	sea        []byte // the second opinion's sea, which comes from the host of its wind
}

func feedBody(t *testing.T, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("../../testdata/feeds", name))
	if err != nil {
		raw, err = os.ReadFile(filepath.Join("../../conditions/feed/recorded", name))
	}
	must(t, err)
	return raw
}

// edited is a JSON body with something done to it.
func edited(t *testing.T, raw []byte, do func(map[string]any)) []byte {
	t.Helper()
	var m map[string]any
	must(t, json.Unmarshal(raw, &m))
	do(m)
	out, err := json.Marshal(m)
	must(t, err)
	return out
}

// moved lays a forecast's answer at another place: both services say where their answer is for.
func moved(t *testing.T, raw []byte, lat, lon float64) []byte {
	return edited(t, raw, func(m map[string]any) {
		if g, ok := m["geometry"].(map[string]any); ok {
			g["coordinates"] = []any{lon, lat}
			return
		}
		m["latitude"], m["longitude"] = lat, lon
	})
}

const calmBuoy = `#STN       LAT      LON  YYYY MM DD hh mm WDIR WSPD   GST WVHT  DPD APD MWD   PRES  PTDY  ATMP  WTMP  DEWP  VIS   TIDE
#text      deg      deg   yr mo day hr mn degT  m/s   m/s   m   sec sec degT   hPa   hPa  degC  degC  degC  nmi     ft
EX001   38.900 -124.300  2026 12 05 14 40 290  3.0   4.0  1.2   11 9.0 285 1015.0   MM  12.0  13.0    MM   MM     MM
`

func shores(t *testing.T) map[string]shore {
	const lat, lon = 58.04, 6.54
	return map[string]shore{
		"California": {
			ledge: "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 foot 12 slope wall number 911", ask: "/conditions Anvil 8am til 10am",
			now: time.Date(2026, time.December, 5, 15, 0, 0, 0, time.UTC),
			bodies: map[string][]byte{
				marineFeed: feedBody(t, "marine_point_arena_rising.constructed.json"), windFeed: feedBody(t, "forecast_point_arena_rising.constructed.json"),
				alertsFeed: feedBody(t, "alerts_none.constructed.json"), buoyFeed: []byte(calmBuoy),
			},
		},
		"Norway": {
			ledge: "/ledge add Anvil at 58.0700 6.5700 lip 6.1 faces 200 foot 12 slope wall number 120", ask: "/conditions Anvil 11:00 til 14:00", country: "NO",
			now: time.Date(2026, time.December, 5, 8, 30, 0, 0, time.UTC),
			bodies: map[string][]byte{
				marineFeed: moved(t, feedBody(t, "marine_azores_benign.constructed.json"), lat, lon), windFeed: moved(t, feedBody(t, "forecast_azores_benign.constructed.json"), lat, lon),
				indexFeed: feedBody(t, "cap/index_atom_meteoalarm_style.constructed.atom.xml"), capFeed: feedBody(t, "cap/coastal_event_bilingual_onset_later.constructed.xml"),
				secondFeed: moved(t, feedBody(t, "locationforecast_complete_lofoten.constructed.json"), lat, lon),
			},
			sea: moved(t, feedBody(t, "oceanforecast_lofoten.constructed.json"), lat, lon),
		},
	}
}

// feedOf tells which feed a path belongs to.
func feedOf(path string) string {
	for part, name := range map[string]string{
		"/v1/marine": marineFeed, "/v1/forecast": windFeed, "/alerts/active": alertsFeed, "/latest_obs": buoyFeed,
		"forecast/2.0/complete": secondFeed, "/atom": indexFeed, "/cap/": capFeed,
	} {
		if strings.Contains(path, part) {
			return name
		}
	}
	return ""
}

const noWind = "has no wind in the hours asked for"

// fault is what a feed does instead of answering.
type fault struct {
	what string
	do   func(w http.ResponseWriter, good []byte)
}

// answer asks the question of a shore in the group, with one of its feeds at fault, over HTTP from end to end.
func (s shore) answer(t *testing.T, failing string, f func(http.ResponseWriter, []byte)) string {
	t.Helper()
	serve := func(w http.ResponseWriter, r *http.Request) {
		name := feedOf(r.URL.Path)
		good, ok := s.bodies[name]
		if !ok {
			http.NotFound(w, r)
			return
		}
		if strings.Contains(r.URL.Path, "oceanforecast") {
			good = s.sea
		}
		good = bytes.ReplaceAll(good, []byte("https://feeds.example"), []byte("http://"+r.Host))
		if name == failing {
			f(w, good)
			return
		}
		_, _ = w.Write(good)
	}
	host := func() string {
		web := httptest.NewServer(http.HandlerFunc(serve))
		t.Cleanup(web.Close)
		return web.URL
	}
	set := feed.Settings{
		UserAgent: "ledgehand-test/1 (+mailto:test@ledgehand.example)", MarineURL: host(), ForecastURL: host(), AlertsURL: host(), BuoysURL: feed.Off, MetURL: feed.Off,
		CAPIndexes: map[string]string{},
	}
	if s.bodies[buoyFeed] != nil {
		set.BuoysURL = host()
	}
	if s.bodies[secondFeed] != nil {
		set.MetURL = host()
	}
	if s.country != "" {
		set.CAPIndexes[s.country] = host() + "/atom"
	}
	client, err := feed.NewClient(set)
	must(t, err)
	t.Cleanup(client.Close)
	st, err := openStage(t.Context(), s.now, stageParts{seer: client})
	must(t, err)
	t.Cleanup(func() { _ = st.close() })
	st.meet(t)
	st.write(t, s.ledge)
	st.write(t, s.ask)
	posts := st.server.Messages(crew)
	return posts[len(posts)-1].Text
}

func columns(m map[string]any) map[string]any { return m["hourly"].(map[string]any) }

// each sets every value of the columns with such names, by its place in the column.
func each(m map[string]any, names string, to func(i int, old any) any) {
	for name, col := range columns(m) {
		if name == "time" || !strings.Contains(name, names) {
			continue
		}
		for i, old := range col.([]any) {
			col.([]any)[i] = to(i, old)
		}
	}
}

// faultsOf lists what is tried on a feed. The first lot any server can do.
func faultsOf(t *testing.T, name string) []fault {
	send := func(what string, body func(good []byte) []byte) fault {
		return fault{what, func(w http.ResponseWriter, good []byte) { _, _ = w.Write(body(good)) }}
	}
	status := func(what string, code int, body string) fault {
		return fault{what, func(w http.ResponseWriter, _ []byte) { w.WriteHeader(code); _, _ = w.Write([]byte(body)) }}
	}
	edit := func(what string, do func(map[string]any)) fault {
		return send(what, func(good []byte) []byte { return edited(t, good, do) })
	}
	all := []fault{
		{"hangs up", func(http.ResponseWriter, []byte) { panic(http.ErrAbortHandler) }},
		status("answers 503", 503, "overloaded"),
		status("answers 429", 429, `{"error":true,"reason":"Minutely limit exceeded"}`),
		status("answers 403", 403, "forbidden"),
		{"breaks off half way through", func(w http.ResponseWriter, good []byte) {
			w.Header().Set("Content-Length", fmt.Sprint(len(good)))
			_, _ = w.Write(good[:len(good)/2])
		}},
		send("sends half and calls it whole", func(good []byte) []byte { return good[:len(good)/2] }),
		send("sends a web page", func([]byte) []byte { return []byte("<!doctype html><html><body>Scheduled maintenance</body></html>") }),
		send("sends nothing at all", func([]byte) []byte { return nil }),
		send("sends an empty object", func([]byte) []byte { return []byte("{}") }),
		{"points to another host", func(w http.ResponseWriter, _ []byte) {
			w.Header().Set("Location", "http://127.0.0.2:9/")
			w.WriteHeader(http.StatusFound)
		}},
	}
	missing := func(int, any) any { return nil }
	switch name {
	case marineFeed:
		return append(all,
			edit("has no value in any hour (land)", func(m map[string]any) { each(m, "", missing) }),
			edit("is zero in every hour (land)", func(m map[string]any) { each(m, "height", func(int, any) any { return 0.0 }) }),
			edit("has a gap in the hours asked for", func(m map[string]any) {
				each(m, "wave_height", func(i int, old any) any {
					if i == 9 || i == 11 {
						return nil
					}
					return old
				})
			}),
			edit("has heights and no periods", func(m map[string]any) { each(m, "period", missing) }),
			edit("gives heights in feet", func(m map[string]any) { m["hourly_units"].(map[string]any)["wave_height"] = "ft" }),
			edit("names no unit", func(m map[string]any) { m["hourly_units"].(map[string]any)["wave_height"] = "undefined" }),
			edit("is of last week", func(m map[string]any) {
				ts := columns(m)["time"].([]any)
				for i := range ts {
					ts[i] = ts[i].(float64) - 7*86400
				}
			}),
			edit("is for another place", func(m map[string]any) { m["latitude"] = 12.5 }),
			edit("gives words for heights", func(m map[string]any) { each(m, "wave_height", func(int, any) any { return "calm" }) }),
			edit("gives heights of 99 m", func(m map[string]any) { each(m, "wave_height", func(int, any) any { return 99.0 }) }),
			edit("gives heights below zero", func(m map[string]any) { each(m, "wave_height", func(int, any) any { return -1.0 }) }),
			edit("has columns of different lengths", func(m map[string]any) { columns(m)["wave_height"] = columns(m)["wave_height"].([]any)[:20] }),
		)
	case windFeed:
		return append(all,
			edit("has no value in any hour", func(m map[string]any) { each(m, "", missing) }),
			edit("gives wind in knots", func(m map[string]any) { m["hourly_units"].(map[string]any)["wind_speed_10m"] = "kn" }),
			edit(noWind, func(m map[string]any) {
				each(m, "wind", func(i int, old any) any {
					if i >= 6 && i < 14 {
						return nil
					}
					return old
				})
			}),
			edit("is for another place", func(m map[string]any) { m["latitude"] = 12.5 }),
		)
	case alertsFeed:
		return append(all,
			edit("was last updated two days ago", func(m map[string]any) { m["updated"] = "2026-12-03T11:40:00+00:00" }),
			edit("does not say when it was updated", func(m map[string]any) { delete(m, "updated") }),
			edit("goes on on another page", func(m map[string]any) { m["pagination"] = map[string]any{"next": "https://x.example/2"} }),
			edit("has no list", func(m map[string]any) { m["features"] = nil }),
			edit("lists something that is not a warning", func(m map[string]any) { m["features"] = []any{map[string]any{"type": "Feature"}} }),
		)
	case indexFeed:
		return append(all,
			send("lists nothing", func([]byte) []byte { return feedBody(t, "cap/index_rss_empty.constructed.rss.xml") }),
			send("is of last week", func(good []byte) []byte {
				return bytes.ReplaceAll(good, []byte("2026-12-05T0"), []byte("2026-11-28T0"))
			}),
			send("names messages on another host", func(good []byte) []byte {
				return bytes.ReplaceAll(good, []byte("http://127"), []byte("http://elsewhere.127"))
			}),
		)
	case buoyFeed:
		return append(all,
			send("reads nothing of waves", func(good []byte) []byte {
				return bytes.ReplaceAll(good, []byte("1.2   11 9.0 285"), []byte(" MM   MM  MM  MM"))
			}),
			send("is of yesterday", func(good []byte) []byte { return bytes.ReplaceAll(good, []byte("12 05 14"), []byte("12 04 14")) }),
		)
	}
	return all
}

// rankOf orders the verdicts from the mildest: what a fault makes of an answer may not be milder than the answer.
func rankOf(t *testing.T, text string) int {
	head, _, _ := strings.Cut(text, "\n")
	for i, v := range []string{"not expected", "could be washed", "cannot tell", "likely washed"} {
		if strings.Contains(head, v) {
			return i
		}
	}
	t.Fatalf("no verdict in %q", head)
	return 0
}

// What a person sees when a feed is at fault, feed by feed and fault by fault, asked in the group and answered over HTTP.
// Nothing that is not known may come out as calm. The table is kept in conditions/feed/FAULTS.md.
func TestWhatTheGroupSeesWhenAFeedIsAtFault(t *testing.T) {
	var out strings.Builder
	out.WriteString("# What the group sees when a feed is at fault\n\n" +
		"One question a row, asked in the group and answered over HTTP from end to end, with one feed at fault and the others in order.\n" +
		"Only the lines that differ from the answer with every feed in order are given. Kept true by `go test ./cmd/ledgehand -run TestWhatTheGroupSees`\n" +
		"(`-update` writes it anew). The coasts, the ledge and every body are invented.\n")
	all := shores(t)
	for _, coast := range []string{"California", "Norway"} {
		s := all[coast]
		whole := s.answer(t, "", nil)
		fmt.Fprintf(&out, "\n## %s\n\nEvery feed in order:\n\n```\n%s\n```\n\n| feed | what it does | what the group sees instead |\n|---|---|---|\n", coast, plain(whole))
		for _, name := range []string{marineFeed, windFeed, alertsFeed, indexFeed, capFeed, buoyFeed, secondFeed} {
			if s.bodies[name] == nil {
				continue
			}
			did, order := map[string][]string{}, []string(nil) // what it did, by what the group saw of it
			for _, f := range faultsOf(t, name) {
				got := s.answer(t, name, f.do)
				where := coast + ", " + name + " " + f.what
				if rankOf(t, got) < rankOf(t, whole) {
					t.Errorf("%s: milder than with every feed in order:\n%s", where, got)
				}
				switch name {
				case windFeed:
					if s.bodies[secondFeed] == nil {
						wantNoAnswer(t, where, got)
					} else if f.what != noWind && !strings.Contains(got, "Open-Meteo did not answer") { // the second fills a gap
						t.Errorf("%s: nobody is told that one forecast stands alone:\n%s", where, got)
					}
				case marineFeed, alertsFeed, indexFeed, capFeed:
					wantNoAnswer(t, where, got)
				case secondFeed:
					if !strings.Contains(got, "MET Norway did not answer") {
						t.Errorf("%s: nobody is told:\n%s", where, got)
					}
				}
				told := newLines(whole, got)
				if did[told] == nil {
					order = append(order, told)
				}
				did[told] = append(did[told], f.what)
			}
			for _, told := range order {
				fmt.Fprintf(&out, "| %s | %s | %s |\n", name, strings.Join(did[told], "; "), told)
			}
		}
	}
	if *update {
		must(t, os.WriteFile(faultTable, []byte(out.String()), 0o644))
	}
	kept, err := os.ReadFile(faultTable)
	must(t, err)
	if string(kept) != out.String() {
		t.Errorf("%s is not what the group sees now; run with -update and read what changed", faultTable)
	}
}

func wantNoAnswer(t *testing.T, where, got string) {
	t.Helper()
	if !strings.Contains(got, "cannot tell") || !strings.Contains(got, "reat that as a no") {
		t.Errorf("%s: want that nothing can be told, got\n%s", where, got)
	}
}

// plain is a message without its marks.
func plain(s string) string {
	for _, tag := range []string{"<b>", "</b>", "<i>", "</i>"} {
		s = strings.ReplaceAll(s, tag, "")
	}
	return s
}

// newLines are the lines of an answer that the whole one has not.
func newLines(whole, got string) string {
	had := strings.Split(plain(whole), "\n")
	var out []string
	for l := range strings.SplitSeq(plain(got), "\n") {
		if !slices.Contains(had, l) {
			out = append(out, strings.ReplaceAll(l, "|", "\\|"))
		}
	}
	if len(out) == 0 {
		return "the same"
	}
	return strings.Join(out, "<br>")
}
